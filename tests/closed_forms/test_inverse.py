"""From an order to its recipe: whatever can be ordered comes back from the bar, and what cannot is refused in words."""

import re
from dataclasses import astuple, replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import (
    BendError,
    Order,
    Recipe,
    clamp_reading_deg,
    least_bend_deg,
    recipe_from_inner_bend,
    recipe_from_order,
    rise_window_mm,
    shape_from_recipe,
)
from barmath.refusal import remedy_first

TALLEST_MM = 500.0
"""Rise up to which the whole feasible range is tried: half the widest bar."""


# ---- what can be ordered: drawn so that every draw is feasible, ends of the range included


def sweeps(most_deg):
    return st.just(0.0) | st.sampled_from([-most_deg, most_deg]) | st.floats(-most_deg, most_deg)


shares = st.sampled_from([0.0, 1.0]) | st.floats(0.0, 1.0)
any_sweeps, any_upsweeps = sweeps(70.0), sweeps(40.0)
well_inside = st.floats(0.05, 0.95)
widths, flats, radii = st.floats(350.0, 1000.0), st.floats(1.0, 120.0), st.floats(15.0, 400.0)


@st.composite
def feasible(draw, upsweeps, backsweeps=any_sweeps, shares=shares):
    """An order with a radius and a bend that make it; the least bend and both ends of the rise window are drawn too."""
    order = Order(100.0, draw(backsweeps), draw(widths), draw(upsweeps), draw(flats), controls_mm=0.0)
    least = max(least_bend_deg(order), 0.1)
    radius, bend = draw(radii), least + draw(shares) ** 2 * (88.0 - least)
    lowest, highest = rise_window_mm(order, radius, bend, 0.0)
    lowest, highest = max(lowest, 0.01), min(highest, TALLEST_MM)
    assume(lowest <= highest)
    return replace(order, rise_mm=lowest + draw(shares) * (highest - lowest)), radius, bend


upright_orders = feasible(st.none())
swept_orders = feasible(any_upsweeps)
any_orders = upright_orders | swept_orders
clear_sweeps = st.floats(-60.0, -0.5) | st.floats(0.5, 60.0)
clear_upright_orders = feasible(st.none(), clear_sweeps, well_inside)


def made(order, radius, bend) -> Recipe:
    try:
        return recipe_from_order(order, radius, bend)
    except BendError as refusal:
        assume("must not run side by side" not in str(refusal))
        raise


def assert_measures(recipe: Recipe, order: Order) -> None:
    shape = shape_from_recipe(recipe)
    assert shape.rise_mm == pytest.approx(order.rise_mm, abs=LENGTH_MM, rel=0)
    assert shape.width_mm == pytest.approx(order.width_mm, abs=LENGTH_MM, rel=0)
    assert shape.backsweep_deg == pytest.approx(order.backsweep_deg, abs=ANGLE_DEG, rel=0)
    if order.upsweep_deg is not None:
        assert shape.upsweep_deg == pytest.approx(order.upsweep_deg, abs=ANGLE_DEG, rel=0)


@given(upright_orders)
def test_the_bar_measures_what_was_ordered_with_risers_upright(asked):
    recipe = made(*asked)
    assert recipe.stem_roll_deg == 0.0
    assert_measures(recipe, asked[0])


@given(swept_orders)
def test_the_bar_measures_what_was_ordered_with_upsweep(asked):
    assert_measures(made(*asked), asked[0])


@given(any_orders)
def test_four_equal_bends_come_back_with_the_radius_and_the_flat(asked):
    order, radius, bend = asked
    recipe = made(*asked)
    assert (recipe.inner_bend_deg, recipe.outer_bend_deg) == (bend, bend)
    assert (recipe.radius_mm, recipe.clamp_flat_mm) == (radius, order.clamp_flat_mm)


