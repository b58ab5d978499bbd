"""The inverse that a shop with old marks asks: given the straight between the bends, which bend gives the rise."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.arrays import RADIAN
from barmath.closed_forms.inverse import least_bend_deg
from barmath.closed_forms.legs import equal_legs
from barmath.closed_forms.records import LEAST_BEND_DEG, Order, check_single
from barmath.planning.rules import LARGEST_ROLL_DEG
from barmath.refusal import BendError, checked_single, plain, told_bounds

STEEPEST_DEG = 89.0
"""The steepest riser looked for."""


def bend_from_straight_deg(order: Order, radius_mm: float, straight_mm: float) -> float:
    """The equal bend that gives the ordered rise with `straight_mm` left between the arcs, degrees.

    The rise along the legs between corners is

        (s + 2 R tan(a/2)) riser_up(a) + grip_leg(a) grip_up(a),

    with the grip leg fixed by the width. For a flat offset (no backsweep, risers upright) it is 2 R (1 - cos a) +
    s sin a and solves in closed form; with sweep the grips rise too and the root is found by SciPy's bracketing
    solver. Bends so small that their planes lean more than 80 deg against each other are left out; where several bends
    give the rise, the smallest is meant.

    Parameters
    ----------
    order : Order
        One order (no arrays). The grip follows; whether it leaves room for the controls is not looked at.
    radius_mm : number above 0
        Finished centre-line radius.
    straight_mm : number, at least 0
        From the end of the inner arc to the start of the outer arc: not from mark to mark of the inner ends.

    Raises
    ------
    BendError
        Where no bend between the least for the sweeps and 89 deg gives the rise with a grip of 0 or more.

    Examples
    --------
    >>> from barmath import Order
    >>> from barmath.planning import bend_from_straight_deg
    >>> print(f"{bend_from_straight_deg(Order(90, 14, 800, None, 60, 170), radius_mm=90, straight_mm=75):.1f} deg")
    36.6 deg
    """
    check_single(order)
    radius = checked_single("centre-line radius", radius_mm, "mm", above=0.0)
    straight = checked_single("straight between bends", straight_mm, "mm", least=0.0)
    if order.upsweep_deg is None and order.backsweep_deg == 0.0:
        found = [_flat_offset_deg(order.rise_mm, radius, straight)]
    else:
        found = _crossings(order, radius, straight)
    for bend in found:
        if LEAST_BEND_DEG <= bend <= STEEPEST_DEG and _bars(order, radius, straight, bend)[1] >= 0.0:
            return float(bend)
    rises, grips, _ = _bars(order, radius, straight, _tried(order))
    rises = rises[grips >= 0.0]
    if not rises.size:
        raise BendError(
            f"a straight of {plain(straight)} mm must leave room for a grip inside a width of "
            f"{plain(order.width_mm)} mm, got none: choose a shorter straight, a tighter die or a wider bar"
        )
    low, high = map(plain, told_bounds(rises.min(), rises.max()))
    raise BendError(
        f"rise must be from {low} to {high} mm with a straight of {plain(straight)} mm "
        f"on a radius of {plain(radius)} mm, got {plain(order.rise_mm)} mm: choose another straight"
    )


def _flat_offset_deg(rise: float, radius: float, straight: float) -> float:
    # rise = 2R - (2R cos a - s sin a) = 2R - h cos(a + atan(s/2R)), h = hypot(2R, s)
    cosine = (2.0 * radius - rise) / np.hypot(2.0 * radius, straight)
    if abs(cosine) > 1.0:
        return np.nan
    return float((np.arccos(cosine) - np.arctan2(straight, 2.0 * radius)) / RADIAN)


def _bars(order: Order, radius: float, straight: float, bend_deg: ArrayLike) -> tuple[NDArray, NDArray, NDArray]:
    # rise, grip and roll (mm, mm, degrees) of the bars with that straight
    upsilon = None if order.upsweep_deg is None else order.upsweep_deg * RADIAN
    legs = equal_legs(order.backsweep_deg * RADIAN, upsilon, np.asarray(bend_deg) * RADIAN)
    take = radius * legs.tan_a
    riser_leg = straight + 2.0 * take
    across = 0.5 * (order.width_mm - order.clamp_flat_mm) - take
    grip_leg = (across - riser_leg * legs.riser_right) / legs.grip_right
    return riser_leg * legs.riser_up + grip_leg * legs.grip_up, grip_leg - take, legs.phi / RADIAN


def _tried(order: Order) -> NDArray:
    # bends from the least for the sweeps to the steepest, less those whose bend planes lean too far against each other
    least = max(float(least_bend_deg(order)) * (1.0 + 1e-9), LEAST_BEND_DEG)
    tried = np.linspace(least, STEEPEST_DEG, 721)
    return tried[np.abs(_bars(order, 1.0, 0.0, tried)[2]) <= LARGEST_ROLL_DEG]


def _crossings(order: Order, radius: float, straight: float) -> list[float]:
    from scipy.optimize import brentq

    def miss(bend: float) -> float:
        return float(_bars(order, radius, straight, bend)[0] - order.rise_mm)

    tried = _tried(order)
    misses = _bars(order, radius, straight, tried)[0] - order.rise_mm
    changes = np.flatnonzero(misses[:-1] * misses[1:] <= 0.0)
    return [brentq(miss, tried[i], tried[i + 1], xtol=1e-12, rtol=1e-14) for i in changes]
