"""The bets of lesson 10, the wall charts. Every number is worked out for the charts of the training shop."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.marks import marks_from_recipe
from barmath.planning.chart_data import Chart, RiseLine, rise_lines, settings_blocks
from barmath.planning.pair_chart import pair_rows
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.which_shop import training_shop

ASKED_MM = 80.0
RISES_MM, SWEEPS_DEG = (80.0, 90.0, 100.0), (12.0, 14.0, 16.0)
PRINTED_MM = 97.0
"""What the line of 100 mm measures on a print that is not at true size."""


def _chart_of(die: str = DIE.name) -> Chart:
    """The chart of a die of the training shop for bars like order 7."""
    shop = training_shop()
    return Chart(
        TUBE, shop.die_for(shop.tube(TUBE.name), die),
        width_mm=float(ORDER.width_mm), clamp_flat_mm=float(ORDER.clamp_flat_mm),
        controls_mm=float(ORDER.controls_mm), backsweep_deg=float(ORDER.backsweep_deg),
    )  # fmt: skip


def _between_blocks_mm() -> Array:
    # by how much the middle of the blocks of 12 and 16 degrees misses the outer mark of 14; nan if it cannot be made
    low, middle, high = settings_blocks(_chart_of(), rises_mm=RISES_MM, sweeps_deg=SWEEPS_DEG)
    return np.asarray(np.abs((low.outer_mark_mm + high.outer_mark_mm) / 2 - middle.outer_mark_mm), dtype=np.float64)


def stops_for_rise() -> Bet:
    """Which stops give a rise of 80 mm on the chart of die 102."""
    at = {line.bend_deg: float(np.interp(ASKED_MM, line.rise_mm, line.distance_mm)) for line in _lines() if _has(line)}
    first, second = at
    pairs = ((20.0, 25.0), (25.0, 30.0), (30.0, 35.0))
    ways = tuple(f"{low:.0f} and {high:.0f} degrees" for low, high in pairs)
    gentle = next(line for line in _lines() if line.bend_deg == first)
    why = (
        f"Two of them do: {first:.0f} degrees with a distance of about {at[first]:.0f} mm, and {second:.0f} degrees "
        f"with about {at[second]:.0f} mm. Both make the same rise and the same sweep. The steeper riser leaves more "
        f"grip, the flatter one more to hold. The line of {first:.0f} degrees goes from {gentle.rise_mm[0]:.0f} to "
        f"{gentle.rise_mm[-1]:.0f} mm."
    )
    habit = "you follow a line beyond its end, but tooling or controls do not allow that"
    text = f"On the chart of {DIE.name}, which stops give a rise of {ASKED_MM:.0f} mm?"
    return choice_bet(text, ways[pairs.index((first, second))], habit, ways, why)


def finder_of_two_stops() -> Bet:
    """What the finder reads for a bar of order 7's rise with the best pair of stops of the middle die."""
    shop = training_shop()
    rows = pair_rows(replace(_chart_of(shop.dies[1].name), bends_deg=shop.stop_bends_deg), (float(ORDER.rise_mm),))
    inner, outer, reads = (float(of[0]) for of in (rows.inner_stop_deg, rows.outer_stop_deg, rows.reading_deg))
    sweep = float(ORDER.backsweep_deg)
    why = (
        f"The stops are {inner:.1f} and {outer:.1f} degrees, and the finder reads {reads:.1f} degrees for a sweep of "
        f"{sweep:.0f}. A finder that is set to the sweep would turn the grips too little. So the sheet prints such a "
        "reading in white on black."
    )
    habits = (
        (sweep, "you set the finder to the sweep, which is right only for four equal bends"),
        (inner - outer, "you set the finder to the difference of the stops"),
    )
    text = f"On {shop.dies[1].name}, what must the finder read for order 7's rise, with the best pair of stops?"
    return number_bet(text, "deg", reads, 0.3, (0.0, 90.0), habits, why)


