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
from barmath.planning.limits import limits_from_recipe, refusals, warnings
from barmath.planning.ways import LEVEL, ORDERED, UPRIGHT, every_way
from barmath.shop.tooling import USUAL_BENDS_DEG

TUBE = Tube(22.225, 1.4732)
DIES = tuple(
    Die(radius, least_straight_mm=65.0, tube_diameter_mm=22.225, name=name)
    for name, radius in (("die 89", 88.9), ("die 115", 114.3), ("die 165", 165.1))
)
ORDER = Order(78.0, 12.0, 780.0, controls_mm=180.0)


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
def test_the_first_row_is_what_an_experienced_builder_would_pick(order, pick):
    assert first(order) == pick


def test_a_way_without_warnings_comes_before_a_roomier_one_with_them():
    # on the 80 mm die there is more room, but it is tighter than four diameters and may dimple
    tight = Die(80.0, least_straight_mm=65.0, name="die 80")
    ways = every_way(ORDER, TUBE, (tight, DIES[0]))
    assert ways.die(0).name == "die 89"
    rows = [row for row in range(len(ways)) if ways.die(row) is tight and ways.feasible[row]]
    assert ways.straight_to_spare_mm[rows].max() > ways.straight_to_spare_mm[0]
    assert all("dimple" in " ".join(ways.warnings(row)) for row in rows)


def test_only_one_die_and_one_stop_leave_no_choice():
    assert first(ORDER, dies=DIES[:1], bends_deg=25.0) == ("die 89", 25.0)


def test_ways_that_can_be_made_come_first_and_the_nearest_miss_opens_the_rest():
    ways = every_way(ORDER, TUBE, DIES)
    made = int(ways.feasible.sum())
    assert 0 < made < len(ways)
    assert ways.feasible[:made].all()
    spare = np.minimum(ways.straight_to_spare_mm, ways.grip_to_spare_mm)
    missed = spare[made:][~np.isnan(spare[made:])]
    assert (np.diff(missed) <= 0.0).all()
    assert np.isnan(spare[-1])


def test_where_nothing_can_be_made_the_first_row_is_the_nearest_miss():
    ways = every_way(Order(100.0, 12.0, 720.0, controls_mm=170.0), TUBE, DIES)
    assert not ways.feasible.any()
    spare = np.minimum(ways.straight_to_spare_mm, ways.grip_to_spare_mm)
    assert spare[0] == np.nanmax(spare)
    with pytest.raises(BendError) as refusal:
        ways.recipe(0)
    assert str(refusal.value) == ways.reason(0)


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
    ways = every_way(order, TUBE, DIES, stances=(UPRIGHT, LEVEL))
    for row in np.flatnonzero(ways.feasible):
        shape = ways.shape(row)
        assert shape.rise_mm == pytest.approx(order.rise_mm, abs=LENGTH_MM)
        assert shape.width_mm == pytest.approx(order.width_mm, abs=LENGTH_MM)
        assert shape.backsweep_deg == pytest.approx(order.backsweep_deg, abs=ANGLE_DEG)
        assert shape.cut_length_mm == pytest.approx(ways.cut_length_mm[row], abs=LENGTH_MM)
        if ways.stance[row] == ORDERED:
            assert shape.upsweep_deg == pytest.approx(order.upsweep_deg, abs=ANGLE_DEG)
        elif ways.stance[row] == LEVEL:
            assert shape.upsweep_deg == pytest.approx(0.0, abs=ANGLE_DEG)
        else:
            assert ways.stem_roll_deg[row] == 0.0


@settings(max_examples=40)
@given(orders, st.sampled_from([np.inf, 850.0]))
def test_the_table_says_what_a_loop_over_the_dies_and_stops_says(order, stock_mm):
    bends = np.array([9.0, 12.0, 17.5, 25.0, 32.5, 45.0])
    ways = every_way(order, TUBE, DIES, bends_deg=bends, stances=(UPRIGHT, LEVEL), stock_length_mm=stock_mm)
    stood = {UPRIGHT: order, LEVEL: replace(order, upsweep_deg=0.0), ORDERED: order}
    assert len(ways) == len(DIES) * bends.size * (2 if order.upsweep_deg is None else 1)
    for row in range(len(ways)):
        die, bend, asked = ways.die(row), float(ways.bend_deg[row]), stood[ways.stance[row]]
        spring = springback_from_tube(TUBE, die)
        assert ways.stop_deg[row] == pytest.approx(spring.die_bend_deg(bend), abs=ANGLE_DEG)
        if bend < least_bend_deg(asked):
            assert not ways.feasible[row]
            assert np.isnan(ways.straight_mm[row])
            assert ways.reason(row).startswith("bend must be at least ")
            continue
        window = rise_window_mm(asked, spring.finished_radius_mm, bend, die.least_straight_mm)
        told = ways.lowest_rise_mm[row], ways.highest_rise_mm[row]
        assert told == pytest.approx(window, abs=1e-8)
        try:
            recipe = recipe_from_order(asked, spring.finished_radius_mm, bend)
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


