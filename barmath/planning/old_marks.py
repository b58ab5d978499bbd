"""The inverse that a shop with old marks asks: given the straight between the bends, which bend gives the rise."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.arrays import RADIAN
from barmath.closed_forms.inverse import least_bend_deg
from barmath.closed_forms.legs import legs_for_sweeps
from barmath.closed_forms.records import LEAST_BEND_DEG, Order, check_single, checked_stop
from barmath.planning.rules import LARGEST_ROLL_DEG, accepts_upsweep
from barmath.refusal import BendError, checked_single, plain, shown_bounds, tenths

STEEPEST_DEG = 89.0
"""The steepest riser looked for."""


def bend_from_straight_deg(
    order: Order, radius_mm: float, straight_mm: float, outer_bend_deg: float | None = None
) -> float:
    """The inner bend that gives the ordered rise with `straight_mm` left between the arcs, degrees.

    The rise along the legs between corners is

        rise = (s + R tan(a/2) + R tan(b/2)) riser_up + grip_leg grip_up,

    as in `barmath.derivation.inverse.rise_and_width`, with the grip leg fixed by the width. For a flat offset (no
    backsweep, risers upright) it is 2 R (1 - cos a) + s sin a and solves in closed form. With sweep the grips rise too
    and the root is found by SciPy's bracketing solver. Bends so small that their planes lean more than 80 deg against
    each other are left out. If several bends give the rise, the smallest is meant.

    Parameters
    ----------
    order : Order
        One order (no arrays). The grip follows; whether it leaves room for the controls is not looked at.
    radius_mm : number above 0
        Finished centre-line radius.
    straight_mm : number, at least 0
        From the end of the inner arc to the start of the outer arc: not from mark to mark of the inner ends.
    outer_bend_deg : number, optional
        The outer bends, where they have a stop of their own. None: the same as the inner ones.

    Raises
    ------
    BendError
        No bend from the least for the sweeps to 89 deg gives the rise with a grip of 0 or more. With outer bends of
        their own, none gives an upsweep that the order accepts.

    Examples
    --------
    >>> from barmath import Order
    >>> from barmath.planning import bend_from_straight_deg
    >>> print(f"{bend_from_straight_deg(Order(90, 14, 800, None, 60, 170), 105, straight_mm=100.8):.1f} deg")
    30.0 deg
    >>> bend = bend_from_straight_deg(Order(90, 14, 800, None, 60, 170), 105, 77.9, outer_bend_deg=27.5)
    >>> print(f"{bend:.1f} deg")
    30.0 deg
    """
    check_single(order)
    radius = checked_single("centre-line radius", radius_mm, "mm", above=0.0)
    straight = checked_single("straight between bends", straight_mm, "mm", least=0.0)
    outer = None
    if outer_bend_deg is not None:
        outer = float(checked_stop(checked_single("outer bend", outer_bend_deg, "deg"), "outer bend"))
    asked = _Asked(order, radius, straight, outer)
    if outer is None and order.upsweep_deg is None and order.backsweep_deg == 0.0:
        found = [_flat_offset_deg(order.rise_mm, radius, straight)]
    else:
        found = _crossings(asked)
    for bend in found:
        if LEAST_BEND_DEG <= bend <= STEEPEST_DEG and _bars(asked, bend).makeable:
            return float(bend)
    tried = _bars(asked, _tried(asked))
    rises = tried.rise[tried.makeable & (tried.rise > 0.0)]
    marks = f"a straight of {plain(straight)} mm"
    if outer is not None:
        marks += f" and outer bends of {plain(outer)} deg"
    if not rises.size:
        raise BendError(
            f"{marks} must leave room for a grip inside a width of "
            f"{plain(order.width_mm)} mm, got none: choose a shorter straight, a tighter die or a wider bar"
        )
    low, high = map(plain, shown_bounds(rises.min(), rises.max()))
    raise BendError(
        f"rise must be from {low} to {high} mm with {marks} "
        f"on a radius of {tenths(radius)} mm, got {plain(order.rise_mm)} mm: choose another straight"
    )


class _Asked(NamedTuple):
    order: Order
    radius: float
    straight: float
    outer_deg: float | None


class _Bars(NamedTuple):
    """Bars with that straight: rise (mm), roll between the bends (degrees), and whether a grip is left. If the upsweep
    depends on the pair, it must be accepted too.
    """

    rise: NDArray
    roll: NDArray
    makeable: NDArray[np.bool_]


def _flat_offset_deg(rise: float, radius: float, straight: float) -> float:
    # rise = 2R - (2R cos a - s sin a) = 2R - h cos(a + atan(s/2R)), h = hypot(2R, s)
    cosine = (2.0 * radius - rise) / np.hypot(2.0 * radius, straight)
    if abs(cosine) > 1.0:
        return np.nan
    return float((np.arccos(cosine) - np.arctan2(straight, 2.0 * radius)) / RADIAN)


def _bars(asked: _Asked, bend_deg: ArrayLike) -> _Bars:
    order, radius = asked.order, asked.radius
    upsilon = None if order.upsweep_deg is None else order.upsweep_deg * RADIAN
    b = None if asked.outer_deg is None else asked.outer_deg * RADIAN
    with np.errstate(invalid="ignore"):
        legs = legs_for_sweeps(order.backsweep_deg * RADIAN, upsilon, np.asarray(bend_deg) * RADIAN, b)
        take_a, take_b = radius * legs.tan_a, radius * legs.tan_b
        riser_leg = asked.straight + (take_a + take_b)
        across = 0.5 * (order.width_mm - order.clamp_flat_mm) - take_a
        grip_leg = (across - riser_leg * legs.riser_right) / legs.grip_right
        makeable = grip_leg - take_b >= 0.0
        if b is not None and upsilon is None:
            upsweep = np.arctan2(legs.grip_up, legs.grip_right) / RADIAN
            makeable &= accepts_upsweep(order, upsweep)
        return _Bars(riser_leg * legs.riser_up + grip_leg * legs.grip_up, legs.phi / RADIAN, makeable)


def _tried(asked: _Asked) -> NDArray:
    # bends from the least for the sweeps to the steepest, less those with bend planes that lean too far apart
    least = LEAST_BEND_DEG
    if asked.outer_deg is None:
        least = max(float(least_bend_deg(asked.order)) * (1.0 + 1e-9), LEAST_BEND_DEG)
    tried = np.linspace(least, STEEPEST_DEG, 721)  # an eighth of a degree: two roots are further apart
    return tried[np.abs(_bars(asked, tried).roll) <= LARGEST_ROLL_DEG]


def _crossings(asked: _Asked) -> list[float]:
    from scipy.optimize import brentq

    def miss(bend: float) -> float:
        return float(_bars(asked, bend).rise - asked.order.rise_mm)

    tried = _tried(asked)
    misses = _bars(asked, tried).rise - asked.order.rise_mm
    changes = np.flatnonzero(misses[:-1] * misses[1:] <= 0.0)
    return [brentq(miss, tried[i], tried[i + 1], xtol=1e-12, rtol=1e-14) for i in changes]