@given(
    rise=st.floats(20.0, 250.0), backsweep=any_sweeps, upsweep=st.none() | any_upsweeps, width=st.floats(600.0, 1000.0),
    radius=st.floats(15.0, 120.0), bend=st.floats(10.0, 70.0), stem_roll=st.floats(-30.0, 30.0),
)  # fmt: skip
def test_any_inner_bend_and_stem_roll_give_what_was_ordered(rise, backsweep, upsweep, width, radius, bend, stem_roll):
    order = Order(rise, backsweep, width, upsweep)
    try:
        recipe = recipe_from_inner_bend(order, radius, bend, stem_roll)
    except BendError:  # this drawn rise needs another bend
        assume(False)
        raise
    assert (recipe.inner_bend_deg, recipe.stem_roll_deg) == (bend, stem_roll)
    assert_measures(recipe, replace(order, upsweep_deg=upsweep or 0.0))


# ---- what must not change


@given(feasible(st.none() | any_upsweeps, clear_sweeps))
def test_the_order_mirrored_forward_is_the_recipe_rolled_the_other_way(asked):
    order, radius, bend = asked
    recipe = made(*asked)
    mirrored = made(replace(order, backsweep_deg=-order.backsweep_deg), radius, bend)
    expected = replace(recipe, roll_deg=-recipe.roll_deg, stem_roll_deg=-recipe.stem_roll_deg)
    np.testing.assert_allclose(astuple(mirrored), astuple(expected), atol=LENGTH_MM, rtol=0)


@given(clear_upright_orders)
def test_the_upsweep_of_an_upright_bar_ordered_gives_the_bar_with_its_risers_upright(asked):
    order, radius, bend = asked
    recipe = made(*asked)
    swept = made(replace(order, upsweep_deg=shape_from_recipe(recipe).upsweep_deg), radius, bend)
    np.testing.assert_allclose(astuple(swept), astuple(recipe), atol=1e-6, rtol=0)


@given(clear_upright_orders)
def test_the_inner_bend_alone_gives_the_equal_bends_back(asked):
    order, radius, bend = asked
    recipe = made(*asked)
    upsweep = shape_from_recipe(recipe).upsweep_deg
    free = recipe_from_inner_bend(replace(order, upsweep_deg=upsweep), radius, bend, 0.0)
    np.testing.assert_allclose(astuple(free), astuple(recipe), atol=1e-6, rtol=0)


@given(any_orders, st.floats(0.6, 1.6))
def test_a_larger_bar_on_a_larger_radius_keeps_its_angles_and_scales_its_straights(asked, scale):
    order, radius, bend = asked
    recipe = made(*asked)
    assume(350.0 <= scale * order.width_mm <= 1000.0)
    larger = replace(
        order,
        rise_mm=scale * order.rise_mm,
        width_mm=scale * order.width_mm,
        clamp_flat_mm=scale * order.clamp_flat_mm,
    )
    scaled = made(larger, scale * radius, bend)
    assert (scaled.roll_deg, scaled.stem_roll_deg) == (recipe.roll_deg, recipe.stem_roll_deg)
    assert scaled.straight_mm == pytest.approx(scale * recipe.straight_mm, abs=1e-8)
    assert scaled.grip_mm == pytest.approx(scale * recipe.grip_mm, abs=1e-8)


@given(any_orders, st.floats(0.0, 80.0))
def test_a_longer_clamp_flat_on_a_wider_bar_changes_nothing_else(asked, longer):
    order, radius, bend = asked
    assume(order.width_mm + longer <= 1000.0)
    recipe = made(*asked)
    wider = replace(order, width_mm=order.width_mm + longer, clamp_flat_mm=order.clamp_flat_mm + longer)
    lengthened = replace(recipe, clamp_flat_mm=recipe.clamp_flat_mm + longer)
    np.testing.assert_allclose(astuple(made(wider, radius, bend)), astuple(lengthened), atol=1e-8, rtol=0)


# ---- special cases


