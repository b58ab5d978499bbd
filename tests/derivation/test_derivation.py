"""The derivation holds: identities are proven, and each derived form agrees with the shipped function it explains."""

from dataclasses import replace

import numpy as np
import pytest
import sympy as sp
from tolerances import ANGLE_DEG, LENGTH_MM
from worked_bar import WorkedBar

from barmath import Die, Tube, springback_from_tube
from barmath.bending.holds import poses_from_recipe
from barmath.closed_forms import legs as shipped_legs
from barmath.closed_forms.forward import clamp_reading_deg, half_tangent, shape_from_recipe
from barmath.closed_forms.inverse import least_bend_deg, recipe_from_order, rise_window_mm
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Order, Recipe
from barmath.derivation import (
    QUANTITIES,
    forward,
    inverse,
    largest_difference,
    numeric,
    sensitivity,
    special,
    springback,
    vanishes,
)
from barmath.derivation.steps import (
    R,
    a,
    b,
    beta,
    c,
    g,
    gamma,
    half_width,
    kappa,
    leg_1,
    leg_2,
    phi,
    psi,
    rise,
    s,
    upsilon,
)
from barmath.pictures.derivation import curves

AGREES = max(LENGTH_MM, ANGLE_DEG)
FIFTY_DIGITS = 1e-45
SLOPE = 1e-6  # of a central difference, mm or degrees per unit
SIZE = 400

RECIPE_SYMBOLS = (c, a, s, phi, b, g, R, psi)


def close(derived, shipped, within=AGREES):
    np.testing.assert_allclose(derived, shipped, rtol=0, atol=within)


@pytest.fixture(scope="module")
def recipe():
    """A seeded grid of recipes: every sign of roll and stem roll, bends from slight to steep."""
    draw = np.random.default_rng(7).uniform
    return Recipe(
        clamp_flat_mm=draw(40, 80, SIZE),
        inner_bend_deg=draw(1, 60, SIZE),
        straight_mm=draw(1, 200, SIZE),
        roll_deg=draw(-100, 100, SIZE),
        outer_bend_deg=draw(1, 60, SIZE),
        grip_mm=draw(100, 300, SIZE),
        radius_mm=draw(40, 200, SIZE),
        stem_roll_deg=draw(-30, 30, SIZE),
    )


def in_radians(recipe):
    """The recipe in the order of RECIPE_SYMBOLS, radians and half the clamp flat."""
    turn = np.deg2rad
    return (
        recipe.clamp_flat_mm / 2,
        turn(recipe.inner_bend_deg),
        recipe.straight_mm,
        turn(recipe.roll_deg),
        turn(recipe.outer_bend_deg),
        recipe.grip_mm,
        recipe.radius_mm,
        turn(recipe.stem_roll_deg),
    )


# ---- the tools


def test_vanishes_knows_an_identity_from_a_near_miss():
    x, y = sp.symbols("x y", real=True)
    assert vanishes(sp.sin(x + y) - sp.sin(x) * sp.cos(y) - sp.cos(x) * sp.sin(y))
    assert vanishes(sp.tan(x / 2) - (1 - sp.cos(x)) / sp.sin(x))
    assert vanishes(sp.csc(x) * sp.sin(x) - 1)
    assert not vanishes(sp.sin(x + y) - sp.sin(x) * sp.cos(y) + sp.cos(x) * sp.sin(y))
    assert not vanishes(sp.tan(x / 2) - (1 - sp.cos(x)) / sp.sin(x) + sp.Rational(1, 10**12))
    assert not vanishes(sp.Matrix([sp.sin(x) ** 2 + sp.cos(x) ** 2 - 1, x]))


def test_numeric_broadcasts_constants_and_keeps_numbers_as_numbers():
    grid = np.ones((3, 1)), np.ones(4)
    assert numeric(sp.Integer(2), a, b)(*grid).shape == (3, 4)
    assert numeric(sp.sin(a), a, b)(*grid).shape == (3, 4)
    assert type(numeric(sp.sin(a), a)(1.0)) is float
    assert np.isnan(numeric(sp.sin(a) / a, a)(np.array([0.0, 1.0]))).tolist() == [True, False]


def test_numeric_refuses_an_expression_with_a_symbol_that_was_not_named():
    with pytest.raises(ValueError, match="the expression also holds R, b: name every symbol"):
        numeric(R * a * b, a)


def test_every_symbol_has_a_meaning_and_a_unit():
    told = {quantity.symbol for quantity in QUANTITIES}
    steps = (*forward.legs(), *forward.measures().values(), forward.clamp_reading(), *inverse.rise_and_width())
    used = set().union(*(step.equation.free_symbols for step in steps), inverse.total_turn().equation.free_symbols)
    assert used - {inverse.e_right, inverse.e_back, inverse.e_up} == told
    assert {quantity.unit for quantity in QUANTITIES} == {"rad", "mm"}


def test_a_step_shows_its_equation_in_the_letters_of_the_table():
    shown = forward.clamp_reading()._repr_markdown_()
    assert r"\sin {\kappa} = \sin {a}\,\sin {\varphi}" in shown


# ---- from the recipe to the bar


