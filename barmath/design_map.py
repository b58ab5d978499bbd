"""The design space as a map: which orders a die and a stop can make, and which limit stands at each edge.

An order may hold arrays. Those that lie along its axes (rise against backsweep, upsweep, width, ...) make the map; the
rest stays as it is. What only the sweeps decide is worked out once for all rises.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.bar import Order, Recipe, check_single, checked_stop
from barmath.legs import Legs, equal_legs, setback_legs, straight_and_grip, window_from_legs
from barmath.limits import Limit, Making, checked_stock, limits_from_making
from barmath.offsets import marks_from_riser_mm, stop_setting_deg
from barmath.refusal import BendError, Number, as_number, check_shapes
from barmath.shape import RADIAN, half_tangent
from barmath.solve import least_bend_deg
from barmath.stock import Tube
from barmath.tooling import Die, Springback, springback_from_tube

Array = NDArray[np.float64]

CAN_BE_MADE = 0
"""Code of a bar that breaks no limit; 1 and up count the refusing limits of `barmath.limits` in their order."""


@dataclass(frozen=True)
class Combinations:
    """Every die with every stop for every order of a grid: arrays of shape (dies, bends, *order).

    binding : code of the first refusing limit that is broken, `CAN_BE_MADE` where none is
    warned : how many warning limits are broken
    spare_mm : straight or grip to spare, whichever is less; nan where the bend is too small for the sweeps
    keys : what the codes 1, 2, ... stand for
    """

    bends_deg: Array
    binding: NDArray[np.uint8]
    warned: NDArray[np.uint8]
    spare_mm: Array
    keys: tuple[str, ...]


@dataclass(frozen=True)
class BarMap:
    """Bars with equal bends on one die, over the orders of a grid; every array broadcasts to `shape`.

    Where a setback was asked for, the backsweep of `order` counts for nothing; `backsweep_deg` falls out.
    """

    order: Order
    die: Die
    radius_mm: float
    legs: Legs
    making: Making
    limits: tuple[Limit, ...]
    shape: tuple[int, ...]

    @property
    def binding(self) -> NDArray[np.uint8]:
        """Code of the first refusing limit that is broken, as in `Combinations`."""
        codes = np.zeros(self.shape, np.uint8)
        _put_binding(codes, self.limits, self.making.straight_mm)
        return codes

    @property
    def warned(self) -> NDArray[np.uint8]:
        """How many warning limits are broken."""
        counts = np.zeros(self.shape, np.uint8)
        _put_warned(counts, self.limits)
        return counts

    @property
    def keys(self) -> tuple[str, ...]:
        """What the codes 1, 2, ... stand for."""
        return _refusing_keys(self.limits)

    def limit(self, key: str) -> Limit:
        """The limit of that key."""
        return next(limit for limit in self.limits if limit.key == key)

    @property
    def spare_mm(self) -> Array:
        """Straight or grip to spare, whichever is less; below 0 where it does not fit."""
        return self._full(_spare_mm(self.limits))

    @property
    def bend_deg(self) -> Array:
        """Each bend, as finished."""
        return self._full(self.making.bend_deg)

    @property
    def outer_mark_mm(self) -> Array:
        """From the middle of the straight tube to the mark of the outer bend, the die's line-up offset in it."""
        arc = self.radius_mm * self.making.bend_deg * RADIAN
        start = 0.5 * self.order.clamp_flat_mm + arc + self.making.straight_mm
        return self._full(marks_from_riser_mm(0.0, start, self.die.line_up_offset_mm)[1])

    @property
    def clamp_reading_deg(self) -> Array:
        """What the angle finder on the clamp flat shows for the outer bends."""
        return self._full(np.arcsin(self._sin_a * np.sin(self.legs.phi)) / RADIAN)

    @property
    def backsweep_deg(self) -> Array:
        """The grip seen from above."""
        return self._full(np.arctan2(self._grip_back, self.legs.grip_right) / RADIAN)

    @property
    def upsweep_deg(self) -> Array:
        """The grip seen from the front."""
        return self._full(np.arctan2(self.legs.grip_up, self.legs.grip_right) / RADIAN)

    @property
    def setback_mm(self) -> Array:
        """How far the bar end lies behind the clamp axis: both legs between corners, seen from the side."""
        take = self.radius_mm * self.legs.tan_a
        riser, grip = self.making.straight_mm + 2.0 * take, self.making.grip_mm + take
        return self._full(riser * self._sin_a * np.sin(self.legs.psi) + grip * self._grip_back)

    def recipe(self) -> Recipe:
        """The recipe of a single bar (no arrays); raises BendError with the reason where it cannot be made."""
        check_single(self.order, self.die)
        code = int(self.binding)
        if code != CAN_BE_MADE:
            raise BendError(self.limit(self.keys[code - 1]).sentence())
        making = self.making
        straight, roll, bend, grip, stem_roll = map(
            float, (making.straight_mm, making.roll_deg, making.bend_deg, making.grip_mm, making.stem_roll_deg)
        )
        return Recipe(self.order.clamp_flat_mm, bend, straight, roll, bend, grip, self.radius_mm, stem_roll)

    @property
    def _sin_a(self) -> Number:
        return half_tangent(self.making.bend_deg * RADIAN)[1]

    @property
    def _grip_back(self) -> Number:
        # d2 of risers upright, turned in the stem
        (phi, psi), sin_a = self.legs[:2], self._sin_a
        cos_a = half_tangent(self.making.bend_deg * RADIAN)[2]
        return sin_a * (np.sin(phi) * np.cos(psi) + cos_a * (1.0 - np.cos(phi)) * np.sin(psi))

    def _full(self, number: Number) -> Array:
        return np.broadcast_to(number, self.shape)