@given(backsweep=st.floats(1.0, 60.0), share=st.floats(0.01, 1.0))
def test_equal_bends_level_roll_by_a_ratio_of_sines(backsweep, share):
    # sin(phi/2) = sin(gamma/2)/sin a, and with level grips the total turn gamma is the backsweep
    bend = backsweep / 2 + share * (80.0 - backsweep / 2)
    order = Order(300.0, backsweep, 1000.0, 0.0)
    lowest, highest = rise_window_mm(replace(order, controls_mm=0.0), 20.0, bend, 0.0)
    roll = made(replace(order, rise_mm=(max(lowest, 0.0) + highest) / 2), 20.0, bend).roll_deg
    expected = 2 * np.degrees(np.arcsin(np.sin(np.radians(backsweep / 2)) / np.sin(np.radians(bend))))
    assert roll == pytest.approx(expected, abs=ANGLE_DEG)


def test_at_the_least_bend_with_upsweep_the_second_bend_goes_on_where_the_first_began():
    order = Order(15.0, 12.0, 780.0, 3.0)
    recipe = recipe_from_order(order, 90.0, least_bend_deg(order))
    assert recipe.roll_deg == pytest.approx(180.0, abs=2e-5)  # the root of an allowance for rounding
    assert_measures(recipe, order)


def test_without_sweep_the_bar_is_a_flat_offset():
    # rise = 2R (1 - cos a) + s sin a, and the riser's own width is 2R sin a + s cos a
    a = np.radians(30.0)
    recipe = recipe_from_order(Order(80.0, 0.0, 780.0), 90.0, 30.0)
    assert recipe.straight_mm == pytest.approx((80 - 180 * (1 - np.cos(a))) / np.sin(a), abs=LENGTH_MM)
    assert recipe.grip_mm == pytest.approx(365 - 180 * np.sin(a) - recipe.straight_mm * np.cos(a), abs=LENGTH_MM)
    assert (recipe.roll_deg, recipe.stem_roll_deg, clamp_reading_deg(recipe)) == (0.0, 0.0, 0.0)


def test_level_grips_without_sweep_are_the_same_flat_offset():
    upright, level = (recipe_from_order(Order(80.0, 0.0, 780.0, upsweep), 90.0, 30.0) for upsweep in (None, 0.0))
    np.testing.assert_allclose(astuple(level), astuple(upright), atol=LENGTH_MM, rtol=0)


def test_upsweep_alone_lays_the_risers_of_equal_bends_down_forward():
    # the roll that points the grip up points it square to the risers: they lie arccos(tan 2.5 / tan 30) forward
    order = Order(20.0, 0.0, 780.0, 5.0)
    recipe = recipe_from_order(order, 90.0, 30.0)
    lean = np.degrees(np.arccos(np.tan(np.radians(2.5)) / np.tan(np.radians(30.0))))
    assert recipe.stem_roll_deg == pytest.approx(-lean, abs=ANGLE_DEG)
    assert_measures(recipe, order)


# ---- rise windows


@given(any_orders, st.floats(0.0, 120.0), st.floats(0.0, 250.0))
def test_the_ends_of_the_window_leave_just_the_least_straight_and_just_the_controls(asked, least_straight, controls):
    order, radius, bend = asked
    order = replace(order, controls_mm=controls)
    window = rise_window_mm(order, radius, bend, least_straight)
    assume(0.01 < window[0] < window[1] < TALLEST_MM)
    lowest, highest = (made(replace(order, rise_mm=rise), radius, bend) for rise in window)
    if abs(lowest.roll_deg) > 89.0:  # there a longer straight lowers the bar
        lowest, highest = highest, lowest
    if lowest.straight_mm > highest.straight_mm:
        lowest, highest = highest, lowest
    assert lowest.straight_mm == pytest.approx(least_straight, abs=1e-7)
    assert highest.grip_mm == pytest.approx(controls, abs=1e-7)
    assert lowest.grip_mm >= controls - 1e-7
    assert highest.straight_mm >= least_straight - 1e-7


def test_the_window_does_not_depend_on_the_rise_ordered():
    low, high = Order(20.0, 12.0, 780.0), Order(200.0, 12.0, 780.0)
    assert rise_window_mm(low, 90.0, 25.0, 65.0) == rise_window_mm(high, 90.0, 25.0, 65.0)