def test_an_arc_is_the_sum_of_its_small_steps():
    assert vanishes(forward.arc_from_small_steps().right - forward.arc(forward.RIGHT, forward.UP, a))


def test_an_arc_ends_where_its_corner_and_two_take_outs_lead():
    assert vanishes(forward.take_out().left - forward.take_out().right)


def test_sine_and_cosine_follow_from_the_half_tangent():
    for form in forward.half_tangent_forms():
        assert vanishes(form.left - form.right)


def test_the_shipped_half_tangent_is_the_derived_one():
    theta = np.linspace(-3.1, 3.1, 301)
    sine, cosine = (numeric(form.right, a)(theta) for form in forward.half_tangent_forms())
    tangent, shipped_sine, shipped_cosine = half_tangent(theta)
    close(np.tan(theta / 2), tangent)
    close(sine, shipped_sine)
    close(cosine, shipped_cosine)


def test_riser_and_grip_point_as_the_closed_forms_say():
    grip = sp.Matrix(
        [
            sp.cos(a) * sp.cos(b) + sp.sin(a) * sp.sin(b) * sp.cos(phi),
            sp.sin(b) * sp.sin(phi),
            sp.sin(a) * sp.cos(b) - sp.cos(a) * sp.sin(b) * sp.cos(phi),
        ]
    )
    assert vanishes(forward.riser_direction().right - sp.Matrix([sp.cos(a), 0, sp.sin(a)]))
    assert vanishes(forward.grip_direction().right - grip)


def test_turning_keeps_directions_one_unit_long_and_square():
    d1, m, d2 = (form.right for form in (forward.riser_direction(), forward.outer_toward(), forward.grip_direction()))
    assert all(vanishes(direction.dot(direction) - 1) for direction in (d1, m, d2))
    assert vanishes(d1.dot(m))


def test_the_grip_is_the_product_of_three_rotation_matrices():
    # x right, y forward, z up; SymPy's rot_axis2(angle) carries right to up, rot_axis1(angle) back to up
    right, forward_share, up = sp.rot_axis2(a) * sp.rot_axis1(phi) * sp.rot_axis2(-b) * sp.Matrix([1, 0, 0])
    assert vanishes(sp.Matrix([right, -forward_share, up]) - forward.grip_direction().right)


def test_straights_and_arcs_give_the_bar_end_of_the_closed_form():
    d2 = forward.grip_direction().right
    end = sp.Matrix(
        [
            c + R * sp.sin(a) + s * sp.cos(a)
            + R * (sp.sin(b) * sp.cos(a) + (1 - sp.cos(b)) * sp.sin(a) * sp.cos(phi)) + g * d2[0],
            R * (1 - sp.cos(b)) * sp.sin(phi) + g * d2[1],
            R * (1 - sp.cos(a)) + s * sp.sin(a)
            + R * (sp.sin(b) * sp.sin(a) - (1 - sp.cos(b)) * sp.cos(a) * sp.cos(phi)) + g * d2[2],
        ]
    )  # fmt: skip
    assert vanishes(forward.tangent_points()[-1].right - end)


def test_legs_between_corners_lead_to_the_same_bar_end():
    assert vanishes(forward.corner_points()[-1].right - forward.tangent_points()[-1].right)


def test_each_corner_is_a_take_out_from_its_two_tangent_points():
    start_a, end_a, start_b, end_b, _ = (point.right for point in forward.tangent_points())
    corner_a, corner_b, _ = (point.right for point in forward.corner_points())
    for corner, points, bend in ((corner_a, (start_a, end_a), a), (corner_b, (start_b, end_b), b)):
        for point in points:
            assert vanishes((corner - point).dot(corner - point) - (R * sp.tan(bend / 2)) ** 2)


def test_rolling_the_stem_keeps_every_length():
    vector = sp.Matrix(sp.symbols("x y z", real=True))
    rolled = forward.stem_rolled(vector)
    assert vanishes(rolled.dot(rolled) - vector.dot(vector))


def test_the_derived_measures_are_the_shipped_ones(recipe):
    values, shape, forms = in_radians(recipe), shape_from_recipe(recipe), forward.measures()
    derived = {name: numeric(form.right, *RECIPE_SYMBOLS)(*values) for name, form in forms.items()}
    close(derived["rise"], shape.rise_mm)
    close(derived["setback"], shape.setback_mm)
    close(2 * derived["half_width"], shape.width_mm)
    close(derived["cut_length"], shape.cut_length_mm)
    close(np.rad2deg(np.arctan(derived["backsweep"])), shape.backsweep_deg)
    close(np.rad2deg(np.arctan(derived["upsweep"])), shape.upsweep_deg)


def test_up_at_the_bender_is_square_to_the_level_plane_of_the_outer_bend():
    up = forward.bench_vertical().right
    for direction in (forward.riser_direction().right, forward.outer_toward().right, forward.grip_direction().right):
        assert vanishes(up.dot(direction))
    assert vanishes(up.dot(up) - 1)


def test_the_derived_clamp_reading_is_the_shipped_one(recipe):
    sine = numeric(forward.clamp_reading().right, *RECIPE_SYMBOLS)(*in_radians(recipe))
    close(np.rad2deg(np.arcsin(sine)), clamp_reading_deg(recipe))


