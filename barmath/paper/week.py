"""The week on paper: one page with what to set, cut and buy, and then every bench sheet, in the sequence of bending."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from barmath.lengths import in_unit, length_text
from barmath.paper.bench_sheet import bench_page
from barmath.paper.letters import one_line
from barmath.paper.page import INK, RULE, SOFT, Page, broken, line_height, pages_pdf, text_width
from barmath.paper.week_data import TubeCuts, Week, WeekBar
from barmath.paper.week_sequence import late_words, why_words
from barmath.paper.who import short_name
from barmath.refusal import BendError, counted
from barmath.shop.cautions import BENDING, SAWING, in_one

MARGIN_MM = 12.0
ROW_MM = 5.0
AS_BEFORE = "as before"
HEAD = ("order", "wanted", "die", "stops", "inner mark", "outer mark", "cut", "mass", "done")
DAY, DIE = HEAD.index("wanted"), HEAD.index("die")
SIZE, MOST_MM = 8.0, 34.0
"""Type of the rows, and the widest column: what needs more is cut."""

BELOW_MM = 3.8
"""To the second line of a row, which has the rider."""


def week_pdf(week: Week, size: str = "A4", unit: str = "mm") -> bytes:
    """The plan of the week and all its bench sheets as one PDF; raises BendError if there is no bar."""
    return pages_pdf(week_pages(week, size, unit), "The week")


def week_png(week: Week, size: str = "A4", unit: str = "mm", dpi: float = 110.0) -> bytes:
    """The first page as a picture for the screen; raises BendError if there is no bar."""
    return next(week_pages(week, size, unit)).png(dpi)


def week_pages(week: Week, size: str = "A4", unit: str = "mm") -> Iterator[Page]:
    """The pages one after the other; raises BendError if there is no bar."""
    if not week.bars:
        raise BendError("choose an order that has a way first: there is no bar to bend in this week")
    yield from _plan(week, size, unit)
    for bar in week.bars:
        yield bench_page(bar.sheet, size)


class _Writer:
    # lines of the plan, on as many pages as they need
    def __init__(self, size: str) -> None:
        self.size, self.pages = size, [Page(size)]
        self.y = MARGIN_MM

    @property
    def page(self) -> Page:
        return self.pages[-1]

    @property
    def width(self) -> float:
        return self.page.width - 2.0 * MARGIN_MM

    def room_for(self, height: float) -> bool:
        if self.y + height <= self.page.height - MARGIN_MM:
            return True
        self.pages.append(Page(self.size))
        self.page.text(MARGIN_MM, MARGIN_MM + 2.4, f"THE WEEK, page {len(self.pages)}", 7.0, colour=SOFT)
        self.y = MARGIN_MM + 4.0
        return False

    def head(self, words: str, first: str = "", size: float = 8.0) -> None:
        # with the first words below it: no head is alone at the foot of a page
        self.room_for(10.0 + self._tall(first, size))
        self.y += 8.0
        self.page.text(MARGIN_MM, self.y, short_name(words, self.width, 10.5, bold=True), 10.5, bold=True)
        self.y += 2.0
        if first:
            self.words(first, size)

    def cells(
        self, cells: Sequence[str], wide: Sequence[float], below: str = "", *, bold: bool = False, soft: bool = False
    ) -> None:
        self.y += ROW_MM
        x, colour = MARGIN_MM, SOFT if soft else INK
        for words, room in zip(cells, wide, strict=True):
            if words:
                shown = short_name(words, room - 0.5, SIZE, bold)
                self.page.text(x, self.y, shown, SIZE, bold=bold, colour=colour)
            x += room
        if below:
            self.y += BELOW_MM
            left = wide[0]
            self.page.text(MARGIN_MM + left, self.y, short_name(below, self.width - left, SIZE), SIZE)
        self.page.line([(MARGIN_MM, self.y + 1.4), (MARGIN_MM + self.width, self.y + 1.4)], 0.1, colour=RULE)

    def words(self, words: str, size: float = 8.0) -> None:
        self.room_for(self._tall(words, size))
        self.y = self.page.paragraph(MARGIN_MM, self.y + 4.6, self.width, words, size) - 3.4

    def _tall(self, words: str, size: float) -> float:
        return len(broken(words, self.width, size)) * line_height(size) + 2.0


def _plan(week: Week, size: str, unit: str) -> list[Page]:
    out = _Writer(size)
    out.page.text(MARGIN_MM, out.y + 2.4, "THE WEEK", 7.0, colour=SOFT)
    bars = counted(len(week.bars), "bar")
    out.page.text(MARGIN_MM, out.y + 10.6, f"{bars}, {week.mass_g / 1000.0:.2f} kg bare", 17.0, bold=True)
    out.y += 12.0
    rows = [_row(before, bar, unit) for before, bar in zip((None, *week.bars), week.bars, strict=False)]
    wide = _widths(rows, out.width)
    names = [name if room else "" for name, room in zip(HEAD, wide, strict=True)]
    out.head("Bend in this sequence")
    out.cells(names, wide, soft=True)
    for row, bar in zip(rows, week.bars, strict=True):
        rider = one_line(bar.order.rider)
        if not out.room_for(ROW_MM + (BELOW_MM if rider else 0.0)):  # a new page has the heads and all settings again
            out.cells(names, wide, soft=True)
            row = _row(None, bar, unit)
        out.cells(row, wide, f"for {rider}" if rider else "", bold=row[DIE] != AS_BEFORE)
        out.page.box(MARGIN_MM + sum(wide[:-1]), out.y - 3.0 - (BELOW_MM if rider else 0.0), 3.2, 3.2)
    out.y += 1.4
    out.words(f"{why_words(week.bars, week.by)} {week.begun_words}".strip())
    for line in late_words(week.bars):
        out.words(f"Watch: {line}.")
    if any(stops_words(bar).count(",") for bar in week.bars):
        out.words(
            "Two stops: make the inner bends of all bars that follow each other with these stops. Then set the stop "
            "once for their outer bends."
        )
    for cuts in week.cuts:
        first, *more = cut_lines(cuts, unit)
        out.head(f"Cut {cuts.tube.name}", first)
        for line in more:
            out.words(line)
    if week.left_out:
        first, *more = (in_unit(words, unit) for words in week.left_out)
        out.head("Left out", first)
        for line in more:
            out.words(line)
    out.head("Take care", in_one(*dict.fromkeys((*BENDING, *SAWING))), 7.0)
    return out.pages


def _row(before: WeekBar | None, bar: WeekBar, unit: str) -> tuple[str, ...]:
    # what is set already is not set again, and is shown by a mark
    way, inner, outer = bar.way, *bar.marks_mm
    stops = stops_words(bar)
    same_die = before is not None and before.way.die == way.die
    same_stops = same_die and before is not None and stops_words(before) == stops
    return (
        bar.title, bar.order.wanted or "",
        AS_BEFORE if same_die else way.die,
        AS_BEFORE if same_stops else stops,
        length_text(inner, unit), length_text(outer, unit), length_text(bar.cut_mm, unit), f"{bar.mass_g:.0f} g", "",
    )  # fmt: skip


def _widths(rows: Sequence[Sequence[str]], width: float) -> list[float]:
    # each column as wide as its words and an equal share of what is left; that of days is left out if there is none
    need = [
        max(text_width(name, SIZE), *(text_width(row[place], SIZE, bold=True) for row in rows))
        for place, name in enumerate(HEAD)
    ]
    wide = [min(one, MOST_MM) for one in need]
    if not any(row[DAY] for row in rows):
        wide[DAY] = 0.0
    gap = (width - sum(wide)) / (sum(map(bool, wide)) - 1)
    return [one + gap if one else 0.0 for one in wide]


def stops_words(bar: WeekBar) -> str:
    """What the stop is set to: one angle, or that of the inner bends and that of the outer ones."""
    inner, outer = (f"{angle:.1f}" for angle in (bar.way.inner_stop_deg, bar.way.outer_stop_deg))
    return f"{inner} deg" if inner == outer else f"{inner}, {outer} deg"


def cut_lines(cuts: TubeCuts, unit: str) -> list[str]:
    """What to buy, what to cut from which bar, and what is left over, one sentence a line."""

    def mm(length: float) -> str:
        return length_text(length, unit)

    buy = ", ".join(f"{number} x {mm(length)}" for length, number in cuts.cuts.to_buy.items())
    price = "" if cuts.price is None else f", price {cuts.price:.2f}"
    lines = [f"Buy {buy}: {mm(cuts.cuts.bought_mm)} in all{price}." if buy else "Buy nothing: the rack has enough."]
    alike = Counter((bar.bought, bar.stock_mm, bar.cuts_mm, bar.left_mm) for bar in cuts.cuts.bars)
    for (bought, stock, pieces, left), number in alike.items():
        what = "new bar" if bought else "offcut"
        lines.append(
            f"{number} x {what} of {mm(stock)}: cut {', '.join(mm(piece) for piece in pieces)}. Left over: {mm(left)}."
        )
    left = sum(bar.left_mm for bar in cuts.cuts.bars)
    lines.append(f"Left over in all: {mm(left)}.")
    return [*lines, *([in_unit(cuts.cuts.gap, unit)] if cuts.cuts.gap else [])]