class TestBacksweep14At770Wide:
    """Worked out for this project: risers upright, clamp flat 55, straight 65 or more, controls 190, bends of 28."""

    order = Order(70.0, 14.0, 770.0, clamp_flat_mm=55.0, controls_mm=190.0)

    def test_a_radius_of_100_has_a_window(self):
        lowest, highest = rise_window_mm(self.order, 100.0, 28.0, 65.0)
        assert lowest == pytest.approx(68.0, abs=0.05)
        assert highest == pytest.approx(78.8, abs=0.05)

    def test_a_radius_of_150_has_an_empty_one(self):
        lowest, highest = rise_window_mm(self.order, 150.0, 28.0, 65.0)
        assert lowest == pytest.approx(77.6, abs=0.05)
        assert highest == pytest.approx(66.5, abs=0.05)


# ---- the least bend


@given(any_orders)
def test_the_least_bend_makes_the_bar_and_a_hair_less_does_not(asked):
    order, radius, _ = asked
    least = least_bend_deg(order)
    assume(least > 0.2)
    rise_window_mm(order, radius, least, 0.0)
    with pytest.raises(BendError, match=r": bend must be at least "):
        rise_window_mm(order, radius, least * (1 - 1e-9), 0.0)


@given(st.floats(-80.0, 80.0), st.floats(-80.0, 80.0))
def test_the_least_bend_with_upsweep_is_half_the_total_turn(backsweep, upsweep):
    along = 1 / np.sqrt(1 + np.tan(np.radians(backsweep)) ** 2 + np.tan(np.radians(upsweep)) ** 2)
    half_turn = np.degrees(np.arccos(along)) / 2
    assert least_bend_deg(Order(80.0, backsweep, 780.0, upsweep)) == pytest.approx(half_turn, abs=1e-6)


def test_the_least_bend_of_an_array_is_an_array():
    assert least_bend_deg(Order(80.0, [6.0, 12.0], 780.0, 0.0)) == pytest.approx([3.0, 6.0], abs=ANGLE_DEG)
    assert type(least_bend_deg(Order(80.0, 12.0, 780.0))) is float


# ---- arrays


def test_arrays_broadcast_and_agree_with_numbers_bar_by_bar():
    rises, bends = np.linspace(70.0, 90.0, 5)[:, None], np.linspace(24.0, 30.0, 4)
    for upsweep in (None, 2.0):
        table = recipe_from_order(Order(rises, 12.0, 800.0, upsweep), 90.0, bends)
        low, high = rise_window_mm(Order(rises, 12.0, 800.0, upsweep), 90.0, bends, 65.0)
        for i, j in np.ndindex(5, 4):
            order, bend = Order(rises[i, 0], 12.0, 800.0, upsweep), bends[j]
            one = recipe_from_order(order, 90.0, bend)
            for name in ("straight_mm", "roll_deg", "grip_mm"):
                assert getattr(table, name)[i, j] == pytest.approx(getattr(one, name), abs=1e-11)
            assert (low[j], high[j]) == pytest.approx(rise_window_mm(order, 90.0, bend, 65.0), abs=1e-11)


def test_numbers_give_numbers():
    recipe = recipe_from_order(Order(80.0, 12.0, 800.0), 90.0, 25.0)
    assert {type(value) for value in astuple(recipe)} == {float}
    assert {type(value) for value in rise_window_mm(Order(80.0, 12.0, 800.0), 90.0, 25.0, 65.0)} == {float}


def test_no_orders_give_no_recipes():
    assert recipe_from_order(Order([], 12.0, 800.0), 90.0, 25.0).straight_mm.shape == (0,)
    assert recipe_from_inner_bend(Order([], 12.0, 800.0), 90.0, 25.0).straight_mm.shape == (0,)


# ---- refusals


def refused(call, *args) -> str:
    with pytest.raises(BendError) as refusal:
        call(*args)
    return str(refusal.value)


