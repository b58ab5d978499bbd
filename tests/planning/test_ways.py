"""Every way a shop can make an order: the best first, each with its margins and its reason."""

from dataclasses import astuple, replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import (
    BendError,
    Die,
    Order,
    Tube,
    least_bend_deg,
    recipe_from_order,
    rise_window_mm,
    shape_from_recipe,
    springback_from_tube,
)
from barmath.bending.sequences import bend_sequence_of_each
from barmath.planning import verdicts
from barmath.planning.recipe_limits import limits_from_recipe, refusals, warnings
from barmath.planning.ways import AT_A_TIME, LEVEL, ORDERED, UPRIGHT, every_way
from barmath.refusal import remedy_first
from barmath.shop.bender import Bender
from barmath.shop.tooling import USUAL_BENDS_DEG

TUBE = Tube(22.225, 1.4732)
DIES = tuple(
    Die(radius, least_straight_mm=65.0, tube_diameter_mm=22.225, name=name)
    for name, radius in (("die 89", 88.9), ("die 115", 114.3), ("die 165", 165.1))
)
ORDER = Order(78.0, 12.0, 780.0, controls_mm=180.0)
SEVEN = Order(90.0, 14.0, 800.0, None, 60.0, 170.0)
SHOP_DIES = tuple(
    Die(radius, least_straight_mm=65.0, name=name)
    for name, radius in (("die 102", 101.6), ("die 127", 127.0), ("die 152", 152.4))
)


def first(order, dies=DIES, tube=TUBE, **choices):
    ways = every_way(order, tube, dies, **choices)
    return ways.die(0).name, float(ways.bend_deg[0])


# ---- the first row: what an experienced builder would pick, and why


@pytest.mark.parametrize(
    ("order", "pick"),
    [
        pytest.param(
            ORDER, ("die 89", 30.0),
            id="on 115 no stop leaves 10 mm of grip; on 89 both 27.5 and 30 leave room, and 30 is the round one",
        ),
        pytest.param(
            replace(ORDER, controls_mm=150.0), ("die 115", 25.0),
            id="with 30 mm less for the controls the gentler 115 has room: at 25 more of it both sides than at 30",
        ),
        pytest.param(
            Order(70.0, 12.0, 800.0, 5.0, controls_mm=150.0), ("die 165", 20.0),
            id="wide, with upsweep and short controls: the gentlest die has room at a round stop",
        ),
        pytest.param(
            Order(70.0, 20.0, 720.0, 3.0, controls_mm=170.0), ("die 89", 27.5),
            id="30 would leave 6 mm of straight and 25 only 2 mm of grip: the stop between them leaves room both sides",
        ),
        pytest.param(
            Order(55.0, 12.0, 820.0, 5.0, controls_mm=150.0), ("die 165", 15.0),
            id="a low rise on a wide bar wants a small bend, and then any die will do: the gentlest",
        ),
    ],
)  # fmt: skip
def test_the_first_row_with_one_stop_is_what_an_experienced_builder_would_pick(order, pick):
    assert first(order, equal_only=True) == pick


@pytest.mark.parametrize(
    ("order", "pick"),
    [
        pytest.param(
            ORDER, ("die 115", 25.0, 22.5), id="on 115 no one stop leaves 10 mm of grip, and two do: the gentler die",
        ),
        pytest.param(
            Order(70.0, 12.0, 800.0, 5.0, controls_mm=150.0), ("die 165", 20.0, 20.0),
            id="one stop leaves enough on the gentlest die: one before two, however much these leave",
        ),
        pytest.param(
            Order(70.0, 20.0, 720.0, 3.0, controls_mm=170.0), ("die 89", 27.5, 27.5),
            id="one odd stop before two round ones",
        ),
    ],
)  # fmt: skip
def test_the_first_row_is_what_an_experienced_builder_would_pick(order, pick):
    ways = every_way(order, TUBE, DIES)
    assert (ways.die(0).name, ways.inner_bend_deg[0], ways.outer_bend_deg[0]) == pick


