"""The numbers that exercises draw: round ones for a beginner, then the whole range of a shop, from end to end."""

import re
from functools import cache
from random import Random

import pytest
from practice.sums import worked_out

from barmath.practice import givens
from barmath.practice.course import BY_NAME
from barmath.practice.scene import LEVELS, WIDTHS_MM
from barmath.shop.order_seven import TUBE

SEEDS = range(400)


@cache
def each(name, level):
    """Exercises of one kind and level, in millimetres."""
    return [BY_NAME[name].make(name, BY_NAME[name].lesson, seed, level) for seed in SEEDS]


@cache
def texts(name, level):
    """The words of what they give and ask."""
    return [" ".join((*made.given, *(question.text for question in made.questions))) for made in each(name, level)]


def by(step, low, high):
    """Every number from `low` to `high`, in such steps."""
    return [round(low + step * count, 6) for count in range(round((high - low) / step) + 1)]


SHARES = by(0.1, 2.0, 4.5)
BACKSWEEPS = by(0.5, 6.0, 15.0)
NOT_GIVEN = ()

DRAWN = [
    ("marks", r"finished radius of (\S+) mm", {100.0, 110.0, 130.0}, NOT_GIVEN),
    ("marks", r"with (\S+) % of springback", NOT_GIVEN, SHARES),
    ("marks", r"(?:^|, )bends of (\S+) deg", {20.0, 25.0, 30.0}, by(0.5, 18.0, 35.0)),
    ("rise", r"riser straight (\S+) mm", by(10.0, 70.0, 140.0), NOT_GIVEN),
    ("rise", r"marks at (\S+) mm", NOT_GIVEN, by(1.0, 55.0, 75.0)),
    ("rise", r"wants (\S+) mm more", {5.0, 8.0, 10.0}, {5.0, 8.0, 10.0}),
    ("die", r"A bar without sweep, (\S+) mm wide", set(WIDTHS_MM[1:]), set(WIDTHS_MM[1:])),
    ("die", r"springs back by (\S+) %", NOT_GIVEN, SHARES),
    ("slip", r"A bar (\S+) mm wide", set(WIDTHS_MM), by(10.0, 720.0, 840.0)),
    ("slip", r"was set (\S+) deg too far", {1.0}, NOT_GIVEN),
    ("slip", r"instead of (\S+) deg\.", NOT_GIVEN, by(1.0, 20.0, 36.0)),
    ("reading", r"shows (\S+) deg, not zero", {0.3, 0.4, 0.6, 0.7}, NOT_GIVEN),
    ("finder", r"backsweep will be (\S+) deg", {8.0, 11.0, 14.0}, BACKSWEEPS),
    ("finder", r"outer bends with .*? and (\S+) % of springback", NOT_GIVEN, SHARES),
    ("order", r"marks at (\S+) mm", NOT_GIVEN, by(1.0, 55.0, 75.0)),
    ("order", r"its gap to the bend (\S+) mm", NOT_GIVEN, by(1.0, 2.0, 6.0)),
    ("order", r"its way to the bend (\S+) mm", NOT_GIVEN, by(1.0, 2.0, 6.0)),
    ("stop", r"sprang back to ([\d.]+) deg", {28.5, 28.8, 29.1}, by(0.1, 28.2, 29.4)),
    ("stop", r"needs a bend of (\S+) deg", {15.0, 20.0, 45.0}, None),
    ("stop", r"the bend begins (\S+) mm ahead", {1.5, 2.0, 2.5, 3.0}, {1.5, 2.0, 2.5, 3.0}),
    ("stop", r"inner mark (\S+) mm", NOT_GIVEN, by(0.1, 70.0, 85.0)),
    ("stop", r"one of 60 deg gives (\S+) deg", NOT_GIVEN, {58.0, 58.3, 58.6}),
    ("cope", r"A crossbar of (\S+) mm", {10.0, 12.0}, {9.5, 12.7, 15.9}),
    ("cope", r"on a bar of (\S+) mm", {22.0}, {22.2}),
    ("cope", r"axes meet at (\S+) deg", {45.0, 50.0, 60.0}, by(1.0, 30.0, 75.0)),
    ("cope", r"the ordinate at station (\d+)\?", {0.0, 180.0}, {0.0, 30.0, 60.0, 120.0, 150.0, 180.0}),
    ("cope", r"axes of the risers are (\S+) mm apart", by(1.0, 150.0, 360.0), NOT_GIVEN),
    ("cope", r"at two points, (\S+) mm apart", NOT_GIVEN, by(1.0, 80.0, 150.0)),
    ("cope", r"level crossbar is (\S+) mm higher", NOT_GIVEN, by(1.0, 20.0, 60.0)),
    ("record", r"inner mark (\S+) mm", NOT_GIVEN, by(0.1, 70.0, 85.0)),
    ("record", r"its rise is (\S+) mm too low", NOT_GIVEN, {1.5, 2.0, 3.0, 4.0}),
    ("print", r"100 mm long measures (\S+) mm", {95.0, 96.0, 104.0, 105.0}, NOT_GIVEN),
    ("print", r"runs from (\S+) to", NOT_GIVEN, by(1.0, 5.0, 40.0)),
    ("print", r"should be at (\S+) mm", by(1.0, 150.0, 210.0), None),
    ("hands", r"A stem of (\S+) mm", {40.0, 50.0, 60.0}, by(1.0, 32.0, 70.0)),
    ("hands", r"at (\S+) deg to the ground", {65.0, 70.0}, NOT_GIVEN),
    ("hands", r"leans back (\S+) deg from upright", NOT_GIVEN, by(0.5, 20.0, 26.0)),
    ("hands", r"angle of the stem is (\S+) deg", {0.0}, {-10.0, -6.0, 6.0, 10.0}),
    ("hands", r"turns the bar (\S+) deg", {5.0, 10.0}, by(1.0, 4.0, 14.0)),
    ("moment", r"A bar (\S+) mm wide", set(WIDTHS_MM), by(10.0, 700.0, 840.0)),
    ("moment", r"swept back by (\S+) deg", {0.0}, BACKSWEEPS),
    ("moment", r"in a stem (\S+) mm wide", {40.0}, by(1.0, 36.0, 50.0)),
]  # fmt: skip
"""By kind and words: the numbers of a beginner, and those of the others. A list is drawn from end to end, a set is
drawn in full, and None has too many numbers to name.
"""