def test_the_cut_length_is_twice_the_mark_at_the_tube_end(recipe):
    cut = numeric(forward.measures()["cut_length"].right, *RECIPE_SYMBOLS)(*in_radians(recipe))
    close(cut, 2 * marks_from_recipe(recipe).end_mm)


def test_stepping_along_the_centre_line_ends_at_the_derived_bar_end(recipe):
    end, heading = stepped(*in_radians(recipe)[:-1])
    derived_end, derived_heading = (
        np.array([numeric(component, *RECIPE_SYMBOLS)(*in_radians(recipe)) for component in vector])
        for vector in (forward.corner_points()[-1].right, forward.grip_direction().right)
    )
    close(end, derived_end)
    close(heading, derived_heading)


def stepped(half_flat, bend_a, straight, roll, bend_b, grip, radius, steps=400):
    """Bar end and heading (right, back, up): Runge-Kutta steps of heading' = toward/R, toward' = -heading/R, with the
    roll a turn about the heading by the vector product."""
    zero, one = np.zeros_like(roll), np.ones_like(roll)
    point, heading, toward = (
        half_flat * np.array([one, zero, zero]),
        np.array([one, zero, zero]),
        np.array([zero, zero, one]),
    )
    point, heading, toward = along_arc(point, heading, toward, bend_a, radius, steps)
    point = point + straight * heading
    # x right, y forward, z up: a positive roll sweeps the grip back, which is a turn by -roll about the riser
    toward = -toward * np.cos(roll) + np.cross(heading, -toward, axis=0) * np.sin(-roll)
    point, heading, toward = along_arc(point, heading, toward, bend_b, radius, steps)
    point = point + grip * heading
    back = np.array([[1.0], [-1.0], [1.0]])
    return point * back, heading * back


def along_arc(point, heading, toward, bend, radius, steps):
    state, h = np.array([point, heading, toward]), radius * bend / steps

    def slope(state):
        return np.array([state[1], state[2] / radius, -state[1] / radius])

    for _ in range(steps):
        k1 = slope(state)
        k2 = slope(state + h / 2 * k1)
        k3 = slope(state + h / 2 * k2)
        k4 = slope(state + h * k3)
        state = state + h / 6 * (k1 + 2 * k2 + 2 * k3 + k4)
    return state


# ---- from the order to the recipe: equal bends, both sweeps ordered


def test_the_ordered_direction_is_one_unit_long_and_has_the_sweeps():
    e = inverse.ordered_direction().right
    assert sp.simplify(e.dot(e)) == 1
    assert sp.simplify(e[1] / e[0]) == sp.tan(beta)
    assert sp.simplify(e[2] / e[0]) == sp.tan(upsilon)


def test_the_total_turn_of_equal_bends_is_twice_the_arc_of_a_product_of_sines():
    halves = inverse.equal_bends_roll()
    assert halves.right == sp.sin(a) ** 2 * sp.sin(phi / 2) ** 2
    assert vanishes((1 - inverse.total_turn().right) / 2 - halves.right)


def test_the_lean_of_equal_bends_is_a_ratio_of_tangents():
    # squared, with sin^2(gamma/2) = sin^2 a sin^2(phi/2): a rational identity in a and phi
    _, back, up = inverse.equal_bends_direction().right
    half_sine_squared = inverse.equal_bends_roll().right
    tangent_squared = half_sine_squared / (1 - half_sine_squared)
    assert inverse.equal_bends_lean().right == sp.tan(gamma / 2) / sp.tan(a)
    assert vanishes(up**2 / (back**2 + up**2) - tangent_squared / sp.tan(a) ** 2)


def test_roll_and_stem_roll_from_one_root_agree_with_both_closed_forms():
    half_sin = sp.Symbol("half_sin", positive=True)
    roll, stem_roll = (form.right for form in inverse.equal_bends_angles())
    lean = sp.acos(inverse.equal_bends_lean().right)
    points = [
        {
            a: sp.Rational(n, 20),
            gamma: sp.Rational(n, 30),
            inverse.e_back: sp.Rational(m, 9),
            inverse.e_up: sp.Rational(1, 7),
        }
        for n, m in ((2, 1), (5, -2), (9, 3), (14, 5))
    ]
    root = stem_roll.subs(half_sin, sp.sin(gamma / 2))
    assert largest_difference(root, sp.atan2(inverse.e_back, inverse.e_up) - lean, points) < FIFTY_DIGITS
    sine = sp.sin(roll.subs(half_sin, sp.sin(gamma / 2)) / 2)
    assert largest_difference(sine, sp.sin(gamma / 2) / sp.sin(a), points) < FIFTY_DIGITS


@pytest.fixture(scope="module")
def order():
    """A seeded grid of orders with both sweeps, and bends that can give them."""
    draw = np.random.default_rng(8).uniform
    return Order(
        rise_mm=draw(20, 120, SIZE),
        backsweep_deg=draw(2, 25, SIZE),
        width_mm=draw(600, 900, SIZE),
        upsweep_deg=draw(1, 10, SIZE),
    )