def test_a_way_without_warnings_comes_before_a_roomier_one_with_them():
    # on the 80 mm die there is more room, but it is tighter than four diameters and may dimple
    tight = Die(80.0, least_straight_mm=65.0, name="die 80")
    ways = every_way(ORDER, TUBE, (tight, DIES[0]))
    assert ways.die(0).name == "die 89"
    rows = [row for row in range(len(ways)) if ways.die(row) is tight and ways.feasible[row]]
    assert ways.straight_left_mm[rows].max() > ways.straight_left_mm[0]
    assert all("dimple" in " ".join(ways.warnings(row)) for row in rows)


def test_only_one_die_and_one_stop_leave_no_choice():
    assert first(ORDER, dies=DIES[:1], bends_deg=25.0) == ("die 89", 25.0)


def test_ways_that_can_be_made_come_first_and_the_nearest_miss_opens_the_rest():
    ways = every_way(ORDER, TUBE, DIES)
    made = int(ways.feasible.sum())
    assert 0 < made < len(ways)
    assert ways.feasible[:made].all()
    spare = np.minimum(ways.straight_left_mm, ways.grip_left_mm)
    equal = every_way(ORDER, TUBE, DIES, equal_only=True)
    made, spare = int(equal.feasible.sum()), np.minimum(equal.straight_left_mm, equal.grip_left_mm)
    missed = spare[made:][~np.isnan(spare[made:])]
    assert (np.diff(missed) <= 0.0).all()
    assert np.isnan(spare[-1])


def test_a_bar_that_turns_its_grips_far_up_is_no_near_miss():
    order = replace(ORDER, rise_mm=160.0, width_mm=680.0)
    ways = every_way(order, TUBE, DIES)
    assert ways.best is None
    spare = np.minimum(ways.straight_left_mm, ways.grip_left_mm)
    roomier = spare > spare[0]
    assert roomier.any()
    assert (ways.upsweep_deg[roomier] > order.most_upsweep_deg).all()


def test_where_nothing_can_be_made_the_first_row_is_the_nearest_miss():
    ways = every_way(Order(100.0, 12.0, 720.0, controls_mm=170.0), TUBE, DIES, equal_only=True)
    assert not ways.feasible.any()
    assert ways.best is None
    spare = np.minimum(ways.straight_left_mm, ways.grip_left_mm)
    assert spare[0] == np.nanmax(spare)
    with pytest.raises(BendError) as refusal:
        ways.recipe(0)
    assert refusal.value.as_noted == ways.reason(0)


# ---- every row


orders = st.builds(
    Order,
    rise_mm=st.floats(30.0, 120.0),
    backsweep_deg=st.just(0.0) | st.floats(-10.0, 25.0),
    width_mm=st.floats(680.0, 860.0),
    upsweep_deg=st.none() | st.floats(0.0, 6.0),
    clamp_flat_mm=st.floats(40.0, 70.0),
    controls_mm=st.floats(120.0, 200.0),
)


@given(orders)
def test_the_recipe_of_every_row_that_can_be_made_makes_the_order(order):
    ways = every_way(order, TUBE, DIES, clamped=(UPRIGHT, LEVEL))
    for row in np.flatnonzero(ways.feasible):
        shape = ways.shape(row)
        assert shape.rise_mm == pytest.approx(order.rise_mm, abs=LENGTH_MM)
        assert shape.width_mm == pytest.approx(order.width_mm, abs=LENGTH_MM)
        assert shape.backsweep_deg == pytest.approx(order.backsweep_deg, abs=ANGLE_DEG)
        if ways.clamped[row] == ORDERED:
            assert shape.upsweep_deg == pytest.approx(order.upsweep_deg, abs=ANGLE_DEG)
        elif ways.clamped[row] == LEVEL:
            assert shape.upsweep_deg == pytest.approx(0.0, abs=ANGLE_DEG)
        else:
            assert ways.stem_roll_deg[row] == 0.0


