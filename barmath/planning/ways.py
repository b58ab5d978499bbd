"""Every way a shop can make an order: all its dies, stop settings and ways to clamp it, with margins and reasons."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.bending.holds import USUAL_HOLDS, Hold
from barmath.bending.plans import least_riser_mm
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Order, Recipe, Shape, check_single
from barmath.planning.candidates import candidates, stop_pairs_deg
from barmath.planning.limits import Limit, check_dies, checked_bends, checked_stock
from barmath.planning.ranking import Ranked
from barmath.planning.rules import SAME_BEND_DEG
from barmath.planning.verdicts import Verdicts
from barmath.refusal import BendError, Number, unknown
from barmath.shop.bender import Bender
from barmath.shop.offsets import tools_from_dies
from barmath.shop.stock import Tube
from barmath.shop.tooling import USUAL_BENDS_DEG, Die

AT_A_TIME = 4
"""Rows that a bender is asked of at first, because four take hardly longer than one; then twice as many each time."""

UPRIGHT, LEVEL, ORDERED = "risers upright", "grips level", "upsweep as ordered"


@dataclass(frozen=True)
class Ways:
    """A table of ways, best first. Columns are arrays of one length; if there is no bar they hold nan.

    The first row is the one an experienced builder would pick: a way that no limit refuses before one that is refused,
    then fewest warnings. Next is 10 mm of straight and grip beyond their needs. Then follow the gentlest die that
    leaves them, one stop setting before two, and stops on whole fives of degrees. Last comes whatever leaves most. Ways
    that are refused follow, nearest miss first.

    `bend_deg` and `stop_deg` are those of the inner bends. A bender takes long to ask, so it is asked of a row only
    when somebody wants to know: `can_be_made`, `best` and `bender_fails` ask it, and remember the answer.
    """

    order: Order
    tube: Tube
    dies: tuple[Die, ...]
    die_index: NDArray[np.intp]
    clamped: NDArray[np.str_]
    radius_mm: NDArray[np.float64]
    inner_bend_deg: NDArray[np.float64]
    outer_bend_deg: NDArray[np.float64]
    inner_stop_deg: NDArray[np.float64]
    outer_stop_deg: NDArray[np.float64]
    straight_mm: NDArray[np.float64]
    roll_deg: NDArray[np.float64]
    grip_mm: NDArray[np.float64]
    stem_roll_deg: NDArray[np.float64]
    lowest_rise_mm: NDArray[np.float64]
    highest_rise_mm: NDArray[np.float64]
    straight_left_mm: NDArray[np.float64]
    grip_left_mm: NDArray[np.float64]
    upsweep_deg: NDArray[np.float64]
    allowed: NDArray[np.bool_]
    warned: NDArray[np.intp]
    limits: tuple[Limit, ...]
    verdicts: Verdicts

    def __len__(self) -> int:
        return len(self.inner_bend_deg)

    @property
    def bend_deg(self) -> NDArray[np.float64]:
        """The inner bends."""
        return self.inner_bend_deg

    @property
    def stop_deg(self) -> NDArray[np.float64]:
        """The stop of the inner bends."""
        return self.inner_stop_deg

    @property
    def two_stops(self) -> NDArray[np.bool_]:
        """Where inner and outer bends need a setting each."""
        return np.abs(self.inner_bend_deg - self.outer_bend_deg) > SAME_BEND_DEG

    @cached_property
    def feasible(self) -> NDArray[np.bool_]:
        """Which rows can be made: no limit refuses them, and the bender can make them. It is asked of every row."""
        return self.can_be_made(np.arange(len(self)))

    @cached_property
    def bender_fails(self) -> tuple[str, ...]:
        """For each row why the bender cannot make it in the sequence asked for; "" if it can.

        It is empty too where a limit is broken already, and where no bender was asked.
        """
        return tuple(self.why_not_bent(range(len(self))))

    @cached_property
    def best(self) -> int | None:
        """The first row that can be made; None if there is none."""
        return next(self.made_in_rank(np.arange(len(self))), None)

    def can_be_made(self, rows: ArrayLike) -> NDArray[np.bool_]:
        """Which of the `rows` can be made; the bender is asked of all of them at once.

        Parameters
        ----------
        rows : array of row numbers
        """
        rows = np.atleast_1d(np.asarray(rows, np.intp))
        return self.allowed[rows] & (np.array(self.why_not_bent(rows), object) == "")

    def made_in_rank(self, rows: NDArray[np.intp]) -> Iterator[int]:
        """Those of the `rows` that can be made, sorted as these; the bender is asked of a few at a time."""
        rows, count = rows[self.allowed[rows]], AT_A_TIME
        while rows.size:
            few, rows, count = rows[:count], rows[count:], 2 * count
            yield from (int(row) for row in few[self.can_be_made(few)])

    def why_not_bent(self, rows: Iterable[int]) -> list[str]:
        """Of each of the `rows` why the bender cannot make it; "" where it can, or was not asked."""
        rows = [int(row) for row in rows]
        self.verdicts.ask([row for row in rows if self.allowed[row]], self._recipe, self.die)
        return [self.verdicts.fails.get(row, "") for row in rows]

    def die(self, row: int) -> Die:
        """The die of a row."""
        return self.dies[self.die_index[row]]

    def recipe(self, row: int) -> Recipe:
        """The recipe of a row. It raises BendError with the reason if it cannot be made."""
        if not self.can_be_made(row).item():
            raise BendError(self.reason(row))
        return self._recipe(row)

    def shape(self, row: int) -> Shape:
        """What the bar of a row measures. It raises BendError if it cannot be made."""
        return shape_from_recipe(self.recipe(row))

    def reason(self, row: int) -> str:
        """Why a row can be made, and what to watch, or why it cannot."""
        for limit in self.limits:
            if limit.refuses and limit.broken[row]:
                return limit.sentence(row)
        (fails,) = self.why_not_bent([row])
        if fails:
            return f"this bender cannot make it in this sequence of bends: {fails}"
        words = (
            f"can be made: straight {self.straight_left_mm[row]:.1f} mm and grip "
            f"{self.grip_left_mm[row]:.1f} mm longer than needed"
        )
        return "; ".join([words, *self.warnings(row)])

    def warnings(self, row: int) -> list[str]:
        """What to watch in a row."""
        return [limit.sentence(row) for limit in self.limits if not limit.refuses and limit.broken[row]]

    def _recipe(self, rows: int | list[int]) -> Recipe:
        return Recipe(self.order.clamp_flat_mm, *(column[rows] for column in (
            self.inner_bend_deg, self.straight_mm, self.roll_deg, self.outer_bend_deg, self.grip_mm, self.radius_mm,
            self.stem_roll_deg,
        )))  # fmt: skip


def every_way(
    order: Order,
    tube: Tube,
    dies: Sequence[Die],
    *,
    bends_deg: ArrayLike = USUAL_BENDS_DEG,
    clamped: Sequence[str] = (UPRIGHT,),
    stock_length_mm: float = np.inf,
    bender: Bender | None = None,
    holds: tuple[Hold, ...] = USUAL_HOLDS,
    equal_only: bool = False,
) -> Ways:
    """Every way to make one `order` from `tube`: each die, each pair of stops, each way to clamp it; best first.

    Parameters
    ----------
    order : Order
        One order (no arrays).
    tube : Tube
    dies : sequence of Die
        One record each (no arrays).
    bends_deg : array, degrees
        Finished angles to try, every pair of them for the inner and the outer bends.
    clamped : sequence of "risers upright", "grips level"
        Used for an order without upsweep; an order with one has only "upsweep as ordered".
    stock_length_mm : number
        Longest tube in the rack.
    bender : Bender, optional
        If it is given, this bender must be able to make a way in the sequence of `holds`; the riser then needs what
        that sequence asks of it.
    holds : tuple of four Hold
    equal_only : bool
        Whether all four bends must be made with one stop setting.

    Returns
    -------
    Ways

    Raises
    ------
    BendError
        There is no die, no bend or no way to clamp it to try. Order, tube or dies hold arrays.

    Examples
    --------
    >>> from barmath import Die, Order, Tube
    >>> from barmath.planning import every_way
    >>> ways = every_way(Order(90, 14, 800, None, 60, 170), Tube(22.225, 1.651), [Die(101.6)], bends_deg=[20, 25, 30])
    >>> recipe = ways.recipe(ways.best)
    >>> len(ways), recipe.inner_bend_deg, recipe.outer_bend_deg
    (9, 30.0, 30.0)
    """
    check_dies(dies)
    check_single(order, tube)
    bends = checked_bends(bends_deg)
    stock_length_mm = checked_stock(stock_length_mm, single=True)
    held = [
        die if bender is None else replace(die, least_straight_mm=least_riser_mm(holds, bender, die)) for die in dies
    ]
    tools = tools_from_dies(tube, held)
    inner, outer = stop_pairs_deg(bends, two_stops=not equal_only)
    parts = [
        candidates(
            replace(order, upsweep_deg=upsweep), tube, tools, inner, stock_length_mm, outer_bend_deg=outer, windows=True
        )
        for _, upsweep in _clampings(order, clamped)
    ]
    how_clamped = np.repeat([name for name, _ in _clampings(order, clamped)], len(dies) * inner.size)
    which_die = np.tile(np.repeat(np.arange(len(dies)), inner.size), len(parts))
    return _table(order, tube, tuple(dies), Ranked(parts), how_clamped, which_die, Verdicts(bender, holds, tube))


def _clampings(order: Order, clamped: Sequence[str]) -> list[tuple[str, Number | None]]:
    if order.upsweep_deg is not None:
        return [(ORDERED, order.upsweep_deg)]
    known = {UPRIGHT: None, LEVEL: 0.0}
    if not clamped or not set(clamped) <= set(known):
        raise BendError(unknown("clamping", clamped, [f'"{UPRIGHT}"', f'"{LEVEL}"']))
    return [(name, known[name]) for name in clamped]


def _table(
    order: Order, tube: Tube, dies: tuple[Die, ...], ranked: Ranked, how_clamped: NDArray,
    which_die: NDArray,
    verdicts: Verdicts,
) -> Ways:  # fmt: skip
    limits, window = ranked.limits(), ranked.window()
    margin = {limit.key: limit.margin for limit in limits}
    return Ways(
        order, tube, dies,
        die_index=which_die[ranked.rank],
        clamped=how_clamped[ranked.rank],
        radius_mm=ranked.column(lambda bars: bars.radius_mm),
        inner_bend_deg=ranked.column(lambda bars: bars.inner_bend_deg),
        outer_bend_deg=ranked.column(lambda bars: bars.outer_bend_deg),
        inner_stop_deg=ranked.column(lambda bars: bars.inner_stop_deg),
        outer_stop_deg=ranked.column(lambda bars: bars.outer_stop_deg),
        straight_mm=ranked.column(lambda bars: bars.straight_mm),
        roll_deg=ranked.column(lambda bars: bars.roll_deg),
        grip_mm=ranked.column(lambda bars: bars.grip_mm),
        stem_roll_deg=ranked.column(lambda bars: bars.stem_roll_deg),
        lowest_rise_mm=window.lowest,
        highest_rise_mm=window.highest,
        straight_left_mm=margin["straight"],
        grip_left_mm=margin["controls"],
        upsweep_deg=ranked.column(lambda bars: bars.upsweep_deg),
        allowed=ranked.allowed,
        warned=ranked.warned,
        limits=limits,
        verdicts=verdicts,
    )  # fmt: skip
