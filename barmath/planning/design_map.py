"""The design space as a map: which orders a die and a stop can make, and which limit is at each edge.

An order may hold arrays. Those that are along its axes (rise against backsweep, upsweep, width, ...) make the map; the
rest does not change. What only the sweeps decide is worked out once for all rises.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.forward import half_tangent
from barmath.closed_forms.inverse import least_bend_deg
from barmath.closed_forms.records import Order, check_single, checked_stop
from barmath.planning.candidates import (
    NO_SWEEP_NEEDS,
    BendPair,
    Candidates,
    candidates,
    grid_legs,
    put_binding,
    put_warned,
    spare_mm,
)
from barmath.planning.limits import bends_needed_deg, check_dies, checked_bends, checked_stock
from barmath.planning.rules import REFUSING
from barmath.refusal import Number, as_number, check_shapes
from barmath.shop.offsets import tools_from_die
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die


@dataclass(frozen=True)
class Combinations:
    """Every die with every stop for every order of a grid: arrays of shape (dies, bends, *order).

    binding : code of the first refusing limit that is broken, `CAN_BE_MADE` where none is
    warned : how many warning limits are broken
    spare_mm : spare straight or grip, whichever is less; nan where the bend is too small for the sweeps
    keys : what the codes 1, 2, ... mean
    """

    binding: NDArray[np.uint8]
    warned: NDArray[np.uint8]
    spare_mm: Array
    keys: tuple[str, ...]


@dataclass(frozen=True)
class BarMap(Candidates):
    """Bars on one die, over the orders of a grid; every array broadcasts to `shape`. `bend_deg` is the inner bend.

    Where a setback was asked for, the backsweep of `order` counts for nothing; `backsweep_deg` results.
    """

    die: Die

    @property
    def bend_deg(self) -> Array:
        """The inner bends, as finished."""
        return self.full(self.inner_bend_deg)

    @property
    def difference_deg(self) -> Array:
        """Inner less outer bend."""
        return self.full(np.subtract(self.inner_bend_deg, self.outer_bend_deg))

    @property
    def outer_mark_mm(self) -> Array:
        """Mark of the outer bend, mm from the middle of the straight tube, the die's line-up offset in it."""
        return self.marks_mm[1]

    @property
    def backsweep_deg(self) -> Array:
        """The grip seen from above."""
        return self.full(np.arctan2(self._grip_back, self.legs.grip_right) / RADIAN)

    @property
    def setback_mm(self) -> Array:
        """How far the bar end is behind the clamp axis: both legs between corners, seen from the side."""
        take_a, take_b = self.radius_mm * self.legs.tan_a, self.radius_mm * self.legs.tan_b
        riser, grip = self.straight_mm + take_a + take_b, self.grip_mm + take_b
        return self.full(riser * self._sin_a * np.sin(self.legs.psi) + grip * self._grip_back)

    @property
    def _sin_a(self) -> Number:
        return half_tangent(self.inner_bend_deg * RADIAN)[1]

    @property
    def _grip_back(self) -> Number:
        # d2 of risers upright, turned in the stem
        phi, psi = self.legs[:2]
        _, sin_a, cos_a = half_tangent(self.inner_bend_deg * RADIAN)
        _, sin_b, cos_b = half_tangent(self.outer_bend_deg * RADIAN)
        up = sin_b * cos_a * (1.0 - np.cos(phi)) + (sin_a * cos_b - cos_a * sin_b)
        return sin_b * np.sin(phi) * np.cos(psi) + up * np.sin(psi)