BY_RISE = "straight", "controls", "stock"
"""Limits that another rise may keep."""


@settings(max_examples=12)
@given(orders, st.sampled_from([np.inf, 850.0]))
def test_the_table_says_what_a_loop_over_the_dies_and_stops_says(order, stock_mm):
    bends = np.array([9.0, 12.0, 17.5, 25.0, 32.5])
    ways = every_way(order, TUBE, DIES, bends_deg=bends, clamped=(UPRIGHT, LEVEL), stock_length_mm=stock_mm)
    by_position = {UPRIGHT: order, LEVEL: replace(order, upsweep_deg=0.0), ORDERED: order}
    assert len(ways) == len(DIES) * bends.size**2 * (2 if order.upsweep_deg is None else 1)
    for row in range(len(ways)):
        die, asked = ways.die(row), by_position[ways.clamped[row]]
        inner, outer = float(ways.inner_bend_deg[row]), float(ways.outer_bend_deg[row])
        pair = (inner,) if inner == outer else (inner, outer)
        spring = springback_from_tube(TUBE, die)
        for stop, bend in ((ways.inner_stop_deg, inner), (ways.outer_stop_deg, outer)):
            assert stop[row] == pytest.approx(spring.die_bend_deg(bend), abs=ANGLE_DEG)
        try:
            window = rise_window_mm(asked, spring.finished_radius_mm, inner, die.least_straight_mm, *pair[1:])
        except BendError:
            assert not ways.feasible[row]
            assert np.isnan(ways.straight_mm[row])
            starts = ("outer bend must be at least ", "difference of inner and outer bend must be at most ")
            assert ways.reason(row).startswith(starts if len(pair) == 2 else "bend must be at least ")
            continue
        named = ways.lowest_rise_mm[row], ways.highest_rise_mm[row]
        others = {limit.key for limit in ways.limits if limit.refuses and limit.broken[row]} - {*BY_RISE}
        if others:
            assert np.isnan(named).all()
        elif stock_mm == np.inf:
            assert named == pytest.approx(window, abs=1e-8)
        else:
            assert window[0] - 1e-8 <= named[0]
            assert named[1] <= window[1] + 1e-8
        try:
            recipe = recipe_from_order(asked, spring.finished_radius_mm, *pair)
        except BendError:
            assert not ways.feasible[row]
            continue
        limits = limits_from_recipe(recipe, asked, TUBE, die, stock_mm)
        assert bool(ways.feasible[row]) == (not refusals(limits))
        assert ways.warned[row] == len(warnings(limits))
        if ways.feasible[row]:
            np.testing.assert_allclose(astuple(ways.recipe(row)), astuple(recipe), atol=1e-8, rtol=0)
            assert ways.warnings(row) == warnings(limits)
        else:
            assert ways.reason(row) == refusals(limits)[0]


@settings(max_examples=12)
@given(orders)
def test_the_rows_with_one_stop_are_those_of_a_shop_that_has_but_one(order):
    pairs, alone = (every_way(order, TUBE, DIES, equal_only=only) for only in (False, True))
    same = np.flatnonzero(~pairs.two_stops)
    by_way = {(alone.die_index[row], alone.bend_deg[row]): row for row in range(len(alone))}
    assert len(same) == len(alone)
    for row in same:
        other = by_way[pairs.die_index[row], pairs.bend_deg[row]]
        assert pairs.reason(row) == alone.reason(other)
        for name in ("straight_mm", "grip_mm", "roll_deg", "stem_roll_deg", "upsweep_deg"):
            one, two = (np.broadcast_to(getattr(ways, name), len(ways)) for ways in (pairs, alone))
            assert one[row] == pytest.approx(two[other], abs=LENGTH_MM, nan_ok=True)


