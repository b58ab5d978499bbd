"""What a wall chart shows: rise against the distance of the marks, reading against backsweep, a table of settings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.forward import clamp_reading_deg
from barmath.closed_forms.inverse import least_bend_deg, recipe_from_order, rise_window_mm
from barmath.closed_forms.records import Order, check_single
from barmath.fields import frozen, keep, passing
from barmath.lengths import MM_PER_INCH
from barmath.planning.candidates import CAN_BE_MADE, Candidates, candidates, rise_limits_mm
from barmath.planning.limits import checked_stock
from barmath.planning.rules import IN_A_CELL, IN_SHORT
from barmath.refusal import Number, checked, checked_single
from barmath.shop.offsets import marks_from_riser_mm, stop_from_bend_deg, tools_from_die
from barmath.shop.order_seven import ORDER
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, Springback, springback_from_tube

CHART_BENDS_DEG = (15.0, 20.0, 25.0, 30.0, 35.0, 40.0)
CHART_RISES_MM = (50.0, 60.0, 70.0, 80.0, 90.0, 100.0)
CHART_RISES_IN_MM = tuple(inches * MM_PER_INCH for inches in (2.0, 2.5, 3.0, 3.5, 4.0))
CHART_SWEEPS_DEG = (10.0, 12.0, 14.0, 16.0)
"""Bends, rises and sweeps of a chart where none are named: what is ordered most (common practice, no source)."""

NO_ROOM, NO_ROOM_IN_A_CELL = "no room for tooling and controls", "no room"
POINTS = 25
"""Points along a line of the chart."""


def _checked_bends(bends_deg: tuple[float, ...]) -> tuple[float, ...]:
    for bend in bends_deg:
        checked("bend", checked_single("bend", bend, "deg"), "deg", least=0.1, below=90.0)
    return bends_deg


@frozen
class Chart:
    """One die with one tube, and what the chart assumes.

    Parameters
    ----------
    tube : Tube
    die : Die
    width_mm, clamp_flat_mm, controls_mm : number
        Of the bars on the chart. Risers upright.
    backsweep_deg : number
        Of the lines of rise; the table has sweeps of its own.
    bends_deg : tuple of number, from 0.1 to below 90
        Finished bends, one line each.
    stock_length_mm : number
        Longest tube in the rack.

    Raises
    ------
    BendError
        A value is outside its range, or the tube cannot be bent on the die.
    """

    tube: Tube
    die: Die
    width_mm: float = float(ORDER.width_mm)
    clamp_flat_mm: float = float(ORDER.clamp_flat_mm)
    controls_mm: float = float(ORDER.controls_mm)
    backsweep_deg: float = float(ORDER.backsweep_deg)
    bends_deg: tuple[float, ...] = passing(_checked_bends, default=CHART_BENDS_DEG)
    stock_length_mm: float = passing(checked_stock, single=True, default=np.inf)
    springback: Springback = field(init=False)

    def _check_together(self) -> None:
        check_single(self.tube, self.die, self.order(1.0))
        keep(self, springback=springback_from_tube(self.tube, self.die))

    def order(self, rise_mm: Number, backsweep_deg: Number | None = None) -> Order:
        """An order of that rise with what the chart assumes. It raises BendError as `Order` does."""
        sweep = self.backsweep_deg if backsweep_deg is None else backsweep_deg
        return Order(rise_mm, sweep, self.width_mm, None, self.clamp_flat_mm, self.controls_mm)

    def bars(self, rise_mm: Number, bend_deg: Number, backsweep_deg: float | None = None) -> Candidates:
        """The bars of those rises and bends on this die, with all limits."""
        order, tools = self.order(rise_mm, backsweep_deg), tools_from_die(self.tube, self.die)
        return candidates(order, self.tube, tools, bend_deg, self.stock_length_mm)


@dataclass(frozen=True)
class RiseLine:
    """Rise against the distance between the inner and the outer mark for one stop.

    `distance_mm` and `rise_mm` are empty, and `why_not` says why, where the die has no window at that bend.
    `inner_mark_mm` is the inner mark from the middle, and `reading_deg` what the finder must read: the same for every
    bar on the line.
    """

    bend_deg: float
    stop_deg: float
    inner_mark_mm: float
    reading_deg: float
    distance_mm: Array
    rise_mm: Array
    why_not: str


def rise_lines(chart: Chart) -> tuple[RiseLine, ...]:
    """One line a stop, from the shortest straight the tooling holds to where the controls run out of room.

    Examples
    --------
    >>> from barmath import Die, Tube
    >>> from barmath.planning import Chart, rise_lines
    >>> chart = Chart(Tube(22.225, 1.651), Die(101.6), bends_deg=(20, 25))
    >>> line = rise_lines(chart)[1]
    >>> print(f"{line.rise_mm.min():.1f} to {line.rise_mm.max():.1f} mm")
    64.6 to 87.7 mm
    """
    return tuple(_rise_line(chart, bend) for bend in chart.bends_deg)


@dataclass(frozen=True)
class ReadingLine:
    """Clamp reading against backsweep for one stop, both in degrees, as far as the bend can give the sweep."""

    backsweep_deg: Array
    reading_deg: Array


def reading_lines(chart: Chart, largest_sweep_deg: float = 20.0) -> tuple[ReadingLine, ...]:
    """One line a stop, equal bends, risers upright, from no sweep to the largest the bend can give.

    Parameters
    ----------
    chart : Chart
    largest_sweep_deg : number

    Raises
    ------
    BendError
        The largest sweep is not one number from 0 to 85 deg.

    Examples
    --------
    >>> from barmath import Die, Tube
    >>> from barmath.planning import Chart, reading_lines
    >>> chart = Chart(Tube(22.225, 1.651), Die(101.6), bends_deg=(20, 25))
    >>> line = reading_lines(chart)[1]
    >>> print(f"{line.backsweep_deg[-1]:.1f} deg: read {line.reading_deg[-1]:.1f} deg")
    20.0 deg: read 19.8 deg
    """
    largest = checked_single("largest backsweep", largest_sweep_deg, "deg", least=0.0, most=85.0)
    every = np.linspace(0.0, largest, 41)
    least = least_bend_deg(chart.order(1.0, every))
    sweeps = [(bend, every[least <= bend]) for bend in chart.bends_deg]
    return tuple(ReadingLine(some, _reading(some, bend)) for bend, some in sweeps)


@dataclass(frozen=True)
class SettingsBlock:
    """Outer marks for one backsweep: a row a rise, a column a stop.

    `outer_mark_mm` (rises, stops) is nan where the die cannot make that bar; `why_not` says why in two or three words,
    and is empty elsewhere. `reading_deg` (stops) is the clamp reading, nan where the bend is too small for the sweep.
    """

    rises_mm: Array
    reading_deg: Array
    outer_mark_mm: Array
    why_not: NDArray[np.str_]


def settings_blocks(
    chart: Chart, rises_mm: Sequence[float] = CHART_RISES_MM, sweeps_deg: Sequence[float] = CHART_SWEEPS_DEG
) -> tuple[SettingsBlock, ...]:
    """Settings for round rises and sweeps, one block a sweep; the inner marks are those of `rise_lines`.

    Parameters
    ----------
    chart : Chart
    rises_mm, sweeps_deg : sequences of numbers

    Raises
    ------
    BendError
        A rise or a sweep is not one number in its range.

    Examples
    --------
    >>> from barmath import Die, Tube
    >>> from barmath.planning import Chart, settings_blocks
    >>> chart = Chart(Tube(22.225, 1.651), Die(101.6), bends_deg=(20, 25))
    >>> len(settings_blocks(chart, rises_mm=(60, 80), sweeps_deg=(8, 12)))
    2
    """
    rises = np.array([checked_single("rise", rise, "mm", above=0.0) for rise in rises_mm])
    return tuple(_block(chart, rises, checked_single("backsweep", sweep, "deg")) for sweep in sweeps_deg)


def inner_marks_mm(chart: Chart) -> Array:
    """The inner mark from the middle for each stop: half the clamp flat, the arc, and the die's line-up offset.

    Examples
    --------
    >>> from barmath import Die, Tube
    >>> from barmath.planning import Chart, inner_marks_mm
    >>> chart = Chart(Tube(22.225, 1.651), Die(101.6), bends_deg=(20, 25))
    >>> inner_marks_mm(chart).round(1).tolist()
    [66.7, 75.8]
    """
    arcs = chart.springback.finished_radius_mm * np.array(chart.bends_deg) * RADIAN
    return marks_from_riser_mm(0.5 * chart.clamp_flat_mm + arcs, 0.0, chart.die.line_up_offset_mm)[0]


def _rise_line(chart: Chart, bend: float) -> RiseLine:
    bars = chart.bars(1.0, bend)
    ends = rise_limits_mm(bars)
    lowest, highest, code = float(ends[0]), float(ends[1]), int(ends[2])
    none = np.empty(0)
    if code != CAN_BE_MADE:
        return RiseLine(bend, float(bars.inner_stop_deg), np.nan, np.nan, none, none, IN_SHORT[bars.keys[code - 1]])
    if lowest > highest or highest <= 0.0:
        return RiseLine(bend, float(bars.inner_stop_deg), np.nan, np.nan, none, none, NO_ROOM)
    rises = np.linspace(max(lowest, 1e-6), highest, POINTS)
    bars = chart.bars(rises, bend)
    (inner, outer), reading = bars.marks_mm, bars.clamp_reading_deg[0]
    return RiseLine(bend, float(bars.inner_stop_deg), float(inner[0]), float(reading), outer - inner, rises, "")


def _reading(sweep: Number, bend: float) -> Number:
    # the reading does not depend on rise or radius: any window will do, so one with nothing in the way is taken
    order = Order(1.0, sweep, 1000.0, None, 1.0, 0.0)
    lowest, highest = rise_window_mm(order, 1.0, bend, 0.0)
    middle = replace(order, rise_mm=(lowest + highest) / 2.0)
    return clamp_reading_deg(recipe_from_order(middle, 1.0, bend))


def _block(chart: Chart, rises: Array, sweep: float) -> SettingsBlock:
    bars = chart.bars(rises[:, None], np.array(chart.bends_deg), sweep)
    fits = np.isnan(bars.straight_mm[0])
    readings = np.array([np.nan if small else _reading(sweep, bend)
                         for small, bend in zip(fits, chart.bends_deg, strict=True)])  # fmt: skip
    words = np.array(["", *(IN_A_CELL[key] for key in bars.keys)])[bars.binding]
    neither = bars.limit("straight").broken & bars.limit("controls").broken
    words = np.where((words == IN_A_CELL["straight"]) & neither, NO_ROOM_IN_A_CELL, words)
    return SettingsBlock(rises, readings, np.where(bars.feasible, bars.marks_mm[1], np.nan), words)


def stop_deg(chart: Chart, bend_deg: float) -> float:
    """What the stop is set to so that `bend_deg` remains, degrees.

    Parameters
    ----------
    chart : Chart
    bend_deg : number
        As finished.

    Raises
    ------
    BendError
        The bend is not one number from 0 to 180 deg.

    Examples
    --------
    >>> from barmath import Die, Tube
    >>> from barmath.planning import Chart, stop_deg
    >>> chart = Chart(Tube(22.225, 1.651), Die(101.6), bends_deg=(20, 25))
    >>> print(f"{stop_deg(chart, 25):.1f} deg")
    25.8 deg
    """
    bend_deg = checked_single("bend", bend_deg, "deg")
    return float(stop_from_bend_deg(bend_deg, chart.springback, chart.die))
