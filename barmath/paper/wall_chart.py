"""The wall chart of one die and tube, to be read at two metres, and its table of settings, to be read at one."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import cycle

import numpy as np

from barmath.lengths import length_text
from barmath.paper.bench_parts import tube_size
from barmath.paper.graph import BELOW, DASHES, Graph, round_steps
from barmath.paper.labels import clear_shifts
from barmath.paper.page import SOFT, TINT, Page, largest_fitting
from barmath.planning.chart_data import (
    CHART_RISES_IN_MM,
    CHART_RISES_MM,
    Chart,
    RiseLine,
    SettingsBlock,
    inner_marks_mm,
    reading_lines,
    rise_lines,
    settings_blocks,
    stop_deg,
)
from barmath.shop.cautions import PLANNING, in_one
from barmath.shop.offsets import marks_from_riser_mm

A4_WIDTH = 210.0
LABEL_MM = (45.0, 10.0)
"""Room the name of a line takes on A4: two lines of type."""

DEFINITIONS = (
    "Rise: height of the bar-end centre over the clamp axis with the risers upright; with the grips level it is less. "
    "Marks: the two ends of the riser, from the middle of the tube, moved by the die's line-up offset; the hook holds "
    "the riser."
)
CHART_WORDS = (
    "A line begins where the straight is as short as hook and follower can hold, and ends where the grip has just "
    "enough room for the controls."
)
TABLE_WORDS = (
    "Too low: the straight is too short to hold. Too high: no room for the controls. "
    "No room: neither fits at any rise. Between two rises of one column, share the difference."
)


@dataclass(frozen=True)
class WallChart:
    """A chart as drawn: its page, and its two graphs to read numbers off again."""

    page: Page
    rise: Graph
    reading: Graph
    lines: tuple[RiseLine, ...]


def wall_chart(chart: Chart, size: str = "A4") -> WallChart:
    """Rise against the distance of the marks, a line a stop, and clamp reading against backsweep.

    `size` is "A4", "A3" or "Letter". The page is `wall_chart(...).page`, with `pdf` and `png`.
    """
    page = Page(size)
    f = page.width / A4_WIDTH
    lines = rise_lines(chart)
    top = _head(page, chart, f)
    left, width = 25.0 * f, page.width - 50.0 * f
    foot = page.height - 41.0 * f
    reading_height = 44.0 * f
    rise_height = foot - reading_height - 40.0 * f - top
    rise = Graph(page, left, top + 10.0 * f, width, rise_height, *_ranges(chart, lines), scale=f)
    _draw_rise(rise, chart, lines)
    reading = Graph(
        page, left, foot - reading_height - 4.0 * f, width, reading_height, (0.0, 20.0), (0.0, 20.0), scale=f
    )
    _draw_reading(reading, chart)
    missing = _without_line(lines)
    page.text(left, rise.bottom + 20.0 * f, missing, largest_fitting(missing, width, (10 * f, 8 * f, 6.5 * f)))
    _foot(page, chart, f)
    return WallChart(page, rise, reading, lines)


def settings_sheet(chart: Chart, size: str = "A4", unit: str = "mm") -> Page:
    """Outer marks for round rises and sweeps, a block a sweep, a column a stop, in mm or in inches to the 1/32."""
    page = Page(size)
    f = page.width / A4_WIDTH
    y = _head(page, chart, f, unit) + 4.0 * f
    x, width = 14.0 * f, page.width - 28.0 * f
    y = _stops(page, x, y, width, chart, unit, f)
    blocks = settings_blocks(chart, CHART_RISES_MM if unit == "mm" else CHART_RISES_IN_MM)
    room = (page.height - 40.0 * f - y) / len(blocks)
    for block in blocks:
        _block(page, x, y, width, room, block, unit, f)
        y += room
    _foot(page, chart, f, unit)
    return page


def _head(page: Page, chart: Chart, f: float, unit: str | None = None) -> float:
    # of the table in its unit; of the chart, whose axes have both units, in both
    die, spring = chart.die, chart.springback
    x = 14.0 * f
    page.text(x, 21.0 * f, die.name or f"die {die.centerline_radius_mm:.0f}", 34 * f, bold=True, within=95.0 * f)
    right = page.width - x
    what = "Settings for round rises and sweeps" if unit else "Rise, marks and readings"
    page.text(right, 14.0 * f, what, 13 * f, align="right", bold=True)
    tube = f"tube {chart.tube.name or tube_size(chart.tube, unit or 'mm')}"
    page.text(right, 20.5 * f, tube, 12 * f, align="right", within=100.0 * f)
    page.text(
        x, 29.0 * f,
        f"Die radius {_length(die.centerline_radius_mm, unit)}, "
        f"sprung back {_length(spring.finished_radius_mm, unit)}. "
        f"Springback {100 * spring.ratio:.1f} %{_SPRINGBACK_FROM[die.springback_ratio is not None]}",
        8.0 * f,
    )  # fmt: skip
    page.line([(x, 32.0 * f), (right, 32.0 * f)], 0.6 * f)
    return 36.0 * f


def _ranges(chart: Chart, lines: tuple[RiseLine, ...]) -> tuple[tuple[float, float], tuple[float, float]]:
    # round numbers round the lines, with room at the right for their names
    drawn = [line for line in lines if not line.why_not]
    if not drawn:
        return (60.0, 160.0), (40.0, 120.0)
    far = max(line.distance_mm.max() for line in drawn)
    near = min(line.distance_mm.min() for line in drawn)
    low, high = min(line.rise_mm.min() for line in drawn), max(line.rise_mm.max() for line in drawn)
    x0 = 10.0 * np.floor((near - 2.0) / 10.0)
    x1 = x0 + 10.0 * np.ceil(max(1.42 * (far - x0), 60.0) / 10.0)
    return (x0, x1), (10.0 * np.floor((low - 4.0) / 10.0), 10.0 * np.ceil((high + 6.0) / 10.0))


def _draw_rise(graph: Graph, chart: Chart, lines: tuple[RiseLine, ...]) -> None:
    graph.grid(round_steps(graph.x_range, 10.0), round_steps(graph.y_range, 10.0))
    graph.frame()
    graph.numbers_below(round_steps(graph.x_range, 20.0), 13, "from the inner to the outer mark, mm")
    graph.numbers_left(round_steps(graph.y_range, 10.0), 13, "rise, risers upright, mm")
    graph.inches_above(9, "in")
    graph.inches_right(9, "in")
    inner, outer = marks_from_riser_mm(0.0, chart.die.least_straight_mm, chart.die.line_up_offset_mm)
    least = outer - inner
    if graph.x_range[0] < least < graph.x_range[1]:
        graph.curve("least straight", [least] * 2, graph.y_range, DASHES[2], 0.35).set_zorder(BELOW)
        graph.words(least + 0.8, graph.y_range[0] + 1.5, "shortest that can be held", 8)
    for line, dash in zip(lines, cycle(DASHES), strict=False):
        if not line.why_not:
            graph.curve(f"rise {line.bend_deg:g}", line.distance_mm, line.rise_mm, dash, 1.1)
    drawn = [line for line in lines if not line.why_not]
    if drawn:
        _name_lines(graph, drawn)
    else:
        middle = sum(graph.x_range) / 2.0, sum(graph.y_range) / 2.0
        graph.words(*middle, "this die makes none of these bars", 16, bold=True, align="center")


def _name_lines(graph: Graph, drawn: list[RiseLine]) -> None:
    spans = [graph.to_page(line.distance_mm[[0, -1]], line.rise_mm[[0, -1]]) for line in drawn]
    ends = np.array([span[1] for span in spans])
    curves = [np.linspace(span[0], span[1], 200) for span in spans]
    size = LABEL_MM[0] * graph.scale, LABEL_MM[1] * graph.scale
    labels = ends + np.array([2.0 * graph.scale, 0.0])
    shifts = clear_shifts(labels, size, curves, graph.top, graph.bottom)
    for line, end, label, shift in zip(drawn, ends, labels, shifts, strict=True):
        if shift:
            graph.page.line([end, (label[0], label[1] + shift)], 0.2 * graph.scale)
        (x,), (y,) = graph.from_page([(label[0], label[1] + shift)])
        graph.words(x, y, f"stop {line.stop_deg:.1f}°", 15, bold=True)
        below = y - 4.2 / graph.height * graph.scale * (graph.y_range[1] - graph.y_range[0])
        graph.words(x, below, f"leaves {line.bend_deg:g}°, inner mark {line.inner_mark_mm:.1f} mm", 8.5)


def _draw_reading(graph: Graph, chart: Chart) -> None:
    graph.grid(round_steps(graph.x_range, 2.0), round_steps(graph.y_range, 5.0))
    graph.frame()
    graph.numbers_below(round_steps(graph.x_range, 2.0), 11, "backsweep wanted, degrees")
    graph.numbers_left(round_steps(graph.y_range, 5.0), 11, "clamp reading")
    lines = reading_lines(chart)
    for line, dash in zip(lines, cycle(DASHES), strict=False):
        graph.curve(f"reading {line.bend_deg:g}", line.backsweep_deg, line.reading_deg, dash, 0.6)
    off = max((float(np.abs(line.reading_deg - line.backsweep_deg).max()) for line in lines), default=0.0)
    graph.words(0.5, 17.0, f"with equal bends the reading is the sweep, to {off:.1f}° at most", 11)
    for line in lines:
        if line.backsweep_deg[-1] < graph.x_range[1]:
            graph.words(line.backsweep_deg[-1], 11.5, f"{line.bend_deg:g}° gives no more", 8.5)


def _stops(page: Page, x: float, y: float, width: float, chart: Chart, unit: str, f: float) -> float:
    first, column = 34.0 * f, (width - 34.0 * f) / len(chart.bends_deg)
    rows = (
        (
            "stop",
            [f"{stop_deg(chart, bend):.1f}°" for bend in chart.bends_deg],
            15,
            True,
        ),
        ("leaves a bend of", [f"{bend:g}°" for bend in chart.bends_deg], 10, False),
        ("inner mark, " + unit, [_bare(mark, unit) for mark in inner_marks_mm(chart)], 13, True),
    )
    for name, values, size, bold in rows:
        y += 0.47 * size * f
        page.text(x, y, name, 9 * f)
        for place, value in enumerate(values):
            page.text(x + first + (place + 0.5) * column, y, value, size * f, bold=bold, align="center")
    page.line([(x, y + 2.5 * f), (x + width, y + 2.5 * f)], 0.5 * f)
    return y + 2.5 * f


def _block(
    page: Page, x: float, y: float, width: float, height: float, block: SettingsBlock, unit: str, f: float
) -> None:
    first, column = 34.0 * f, (width - 34.0 * f) / block.reading_deg.size
    row = (height - 14.0 * f) / block.rises_mm.size
    y += 7.0 * f
    page.text(x, y, f"sweep {block.backsweep_deg:g}°", 13 * f, bold=True)
    page.text(x + width, y, f"outer mark from the middle, {unit}", 8 * f, align="right", colour=SOFT)
    y += 5.0 * f
    page.text(x, y, "reading", 9 * f)
    for place, reading in enumerate(block.reading_deg):
        words = "" if np.isnan(reading) else f"{reading:.1f}°"
        page.text(x + first + (place + 0.5) * column, y, words, 10 * f, align="center")
    for number, rise in enumerate(block.rises_mm):
        line = y + (number + 1) * row
        if number % 2 == 0:
            page.box(x, line - 0.74 * row, width, row, edge=0.0, fill=TINT)
        page.text(
            x, line, f"rise {rise:g} mm" if unit == "mm" else f"rise {length_text(rise, unit)}", 11 * f, bold=True
        )
        for place in range(block.reading_deg.size):
            mark, why_not = block.outer_mark_mm[number, place], block.why_not[number, place]
            words, size, colour = (_bare(mark, unit), 13, "black") if not why_not else (str(why_not), 6.5, SOFT)
            page.text(
                x + first + (place + 0.5) * column,
                line,
                words,
                size * f,
                bold=not why_not,
                align="center",
                colour=colour,
            )
    page.line([(x, y + height - 10.0 * f), (x + width, y + height - 10.0 * f)], 0.2 * f)


_SPRINGBACK_FROM = {
    True: " (measured) is in the stops.",
    False: " (worked out: measure it) is in the stops.",
}


def _foot(page: Page, chart: Chart, f: float, unit: str | None = None) -> None:
    x, y = 14.0 * f, page.height - 28.0 * f
    width = page.width - 28.0 * f
    sweep = "" if unit else f", backsweep {chart.backsweep_deg:g}°"
    bars = f"For bars {_length(chart.width_mm, unit)} wide{sweep}, clamp flat {_length(chart.clamp_flat_mm, unit)}, "
    grips = f"{_length(chart.controls_mm, unit)} of grip for the controls, four equal bends."
    held = f"straight at least {_length(chart.die.least_straight_mm, unit)}, "
    if np.isfinite(chart.stock_length_mm):
        held += f"tube at most {_length(chart.stock_length_mm, unit)}, "
    last = TABLE_WORDS if unit else CHART_WORDS
    page.paragraph(x, y, width, f"{bars}{held}{grips} {DEFINITIONS} {last} {in_one(*PLANNING)}", 7.2 * f)
    base = page.height - 7.0 * f
    told = page.check_line(x, base, unit or "mm")
    page.text(x + 104.0, base, f"{told}: if this line is not, print again at actual size", 7.2)


def _without_line(lines: tuple[RiseLine, ...]) -> str:
    reasons = dict.fromkeys(line.why_not for line in lines if line.why_not)
    told = [f"{', '.join(f'{line.bend_deg:g}°' for line in lines if line.why_not == why)} ({why})" for why in reasons]
    return f"No line for bends of {'; '.join(told)}." if told else ""


def _length(length: float, unit: str | None) -> str:
    # in both units where the paper has both
    return length_text(length, unit) if unit else f"{length_text(length)} ({length_text(length, 'in')})"


def _bare(mark: float, unit: str) -> str:
    return length_text(float(mark), unit).removesuffix(f" {unit}")
