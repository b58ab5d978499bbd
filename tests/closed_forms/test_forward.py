"""From a recipe to what the bar measures: cases by hand, two other routes, and what must not change."""

from dataclasses import fields, replace
from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation
from tolerances import ANGLE_DEG, LENGTH_MM, RATIO

from barmath import BendError, Order, Recipe, Shape, clamp_reading_deg, recipe_from_order, shape_from_recipe
from barmath.arrays import BLOCK
from barmath.closed_forms.forward import grips_level, half_tangent, risers_upright
from barmath.refusal import remedy_first

MEASURES = ("rise_mm", "backsweep_deg", "upsweep_deg", "width_mm", "setback_mm", "cut_length_mm")
LENGTHS = ("clamp_flat_mm", "straight_mm", "grip_mm", "radius_mm")

recipes = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(20.0, 120.0),
    inner_bend_deg=st.floats(0.1, 80.0),
    straight_mm=st.floats(0.0, 300.0),
    roll_deg=st.floats(-80.0, 80.0),
    outer_bend_deg=st.floats(0.1, 80.0),
    grip_mm=st.floats(0.0, 400.0),
    radius_mm=st.floats(20.0, 400.0),
    stem_roll_deg=st.floats(-60.0, 60.0),
)


def assert_same(shape: Shape, expected: Shape, **changed) -> None:
    for measure in MEASURES:
        within = LENGTH_MM if measure.endswith("mm") else ANGLE_DEG
        wanted = changed.get(measure, getattr(expected, measure))
        assert getattr(shape, measure) == pytest.approx(wanted, abs=within, rel=1e-12), measure


def bar(**changed) -> Recipe:
    return Recipe(**{"clamp_flat_mm": 55.0, "inner_bend_deg": 28.0, "straight_mm": 90.0, "roll_deg": 31.0,
                     "outer_bend_deg": 28.0, "grip_mm": 200.0, "radius_mm": 100.0} | changed)  # fmt: skip


# ---- by hand


def test_a_flat_offset_rises_by_two_arcs_and_a_slanted_straight():
    # no roll, equal bends of 60: cos = 1/2, sin = sqrt(3)/2
    shape = shape_from_recipe(bar(inner_bend_deg=60.0, outer_bend_deg=60.0, roll_deg=0.0))
    assert shape.rise_mm == pytest.approx(2 * 100 * (1 - 1 / 2) + 90 * np.sqrt(3) / 2, abs=LENGTH_MM)
    assert shape.width_mm == pytest.approx(2 * (27.5 + 2 * 100 * np.sqrt(3) / 2 + 90 / 2 + 200), abs=LENGTH_MM)
    assert shape.cut_length_mm == pytest.approx(2 * (27.5 + 2 * 100 * np.pi / 3 + 90 + 200), abs=LENGTH_MM)
    assert (shape.backsweep_deg, shape.upsweep_deg, shape.setback_mm) == pytest.approx((0, 0, 0), abs=LENGTH_MM)


def test_a_quarter_roll_with_bends_of_45_points_the_grip_half_along_the_axis():
    # d2 = (cos^2 45, sin 45, sin 45 cos 45) = (1/2, sqrt(2)/2, 1/2): the back share is sqrt(2) times the other two
    shape = shape_from_recipe(bar(inner_bend_deg=45.0, outer_bend_deg=45.0, roll_deg=90.0, grip_mm=0.0))
    half = 1 / np.sqrt(2)
    assert shape.backsweep_deg == pytest.approx(np.degrees(np.arctan(np.sqrt(2))), abs=ANGLE_DEG)
    assert shape.upsweep_deg == pytest.approx(45.0, abs=ANGLE_DEG)
    assert shape.setback_mm == pytest.approx(100 * (1 - half), abs=LENGTH_MM)
    assert shape.rise_mm == pytest.approx(100 * (1 - half) + 90 * half + 100 / 2, abs=LENGTH_MM)
    assert shape.width_mm == pytest.approx(2 * (27.5 + 100 * half + 90 * half + 100 / 2), abs=LENGTH_MM)


def test_a_bar_turned_a_quarter_in_its_stem_is_where_it_was():
    upright = shape_from_recipe(bar())
    turned = shape_from_recipe(bar(stem_roll_deg=90.0))
    assert turned.setback_mm == pytest.approx(upright.rise_mm, abs=LENGTH_MM)
    assert turned.rise_mm == pytest.approx(-upright.setback_mm, abs=LENGTH_MM)
    assert turned.backsweep_deg == pytest.approx(upright.upsweep_deg, abs=ANGLE_DEG)
    assert turned.upsweep_deg == pytest.approx(-upright.backsweep_deg, abs=ANGLE_DEG)