# ---- reasons


@pytest.mark.parametrize(
    ("order", "die", "bend", "begins"),
    [
        (ORDER, DIES[0], 11.0, "bend must be at least 11.746 deg, what the sweeps need, got 11.0 deg"),
        (ORDER, replace(DIES[0], largest_bend_deg=30.0), 30.0,
         "stop must be at most 30.0 deg, the furthest that it can be set, got 30.8"),
        (ORDER, replace(DIES[0], tube_diameter_mm=25.4), 30.0,
         "difference between tube and groove must be at most 0.3 mm, what a groove forgives, got 3.175 mm"),
        (ORDER, DIES[0], 40.0, "straight between bends must be at least 65.0 mm, what the tooling can hold, got "),
        (ORDER, DIES[0], 20.0, "grip straight must be at least 180.0 mm, the room ordered for grip and controls, got "),
        (ORDER, DIES[0], 30.0, "can be made: 24.3 mm of straight and 21.3 mm of grip to spare"),
    ],
)  # fmt: skip
def test_the_reason_names_the_limit_that_binds(order, die, bend, begins):
    assert every_way(order, TUBE, (die,), bends_deg=bend).reason(0).startswith(begins)


def test_a_short_rack_is_a_reason():
    reason = every_way(ORDER, TUBE, DIES[:1], bends_deg=30.0, stock_length_mm=800.0).reason(0)
    assert reason.startswith("cut length must be at most 800.0 mm, the longest tube in the rack, got ")


def test_a_way_that_can_be_made_says_what_to_watch():
    ways = every_way(replace(ORDER, rise_mm=83.0), TUBE, DIES[:1], bends_deg=27.5)
    assert ways.reason(0).startswith("can be made: ")
    assert ways.reason(0).endswith("grip to spare; " + ways.warnings(0)[0])


# ---- stances


def test_an_order_without_upsweep_may_stand_upright_or_level():
    ways = every_way(ORDER, TUBE, DIES, stances=(UPRIGHT, LEVEL))
    assert set(ways.stance) == {UPRIGHT, LEVEL}
    assert (ways.stem_roll_deg[ways.stance == UPRIGHT] == 0.0).all()
    level = ways.stance == LEVEL
    assert (ways.stem_roll_deg[level & ways.feasible] > 0.0).all()
    shape = shape_from_recipe(ways.recipe(int(np.flatnonzero(level & ways.feasible)[0])))
    assert shape.upsweep_deg == pytest.approx(0.0, abs=ANGLE_DEG)


def test_an_order_with_upsweep_has_one_stance():
    ways = every_way(replace(ORDER, upsweep_deg=3.0), TUBE, DIES, stances=(UPRIGHT, LEVEL))
    assert set(ways.stance) == {ORDERED}
    assert len(ways) == len(DIES) * len(USUAL_BENDS_DEG)


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
         "bend must be below 90.0 deg, got 90.0 deg (element 1 of (2,)): a steeper riser leans inward"),
        (DIES, {"stances": ()}, 'stances must be "risers upright" or "grips level", got ()'),
        (DIES, {"stances": ("leaning",)}, "stances must be \"risers upright\" or \"grips level\", got ('leaning',)"),
        (DIES, {"stock_length_mm": 0.0}, "stock length must be above 0.0 mm, got 0.0 mm"),
        (DIES, {"stock_length_mm": [900.0, 1000.0]},
         "stock length must be one number here, got an array of shape (2,): take one at a time"),
        ((Die([88.9, 115.0]),), {},
         "die must be a single one here, got an array of shape (2,) as its centerline radius: take one at a time"),
    ],
)  # fmt: skip
def test_a_shop_that_cannot_be_searched_is_refused_in_these_words(dies, choices, sentence):
    assert refused(ORDER, TUBE, dies, **choices) == sentence


def test_one_order_and_one_tube_are_searched_at_a_time():
    assert refused(replace(ORDER, rise_mm=[70.0, 80.0]), TUBE, DIES).startswith("order must be a single one here")
    assert refused(ORDER, Tube([22.2, 25.4], 1.5), DIES).startswith("tube must be a single one here")


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
    assert ways.reason(0).startswith("bend must be at least 11.746 deg, what the sweeps need")