ORDER = Order(75.0, 12.0, 780.0)
LEVEL = Order(75.0, 12.0, 780.0, 0.0)
NO_PLANE = "choose a larger bend, because nobody can find the plane of this one at the bench"


@pytest.mark.parametrize(
    ("order", "radius", "bend", "sentence"),
    [
        (LEVEL, 90.0, 5.0,
         "bend must be at least 6.0 deg, half the total turn of 12.0 deg, got 5.0 deg: "
         "choose a larger bend or less sweep"),
        (ORDER, 90.0, 5.0,
         "bend must be at least 11.8 deg, what a backsweep of 12.0 deg needs with risers upright, got 5.0 deg: "
         "choose a larger bend or less sweep"),
        (ORDER, 90.0, [25.0, 11.0],
         "bend must be at least 11.8 deg, what a backsweep of 12.0 deg needs with risers upright, got 11.0 deg "
         "(element 1 of (2,)): choose a larger bend or less sweep"),
        (replace(ORDER, rise_mm=20.0), 165.0, 30.0,
         "rise must be from 54.0 to 161.9 mm with bends of 30.0 deg on a radius of 165.0 mm, got 20.0 mm: "
         "choose a tighter die, which lowers the least rise, or another bend"),
        (replace(ORDER, rise_mm=400.0), 165.0, 30.0,
         "rise must be from 54.0 to 161.9 mm with bends of 30.0 deg on a radius of 165.0 mm, got 400.0 mm: "
         "choose a wider bar, which raises the highest rise, or another bend"),
        (replace(ORDER, width_mm=350.0), 165.0, 85.0,
         "width must leave room for two arcs on each side, "
         "got 350.0 mm with bends of 85.0 deg on a radius of 165.0 mm: "
         "choose a smaller bend, a tighter die or a wider bar"),
        (Order(25.0, 6.0, 780.0, 0.0), 90.0, 3.0 + 1e-9,
         "riser and grip must not run side by side seen from the front, got that with a bend of 3.0 deg: "
         "choose a larger bend or less sweep, so that a straight sets the rise"),
        (ORDER, 90.0, 0.0, f"bend must be at least 0.1 deg, got 0.0 deg: {NO_PLANE}"),
        (ORDER, 90.0, -25.0, f"bend must be at least 0.1 deg, got -25.0 deg: {NO_PLANE}"),
        (ORDER, 90.0, 181.0, "bend must be below 90.0 deg, got 181.0 deg: "
         "choose a smaller bend, because a steeper riser leans inward"),
        (ORDER, 90.0, None, "bend must be a number in deg, got None: type a number, without quotes"),
        (ORDER, 90.0, "25", "bend must be a number in deg, got '25': type a number, without quotes"),
        (ORDER, 90.0, float("nan"), "bend must be a finite number in deg, got nan deg: type a number in deg"),
        (ORDER, 0.0, 25.0, "centre-line radius must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (ORDER, float("inf"), 25.0, "centre-line radius must be a finite number in mm, got inf mm: "
         "type a number in mm"),
        (ORDER, [90.0, 100.0], [20.0, 25.0, 30.0],
         "these numbers must have arrays that fit together, got shapes (2,) and (3,): "
         "give one number, or one for each bar"),
    ],
)  # fmt: skip
def test_what_equal_bends_cannot_make_is_refused_in_these_words(order, radius, bend, sentence):
    assert refused(recipe_from_order, order, radius, bend) == remedy_first(sentence)