@pytest.fixture(scope="module")
def bend():
    return np.deg2rad(np.random.default_rng(9).uniform(20, 45, SIZE))


def order_direction(order):
    components = inverse.ordered_direction().right
    sweeps = np.deg2rad(order.backsweep_deg), np.deg2rad(order.upsweep_deg)
    return tuple(numeric(component, beta, upsilon)(*sweeps) for component in components)


def test_the_derived_direction_is_the_shipped_one(order):
    sweeps = np.deg2rad(order.backsweep_deg), np.deg2rad(order.upsweep_deg)
    close(order_direction(order), shipped_legs.grip_direction(*sweeps))


def test_the_derived_roll_and_stem_roll_of_equal_bends_are_the_shipped_ones(order, bend):
    e = order_direction(order)
    total = np.arccos(e[0])
    close(least_bend_deg(order), np.rad2deg(total / 2))
    can = bend > total / 2 + 0.01
    legs = shipped_legs.swept_legs(e, bend)
    half_sin = sp.Symbol("half_sin", positive=True)
    roll, stem_roll = inverse.equal_bends_angles()
    close(numeric(roll.right, a, half_sin)(bend, np.sin(total / 2))[can], legs.phi[can])
    symbols = (a, half_sin, inverse.e_back, inverse.e_up)
    close(numeric(stem_roll.right, *symbols)(bend, np.sin(total / 2), e[1], e[2])[can], legs.psi[can])
    assert can.mean() > 0.8


# ---- equal bends, risers upright


def test_the_upright_condition_is_the_backsweep_of_the_bar():
    # T = tan(backsweep) of the bar itself must satisfy the condition for every bend and roll
    right, back, _ = inverse.equal_bends_direction().right
    condition = inverse.upright_condition()
    assert vanishes((condition.left - condition.right).subs(inverse.T, back / right))


def test_the_upright_roll_solves_the_condition():
    # with phi = asin(sine) + atan(lean), sine and lean as symbols, the condition is an algebraic identity
    condition = inverse.upright_condition()
    residue = (condition.left - condition.right).subs(phi, inverse.upright_roll().right)
    assert sp.simplify(sp.expand_trig(residue)) == 0


def test_the_supplement_of_the_arcsine_is_the_other_roll_with_that_backsweep(seven):
    (arcsine,) = inverse.upright_roll().right.atoms(sp.asin)
    other = replace(seven.recipe, roll_deg=180.0 + seven.degrees(inverse.upright_roll().right - 2 * arcsine))
    assert other.roll_deg > 90.0 > seven.recipe.roll_deg
    shape = shape_from_recipe(other)
    close(shape.backsweep_deg, 12.0)
    assert shape.upsweep_deg > 45.0


def test_the_least_upright_bend_is_where_the_sine_reaches_one():
    x = sp.Symbol("x", positive=True)
    lean = inverse.T * sp.sqrt(x)
    sine_squared = (inverse.T * (1 - x)) ** 2 / (x * (1 + lean**2))
    assert sp.simplify(sine_squared.subs(x, inverse.upright_least_bend().right)) == 1


def test_the_most_upright_backsweep_needs_just_that_bend():
    most = inverse.upright_most_backsweep().right
    least = inverse.upright_least_bend().right.subs(inverse.T, sp.sqrt(most))
    assert vanishes(least - sp.sin(a) ** 2)


def test_the_derived_upright_roll_is_the_shipped_one(bend):
    sweep = np.deg2rad(np.random.default_rng(10).uniform(-15, 15, SIZE))
    derived = numeric(inverse.upright_roll().right, inverse.T, a)(np.tan(sweep), bend)
    close(derived, shipped_legs.upright_legs(sweep, bend).phi)


def test_the_derived_least_upright_bend_is_the_shipped_one():
    sweep = np.linspace(1, 80, 80)
    square = numeric(inverse.upright_least_bend().right, inverse.T)(np.tan(np.deg2rad(sweep)))
    shipped = least_bend_deg(Order(rise_mm=80, backsweep_deg=sweep, width_mm=780))
    close(np.rad2deg(np.arcsin(np.sqrt(square))), shipped)


# ---- inner and outer bends that differ


def test_the_halved_law_of_cosines_holds_for_every_pair_of_bends():
    cos_gamma = inverse.two_bends_turn().right
    for form in inverse.two_bends_roll():
        assert vanishes(form.left.subs(sp.sin(gamma / 2) ** 2, (1 - cos_gamma) / 2) - form.right)


def test_equal_bends_are_the_special_case_of_two():
    assert vanishes(inverse.two_bends_turn().right.subs(b, a) - inverse.total_turn().right)
    by_sine, _ = inverse.two_bends_roll()
    assert vanishes(by_sine.right.subs(b, a) - inverse.equal_bends_roll().right)
    assert sp.simplify(inverse.two_bends_upright_roll().right.subs(b, a) - inverse.upright_roll().right) == 0


