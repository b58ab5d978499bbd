"""The stem rolls at which a bar keeps the hand in its place.

The bar has inner bends a and outer bends b. With the stem roll psi it must show the wanted backsweep beta. That
fixes the roll phi of the tube (our own; the tests walk along each bar found):

    A sin phi + B cos phi + C = 0,   A = cos psi,   B = -(cos a sin psi + tan beta sin a),
                                     C = (sin psi - tan beta cot a) cos b sin a / sin b

(times sin b all through). With h^2 = A^2 + B^2 and w = sqrt(h^2 - C^2),

    sin phi = -(A C + B w)/h^2,   cos phi = (A w - B C)/h^2

and the other root turns the grip further up. The hand's width and height then give both lengths, by two linear
equations. Its place forward is left as one equation for psi.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array

MOST_ROLL_DEG = 40.0
"""Beyond it risers are flat rather than upright, and no rider would turn a bar so far: common practice, no source."""

TENTHS = np.linspace(-MOST_ROLL_DEG, MOST_ROLL_DEG, 801) * RADIAN
"""The stem rolls between which a bar is looked for, radians."""

_PAIRS_AT_A_TIME = 40
"""So many pairs of bends, each with the whole degrees of stem roll, fit into the processor's cache."""


class Place(NamedTuple):
    """Where the hand must be from the middle of the clamp, mm, and the tangent of its backsweep. Of the new bar, half
    the clamp flat and the radius, mm.
    """

    right: float
    behind: float
    height: float
    tan_sweep: float
    half_flat: float
    radius: float


class Legs(NamedTuple):
    """The roll of the tube; both legs between corners, and how far the hand then is from its place forward. All
    three are times their lever, which is 0 if riser and grip run side by side seen from the front; and the lever.
    """

    sin_phi: Array
    cos_phi: Array
    riser: Array
    grip: Array
    lever: Array
    left_over: Array


def legs_at(psi: Array, a: Array, b: Array, place: Place) -> Legs:
    """The legs at stem rolls `psi` with inner bends `a` and outer bends `b` (radians; they broadcast); nan without a
    bar.
    """
    sin_a, cos_a, sin_b, cos_b = np.sin(a), np.cos(a), np.sin(b), np.cos(b)
    sin_psi, cos_psi, tan_beta = np.sin(psi), np.cos(psi), place.tan_sweep
    along = -(cos_a * sin_psi + tan_beta * sin_a)
    rest = (sin_psi - tan_beta * cos_a / sin_a) * (cos_b * (sin_a / sin_b))
    square = cos_psi * cos_psi + along * along
    with np.errstate(invalid="ignore"):
        w = np.sqrt(square - rest * rest)
    sin_phi, cos_phi = -(cos_psi * rest + along * w) / square, (cos_psi * w - along * rest) / square
    grip_right = cos_a * cos_b + sin_a * sin_b * cos_phi
    back = sin_b * sin_phi
    up = sin_b * cos_a * (1.0 - cos_phi) + (sin_a * cos_b - cos_a * sin_b)
    grip_back, grip_up = back * cos_psi + up * sin_psi, up * cos_psi - back * sin_psi
    riser_back, riser_up = sin_a * sin_psi, sin_a * cos_psi
    width = place.right - place.half_flat - place.radius * np.tan(0.5 * a)
    lever = cos_a * grip_up - riser_up * grip_right
    riser = width * grip_up - place.height * grip_right
    grip = cos_a * place.height - riser_up * width
    return Legs(sin_phi, cos_phi, riser, grip, lever, riser * riser_back + grip * grip_back - place.behind * lever)


def stem_rolls(place: Place, a: Array, b: Array) -> tuple[NDArray[np.intp], Array]:
    """Every stem roll at which a bar has the hand in its place: of which pair of bends (k), and itself (k) in radians.

    Parameters
    ----------
    place : Place
    a, b : array (n)
        Inner and outer bends, radians.
    """
    from scipy.optimize.elementwise import find_root  # here, because it takes longer to import than all of barmath

    pair, below, above = _brackets(place, a, b)

    def left_over(psi: Array, a: Array, b: Array) -> Array:
        return legs_at(psi, a, b, place).left_over

    found = find_root(left_over, (below, above), args=(a[pair], b[pair]), tolerances={"xatol": 1e-15, "xrtol": 0.0})
    return pair, found.x


def _brackets(place: Place, a: Array, b: Array) -> tuple[NDArray[np.intp], Array, Array]:
    # the pairs, and the two stem rolls between which the hand passes its place: each whole degree is looked at, and the
    # tenths of a degree only in those where it may pass; in blocks that fit into the processor's cache
    pairs, found = [np.zeros(0, np.intp)], [np.zeros(0, np.intp)]
    for first in range(0, a.size, _PAIRS_AT_A_TIME):
        some = slice(first, first + _PAIRS_AT_A_TIME)
        left = legs_at(TENTHS[::10], a[some, None], b[some, None], place).left_over
        pair, degree = np.nonzero(_may_pass(left))
        pair, within = pair + first, 10 * degree[:, None] + np.arange(11)
        left = legs_at(TENTHS[within], a[pair, None], b[pair, None], place).left_over
        crosses = np.isfinite(left[:, 1:] + left[:, :-1]) & (np.sign(left[:, 1:]) != np.sign(left[:, :-1]))
        which, tenth = np.nonzero(crosses)
        pairs.append(pair[which])
        found.append(within[which, tenth])
    start = np.concatenate(found)
    return np.concatenate(pairs), TENTHS[start], TENTHS[start + 1]


def _may_pass(left: Array) -> NDArray[np.bool_]:
    # between which neighbours (..., n - 1) of `left` (..., n) it may be 0: they differ in sign; or a curve through them
    # and their neighbours, bent four times as much, comes down to 0; or one of those has no bar
    bent = np.abs(np.diff(left, 2))
    bent = np.concatenate([bent[..., :1], bent, bent[..., -1:]], -1)
    least = np.minimum(np.abs(left[..., 1:]), np.abs(left[..., :-1]))
    apart = least > 0.5 * np.maximum(bent[..., 1:], bent[..., :-1])
    same = np.sign(left[..., 1:]) == np.sign(left[..., :-1])
    none = np.isnan(left[..., 1:]) & np.isnan(left[..., :-1])
    return ~(apart & same | none)