def every_combination(
    order: Order,
    tube: Tube,
    dies: Sequence[Die],
    bends_deg: ArrayLike | BendPair,
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
    bends_deg : array or BendPair of arrays
        Stops, as finished angles: of all four bends, or of the inner and of the outer bends, pair by pair.
    setback_mm : number or array, optional
        How far the bar ends must be behind the clamp axis, instead of a backsweep, risers upright.
    stock_length_mm : number
        Longest tube in the rack.

    Returns
    -------
    Combinations
        Arrays of shape (dies, bends, *shape of the grid). A die that cannot bend the tube makes nothing: `binding` has
        the code of that limit.

    Raises
    ------
    BendError
        There is no die or no bend to try.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import BendPair, every_combination
    >>> order = Order(90, 14, 800, None, 60, 170)
    >>> every_combination(order, Tube(22.225, 1.651), [Die(101.6)], [25, 30]).binding.tolist()
    [[11, 0]]
    >>> pairs = BendPair([30, 30, 27.5], [30, 27.5, 25])
    >>> every_combination(order, Tube(22.225, 1.651), [Die(152.4)], pairs).binding.tolist()
    [[11, 10, 0]]
    """
    check_dies(dies)
    check_single(tube)
    stock_length_mm = checked_stock(stock_length_mm, single=True)
    inner, outer = _stops(bends_deg)
    least = None if setback_mm is not None else least_bend_deg(order)
    every_die = [tools_from_die(tube, die) for die in dies]
    shape = (len(dies), inner.size, *grid_shape(order, setback_mm))
    binding, warned = np.zeros(shape, np.uint8), np.zeros(shape, np.uint8)
    spare = np.empty(shape)
    with np.errstate(invalid="ignore", divide="ignore"):
        for column, bend in enumerate(inner):
            other = None if outer is None else outer[column]
            legs = None if setback_mm is not None else grid_legs(order, None, 0.0, bend, other)
            needed = _needed_deg(order, least, bend, other)
            for row, tools in enumerate(every_die):
                bars = candidates(
                    order, tube, tools, bend, stock_length_mm, outer_bend_deg=other, setback_mm=setback_mm, legs=legs,
                    needed=needed,
                )  # fmt: skip
                spare[row, column] = spare_mm(bars)
                put_binding(binding[row, column, ...], bars.limits)
                put_warned(warned[row, column, ...], bars.limits)
    return Combinations(binding, warned, spare, REFUSING)


def _stops(bends_deg: ArrayLike | BendPair) -> tuple[Array, Array | None]:
    # inner and outer bends (n); None where they are the inner ones
    if not isinstance(bends_deg, BendPair):
        return checked_bends(bends_deg), None
    pair = checked_stop(bends_deg.inner_deg, "inner bend"), checked_stop(bends_deg.outer_deg, "outer bend")
    check_shapes("the inner and the outer bends", *pair)
    inner, outer = np.broadcast_arrays(*pair)
    return checked_bends(inner), checked_bends(outer)


def _needed_deg(order: Order, least: Number | None, bend: float, outer: float | None) -> tuple[Number, Number]:
    if least is None:
        return NO_SWEEP_NEEDS
    return (least, np.inf) if outer is None else bends_needed_deg(order, bend, outer)


def bar_map(
    order: Order,
    tube: Tube,
    die: Die,
    bend_deg: Number | BendPair,
    *,
    setback_mm: Number | None = None,
    stock_length_mm: float = np.inf,
) -> BarMap:
    """The bars of one die with `bend_deg` (a number, or one for each order of the grid), limits and all.

    Refusals as in `every_combination`.

    Parameters
    ----------
    order, tube, die, setback_mm, stock_length_mm
        As in `every_combination`.
    bend_deg : number, array (one for each order of the grid) or BendPair
        Finished bends, degrees; a pair where the outer ones differ from the inner ones.

    Raises
    ------
    BendError
        Tube or die hold arrays, or the shapes do not fit together. A bend or the stock is outside its range.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import bar_map
    >>> bars = bar_map(Order([[70], [90]], [10, 14], 800, None, 60, 170), Tube(22.225, 1.651), Die(101.6), 25)
    >>> bars.feasible.tolist()
    [[True, True], [False, False]]
    """
    check_single(tube, die)
    stock_length_mm = checked_stock(stock_length_mm, single=True)
    outer = None
    if isinstance(bend_deg, BendPair):
        bend_deg, outer = bend_deg.inner_deg, checked_stop(bend_deg.outer_deg, "outer bend")
    bend = checked_stop(bend_deg)
    bends = (bend,) if outer is None else (bend, outer)
    check_shapes("the orders of a map and their bends", np.empty(grid_shape(order, setback_mm)), *bends)
    bars = candidates(
        order, tube, tools_from_die(tube, die), bend, stock_length_mm, outer_bend_deg=outer, setback_mm=setback_mm,
        windows=True,
    )  # fmt: skip
    return BarMap(**vars(bars), die=die)


def grid_shape(order: Order, setback_mm: Number | None) -> tuple[int, ...]:
    """Shape of the map of an order that may hold arrays.

    Raises
    ------
    BendError
        The shapes of the order's fields and the setback do not go together.
    """
    numbers = (getattr(order, field.name) for field in fields(order))
    setback = 0.0 if setback_mm is None else as_number("setback", setback_mm, "mm")
    return check_shapes("the orders of a map", setback, *(number for number in numbers if number is not None))