def test_the_upright_condition_is_written_over_sin_a_as_the_roll_is_solved_from_it():
    condition, roll = inverse.upright_condition(), inverse.upright_roll()
    a, phi, T = sp.symbols("a phi T", real=True)
    given = {one.name: one for one in condition.equation.free_symbols}
    mine = {given["a"]: a, given["phi"]: phi, given["T"]: T}
    left, right = (side.subs(mine) for side in (condition.left, condition.right))
    assert sp.simplify(left - (sp.sin(phi) - T * sp.sin(a) * sp.cos(phi))) == 0
    assert sp.simplify(right - T * sp.cos(a) ** 2 / sp.sin(a)) == 0
    solved = (left - right).subs(phi, roll.right.subs(mine))
    assert abs(solved.subs({a: 0.43, T: 0.21}).evalf()) < 1e-12


def test_the_upright_condition_of_two_bends_is_the_backsweep_of_the_bar():
    right, back, _ = forward.grip_direction().right
    condition = inverse.two_bends_upright_condition()
    assert vanishes((condition.left - condition.right).subs(inverse.T, back / right))


def test_the_upright_roll_of_two_bends_solves_their_condition():
    condition = inverse.two_bends_upright_condition()
    residue = (condition.left - condition.right).subs(phi, inverse.two_bends_upright_roll().right)
    assert sp.simplify(sp.expand_trig(residue)) == 0


def test_the_least_outer_bend_is_where_the_sine_reaches_one():
    (arcsine,) = inverse.two_bends_upright_roll().right.atoms(sp.asin)
    least = inverse.two_bends_least_outer().right
    squared = arcsine.args[0] ** 2
    at_least = squared.subs(sp.cos(b), sp.sin(b) / least)
    assert sp.simplify(at_least) == 1


@pytest.fixture(scope="module")
def outer():
    """Outer bends that differ from the inner ones of `bend`."""
    return np.deg2rad(np.random.default_rng(21).uniform(15, 50, SIZE))


def test_the_derived_roll_of_two_bends_is_the_shipped_one(bend, outer):
    sweep = np.deg2rad(np.random.default_rng(22).uniform(-12, 12, SIZE))
    derived = numeric(inverse.two_bends_upright_roll().right, inverse.T, a, b)(np.tan(sweep), bend, outer)
    shipped = shipped_legs.upright_legs(sweep, bend, outer).phi
    can = ~np.isnan(shipped)
    close(derived[can], shipped[can])
    assert can.mean() > 0.8


def test_the_derived_angles_of_two_bends_with_both_sweeps_are_the_shipped_ones(order, bend, outer):
    e = order_direction(order)
    with np.errstate(invalid="ignore"):
        legs = shipped_legs.swept_pair_legs(e, bend, outer)
    can = ~np.isnan(legs.phi)
    assert 0.1 < can.mean() < 0.9
    by_sine, by_cosine = (
        numeric(form.left, a, b, gamma)(bend, outer, np.arccos(e[0])) for form in inverse.two_bends_roll()
    )
    with np.errstate(invalid="ignore"):
        roll = np.sign(e[1]) * 2 * np.arctan2(np.sqrt(by_sine), np.sqrt(by_cosine))
    close(roll[can], legs.phi[can])
    symbols = (a, b, phi, inverse.e_back, inverse.e_up)
    stem_roll = numeric(inverse.two_bends_stem_roll().right, *symbols)(bend, outer, legs.phi, e[1], e[2])
    turns = np.round((stem_roll - legs.psi) / (2 * np.pi))
    close((stem_roll - 2 * np.pi * turns)[can], legs.psi[can])


# ---- any inner bend


def test_the_shares_along_the_riser_are_those_of_a_bar():
    components = dict(zip(inverse.ORDERED, forward.grip_direction().right, strict=True))
    for share in inverse.shares_along_the_riser():
        assert vanishes(share.left - share.right.subs(components))


def test_the_derived_roll_and_outer_bend_are_the_shipped_ones(order, bend):
    stem_roll = np.deg2rad(np.random.default_rng(11).uniform(-20, 20, SIZE))
    e = order_direction(order)
    upright = (
        e[0],
        e[1] * np.cos(stem_roll) - e[2] * np.sin(stem_roll),
        e[2] * np.cos(stem_roll) + e[1] * np.sin(stem_roll),
    )
    legs, outer = shipped_legs.free_legs(e, bend, stem_roll)
    roll, outer_bend = (numeric(form.right, a, *inverse.ORDERED) for form in inverse.inner_bend_angles())
    close(roll(bend, *upright), legs.phi)
    close(outer_bend(bend, *upright), outer)


# ---- straight and grip


def test_straight_and_grip_solve_rise_and_width():
    straight, grip = inverse.straight_and_grip()
    riser_leg, grip_leg = (leg.right for leg in forward.legs()[1:])
    lengths = {leg_1: riser_leg.subs(s, straight.right), leg_2: grip_leg.subs(g, grip.right)}
    for equation in inverse.rise_and_width():
        assert sp.simplify(equation.left - equation.right.subs(lengths)) == 0


def test_the_lever_of_equal_bends_upright_is_sin_a_cos_phi():
    right, _, up = inverse.equal_bends_direction().right
    lever = inverse.lever().right.subs({psi: 0, inverse.e_right: right, inverse.e_up: up})
    assert inverse.lever().right == sp.sin(a) * sp.cos(psi) * inverse.e_right - sp.cos(a) * inverse.e_up
    assert vanishes(lever - sp.sin(a) * sp.cos(phi))


