"""What a wall chart of two stops shows: for each rise the best pair of stops of one die, with its marks and reading."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.bending.stops import HABIT_DEG
from barmath.lengths import MM_PER_INCH
from barmath.planning.candidates import CAN_BE_MADE, candidates, stop_pairs_deg
from barmath.planning.chart_data import Chart
from barmath.planning.ranking import Ranked
from barmath.planning.rules import IN_SHORT, SAME_BEND_DEG
from barmath.refusal import BendError, Number, checked_single
from barmath.shop.offsets import tools_from_die

PAIR_RISES_MM = tuple(float(rise) for rise in range(40, 131, 5))
PAIR_RISES_IN_MM = tuple(quarters / 4.0 * MM_PER_INCH for quarters in range(6, 22))
"""Rises of a chart where none are named: every 5 mm, or every quarter of an inch."""

DIES_A_SHEET = 3
"""Dies that a sheet of several has room for."""


@dataclass(frozen=True)
class PairRows:
    """The best pair of stops of a die for each rise, for one sweep; every array has one number a rise.

    `why_not` is empty if a pair makes the rise. If none does, it says what the nearest miss lacks, and all numbers of
    that rise are nan. `more_mark_mm` is how much further out the outer mark goes for one mm more of rise, with the
    same stops.
    """

    chart: Chart
    rises_mm: Array
    inner_bend_deg: Array
    outer_bend_deg: Array
    inner_stop_deg: Array
    outer_stop_deg: Array
    inner_mark_mm: Array
    outer_mark_mm: Array
    more_mark_mm: Array
    reading_deg: Array
    cut_length_mm: Array
    why_not: NDArray[np.str_]

    @property
    def made(self) -> NDArray[np.bool_]:
        """Which rises a pair makes."""
        return self.why_not == ""

    @property
    def two_stops(self) -> NDArray[np.bool_]:
        """Which rises need a stop for the inner and another one for the outer bends."""
        return self.made & (np.abs(self.inner_bend_deg - self.outer_bend_deg) > SAME_BEND_DEG)

    @property
    def not_the_sweep(self) -> NDArray[np.bool_]:
        """Where the finder must be set to something else than the sweep."""
        return self.made & (np.abs(self.reading_deg - self.chart.backsweep_deg) > HABIT_DEG)


def pair_rows(chart: Chart, rises_mm: Sequence[float] = PAIR_RISES_MM) -> PairRows:
    """The best pair of the chart's bends for each rise, at the chart's sweep, risers upright.

    Pairs are ranked as `barmath.planning.every_way` ranks them: what can be made, fewest warnings, enough straight and
    grip, one stop before two, round numbers. Last comes whatever leaves most. No bender is asked.

    Parameters
    ----------
    chart : Chart
    rises_mm : sequence of numbers, mm

    Raises
    ------
    BendError
        A rise is not one number above 0 mm, or there is no rise.

    Examples
    --------
    >>> from barmath import Die, Tube
    >>> from barmath.planning import Chart, pair_rows
    >>> chart = Chart(Tube(22.225, 1.651), Die(127), bends_deg=(20, 22.5, 25, 27.5, 30))
    >>> rows = pair_rows(chart, rises_mm=(80, 90))
    >>> rows.inner_bend_deg.tolist(), rows.outer_bend_deg.tolist(), rows.reading_deg.round(1).tolist()
    ([27.5, 27.5], [27.5, 25.0], [14.0, 15.2])
    """
    rises = np.array([checked_single("rise", rise, "mm", above=0.0) for rise in rises_mm])
    if not rises.size:
        raise BendError("there must be at least one rise on a chart, got none: name a rise")
    inner, outer = stop_pairs_deg(np.unique(chart.bends_deg), two_stops=True)
    bars = candidates(
        chart.order(rises[:, None]), chart.tube, tools_from_die(chart.tube, chart.die), inner, chart.stock_length_mm,
        outer_bend_deg=outer,
    )  # fmt: skip
    # the table has every pair for the first rise, then for the second: of each rise the first in rank is its best
    rank = Ranked([bars]).rank
    _, first = np.unique(rank // inner.size, return_index=True)
    best = np.arange(rises.size), rank[first] % inner.size
    codes = bars.binding[best]
    made = codes == CAN_BE_MADE
    marks = bars.marks_mm
    legs = bars.legs
    with np.errstate(invalid="ignore", divide="ignore"):
        more = legs.grip_right / (legs.riser_up * legs.grip_right - legs.riser_right * legs.grip_up)

    def of_made(numbers: Number) -> Array:
        return np.where(made, bars.full(numbers)[best], np.nan)

    return PairRows(
        chart=chart,
        rises_mm=rises,
        inner_bend_deg=of_made(bars.inner_bend_deg),
        outer_bend_deg=of_made(bars.outer_bend_deg),
        inner_stop_deg=of_made(bars.inner_stop_deg),
        outer_stop_deg=of_made(bars.outer_stop_deg),
        inner_mark_mm=of_made(marks[0]),
        outer_mark_mm=of_made(marks[1]),
        more_mark_mm=of_made(more),
        reading_deg=of_made(bars.clamp_reading_deg),
        cut_length_mm=of_made(bars.cut_length_mm),
        why_not=np.array(["" if code == CAN_BE_MADE else IN_SHORT[bars.keys[code - 1]] for code in codes]),
    )