def every_combination(
    order: Order,
    tube: Tube,
    dies: Sequence[Die],
    bends_deg: ArrayLike,
    *,
    setback_mm: Number | None = None,
    stock_length_mm: float = np.inf,
) -> Combinations:
    """Every limit of every die with every stop for every order of a grid.

    Parameters
    ----------
    order : Order
        Its arrays make the grid, for example `rise_mm` of shape (n, 1) and `backsweep_deg` of shape (m,).
    tube : Tube
    dies : sequence of Die
        One record each (no arrays).
    bends_deg : array
        Stops, as finished angles.
    setback_mm : number or array, optional
        How far the bar ends must lie behind the clamp axis, instead of a backsweep, risers upright.
    stock_length_mm : number
        Longest tube in the rack.

    Returns
    -------
    Combinations
        Arrays of shape (dies, bends, *shape of the grid).

    Raises
    ------
    BendError
        Where there is no die or no bend to try, or a die is smaller than the tube or lets it spring back straight.
    """
    if not dies:
        raise BendError("the shop must have at least one die, got none: add a die to the shop's file")
    check_single(tube, *dies)
    stock_length_mm = checked_stock(stock_length_mm, single=True)
    bends = np.atleast_1d(checked_stop(bends_deg)).ravel()
    if not bends.size:
        raise BendError("there must be at least one stop setting to try, got none: name a bend")
    springs = [springback_from_tube(tube, die) for die in dies]
    least_bend = least_bend_deg(order) if setback_mm is None else 0.0
    shape = (len(dies), bends.size, *grid_shape(order, setback_mm))
    binding, warned = np.zeros(shape, np.uint8), np.zeros(shape, np.uint8)
    spare = np.empty(shape)
    keys: tuple[str, ...] = ()
    with np.errstate(invalid="ignore", divide="ignore"):
        for column, bend in enumerate(bends):
            legs = None if setback_mm is not None else grid_legs(order, None, 0.0, bend)
            for row, (die, spring) in enumerate(zip(dies, springs, strict=True)):
                radius = spring.finished_radius_mm
                here = legs or grid_legs(order, setback_mm, radius, bend)
                making = _making(order, here, spring, die, bend, least_bend)
                limits = limits_from_making(making, order, tube, die, stock_length_mm)
                spare[row, column] = _spare_mm(limits)
                _put_binding(binding[row, column, ...], limits, making.straight_mm)
                _put_warned(warned[row, column, ...], limits)
                keys = _refusing_keys(limits)
    return Combinations(bends, binding, warned, spare, keys)


