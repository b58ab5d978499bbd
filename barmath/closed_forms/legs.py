"""The closed forms of the inverse: where riser and grip must point for the sweeps ordered, and how long they are.

Kernels on plain numbers and arrays in radians and millimetres, elementwise and unchecked: where a bend is too small
for the sweeps the result is nan. `barmath.closed_forms.inverse` puts checks around them; maps and tables of every way
use them without checks. Directions are (right, back, up), as in `barmath.closed_forms.forward`. All are derived in
`barmath.derivation.inverse`; in the words there `beta` is the backsweep, `upsilon` the upsweep, both in radians.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

import numpy as np

from barmath.closed_forms.forward import half_tangent
from barmath.refusal import Number

UPRIGHT = 0.0
"""The stem roll of upright risers."""

_SLIGHTEST = 1e-150
"""Backsweep, as a component of a unit vector, given to a grip that has none. A grip straight along the clamp axis then
has a direction to lean to, so that its risers are upright. No other grip changes by a single bit."""


_Half: TypeAlias = tuple[Number, Number, Number]
"""Tangent of half a bend, sine and cosine of the bend."""


class Legs(NamedTuple):
    """The half bar before its lengths are known: angles in radians and tangents of the half bends. Also where riser and
    grip point as the bar is clamped (components to the right and up).
    """

    phi: Number
    psi: Number
    tan_a: Number
    tan_b: Number
    riser_right: Number
    riser_up: Number
    grip_right: Number
    grip_up: Number


def grip_direction(beta: Number, upsilon: Number) -> tuple[Number, Number, Number]:
    """Unit vector (right, back, up) of a grip with backsweep `beta` and upsweep `upsilon` in radians."""
    tan_back, tan_up = np.tan(beta), np.tan(upsilon)
    e_right = 1.0 / np.sqrt(1.0 + tan_back * tan_back + tan_up * tan_up)
    return e_right, tan_back * e_right, tan_up * e_right


def upright_legs(beta: Number, a: Number, b: Number | None = None) -> Legs:
    """Inner bends `a` and outer bends `b` (None: the same), risers upright, backsweep `beta` (radians); nan where there
    is no bar.

    tan beta = back/right reads A sin phi - B cos phi = C. Here A = sin b, B = tan beta sin a sin b and C = tan beta cos
    a cos b. Over sin b, with m = tan beta sin a, n = tan beta cos a cos b / sin b and w = sqrt(1 + m^2 - n^2),

        phi = asin(n / sqrt(1 + m^2)) + atan(m) = atan2(n + m w, w - m n),  cos phi = (w - m n)/(1 + m^2).

    The supplement of the arcsine solves it too. It turns the grip further up, so it is left out. Derived in
    `barmath.derivation.inverse.two_bends_upright_roll`.
    """
    _, sin_a, cos_a = inner = half_tangent(a)
    _, sin_b, cos_b = outer = inner if b is None else half_tangent(b)
    tan_beta = np.tan(beta)
    m, n = tan_beta * sin_a, tan_beta * (cos_a * cos_b) / sin_b
    square = 1.0 + m * m
    w = _root(square - n * n, square)
    along = w - m * n
    return _upright(np.arctan2(n + m * w, along), along / square, inner, outer)


def swept_legs(direction: tuple[Number, Number, Number], a: Number) -> Legs:
    """Equal bends `a` with a grip along the unit vector `direction`; nan where `a` is too small.

    Both angles are taken from one root w = sqrt(sin^2 a - sin^2(gamma/2)). Then phi = 2 atan2(sin(gamma/2), w) and psi
    = atan2(e_back, e_up) - atan2(w, cos a sin(gamma/2)). So they fit each other down to the least bend. A grip straight
    along the clamp axis has no direction to lean to: its risers are taken upright. A grip swept forward is the mirror
    image of one swept back. Derived in `barmath.derivation.inverse.equal_bends_angles`.
    """
    e_right, e_back, e_up = direction
    side, back = np.copysign(1.0, e_back), np.abs(e_back) + _SLIGHTEST
    tan_a, sin_a, cos_a = half_tangent(a)
    twice = 1.0 + e_right  # 2 cos^2(gamma/2)
    half_sin = np.sqrt((back * back + e_up * e_up) / (twice + twice))
    w = _root((sin_a - half_sin) * (sin_a + half_sin), sin_a * sin_a)
    # psi = atan2(back, up) - atan2(w, tilt) as one angle; its pair is sin a half_sin twice long
    tilt = cos_a * half_sin
    lean = e_up * tilt + back * w
    psi = side * np.arctan2(back * tilt - e_up * w, lean)
    phi = (side + side) * np.arctan2(half_sin, w)
    return Legs(phi, psi, tan_a, tan_a, cos_a, lean / (half_sin * twice), e_right, e_up)


def swept_pair_legs(direction: tuple[Number, Number, Number], a: Number, b: Number) -> Legs:
    """Inner bends `a` and outer bends `b` with a grip along the unit vector `direction`; nan without a bar.

    The total turn is the third side of a spherical triangle. So cos gamma = cos a cos b + sin a sin b cos phi. Halved,
    it keeps its digits where the bends are nearly equal or the turn is small:

        sin a sin b sin^2(phi/2) = sin^2(gamma/2) - sin^2((a - b)/2)  =: p^2
        sin a sin b cos^2(phi/2) = sin^2((a + b)/2) - sin^2(gamma/2)  =: w^2
        phi = 2 atan2(p, w),  psi = atan2(g_up, g_back) - atan2(e_up, e_back)

    where (g_back, g_up) is the grip before the stem roll. Times sin(a)/2 it is
    (p w, cos a p^2 + sin a sin(a - b)/2). A grip swept forward is the mirror image of one swept back. Derived in
    `barmath.derivation.inverse.two_bends_roll`.
    """
    e_right, e_back, e_up = direction
    side, back = np.copysign(1.0, e_back), np.abs(e_back) + _SLIGHTEST
    (tan_a, sin_a, cos_a), (tan_b, sin_b, cos_b) = half_tangent(a), half_tangent(b)
    across = back * back + e_up * e_up  # sin^2 gamma
    half_square = across / (2.0 * (1.0 + e_right))  # sin^2(gamma/2)
    scale = 1.0 / ((1.0 + tan_a * tan_a) * (1.0 + tan_b * tan_b))
    apart, together = (tan_a - tan_b) ** 2 * scale, (tan_a + tan_b) ** 2 * scale
    p, w = _root(half_square - apart, apart), _root(together - half_square, together)
    grip_back, grip_up = p * w, cos_a * p * p + 0.5 * sin_a * (sin_a * cos_b - cos_a * sin_b)
    along = grip_back * back + grip_up * e_up
    psi = side * np.arctan2(grip_up * back - grip_back * e_up, along)
    phi = (side + side) * np.arctan2(p, w)
    return Legs(phi, psi, tan_a, tan_b, cos_a, 2.0 * along / across, e_right, e_up)


def legs_for_sweeps(beta: Number, upsilon: Number | None, a: Number, b: Number | None = None) -> Legs:
    """Inner bends `a` and outer bends `b` (None: the same) for the sweeps in radians; `upsilon` None = risers upright;
    nan if there is no bar.
    """
    if upsilon is None:
        return upright_legs(beta, a, b)
    direction = grip_direction(beta, upsilon)
    return swept_legs(direction, a) if b is None else swept_pair_legs(direction, a, b)


def setback_legs(
    setback: Number, rise: Number, half_span: Number, radius: Number, a: Number, b: Number | None = None
) -> Legs:
    """Inner bends `a` and outer bends `b` (None: the same), risers upright, with bar ends `setback` behind the
    clamp axis (mm, radians).

    Of the legs between corners only the outer one, l = g + R tan(b/2), leads back. With y for the setback and x for
    `half_span`, half the width less half the clamp flat, less R tan(a/2),

        l sin b sin phi = y,   l sin b cos phi = x sin a - rise cos a,

    from the corners in `barmath.derivation.forward.corner_points`.
    """
    tan_a, sin_a, cos_a = inner = half_tangent(a)
    phi = np.arctan2(setback / sin_a, half_span - radius * tan_a - rise * cos_a / sin_a)
    return _upright(phi, np.cos(phi), inner, inner if b is None else half_tangent(b))


def _upright(phi: Number, cos_phi: Number, inner: _Half, outer: _Half) -> Legs:
    # d2 of `barmath.closed_forms.forward`; its share upward is what is left without a roll, and what the roll adds
    (tan_a, sin_a, cos_a), (tan_b, sin_b, cos_b) = inner, outer
    grip_right, grip_up = cos_a * cos_b + sin_a * sin_b * cos_phi, sin_b * cos_a * (1.0 - cos_phi)
    if outer is not inner:  # of equal bends nothing is left without a roll
        grip_up = grip_up + (sin_a * cos_b - cos_a * sin_b)
    return Legs(phi, UPRIGHT, tan_a, tan_b, cos_a, sin_a, grip_right, grip_up)


def free_legs(direction: tuple[Number, Number, Number], a: Number, psi: Number) -> tuple[Legs, Number]:
    """Inner bend `a` and stem roll `psi` with a grip along `direction`, and the outer bend b (radians)."""
    e_right, rolled_back, rolled_up = direction
    (_, sin_psi, cos_psi), (tan_a, sin_a, cos_a) = half_tangent(psi), half_tangent(a)
    e_back = rolled_back * cos_psi - rolled_up * sin_psi
    e_up = rolled_up * cos_psi + rolled_back * sin_psi
    drop = sin_a * e_right - cos_a * e_up
    b = np.arctan2(np.hypot(e_back, drop), cos_a * e_right + sin_a * e_up)
    legs = Legs(np.arctan2(e_back, drop), psi, tan_a, np.tan(0.5 * b), cos_a, sin_a * cos_psi, e_right, rolled_up)
    return legs, b


def straight_and_grip(
    legs: Legs, rise: Number, half_width: Number, half_flat: Number, radius: Number
) -> tuple[Number, Number, Number]:
    """Straight and grip (mm) that reach `rise` and `half_width`, and the determinant of the two equations

        riser_right leg_1 + grip_right leg_2 = half width - half flat - R tan(a/2)
        riser_up leg_1    + grip_up leg_2    = rise

    for the legs between corners, leg_1 = s + R tan(a/2) + R tan(b/2) and leg_2 = g + R tan(b/2). Derived in
    `barmath.derivation.inverse.straight_and_grip`.
    """
    take_a = radius * legs.tan_a
    take_b = take_a if legs.tan_b is legs.tan_a else radius * legs.tan_b
    across = half_width - half_flat - take_a
    lever = legs.riser_up * legs.grip_right - legs.riser_right * legs.grip_up
    straight = (rise * legs.grip_right - across * legs.grip_up) / lever - (take_a + take_b)
    grip = (across * legs.riser_up - rise * legs.riser_right) / lever - take_b
    return straight, grip, lever


def window_from_legs(
    legs: Legs, half_width: Number, half_flat: Number, radius: Number, controls: Number, least_straight: Number
) -> tuple[Number, Number]:
    """Rise at the shortest straight and at the shortest grip (mm), sorted by what a longer straight does."""
    take_a, take_b = radius * legs.tan_a, radius * legs.tan_b
    across = half_width - half_flat - take_a
    riser_leg, grip_leg = least_straight + take_a + take_b, controls + take_b
    other_grip = (across - riser_leg * legs.riser_right) / legs.grip_right
    other_riser = (across - grip_leg * legs.grip_right) / legs.riser_right
    at_shortest = riser_leg * legs.riser_up + other_grip * legs.grip_up
    at_longest = other_riser * legs.riser_up + grip_leg * legs.grip_up
    climbs = legs.riser_up * legs.grip_right >= legs.riser_right * legs.grip_up
    return np.where(climbs, at_shortest, at_longest), np.where(climbs, at_longest, at_shortest)


def _root(square: Number, of_terms: Number) -> Number:
    # rounding must not make the root of the least bend itself nan, so its terms count some 50 roundings more
    return np.sqrt(square + 1e-14 * of_terms)
