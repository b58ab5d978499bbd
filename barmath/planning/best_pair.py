"""The pair of bends that leaves most of straight and grip, for each order of a grid."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from barmath.arrays import Array
from barmath.closed_forms.records import Order, check_single, checked_stop
from barmath.planning.candidates import BendPair, candidates, grid_legs, left_mm, spare_mm
from barmath.planning.design_map import grid_shape
from barmath.planning.limits import checked_stock
from barmath.refusal import BendError, Number, checked_single
from barmath.shop.offsets import tools_from_die
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, check_die_takes_tube

FINEST_STEP_DEG = 0.1
"""The finest step of an ordinary stop; a finer one would take very long."""

REFUSED_MM = 1e4
"""What a refused bar is set back by: more than any straight or grip is long."""


def best_pair_deg(
    order: Order,
    tube: Tube,
    die: Die,
    bends_deg: ArrayLike,
    *,
    step_deg: float | None = None,
    stock_length_mm: float = np.inf,
) -> BendPair:
    """The inner and the outer bend on `die` that leave most of straight and grip, for each order of a grid, finished.

    Every pair of the bends is tried by every limit. Where a step is given, so are the pairs around the best one, in
    these steps and as far as the next of the bends. Where no pair makes the bar it is the nearest miss.

    Parameters
    ----------
    order : Order
        Its arrays make the grid, as in `barmath.planning.every_combination`.
    tube : Tube
    die : Die
        One record each (no arrays).
    bends_deg : array
        Finished bends to try.
    step_deg : number, at least 0.1, optional
        Step of a stop that can be set anywhere.
    stock_length_mm : number
        Longest tube in the rack.

    Raises
    ------
    BendError
        Where there is no bend to try, or the die cannot bend the tube.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import best_pair_deg
    >>> order, tube, die = Order(90, 14, 800, None, 60, 170), Tube(22.225, 1.651), Die(127)
    >>> inner, outer = best_pair_deg(order, tube, die, [22.5, 25, 27.5, 30])
    >>> float(inner), float(outer)
    (27.5, 25.0)
    """
    stock = checked_stock(stock_length_mm, single=True)
    search = _Search(order, tube, die, bends_deg, None, stock)
    for one, other in _pairs(search.bends, order):
        search.consider(one, other)
    if step_deg is not None:
        step = checked_single("step of the stop", step_deg, "deg", least=FINEST_STEP_DEG)
        search.look_around(step)
    return search.best


def best_pair_with_setback_deg(
    order: Order, tube: Tube, die: Die, bends_deg: ArrayLike, setback_mm: Number, *, stock_length_mm: float = np.inf
) -> BendPair:
    """The same as `best_pair_deg`, of bars whose ends are `setback_mm` behind the clamp axis, risers upright.

    Parameters
    ----------
    order : Order
        Its backsweep counts for nothing.
    setback_mm : number or array
    tube, die, bends_deg, stock_length_mm
        As in `best_pair_deg`.

    Raises
    ------
    BendError
        Where there is no bend to try, the die cannot bend the tube, or an upsweep is ordered.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import best_pair_with_setback_deg
    >>> order, tube = Order(90, 0, 800, None, 60, 170), Tube(22.225, 1.651)
    >>> inner, outer = best_pair_with_setback_deg(order, tube, Die(127), [22.5, 25, 27.5, 30], 40.0)
    >>> float(inner), float(outer)
    (27.5, 22.5)
    """
    search = _Search(order, tube, die, bends_deg, setback_mm, checked_stock(stock_length_mm, single=True))
    for one in search.bends:
        for other in search.bends:
            search.consider(float(one), float(other))
    return search.best


class _Search:
    """The best pair found so far, for each order of a grid."""

    def __init__(
        self, order: Order, tube: Tube, die: Die, bends_deg: ArrayLike, setback_mm: Number | None, stock_mm: float
    ) -> None:
        check_single(tube, die)
        check_die_takes_tube(tube, die)
        self.bends = np.unique(checked_stop(bends_deg))
        if not self.bends.size:
            raise BendError("there must be at least one stop setting to try, got none: name a bend")
        self.order, self.tube, self.tools = order, tube, tools_from_die(tube, die)
        self.setback_mm, self.stock_mm = setback_mm, stock_mm
        shape = grid_shape(order, setback_mm)
        self.best = BendPair(np.full(shape, self.bends[0]), np.full(shape, self.bends[0]))
        self.worth = np.full(shape, -np.inf)

    def consider(self, inner: Array | float, outer: Array | float) -> None:
        """Keep a pair where it leaves more than the best one so far."""
        bars = candidates(
            self.order, self.tube, self.tools, inner, self.stock_mm, outer_bend_deg=outer, setback_mm=self.setback_mm
        )
        missed = np.nan_to_num(left_mm(bars), nan=-np.inf) - REFUSED_MM
        worth = np.where(bars.feasible, spare_mm(bars), missed)
        better = worth > self.worth
        for kept, new in zip((*self.best, self.worth), (inner, outer, worth), strict=True):
            np.copyto(kept, new, where=better)

    def look_around(self, step: float) -> None:
        """Consider the pairs around the best one, in steps and as far as the next of the bends."""
        gap = float(np.diff(self.bends).max(initial=step))
        around = BendPair(*(bend.copy() for bend in self.best))
        steps = np.arange(step, gap, step)
        for more in (*-steps[::-1], 0.0, *steps):
            for also in (*-steps[::-1], 0.0, *steps):
                self.consider(*(
                    np.clip(bend + by, self.bends[0], self.bends[-1])
                    for bend, by in zip(around, (more, also), strict=True)
                ))  # fmt: skip


def _pairs(bends: Array, order: Order) -> Iterator[tuple[float, float]]:
    # equal bends, and pairs that turn the grips of some order of the grid as it accepts
    for one in map(float, bends):
        for other in map(float, bends):
            if one == other or _is_accepted(order, one, other):
                yield one, other


def _is_accepted(order: Order, inner: float, outer: float) -> bool:
    with np.errstate(invalid="ignore"):
        legs = grid_legs(order, None, 0.0, inner, outer)
    if order.upsweep_deg is not None:
        return bool(np.isfinite(legs.phi).any())
    upsweep = np.degrees(np.arctan2(legs.grip_up, legs.grip_right))
    return bool(((upsweep >= order.least_upsweep_deg - 1e-9) & (upsweep <= order.most_upsweep_deg + 1e-9)).any())
