"""The words of the trade on paper: a sketch and a sentence for each term, to hang beside the bender."""

from __future__ import annotations

from barmath.glossary.terms import TERMS, Term
from barmath.paper.page import RULE, SOFT, Page, pages_pdf
from barmath.paper.sizes import SIZES_MM
from barmath.paper.sketch import draw_sketch
from barmath.shop.cautions import PLANNING, in_one

MARGIN_MM, GAP_MM = 12.0, 4.0
COLUMNS, ROWS = 4, 5
_SKETCH_MM = 24.5


def glossary_pages(size: str = "A4") -> list[Page]:
    """Pages of twenty terms, first to last; `size` is "A4", "A3" or "Letter"."""
    parts = [TERMS[first : first + COLUMNS * ROWS] for first in range(0, len(TERMS), COLUMNS * ROWS)]
    return [_page(part, f"{number} of {len(parts)}", size) for number, part in enumerate(parts, 1)]


def glossary_pdf(size: str = "A4") -> bytes:
    """The pages as one PDF; equal sizes give equal bytes."""
    return pages_pdf(glossary_pages(size), "Words of the trade")


def _page(part: tuple[Term, ...], number: str, size: str) -> Page:
    page = Page(size)
    x, y = MARGIN_MM, MARGIN_MM
    page.text(x, y + 5.0, "Words of the trade", 17.0, bold=True)
    page.text(page.width - MARGIN_MM, y + 5.0, f"page {number}", 8.0, align="right", colour=SOFT)
    width = (page.width - 2.0 * MARGIN_MM - (COLUMNS - 1) * GAP_MM) / COLUMNS
    height = (page.height - 2.0 * MARGIN_MM - 10.0 - (ROWS - 1) * GAP_MM) / ROWS
    page.paragraph(x, page.height - MARGIN_MM + 4.0, page.width - 2.0 * MARGIN_MM, in_one(*PLANNING), 6.5)
    for place, term in enumerate(part):
        row, column = divmod(place, COLUMNS)
        _card(page, x + column * (width + GAP_MM), y + 10.0 + row * (height + GAP_MM), width, height, term)
    return page


def _card(page: Page, x: float, y: float, width: float, height: float, term: Term) -> None:
    page.box(x, y, width, height, edge=0.15, colour=RULE)
    larger = page.width / SIZES_MM["A4"][0]  # type grows with the sheet
    tall = max(_SKETCH_MM, 0.53 * height)
    draw_sketch(page, (x, y), (width, tall), term.sketch(), larger)
    below = page.paragraph(x + 1.8, y + tall + 3.4 * larger, width - 3.6, term.name, 8.5 * larger, bold=True)
    page.paragraph(x + 1.8, below + 0.3, width - 3.6, term.meaning, 7.4 * larger)
    foot = y + height - 1.6 * larger
    page.text(x + width - 1.8, foot, f"lesson {term.lesson}", 5.6 * larger, align="right", colour=SOFT)