def drawn_from(numbers, wanted):
    """Assert that numbers are those of a list from end to end, or all those of a set."""
    assert numbers <= set(wanted)
    if isinstance(wanted, list):
        assert {min(numbers), max(numbers)} == {min(wanted), max(wanted)}, "both ends are drawn"
        assert len(numbers) >= 0.8 * len(wanted)
    else:
        assert numbers == set(wanted)


@pytest.mark.parametrize(("name", "words", "beginner", "later"), DRAWN)
def test_a_beginner_has_round_numbers_and_the_others_those_of_a_shop(name, words, beginner, later):
    first, *others = ({float(one) for text in texts(name, level) for one in re.findall(words, text)}
                      for level in LEVELS)  # fmt: skip
    drawn_from(first, beginner)
    if later is None:
        assert len(set().union(*others) - first) >= 5
    else:
        drawn_from(set().union(*others), later)


APART = [
    ("rise", 2, r"marks at (\S+) mm and (\S+) mm", by(1.0, 66.0, 150.0)),
    ("die", 1, r"die A (\S+) mm .*die B (\S+) mm", by(1.0, 25.0, 40.0)),
    ("die", 1, r"die A (\S+) mm .*die C (\S+) mm", by(1.0, 60.0, 90.0)),
    ("slip", 2, r"was set to (\S+) deg instead of (\S+) deg", {0.5, 1.5, 2.0}),
    ("reading", 2, r"shows \+(\S+) deg\. .* it shows (\S+) deg\.", {0.4, 0.6, 1.0, 1.2}),
    ("record", 1, r"rise (\d+) mm, .* rise (\d+) mm, ", {8.0, 10.0, 12.0}),
    ("record", 3, r"rise (\S+) mm left and (\S+) mm right", {0.4, 0.6, 0.8, 1.0}),
    ("print", 2, r"runs from (\S+) to (\S+) mm", [*by(0.1, 94.0, 98.5), *by(0.1, 101.5, 106.0)]),
]
"""By kind, level and words: by how much two numbers of the text are apart."""


@pytest.mark.parametrize(("name", "level", "words", "wanted"), APART)
def test_what_follows_from_two_numbers_is_drawn_from_its_whole_range(name, level, words, wanted):
    pairs = [re.search(words, text).groups() for text in texts(name, level)]
    drawn_from({round(abs(float(other) - float(one)), 1) for one, other in pairs}, wanted)


def test_a_faulty_bend_is_off_by_as_much_as_a_bench_can_read_and_by_no_more_than_a_hand_can_bend():
    for level, wanted in ((1, {2.0, 3.0}), (2, by(0.1, 1.2, 3.0))):
        off = [made.questions[2].answer for made in each("faulty bend", level)]
        drawn_from({round(abs(one), 1) for one in off}, wanted)
        assert 0.4 < sum(one > 0.0 for one in off) / len(off) < 0.6


@pytest.mark.parametrize("name", BY_NAME)
def test_numbers_of_later_levels_differ_from_seed_to_seed(name):
    for level in LEVELS[1:]:
        answers = [
            [question.answer for question in made.questions if not question.choices]
            for made in (BY_NAME[name].make(name, BY_NAME[name].lesson, seed, level) for seed in range(15))
        ]
        for each in zip(*answers, strict=True):
            assert len(set(each)) > 4


@pytest.mark.parametrize("level", LEVELS)
def test_the_sum_of_what_is_given_is_its_value_at_every_level(level):
    for seed in range(30):
        rng = Random(seed)
        radius, angle, high = 90.0 + seed, 15.0 + 0.5 * seed, 0.1 * seed
        given, die = givens.radius_given(rng, level, radius)
        assert worked_out(given.total) == pytest.approx(radius, abs=0.06)
        assert f"{die:.1f} mm" in given.words
        assert 0.95 * radius < die < 0.985 * radius or (level, die) == (1, radius)
        for given, value in (
            (givens.kept_given(rng, level, angle), angle),
            (givens.angle_given(rng, level, angle), angle),
            (givens.zero_given(rng, level, high), high),
            (givens.length_given("mark", level, ("one", radius, "other", angle)), radius + angle),
            (givens.slip_given(rng, level, high), high),
            (givens.section_given(level, TUBE), float(TUBE.section_modulus_mm3)),
        ):
            assert worked_out(given.total) == pytest.approx(value, abs=0.06, rel=2e-3), given
            assert given.value == pytest.approx(value, rel=2e-3)
        head, stem = 60.0 + 0.5 * seed, float(seed - 15)
        given = givens.stem_given(level, head, stem)
        assert worked_out(given.total) == pytest.approx(head - stem)
        assert given.value == head
        assert f"{head if level == 1 else 90.0 - head:.1f} deg" in given.words
