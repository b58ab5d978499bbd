"""The wall chart of one die and tube with one stop, to be read at two metres."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import cycle

import numpy as np

from barmath.paper.graph import BELOW, DASHES, Graph, round_steps
from barmath.paper.labels import clear_shifts
from barmath.paper.page import Page, largest_fitting
from barmath.paper.wall_page import A4_WIDTH, BIG, MARGIN, Cell, die_name, die_words, foot, head, row, scale_of
from barmath.planning.chart_data import Chart, RiseLine, reading_lines, rise_lines
from barmath.shop.offsets import marks_from_riser_mm

LABEL_MM = (25.0, 9.0)
"""Room the stop of a line takes on A4."""

ROW_MM = 9.5

CHART_WORDS = (
    "Four equal bends. A line begins at the shortest straight that hook and follower can hold. It ends where the grip "
    "has just enough room for the controls."
)


@dataclass(frozen=True)
class WallChart:
    """A chart as drawn: its page, its graph to read numbers off again, and the lines on it."""

    page: Page
    rise: Graph
    lines: tuple[RiseLine, ...]


def wall_chart(chart: Chart, size: str = "A4") -> WallChart:
    """Rise against the distance of the marks, a line a stop; below it each stop's inner mark and finder reading.

    `size` is "A4", "A3" or "Letter". The page is `wall_chart(...).page`, with `pdf` and `png`.
    """
    page = Page(size)
    f = scale_of(page)
    lines = rise_lines(chart)
    top = head(page, die_name(chart), chart, "One stop for all four bends", None) + 10.0 * f
    left, table = 33.0 * f, page.height - 40.0 * f - 4.0 * ROW_MM * f
    height = table - 18.5 * f - top
    rise = Graph(page, left, top, page.width - left - 20.0 * f, height, *_ranges(chart, lines), scale=f)
    _draw_rise(rise, chart, lines)
    _draw_table(page, table, chart, lines)
    missing = _without_line(lines)
    x, width = MARGIN * f, page.width - 2.0 * MARGIN * f
    page.text(x, page.height - 36.0 * f, missing, largest_fitting(missing, width, (10 * f, 8 * f, 6.5 * f)))
    off = max(float(np.abs(line.reading_deg - line.backsweep_deg).max()) for line in reading_lines(chart))
    reads = f"The finder reads the sweep, at most {off:.1f}° off for sweeps up to 20°."
    foot(page, chart, f"{die_words(chart, None)} {CHART_WORDS} {reads}", None)
    return WallChart(page, rise, lines)


def _ranges(chart: Chart, lines: tuple[RiseLine, ...]) -> tuple[tuple[float, float], tuple[float, float]]:
    # round numbers round the lines, with room at the right for their names
    drawn = [line for line in lines if not line.why_not]
    if not drawn:
        return (60.0, 160.0), (40.0, 120.0)
    far = max(line.distance_mm.max() for line in drawn)
    near = min(line.distance_mm.min() for line in drawn)
    low, high = min(line.rise_mm.min() for line in drawn), max(line.rise_mm.max() for line in drawn)
    x0 = 10.0 * np.floor((near - 2.0) / 10.0)
    x1 = x0 + 10.0 * np.ceil(max(1.22 * (far - x0), 60.0) / 10.0)
    return (x0, x1), (10.0 * np.floor((low - 4.0) / 10.0), 10.0 * np.ceil((high + 6.0) / 10.0))


def _draw_rise(graph: Graph, chart: Chart, lines: tuple[RiseLine, ...]) -> None:
    graph.grid(round_steps(graph.x_range, 10.0), round_steps(graph.y_range, 10.0))
    graph.frame()
    graph.numbers_below(round_steps(graph.x_range, 20.0), BIG, "")
    graph.numbers_left(round_steps(graph.y_range, 10.0), BIG, "")
    f, title = graph.scale, "from the inner to the outer mark, mm"
    graph.page.text(graph.left + 0.5 * graph.width, graph.bottom + 15.5 * f, title, 14 * f, align="center")
    graph.page.text(
        MARGIN * f, graph.top + 0.5 * graph.height, "rise, risers upright, mm", 14 * f, align="center", turned=90.0
    )
    graph.inches_above(10, "in")
    graph.inches_right(10, "in")
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
        graph.words(*middle, "this die makes none of these bars", 20, bold=True, align="center")


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
        (x,), (y,) = graph.from_page([(label[0], label[1] + shift + 2.9 * graph.scale)])
        graph.words(x, y, f"{line.stop_deg:.1f}°", BIG, bold=True)


def _draw_table(page: Page, y: float, chart: Chart, lines: tuple[RiseLine, ...]) -> None:
    f, first = scale_of(page), MARGIN + 23.0
    drawn = [line for line in lines if not line.why_not]
    column = (A4_WIDTH - MARGIN - first) / max(len(drawn), 6)
    rows = (
        ("stop", True, [f"{line.stop_deg:.1f}°" for line in drawn]),
        ("bend", False, [f"{line.bend_deg:g}°" for line in drawn]),
        ("inner mark", False, [f"{line.inner_mark_mm:.1f}" for line in drawn]),
        ("finder", True, [f"{line.reading_deg:.1f}°" for line in drawn]),
    )
    for name, bold, numbers in rows:
        page.line([(MARGIN * f, y), (page.width - MARGIN * f, y)], 0.2 * f)
        y += ROW_MM * f
        cells = [Cell(first + (place + 1) * column, words, bold=bold) for place, words in enumerate(numbers)]
        row(page, y - 2.0 * f, [Cell(MARGIN, name, 11.5, bold=False, align="left"), *cells])


def _without_line(lines: tuple[RiseLine, ...]) -> str:
    reasons = dict.fromkeys(line.why_not for line in lines if line.why_not)
    said = [f"{', '.join(f'{line.bend_deg:g}°' for line in lines if line.why_not == why)} ({why})" for why in reasons]
    return f"No line for bends of {'; '.join(said)}." if said else ""