def test_the_derived_straight_and_grip_are_the_shipped_ones(order, bend):
    e = order_direction(order)
    stem_roll = np.deg2rad(np.random.default_rng(12).uniform(-20, 20, SIZE))
    legs, outer = shipped_legs.free_legs(e, bend, stem_roll)
    shipped = shipped_legs.straight_and_grip(legs, order.rise_mm, order.width_mm / 2, 25.0, 88.9)
    symbols = (a, b, psi, inverse.e_right, inverse.e_up, rise, half_width, c, R)
    values = (bend, outer, stem_roll, e[0], e[2], order.rise_mm, order.width_mm / 2, 25.0, 88.9)
    straight, grip = (numeric(form.right, *symbols)(*values) for form in inverse.straight_and_grip())
    close(straight / shipped[0], 1.0)  # a slight lever makes some straights kilometres long: compare as ratios
    close(grip / shipped[1], 1.0)
    close(numeric(inverse.lever().right, *symbols)(*values), shipped[2])


def test_the_rise_window_has_the_derived_slope():
    order = Order(rise_mm=78, backsweep_deg=12, width_mm=780)
    direction = shipped_legs.upright_legs(np.deg2rad(12), np.deg2rad(25))
    slope = inverse.rise_per_straight().right
    per_straight = numeric(slope, a, psi, inverse.e_right, inverse.e_up)(
        np.deg2rad(25), 0.0, direction.grip_right, direction.grip_up
    )
    (at_60, _), (at_90, _) = (rise_window_mm(order, 88.9, 25, straight) for straight in (60, 90))
    close((at_90 - at_60) / 30, per_straight)


def test_an_order_made_by_derived_steps_alone_is_the_shipped_recipe():
    order = Order(rise_mm=78, backsweep_deg=12, width_mm=780)
    bend, sweep = np.deg2rad(25), np.deg2rad(12)
    roll = numeric(inverse.upright_roll().right, inverse.T, a)(np.tan(sweep), bend)
    e = [numeric(component, a, phi)(bend, roll) for component in inverse.equal_bends_direction().right]
    symbols = (a, b, psi, inverse.e_right, inverse.e_up, rise, half_width, c, R)
    values = (bend, bend, 0.0, e[0], e[2], 78.0, 390.0, 25.0, 88.9)
    straight, grip = (numeric(form.right, *symbols)(*values) for form in inverse.straight_and_grip())
    shipped = recipe_from_order(order, 88.9, 25)
    close((np.rad2deg(roll), straight, grip), (shipped.roll_deg, shipped.straight_mm, shipped.grip_mm))


# ---- special cases


def test_the_flat_offset_rises_as_two_arcs_and_a_slanted_straight():
    assert vanishes(special.flat_offset().right - (2 * R * (1 - sp.cos(a)) + s * sp.sin(a)))


def test_the_flat_offset_is_the_electricians_multiplier_shrink_and_gain():
    assert special.offset_multiplier().right == sp.csc(a)
    shrink = special.offset_shrink()
    assert vanishes(shrink.left - shrink.right)
    assert shrink.right == sp.tan(a / 2)
    assert special.offset_gain().right == 2 * sp.tan(a / 2) - a


def test_two_90s_that_offset_by_60_inches_start_51_7_16_inches_apart():
    # conduit worked example, radius 20 in: the arc of the first and a straight of 60 - 2 x 20
    spacing = numeric(special.offset_spacing().right, a, R, rise)(np.pi / 2, 20.0, 60.0)
    close(spacing, 20.0 * np.pi / 2 + 20.0)
    assert abs(spacing - (51 + 7 / 16)) < 1 / 16


@pytest.mark.parametrize(("bend_deg", "printed"), [(15, 3.9), (22.5, 2.6), (30, 2.0), (45, 1.4), (60, 1.2)])
def test_the_multiplier_rounds_to_the_electricians_table(bend_deg, printed):
    # electricians' offset-bend table (trade training tables); its row for 10 degrees is printed 4 % high and left out
    assert round(numeric(special.offset_multiplier().right, a)(np.deg2rad(bend_deg)), 1) == printed


@pytest.mark.parametrize(("bend_deg", "printed"), [(31, 0.0136), (36, 0.0215), (61, 0.1134), (66, 0.1469)])
def test_the_gain_is_that_of_the_conduit_table(bend_deg, printed):
    # conduit gain-factor table, four decimals
    assert abs(numeric(special.offset_gain().right, a)(np.deg2rad(bend_deg)) - printed) < 1e-4


def test_the_reading_over_the_back_share_is_sin_a_over_sin_b_for_any_roll():
    assert special.back_share().right == sp.sin(a) / sp.sin(b)


def test_the_habit_relation_holds_for_every_roll():
    habit = special.habit_exact().right
    right, back, _ = inverse.equal_bends_direction().right
    # up to a quarter turn the root sqrt(sin^2 a - sin^2 kappa) is sin a cos phi
    root = sp.sqrt(sp.sin(a) ** 2 - sp.sin(kappa) ** 2)
    in_roll = habit.subs(root, sp.sin(a) * sp.cos(phi)).subs(sp.sin(kappa), sp.sin(a) * sp.sin(phi))
    assert vanishes(in_roll - back / right)