def test_a_gentler_die_with_two_stops_comes_before_a_tighter_one_with_one():
    ways = every_way(SEVEN, TUBE, SHOP_DIES)
    assert (ways.die(0).name, ways.two_stops[0]) == ("die 127", True)
    assert (ways.straight_left_mm[0], ways.grip_left_mm[0]) >= (10.0, 10.0)
    one = every_way(SEVEN, TUBE, SHOP_DIES, equal_only=True)
    assert (one.die(0).name, one.bend_deg[0]) == ("die 102", 30.0)


def test_on_one_die_one_stop_comes_before_two_that_are_rounder_or_roomier():
    ways = every_way(SEVEN, TUBE, SHOP_DIES[:1])
    enough = np.minimum(ways.straight_left_mm, ways.grip_left_mm) >= 10.0
    two = ways.two_stops[ways.feasible & enough & (ways.warned == 0)]
    assert 0 < two.sum() < two.size
    assert (np.diff(two.astype(int)) >= 0).all()


# ---- the bender, asked of few rows


def test_a_bender_is_asked_of_no_more_rows_than_somebody_wants_to_know(monkeypatch):
    asked = []

    def counted(bars, *rest):
        asked.append(len(bars.bends_deg))
        return bend_sequence_of_each(bars, *rest)

    monkeypatch.setattr(verdicts, "bend_sequence_of_each", counted)
    ways = every_way(SEVEN, TUBE, SHOP_DIES, bender=Bender(follower_mm=40.0))
    assert asked == []
    assert ways.best is not None
    assert sum(asked) <= 2 * ways.best + AT_A_TIME
    before = sum(asked)
    assert ways.can_be_made([ways.best]).all()
    assert sum(asked) == before


def test_a_bender_that_can_make_no_row_is_asked_of_each_once():
    # the floor is so near that every bent arm meets it
    ways = every_way(SEVEN, TUBE, SHOP_DIES[:1], bends_deg=[30.0, 32.5], bender=Bender(floor_below_mm=30.0))
    assert ways.allowed.any()
    assert ways.best is None
    assert not ways.feasible.any()
    for row in np.flatnonzero(ways.allowed):
        assert ways.reason(row).startswith("this bender cannot make it in this sequence of bends: at step ")
        with pytest.raises(BendError):
            ways.recipe(row)


# ---- reasons


@pytest.mark.parametrize(
    ("order", "die", "bend", "begins"),
    [
        (ORDER, DIES[0], 11.0, "bend must be at least 11.8 deg, what the sweeps need, got 11.0 deg"),
        (ORDER, replace(DIES[0], largest_bend_deg=30.0), 30.0,
         "stop must be at most 30.0 deg, the furthest that it can be set, got 30.9"),
        (ORDER, replace(DIES[0], tube_diameter_mm=25.4), 30.0,
         "difference between tube and groove must be at most 0.3 mm, what a groove forgives, got 3.2 mm"),
        (ORDER, DIES[0], 40.0, "straight between bends must be at least 65.0 mm, what the tooling can hold, got "),
        (ORDER, DIES[0], 20.0, "grip straight must be at least 180.0 mm, the room ordered for the controls, got "),
        (ORDER, DIES[0], 30.0, "can be made: straight 24.3 mm and grip 21.3 mm longer than needed"),
    ],
)  # fmt: skip
def test_the_reason_names_the_limit_that_binds(order, die, bend, begins):
    assert every_way(order, TUBE, (die,), bends_deg=bend).reason(0).startswith(begins)


def reason_of_pair(order, inner, outer, die=DIES[0]):
    ways = every_way(order, TUBE, (die,), bends_deg=[inner, outer])
    row = np.flatnonzero((ways.inner_bend_deg == inner) & (ways.outer_bend_deg == outer))[0]
    return ways.reason(row)


