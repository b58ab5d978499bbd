"""A panel opened by an order's number: the number chosen above it, and what is kept in the order book."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import ipywidgets as widgets

from barmath.bending.recipe_text import recipe_from_text
from barmath.panels.by_number_state import (
    MADE,
    NOTHING,
    OLD_SHEET,
    bar_from_written,
    order_with_panel,
    radius_words,
    state_with_bar,
    state_with_order,
    unsaved_readings,
    why_by_hand,
)
from barmath.panels.crossbar import CrossbarPanel
from barmath.panels.drafts import PageDraft
from barmath.panels.entry import TypedRow, button, choice_row, text_row
from barmath.panels.form import FormPanel
from barmath.panels.inspection import InspectionPanel
from barmath.panels.last_order import keep_last_order, last_order
from barmath.panels.order import OrderPanel
from barmath.panels.order_state import with_any_way
from barmath.panels.order_words import OrderWords
from barmath.panels.ordered_bar_state import Ordered
from barmath.panels.rider import rider_of
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import PanelBox, Shell, guarded, heard, kept, parts_of, settled
from barmath.panels.two_bars import TwoBarsPanel
from barmath.records.booked_order import PLANNED, STATES, WITHDRAWN, Booked, BookedOrder
from barmath.records.drafts import Drafts
from barmath.records.order_book import OrderBook
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.shop_file import Shop

FOR_RIDERS = OrderPanel | CrossbarPanel | TwoBarsPanel
"""Panels below which the page for the rider is written."""

ENTER = "Enter it as a new order"


class ByNumber(Shell):
    """A panel, and above it the order of the book that it is about.

    Parameters
    ----------
    panel : FormPanel
        It has an order or a bar in its state.
    book : OrderBook
    sheets_folder : str or Path
        Where the pages for riders are written.

    It opens with the order that was open last, in this panel or in another one. Opening an order writes nothing into
    the book. What is read of a bar is kept in the book at once. Where somebody else has changed the
    order since, keeping says so.
    """

    cautions = ()  # the panel below has its own

    refused, fits = "Not kept", "The order book"

    def __init__(self, panel: FormPanel, book: OrderBook, sheets_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.panel, self.book = panel, book
        self.seen: Booked | None = None
        panel.booked = lambda: None if self.seen is None else self.seen.order
        self._opened = False  # what is typed before the first order is opened is of that order
        self.number, number_row = choice_row("Order number", [("by hand", NOTHING)], NOTHING)
        self.state, state_row = choice_row("Progress", [(one, one) for one in STATES], STATES[0])
        self.line, line_row = text_row("Line of a sheet", "", self._typed)
        self.line.placeholder = OLD_SHEET
        self.words = OrderWords()
        self.again = button("Open it again", self._again)
        self.keep = button("Keep it in the order book", self._keep)
        self.enter = button(ENTER, self._enter)
        self.rider = SheetWriter(
            sheets_folder, self.rider_page, "the page for the rider", "order 7 for the rider", to_scale=False,
            picture=True,
        )  # fmt: skip
        self.offer()
        parts = (*panel.form.single_parts(), *self.words.parts, self.state)
        orders = isinstance(panel, OrderPanel)
        self.draft = PageDraft(
            type(panel).__name__, Drafts(book.path), parts, lambda words: self.say("", [words]), ENTER if orders else ""
        )
        number_row.children = (*number_row.children, self.draft.mark)
        self.number.observe(self._chosen, "value")
        new = (self.enter,) if orders else ()
        buttons = widgets.HBox([self.keep, self.again, *new], layout=widgets.Layout(flex_flow="row wrap"))
        head = widgets.VBox([number_row, line_row, state_row, self.words.box, buttons, self.message])
        rider = (self.rider.box,) if isinstance(panel, FOR_RIDERS) else ()
        self.fill(head, panel.box, *rider)
        self._name_sheets(NOTHING)
        self.say_where()
        self._by_itself = panel.state
        self._open_last()
        panel.followers = (*panel.followers, self._follow)
        typed = [part.box for part in parts if isinstance(part, TypedRow)]  # heard only when it is put in
        for part in (*typed, *self.words.parts, self.state):
            part.observe(lambda _: self._follow(), "value")
        for part in self.words.parts:
            part.observe(self._worded, "value")
        if isinstance(panel, InspectionPanel):
            panel.form.watch(self._read)

    def offer(self) -> None:
        """Offer the orders that the book has now."""
        with self.writing():
            chosen = self.number.value
            numbers = [row.number for row in self.book.orders()]
            self.number.options = [("by hand", NOTHING), *((f"order {number}", number) for number in numbers)]
            self.number.value = chosen if chosen in numbers else NOTHING

    def open(self, number: int, *, keep_typed: bool = False) -> None:
        """Show an order of the book in the panel; raises BendError where it cannot be shown."""
        seen = self.book.order(number)
        before = self.panel.read()
        state, typed = (
            state_with_order(before, seen.order, self.shop(), keep_typed=keep) for keep in (False, keep_typed)
        )
        with self.writing():
            self.seen = None  # until everything is shown
            self.panel.show(state)
            self.seen, self._opened = seen, True
            self.number.value = number
            self.state.value = seen.order.state
            self.words.show(seen.order)
        self._name_sheets(number)
        keep_last_order(self.book.path, number)
        self.say_where()
        self.draft.begin(number, seen.revision)
        self._bring_back()
        if typed != state:
            with self.writing():
                self.panel.show(typed)
            self.draft.changed()

    def _bring_back(self) -> None:
        with self.writing(), self.panel.writing():
            words = self.draft.bring_back(self.panel.brought_back)
        if words and self.number.value == NOTHING and (twin := self._twin()):
            words = f"{words}. Order {twin} in the book is the same: enter this one only for a second bar"
        if words:
            self.say("", [words])

    def _twin(self) -> int:
        # the newest order of the book, where it is the one that is set by hand: its kernel died as it was entered
        if not isinstance(self.panel, OrderPanel):
            return 0
        try:
            newest = self.book.order(self.book.next_number() - 1).order
            return newest.number if self.words.put_into(self._now(newest)) == newest else 0
        except BendError:  # there is no order, or no bar
            return 0

    def _follow(self, entered: bool = False) -> None:
        if self.writes:
            return
        if entered:
            self.draft.drop()
            self.draft.begin(self.number.value, self.seen.revision if self.seen else 0)
        else:
            self.draft.changed()

    @guarded
    def _worded(self, _: dict) -> None:
        if not self.writes:
            self.say_where()  # and which box is refused

    def _name_sheets(self, number: int) -> None:
        # each sheet has the order's name
        for part in parts_of(self.box):
            if isinstance(part, PanelBox) and isinstance(part.shell, SheetWriter):
                part.shell.name_order(number)

    def _open_last(self) -> None:
        newest = self.draft.newest_number()
        number = last_order(self.book.path) if newest is None else newest
        if number in [number for _, number in self.number.options[1:]]:
            try:
                self.open(number)
                return
            except BendError:  # it has no way yet, or cannot be read: the panel is set by hand
                self.say_where()
        self.draft.begin(NOTHING)
        self._bring_back()

    def rider_page(self, name: str, page: str) -> tuple[bytes, bytes]:
        """PDF and picture of the open order's page for its rider; of two bars that are compared without one too."""
        from barmath.paper.rider_page import rider_pdf, rider_png  # Matplotlib, only when a page is made

        rider = rider_of(name, self.panel, self.panel.booked(), self.shop())
        return rider_pdf(rider, page), rider_png(rider, page)

    def shop(self) -> Shop:
        """The shop of the panel; raises BendError where its file cannot be read."""
        shop = getattr(self.panel, "shop", None)
        if not isinstance(shop, Shop):
            raise BendError("correct the shop's file first: its tubes are not known")
        return shop

    def say_where(self) -> None:
        """Say which order is open, and how far it is."""
        if self.seen is None:
            self.say("choose an order's number, or set the bar by hand")
            return
        order = self.seen.order
        self.say(
            f"order {order.number} is open: {order.state}, ordered on {order.ordered}",
            radius_words(order, self.shop()),
        )

    @heard
    def _chosen(self, change: dict) -> None:
        self.seen = None
        if change["new"] == NOTHING:
            self._by_hand()
            self.say_where()
            self.draft.begin(NOTHING)
            self._bring_back()
        else:
            self.open(change["new"], keep_typed=not self._opened)

    def _by_hand(self) -> None:
        with self.writing():
            self.seen, self.number.value, self.state.value = None, NOTHING, STATES[0]
            self.words.clear()
            if isinstance(self.panel, OrderPanel):
                self.panel.show(replace(with_any_way(self.panel.state), number=NOTHING, bent=None))
        self._name_sheets(NOTHING)

    @guarded
    def _typed(self, change: dict) -> None:
        if not change["new"].strip():
            return
        written = recipe_from_text(change["new"])
        why = why_by_hand(written, self.book)
        if not why:
            self.open(written.number)
            return
        bar = bar_from_written(self.shop(), written)
        state = state_with_bar(self.panel.read(), bar, self.shop(), written.recipe)
        self._by_hand()
        self.panel.show(state)
        self.draft.begin(NOTHING)
        self.say("the bar of the sheet is set by hand", [why])

    @guarded
    def _again(self, _: object) -> None:
        self.offer()
        self.draft.drop()
        if self.number.value == NOTHING:
            with self.writing():
                self.panel.show(self._by_itself)
            self.say_where()
            self.draft.begin(NOTHING)
            self._bring_back()
            return
        mine = unsaved_readings(self.panel.state, self.seen)
        self.open(self.number.value)
        if mine and isinstance(self.panel, InspectionPanel):
            with self.writing():
                for key, text in mine.items():
                    self.panel.box_of(key).value = text
            self.say("", ["keep your readings too: they are in the boxes below, and not in the book yet"])

    @heard
    def _read(self, _: dict) -> None:
        # a reading is kept at once
        if self.seen is not None and unsaved_readings(self.panel.state, self.seen):
            self._put(self._now(self.seen.order, made=False), self.seen)

    @settled
    def _keep(self, _: object) -> None:
        if self.seen is None:
            raise BendError("choose an order's number first, or enter this one as a new order")
        was, wanted = self.seen.order, self.state.value
        # an order that nobody wants any more needs no way, and often there is none
        order = self.words.put_into(was if wanted == WITHDRAWN else self._now(was))
        number = self._put(order if wanted == was.state else replace(order, state=wanted), self.seen)
        if was.state in MADE and wanted == PLANNED:  # another tube: its numbers are those of today
            self.open(number)
            self._say_kept(self.book.order(number).order)

    @settled
    def _enter(self, _: object) -> None:
        if self.seen is not None and self.words.put_into(self.seen.order) == self.seen.order:
            self.words.clear()  # they are of the order that is open, and not of this one
        order = BookedOrder(self.book.next_number(), Ordered.order(self.panel.state), date.today().isoformat())
        number = self._put(self.words.put_into(self._now(order)), None)
        self.offer()
        with self.writing():
            self.number.value = number
        self._name_sheets(number)
        keep_last_order(self.book.path, number)
        # die and stops remain to be chosen as they were, so that the next order can be typed at once
        self.panel.become(replace(self.panel.state, number=number))

    def _now(self, order: BookedOrder, *, made: bool = True) -> BookedOrder:
        return order_with_panel(order, self.panel.state, getattr(self.panel, "readout", None), made=made)

    def _put(self, order: BookedOrder, seen: Booked | None) -> int:
        self.seen = self.book.enter(order) if seen is None else self.book.change(order, seen)
        order = self.seen.order
        self.draft.drop()
        with self.writing():
            self.state.value = order.state
        self.draft.begin(order.number, self.seen.revision)
        self._say_kept(order)
        return order.number

    def _say_kept(self, order: BookedOrder) -> None:
        self.say(f"order {order.number} is in the book now: {order.state}", radius_words(order, self.shop()))


def by_number(panel: PanelBox, book: OrderBook) -> widgets.VBox:
    """A panel of a notebook with the order's number above it; running its cell again shows the same one."""
    shell = panel.shell
    if not isinstance(shell, FormPanel):
        raise BendError("give a panel with an order or a bar in it: no other opens by an order's number")
    return kept(ByNumber, (panel, real_path(book.path)), lambda: ByNumber(shell, book))