def between_sweeps() -> Bet:
    """How far off the middle between two blocks of sweep is."""
    off = _between_blocks_mm()
    least, most = float(np.nanmin(np.nanmax(off, axis=1))), float(np.nanmax(off))
    gentle = next(line for line in _lines() if line.bend_deg == 25.0)
    grows = 10 * float(np.ptp(gentle.distance_mm) / np.ptp(gentle.rise_mm))
    why = (
        f"It is off by {least:.1f} to {most:.1f} mm, by the rise. How much rise is that? A line of 25 degrees climbs "
        f"10 mm while the distance of its marks grows by {grows:.0f}. So two millimetres of mark are less than one of "
        "rise: that is good enough for a first bar. Print a page for every two degrees, and the error is a quarter of "
        "this."
    )
    habits = (
        (0.0, "you think that the lines are straight between sweeps too"),
        (20.0, "you think that the middle misses all that two degrees of sweep change"),
    )
    text = (
        "For a sweep of 14 you take the middle between the blocks of 12 and 16 degrees. How many mm is it off at most?"
    )
    return number_bet(text, "mm", most, 1.0, (0.0, 200.0), habits, why)


def distance_of_order_7() -> Bet:
    """The distance of the marks that order 7 needs."""
    marks = marks_from_recipe(order_seven_recipe())
    inner, outer = float(marks.inner_end_mm), float(marks.outer_start_mm)
    why = f"About {outer - inner:.0f} mm: the marks of lesson 01 are at {inner:.1f} and {outer:.1f} mm."
    habits = (
        (outer, "you measure the outer mark from the middle of the tube"),
        (float(ORDER.rise_mm), "you confuse the rise with the length of the riser"),
    )
    text = f"On the chart of {DIE.name}, which distance of the marks does order 7 need at {BEND_DEG:.0f} degrees?"
    return number_bet(text, "mm", outer - inner, 2.0, (0.0, 400.0), habits, why)


def print_of_wrong_size() -> Bet:
    """What a print that is too small does to a bar."""
    ways = ("the bar is 3 % too small", "nothing, if you read the numbers", "its angles are wrong")
    why = (
        "Nothing, if you read the numbers: they are right at every scale. "
        "Only somebody who measures on the paper gets it wrong. "
        "The full-size drawing and the wrap templates of lesson 08 cannot be used."
    )
    habits = {
        ways[0]: "you think that a chart is a drawing to measure on",
        ways[2]: "you think that a scale changes angles",
    }
    text = f"Your print's line of 100 mm measures {PRINTED_MM:.0f}. What happens to a bar that is bent by its numbers?"
    return choice_bet(text, ways[1], habits, ways, why)


def few_lines() -> Bet:
    """Why the chart of the largest die has few lines."""
    wide = training_shop().dies[-1].name
    here, there = (sum(not line.why_not for line in rise_lines(_chart_of(name))) for name in (DIE.name, wide))
    ways = ("its arcs leave too little room", "it bends too gently to lift a bar", "its tube springs back too far")
    why = (
        f"It has {there} lines, and {DIE.name} has {here}. Its arcs are so long that for most stops too little is left "
        "to hold or for the controls. You read the reason below the table of the chart."
    )
    habits = {ways[1]: "you think that a gentle arc climbs less", ways[2]: "you think that springback is a limit"}
    return choice_bet(f"Why has the chart of {wide} so few lines?", ways[0], habits, ways, why)


@cache
def _lines() -> tuple[RiseLine, ...]:
    return tuple(line for line in rise_lines(_chart_of()) if not line.why_not)


def _has(line: RiseLine) -> bool:
    return bool(line.rise_mm[0] <= ASKED_MM <= line.rise_mm[-1])


BETS = {
    "stops for 80 mm": stops_for_rise,
    "finder of two stops": finder_of_two_stops,
    "between two sweeps": between_sweeps,
    "distance of order 7": distance_of_order_7,
    "print of a wrong size": print_of_wrong_size,
    "few lines": few_lines,
}
"""As the lesson asks them, first to last."""