def test_one_tube_has_a_rise_with_risers_upright_and_another_with_grips_level():
    # worked out for this project: R 100, bends 28, half flat 27.5, straight 90, clamp reading 14, 770 wide
    roll = np.degrees(np.arcsin(np.sin(np.radians(14.0)) / np.sin(np.radians(28.0))))
    without_grip = shape_from_recipe(bar(roll_deg=roll, grip_mm=0.0))
    a_mm_of_grip = shape_from_recipe(bar(roll_deg=roll, grip_mm=1.0)).width_mm - without_grip.width_mm
    recipe = bar(roll_deg=roll, grip_mm=(770.0 - without_grip.width_mm) / a_mm_of_grip)
    assert shape_from_recipe(recipe).width_mm == pytest.approx(770.0, abs=LENGTH_MM)
    assert clamp_reading_deg(recipe) == pytest.approx(14.0, abs=ANGLE_DEG)
    assert shape_from_recipe(risers_upright(recipe)).rise_mm == pytest.approx(78.5, abs=0.05)
    assert shape_from_recipe(grips_level(recipe)).rise_mm == pytest.approx(63.8, abs=0.05)


# ---- other routes


def by_closed_form(recipe: Recipe) -> tuple[float, ...]:
    """The bar end and the sweeps, each written out in sines and cosines arc by arc."""
    turns = recipe.inner_bend_deg, recipe.roll_deg, recipe.outer_bend_deg, recipe.stem_roll_deg
    a, phi, b, psi = map(np.radians, turns)
    c, s, g, radius = recipe.clamp_flat_mm / 2, recipe.straight_mm, recipe.grip_mm, recipe.radius_mm
    sin, cos = np.sin, np.cos
    d2x = cos(a) * cos(b) + sin(a) * sin(b) * cos(phi)
    d2b = sin(b) * sin(phi)
    d2u = sin(a) * cos(b) - cos(a) * sin(b) * cos(phi)
    right = (c + radius * sin(a) + s * cos(a)
             + radius * (sin(b) * cos(a) + (1 - cos(b)) * sin(a) * cos(phi)) + g * d2x)  # fmt: skip
    back = radius * (1 - cos(b)) * sin(phi) + g * d2b
    up = (radius * (1 - cos(a)) + s * sin(a)
          + radius * (sin(b) * sin(a) - (1 - cos(b)) * cos(a) * cos(phi)) + g * d2u)  # fmt: skip
    grip_back, grip_up = d2b * cos(psi) + d2u * sin(psi), d2u * cos(psi) - d2b * sin(psi)
    return (
        up * cos(psi) - back * sin(psi),
        np.degrees(np.arctan2(grip_back, d2x)),
        np.degrees(np.arctan2(grip_up, d2x)),
        2 * right,
        back * cos(psi) + up * sin(psi),
        2 * (c + radius * (a + b) + s + g),
    )


def by_rotations(recipe: Recipe) -> tuple[float, ...]:
    """The same with SciPy's rotations, frame x right, y forward, z up: the tube carries its own axes along."""
    turn = Rotation.from_euler("x", recipe.stem_roll_deg, degrees=True)  # tops rearward
    place = turn.apply([recipe.clamp_flat_mm / 2, 0.0, 0.0])
    for roll, bend, straight in (
        (0.0, recipe.inner_bend_deg, recipe.straight_mm),
        (180.0 - recipe.roll_deg, recipe.outer_bend_deg, recipe.grip_mm),
    ):
        turn = turn * Rotation.from_euler("x", roll, degrees=True)
        theta = np.radians(bend)
        place = place + turn.apply(recipe.radius_mm * np.array([np.sin(theta), 0.0, 1 - np.cos(theta)]))
        turn = turn * Rotation.from_euler("y", -bend, degrees=True)
        place = place + turn.apply([straight, 0.0, 0.0])
    along, (right, forward, up) = turn.apply([1.0, 0.0, 0.0]), place
    return (
        up,
        np.degrees(np.arctan2(-along[1], along[0])),
        np.degrees(np.arctan2(along[2], along[0])),
        2 * right,
        -forward,
        recipe.clamp_flat_mm + 2 * (recipe.straight_mm + recipe.grip_mm)
        + 2 * recipe.radius_mm * np.radians(recipe.inner_bend_deg + recipe.outer_bend_deg),
    )  # fmt: skip


