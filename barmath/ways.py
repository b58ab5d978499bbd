"""Every way a shop can make an order: all its dies, a range of stop settings and stances, with margins and reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.bar import Order, Recipe, Shape, check_single, checked_stop
from barmath.legs import equal_legs, straight_and_grip, window_from_legs
from barmath.limits import Limit, Making, checked_stock, limits_from_making
from barmath.offsets import stop_setting_deg
from barmath.refusal import BendError, Number
from barmath.shape import RADIAN, shape_from_recipe
from barmath.solve import least_bend_deg
from barmath.stock import Tube
from barmath.tooling import Die, springback_from_tube

USUAL_BENDS_DEG = tuple(np.arange(10.0, 45.1, 2.5))
"""Stop settings tried where the shop names none: every 2.5 degrees, as finished angles."""

ENOUGH_SPARE_MM = 10.0
"""Straight and grip to spare beyond which a builder would rather have a gentler die: common practice, no source."""

_ON_THE_BOUND = 1e-9

UPRIGHT, LEVEL, ORDERED = "risers upright", "grips level", "upsweep as ordered"


@dataclass(frozen=True)
class Ways:
    """A table of ways, best first. Columns are arrays of one length; where there is no bar they hold nan.

    The first row is the one an experienced builder would pick: a way that can be made before one that cannot, fewest
    warnings, 10 mm of straight and grip to spare, the gentlest die that leaves them, a stop on whole fives of degrees,
    and then whatever leaves most to spare. Ways that cannot be made follow, nearest miss first.
    """

    order: Order
    tube: Tube
    dies: tuple[Die, ...]
    die_index: NDArray[np.intp]
    stance: NDArray[np.str_]
    radius_mm: NDArray[np.float64]
    bend_deg: NDArray[np.float64]
    stop_deg: NDArray[np.float64]
    straight_mm: NDArray[np.float64]
    roll_deg: NDArray[np.float64]
    grip_mm: NDArray[np.float64]
    stem_roll_deg: NDArray[np.float64]
    cut_length_mm: NDArray[np.float64]
    lowest_rise_mm: NDArray[np.float64]
    highest_rise_mm: NDArray[np.float64]
    straight_to_spare_mm: NDArray[np.float64]
    grip_to_spare_mm: NDArray[np.float64]
    feasible: NDArray[np.bool_]
    warned: NDArray[np.intp]
    limits: tuple[Limit, ...]

    def __len__(self) -> int:
        return len(self.bend_deg)

    def die(self, row: int) -> Die:
        """The die of a row."""
        return self.dies[self.die_index[row]]

    def recipe(self, row: int) -> Recipe:
        """The recipe of a row; raises BendError with the reason where it cannot be made."""
        if not self.feasible[row]:
            raise BendError(self.reason(row))
        bend = float(self.bend_deg[row])
        return Recipe(
            self.order.clamp_flat_mm, bend, float(self.straight_mm[row]), float(self.roll_deg[row]), bend,
            float(self.grip_mm[row]), float(self.radius_mm[row]), float(self.stem_roll_deg[row]),
        )  # fmt: skip

    def shape(self, row: int) -> Shape:
        """What the bar of a row measures; raises BendError where it cannot be made."""
        return shape_from_recipe(self.recipe(row))

    def reason(self, row: int) -> str:
        """Why a row can be made, and what to watch, or why it cannot."""
        no_bar = np.isnan(self.straight_mm[row])  # which on the very bound no limit calls broken
        for limit in self.limits:
            if limit.refuses and (limit.broken[row] or (no_bar and limit.margin[row] <= _ON_THE_BOUND)):
                return limit.sentence(row)
        words = (
            f"can be made: {self.straight_to_spare_mm[row]:.1f} mm of straight and "
            f"{self.grip_to_spare_mm[row]:.1f} mm of grip to spare"
        )
        return "; ".join([words, *self.warnings(row)])

    def warnings(self, row: int) -> list[str]:
        """What to watch in a row."""
        return [limit.sentence(row) for limit in self.limits if not limit.refuses and limit.broken[row]]


def every_way(
    order: Order,
    tube: Tube,
    dies: Sequence[Die],
    *,
    bends_deg: ArrayLike = USUAL_BENDS_DEG,
    stances: Sequence[str] = (UPRIGHT,),
    stock_length_mm: float = np.inf,
) -> Ways:
    """Every way to make one `order` from `tube`: each die with each stop setting and each stance, best first.

    Parameters
    ----------
    order : Order
        One order (no arrays).
    tube : Tube
    dies : sequence of Die
        One record each (no arrays).
    bends_deg : array, degrees
        Finished angles to try; all four bends are equal.
    stances : sequence of "risers upright", "grips level"
        Used for an order without upsweep; an order with one has the single stance "upsweep as ordered".
    stock_length_mm : number
        Longest tube in the rack.

    Returns
    -------
    Ways

    Raises
    ------
    BendError
        Where there is no die, no bend or no stance to try.
    """
    if not dies:
        raise BendError("the shop must have at least one die, got none: add a die to the shop's file")
    check_single(order, tube, *dies)
    bends = np.atleast_1d(checked_stop(bends_deg)).ravel()
    if not bends.size:
        raise BendError("there must be at least one stop setting to try, got none: name a bend")
    stock_length_mm = checked_stock(stock_length_mm, single=True)
    springs = [_springback_ratio(tube, die) for die in dies]
    stood = _stances(order, stances)
    shape = (len(stood), len(dies), bends.size)

    def spread(values: ArrayLike, axis: int) -> NDArray:
        places = [1, 1, 1]
        places[axis] = -1
        return np.broadcast_to(np.asarray(values).reshape(places), shape).ravel()

    each_die = Die(
        centerline_radius_mm=spread([die.centerline_radius_mm for die in dies], 1),
        least_straight_mm=spread([die.least_straight_mm for die in dies], 1),
        largest_bend_deg=spread([die.largest_bend_deg for die in dies], 1),
    )
    ratio, bend = spread(springs, 1), spread(bends, 2)
    radius = each_die.centerline_radius_mm / (1.0 - ratio)
    parts = [_bars(replace(order, upsweep_deg=upsweep), radius, bend, each_die.least_straight_mm, place, shape)
             for place, (_, upsweep) in enumerate(stood)]  # fmt: skip
    roll, stem_roll, straight, grip, lowest, highest, least = (
        np.concatenate(column) for column in zip(*parts, strict=True)
    )
    making = Making(
        bend_deg=bend,
        least_bend_deg=least,
        stop_deg=stop_setting_deg(bend / (1.0 - ratio), spread([die.stop_offset_deg for die in dies], 1)),
        straight_mm=straight,
        grip_mm=grip,
        roll_deg=roll,
        stem_roll_deg=stem_roll,
        cut_length_mm=order.clamp_flat_mm + 2.0 * (2.0 * radius * bend * RADIAN + straight + grip),
        lowest_rise_mm=lowest,
        highest_rise_mm=highest,
    )
    grooves = spread([np.nan if die.tube_diameter_mm is None else die.tube_diameter_mm for die in dies], 1)
    limits = (
        Limit(
            "radius", "die radius", "mm", each_die.centerline_radius_mm, tube.outside_diameter_mm / 2.0, True, True,
            "more than the tube's own", "choose a larger die for this tube",
        ),
        *limits_from_making(making, order, tube, each_die, stock_length_mm, groove_mm=grooves),
    )  # fmt: skip
    return _sorted(order, tube, tuple(dies), making, limits, stem_roll, radius, spread(np.arange(len(dies)), 1),
                   spread([name for name, _ in stood], 0))  # fmt: skip


def _springback_ratio(tube: Tube, die: Die) -> float:
    # nan where the tube is too thick for the die: that die makes nothing, and the others are still tried
    takes = die.centerline_radius_mm > tube.outside_diameter_mm / 2.0
    return float(springback_from_tube(tube, die).ratio) if takes else np.nan


def _stances(order: Order, stances: Sequence[str]) -> list[tuple[str, Number | None]]:
    if order.upsweep_deg is not None:
        return [(ORDERED, order.upsweep_deg)]
    known = {UPRIGHT: None, LEVEL: 0.0}
    if not stances or not set(stances) <= set(known):
        raise BendError(f'stances must be "{UPRIGHT}" or "{LEVEL}", got {stances!r:.60}')
    return [(stance, known[stance]) for stance in stances]


def _bars(
    order: Order, radius: NDArray, bend: NDArray, least_straight: NDArray, place: int, shape: tuple[int, ...]
) -> tuple[NDArray, ...]:
    # the rows of one stance: roll, stem roll, straight, grip, window and least bend
    rows = slice(place * shape[1] * shape[2], (place + 1) * shape[1] * shape[2])
    radius, bend, least_straight = radius[rows], bend[rows], least_straight[rows]
    upsilon = None if order.upsweep_deg is None else order.upsweep_deg * RADIAN
    half_width, half_flat = 0.5 * order.width_mm, 0.5 * order.clamp_flat_mm
    with np.errstate(invalid="ignore", divide="ignore"):
        legs = equal_legs(order.backsweep_deg * RADIAN, upsilon, bend * RADIAN)
        straight, grip, _ = straight_and_grip(legs, order.rise_mm, half_width, half_flat, radius)
        lowest, highest = window_from_legs(legs, half_width, half_flat, radius, order.controls_mm, least_straight)
    columns = (legs.phi / RADIAN, legs.psi / RADIAN, straight, grip, lowest, highest, least_bend_deg(order))
    return tuple(np.broadcast_to(column, bend.shape) for column in columns)


def _sorted(
    order: Order, tube: Tube, dies: tuple[Die, ...], making: Making, limits: tuple[Limit, ...],
    stem_roll: NDArray, radius: NDArray, die_index: NDArray, stance: NDArray,
) -> Ways:  # fmt: skip
    shape = making.bend_deg.shape
    broken = {limit.key: np.broadcast_to(limit.broken, shape) for limit in limits}
    no_bar = np.isnan(making.straight_mm)
    feasible = ~no_bar & ~np.any([broken[limit.key] for limit in limits if limit.refuses], axis=0)
    warned = np.sum([broken[limit.key] for limit in limits if not limit.refuses], axis=0)
    margin = {limit.key: np.broadcast_to(limit.margin, shape) for limit in limits}
    spare = np.minimum(margin["straight"], margin["controls"])
    odd_stop = np.abs(making.bend_deg / 5.0 - np.round(making.bend_deg / 5.0)) > 1e-9
    rank = np.lexsort((
        -np.where(no_bar, -np.inf, spare),
        np.where(feasible, odd_stop, False),
        np.where(feasible, -radius, 0.0),
        np.where(feasible, spare < ENOUGH_SPARE_MM, False),
        np.where(feasible, warned, 0),
        ~feasible,
    ))  # fmt: skip

    def in_rank(number: Number) -> NDArray:
        return np.broadcast_to(number, shape)[rank]

    ranked = tuple(
        replace(
            limit,
            value=in_rank(limit.value),
            bound=in_rank(limit.bound),
            window=limit.window and type(limit.window)(*map(in_rank, limit.window)),
        )
        for limit in limits
    )
    return Ways(
        order, tube, dies,
        die_index=die_index[rank],
        stance=stance[rank],
        radius_mm=radius[rank],
        bend_deg=making.bend_deg[rank],
        stop_deg=making.stop_deg[rank],
        straight_mm=making.straight_mm[rank],
        roll_deg=making.roll_deg[rank],
        grip_mm=making.grip_mm[rank],
        stem_roll_deg=stem_roll[rank],
        cut_length_mm=making.cut_length_mm[rank],
        lowest_rise_mm=making.lowest_rise_mm[rank],
        highest_rise_mm=making.highest_rise_mm[rank],
        straight_to_spare_mm=margin["straight"][rank],
        grip_to_spare_mm=margin["controls"][rank],
        feasible=feasible[rank],
        warned=warned[rank],
        limits=ranked,
    )  # fmt: skip
