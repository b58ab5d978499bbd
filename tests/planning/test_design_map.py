"""The design map against the functions that do one order at a time, by hand, and at its edges."""

from dataclasses import replace
from itertools import product
from math import cos, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import (
    BendError,
    Die,
    Order,
    Tube,
    clamp_reading_deg,
    least_bend_deg,
    recipe_from_order,
    rise_window_mm,
    shape_from_recipe,
    springback_from_tube,
)
from barmath.planning.candidates import CAN_BE_MADE, BendPair
from barmath.planning.design_map import bar_map, every_combination
from barmath.planning.even_bend import MOST_ROLL_DEG, even_bend_deg
from barmath.planning.ranking import ENOUGH_SPARE_MM
from barmath.planning.rules import LARGEST_STEM_ROLL_DEG
from barmath.planning.ways import every_way
from barmath.shop.offsets import bench_marks_mm

TUBE = Tube(22.225, 1.4732)
DIE_89 = Die(88.9, least_straight_mm=65, line_up_offset_mm=1.5, name="die 89")
DIES = (DIE_89, Die(114.3, least_straight_mm=65, largest_bend_deg=30), Die(165.1, least_straight_mm=65))
ORDER_7 = Order(78, 12, 780, controls_mm=180)
STOPS = (15.0, 20.0, 22.5, 25.0, 30.0, 35.0, 40.0)
RISES, SWEEPS = np.arange(30.0, 151.0, 10.0), np.arange(0.0, 31.0, 3.0)
GRID = replace(ORDER_7, rise_mm=RISES[:, None], backsweep_deg=SWEEPS)

orders = st.builds(
    Order,
    rise_mm=st.floats(20, 150),
    backsweep_deg=st.floats(0.1, 30),
    width_mm=st.floats(600, 900),
    upsweep_deg=st.none() | st.floats(-5, 10),
    controls_mm=st.floats(100, 220),
)


def test_every_combination_says_what_the_table_of_every_way_says():
    tried = every_combination(GRID, TUBE, DIES, STOPS, stock_length_mm=950)
    assert tried.binding.shape == (len(DIES), len(STOPS), RISES.size, SWEEPS.size)
    for i, rise in enumerate(RISES):
        for j, sweep in enumerate(SWEEPS[::2]):
            one = replace(ORDER_7, rise_mm=rise, backsweep_deg=sweep)
            ways = every_way(one, TUBE, DIES, bends_deg=STOPS, stock_length_mm=950, equal_only=True)
            for row in range(len(ways)):
                place = (ways.die_index[row], STOPS.index(ways.bend_deg[row]), i, 2 * j)
                broken = [limit.key for limit in ways.limits if limit.refuses and limit.broken[row]]
                code = tried.binding[place]
                assert (code == CAN_BE_MADE) == ways.feasible[row]
                if broken:
                    assert tried.keys[code - 1] == broken[0]
                assert tried.warned[place] == ways.warned[row]
                spare = min(ways.straight_left_mm[row], ways.grip_left_mm[row])
                assert tried.spare_mm[place] == pytest.approx(spare, abs=1e-6, rel=1e-9, nan_ok=True)


def test_every_combination_of_two_stops_says_what_the_table_of_every_way_says():
    stops, grid = (25.0, 27.5, 30.0), replace(ORDER_7, rise_mm=RISES[4:8:2, None], backsweep_deg=SWEEPS[2:5:2])
    pairs = BendPair(np.repeat(stops, 3), np.tile(stops, 3))
    tried = every_combination(grid, TUBE, DIES, pairs, stock_length_mm=950)
    made = 0
    for i, rise in enumerate(RISES[4:8:2]):
        for j, sweep in enumerate(SWEEPS[2:5:2]):
            one = replace(ORDER_7, rise_mm=rise, backsweep_deg=sweep)
            ways = every_way(one, TUBE, DIES, bends_deg=stops, stock_length_mm=950)
            pair = 3 * np.searchsorted(stops, ways.inner_bend_deg) + np.searchsorted(stops, ways.outer_bend_deg)
            there = (ways.die_index, pair, i, j)
            assert np.array_equal(tried.binding[there] == CAN_BE_MADE, ways.feasible)
            assert np.array_equal(tried.warned[there], ways.warned)
            spare = np.minimum(ways.straight_left_mm, ways.grip_left_mm)
            assert tried.spare_mm[there] == pytest.approx(spare, abs=1e-6, rel=1e-9, nan_ok=True)
            made += int(ways.feasible[ways.two_stops].sum())
    assert made > 3


