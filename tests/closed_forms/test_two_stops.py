"""Inner and outer bends that differ: the bar measures what was ordered, and equal bends are the special case."""

from dataclasses import astuple, replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import BendError, Order, Recipe, least_bend_deg, recipe_from_order, rise_window_mm, shape_from_recipe
from barmath.closed_forms.inverse import least_outer_bend_deg
from barmath.refusal import remedy_first

bends = st.floats(5.0, 80.0)
upsweeps = st.none() | st.floats(-12.0, 15.0)
ALMOST = 1e-6
"""Share of the range by which a bend stays inside its bounds: at the bound itself only rounding decides."""


@st.composite
def makeable(draw):
    """An order, a radius and two bends that make it: sweeps and bends first, then a rise from their window."""
    order = Order(100.0, draw(st.floats(-30.0, 30.0)), draw(st.floats(500.0, 1000.0)), draw(upsweeps), 60.0, 0.0)
    inner = draw(bends)
    least = max(float(least_outer_bend_deg(order, inner)), 0.1)
    most = 88.0 if order.upsweep_deg is None else min(2.0 * float(least_bend_deg(order)) + inner, 88.0)
    share = draw(st.floats(ALMOST, 1.0 - ALMOST))
    # bends that differ by less than a total turn of nothing differ by their own rounding
    assume(least < most and (order.upsweep_deg is None or least_bend_deg(order) > 0.01))
    outer, radius = least + share * (most - least), draw(st.floats(40.0, 250.0))
    lowest, highest = rise_window_mm(order, radius, inner, 0.0, outer)
    lowest, highest = max(lowest, 0.01), min(highest, 500.0)
    assume(lowest < highest)
    return replace(order, rise_mm=lowest + draw(st.floats(0.0, 1.0)) * (highest - lowest)), radius, inner, outer


@given(makeable())
def test_the_bar_measures_what_was_ordered(asked):
    order, radius, inner, outer = asked
    try:
        recipe = recipe_from_order(order, radius, inner, outer)
    except BendError as refusal:
        assume("must not run side by side" not in str(refusal))
        raise
    assert (recipe.inner_bend_deg, recipe.outer_bend_deg) == (inner, outer)
    shape = shape_from_recipe(recipe)
    within = {"abs": LENGTH_MM, "rel": 0}
    assert shape.rise_mm == pytest.approx(order.rise_mm, **within)
    assert shape.width_mm == pytest.approx(order.width_mm, **within)
    assert shape.backsweep_deg == pytest.approx(order.backsweep_deg, abs=ANGLE_DEG, rel=0)
    if order.upsweep_deg is None:
        assert recipe.stem_roll_deg == 0.0
    else:
        assert shape.upsweep_deg == pytest.approx(order.upsweep_deg, abs=ANGLE_DEG, rel=0)


@given(st.floats(-25.0, 25.0), bends, bends, upsweeps)
def test_the_smaller_of_the_two_rolls_is_taken(backsweep, inner, outer, upsweep):
    """A plain search over the roll finds no bar of these bends and sweeps with a smaller one."""
    order = Order(400.0, backsweep, 1000.0, upsweep, 60.0, 0.0)
    try:
        found = abs(recipe_from_order(order, 20.0, inner, outer).roll_deg)
    except BendError:
        return
    assume(found > 0.1)
    a, b, rolls = np.radians(inner), np.radians(outer), np.radians(np.linspace(-found + 0.01, found - 0.01, 4001))
    right = np.cos(a) * np.cos(b) + np.sin(a) * np.sin(b) * np.cos(rolls)
    back = np.sin(b) * np.sin(rolls)
    if upsweep is None:
        missed = back - np.tan(np.radians(backsweep)) * right
    else:
        slopes = np.hypot(np.tan(np.radians(backsweep)), np.tan(np.radians(upsweep)))
        missed = right - 1.0 / np.hypot(1.0, slopes)
    assert not (np.diff(np.sign(missed)) != 0.0).any()


@given(st.floats(-15.0, 15.0), st.floats(15.0, 60.0), upsweeps)
def test_equal_bends_named_twice_are_the_bar_of_one_stop(backsweep, bend, upsweep):
    order = Order(90.0, backsweep, 900.0, upsweep, 60.0, 0.0)
    assume(bend > least_bend_deg(order) + 0.01)
    try:
        once = recipe_from_order(order, 60.0, bend)
    except BendError:
        with pytest.raises(BendError):
            recipe_from_order(order, 60.0, bend, bend)
        return
    twice = recipe_from_order(order, 60.0, bend, bend)
    if upsweep is None:
        assert astuple(twice) == astuple(once)  # to the last bit
    else:
        assert astuple(twice) == pytest.approx(astuple(once), abs=LENGTH_MM)


def test_arrays_of_bends_give_what_each_pair_gives_alone():
    order = Order(125.0, 12.0, 780.0, None, 60.0, 160.0)
    inner, outer = np.array([29.0, 32.0, 38.0])[:, None], np.array([24.0, 30.0])
    recipe = recipe_from_order(order, 105.0, inner, outer)
    lowest, highest = rise_window_mm(order, 105.0, inner, 60.0, outer)
    for place in np.ndindex(3, 2):
        one = recipe_from_order(order, 105.0, float(inner[place[0], 0]), float(outer[place[1]]))
        assert recipe.roll_deg[place] == pytest.approx(one.roll_deg, abs=ANGLE_DEG)
        assert recipe.straight_mm[place] == pytest.approx(one.straight_mm, abs=LENGTH_MM)
        alone = rise_window_mm(order, 105.0, float(inner[place[0], 0]), 60.0, float(outer[place[1]]))
        assert (lowest[place], highest[place]) == pytest.approx(alone, abs=LENGTH_MM)