@pytest.mark.parametrize(
    ("order", "inner", "outer", "sentence"),
    [
        (Order(78.0, 20.0, 780.0), 30.0, 12.0,
         "outer bend must be at least 17.3 deg, what the sweeps need with that inner bend, got 12.0 deg: "
         "choose a larger bend or less sweep"),
        (Order(78.0, 20.0, 780.0, 3.0), 8.0, 9.0,
         "outer bend must be at least 12.2 deg, what the sweeps need with that inner bend, got 9.0 deg: "
         "choose a larger bend or less sweep"),
        (Order(78.0, 8.0, 780.0, 3.0), 40.0, 25.0,
         "difference of inner and outer bend must be at most 8.5 deg, the total turn of the sweeps, got 15.0 deg: "
         "choose an outer bend nearer to the inner bend, or more sweep"),
        (Order(78.0, 0.0, 780.0), 35.0, 25.0,
         "upsweep must be at most 8.0 deg, the most that the order accepts, got 10.0 deg: "
         "choose a larger outer bend or a smaller inner bend"),
        (Order(78.0, 0.0, 780.0), 25.0, 30.0,
         "upsweep must be at least 0.0 deg, the least that the order accepts, got -5.0 deg: "
         "choose a smaller outer bend or a larger inner bend"),
        (replace(Order(78.0, 0.0, 780.0), least_upsweep_deg=2.0), 30.0, 30.0,
         "upsweep must be at least 2.0 deg, the least that the order accepts, got "),
    ],
)  # fmt: skip
def test_a_pair_that_is_refused_has_its_reason_and_its_number(order, inner, outer, sentence):
    assert reason_of_pair(order, inner, outer).startswith(sentence)


@pytest.mark.parametrize(("inner", "outer", "which"), [(40.0, 35.0, "inner"), (35.0, 40.0, "outer")])
def test_a_stop_that_is_too_far_says_of_which_bends(inner, outer, which):
    order = replace(ORDER, least_upsweep_deg=-20.0, most_upsweep_deg=20.0)
    reason = reason_of_pair(order, inner, outer, replace(DIES[0], largest_bend_deg=38.0))
    assert reason.startswith(
        f"stop for the {which} bends must be at most 38.0 deg, the furthest that it can be set, got"
    )
    assert reason.endswith(f": choose a smaller {which} bend")


@pytest.mark.parametrize("end", ["least_upsweep_deg", "most_upsweep_deg"])
def test_an_upsweep_at_either_end_of_what_is_accepted_may_be_made(end):
    order = Order(78.0, 10.0, 780.0, controls_mm=150.0)
    ways = every_way(order, TUBE, DIES[:1], bends_deg=[27.5, 25.0])
    row = int(np.flatnonzero(ways.feasible & ways.two_stops)[0])
    beyond = {"least_upsweep_deg": 1e-6, "most_upsweep_deg": -1e-6}[end]
    for slack, made in ((0.0, True), (beyond, False)):
        bound = float(ways.upsweep_deg[row]) + slack
        again = every_way(replace(order, **{end: bound}), TUBE, DIES[:1], bends_deg=[27.5, 25.0])
        (same,) = np.flatnonzero(
            (again.inner_bend_deg == ways.inner_bend_deg[row]) & (again.outer_bend_deg == ways.outer_bend_deg[row])
        )
        assert again.feasible[same] == made


def test_a_short_rack_is_a_reason():
    reason = every_way(ORDER, TUBE, DIES[:1], bends_deg=30.0, stock_length_mm=800.0).reason(0)
    assert reason.startswith("cut length must be at most 800.0 mm, the longest tube in the rack, got ")


def test_a_way_that_can_be_made_says_what_to_watch():
    ways = every_way(replace(ORDER, rise_mm=83.0), TUBE, DIES[:1], bends_deg=27.5)
    assert ways.reason(0).startswith("can be made: ")
    assert ways.reason(0).endswith("longer than needed; " + ways.warnings(0)[0])


# ---- clamped


