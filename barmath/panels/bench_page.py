"""The page at the bench: one step at a time, for a tablet or a phone beside the bender."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from barmath.bending.bench_film import CLAMP, Film
from barmath.bending.plans import PLANS
from barmath.bending.recipe_text import recipe_from_text
from barmath.bending.steps import Step
from barmath.panels.bench_page_bars import (
    by_hand,
    is_begun,
    kept_words,
    next_bar,
    scrapped,
    started,
    with_bar,
    with_line,
    with_order,
)
from barmath.panels.bench_page_book import keep_how_far, plan_again, readable_orders
from barmath.panels.bench_page_care import BenchPageCare
from barmath.panels.bench_page_record import keep_bar, keep_bend
from barmath.panels.bench_page_state import (
    BENDS,
    CHECK,
    CHOOSE,
    CUT,
    DONE,
    PAGE_FILE,
    TITLES,
    BenchPage,
    BenchPageState,
    bar_words,
    bench_page,
    figures_html,
    keep_state,
    state_from_file,
)
from barmath.panels.bending_state import film_of_bar
from barmath.panels.by_number_state import NOTHING, OLD_SHEET, radius_words
from barmath.panels.entry import choice_row, labelled_row, text_row
from barmath.panels.form import FormPanel, Joined
from barmath.panels.last_order import keep_last_order, last_order
from barmath.panels.markup import paragraph
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.ordered_bar_state import BY_HAND
from barmath.panels.shell import guarded, heard, kept, settled
from barmath.pictures.bench import BenchPicture
from barmath.records.bent_bar import checked_text
from barmath.records.booked_order import BEGUN, BENT, CHECKED, PLANNED
from barmath.records.order_book import OrderBook
from barmath.records.record import Record
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.cautions import BENDING
from barmath.shop.shop_file import Shop, shop_from_file

NAMES = ("Backsweep left", "Backsweep right", "Rise left", "Rise right")
"""Labels of the boxes of what is read on the bar."""

HEIGHT_PX, NEAR = 380, 0.78
"""Of the picture, which a phone shows lower; and how much nearer it is looked at than in the lesson."""


class BenchPagePanel(FormPanel):
    """One step a screen: its figures, its picture, Back and Next, and a box for what is read.

    Parameters
    ----------
    shop : Shop
    book : OrderBook
        Its orders are offered, and how far each has come is kept there; the bar is kept in the record of the same file,
        and the page's own file is beside it.
    """

    cautions = BENDING
    refused, fits = "Cannot go on", "Read"

    def __init__(self, shop: Shop, book: OrderBook) -> None:
        super().__init__()
        self.shop, self.book = shop, book
        self.file = book.path.with_name(PAGE_FILE)
        self.trouble = ""
        try:
            self.state = state_from_file(self.file) or BenchPageState()
        except BendError as refusal:
            self.state, self.trouble = BenchPageState(), str(refusal)
        self._build()
        self._take_open_order()
        self._show_state()
        self.refresh()

    def _build(self) -> None:
        s = self.state
        self.head, self.figures, self.space = widgets.HTML(), widgets.HTML(), BenchPicture(HEIGHT_PX, NEAR)
        self.picture, self.care = widgets.VBox([self.space.plot]), BenchPageCare()
        self._film: Film | None = None
        self._looked_at = 0
        self.number, number_row = choice_row("Order number", [("by hand", NOTHING)], NOTHING)
        self.offer()
        self.number.observe(self._opened, "value")
        self.line, line_row = text_row("Line of a sheet", "", self._typed_line, _check_line)
        self.line.placeholder = OLD_SHEET
        self.ordered = OrderedBarRows(self.shop, s.bar)
        self.name, name_row = text_row("Name", s.name, check=lambda text: checked_text("name", text))
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], s.unit)
        self.by_hand = widgets.VBox([name_row, *self.ordered.widgets])
        self.ordered_words = widgets.HTML()
        self.choose = widgets.VBox([number_row, line_row, self.ordered_words, self.by_hand, unit_row])
        self.kept_box = widgets.Text(continuous_update=False)
        self.kept_row = labelled_row("I read, in degrees", self.kept_box, label_width="auto")
        self.boxes = [widgets.Text(continuous_update=False) for _ in NAMES]
        rows = [labelled_row(name, box, label_width="170px") for name, box in zip(NAMES, self.boxes, strict=True)]
        self.check = widgets.VBox(rows)
        self.bind(
            name=self.name, bar=self.ordered, unit=self.unit, typed=Joined(self.boxes),
            kept=Joined([self.kept_box], self._with_read, self._read_here),
        )  # fmt: skip
        self.back, self.next = widgets.Button(description="Back"), widgets.Button(description="Next")
        self.back.on_click(self._went_back)
        self.next.on_click(self._went_on)
        self.scrap, self._asked = widgets.Button(), False
        self.scrap.on_click(self._scrapped)
        bar = widgets.HBox([self.back, self.scrap, self.next])
        for part, mark in (
            (self.head, "head"), (self.picture, "picture"), (self.figures, "figures"), (self.choose, "choose"),
            (self.kept_row, "read"), (self.check, "check"), (bar, "bar"), (self.back, "back"), (self.next, "next"),
            (self.scrap, "scrap"),
        ):  # fmt: skip
            part.add_class(f"barmath-bench-{mark}")
        self.box.add_class("barmath-bench-page")
        self.fill(
            self.care, self.head, self.picture, self.figures, self.choose, self.check, self.message,
            self.kept_row, bar,
        )  # fmt: skip

    def offer(self) -> None:
        """Offer the orders of the book that have a way and are not done."""
        orders = [row.order for row in readable_orders(self.book) if row.order.way is not None]
        options = [("by hand", NOTHING), *((f"order {one.number}, {one.state}", one.number) for one in orders)]
        with self.writing():
            if tuple(options) != tuple(self.number.options):
                self.number.options = options
            known = [number for _, number in options]
            self.number.value = self.state.number if self.state.number in known else NOTHING

    def _take_open_order(self) -> None:
        # the order that was open last; a piece of tube that is begun goes on, and the page says which order is open
        with suppress(BendError):
            number = last_order(self.book.path)
            order = self.book.order(number).order if number else None
            if order is None or order.state not in (PLANNED, BEGUN):  # it has no way yet, or is bent
                return
            if not is_begun(self.state):
                self.state = with_order(self.state, order)
            elif number != self.state.number and not self.trouble:
                remedy = f"finish {self.state.name} first, or go back to the first screen and choose it"
                self.trouble = f"order {number} was opened last: {remedy}"

    def refresh(self) -> None:
        """Show the screen that the state is at."""
        at = self.state.at
        if at == CHOOSE:
            self.offer()
        try:
            page, refusal = bench_page(self.shop, self.state), ""
        except BendError as fault:
            page, refusal = BenchPage(TITLES.get(at, "This step"), "Correct it first"), str(fault)
        self.head.value = (
            f'<div class="barmath-bench-name">{escape(self.state.name)}</div>'
            f'<h1>{escape(page.title)}</h1><div class="barmath-bench-place">{escape(page.place)}</div>'
        )
        self.by_hand.layout.display = "" if self.state.number == NOTHING else "none"
        self.ordered_words.value = "" if self.state.number == NOTHING else paragraph(bar_words(self.state))
        self.figures.value = figures_html(page)
        for part, shown in (
            (self.choose, at == CHOOSE), (self.check, at == CHECK), (self.kept_row, at in BENDS),
            (self.picture, at in BENDS), (self.figures, bool(page.lines or page.note)),
        ):  # fmt: skip
            part.layout.display = "" if shown else "none"
        if page.step is not None:
            self._show_space(page.step)
        self.back.disabled = at == CHOOSE
        self.scrap.layout.display = "none" if at == CHOOSE else ""
        self.scrap.description = "Yes, scrap" if self._asked else "Scrap"
        self.next.description = {
            CHOOSE: "Start",
            CHECK: "Keep it" if self._read_any() else "Go on unchecked",
            DONE: "Next bar",
        }.get(at, "Done, next")
        cautions = self.box.children[-1]
        cautions.layout.display = "" if at in (CHOOSE, CUT) else "none"
        self.say(
            " ".join(page.said),
            [*page.watch, *kept_words(self.state, self.shop), *filter(None, [self.trouble])],
            refusal,
        )

    def _show_space(self, step: Step) -> None:
        # the tube in the bender as the finder is read on it, before it is clamped
        bar = self.state.bar
        film = film_of_bar(self.shop, bar, PLANS[self.state.plan])
        if film is not self._film:
            self._film, self._looked_at = film, 0
            self.space.show(bar.setup(self.shop), film)
        time = film.start_of(step.number - 1, CLAMP) - 0.01
        if self._looked_at != step.number:  # where one has turned the picture meanwhile, it remains so
            self._looked_at = step.number
            self.space.look_at_both_ends(time)
        self.space.plot.time = time
        self.space.plot.render()
        self.care.says = f"The tube in the bender. {step.title}: {step.hold}; {step.lie}; it turns {step.pose.turns}."

    def _with_read(self, texts: list[str]) -> tuple[str, ...]:
        # what was read of all bends, with what is in the box of the one that is shown
        kept, at = list(self.state.kept), self.state.at
        if at in BENDS:
            kept[at - BENDS[0]] = texts[0]
        return tuple(kept)

    def _read_here(self, kept: tuple[str, ...]) -> tuple[str]:
        return (kept[self.state.at - BENDS[0]] if self.state.at in BENDS else "",)

    def read(self) -> BenchPageState:
        """The state that is set in the rows; as it was while a box is refused, because a box names its refusal."""
        if self.refused_entries():
            return self.state
        state = super().read()
        if state.bar != self.state.bar.named(self.shop):
            return replace(with_bar(self.state, state.bar), unit=state.unit)
        return replace(state, bar=self.state.bar, name=state.name.strip() or BY_HAND)

    def become(self, state: BenchPageState | None = None, **changes: Any) -> None:
        """Take a state and changes of it, keep them in the page's file, and show them."""
        self._asked, wanted = False, replace(state or self.state, **changes)
        if wanted == self.state:
            self.refresh()
            return
        self.trouble, was = "", self.state
        try:
            self.state = keep_state(self.file, wanted)
        except BendError as refusal:
            self.trouble = str(refusal)
            try:
                self.state = state_from_file(self.file) or self.state
            except BendError:
                self.state = wanted
        if was.number and not self.state.number and was.at == CHOOSE:  # by hand, also after a reload
            keep_last_order(self.book.path, NOTHING)
        self._show_state()
        self.refresh()

    def _show_state(self) -> None:
        with self.writing():
            self.form.show(self.state)

    @heard
    def _opened(self, change: dict) -> None:
        if change["new"] == NOTHING:
            self.become(by_hand(self.state))
        else:
            self._open(change["new"])

    def _open(self, number: int) -> None:
        order = self.book.order(number).order
        self.become(with_order(self.state, order))
        keep_last_order(self.book.path, number)
        if words := radius_words(order, self.shop):
            self.say("", words)

    @heard
    def _typed_line(self, change: dict) -> None:
        if not change["new"].strip() or self.refused_entries():
            self.refresh()  # which names the box that is refused
            return
        state, why = with_line(self.state, change["new"], self.shop, self.book)
        if not why:
            self._open(state.number)
            return
        self.become(state)
        self.say("The bar of the sheet is set by hand.", [why])

    @settled
    def _went_back(self, _: object) -> None:
        self.become(at=max(self.state.at - 1, CHOOSE))

    @settled
    def _went_on(self, _: object) -> None:
        at = self.state.at
        if at == DONE:
            self.become(next_bar(self.state))
            return
        bench_page(self.shop, self.state)  # refuses what cannot be made or read, so that the panel does not go on
        state = started(self.state, self.shop)
        if at in BENDS:
            bends = keep_bend(Record(self.book.path), self.shop, state, at - BENDS[0] + 1)
            state = replace(state, bends=bends)
        elif at == CHECK:
            state = replace(state, entry=keep_bar(Record(self.book.path), self.shop, state))
        # the page's own file last: after a kernel's death the same press finds what is there, and does the rest
        trouble = self._come(
            state, {CUT: BEGUN, BENDS[-1]: BENT, CHECK: CHECKED if self._read_any() else ""}.get(at, "")
        )
        self.become(state, at=at + 1)
        if trouble:
            self.trouble = trouble
            self.refresh()

    @guarded
    def _scrapped(self, _: object) -> None:
        # asked once more, because nothing brings back how far the page has come
        if not self._asked:
            self._asked = True
            self.refresh()
            self.say("", [f"press Yes, scrap if you need a new tube for {self.state.name}: this one is then given up"])
            return
        words = plan_again(self.book, self.shop, self.state.number)
        self.become(scrapped(self.state))
        self.say(f"Cut a new tube for {self.state.name}. What was kept of the other remains in the record.", words)

    def _read_any(self) -> bool:
        return any(text.strip() for text in self.state.typed)

    def _come(self, state: BenchPageState, how_far: str) -> str:
        # the order has come as far; where its book cannot take it, the bar goes on all the same, and why is said
        if how_far and state.number != NOTHING:
            try:
                keep_how_far(self.book, self.shop, state, how_far)
            except BendError as refusal:
                return str(refusal)
        return ""


def _check_line(text: str) -> None:
    if text.strip():
        recipe_from_text(text)


def bench_page_panel(shop_file: str | Path, book: OrderBook) -> widgets.VBox:
    """The page at the bench for a notebook; running its cell again shows the same one."""
    key = (real_path(shop_file), real_path(book.path))
    return kept(BenchPagePanel, key, lambda: BenchPagePanel(shop_from_file(shop_file), book))