@pytest.mark.parametrize("route", [by_closed_form, by_rotations])
@given(recipe=recipes)
def test_another_route_gives_the_same_bar(route, recipe):
    *_, right_twice, _, _ = expected = route(recipe)
    assume(right_twice > 1.0)
    sweeps_are_clear = max(map(abs, expected[1:3])) < 89.0
    assume(sweeps_are_clear)
    assert_same(shape_from_recipe(recipe), Shape(*expected))


@given(st.floats(-3.1, 3.1))
def test_one_tangent_gives_sine_and_cosine(theta):
    tangent, sine, cosine = half_tangent(theta)
    assert tangent == np.tan(0.5 * theta)
    assert sine == pytest.approx(np.sin(theta), abs=1e-15)
    assert cosine == pytest.approx(np.cos(theta), abs=1e-15)


# ---- what must not change


def measured(recipe: Recipe) -> Shape:
    try:
        shape = shape_from_recipe(recipe)
    except BendError:  # this drawn bar points square to the clamp axis or crosses over
        assume(False)
        raise
    assume(max(abs(shape.backsweep_deg), abs(shape.upsweep_deg)) < 89.0)
    return shape


@given(recipes)
def test_the_mirrored_bar_sweeps_forward_and_measures_the_same_else(recipe):
    shape = measured(recipe)
    mirrored = replace(recipe, roll_deg=-recipe.roll_deg, stem_roll_deg=-recipe.stem_roll_deg)
    assert_same(shape_from_recipe(mirrored), shape, backsweep_deg=-shape.backsweep_deg, setback_mm=-shape.setback_mm)


@given(recipes, st.floats(0.5, 2.0))
def test_a_bar_of_twice_the_size_measures_twice_as_much_at_the_same_angles(recipe, scale):
    shape = measured(recipe)
    scaled = {name: scale * getattr(recipe, name) for name in LENGTHS}
    lengths = {name: scale * getattr(shape, name) for name in MEASURES if name.endswith("mm")}
    assert_same(shape_from_recipe(replace(recipe, **scaled)), shape, **lengths)


@given(recipes, st.floats(-40.0, 40.0))
def test_turning_the_bar_in_its_stem_keeps_width_length_and_distance_from_the_clamp_axis(recipe, turn):
    shape, turned = measured(recipe), measured(replace(recipe, stem_roll_deg=turn))
    assert turned.width_mm == pytest.approx(shape.width_mm, abs=LENGTH_MM)
    assert turned.cut_length_mm == shape.cut_length_mm
    assert np.hypot(turned.rise_mm, turned.setback_mm) == pytest.approx(
        np.hypot(shape.rise_mm, shape.setback_mm), abs=LENGTH_MM
    )


@given(recipes, st.floats(0.0, 100.0))
def test_a_longer_clamp_flat_adds_to_width_and_length_and_to_nothing_else(recipe, longer):
    shape = measured(recipe)
    lengthened = replace(recipe, clamp_flat_mm=recipe.clamp_flat_mm + longer)
    assert_same(
        shape_from_recipe(lengthened), shape,
        width_mm=shape.width_mm + longer, cut_length_mm=shape.cut_length_mm + longer,
    )  # fmt: skip


@given(recipes)
def test_the_bar_end_is_never_further_from_the_middle_than_the_tube_is_long(recipe):
    shape = measured(recipe)
    reach = np.sqrt((shape.width_mm / 2) ** 2 + shape.rise_mm**2 + shape.setback_mm**2)
    assert reach <= shape.cut_length_mm / 2 + LENGTH_MM


# ---- arrays


def test_arrays_broadcast_and_agree_with_numbers_bar_by_bar():
    bends, rolls = np.linspace(10.0, 60.0, 6)[:, None], np.linspace(-70.0, 70.0, 8)
    table = shape_from_recipe(bar(inner_bend_deg=bends, roll_deg=rolls, stem_roll_deg=5.0))
    for i, bend in enumerate(bends[:, 0]):
        for j, roll in enumerate(rolls):
            one = shape_from_recipe(bar(inner_bend_deg=bend, roll_deg=roll, stem_roll_deg=5.0))
            assert_same(Shape(*(getattr(table, name)[i, j] for name in MEASURES)), one)
    assert table.rise_mm.shape == (6, 8)


