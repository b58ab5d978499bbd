"""Sensitivities against their derivation, against finite differences along the marks, and by hand; the error budget."""

from dataclasses import replace
from math import cos, hypot, pi, sin, sqrt, tan

import numpy as np
import pytest
import sympy as sp
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import multivariate_normal
from tolerances import RATIO

from barmath import BendError, Order, Recipe, clamp_reading_deg, marks_from_recipe, recipe_from_order, shape_from_recipe
from barmath.bending.error_budget import WITHIN, error_budget
from barmath.checking.bench_errors import FINDER, MARK, STOP, TOOLS, BenchErrors
from barmath.closed_forms.sensitivity import (
    ANGLE_SLIPS,
    INNER_BEND,
    INNER_MARK,
    LENGTH_SLIPS,
    OUTER_BEND,
    OUTER_MARK,
    RADIUS,
    ROLL,
    STEM_ROLL,
    STRAIGHT,
    TUBE_END,
    sensitivities_from_recipe,
)
from barmath.derivation import sensitivity as derived
from barmath.derivation.steps import R, a, b, phi, psi

SYMPY = {
    INNER_BEND: a, OUTER_BEND: b, ROLL: phi, STEM_ROLL: psi, RADIUS: R,
    INNER_MARK: derived.inner_mark, OUTER_MARK: derived.outer_mark, TUBE_END: derived.end,
}  # fmt: skip
MEASURES = {
    "rise_mm": "rise", "setback_mm": "setback", "half_width_mm": "half_width", "backsweep_deg": "backsweep",
    "upsweep_deg": "upsweep", "clamp_reading_deg": "clamp_reading",
}  # fmt: skip
STEP = 1e-4
DIFFERENCE = 1e-6
"""A central difference over 2e-4 degrees or mm leaves an error of its square and of rounding over the step."""

ORDER_7 = recipe_from_order(Order(78, 12, 780, controls_mm=180), 91.5, 25)

recipes = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(20, 80),
    inner_bend_deg=st.floats(10, 60),
    straight_mm=st.floats(60, 200),
    roll_deg=st.floats(-70, 70),
    outer_bend_deg=st.floats(10, 60),
    grip_mm=st.floats(100, 250),
    radius_mm=st.floats(50, 180),
    stem_roll_deg=st.floats(-15, 15),
)


def slipped(recipe: Recipe, slip: str, by: float) -> Recipe:
    """The bar that comes out where one thing slips and every mark, an end of the riser, stays, told from the marks."""
    angles = {INNER_BEND: "inner_bend_deg", OUTER_BEND: "outer_bend_deg", ROLL: "roll_deg", STEM_ROLL: "stem_roll_deg"}
    marks = marks_from_recipe(recipe)
    inner, outer, end = marks.inner_end_mm, marks.outer_start_mm, marks.end_mm
    if slip in angles:
        recipe = replace(recipe, **{angles[slip]: getattr(recipe, angles[slip]) + by})
    elif slip == RADIUS:
        recipe = replace(recipe, radius_mm=recipe.radius_mm + by)
    inner += by * (slip == INNER_MARK)
    outer += by * (slip in (OUTER_MARK, STRAIGHT))
    end += by * (slip in (TUBE_END, STRAIGHT))
    arcs = recipe.radius_mm * np.radians([recipe.inner_bend_deg, recipe.outer_bend_deg])
    return replace(
        recipe, clamp_flat_mm=2 * (inner - arcs[0]), straight_mm=outer - inner, grip_mm=end - outer - arcs[1]
    )  # fmt: skip


def measured(recipe: Recipe) -> np.ndarray:
    shape = shape_from_recipe(recipe)
    return np.array([shape.rise_mm, shape.setback_mm, shape.width_mm / 2, shape.backsweep_deg, shape.upsweep_deg,
                     clamp_reading_deg(recipe)])  # fmt: skip