def test_the_habit_relation_agrees_with_the_shipped_functions():
    reading, bend = np.array([2.0, 8.0, 14.0, 20.0]), 25.0
    roll = np.rad2deg(np.arcsin(np.sin(np.deg2rad(reading)) / np.sin(np.deg2rad(bend))))
    recipe = Recipe(50, bend, 60, roll, bend, 250, 88.9)
    tangent = numeric(special.habit_exact().right, a, kappa)(np.deg2rad(bend), np.deg2rad(reading))
    close(np.rad2deg(np.arctan(tangent)), shape_from_recipe(recipe).backsweep_deg)
    close(clamp_reading_deg(recipe), reading)


def test_the_habit_errs_by_a_term_of_fifth_order():
    error = special.habit_error().right
    assert error == kappa**5 / (8 * sp.tan(a) ** 2)
    exact = sp.atan(special.habit_exact().right) - kappa
    for bend in (sp.Rational(1, 4), sp.Rational(2, 5)):
        at_small = (exact / error).subs({a: bend, kappa: sp.Rational(1, 1000)})
        assert abs(sp.N(at_small, 30) - 1) < 1e-4


def test_the_habit_is_off_by_what_a_bench_can_read_only_for_large_sweeps():
    # rounded to the hundredth: 0.03 deg for a reading of 14 and bends of 25, 0.27 deg for 20 and 25
    tangent = numeric(special.habit_exact().right, a, kappa)
    off = [np.rad2deg(np.arctan(tangent(np.deg2rad(25), np.deg2rad(reading)))) - reading for reading in (14, 20)]
    assert [round(value, 2) for value in off] == [0.03, 0.27]


def test_unequal_bends_change_the_reading_by_the_derived_factor():
    recipe = Recipe(50, 25, 60, 0.01, 35, 250, 88.9)  # a slight roll
    factor = numeric(special.habit_unequal_bends().right, a, b)(np.deg2rad(25), np.deg2rad(35))
    ratio = clamp_reading_deg(recipe) / shape_from_recipe(recipe).backsweep_deg
    assert abs(ratio / factor - 1) < 1e-6


# ---- sensitivities


@pytest.mark.parametrize("measure", sensitivity.measure_names())
@pytest.mark.parametrize("slip", sensitivity.SLIPS, ids=str)
def test_each_sensitivity_is_the_slope_of_the_shipped_function(recipe, measure, slip):
    derived = numeric(sensitivity.sensitivity(measure, slip).right, *sensitivity.RECIPE)
    values = dict(zip(RECIPE_SYMBOLS, in_radians(recipe), strict=True))
    h = 1e-6 if slip in (a, b, phi, psi) else 1e-3
    slope = (slipped(values, slip, h)[measure] - slipped(values, slip, -h)[measure]) / (2 * h)
    scale = np.maximum(1.0, np.abs(slope))
    close(derived(*(values[symbol] for symbol in sensitivity.RECIPE)) / scale, slope / scale, within=SLOPE)


def slipped(values, slip, amount):
    """What the shipped functions measure once `slip` has moved by `amount`, marks and tube length kept."""
    marks = {
        sensitivity.inner_mark: values[c] + values[R] * values[a],
        sensitivity.outer_mark: values[c] + values[R] * values[a] + values[s],
        sensitivity.end: values[c] + values[R] * (values[a] + values[b]) + values[s] + values[g],
    }
    bench = {**values, **marks}
    bench[slip] = bench[slip] + amount
    bend_a, bend_b = np.rad2deg(bench[a]), np.rad2deg(bench[b])
    clamp_flat = 2 * (bench[sensitivity.inner_mark] - bench[R] * bench[a])
    straight = bench[sensitivity.outer_mark] - bench[sensitivity.inner_mark]
    grip = bench[sensitivity.end] - bench[sensitivity.outer_mark] - bench[R] * bench[b]
    roll, stem_roll = np.rad2deg(bench[phi]), np.rad2deg(bench[psi])
    made = Recipe(clamp_flat, bend_a, straight, roll, bend_b, grip, bench[R], stem_roll)
    shape = shape_from_recipe(made)
    return {
        "rise": shape.rise_mm,
        "setback": shape.setback_mm,
        "half_width": shape.width_mm / 2,
        "backsweep": np.deg2rad(shape.backsweep_deg),
        "upsweep": np.deg2rad(shape.upsweep_deg),
        "clamp_reading": np.deg2rad(clamp_reading_deg(made)),
    }


# ---- one bar worked through, and its pictures


@pytest.fixture(scope="module")
def seven():
    order = Order(rise_mm=78, backsweep_deg=12, width_mm=780, controls_mm=180)
    return WorkedBar(recipe_from_order(order, 88.9, 25))