def test_an_order_without_upsweep_may_stand_upright_or_level():
    ways = every_way(ORDER, TUBE, DIES, clamped=(UPRIGHT, LEVEL), equal_only=True)
    assert set(ways.clamped) == {UPRIGHT, LEVEL}
    assert (ways.stem_roll_deg[ways.clamped == UPRIGHT] == 0.0).all()
    level = ways.clamped == LEVEL
    assert (ways.stem_roll_deg[level & ways.feasible] > 0.0).all()
    shape = shape_from_recipe(ways.recipe(int(np.flatnonzero(level & ways.feasible)[0])))
    assert shape.upsweep_deg == pytest.approx(0.0, abs=ANGLE_DEG)


def test_an_order_with_upsweep_is_clamped_in_one_way():
    ways = every_way(replace(ORDER, upsweep_deg=3.0), TUBE, DIES, clamped=(UPRIGHT, LEVEL))
    assert set(ways.clamped) == {ORDERED}
    assert len(ways) == len(DIES) * len(USUAL_BENDS_DEG) ** 2


# ---- refusals


def refused(*asked, **choices) -> str:
    with pytest.raises(BendError) as refusal:
        every_way(*asked, **choices)
    return str(refusal.value)


@pytest.mark.parametrize(
    ("dies", "choices", "sentence"),
    [
        ((), {}, "the shop must have at least one die, got none: add a die to the shop's file"),
        (DIES, {"bends_deg": []}, "there must be at least one stop setting to try, got none: name a bend"),
        (DIES, {"bends_deg": [25.0, 90.0]},
         "bend must be below 90.0 deg, got 90.0 deg (element 1 of (2,)): "
         "choose a smaller bend, because a steeper riser leans inward"),
        (DIES, {"clamped": ()}, 'clamping must be one of these, got (): choose "risers upright" or "grips level"'),
        (DIES, {"clamped": ("leaning",)},
         "clamping must be one of these, got ('leaning',): choose \"risers upright\" or \"grips level\""),
        (DIES, {"stock_length_mm": 0.0}, "stock length must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (DIES, {"stock_length_mm": [900.0, 1000.0]},
         "stock length must be one number, got an array of shape (2,): give one number at a time"),
        ((Die([88.9, 115.0]),), {},
         "die must be a single one, got an array of shape (2,) as its centerline radius: give one die at a time"),
    ],
)  # fmt: skip
def test_a_shop_that_cannot_be_searched_is_refused_in_these_words(dies, choices, sentence):
    assert refused(ORDER, TUBE, dies, **choices) == remedy_first(sentence)


def test_one_order_and_one_tube_are_searched_at_a_time():
    assert "order must be a single one" in refused(replace(ORDER, rise_mm=[70.0, 80.0]), TUBE, DIES)
    assert "tube must be a single one" in refused(ORDER, Tube([22.2, 25.4], 1.5), DIES)


@pytest.mark.parametrize("radius", [5.0, 11.1])
def test_a_die_too_small_for_the_tube_leaves_the_other_dies_their_ways(radius):
    tube, good, small = Tube(22.2, 1.5), Die(89.0, name="good"), Die(radius, name="small")
    ways, alone = (every_way(Order(78, 12, 780, controls_mm=180), tube, dies) for dies in ([small, good], [good]))
    assert ways.die(0).name == "good"
    assert ways.feasible.sum() == alone.feasible.sum() > 0
    for row in np.flatnonzero(ways.die_index == 0):
        told = "die radius must be at least 11.1 mm, more than the tube's own, got"
        assert ways.reason(row).startswith(told)
        assert not ways.feasible[row]


def test_a_bend_a_hair_below_the_least_has_its_reason():
    order = Order(78, 12, 780)
    bend = least_bend_deg(order) * (1.0 - 1e-12)
    ways = every_way(order, Tube(22.2, 1.5), [Die(89.0)], bends_deg=[bend])
    assert np.isnan(ways.straight_mm[0])
    assert ways.reason(0).startswith("bend must be at least 11.8 deg, what the sweeps need")
