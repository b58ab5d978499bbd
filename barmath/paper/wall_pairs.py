"""Sheets of two stops for the wall: the best pair of a die for each rise, and which die makes which rise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from barmath.paper.page import RULE, SOFT, TINT, Page, largest_fitting
from barmath.paper.wall_page import (
    A4_WIDTH,
    BIG,
    MARGIN,
    RISE_MEANS,
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
from barmath.paper.who import short_name
from barmath.planning.chart_data import Chart
from barmath.planning.pair_chart import DIES_A_SHEET, PAIR_RISES_IN_MM, PAIR_RISES_MM, PairRows, pair_rows


class Columns(NamedTuple):
    """Where the columns end, mm on A4."""

    rise: float
    inner_stop: float
    inner_mark: float
    outer_stop: float
    outer_mark: float
    finder: float


COLUMNS = {
    "mm": Columns(31.0, 62.0, 92.0, 125.0, 155.0, 184.0),
    "in": Columns(35.5, 62.5, 98.0, 128.5, 165.5, 196.5),
}
"""Fractions take more room, so that a sheet in inches has none left for the cut length."""

FINDER_MM = 25.5

NAME_PT = (BIG, 16.0, 12.0, 10.0)
"""Sizes of the name of a die over its column."""

REASON_PT = (10.0, 8.5, 7.0)
"""Sizes of the reason why a die makes no bar of a rise; a sheet has one of them."""

MOST_ROW_MM = 12.0
SAME = "same"

PAIR_WORDS = (
    "Same: do not move the stop. White on black: the finder is not set to the sweep. Between two rows with equal "
    "stops, share the difference."
)
MORE_WORDS = " Small figures: the cut length, and how far the outer mark goes out for one mm more of rise."
DIE_WORDS = (
    "Two stops: the first one for both inner bends, the second one for both outer bends. One stop on grey: for all "
    "four bends. Marks and readings are on the sheet of each die."
)
NOT_ASKED = "Not checked here: whether the arms clear the machine."


def pair_sheet(chart: Chart, size: str = "A4", unit: str = "mm") -> Page:
    """The best pair of a die's stops for each rise of one sweep: stops, marks and finder, in mm or inches."""
    page = Page(size)
    f = scale_of(page)
    rows = pair_rows(chart, PAIR_RISES_MM if unit == "mm" else PAIR_RISES_IN_MM)
    y = head(page, die_name(chart), chart, "Two stops: the best pair for each rise", unit)
    bottom = page.height - 36.0 * f
    y = _pair_heads(page, y, bottom, unit)
    lines = [*_lines(rows)]
    pitch = min((bottom - y) / len(lines), MOST_ROW_MM * f)
    for here in lines:
        y += pitch
        page.line([(MARGIN * f, y), (page.width - MARGIN * f, y)], 0.15 * f, colour=RULE)
        base = y - 0.5 * pitch + 2.9 * f
        if len(here) == 1 and rows.made[here[0]]:
            _pair(page, base, rows, here[0], unit)
        else:
            _no_pair(page, base, rows, here, unit)
    words = f"{PAIR_WORDS}{MORE_WORDS if unit == 'mm' else ''} {NOT_ASKED}"
    foot(page, chart, f"{die_words(chart, unit)} {words}", unit)
    return page


def die_sheets(charts: Sequence[Chart], size: str = "A4", unit: str = "mm") -> Iterator[Page]:
    """Rise against die for one sweep: which stops each die needs for each rise; `DIES_A_SHEET` dies a sheet."""
    for start in range(0, len(charts), DIES_A_SHEET):
        yield _die_sheet(charts[start : start + DIES_A_SHEET], size, unit)


def _lines(rows: PairRows) -> Iterator[list[int]]:
    # a line each for what can be made, and one for neighbours that cannot for the same reason
    for why_not, places in groupby(range(rows.rises_mm.size), key=lambda place: str(rows.why_not[place])):
        if why_not:
            yield [*places]
        else:
            yield from ([place] for place in places)


def _pair_heads(page: Page, y: float, bottom: float, unit: str) -> float:
    f, at = scale_of(page), COLUMNS[unit]
    left, right = at.rise * f, (at.inner_mark + 4.0) * f
    edge = page.width - MARGIN * f
    page.box(right, y, edge - right, bottom - y, edge=0.0, fill=TINT)
    page.text((left + right) / 2.0, y + 6.5 * f, "inner bends", 15 * f, bold=True, align="center")
    page.text((right + edge) / 2.0, y + 6.5 * f, "outer bends", 15 * f, bold=True, align="center")
    names = zip(at, ("rise", "stop", "mark", "stop", "mark", "finder"), strict=True)
    row(page, y + 13.0 * f, [Cell(x, words, 14.0, bold=False) for x, words in names])
    page.line([(MARGIN * f, y + 15.5 * f), (edge, y + 15.5 * f)], 0.5 * f)
    return y + 15.5 * f