def test_a_pair_of_equal_stops_makes_what_one_stop_makes():
    one = every_combination(GRID, TUBE, DIES, STOPS)
    two = every_combination(GRID, TUBE, DIES, BendPair(np.array(STOPS), np.array(STOPS)))
    assert np.array_equal(one.binding, two.binding)
    assert two.spare_mm == pytest.approx(one.spare_mm, abs=1e-6, nan_ok=True)


@given(rise=st.floats(40, 100), backsweep=st.floats(0, 12), width=st.floats(720, 840))
def test_the_even_bend_spares_straight_and_grip_alike(rise, backsweep, width):
    order = replace(ORDER_7, rise_mm=rise, backsweep_deg=backsweep, width_mm=width)
    bend = float(even_bend_deg(order, TUBE, DIE_89, 10, 45))
    one = bar_map(order, TUBE, DIE_89, bend)
    straight, controls = one.limit("straight").margin, one.limit("controls").margin
    if bend > 44.9:
        assert straight >= controls - 0.1
    elif abs(straight - controls) > 0.1:
        beside = bar_map(order, TUBE, DIE_89, np.array([bend - 0.2, bend + 0.2])).limit("straight").margin
        assert straight < controls
        assert (straight >= beside).all(), "nowhere else is the straight longer"
    steeper = bar_map(order, TUBE, DIE_89, np.arange(bend + 0.1, 45, 0.5))
    assert (steeper.spare_mm <= one.spare_mm + 0.1).all()


def test_the_even_bend_is_what_a_plain_search_finds_or_the_one_that_leaves_most():
    bends, balanced, tried = np.arange(10.0, 45.001, 0.05), 0, 0
    grid = product(np.arange(30.0, 141.0, 10.0), (0.0, 6.0, 12.0, 20.0), (150.0, 200.0), (None, 1.0, 6.0))
    for rise, backsweep, controls, upsweep in grid:
        order = Order(rise, backsweep, 720.0, upsweep, controls_mm=controls)
        bars = bar_map(order, TUBE, DIE_89, bends)
        straight, grip = bars.limit("straight").margin, bars.limit("controls").margin
        upright = np.abs(np.degrees(bars.legs.psi)) <= LARGEST_STEM_ROLL_DEG
        stands = upright & (np.abs(np.degrees(bars.legs.phi)) <= MOST_ROLL_DEG)
        if not stands.any():
            continue
        spare = np.where(stands, np.minimum(straight, grip), -np.inf)
        largest = np.flatnonzero(stands & (straight >= grip))[-1:]
        even = largest.size > 0 and spare[largest[0]] >= ENOUGH_SPARE_MM
        wanted = bends[largest[0]] if even else bends[np.argmax(spare)]
        assert even_bend_deg(order, TUBE, DIE_89, 10, 45) == pytest.approx(wanted, abs=0.2), order
        balanced, tried = balanced + even, tried + 1
    assert 60 < balanced < 0.8 * tried


def test_the_even_bends_of_a_grid_are_those_of_its_orders_one_by_one():
    grid = even_bend_deg(GRID, TUBE, DIE_89, 10, 45)
    for i, j in [(0, 0), (5, 4), (8, 2), (12, 10)]:
        one = even_bend_deg(replace(ORDER_7, rise_mm=RISES[i], backsweep_deg=SWEEPS[j]), TUBE, DIE_89, 10, 45)
        assert grid[i, j] == pytest.approx(float(one), abs=1e-12)


