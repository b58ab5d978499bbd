"""What every sheet for the wall has: a head that names its die, sweep and bars, letters for two metres, and a foot."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from barmath.lengths import length_text
from barmath.paper.bench_parts import tube_size
from barmath.paper.letters import one_line
from barmath.paper.page import MM_PER_POINT, Page, largest_fitting, text_width
from barmath.paper.who import short_name
from barmath.planning.chart_data import Chart
from barmath.shop.cautions import PLANNING, in_one

A4_WIDTH = 210.0
MARGIN = 12.0
FIGURE_MM = 5.8
"""Height of the figures that are read at two metres, on A4; on A3 it is 8.2 mm."""

NAME_SIZES = (34.0, 26.0, 20.0, 16.0)
"""Of the name of a die on A4, points: what is too long for the last one is left out in its middle."""

FIGURE_EM = 0.729
"""Height of a figure of the type, of its size."""

BIG = FIGURE_MM / FIGURE_EM / MM_PER_POINT
"""Points of those figures."""

RISE_MEANS = (
    "Rise: height of the bar-end centre over the clamp axis with the risers upright; with the grips level it is less."
)
MARKS_MEAN = (
    "Marks: the two ends of the riser, from the middle of the tube, moved by the die's line-up offset; the hook holds "
    "the riser. Finder: what the angle finder on the clamp flat shows for the outer bends."
)
_SPRINGBACK_FROM = {
    True: "(measured)",
    False: "(worked out: measure it)",
}


class Cell(NamedTuple):
    """Words in a row of a table: where across, A4 mm, in which size, points on A4, and how."""

    x: float
    words: str
    size: float = BIG
    bold: bool = True
    align: str = "right"
    colour: str = "black"


def scale_of(page: Page) -> float:
    """How much larger everything is than on A4."""
    return page.width / A4_WIDTH


def row(page: Page, y: float, cells: Sequence[Cell]) -> None:
    """One row of words with its baseline at y."""
    f = scale_of(page)
    for cell in cells:
        page.text(
            cell.x * f, y, cell.words, cell.size * f, bold=cell.bold, align=cell.align, colour=cell.colour
        )  # fmt: skip


def head(page: Page, name: str, chart: Chart, what: str, unit: str | None) -> float:
    """Name, sweep and bars of a sheet in letters for the wall, and what it is; returns where the sheet begins.

    `unit` None: lengths in both units.
    """
    f = scale_of(page)
    x, right = MARGIN * f, page.width - MARGIN * f
    sweep = f"sweep {chart.backsweep_deg:g}°"
    room = right - x - text_width(sweep, 34 * f, bold=True) - 4.0 * f
    points = largest_fitting(one_line(name), room, [size * f for size in NAME_SIZES], bold=True)
    page.text(x, 17.0 * f, short_name(name, room, points, bold=True), points, bold=True)
    page.text(right, 17.0 * f, sweep, 34 * f, bold=True, align="right")
    shown = "mm" if unit is None else unit
    bars = (
        f"{plain_length(chart.width_mm, shown)} wide, clamp {plain_length(chart.clamp_flat_mm, shown)}, "
        f"controls {plain_length(chart.controls_mm, shown)} {shown}"
    )
    page.text(x, 26.5 * f, bars, largest_fitting(bars, right - x, (BIG * f, 0.9 * BIG * f, 0.8 * BIG * f)))
    tube = chart.tube.name or tube_size(chart.tube, shown)
    room = right - x - text_width(f"{what}. Tube .", 11 * f, bold=True)
    page.text(x, 32.5 * f, f"{what}. Tube {short_name(tube, room, 11 * f, bold=True)}.", 11 * f, bold=True)
    page.line([(x, 35.5 * f), (right, 35.5 * f)], 0.6 * f)
    return 35.5 * f


def foot(page: Page, chart: Chart, words: str, unit: str | None, means: str = f"{RISE_MEANS} {MARKS_MEAN}") -> None:
    """What a sheet takes for granted, what its words mean, and the line to check the printer with."""
    f = scale_of(page)
    x, y, width = MARGIN * f, page.height - 31.5 * f, page.width - 2.0 * MARGIN * f
    bars = ""
    if unit is None:  # the head has them in mm
        bars = f"For bars {both(chart.width_mm, unit)} wide, clamp flat {both(chart.clamp_flat_mm, unit)}, "
        bars += f"{both(chart.controls_mm, unit)} of grip for the controls. "
    if np.isfinite(chart.stock_length_mm):
        bars += f"Tube at most {both(chart.stock_length_mm, unit)}. "
    page.paragraph(x, y, width, f"{bars}{words} {means} {in_one(*PLANNING)}", 7.2 * f)
    base = page.height - 7.0 * f
    says = page.check_line(x, base, unit or "mm")
    for words, up in zip(says.split(". "), (2.8, 0.0), strict=True):
        page.text(x + 106.0, base - up, f"{words.removesuffix('.')}.", 6.4)


def die_words(chart: Chart, unit: str | None) -> str:
    """What a sheet of one die says of it."""
    die, spring = chart.die, chart.springback
    return (
        f"Die radius {both(die.centerline_radius_mm, unit)}, {both(spring.finished_radius_mm, unit)} after "
        f"springback. The stops include a springback of {100 * spring.ratio:.1f} % "
        f"{_SPRINGBACK_FROM[die.springback_ratio is not None]}. Straight at least {both(die.least_straight_mm, unit)}."
    )


def die_name(chart: Chart) -> str:
    """A short name of its die."""
    return chart.die.name or f"die {chart.die.centerline_radius_mm:.0f}"


def both(length: float, unit: str | None) -> str:
    """A length in its unit; in both units on paper that has both."""
    return length_text(length, unit) if unit else f"{length_text(length)} ({length_text(length, 'in')})"


def bare(length: float, unit: str) -> str:
    """A length without its unit, to 0.1 mm or to 1/32 in."""
    return length_text(float(length), unit).removesuffix(f" {unit}")


def plain_length(length: float, unit: str) -> str:
    """A length without its unit, and without a last 0."""
    return bare(length, unit).removesuffix(".0")
