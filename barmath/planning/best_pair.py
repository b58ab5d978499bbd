"""The pair of bends that leaves most of straight and grip, for each order of a grid."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from barmath.arrays import Array
from barmath.closed_forms.records import Order, check_single, checked_stop
from barmath.planning.candidates import BendPair, Candidates, candidates, grid_legs, left_mm, spare_mm
from barmath.planning.design_map import grid_shape
from barmath.planning.limits import checked_stock
from barmath.refusal import BendError, checked_single
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
    check_single(tube, die)
    check_die_takes_tube(tube, die)
    bends, stock = np.unique(checked_stop(bends_deg)), checked_stock(stock_length_mm, single=True)
    if not bends.size:
        raise BendError("there must be at least one stop setting to try, got none: name a bend")
    shape, tools = grid_shape(order, None), tools_from_die(tube, die)
    inner, outer, best = np.full(shape, bends[0]), np.full(shape, bends[0]), np.full(shape, -np.inf)

    def consider(one: Array | float, other: Array | float, bars: Candidates) -> None:
        missed = np.nan_to_num(left_mm(bars), nan=-np.inf) - REFUSED_MM
        worth = np.where(bars.feasible, spare_mm(bars), missed)
        better = worth > best
        for kept, new in ((inner, one), (outer, other), (best, worth)):
            np.copyto(kept, new, where=better)

    for one, other in _pairs(bends, order):
        consider(one, other, candidates(order, tube, tools, one, stock, outer_bend_deg=other))
    if step_deg is not None:
        step = checked_single("step of the stop", step_deg, "deg", least=FINEST_STEP_DEG)
        gap = float(np.diff(bends).max(initial=step))
        from_inner, from_outer = inner.copy(), outer.copy()
        steps = np.arange(step, gap, step)
        for more in (*-steps[::-1], 0.0, *steps):
            for also in (*-steps[::-1], 0.0, *steps):
                one, other = (np.clip(x, bends[0], bends[-1]) for x in (from_inner + more, from_outer + also))
                consider(one, other, candidates(order, tube, tools, one, stock, outer_bend_deg=other))
    return BendPair(inner, outer)


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