@pytest.mark.parametrize("upsweep", [None, 3.0])
@pytest.mark.parametrize(("inner", "outer"), [(35.0, 28.0), (28.0, 33.0)])
def test_the_ends_of_the_window_are_the_shortest_straight_and_the_shortest_grip(inner, outer, upsweep):
    order = Order(90.0, 14.0, 800.0, upsweep, 60.0, 170.0)
    lowest, highest = rise_window_mm(order, 105.0, inner, 65.0, outer)
    low, high = (recipe_from_order(replace(order, rise_mm=r), 105.0, inner, outer) for r in (lowest, highest))
    assert low.straight_mm == pytest.approx(65.0, abs=LENGTH_MM)
    assert high.grip_mm == pytest.approx(170.0, abs=LENGTH_MM)


# ---- what cannot be made is refused


@pytest.mark.parametrize(
    ("order", "inner", "outer", "words"),
    [
        (
            Order(95.0, 20.0, 800.0), 30.0, 12.0,
            "outer bend must be at least 17.3 deg with an inner bend of 30.0 deg, backsweep 20.0 deg and risers "
            "upright, got 12.0 deg: choose a larger bend or less sweep",
        ),
        (
            Order(95.0, 20.0, 800.0, 3.0), 8.0, 9.0,
            "inner and outer bend must add up to the total turn of 20.2 deg or more, got 8.0 and 9.0 deg: "
            "choose a larger bend or less sweep",
        ),
        (
            Order(95.0, 8.0, 800.0, 3.0), 40.0, 25.0,
            "inner and outer bend must differ by at most the total turn of 8.5 deg, got 40.0 and 25.0 deg: "
            "choose bends nearer to each other or more sweep",
        ),
        (
            Order(20.0, 12.0, 800.0), 35.0, 30.0,
            "with bends of 35.0 and 30.0 deg on a radius of 105.0 mm, got 20.0 mm: "
            "choose a tighter die, which lowers the least rise, or another bend",
        ),
    ],
)  # fmt: skip
def test_a_pair_that_makes_no_bar_is_refused_with_its_numbers(order, inner, outer, words):
    with pytest.raises(BendError) as refusal:
        recipe_from_order(order, 105.0, inner, outer)
    assert words in refusal.value.as_noted
    assert str(refusal.value) == remedy_first(refusal.value.as_noted)


@given(st.floats(0.5, 30.0), bends, upsweeps)
def test_the_least_outer_bend_is_where_bars_begin(backsweep, inner, upsweep):
    order = Order(95.0, backsweep, 800.0, upsweep, 60.0, 0.0)
    least = float(least_outer_bend_deg(order, inner))
    assume(0.2 < least < 85.0)
    for outer, there in ((least * (1.0 - 1e-3), False), (least * (1.0 + 1e-3), True)):
        try:
            rise_window_mm(order, 1.0, inner, 0.0, outer)
            found = True
        except BendError:
            found = False
        assert found == there


@pytest.mark.parametrize("outer", [0.0, 90.0, -5.0, float("nan"), "wide"])
def test_an_outer_bend_that_is_none_is_refused_by_name(outer):
    with pytest.raises(BendError, match="outer bend"):
        recipe_from_order(Order(95.0, 14.0, 800.0), 105.0, 30.0, outer)


def test_two_stops_make_twice_the_orders_of_one():
    """The count of a numerical search with its own solver (105 orders, three dies, stops of 10 to 45 in steps of 2.5,
    straight 60, controls 165, upsweep 0 to 8, springback left out): equal bends 35, two stops 81.
    """
    stops = np.arange(10.0, 45.1, 2.5)
    inner, outer = (grid.ravel() for grid in np.meshgrid(stops, stops, indexing="ij"))
    widths = (690.0, 740.0, 790.0)
    orders = [
        Order(rise, sweep, width, None, 60.0, 165.0)
        for rise in np.linspace(32.0, 138.0, 7)
        for sweep in np.linspace(5.0, 29.0, 5)
        for width in widths
    ]
    equal = sum(any(_makes(order, radius, stops, None) for radius in (95.0, 125.0, 155.0)) for order in orders)
    pairs = sum(any(_makes(order, radius, inner, outer) for radius in (95.0, 125.0, 155.0)) for order in orders)
    assert len(orders) == 105
    assert pairs > 2 * equal > 40


def _makes(order: Order, radius: float, inner: np.ndarray, outer: np.ndarray | None) -> bool:
    outer = inner if outer is None else outer
    can = outer > least_outer_bend_deg(order, inner) + 1e-9
    if not can.any():
        return False
    lowest, highest = rise_window_mm(order, radius, inner[can], 60.0, outer[can])
    fits = (lowest <= order.rise_mm) & (order.rise_mm <= highest)
    for i, o in zip(inner[can][fits], outer[can][fits], strict=True):
        shape = shape_from_recipe(_bar(order, radius, float(i), float(o)))
        if 0.0 <= shape.upsweep_deg <= 8.0:
            return True
    return False


def _bar(order: Order, radius: float, inner: float, outer: float) -> Recipe:
    return recipe_from_order(order, radius, inner, outer)
