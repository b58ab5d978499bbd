"""Rise against die: windows over bends and radii, and which die makes which of a shop's orders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.bar import Order, Recipe, check_single, checked_bend
from barmath.centerline import bar_points, nodes_of_row, row_from_recipe
from barmath.legs import equal_legs, straight_and_grip, window_from_legs
from barmath.limits import LARGEST_ROLL_DEG
from barmath.refusal import BendError, checked, checked_single
from barmath.shape import RADIAN
from barmath.stock import Tube
from barmath.tooling import Die, check_die_takes_tube, springback_from_tube

Array = NDArray[np.float64]


@dataclass(frozen=True)
class WindowCurve:
    """Rise window against the bend for one die: arrays over `bend_deg`, nan where the bend is too small for the sweeps.

    Where `lowest_mm` lies above `highest_mm` the window is empty.
    """

    bend_deg: Array
    lowest_mm: Array
    highest_mm: Array

    @property
    def open(self) -> NDArray[np.bool_]:
        """Where there is a window."""
        return self.lowest_mm <= self.highest_mm


def window_curve(order: Order, tube: Tube, die: Die, bends_deg: ArrayLike) -> WindowCurve:
    """The rise window of one `order`'s width and sweeps on `die`, springback in, for each finished bend (degrees)."""
    check_single(order, tube, die)
    check_die_takes_tube(tube, die)
    bends = _checked_bends(bends_deg)
    radius = springback_from_tube(tube, die).finished_radius_mm
    with np.errstate(invalid="ignore", divide="ignore"):
        legs = equal_legs(order.backsweep_deg * RADIAN, _radians(order.upsweep_deg), bends * RADIAN)
        lowest, highest = window_from_legs(
            legs, 0.5 * order.width_mm, 0.5 * order.clamp_flat_mm, radius, order.controls_mm, die.least_straight_mm
        )
    return WindowCurve(bends, lowest, highest)


def makeable(
    orders: Sequence[Order], tube: Tube, radii_mm: ArrayLike, bends_deg: ArrayLike, least_straight_mm: float
) -> NDArray[np.bool_]:
    """Which of the `orders` a die of each radius can make with one of the stops, shape (orders, radii).

    Parameters
    ----------
    orders : sequence of Order
        One record each (no arrays).
    tube : Tube
    radii_mm : array (radii,)
        Centre-line radii of the dies; the springback of `tube` is taken from theory. A radius on which the tube
        cannot be bent (no more than its own, or so large that it springs back straight) makes nothing.
    bends_deg : array
        Finished bends to try.
    least_straight_mm : number
        What the tooling can hold, for every radius.
    """
    check_single(tube, *orders)
    bends, radii = _checked_bends(bends_deg).ravel(), _checked_radii(radii_mm)
    least = checked_single("least straight", least_straight_mm, "mm", least=0.0)
    finished = _finished_radii(tube, radii)
    made = np.zeros((len(orders), radii.size), bool)
    for place, order in enumerate(orders):
        with np.errstate(invalid="ignore", divide="ignore"):
            legs = equal_legs(order.backsweep_deg * RADIAN, _radians(order.upsweep_deg), bends * RADIAN)
            straight, grip, _ = straight_and_grip(
                legs, order.rise_mm, 0.5 * order.width_mm, 0.5 * order.clamp_flat_mm, finished[:, None]
            )
        fits = (straight >= least) & (grip >= order.controls_mm) & (np.abs(legs.phi) <= LARGEST_ROLL_DEG * RADIAN)
        made[place] = fits.any(axis=1)
    return made


@dataclass(frozen=True)
class DieChoice:
    """What each candidate radius would do for the orders a shop has had.

    share_alone, share_added : (radii,) shares 0..1 of the orders, with that die alone and added to the shop's dies.
    share_now : share that the shop's dies make.
    """

    radii_mm: Array
    share_alone: Array
    share_added: Array
    share_now: float
    made_now: NDArray[np.bool_]

    @property
    def best_radius_mm(self) -> float:
        """The radius that adds most; of several, the gentlest."""
        return float(self.radii_mm[np.flatnonzero(self.share_added == self.share_added.max())[-1]])


def die_choice(
    orders: Sequence[Order],
    tube: Tube,
    dies: Sequence[Die],
    radii_mm: ArrayLike,
    bends_deg: ArrayLike,
    least_straight_mm: float,
) -> DieChoice:
    """Which die to buy next for `orders`, of candidate `radii_mm` that hold `least_straight_mm`.

    Raises
    ------
    BendError
        Where there is no order to choose by.
    """
    if not orders:
        raise BendError("a die must be chosen by orders, got none: list some in the file of orders")
    check_single(*dies)
    radii = _checked_radii(radii_mm)
    alone = makeable(orders, tube, radii, bends_deg, least_straight_mm)
    now = np.zeros(len(orders), bool)
    for die in dies:
        now |= makeable(orders, tube, [die.centerline_radius_mm], bends_deg, die.least_straight_mm)[:, 0]
    return DieChoice(radii, alone.mean(axis=0), (alone | now[:, None]).mean(axis=0), float(now.mean()), now)


PIECES = ("half clamp flat", "inner arc", "straight", "outer arc", "grip")


def across_half_width(recipe: Recipe) -> dict[str, float]:
    """How far each piece of the right half of an upright bar reaches across, mm: they add up to half the width.

    The inner arc reaches R sin a, the straight s cos a, the outer arc R [sin b cos a + (1 - cos b) sin a cos phi].
    """
    check_single(recipe)
    row = row_from_recipe(recipe)
    points, _ = bar_points(recipe, nodes_of_row(row).stations_mm)
    right = np.concatenate([[0.0], points[5:, 0]])
    return dict(zip(PIECES, map(float, np.diff(right)), strict=True))


def _finished_radii(tube: Tube, radii: Array) -> Array:
    # nan where the tube cannot be bent on that radius
    stiffness = tube.material.elastic_modulus_mpa * tube.second_moment_mm4
    ratio = tube.plastic_moment_nm() * 1e3 * radii / stiffness
    bends = (radii > tube.outside_diameter_mm / 2.0) & (ratio < 1.0)
    return np.where(bends, radii / np.where(bends, 1.0 - ratio, 1.0), np.nan)


def _checked_bends(bends_deg: ArrayLike) -> Array:
    return np.atleast_1d(checked("bend", checked_bend("bend", bends_deg), "deg", below=90.0))


def _checked_radii(radii_mm: ArrayLike) -> Array:
    return np.atleast_1d(checked("die radius", radii_mm, "mm", above=0.0)).ravel()


def _radians(angle_deg: float | None) -> float | None:
    return None if angle_deg is None else angle_deg * RADIAN
