"""A whole class on paper: a table of apprentices and exercises, what is hard, which habits are seen."""

from __future__ import annotations

from barmath.paper.page import RULE, SOFT, Page, largest_fitting, pages_pdf, text_width
from barmath.paper.who import short_name
from barmath.practice.class_overview import ClassOverview, Standing
from barmath.practice.course import KINDS
from barmath.shop.cautions import PLANNING, in_one

MARGIN_MM = 14.0
A_PAGE = 12
"""Apprentices on one page."""

SHADE = "0.86"
"""Of a cell: paler grey means nothing on a printer that is short of toner."""

MOST_HABITS = 8
_ROW, _KIND, _SHARE, _NAMES = 6.6, 47.0, 15.0, 27.0


def overview_pages(overview: ClassOverview, size: str = "A4") -> list[Page]:
    """One page for each twelve apprentices; `size` is "A4" or "Letter"."""
    groups = [overview.names[at : at + A_PAGE] for at in range(0, len(overview.names), A_PAGE)] or [()]
    numbers = [f"page {number} of {len(groups)}" if len(groups) > 1 else "" for number in range(1, len(groups) + 1)]
    return [_page(overview, names, size, number) for names, number in zip(groups, numbers, strict=True)]


def overview_pdf(overview: ClassOverview, size: str = "A4") -> bytes:
    """The pages as one PDF."""
    return pages_pdf(overview_pages(overview, size), "The whole class on one page")


def overview_png(overview: ClassOverview, size: str = "A4", dpi: float = 110.0) -> bytes:
    """The first page as a picture for the screen."""
    return overview_pages(overview, size)[0].png(dpi)


def _page(overview: ClassOverview, names: tuple[str, ...], size: str, number: str) -> Page:
    page = Page(size)
    x, width = MARGIN_MM, page.width - 2.0 * MARGIN_MM
    page.text(x, MARGIN_MM + 2.0, "FOR THE TEACHER", 8.0, colour=SOFT)
    page.text(x + width, MARGIN_MM + 2.0, number, 8.0, align="right", colour=SOFT)
    head = "The whole class" if number else "The whole class on one page"
    page.text(x, MARGIN_MM + 9.5, head, 15.0, bold=True)
    y = page.paragraph(
        x, MARGIN_MM + 14.5, width,
        "A cell with 2 and 3/5 means: the next exercise is of level 2, and 3 of 5 exercises were right at the first "
        "try. A cell is shaded if less than half were right at the first try.", 7.5,
    )  # fmt: skip
    y = _table(page, overview, names, x, y + _NAMES - 2.0, width)
    y = _habits(page, overview, x, y + 8.0, width)
    page.paragraph(x, page.height - MARGIN_MM + 2.0, width, in_one(*PLANNING), 6.0)
    return page


def _table(page: Page, overview: ClassOverview, names: tuple[str, ...], x: float, y: float, width: float) -> float:
    each = (width - _KIND - _SHARE) / A_PAGE
    columns = [x + _KIND + place * each for place in range(A_PAGE)]
    for left, name in zip(columns, names, strict=False):
        page.text(left + 0.62 * each, y - 1.5, short_name(name, _NAMES - 3.0, 8.0), 8.0, turned=90.0)
    page.text(x + width, y - 5.0, "whole", 8.0, bold=True, align="right")
    page.text(x + width, y - 1.5, "class", 8.0, bold=True, align="right")
    for kind in KINDS:
        page.line([(x, y), (x + width, y)], 0.15, colour=RULE)
        words = f"{kind.lesson} {kind.words}"
        page.text(x, y + 4.5, words, largest_fitting(words, _KIND - 2.0, (8.0, 7.5, 7.0, 6.5)), within=_KIND - 2.0)
        for left, name in zip(columns, names, strict=False):
            _cell(page, overview.standings.get((name, kind.name)), left, y, each)
        together = overview.whole.get(kind.name)
        words = f"{100.0 * together.first / together.done:.0f} %" if together else "–"
        page.text(x + width, y + 4.5, words, 8.5, bold=True, align="right")
        y += _ROW
    page.line([(x, y), (x + width, y)], 0.15, colour=RULE)
    return y


def _cell(page: Page, at: Standing | None, left: float, y: float, each: float) -> None:
    if at is None:
        return
    if 2 * at.first < at.done:
        page.box(left + 0.3, y + 0.3, each - 0.6, _ROW - 0.6, edge=0.0, fill=SHADE)
    level, share = str(at.level), f"{at.first}/{at.done}"
    page.text(left + 0.6, y + 4.6, level, 9.5, bold=True)
    room = each - 2.2 - text_width(level, 9.5, bold=True)
    page.text(left + each - 0.6, y + 4.6, share, largest_fitting(share, room, (7.0, 6.3, 5.6, 4.9, 4.2)), align="right")


def _habits(page: Page, overview: ClassOverview, x: float, y: float, width: float) -> float:
    page.text(x, y, "Mistakes behind wrong answers", 11.0, bold=True)
    y += 5.0
    if not overview.habits:
        page.text(x, y, "No wrong answer so far has a usual mistake behind it.", 8.0)
    lesson = {kind.name: kind.lesson for kind in KINDS}
    for one in overview.habits[:MOST_HABITS]:
        who = f"{one.apprentices} of {len(overview.names)}"
        page.text(x, y, who, 8.0, bold=True)
        page.text(x + 16.0, y, f"{lesson[one.kind]} {one.kind}", 8.0, within=27.0)
        y = page.paragraph(x + 45.0, y, width - 45.0, one.words, 8.0, most=2) + 0.6
    return y