@pytest.mark.parametrize("slip", SYMPY)
@pytest.mark.parametrize("measure", MEASURES)
def test_each_slope_is_the_derivative_that_sympy_takes(slip, measure):
    form = derived.sensitivity(MEASURES[measure], SYMPY[slip]).right
    grid = np.random.default_rng(7).uniform(
        [0.2, 0.2, -1.2, -0.3, 50, 10, 60, 100], [1.0, 1.0, 1.2, 0.3, 180, 40, 200, 250], (50, 8)
    ).T  # fmt: skip
    in_a, in_b, in_phi, in_psi, radius, c, s, g = grid
    recipe = Recipe(2 * c, np.degrees(in_a), s, np.degrees(in_phi), np.degrees(in_b), g, radius, np.degrees(in_psi))
    exact = np.broadcast_to(sp.lambdify(derived.RECIPE, form, "numpy")(*grid), in_a.shape)
    found = getattr(sensitivities_from_recipe(recipe)[slip], measure)
    per_degree = pi / 180 if slip in ANGLE_SLIPS and measure.endswith("mm") else 1.0
    assert found == pytest.approx(exact * per_degree, rel=1e3 * RATIO, abs=1e3 * RATIO)


@pytest.mark.parametrize("slip", [*ANGLE_SLIPS, *LENGTH_SLIPS])
@given(recipe=recipes)
def test_each_slope_is_what_a_small_slip_does_to_the_finished_bar(slip, recipe):
    there, back = (measured(slipped(recipe, slip, by)) for by in (STEP, -STEP))
    found = sensitivities_from_recipe(recipe)[slip]
    assert np.array(found) == pytest.approx((there - back) / (2 * STEP), rel=DIFFERENCE, abs=DIFFERENCE)


def test_a_degree_of_inner_bend_lifts_the_bar_end_by_its_distance_across_over_57():
    across = 390 - 25  # from the start of the inner arc to the bar end of order 7
    assert sensitivities_from_recipe(ORDER_7)[INNER_BEND].rise_mm == pytest.approx(across * pi / 180, rel=1e-9)


def test_a_degree_of_outer_bend_moves_the_bar_end_by_the_grip_over_57():
    slope = sensitivities_from_recipe(ORDER_7)[OUTER_BEND]
    moved = hypot(slope.rise_mm, slope.setback_mm, slope.half_width_mm)
    assert moved == pytest.approx(ORDER_7.grip_mm * pi / 180, rel=1e-9)


def test_a_degree_of_roll_moves_the_bar_end_by_its_distance_from_the_riser():
    slope, theta = sensitivities_from_recipe(ORDER_7)[ROLL], pi * 25 / 180
    moved = hypot(slope.rise_mm, slope.setback_mm, slope.half_width_mm)
    assert moved == pytest.approx((91.5 * (1 - cos(theta)) + ORDER_7.grip_mm * sin(theta)) * pi / 180, rel=1e-9)


@given(recipes)
def test_leaning_the_bar_in_its_stem_trades_rise_for_setback_and_leaves_the_width(recipe):
    shape, slope = shape_from_recipe(recipe), sensitivities_from_recipe(recipe)[STEM_ROLL]
    assert slope.rise_mm == pytest.approx(-shape.setback_mm * pi / 180, rel=1e-9, abs=1e-9)
    assert slope.setback_mm == pytest.approx(shape.rise_mm * pi / 180, rel=1e-9, abs=1e-9)
    assert slope.half_width_mm == 0


def test_a_flat_offset_rises_by_the_sine_of_its_bend_per_mm_of_straight():
    flat = Recipe(50, 30, 100, 0, 30, 200, 90)
    slopes = sensitivities_from_recipe(flat)
    assert slopes[STRAIGHT].rise_mm == pytest.approx(1 / 2)
    assert slopes[STRAIGHT].half_width_mm == pytest.approx(sqrt(3) / 2)
    assert slopes[OUTER_MARK].rise_mm == pytest.approx(1 / 2)
    assert slopes[RADIUS].rise_mm == pytest.approx(2 * (1 - sqrt(3) / 2))  # it grows into the flat and the grip


@given(recipes)
def test_a_straight_longer_by_itself_is_the_outer_mark_and_the_tube_end_moved_together(recipe):
    slopes = sensitivities_from_recipe(recipe)
    together = np.add(slopes[OUTER_MARK], slopes[TUBE_END])
    assert np.array(slopes[STRAIGHT]) == pytest.approx(together, abs=1e-12)


