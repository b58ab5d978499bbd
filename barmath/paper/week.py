"""The week on paper: one page with what to set, cut and buy, and then every bench sheet, in the sequence of bending."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from barmath.lengths import length_text
from barmath.paper.bench_sheet import bench_page
from barmath.paper.page import RULE, SOFT, Page, pages_pdf
from barmath.paper.week_data import TubeCuts, Week, WeekBar
from barmath.refusal import BendError, counted
from barmath.shop.cautions import BENDING, SAWING, in_one

MARGIN_MM = 12.0
ROW_MM = 5.0
HEAD = ("order", "die", "stops", "inner mark", "outer mark", "cut", "mass", "done")
COLUMNS_MM = (0.0, 22.0, 46.0, 76.0, 100.0, 124.0, 150.0, 170.0)


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

    def room_for(self, height: float) -> None:
        if self.y + height > self.page.height - MARGIN_MM:
            self.pages.append(Page(self.size))
            self.y = MARGIN_MM + 4.0

    def head(self, words: str) -> None:
        self.room_for(16.0)
        self.y += 8.0
        self.page.text(MARGIN_MM, self.y, words, 10.5, bold=True)
        self.y += 2.0

    def cells(self, cells: Sequence[str], *, bold: bool = False, soft: bool = False) -> None:
        self.room_for(ROW_MM)
        self.y += ROW_MM
        for place, (x, words) in enumerate(zip(COLUMNS_MM, cells, strict=False)):
            end = COLUMNS_MM[place + 1] if place + 1 < len(COLUMNS_MM) else self.width
            colour = SOFT if soft else "black"
            self.page.text(MARGIN_MM + x, self.y, words, 8.0, bold=bold, colour=colour, within=end - x - 1.0)
        self.page.line([(MARGIN_MM, self.y + 1.4), (MARGIN_MM + self.width, self.y + 1.4)], 0.1, colour=RULE)

    def words(self, words: str, size: float = 8.0) -> None:
        self.room_for(12.0)
        self.y = self.page.paragraph(MARGIN_MM, self.y + 4.6, self.width, words, size) - 3.4


def _plan(week: Week, size: str, unit: str) -> list[Page]:
    out = _Writer(size)
    out.page.text(MARGIN_MM, out.y + 2.4, "THE WEEK", 7.0, colour=SOFT)
    bars = counted(len(week.bars), "bar")
    out.page.text(MARGIN_MM, out.y + 10.6, f"{bars}, {week.mass_g / 1000.0:.2f} kg bare", 17.0, bold=True)
    out.y += 12.0
    out.head("Bend in this sequence")
    out.cells(HEAD, soft=True)
    for before, bar in zip((None, *week.bars), week.bars, strict=False):
        out.cells(_row(before, bar, unit), bold=before is None or before.way.die != bar.way.die)
        out.page.box(MARGIN_MM + COLUMNS_MM[-1], out.y - 3.0, 3.2, 3.2)
    if any(stops_words(bar).count(",") for bar in week.bars):
        out.words(
            "Two stops: make the inner bends of all these bars first. Then set the stop once for all outer bends."
        )
    for cuts in week.cuts:
        out.head(f"Cut {cuts.tube.name}")
        for line in cut_lines(cuts, unit):
            out.words(line)
    if week.left_out:
        out.head("Left out")
        for line in week.left_out:
            out.words(line)
    out.head("Take care")
    out.words(in_one(*dict.fromkeys((*BENDING, *SAWING))), 7.0)
    return out.pages


def _row(before: WeekBar | None, bar: WeekBar, unit: str) -> tuple[str, ...]:
    # what is set already is not set again, and is shown by a mark
    way, inner, outer = bar.way, *bar.marks_mm
    stops = stops_words(bar)
    same_die = before is not None and before.way.die == way.die
    same_stops = same_die and before is not None and stops_words(before) == stops
    return (
        f"order {bar.order.number}",
        "as before" if same_die else way.die,
        "as before" if same_stops else stops,
        length_text(inner, unit), length_text(outer, unit), length_text(bar.cut_mm, unit), f"{bar.mass_g:.0f} g",
    )  # fmt: skip


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
    return [*lines, *([cuts.cuts.gap] if cuts.cuts.gap else [])]