@given(orders, st.sampled_from(STOPS))
def test_a_bar_of_the_map_is_that_of_the_closed_form(order, bend):
    one = bar_map(order, TUBE, DIE_89, bend)
    if one.binding != CAN_BE_MADE:
        with pytest.raises(BendError, match="must be at"):
            one.recipe()
        return
    recipe, exact = one.recipe(), recipe_from_order(order, one.radius_mm, bend)
    for field in ("straight_mm", "grip_mm", "roll_deg", "stem_roll_deg", "inner_bend_deg", "outer_bend_deg"):
        assert getattr(recipe, field) == pytest.approx(getattr(exact, field), abs=LENGTH_MM)
    shape = shape_from_recipe(recipe)
    assert one.setback_mm == pytest.approx(shape.setback_mm, abs=1e-8)
    assert one.backsweep_deg == pytest.approx(shape.backsweep_deg, abs=ANGLE_DEG)
    assert one.upsweep_deg == pytest.approx(shape.upsweep_deg, abs=ANGLE_DEG)
    assert one.clamp_reading_deg == pytest.approx(clamp_reading_deg(recipe), abs=ANGLE_DEG)
    assert one.outer_mark_mm == pytest.approx(bench_marks_mm(recipe, DIE_89)[1], abs=LENGTH_MM)


def test_a_map_holds_at_each_place_what_the_single_bar_there_holds():
    stops = even_bend_deg(GRID, TUBE, DIE_89, 10, 45)
    whole = bar_map(GRID, TUBE, DIE_89, stops)
    for i, j in [(0, 0), (4, 4), (6, 2), (12, 10)]:
        one = bar_map(replace(ORDER_7, rise_mm=RISES[i], backsweep_deg=SWEEPS[j]), TUBE, DIE_89, stops[i, j])
        assert whole.binding[i, j] == one.binding
        for column in ("spare_mm", "outer_mark_mm", "clamp_reading_deg", "setback_mm", "bend_deg", "upsweep_deg"):
            assert getattr(whole, column)[i, j] == pytest.approx(float(getattr(one, column)), rel=1e-12)


@pytest.mark.parametrize("die", DIES, ids=lambda die: f"{die.centerline_radius_mm}")
@given(backsweep=st.floats(1, 15), bend=st.floats(18, 30))
def test_the_lower_edge_is_too_little_straight_and_the_upper_edge_no_room_for_controls(die, backsweep, bend):
    order = replace(ORDER_7, backsweep_deg=backsweep)
    radius = springback_from_tube(TUBE, die).finished_radius_mm
    lowest, highest = rise_window_mm(order, radius, bend, die.least_straight_mm)
    if not 1 < lowest < highest - 1 or springback_from_tube(TUBE, die).die_bend_deg(bend) > die.largest_bend_deg:
        return
    places = {"straight": lowest - 0.01, "": lowest + 0.01, "controls": highest + 0.01}
    for key, rise in places.items():
        one = bar_map(replace(order, rise_mm=rise), TUBE, die, bend)
        assert (one.keys[one.binding - 1] if one.binding else "") == key


def test_the_left_out_sweeps_are_those_beyond_the_least_bend():
    sweeps = np.arange(0.0, 40.0, 0.5)
    one = bar_map(replace(ORDER_7, backsweep_deg=sweeps), TUBE, DIE_89, 25.0)
    too_much = least_bend_deg(replace(ORDER_7, backsweep_deg=sweeps)) > 25.0
    assert too_much.any()
    assert np.array_equal(one.binding == 1 + one.keys.index("turn"), too_much)


@pytest.mark.parametrize(
    ("die", "stock_mm", "key"),
    [
        (replace(DIE_89, largest_bend_deg=20), 1000, "stop"),
        (replace(DIE_89, tube_diameter_mm=25.4), 1000, "groove"),
        (DIE_89, 600, "stock"),
    ],
)
def test_a_die_or_a_rack_that_cannot_names_its_own_limit(die, stock_mm, key):
    one = bar_map(ORDER_7, TUBE, die, 25.0, stock_length_mm=stock_mm)
    assert one.keys[one.binding - 1] == key


