"""The table of settings of one die and tube with one stop: a page a sweep, to read at two metres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from barmath.lengths import MM_PER_INCH, checked_unit
from barmath.paper.page import RULE, SOFT, TINT, Page, largest_fitting, text_width
from barmath.paper.wall_page import (
    A4_WIDTH,
    BIG,
    MARGIN,
    Cell,
    bare,
    die_name,
    die_words,
    foot,
    head,
    plain_length,
    row,
    scale_of,
)
from barmath.planning.chart_data import (
    Chart,
    SettingsBlock,
    inner_marks_mm,
    settings_blocks,
    stop_deg,
)

TABLE_RISES_MM = tuple(float(rise) for rise in range(50, 111, 5))
TABLE_RISES_IN_MM = tuple(quarters / 4.0 * MM_PER_INCH for quarters in range(8, 19))
MOST_ROW_MM, MOST_COLUMN_MM = 15.0, 38.0
MOST_STOPS = {"mm": 6, "in": 5}
"""Columns that a sheet has room for at most; fractions take more, and long marks more still."""

GAP_MM = 1.4
"""Between the numbers of two columns at least, on A4; a line is in the middle of it."""

TABLE_WORDS = (
    "Numbers in the table: the outer mark. A stop that makes none of these rises is left out. Too low: the straight is "
    "too short to hold. Too high: no room for the controls. Between two rises of one column, share the difference."
)


def settings_sheet(chart: Chart, size: str = "A4", unit: str = "mm") -> Page:
    """Outer marks for round rises at the chart's sweep, a column a stop, in mm or in inches to the 1/32."""
    page = Page(size)
    f = scale_of(page)
    rises = TABLE_RISES_MM if unit == "mm" else TABLE_RISES_IN_MM
    chart, block = _most_useful(chart, rises, unit)
    y = head(page, die_name(chart), chart, "One stop for all four bends: its settings", unit)
    top, y = y, _stops(page, y, chart, block, unit)
    pitch = min((page.height - 36.0 * f - y) / block.rises_mm.size, MOST_ROW_MM * f)
    for number in range(block.rises_mm.size):
        if number % 2 == 0:
            page.box(MARGIN * f, y, page.width - 2.0 * MARGIN * f, pitch, edge=0.0, fill=TINT)
        y += pitch
        row(page, y - 0.5 * pitch + 2.9 * f, _cells(block, number, unit))
    _between_columns(page, top, y, chart, block, unit)
    foot(page, chart, f"{die_words(chart, unit)} {TABLE_WORDS}", unit)
    return page


def _most_useful(chart: Chart, rises: Sequence[float], unit: str) -> tuple[Chart, SettingsBlock]:
    # the stops that make most of the rises, as many as there is room for
    (every,) = settings_blocks(chart, rises, (chart.backsweep_deg,))
    makes = np.isfinite(every.outer_mark_mm).sum(axis=0)
    first = np.argsort(-makes, kind="stable")
    first = first[makes[first] > 0] if makes.any() else first
    for most in range(MOST_STOPS[checked_unit(unit)], 0, -1):
        bends = tuple(chart.bends_deg[place] for place in np.sort(first[:most]))
        shown = replace(chart, bends_deg=bends)
        (block,) = settings_blocks(shown, rises, (chart.backsweep_deg,))
        left, second, *_ = _places(len(bends), unit)
        if second - left - _widest(shown, block, unit) >= GAP_MM:
            break
    return shown, block


def _widest(chart: Chart, block: SettingsBlock, unit: str) -> float:
    marks = [*inner_marks_mm(chart), *block.outer_mark_mm[np.isfinite(block.outer_mark_mm)]]
    return max(text_width(bare(mark, unit), BIG) for mark in marks)


def _places(count: int, unit: str) -> list[float]:
    # where the columns end: the rise, and each stop
    first = 33.0 if unit == "mm" else 37.0
    column = min((A4_WIDTH - MARGIN - 1.0 - first) / count, MOST_COLUMN_MM)
    return [first, *(first + column * (place + 1) for place in range(count))]


def _stops(page: Page, y: float, chart: Chart, block: SettingsBlock, unit: str) -> float:
    f, (first, *ends) = scale_of(page), _places(len(chart.bends_deg), unit)
    rows = (
        ("stop", BIG, True, [f"{stop_deg(chart, bend):.1f}°" for bend in chart.bends_deg]),
        ("bend", 11.0, False, [f"{bend:g}°" for bend in chart.bends_deg]),
        ("inner mark", BIG, False, [bare(mark, unit) for mark in inner_marks_mm(chart)]),
        ("finder", BIG, True, ["" if np.isnan(angle) else f"{angle:.1f}°" for angle in block.reading_deg]),
    )
    for name, points, bold, words in rows:
        y += 0.43 * points * f
        numbers = [Cell(end, word, points, bold=bold) for end, word in zip(ends, words, strict=True)]
        row(page, y, [Cell(first, name, 10.0, bold=False), *numbers])
    y += 2.5 * f
    page.line([(MARGIN * f, y), (page.width - MARGIN * f, y)], 0.5 * f)
    return y


def _between_columns(page: Page, top: float, bottom: float, chart: Chart, block: SettingsBlock, unit: str) -> None:
    # a line between two columns, so that the numbers of neighbours are not read as one
    f, (first, second, *_) = scale_of(page), _places(len(chart.bends_deg), unit)
    gap = (second - first) - _widest(chart, block, unit)
    for end in _places(len(chart.bends_deg), unit)[:-1]:
        x = (end + 0.5 * gap) * f
        page.line([(x, top + 2.0 * f), (x, bottom)], 0.2 * f, colour=RULE)


def _cells(block: SettingsBlock, number: int, unit: str) -> list[Cell]:
    first, *ends = _places(block.reading_deg.size, unit)
    cells = [Cell(first, plain_length(block.rises_mm[number], unit))]
    for end, mark, why_not in zip(ends, block.outer_mark_mm[number], block.why_not[number], strict=True):
        if why_not:
            size = largest_fitting(str(why_not), ends[0] - first - 1.5, (9.5, 8.5, 7.5, 6.5))
            cells.append(Cell(end, str(why_not), size, bold=False, colour=SOFT))
        else:
            cells.append(Cell(end, bare(mark, unit), bold=False))
    return cells