@pytest.mark.parametrize("table", [(4, 3), (BLOCK // 100 + 1, 100)], ids=["in one block", "in two blocks"])
def test_any_mix_of_numbers_columns_and_rows_measures_what_the_formula_in_sines_gives(table):
    names = [field.name for field in fields(Recipe)]
    column, row = np.linspace(0.0, 3.0, table[0])[:, None], np.linspace(0.0, 2.0, table[1])
    spread = [column, row, row, column, row, column, row, column]
    for arrays in product((False, True), repeat=len(names)):
        more = {name: add for name, add, array in zip(names, spread, arrays, strict=True) if array}
        recipe = bar(**{name: getattr(bar(), name) + add for name, add in more.items()})
        shape = shape_from_recipe(recipe)
        for name, wanted in zip(MEASURES, by_closed_form(recipe), strict=True):
            got, wanted = np.broadcast_arrays(getattr(shape, name), wanted)
            np.testing.assert_allclose(got, wanted, RATIO, RATIO, err_msg=f"{name}, {list(more)}")


def test_numbers_give_numbers():
    shape = shape_from_recipe(bar())
    assert all(type(getattr(shape, name)) is float for name in MEASURES)
    assert type(clamp_reading_deg(bar())) is float


def test_no_bars_give_no_shapes():
    assert shape_from_recipe(bar(roll_deg=[])).rise_mm.shape == (0,)


# ---- the clamp reading and the two ways to stand


@given(recipes)
def test_the_sine_of_the_clamp_reading_is_a_product_of_two_sines(recipe):
    a, phi = np.radians(recipe.inner_bend_deg), np.radians(recipe.roll_deg)
    assert np.sin(np.radians(clamp_reading_deg(recipe))) == pytest.approx(np.sin(a) * np.sin(phi), abs=1e-14)


@pytest.mark.parametrize(("reading", "off_by"), [(14.0, 0.03), (20.0, 0.27)])
def test_with_equal_bends_of_25_the_clamp_reading_is_very_nearly_the_backsweep(reading, off_by):
    # worked out for this project
    roll = np.degrees(np.arcsin(np.sin(np.radians(reading)) / np.sin(np.radians(25.0))))
    shape = shape_from_recipe(bar(inner_bend_deg=25.0, outer_bend_deg=25.0, roll_deg=roll))
    assert abs(shape.backsweep_deg - reading) == pytest.approx(off_by, abs=0.005)


@given(recipes)
def test_level_grips_have_no_upsweep(recipe):
    measured(recipe)
    level = grips_level(recipe)
    assert abs(level.stem_roll_deg) <= 90.0
    assert shape_from_recipe(level).upsweep_deg == pytest.approx(0.0, abs=ANGLE_DEG)


def test_a_bar_without_sweep_keeps_its_risers_upright_when_levelled():
    assert grips_level(bar(roll_deg=0.0)).stem_roll_deg == 0.0


def test_levelled_and_set_upright_again_the_bar_is_the_same():
    recipe = bar()
    assert risers_upright(grips_level(recipe)) == recipe
    assert grips_level(bar(roll_deg=[10.0, 20.0])).stem_roll_deg.shape == (2,)


def test_a_bar_swept_forward_keeps_its_rise_when_levelled():
    forward = recipe_from_order(Order(80.0, -12.0, 780.0), 90.0, 25.0)
    assert shape_from_recipe(grips_level(forward)).rise_mm > 50.0


# ---- where there is no answer


@pytest.mark.parametrize("stem_roll", [0.0, 20.0])
def test_a_grip_square_to_the_clamp_axis_has_no_sweep(stem_roll):
    with pytest.raises(BendError) as refusal:
        shape_from_recipe(bar(inner_bend_deg=90.0, outer_bend_deg=90.0, roll_deg=90.0, stem_roll_deg=stem_roll))
    assert str(refusal.value) == remedy_first(
        "the grip must point away from the middle, got a grip square to the clamp axis, which has no sweep: "
        "choose smaller bends or another roll"
    )


def test_bar_ends_that_cross_over_are_refused():
    with pytest.raises(BendError, match=r": width must be above 0.0 mm, with each bar end on its own side, got -"):
        shape_from_recipe(bar(inner_bend_deg=150.0, outer_bend_deg=10.0, roll_deg=180.0))
