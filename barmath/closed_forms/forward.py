"""From a recipe to what the bar measures: the closed forms of rise, sweeps, width and setback.

Directions are (right, back, up). With inner bend a, roll phi and outer bend b the riser and the grip point along

    d1 = (cos a, 0, sin a)
    d2 = (cos a cos b + sin a sin b cos phi,  sin b sin phi,  sin a cos b - cos a sin b cos phi)

An arc of radius R and angle a leads from one tangent point to the next by way of its corner. The corner is R tan(a/2)
from each of them (the pipefitter's take-out). So the bar end is reached along the straight legs between corners:

    (c + R tan(a/2)) x  +  (s + R tan(a/2) + R tan(b/2)) d1  +  (g + R tan(b/2)) d2

and the sines, the cosines and the take-out of an angle all come from the tangent of half the angle.
`barmath.derivation.forward` derives each form with SymPy. If the roll is positive, the grip sweeps back: sin phi > 0.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmath.arrays import RADIAN, in_blocks
from barmath.closed_forms.bar_ends import NO_DIRECTION, along_legs, refuse_square_grip, sine_and_cosine
from barmath.closed_forms.many_bars import measures_of_many
from barmath.closed_forms.records import Recipe, Shape
from barmath.fields import fixed
from barmath.refusal import Number


def half_tangent(theta: Number) -> tuple[Number, Number, Number]:
    """Tangent t of half of `theta` (radians, inside -pi..pi). With it sin theta = 2t/(1 + t^2) and cos theta = 2/(1 +
    t^2) - 1, each within 1e-15: one transcendental call for three. Derived in `barmath.derivation.forward`.

    Returns
    -------
    t, sine, cosine : numbers or arrays

    Examples
    --------
    >>> tangent, sine, cosine = half_tangent(np.pi / 2)
    >>> print(f"{tangent:.3f} {sine:.3f} {cosine:.3f}")
    1.000 1.000 0.000
    """
    tangent = np.tan(0.5 * theta)
    return tangent, *sine_and_cosine(tangent)


def shape_from_recipe(recipe: Recipe) -> Shape:
    """What a bar made by `recipe` measures, clamped with its stem roll.

    Parameters
    ----------
    recipe : Recipe
        Numbers or arrays; arrays broadcast.

    Returns
    -------
    Shape
        Numbers where every field of the recipe is a number, arrays of the broadcast shape otherwise.
        tan backsweep = d2_back/d2_right, tan upsweep = d2_up/d2_right, width = 2 right,
        cut length = 2 [c + R (a + b) + s + g], derived in `barmath.derivation.forward.measures`.

    Raises
    ------
    BendError
        The grip is square to the clamp axis, so that a sweep has no value. The bar ends would be inboard of the middle.

    Examples
    --------
    >>> from barmath import Recipe, shape_from_recipe
    >>> recipe = Recipe(clamp_flat_mm=60, inner_bend_deg=30, straight_mm=100.8, roll_deg=28.9, outer_bend_deg=30,
    ...     grip_mm=184.3, radius_mm=105)
    >>> shape = shape_from_recipe(recipe)
    >>> print(f"rise {shape.rise_mm:.1f} mm, backsweep {shape.backsweep_deg:.1f} deg")
    rise 90.0 mm, backsweep 14.0 deg
    """
    numbers = (
        recipe.clamp_flat_mm, recipe.inner_bend_deg, recipe.straight_mm, recipe.roll_deg, recipe.outer_bend_deg,
        recipe.grip_mm, recipe.radius_mm,
    )  # fmt: skip
    upright = not np.any(recipe.stem_roll_deg)
    measured = (upright and measures_of_many(*numbers)) or in_blocks(_measure, *numbers, recipe.stem_roll_deg)
    return Shape(*map(fixed, measured))


def clamp_reading_deg(recipe: Recipe) -> Number:
    """What an angle finder on the clamp flat shows before the outer bend, with the riser in the bender, degrees. The
    bend is made in a level plane: sin(reading) = sin a sin phi. Positive for a positive roll. Derived in
    `barmath.derivation.forward.clamp_reading`.

    Examples
    --------
    >>> from barmath import Order, clamp_reading_deg, recipe_from_order
    >>> order = Order(90, 14, 800, None, 60, 170)
    >>> print(f"{clamp_reading_deg(recipe_from_order(order, radius_mm=105, bend_deg=30)):.1f} deg")
    14.0 deg
    """
    return in_blocks(_reading, recipe.inner_bend_deg, recipe.roll_deg)[0]


def risers_upright(recipe: Recipe) -> Recipe:
    """The same bar turned in the stem until its risers are upright.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.closed_forms import risers_upright
    >>> risers_upright(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105, stem_roll_deg=6)).stem_roll_deg
    0.0
    """
    return replace(recipe, stem_roll_deg=0.0)


def grips_level(recipe: Recipe) -> Recipe:
    """The same bar turned in the stem until its grips are level: tan psi = d2_up / d2_back of the upright bar.

    Of the two such turns it is the one within a quarter turn. So a bar swept forward keeps its rise. Without any
    sweep the grips are level at any stem roll, and the bar keeps its risers upright. It is the stem roll at which
    `barmath.derivation.forward.measures` has no upsweep.

    Examples
    --------
    >>> from barmath import Recipe, shape_from_recipe
    >>> from barmath.closed_forms import grips_level
    >>> level = grips_level(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> upsweep = abs(shape_from_recipe(level).upsweep_deg)
    >>> print(f"stem roll {level.stem_roll_deg:.1f} deg, upsweep {upsweep:.1f} deg")
    stem roll 12.6 deg, upsweep 0.0 deg
    """
    _, sin_a, cos_a = half_tangent(np.multiply(recipe.inner_bend_deg, RADIAN))
    _, sin_b, cos_b = half_tangent(np.multiply(recipe.outer_bend_deg, RADIAN))
    _, sin_phi, cos_phi = half_tangent(np.multiply(recipe.roll_deg, RADIAN))
    back, up = sin_b * sin_phi, sin_a * cos_b - cos_a * sin_b * cos_phi
    turn = np.arctan2(np.copysign(1.0, back) * up, np.abs(back))  # of the two turns the one within a quarter
    psi = np.where(np.hypot(back, up) < NO_DIRECTION, 0.0, turn / RADIAN)
    return replace(recipe, stem_roll_deg=psi)


def _measure(
    flat: Number, bend_a: Number, s: Number, roll: Number, bend_b: Number, g: Number, radius: Number, stem: Number
) -> tuple[Number, ...]:
    half_a, half_b, half_phi = (angle * (0.5 * RADIAN) for angle in (bend_a, bend_b, roll))
    tangents = np.tan(half_a), np.tan(half_b), np.tan(half_phi)
    up, back, width, cut, grip_right, grip_back, grip_up = along_legs(flat, half_a, s, half_b, g, radius, *tangents)
    refuse_square_grip(grip_right)
    if np.ndim(stem) or stem:  # most bars have their risers upright, and eight products are saved
        _, sin_psi, cos_psi = half_tangent(stem * RADIAN)
        back, up = back * cos_psi + up * sin_psi, up * cos_psi - back * sin_psi
        grip_back, grip_up = grip_back * cos_psi + grip_up * sin_psi, grip_up * cos_psi - grip_back * sin_psi
    return (
        up,
        np.arctan2(grip_back, grip_right) * (1.0 / RADIAN),
        np.arctan2(grip_up, grip_right) * (1.0 / RADIAN),
        width,
        back,
        cut,
    )


def _reading(bend_a: Number, roll: Number) -> tuple[Number]:
    sine = half_tangent(bend_a * RADIAN)[1] * half_tangent(roll * RADIAN)[1]
    return (np.arcsin(sine) * (1.0 / RADIAN),)