def test_on_a_die_that_is_too_large_no_order_of_the_grid_can_be_made():
    tried = every_combination(GRID, TUBE, [Die(400)], STOPS)
    assert tried.binding.all()


@given(
    setback=st.floats(-40, 120), rise=st.floats(40, 120), width=st.floats(650, 850), bend=st.sampled_from([25.0, 35.0])
)
def test_a_bar_asked_for_by_its_setback_measures_so(setback, rise, width, bend):
    one = bar_map(replace(ORDER_7, rise_mm=rise, width_mm=width), TUBE, DIE_89, bend, setback_mm=setback)
    if one.binding == CAN_BE_MADE:
        shape = shape_from_recipe(one.recipe())
        assert shape.setback_mm == pytest.approx(setback, abs=LENGTH_MM)
        assert shape.rise_mm == pytest.approx(rise, abs=LENGTH_MM)
        assert shape.width_mm == pytest.approx(width, abs=LENGTH_MM)
        assert shape.backsweep_deg == pytest.approx(float(one.backsweep_deg), abs=ANGLE_DEG)
        again = bar_map(
            replace(ORDER_7, rise_mm=rise, width_mm=width, backsweep_deg=shape.backsweep_deg), TUBE, DIE_89, bend
        )
        assert again.setback_mm == pytest.approx(setback, abs=1e-7)


def test_the_outer_leg_of_a_setback_bar_by_hand():
    one = bar_map(ORDER_7, TUBE, DIE_89, 30.0, setback_mm=45.0)
    radius, a, phi = one.radius_mm, radians(30), one.legs.phi
    leg = one.grip_mm + radius * tan(a / 2)
    assert leg * sin(phi) == pytest.approx(45 * 2)  # 45 / sin 30
    assert leg * cos(phi) == pytest.approx(390 - 25 - radius * tan(a / 2) - 78 / tan(a))


def test_no_setback_is_a_flat_offset():
    one = bar_map(ORDER_7, TUBE, DIE_89, 25.0, setback_mm=0.0)
    assert (one.legs.phi, one.backsweep_deg, one.upsweep_deg) == (0, 0, 0)


def test_width_and_upsweep_make_axes_as_well():
    grid = replace(ORDER_7, width_mm=np.array([700.0, 780.0])[:, None], upsweep_deg=np.array([0.0, 2.0, 4.0]))
    tried = every_combination(grid, TUBE, [DIE_89], [25.0, 30.0])
    assert tried.binding.shape == (1, 2, 2, 3)
    one = bar_map(replace(ORDER_7, width_mm=700.0, upsweep_deg=2.0), TUBE, DIE_89, 30.0)
    assert tried.binding[0, 1, 0, 1] == one.binding
    assert tried.spare_mm[0, 1, 0, 1] == pytest.approx(float(one.spare_mm))


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"dies": []}, "Add a die to the shop's file: the shop must have at least one die, got none"),
        ({"bends_deg": []}, "Name a bend: there must be at least one stop setting to try, got none"),
        ({"bends_deg": [25, 90]}, "bend must be below 90.0 deg, got 90.0 deg"),
        ({"dies": [replace(DIE_89, centerline_radius_mm=np.array([80.0, 90.0]))]}, "die must be a single one"),
        ({"setback_mm": np.zeros(7)}, "the orders of a map must have arrays that fit together"),
        ({"order": Order(78, 12, 780, 2.0), "setback_mm": 40}, "setback and upsweep must not be ordered together"),
    ],
)
def test_what_makes_no_map_is_refused(change, sentence):
    asked = {"order": GRID, "tube": TUBE, "dies": DIES, "bends_deg": STOPS} | change
    with pytest.raises(BendError) as refusal:
        every_combination(**asked)
    assert sentence in str(refusal.value)
