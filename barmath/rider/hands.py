"""Where a bar, turned in its stem, puts the rider's hands, and which way it turns the wrists.

Places are measured from the point where the stem's middle line meets the steering axis: forward, up and to the right.
Angles of stem and head as bicycles are drawn: the head angle is between the steering axis and the ground. The stem's
angle is between the stem and the square to the steering axis, positive upward.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.fields import frozen, passing
from barmath.refusal import Number, check_shapes, checked, refuse_where

HAND_FROM_END_MM = 65.0
"""From the bar's end to the middle of the hand, unless measured: common practice, no source."""


@frozen
class Stem:
    """A stem on its bicycle.

    Parameters
    ----------
    length_mm : number or array, 0..200
        From the steering axis to the middle of the clamp, along the stem.
    angle_deg : number or array, -45..45
        From the square to the steering axis, positive upward.
    head_angle_deg : number or array, 45..90
        Of the steering axis to the ground.

    Raises
    ------
    BendError
        A value is not a number in its range.
    """

    length_mm: Number = passing(checked, "length of the stem", unit="mm", least=0.0, most=200.0, default=50.0)
    angle_deg: Number = passing(checked, "angle of the stem", unit="deg", least=-45.0, most=45.0, default=0.0)
    head_angle_deg: Number = passing(checked, "head angle", unit="deg", least=45.0, most=90.0, default=65.0)

    def clamp_mm(self) -> tuple[Number, Number]:
        """The middle of the clamp, (forward, up): length (sin, cos) of the head angle less the stem's angle."""
        theta = (self.head_angle_deg - self.angle_deg) * RADIAN
        return self.length_mm * np.sin(theta), self.length_mm * np.cos(theta)


class Hand(NamedTuple):
    """The middle of the right hand, mm, and the sweeps of its grip, degrees; the left hand mirrors it."""

    forward_mm: Number
    up_mm: Number
    out_mm: Number
    backsweep_deg: Number
    upsweep_deg: Number


class WristTurn(NamedTuple):
    """How far a hand turns from one grip to another, degrees: the whole turn, and what is seen of it from above
    (positive: more backsweep) and from the front (positive: more upsweep).
    """

    whole_deg: Number
    above_deg: Number
    front_deg: Number


def hand_from_recipe(recipe: Recipe, stem: Stem, from_end_mm: Number = HAND_FROM_END_MM) -> Hand:
    """The right hand on a bar turned in its stem.

    The closed forms of the bar (our own), with a grip that ends in the middle of the hand:

        forward = clamp forward - setback,  up = clamp up + rise,  out = half the width.

    Parameters
    ----------
    recipe : Recipe
    stem : Stem
    from_end_mm : number or array, at least 0
        From the bar's end to the middle of the hand, along the grip.

    Raises
    ------
    BendError
        The grip is shorter than that. The bar has no shape.

    Examples
    --------
    >>> from barmath import Recipe
    >>> recipe = Recipe(50.0, 25.0, 75.0, 31.0, 25.0, 227.0, 90.0)
    >>> from barmath.rider import Stem, hand_from_recipe
    >>> hand = hand_from_recipe(recipe, Stem(50.0, 0.0, 65.0))
    >>> print(f"{hand.up_mm:.1f} mm up, {hand.out_mm:.1f} mm out")
    79.6 mm up, 326.4 mm out
    """
    back = checked("middle of the hand from the bar's end", from_end_mm, "mm", least=0.0)
    parts = (getattr(recipe, part.name) for part in fields(recipe))
    check_shapes("the bar, its stem and its hands", *parts, back, *stem.clamp_mm())
    refuse_where(
        np.asarray(back) > np.asarray(recipe.grip_mm),
        "middle of the hand must be on the grip of {grip:most} mm, got {back} mm from the bar's end",
        remedy="move the hand outward, or it would hold the bend",
        grip=recipe.grip_mm,
        back=back,
    )
    at_hand = shape_from_recipe(replace(recipe, grip_mm=recipe.grip_mm - back))
    forward, up = stem.clamp_mm()
    out = 0.5 * at_hand.width_mm
    return Hand(forward - at_hand.setback_mm, up + at_hand.rise_mm, out, at_hand.backsweep_deg, at_hand.upsweep_deg)


def grip_along(hand: Hand) -> Number:
    """Unit vectors (..., 3) along the grip, toward the bar's end: right, forward, up.

    Examples
    --------
    >>> from barmath import Recipe
    >>> recipe = Recipe(50.0, 25.0, 75.0, 31.0, 25.0, 227.0, 90.0)
    >>> from barmath.rider import Stem, grip_along, hand_from_recipe
    >>> grip_along(hand_from_recipe(recipe, Stem(50.0, 0.0, 65.0))).round(3)
    array([ 0.974, -0.218,  0.055])
    """
    right, back, up = np.broadcast_arrays(
        1.0, np.tan(np.multiply(hand.backsweep_deg, RADIAN)), np.tan(np.multiply(hand.upsweep_deg, RADIAN))
    )
    along = np.stack([right, -back, up], -1)
    return along / np.linalg.norm(along, axis=-1, keepdims=True)


def wrist_turn(before: Hand, after: Hand) -> WristTurn:
    """How the wrist turns when a hand goes from one grip to another.

    Parameters
    ----------
    before, after : Hand

    Examples
    --------
    >>> from barmath import Recipe
    >>> recipe = Recipe(50.0, 25.0, 75.0, 31.0, 25.0, 227.0, 90.0)
    >>> from barmath.rider import Stem, hand_from_recipe, wrist_turn
    >>> hand = hand_from_recipe(recipe, Stem(50.0, 0.0, 65.0))
    >>> wrist_turn(hand, hand).whole_deg
    0.0
    """
    one, other = grip_along(before), grip_along(after)
    chord = np.linalg.norm(one - other, axis=-1)
    whole = 2.0 * np.arcsin(np.clip(0.5 * chord, 0.0, 1.0)) / RADIAN
    return WristTurn(
        float(whole) if np.ndim(whole) == 0 else whole,
        after.backsweep_deg - before.backsweep_deg,
        after.upsweep_deg - before.upsweep_deg,
    )