def test_arrays_of_any_shapes_that_broadcast_give_what_each_bar_gives():
    bends, straights = np.array([20.0, 25.0, 30.0]), np.array([[100.0], [120.0]])
    table = sensitivities_from_recipe(replace(ORDER_7, inner_bend_deg=bends, straight_mm=straights))
    for row, straight in enumerate(straights[:, 0]):
        for column, bend in enumerate(bends):
            alone = sensitivities_from_recipe(replace(ORDER_7, inner_bend_deg=bend, straight_mm=straight))
            for slip, slopes in table.items():
                assert [slope[row, column] for slope in slopes] == pytest.approx(list(alone[slip]), rel=1e-12)


def test_a_grip_square_to_the_clamp_axis_is_refused():
    with pytest.raises(BendError, match="grip must point away from the middle"):
        sensitivities_from_recipe(Recipe(50, 90, 100, 90, 40, 200, 90))


TWO_STOPS = recipe_from_order(Order(90.0, 14.0, 800.0, None, 60.0, 170.0), 105.0, 27.5, 25.0)


@pytest.mark.parametrize("recipe", [ORDER_7, TWO_STOPS], ids=["one stop", "two stops"])
def test_the_budget_adds_up_like_two_bars_bent_at_random(recipe):
    errors = BenchErrors(0.03, 0.02, 0.05)
    budget = error_budget(recipe, errors)
    draws = np.random.default_rng(7).normal(size=(2, 6, 20_000))
    bars = [measured(bent_with(recipe, errors, draw)) for draw in draws]
    spread = (bars[0] - bars[1]).std(axis=1)
    phase = draws[0, 0]  # once for both sides: the second half leans against the first
    lean = sensitivities_from_recipe(recipe)[STEM_ROLL]
    lean_deg = errors.finder_deg / sin(pi * recipe.inner_bend_deg / 180) * phase.std()
    for place, measure in enumerate(("rise_mm", "setback_mm", None, "backsweep_deg", "upsweep_deg")):
        if measure:
            expected = hypot(spread[place], lean_deg * getattr(lean, measure))
            assert getattr(budget.total, measure) == pytest.approx(expected, rel=0.03), measure


def bent_with(recipe: Recipe, errors: BenchErrors, draw: np.ndarray) -> Recipe:
    """Sides bent with normal errors: bends by the stop, the roll by the clamp reading, marks on the tube."""
    inner_bend, outer_bend, reading, inner, outer, end = draw
    marks = marks_from_recipe(recipe)
    bend_a = recipe.inner_bend_deg + errors.stop_deg * inner_bend
    bend_b = recipe.outer_bend_deg + errors.stop_deg * outer_bend
    shown = np.radians(clamp_reading_deg(recipe) + errors.finder_deg * reading)
    roll = np.degrees(np.arcsin(np.sin(shown) / np.sin(np.radians(bend_a))))
    ends = [at + errors.mark_mm * by for at, by in zip((marks.inner_end_mm, marks.outer_start_mm, marks.end_mm),
                                                         (inner, outer, end), strict=True)]  # fmt: skip
    arcs = [recipe.radius_mm * np.radians(bend) for bend in (bend_a, bend_b)]
    return Recipe(2 * (ends[0] - arcs[0]), bend_a, ends[1] - ends[0], roll, bend_b, ends[2] - ends[1] - arcs[1],
                  recipe.radius_mm)  # fmt: skip


def test_setting_the_roll_by_the_clamp_reading_with_equal_bends_shares_the_backsweep_between_the_two_bends():
    stop = {line.name: line.per_unit.backsweep_deg for line in error_budget(ORDER_7, BenchErrors()).lines}
    assert stop["inner bends"] == pytest.approx(-stop["outer bends"], rel=0.01)


FINE = BenchErrors(0.12, 0.1, 0.3)


def kept_by_the_normal_distribution(budget, within=WITHIN):
    # second route: SciPy integrates the normal density of the measures that share their slips
    slips = [[getattr(li.per_unit, measure) * budget.errors.of(li.tool) for measure in within] for li in budget.lines]
    goal = np.array(list(within.values()))
    return multivariate_normal(cov=np.array(slips).T @ np.array(slips)).cdf(goal, lower_limit=-goal)


