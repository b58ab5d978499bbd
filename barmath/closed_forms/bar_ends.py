"""The algebra of a bar's legs: sums, products and quotients of numbers, of arrays, or of one bar in a compiled loop."""

from __future__ import annotations

import numpy as np

from barmath.refusal import Number, refuse_where

NO_DIRECTION = 1e-12
"""Share of a unit vector that is nothing but rounding."""


def sine_and_cosine(tangent: Number) -> tuple[Number, Number]:
    """Sine and cosine of an angle, from the tangent of its half.

    Examples
    --------
    >>> print("{:.3f} {:.3f}".format(*sine_and_cosine(1.0)))
    1.000 0.000
    """
    scale = 2.0 / (1.0 + tangent * tangent)
    return tangent * scale, scale - 1.0


def along_legs(
    flat: Number, half_a: Number, s: Number, half_b: Number, g: Number, radius: Number,
    tan_a: Number, tan_b: Number, tan_phi: Number,
) -> tuple[Number, ...]:  # fmt: skip
    """Where the straight legs between corners lead, risers upright, in the letters of `barmath.closed_forms.forward`.

    Lengths are in mm. `half_a` and `half_b` are half the bends, in radians. The last three are tangents of half angles.

    Returns
    -------
    up, back, width, cut length in mm; the grip's direction: right, back, up

    Examples
    --------
    >>> up, back, width, cut, *grip = along_legs(60, 0.25, 100.8, 0.25, 184.3, 105, np.tan(0.25), np.tan(0.25), 0.0)
    >>> print(f"{up:.1f} mm up, {back:.1f} mm back, {grip[0]:.3f} right")
    74.0 mm up, 0.0 mm back, 1.000 right
    """
    sin_a, cos_a = sine_and_cosine(tan_a)
    sin_b, cos_b = sine_and_cosine(tan_b)
    sin_phi, cos_phi = sine_and_cosine(tan_phi)
    across = sin_b * cos_phi
    grip_right = cos_a * cos_b + sin_a * across
    grip_back = sin_b * sin_phi
    grip_up = sin_a * cos_b - cos_a * across
    take_a, take_b = radius * tan_a, radius * tan_b
    riser_leg, grip_leg = s + take_a + take_b, g + take_b
    right = take_a + riser_leg * cos_a + grip_leg * grip_right
    back = grip_leg * grip_back
    up = riser_leg * sin_a + grip_leg * grip_up
    width, cut = flat + 2.0 * right, flat + 2.0 * (2.0 * radius * (half_a + half_b) + s + g)
    return up, back, width, cut, grip_right, grip_back, grip_up


def refuse_square_grip(grip_right: Number) -> None:
    """Raise BendError where a grip is square to the clamp axis; `grip_right` is the share of it that points right."""
    if np.min(grip_right, initial=1.0) >= NO_DIRECTION:  # all point away from the middle, and one look was enough
        return
    refuse_where(
        np.min(np.abs(grip_right)) < NO_DIRECTION,
        "the grip must point away from the middle, got a grip square to the clamp axis, which has no sweep",
        remedy="choose smaller bends or another roll",
    )