def test_a_worked_bar_puts_its_numbers_into_any_form(seven):
    close(seven.value(forward.measures()["rise"]), 78.0)
    close(seven.value(forward.measures()["half_width"]), 390.0)
    close(seven.value(inverse.straight_and_grip()[0]), seven.recipe.straight_mm)
    close(seven.degrees(inverse.upright_roll()), seven.recipe.roll_deg)
    close(seven.value(inverse.ordered_direction()), seven.value(forward.grip_direction()))


TWO_SIDED = [
    inverse.total_turn, inverse.equal_bends_roll, inverse.two_bends_turn, inverse.two_bends_roll,
    inverse.upright_condition, inverse.two_bends_upright_condition, inverse.upright_roll,
    inverse.two_bends_upright_roll, inverse.straight_and_grip, inverse.two_bends_least_outer,
    inverse.upright_least_bend, inverse.upright_most_backsweep, forward.clamp_reading,
]  # fmt: skip
LIMITS = {inverse.two_bends_least_outer, inverse.upright_least_bend, inverse.upright_most_backsweep}
"""Forms of the bar at the limit of what its bend can do; the others hold for every bar."""


@pytest.mark.parametrize("derived", TWO_SIDED, ids=lambda derived: derived.__name__)
def test_both_sides_of_a_derived_equation_are_one_number_for_a_bar(seven, derived):
    bar = seven
    if derived in LIMITS:  # at the least bend the sine of the roll less the lean is 1
        least = float(least_bend_deg(Order(rise_mm=78, backsweep_deg=12, width_mm=780)))
        lean = np.tan(np.deg2rad(12.0)) * np.sin(np.deg2rad(least))
        roll = 90.0 + np.rad2deg(np.arctan(lean))
        bar = WorkedBar(replace(seven.recipe, inner_bend_deg=least, outer_bend_deg=least, roll_deg=float(roll)))
    found = derived()
    for one in found if isinstance(found, tuple) else (found,):
        close(bar.value(one.left), bar.value(one.right))


def test_the_centre_line_of_a_tube_passes_through_the_derived_points(seven):
    pieces = seven.centre_line()
    for points, point in zip(pieces, forward.tangent_points(), strict=True):
        close(points[-1], seven.value(point))


def test_on_the_bench_riser_and_grip_are_level_and_the_flat_slopes_by_the_reading(seven):
    middle, inner, outer, end = seven.seen_on_the_bench(seven.corners())
    close([*inner[[0, 2]], *outer[[0, 2]], end[2]], 0.0)
    slope_deg = np.rad2deg(np.arcsin((inner - middle)[2] / np.linalg.norm(inner - middle)))
    close(slope_deg, clamp_reading_deg(seven.recipe))
    close(slope_deg, poses_from_recipe(seven.recipe)[2].slope_deg("clamp flat"))
    seen_roll_deg = np.rad2deg(np.arctan2(-middle[2], -middle[0]))
    close(seen_roll_deg, seven.recipe.roll_deg)


def test_the_name_of_a_curve_is_on_the_side_where_no_other_curve_crosses_it():
    across = np.linspace(0.0, 10.0, 101)
    short = np.where(across <= 5.0, across, np.nan)
    steep = np.where(across <= 8.0, np.maximum(0.0, 4.0 * (across - 5.0)), np.nan)
    sides = {
        one.text: one.xanchor for one in curves(across, {"short": short, "steep": steep}, "x", "y").layout.annotations
    }
    assert sides == {"short": "right", "steep": "left"}


def test_each_curve_is_named_at_its_last_number():
    figure = curves([0, 1, 2], {"short": [0, 1, np.nan], "long": [0, 2, 4]}, "across", "up")
    told = {note.text: (note.x, note.y) for note in figure.layout.annotations}
    assert told == {"short": (1.0, 1.0), "long": (2.0, 4.0)}


# ---- springback


def test_the_cubic_of_sheet_metal_is_the_unloading_law_of_a_flat_section():
    # R_i/R_f = 4 X^3 - 3 X + 1: Kalpakjian and Schmid, Manufacturing Engineering and Technology (formula seen); exact
    assert sp.expand(springback.sheet_ratio().right - (4 * springback.X**3 - 3 * springback.X + 1)) == 0
    # their example, from memory: Y 40000 psi, E 29e6 psi, R_i 0.5 in, T 0.0359 in give X .0192 and .942
    x = 40_000 * 0.5 / (29e6 * 0.0359)
    assert x == pytest.approx(0.0192, abs=5e-5)
    assert float(springback.sheet_ratio().right.subs(springback.X, x)) == pytest.approx(0.942, abs=5e-4)


def test_the_springback_ratio_derived_is_the_one_shipped():
    tube, die = Tube(22.225, 1.4732), Die(88.9)
    values = {
        springback.D: 22.225, springback.d: 22.225 - 2 * 1.4732, springback.R_die: 88.9,
        springback.Y: tube.material.yield_mpa, springback.E: tube.material.elastic_modulus_mpa,
    }  # fmt: skip
    assert float(springback.tube_ratio().right.subs(values)) == pytest.approx(
        springback_from_tube(tube, die).ratio, rel=1e-12
    )
    assert float(springback.tube_moment().right.subs(values)) == pytest.approx(
        tube.plastic_moment_nm() * 1e3, rel=1e-12
    )