@pytest.mark.parametrize("errors", [BenchErrors(), BenchErrors(0.2, 0.2, 0.5), BenchErrors(0.5, 0.4, 1.0), FINE])
def test_the_share_of_bars_that_keep_the_goal_is_that_of_the_normal_distribution(errors):
    budget = error_budget(ORDER_7, errors)
    assert budget.share() == pytest.approx(kept_by_the_normal_distribution(budget), abs=0.01)


def test_a_shop_keeps_the_goal_only_where_19_bars_in_20_do():
    usual = error_budget(ORDER_7, BenchErrors())
    assert all(getattr(usual.total, measure) < goal for measure, goal in WITHIN.items())  # standard deviations
    assert not usual.keeps()
    assert error_budget(ORDER_7, FINE).keeps()


@pytest.mark.parametrize("tool", TOOLS)
def test_with_the_most_that_a_tool_may_be_off_95_of_100_bars_are_within(tool):
    most = {STOP: "stop_deg", FINDER: "finder_deg", MARK: "mark_mm"}
    found = error_budget(ORDER_7, FINE).most(tool)
    at_most = error_budget(ORDER_7, replace(FINE, **{most[tool]: found}))
    assert kept_by_the_normal_distribution(at_most) == pytest.approx(0.95, abs=0.005)
    assert not error_budget(ORDER_7, replace(FINE, **{most[tool]: 1.1 * found})).keeps()


def test_a_mark_moves_no_sweep_however_far_off():
    budget = error_budget(ORDER_7, BenchErrors(0, 0, 5))
    assert (budget.total.backsweep_deg, budget.total.upsweep_deg) == (0, 0)
    assert budget.most(MARK, {"backsweep_deg": 1.0}) == np.inf


def test_where_the_other_tools_use_up_the_goal_nothing_is_left():
    assert error_budget(ORDER_7, BenchErrors(3.0, 0.2, 0.5)).most(FINDER) == 0


def test_the_greatest_slip_is_the_longest_bar_of_the_chart():
    budget = error_budget(ORDER_7, BenchErrors())
    assert budget.greatest("upsweep_deg").name == "outer bends"
    assert budget.greatest("rise_mm").name == "inner bends"


def test_an_error_of_levelling_the_arm_counts_by_the_sine_of_the_bend():
    lean = sensitivities_from_recipe(ORDER_7)[STEM_ROLL].upsweep_deg
    line = next(li for li in error_budget(ORDER_7, BenchErrors()).lines if li.name == "levelling of the bent arm")
    assert line.per_unit.upsweep_deg == pytest.approx(lean / sin(pi * 25 / 180))


@pytest.mark.parametrize(
    ("errors", "sentence"),
    [
        ({"stop_deg": -0.1}, "error of the stop must be at least 0.0 deg, got -0.1 deg"),
        ({"finder_deg": 11}, "error of the angle finder must be at most 10.0 deg, got 11.0 deg"),
        ({"mark_mm": float("nan")}, "error of a mark must be a finite number in mm, got nan mm"),
    ],
)
def test_errors_that_cannot_be_are_refused(errors, sentence):
    with pytest.raises(BendError) as refusal:
        BenchErrors(**errors)
    assert sentence in str(refusal.value)


def test_a_roll_that_the_reading_does_not_tell_is_refused():
    with pytest.raises(BendError, match="roll must not be near 90 deg"):
        error_budget(Recipe(50, 25, 100, 90, 25, 200, 90), BenchErrors())


def test_a_budget_is_for_one_bar():
    with pytest.raises(BendError, match="must be a single one"):
        error_budget(replace(ORDER_7, roll_deg=np.array([10.0, 20.0])), BenchErrors())


def test_a_little_roll_of_a_flat_offset_swings_grip_and_arc_back_by_the_sine_of_the_bend():
    flat = Recipe(50, 25, 100, 0, 25, 200, 90)
    slope = sensitivities_from_recipe(flat)[ROLL]
    assert slope.backsweep_deg == pytest.approx(sin(pi * 25 / 180))
    assert slope.setback_mm == pytest.approx((200 + 90 * tan(pi * 25 / 360)) * sin(pi * 25 / 180) * pi / 180)
