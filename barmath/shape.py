"""From a recipe to what the bar measures: the closed forms of rise, sweeps, width and setback.

Directions are (right, back, up). With inner bend a, roll phi and outer bend b the riser and the grip point along

    d1 = (cos a, 0, sin a)
    d2 = (cos a cos b + sin a sin b cos phi,  sin b sin phi,  sin a cos b - cos a sin b cos phi)

and the bar end is reached by half the clamp flat, an arc, the riser, an arc and the grip. `barmath.derivation` derives
each form with SymPy.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.bar import Recipe, Shape
from barmath.blocks import in_blocks
from barmath.refusal import Number, refuse_where

RADIAN = np.pi / 180.0
_NO_DIRECTION = 1e-12


class Turns(NamedTuple):
    """Sines and cosines of the inner bend a, the roll phi, the outer bend b and the stem roll psi."""

    sin_a: Number
    cos_a: Number
    sin_phi: Number
    cos_phi: Number
    sin_b: Number
    cos_b: Number
    sin_psi: Number
    cos_psi: Number


class Reach(NamedTuple):
    """Where the bar end lies, as straights leave it open: half width and rise (risers as clamped) are

    `right + s riser_right + g grip_right` and `up + s riser_up + g grip_up`, setback likewise.
    """

    right: Number
    back: Number
    up: Number
    riser_right: Number
    riser_back: Number
    riser_up: Number
    grip_right: Number
    grip_back: Number
    grip_up: Number


def sine_cosine(theta: Number) -> tuple[Number, Number]:
    """Sine and cosine of `theta` (radians, -pi..pi) from one tangent: t = tan(theta/2), sin = 2t/(1 + t^2),
    cos = (1 - t^2)/(1 + t^2). One transcendental call for two; within 1e-15 of each.
    """
    tangent = np.tan(0.5 * theta)
    square = tangent * tangent
    scale = 1.0 / (1.0 + square)
    return 2.0 * tangent * scale, (1.0 - square) * scale


def turns_from_angles(a: Number, phi: Number, b: Number, psi: Number) -> Turns:
    """Sines and cosines of the four angles in radians."""
    return Turns(*sine_cosine(a), *sine_cosine(phi), *sine_cosine(b), *sine_cosine(psi))


def reach_from_turns(half_flat: Number, radius: Number, turns: Turns) -> Reach:
    """The bar end's place and the directions of riser and grip, rolled in the stem (mm; elementwise)."""
    sin_a, cos_a, sin_phi, cos_phi, sin_b, cos_b, sin_psi, cos_psi = turns
    over_b = 1.0 - cos_b
    swing = sin_b * cos_phi
    reach = over_b * cos_phi
    right = half_flat + radius * (sin_a + sin_b * cos_a + reach * sin_a)
    back = radius * over_b * sin_phi
    up = radius * (1.0 - cos_a + sin_b * sin_a - reach * cos_a)
    grip_right = cos_a * cos_b + sin_a * swing
    grip_back = sin_b * sin_phi
    grip_up = sin_a * cos_b - cos_a * swing
    if np.ndim(sin_psi) == 0 and sin_psi == 0.0 and cos_psi == 1.0:  # upright for all: spare the rotation
        return Reach(right, back, up, cos_a, 0.0, sin_a, grip_right, grip_back, grip_up)
    return Reach(
        right,
        back * cos_psi + up * sin_psi,
        up * cos_psi - back * sin_psi,
        cos_a,
        sin_a * sin_psi,
        sin_a * cos_psi,
        grip_right,
        grip_back * cos_psi + grip_up * sin_psi,
        grip_up * cos_psi - grip_back * sin_psi,
    )


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
        cut length = 2 [c + R (a + b) + s + g].

    Raises
    ------
    BendError
        Where the grip points straight along the stem's plane, so that a sweep has no value, or where the bar ends
        would lie inboard of the middle.
    """
    return Shape(
        *in_blocks(
            _measure,
            recipe.clamp_flat_mm,
            recipe.inner_bend_deg,
            recipe.straight_mm,
            recipe.roll_deg,
            recipe.outer_bend_deg,
            recipe.grip_mm,
            recipe.radius_mm,
            recipe.stem_roll_deg,
        )
    )


def _measure(
    flat: Number, bend_a: Number, s: Number, roll: Number, bend_b: Number, g: Number, radius: Number, stem: Number
) -> tuple[Number, ...]:
    a, b = bend_a * RADIAN, bend_b * RADIAN
    half_flat = 0.5 * flat
    reach = reach_from_turns(half_flat, radius, turns_from_angles(a, roll * RADIAN, b, stem * RADIAN))
    if np.min(reach.grip_right) < _NO_DIRECTION:
        refuse_where(
            abs(reach.grip_right) < _NO_DIRECTION,
            "the grip must point away from the middle, got a grip square to the clamp axis, which has no sweep",
            remedy="choose smaller bends or another roll",
        )
    return (
        reach.up + s * reach.riser_up + g * reach.grip_up,
        np.arctan2(reach.grip_back, reach.grip_right) * (1.0 / RADIAN),
        np.arctan2(reach.grip_up, reach.grip_right) * (1.0 / RADIAN),
        2.0 * (reach.right + s * reach.riser_right + g * reach.grip_right),
        reach.back + s * reach.riser_back + g * reach.grip_back,
        2.0 * (half_flat + radius * (a + b) + s + g),
    )


def clamp_reading_deg(recipe: Recipe) -> Number:
    """What an angle finder on the clamp flat shows when the riser lies in the bender and the outer bend is about to
    be made in a level plane, degrees: sin(reading) = sin a sin phi. Positive for a positive roll.
    """
    return in_blocks(_reading, recipe.inner_bend_deg, recipe.roll_deg)[0]


def _reading(bend_a: Number, roll: Number) -> tuple[Number]:
    sine = sine_cosine(bend_a * RADIAN)[0] * sine_cosine(roll * RADIAN)[0]
    return (np.arcsin(sine) * (1.0 / RADIAN),)
