"""Every way a shop can make an order: all its dies, a range of stop settings and stances, with margins and reasons."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.bending.holds import USUAL_HOLDS, Hold
from barmath.bending.plans import least_riser_mm
from barmath.bending.sequences import bend_order_of_each
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Order, Recipe, Shape, check_single, checked_stop
from barmath.planning.candidates import Candidates, candidates, spare_mm
from barmath.planning.limits import Limit, Window, checked_stock
from barmath.refusal import BendError, Number
from barmath.shop.bender import Bender
from barmath.shop.offsets import tools_from_dies
from barmath.shop.setup import setup_from_tube
from barmath.shop.stock import Tube
from barmath.shop.tooling import USUAL_BENDS_DEG, Die
from barmath.space.centerline import row_from_recipe

ENOUGH_SPARE_MM = 10.0
"""Straight and grip to spare beyond which a builder would rather have a gentler die: common practice, no source."""

UPRIGHT, LEVEL, ORDERED = "risers upright", "grips level", "upsweep as ordered"


@dataclass(frozen=True)
class Ways:
    """A table of ways, best first. Columns are arrays of one length; where there is no bar they hold nan.

    The first row is the one an experienced builder would pick: a way that can be made before one that cannot, fewest
    warnings, 10 mm of straight and grip to spare, the gentlest die that leaves them, a stop on whole fives of degrees,
    and then whatever leaves most to spare. Ways that cannot be made follow, nearest miss first.

    `bender_fails` says of each row why the bender cannot make it in the order of bends that was asked for; it is empty
    where it can, where a limit is broken already, and where no bender was asked.
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
    bender_fails: tuple[str, ...]

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
        for limit in self.limits:
            if limit.refuses and limit.broken[row]:
                return limit.sentence(row)
        if self.bender_fails[row]:
            return f"this bender cannot make it in this order of bends: {self.bender_fails[row]}"
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
    bender: Bender | None = None,
    holds: tuple[Hold, ...] = USUAL_HOLDS,
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
    bender : Bender, optional
        Where it is given, a way can only be made if this bender can make it in the sequence of `holds`; the riser
        then needs what that sequence asks of it.
    holds : tuple of four Hold

    Returns
    -------
    Ways

    Raises
    ------
    BendError
        Where there is no die, no bend or no stance to try.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import every_way
    >>> ways = every_way(Order(90, 14, 800, None, 60, 170), Tube(22.225, 1.651), [Die(101.6)], bends_deg=[20, 25, 30])
    >>> ways.bend_deg.tolist(), ways.feasible.tolist()
    ([30.0, 25.0, 20.0], [True, False, False])
    """
    if not dies:
        raise BendError("the shop must have at least one die, got none: add a die to the shop's file")
    check_single(order, tube, *dies)
    bends = np.atleast_1d(checked_stop(bends_deg)).ravel()
    if not bends.size:
        raise BendError("there must be at least one stop setting to try, got none: name a bend")
    stock_length_mm = checked_stock(stock_length_mm, single=True)
    held = [
        die if bender is None else replace(die, least_straight_mm=least_riser_mm(holds, bender, die)) for die in dies
    ]
    tools = tools_from_dies(tube, held)
    parts = [
        candidates(replace(order, upsweep_deg=upsweep), tube, tools, bends, stock_length_mm, windows=True)
        for _, upsweep in _stances(order, stances)
    ]
    stood = np.repeat([name for name, _ in _stances(order, stances)], len(dies) * bends.size)
    return _sorted(order, tube, tuple(dies), parts, stood, bender, holds)


def _stances(order: Order, stances: Sequence[str]) -> list[tuple[str, Number | None]]:
    if order.upsweep_deg is not None:
        return [(ORDERED, order.upsweep_deg)]
    known = {UPRIGHT: None, LEVEL: 0.0}
    if not stances or not set(stances) <= set(known):
        raise BendError(f'stances must be "{UPRIGHT}" or "{LEVEL}", got {stances!r:.60}')
    return [(stance, known[stance]) for stance in stances]


def _sorted(
    order: Order,
    tube: Tube,
    dies: tuple[Die, ...],
    parts: list[Candidates],
    stance: NDArray,
    bender: Bender | None,
    holds: tuple[Hold, ...],
) -> Ways:
    def column(of: Callable[[Candidates], Number]) -> NDArray:
        columns = [_flat(of(part), part.shape) for part in parts]
        return columns[0] if len(columns) == 1 else np.concatenate(columns)

    feasible, warned, spare = column(lambda bars: bars.feasible), column(lambda bars: bars.warned), column(spare_mm)
    die_index = np.tile(np.repeat(np.arange(len(dies)), len(stance) // len(dies) // len(parts)), len(parts))
    fails = np.full(len(stance), "", object)
    if bender is not None:
        fails[feasible] = _bender_fails(parts, [dies[place] for place in die_index[feasible]], bender, holds)
        feasible = feasible & (fails == "")
    no_bar = column(lambda bars: np.isnan(bars.straight_mm))
    inner, outer = column(lambda bars: bars.inner_bend_deg), column(lambda bars: bars.outer_bend_deg)
    odd_stop = np.any([np.abs(bend / 5.0 - np.round(bend / 5.0)) > 1e-9 for bend in (inner, outer)], axis=0)
    radius = column(lambda bars: bars.radius_mm)
    rank = np.lexsort((
        -np.where(no_bar, -np.inf, spare),
        np.where(feasible, odd_stop, False),
        np.where(feasible, -radius, 0.0),
        np.where(feasible, spare < ENOUGH_SPARE_MM, False),
        np.where(feasible, warned, 0),
        ~feasible,
    ))  # fmt: skip

    def ranked(of: Callable[[Candidates], Number]) -> NDArray:
        return column(of)[rank]

    def ranked_limit(place: int, limit: Limit) -> Limit:
        return replace(
            limit,
            value=ranked(lambda bars: bars.limits[place].value),
            bound=ranked(lambda bars: bars.limits[place].bound),
            no_bar=limit.no_bar is not False and ranked(lambda bars: bars.limits[place].no_bar),
            window=limit.window and window,
        )

    edges = [part.window_mm or (np.nan, np.nan) for part in parts]
    lowest, highest = (
        np.concatenate([_flat(edge[end], part.shape) for part, edge in zip(parts, edges, strict=True)])[rank]
        for end in (0, 1)
    )
    window = Window(lowest, highest, ranked(lambda bars: bars.order.rise_mm))
    limits = tuple(ranked_limit(place, limit) for place, limit in enumerate(parts[0].limits))
    margin = {limit.key: limit.margin for limit in limits}
    return Ways(
        order, tube, dies,
        die_index=die_index[rank],
        stance=stance[rank],
        radius_mm=radius[rank],
        bend_deg=inner[rank],
        stop_deg=ranked(lambda bars: bars.inner_stop_deg),
        straight_mm=ranked(lambda bars: bars.straight_mm),
        roll_deg=ranked(lambda bars: bars.roll_deg),
        grip_mm=ranked(lambda bars: bars.grip_mm),
        stem_roll_deg=ranked(lambda bars: bars.stem_roll_deg),
        cut_length_mm=ranked(lambda bars: bars.cut_length_mm),
        lowest_rise_mm=window.lowest,
        highest_rise_mm=window.highest,
        straight_to_spare_mm=margin["straight"],
        grip_to_spare_mm=margin["controls"],
        feasible=feasible[rank],
        warned=warned[rank],
        limits=limits,
        bender_fails=tuple(fails[rank]),
    )  # fmt: skip


def _flat(number: Number, shape: tuple[int, ...]) -> NDArray:
    # quicker than broadcasting where it is one number or has the shape already: ways are worked out at every move
    array = np.asarray(number)
    if array.shape == shape:
        return array.ravel()
    return np.full(math.prod(shape), array) if array.ndim == 0 else np.broadcast_to(array, shape).ravel()


def _bender_fails(parts: list[Candidates], dies: list[Die], bender: Bender, holds: tuple[Hold, ...]) -> list[str]:
    # for each bar that the limits allow, why the bender cannot make it in this sequence; "" where it can
    tube = parts[0].tube
    bars = [
        row_from_recipe(part.recipe(place)) for part in parts for place in zip(*np.nonzero(part.feasible), strict=True)
    ]
    setups = [setup_from_tube(tube, die, bender) for die in dies]
    sequences = bend_order_of_each(bars, holds, setups)
    return ["" if sequence.fits else sequence.reason() for sequence in sequences]