@pytest.mark.parametrize(
    ("order", "bend", "stem_roll", "sentence"),
    [
        (Order(75.0, 0.0, 780.0, 25.0), 25.0, 0.0,
         "outer bend must be at least 0.1 deg, or the grip runs on straight from the riser, got 0.0 deg: "
         "choose another inner bend or stem roll"),
        (Order(20.0, 10.0, 780.0, 5.0), 25.0, 0.0,
         "rise must be from 43.2 to 154.3 mm with bends of 25.0 deg on a radius of 90.0 mm, got 20.0 mm: "
         "choose a tighter die, which lowers the least rise, or another bend"),
        (Order(175.0, 10.0, 780.0, 5.0), 25.0, 0.0,
         "rise must be from 43.2 to 154.3 mm with bends of 25.0 deg on a radius of 90.0 mm, got 175.0 mm: "
         "choose a wider bar, which raises the highest rise, or another bend"),
        (ORDER, 25.0, 200.0, "stem roll must be at most 180.0 deg, got 200.0 deg: "
         "give the same turn as an angle from -180 to 180 deg"),
        (ORDER, 0.0, 0.0, f"inner bend must be at least 0.1 deg, got 0.0 deg: {NO_PLANE}"),
        (ORDER, 180.0, 0.0, "inner bend must be at most 179.0 deg, got 180.0 deg: split the bend into two"),
    ],
)  # fmt: skip
def test_what_an_inner_bend_cannot_make_is_refused_in_these_words(order, bend, stem_roll, sentence):
    assert refused(recipe_from_inner_bend, order, 90.0, bend, stem_roll) == remedy_first(sentence)


def test_a_window_is_asked_for_with_a_straight_of_0_or_more():
    assert refused(rise_window_mm, ORDER, 90.0, 25.0, -1.0) == remedy_first(
        "least straight must be at least 0.0 mm, got -1.0 mm: type a number from 0.0 mm up"
    )


@given(any_orders, st.floats(1.001, 3.0))
def test_the_window_said_in_a_refusal_is_not_refused_in_its_turn(asked, beyond):
    order, radius, bend = asked
    lowest, highest = rise_window_mm(order, radius, bend, 0.0)
    assume(1.0 < highest > lowest + 0.002)
    try:
        recipe_from_order(replace(order, rise_mm=beyond * highest), radius, bend)
    except BendError as refusal:
        words = refusal.why
        assume(words.startswith("rise must be"))
    else:
        raise AssertionError("a rise above the window was not refused")
    said = [float(number) for number in re.search(r"rise must be (?:from (\S+) to|at most) (\S+) mm", words).groups(0)]
    assert min(said) >= 0.0
    assert (said[0] > 0.0) == (lowest > 0.0)
    for rise in {max(said[0], 0.01), said[1]}:
        assert_measures(recipe_from_order(replace(order, rise_mm=rise), radius, bend), replace(order, rise_mm=rise))


@given(st.floats(1.0, 60.0), st.none() | st.just(0.0) | st.floats(0.1, 30.0))
def test_the_least_bend_said_in_a_refusal_is_not_refused_in_its_turn(backsweep, upsweep):
    order = Order(80.0, backsweep, 780.0, upsweep)
    least = float(refused(rise_window_mm, order, 90.0, 0.1, 0.0).partition(" at least ")[2].split()[0])
    assert least_bend_deg(order) - 1e-9 <= least <= least_bend_deg(order) + 0.1
    rise_window_mm(order, 90.0, least, 0.0)


@pytest.mark.parametrize("stem_roll_deg", [-9.0, 0.0, 6.0])
def test_the_window_of_a_chosen_inner_bend_ends_where_its_straight_or_its_grip_does(stem_roll_deg):
    wanted = Order(300.0, 12.0, 800.0, 4.0, 60.0, 170.0)
    with pytest.raises(BendError, match="rise must be from") as refusal:
        recipe_from_inner_bend(wanted, 100.0, 30.0, stem_roll_deg)
    ends = [float(end) for end in re.search(r"from ([\d.]+) to ([\d.]+) mm", str(refusal.value)).groups()]
    for end, within, left in zip(ends, (0.05, -0.05), ("straight_mm", "grip_mm"), strict=True):  # they are rounded
        recipe = recipe_from_inner_bend(replace(wanted, rise_mm=end + within), 100.0, 30.0, stem_roll_deg)
        assert getattr(recipe, left) == pytest.approx(0.0, abs=0.5)
        with pytest.raises(BendError, match="rise must be from"):
            recipe_from_inner_bend(replace(wanted, rise_mm=end - 2.0 * within), 100.0, 30.0, stem_roll_deg)
