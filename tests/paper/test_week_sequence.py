"""The sequence of a week: what is wanted first is never after what is wanted later, unless the builder chose so."""

from dataclasses import dataclass, replace
from itertools import groupby, pairwise, permutations

import pytest
from every_sheet import SHOP, planned
from hypothesis import given
from hypothesis import strategies as st
from printed import pages_of, text_of, words_of

from barmath.paper.week import week_pdf
from barmath.paper.week_data import week_from_orders
from barmath.paper.week_sequence import BY_DAY, FEWEST, changes, in_sequence, late, late_words, stops_of, why_words

RIDER = "Maximiliane Theodora van Houten-Brandstetter de la Fontaine Oosterhuis"


@dataclass(frozen=True)
class Order:
    """An order as far as its place in the week depends on it."""

    number: int
    wanted: str | None


@dataclass(frozen=True)
class Way:
    """A way as far as a place in the week depends on it."""

    die: str
    inner_stop_deg: float
    outer_stop_deg: float
    tube: str = "a tube"


@dataclass(frozen=True)
class Bar:
    """A bar of a week."""

    order: Order
    way: Way


DAYS = st.sampled_from([None, "2026-11-30", "2026-12-01", "2026-12-10"])
WAYS = st.builds(Way, st.sampled_from(["die 1", "die 2", "die 3"]), st.sampled_from([20.0, 25.0]), st.just(25.0))
WEEKS = st.lists(st.tuples(DAYS, WAYS), max_size=8).map(
    lambda rows: [Bar(Order(number, day), way) for number, (day, way) in enumerate(rows, 1)]
)


def day(bar):
    return bar.order.wanted or "9999-12-31"


@given(WEEKS)
def test_no_bar_is_bent_after_one_that_is_wanted_later(bars):
    found = in_sequence(bars)
    assert sorted(bar.order.number for bar in found) == [bar.order.number for bar in bars]
    assert [day(bar) for bar in found] == sorted(map(day, bars))
    assert not late(found)
    assert not late_words(found)


@given(WEEKS)
def test_within_a_day_no_die_and_no_stops_come_twice(bars):
    for by, cut in ((BY_DAY, day), (FEWEST, lambda _: None)):
        for alike in (list(some) for _, some in groupby(in_sequence(bars, by), cut)):
            for key in (lambda bar: bar.way.die, lambda bar: (bar.way.die, *stops_of(bar))):
                keys = [key(bar) for bar in alike]
                assert 1 + sum(one != other for one, other in pairwise(keys)) == len(set(keys))


@given(WEEKS)
def test_a_choice_of_the_fewest_changes_has_never_more_and_says_what_comes_late(bars):
    by_day, fewest = in_sequence(bars), in_sequence(bars, FEWEST)
    assert sum(changes(fewest)) <= sum(changes(by_day))
    behind = [one for place, one in enumerate(fewest) if any(day(other) > day(one) for other in fewest[:place])]
    assert [bar for bar, _ in late(fewest)] == behind
    assert all(day(other) > day(bar) for bar, other in late(fewest))
    assert bool(late_words(fewest)) == bool(behind)


@given(st.lists(st.tuples(DAYS, st.sampled_from(["die 1", "die 2", "die 3"])), max_size=5))
def test_two_days_that_need_one_die_change_it_no_more_often_than_they_must(rows):
    """Against every sequence that keeps the days, if there are two of them at most."""
    bars = [Bar(Order(number, on), Way(die, 25.0, 25.0)) for number, (on, die) in enumerate(rows, 1)]
    if len(set(map(day, bars))) > 2:
        return
    kept = [one for one in permutations(bars) if [*map(day, one)] == sorted(map(day, bars))]
    assert changes(in_sequence(bars))[0] == min(changes(one)[0] for one in kept)


@pytest.fixture(scope="module")
def orders():
    return planned(1, 7, 8, 9, 12)


@pytest.fixture(scope="module")
def dated(orders):
    """The die that sorts first is wanted last."""
    some = sorted(orders, key=lambda order: order.way.die, reverse=True)
    return [replace(one, wanted=f"2026-12-{place:02d}", rider=RIDER) for place, one in enumerate(some, 1)]


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_paper_has_day_and_rider_of_each_bar_and_says_why_the_sequence_is_so(dated, size, unit):
    week = week_from_orders(SHOP, dated, unit)
    assert [bar.order.number for bar in week.bars] == [order.number for order in dated]
    (plan, *sheets) = pages_of(week_pdf(week, size, unit))
    words = [word.text for word in words_of(plan)]
    assert [word for word in words if word.startswith("2026-12-")] == [order.wanted for order in dated]
    assert words.count(f"for {RIDER}") == len(dated)
    assert "What is wanted first is bent first" in " ".join(plan.extract_text().split())
    for order, page in zip(dated, sheets, strict=True):
        said = " ".join(page.extract_text().split())
        assert f"wanted on {order.wanted}" in said
        assert "for Maximil" in said


def test_the_paper_of_the_fewest_changes_says_what_comes_late(dated):
    week = week_from_orders(SHOP, dated, by=FEWEST)
    said = text_of(week_pdf(week))
    assert "You chose the fewest changes" in said
    for line in late_words(week.bars):
        assert f"Watch: {line}." in said
    assert late(week.bars)


def test_a_week_without_days_and_riders_has_no_column_for_them(orders):
    week = week_from_orders(SHOP, orders)
    plan = [word.text for word in words_of(pages_of(week_pdf(week))[0])]
    assert not {"wanted", "rider"} & set(plan)
    assert not [word for word in plan if word.startswith("for ")]
    assert why_words(week.bars, week.by).startswith("No order has a day: ")