def bar_map(
    order: Order,
    tube: Tube,
    die: Die,
    bend_deg: Number,
    *,
    setback_mm: Number | None = None,
    stock_length_mm: float = np.inf,
) -> BarMap:
    """The bars of one die with `bend_deg` (a number, or one for each order of the grid), limits and all.

    Parameters and refusals as in `every_combination`.
    """
    check_single(tube, die)
    bend, stock_length_mm = checked_stop(bend_deg), checked_stock(stock_length_mm, single=True)
    shape = check_shapes("the orders of a map and their bends", np.empty(grid_shape(order, setback_mm)), bend)
    spring = springback_from_tube(tube, die)
    radius = spring.finished_radius_mm
    with np.errstate(invalid="ignore", divide="ignore"):
        legs = grid_legs(order, setback_mm, radius, bend)
        window = window_from_legs(
            legs, 0.5 * order.width_mm, 0.5 * order.clamp_flat_mm, radius, order.controls_mm, die.least_straight_mm
        )
        making = _making(order, legs, spring, die, bend, least_bend_deg(order) if setback_mm is None else 0.0)
        making = replace(making, lowest_rise_mm=window[0], highest_rise_mm=window[1])
        limits = limits_from_making(making, order, tube, die, stock_length_mm)
    return BarMap(order, die, float(radius), legs, making, limits, shape)


def grid_shape(order: Order, setback_mm: Number | None) -> tuple[int, ...]:
    """Shape of the map of an order that may hold arrays; raises BendError where they do not go together."""
    numbers = (order.rise_mm, order.backsweep_deg, order.width_mm, order.upsweep_deg, order.clamp_flat_mm,
               order.controls_mm)  # fmt: skip
    setback = 0.0 if setback_mm is None else as_number("setback", setback_mm, "mm")
    return check_shapes("the orders of a map", setback, *(number for number in numbers if number is not None))


def grid_legs(order: Order, setback_mm: Number | None, radius: Number, bend_deg: Number) -> Legs:
    """Directions of riser and grip of every bar of a map with equal bends; nan where the bend is too small."""
    if setback_mm is not None:
        if order.upsweep_deg is not None:
            raise BendError(
                "a setback must be asked for with the risers upright, got an upsweep: leave one of them open"
            )
        half_span = 0.5 * (order.width_mm - order.clamp_flat_mm)
        return setback_legs(as_number("setback", setback_mm, "mm"), order.rise_mm, half_span, radius, bend_deg * RADIAN)
    upsilon = None if order.upsweep_deg is None else order.upsweep_deg * RADIAN
    return equal_legs(order.backsweep_deg * RADIAN, upsilon, bend_deg * RADIAN)


def _making(order: Order, legs: Legs, spring: Springback, die: Die, bend: Number, least_bend: Number) -> Making:
    radius = spring.finished_radius_mm
    straight, grip, _ = straight_and_grip(legs, order.rise_mm, 0.5 * order.width_mm, 0.5 * order.clamp_flat_mm, radius)
    return Making(
        bend_deg=bend,
        least_bend_deg=least_bend,
        stop_deg=stop_setting_deg(spring.die_bend_deg(bend), die.stop_offset_deg),
        straight_mm=straight,
        grip_mm=grip,
        roll_deg=legs.phi / RADIAN,
        stem_roll_deg=legs.psi / RADIAN,
        cut_length_mm=2.0 * (straight + grip) + (order.clamp_flat_mm + 4.0 * radius * bend * RADIAN),
        lowest_rise_mm=np.nan,
        highest_rise_mm=np.nan,
    )


def _refusing_keys(limits: tuple[Limit, ...]) -> tuple[str, ...]:
    return tuple(limit.key for limit in limits if limit.refuses)


def _spare_mm(limits: tuple[Limit, ...]) -> Number:
    straight, controls = (limit.margin for limit in limits if limit.key in ("straight", "controls"))
    return np.minimum(straight, controls)


def _put_binding(codes: NDArray[np.uint8], limits: tuple[Limit, ...], straight: Number) -> None:
    # the first broken limit is written last; where there is no bar at all the bend is too small
    refusing = [limit for limit in limits if limit.refuses]
    for code, limit in reversed(list(enumerate(refusing, start=1))):
        broken = limit.broken | np.isnan(straight) if limit.key == "turn" else limit.broken
        np.copyto(codes, np.uint8(code), where=broken)


def _put_warned(counts: NDArray[np.uint8], limits: tuple[Limit, ...]) -> None:
    for limit in limits:
        if not limit.refuses:
            counts += limit.broken
