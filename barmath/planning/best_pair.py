"""The pair of bends that leaves most of straight and grip, for each order of a grid."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.arrays import Array
from barmath.closed_forms.records import Order, check_single
from barmath.planning.candidates import BendPair, are_accepted, candidates, left_mm, spare_mm
from barmath.planning.design_map import grid_shape
from barmath.planning.limits import checked_bends, checked_stock
from barmath.planning.pair_lines import best_of_every_pair
from barmath.refusal import Number, checked_single
from barmath.shop.offsets import tools_from_die
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, check_die_takes_tube

FINEST_STEP_DEG = 0.1
"""The finest step of an ordinary stop; a finer one would take very long."""

REFUSED_MM = 1e4
"""What a refused bar is set back by: more than any straight or grip is long."""

COARSE_DEG = 2.5
"""Of bends nearer to each other than this, only some are tried at first."""

HOPELESS_MM = 60.0
"""A coarse pair that misses by more has no fine one beside it that makes the bar."""

_ALONG = (-6, -3, -1, 0, 1, 3, 6)
_NEAR = np.array([(along, along + beside) for along in _ALONG for beside in range(-2, 3)]).T[..., None]
"""Steps to the pairs near one: far along with both bends, and less beside, because the upsweep allows no more."""


def best_pair_deg(
    order: Order,
    tube: Tube,
    die: Die,
    bends_deg: ArrayLike,
    *,
    step_deg: float | None = None,
    stock_length_mm: float = np.inf,
) -> BendPair:
    """The inner and outer bend on `die` that leave most of straight and grip, for each order of a grid.

    Every pair of the bends is tried by every limit. Where bends are less than `COARSE_DEG` apart there are thousands
    of pairs, so that their lines are compared (`barmath.planning.pair_lines`). Where no pair makes the bar it is the
    nearest miss: the best of pairs about that far apart, and then better ones near it, as long as there are any. So are
    the bars of a grid with more than `MOST_SWEEPS` sweeps found; there the very best pair may be missed.

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
        There is no bend to try, or the die cannot bend the tube.

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
    bends = np.unique(checked_bends(bends_deg))
    if step_deg is not None:
        step = checked_single("step of the stop", step_deg, "deg", least=FINEST_STEP_DEG)
        bends = np.union1d(bends, np.arange(bends[0], bends[-1], step))
    search = _Search(order, tube, die, bends, None, stock)
    for one, other in _pairs(search.coarse, order):
        search.consider(one, other)
    search.compare_lines()
    search.look_closer()
    return search.best


def best_pair_with_setback_deg(
    order: Order, tube: Tube, die: Die, bends_deg: ArrayLike, setback_mm: Number, *, stock_length_mm: float = np.inf
) -> BendPair:
    """The same as `best_pair_deg`, of bars with their ends `setback_mm` behind the clamp axis, risers upright.

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
        There is no bend to try, the die cannot bend the tube, or an upsweep is ordered.

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
    for one in search.coarse:
        for other in search.coarse:
            search.consider(float(one), float(other))
    search.look_closer()
    return search.best


class _Search:
    """The best pair found so far, for each order of a grid."""

    def __init__(
        self, order: Order, tube: Tube, die: Die, bends_deg: ArrayLike, setback_mm: Number | None, stock_mm: float
    ) -> None:
        check_single(tube, die)
        check_die_takes_tube(tube, die)
        self.bends = np.unique(checked_bends(bends_deg))
        self.order, self.tube, self.tools = order, tube, tools_from_die(tube, die)
        self.setback_mm, self.stock_mm = setback_mm, stock_mm
        self.coarse = self.bends[_apart(self.bends)]
        shape = grid_shape(order, setback_mm)
        self.best = BendPair(np.full(shape, self.bends[0]), np.full(shape, self.bends[0]))
        self.worth = np.full(shape, -np.inf)
        self.settled = np.zeros(shape, bool)

    def consider(self, inner: Array | float, outer: Array | float) -> None:
        """Keep a pair where it leaves more than the best one so far."""
        worth = self._worth(inner, outer)
        better = worth > self.worth
        for kept, new in zip((*self.best, self.worth), (inner, outer, worth), strict=True):
            np.copyto(kept, new, where=better)

    def compare_lines(self) -> None:
        """Keep the pair of all that leaves most, where one makes the bar and the grid has few sweeps."""
        if self.coarse.size == self.bends.size:
            return  # every pair was tried already
        every = best_of_every_pair(self.order, self.tube, self.tools, self.bends, self.stock_mm, self.worth.shape)
        if every is not None:
            self.consider(*every)
            self.settled = self.worth > -REFUSED_MM / 2.0

    def look_closer(self) -> None:
        """From each best pair that is not settled go on to a better one near it, while there is one."""
        inner, outer, worth = (of.ravel() for of in (*self.best, self.worth))  # views: what is written counts
        open_ = (worth > -REFUSED_MM - HOPELESS_MM) & ~self.settled.ravel()
        left = np.flatnonzero(open_ & (self.coarse.size < self.bends.size))
        while left.size:
            places = (np.searchsorted(self.bends, bend[left]) for bend in (inner, outer))
            near = [self.bends[np.clip(place + steps, 0, self.bends.size - 1)]
                    for place, steps in zip(places, _NEAR, strict=True)]  # fmt: skip
            found = self._worth(near[0], near[1], left)
            first = found.argmax(axis=0), np.arange(left.size)
            better = found[first] > worth[left]
            left = left[better]
            for kept, new in zip((inner, outer, worth), (*near, found), strict=True):
                kept[left] = new[first][better]

    def _worth(self, inner: Number, outer: Number, places: NDArray[np.intp] | None = None) -> Array:
        # of the whole grid of orders, or of some places of it
        order, setback = self.order, self.setback_mm
        if places is not None:
            every = {field.name: getattr(order, field.name) for field in fields(order)}
            order = replace(order, **{
                name: np.broadcast_to(number, self.worth.shape).ravel()[places]
                for name, number in every.items() if number is not None
            })  # fmt: skip
            setback = None if setback is None else np.broadcast_to(setback, self.worth.shape).ravel()[places]
        bars = candidates(order, self.tube, self.tools, inner, self.stock_mm, outer_bend_deg=outer, setback_mm=setback)
        missed = np.nan_to_num(left_mm(bars), nan=-np.inf) - REFUSED_MM
        return np.asarray(np.where(bars.feasible, spare_mm(bars), missed))


def _apart(bends: Array) -> NDArray[np.intp]:
    # places of bends that are about `COARSE_DEG` apart, and of the last one
    _, first = np.unique(np.floor((bends - bends[0]) / COARSE_DEG + 1e-9), return_index=True)
    return np.union1d(first, [bends.size - 1])


def _pairs(bends: Array, order: Order) -> Iterator[tuple[float, float]]:
    # equal bends, and pairs that turn the grips of some order of the grid as it accepts
    each = bends.reshape(-1, *[1] * len(grid_shape(order, None)))
    accepted = are_accepted(order, each[:, None], each).reshape(bends.size, bends.size, -1).any(-1)
    for one, other in np.argwhere(accepted | np.eye(bends.size, dtype=bool)):
        yield float(bends[one]), float(bends[other])