def _pair(page: Page, base: float, rows: PairRows, place: int, unit: str) -> None:
    f, at = scale_of(page), COLUMNS[unit]
    two, off = rows.two_stops[place], rows.not_the_sweep[place]
    inner, outer = (bare(marks[place], unit) for marks in (rows.inner_mark_mm, rows.outer_mark_mm))
    if off:
        page.box((at.finder + 1.2 - FINDER_MM) * f, base - 7.1 * f, FINDER_MM * f, 8.4 * f, edge=0.0, fill="black")
    row(
        page, base,
        [
            Cell(at.rise, plain_length(rows.rises_mm[place], unit)),
            Cell(at.inner_stop, f"{rows.inner_stop_deg[place]:.1f}°"),
            Cell(at.inner_mark, inner, _mark_points(inner, at.inner_mark - at.inner_stop), bold=False),
            Cell(at.outer_stop, f"{rows.outer_stop_deg[place]:.1f}°" if two else SAME, bold=bool(two)),
            Cell(at.outer_mark, outer, _mark_points(outer, at.outer_mark - at.outer_stop), bold=False),
            Cell(at.finder, f"{rows.reading_deg[place]:.1f}°", colour="white" if off else "black"),
        ],
    )  # fmt: skip
    if unit == "mm":
        cut, more = f"{rows.cut_length_mm[place]:.0f}", f"+{rows.more_mark_mm[place]:.1f}"
        for words, up in ((cut, 2.8), (more, -0.7)):
            row(page, base - up * f, [Cell(A4_WIDTH - MARGIN - 1.0, words, 8.0, bold=False)])


def _mark_points(words: str, room: float) -> float:
    # a mark of many figures is written smaller than to touch the stop before it
    return largest_fitting(words, room - 3.0, (BIG, 0.93 * BIG, 0.86 * BIG, 0.79 * BIG))


def _no_pair(page: Page, base: float, rows: PairRows, places: list[int], unit: str) -> None:
    span = [plain_length(rows.rises_mm[place], unit) for place in (places[0], places[-1])]
    rises = span[0] if span[0] == span[1] else " to ".join(span)
    words = f"no pair: {rows.why_not[places[0]]}"
    row(page, base, [Cell(MARGIN, rises, align="left"), Cell(78.0, words, 15.0, bold=False, align="left")])


def _die_sheet(charts: Sequence[Chart], size: str, unit: str) -> Page:
    page = Page(size)
    f, edge = scale_of(page), COLUMNS[unit].rise
    tables = [pair_rows(chart, PAIR_RISES_MM if unit == "mm" else PAIR_RISES_IN_MM) for chart in charts]
    rises = tables[0].rises_mm
    y = head(page, "which die", charts[0], "Which stops each die needs for each rise", unit)
    top, bottom = y + 14.5 * f, page.height - 36.0 * f
    pitch, width = (bottom - top) / rises.size, (A4_WIDTH - edge - 4.0 - MARGIN) / len(charts)
    reasons = {str(why) for rows in tables for why, made in zip(rows.why_not, rows.made, strict=True) if not made}
    letters = min([largest_fitting(why, width - 2.0, REASON_PT) for why in reasons], default=REASON_PT[0])
    row(page, y + 12.5 * f, [Cell(edge, "rise", 14.0, bold=False)])
    for column, (chart, rows) in enumerate(zip(charts, tables, strict=True)):
        middle, name = edge + 4.0 + (column + 0.5) * width, die_name(chart)
        points = largest_fitting(name, width - 3.0, NAME_PT, bold=True)
        shown = short_name(name, width - 3.0, points, bold=True)
        row(page, y + 7.5 * f, [Cell(middle, shown, points, align="center")])
        row(page, y + 12.7 * f, [Cell(middle, "inner, outer", 10.0, bold=False, align="center")])
        _rungs(page, top, pitch, rows, middle, width, letters)
    for place, rise in enumerate(rises):
        height = top + place * pitch
        page.line([(MARGIN * f, height), (page.width - MARGIN * f, height)], 0.15 * f, colour=RULE)
        row(page, height + 0.5 * pitch + 2.9 * f, [Cell(edge, plain_length(rise, unit))])
    foot(page, charts[0], f"{DIE_WORDS} {NOT_ASKED}", unit, RISE_MEANS)
    return page


def _rungs(
    page: Page, top: float, pitch: float, rows: PairRows, middle: float, width: float, letters: float
) -> None:  # fmt: skip
    f = scale_of(page)
    for place in range(rows.rises_mm.size):
        y = top + place * pitch
        base = y + 0.5 * pitch + 2.9 * f
        if not rows.made[place]:
            why = Cell(middle, str(rows.why_not[place]), letters, bold=False, align="center", colour=SOFT)
            row(page, base - 1.5 * f, [why])
            continue
        inner, outer = (f"{stops[place]:.1f}°" for stops in (rows.inner_stop_deg, rows.outer_stop_deg))
        if rows.two_stops[place]:
            row(page, base, [Cell(middle - 1.0, inner), Cell(middle + 25.0, outer)])
        else:
            page.box((middle - 0.5 * width + 0.5) * f, y, (width - 1.0) * f, pitch, edge=0.0, fill="0.86")
            row(page, base, [Cell(middle, inner, align="center")])
