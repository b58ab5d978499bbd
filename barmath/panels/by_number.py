"""A panel opened by an order's number: the number chosen above it, and what is kept in the order book."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import ipywidgets as widgets

from barmath.bending.recipe_text import recipe_from_text, to_hundredths
from barmath.panels.by_number_state import NOTHING, bar_from_order, order_with_way, state_with_order
from barmath.panels.crossbar import CrossbarPanel
from barmath.panels.entry import button, choice_row, text_row
from barmath.panels.form import FormPanel
from barmath.panels.order import OrderPanel
from barmath.panels.ordered_bar_state import Ordered
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import PanelBox, Shell, guarded, heard, kept, settled
from barmath.records.booked_order import PLANNED, STATES, Booked, BookedOrder
from barmath.records.order_book import OrderBook
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.shop_file import Shop


class ByNumber(Shell):
    """A panel, and above it the order of the book that it is about.

    Parameters
    ----------
    panel : FormPanel
        It has an order or a bar in its state.
    book : OrderBook
    sheets_folder : str or Path
        Where the pages for riders are written.

    Nothing is written by opening an order. Where somebody else has changed it since, keeping says so.
    """

    cautions = ()  # the panel below has its own

    refused, fits = "Not kept", "The order book"

    def __init__(self, panel: FormPanel, book: OrderBook, sheets_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.panel, self.book = panel, book
        self.seen: Booked | None = None
        self.number, number_row = choice_row("Order number", [("by hand", NOTHING)], NOTHING)
        self.state, state_row = choice_row("How far it is", [(one, one) for one in STATES], STATES[0])
        self.line, line_row = text_row("Line of a sheet", "", self._typed)
        self.again = button("Open it again", self._again)
        self.keep = button("Keep it in the order book", self._keep)
        self.enter = button("Enter it as a new order", self._enter)
        self.rider = SheetWriter(
            sheets_folder, self.rider_page, "the page for the rider", "for the rider", to_scale=False, picture=True
        )
        self.offer()
        self.number.observe(self._chosen, "value")
        new = (self.enter,) if isinstance(panel, OrderPanel) else ()
        head = widgets.VBox(
            [number_row, line_row, state_row, widgets.HBox([self.keep, self.again, *new]), self.message]
        )
        rider = (self.rider.box,) if isinstance(panel, OrderPanel | CrossbarPanel) else ()
        self.fill(head, panel.box, *rider)
        self.say_where()

    def offer(self) -> None:
        """Offer the orders that the book has now."""
        with self.writing():
            chosen = self.number.value
            numbers = [row.number for row in self.book.orders()]
            self.number.options = [("by hand", NOTHING), *((f"order {number}", number) for number in numbers)]
            self.number.value = chosen if chosen in numbers else NOTHING

    def open(self, number: int) -> None:
        """Show an order of the book in the panel; raises BendError where it cannot be shown."""
        seen = self.book.order(number)
        self.panel.show(state_with_order(self.panel.read(), seen.order))  # with what is typed already
        self.seen = seen
        self.state.value = seen.order.state
        self.say_where()

    def rider_page(self, name: str, page: str) -> tuple[bytes, bytes]:
        """PDF and picture of the open order's page for its rider, with the crossbar that is shown, where one is."""
        from barmath.paper.rider_page import RiderPage, rider_pdf, rider_png  # Matplotlib, only when a page is made

        if self.seen is None:
            raise BendError("choose an order's number first: a page for the rider is about an order of the book")
        order = self.seen.order
        recipe, panel = order.recipe(), self.panel
        fitted = None
        if isinstance(panel, CrossbarPanel):
            if panel.state.bar != bar_from_order(order):
                raise BendError(f"open order {order.number} again: the bar below is not the one in the book")
            fitted = panel.readout.bar
        rider = RiderPage(name, recipe, self.shop().tube(order.chosen_way().tube), fitted, unit=panel.state.unit)
        return rider_pdf(rider, page), rider_png(rider, page)

    def shop(self) -> Shop:
        """The shop of the panel; raises BendError where its file cannot be read."""
        if not isinstance(self.panel, OrderPanel | CrossbarPanel) or self.panel.shop is None:
            raise BendError("mend the shop's file first: its tubes are not known")
        return self.panel.shop

    def say_where(self) -> None:
        """Say which order is open, and how far it is."""
        if self.seen is None:
            self.say("choose an order's number, or set the bar by hand")
        else:
            order = self.seen.order
            self.rider.name.value = f"order {order.number} for the rider"
            self.say(f"order {order.number} is open: {order.state}, ordered on {order.ordered}")

    @heard
    def _chosen(self, change: dict) -> None:
        self.seen = None
        if change["new"] == NOTHING:
            self.say_where()
        else:
            self.open(change["new"])

    @guarded
    def _typed(self, change: dict) -> None:
        if not change["new"].strip():
            return
        written = recipe_from_text(change["new"])
        if written.number not in [number for _, number in self.number.options]:
            raise BendError(f"enter order {written.number} first: the order book has none of that number")
        with self.writing():
            self.number.value = written.number
        self.open(written.number)
        order = self.book.order(written.number).order
        if order.way is None or to_hundredths(order.recipe()) != written.recipe:
            self.say("", [f"the sheet is not of the way that order {written.number} has in the book now"])

    @guarded
    def _again(self, _: object) -> None:
        self.offer()
        if self.number.value != NOTHING:
            self.open(self.number.value)
        else:
            self.say_where()

    @settled
    def _keep(self, _: object) -> None:
        if self.seen is None:
            raise BendError("choose an order's number first, or enter this one as a new order: nothing was kept")
        self._write(self.seen.order, self.seen)

    @settled
    def _enter(self, _: object) -> None:
        number = self.book.next_number()
        order = BookedOrder(number, Ordered.order(self.panel.state), date.today().isoformat())
        self.state.value = order.state
        self._write(order, None)
        self.offer()
        with self.writing():
            self.number.value = number

    def _write(self, order: BookedOrder, seen: Booked | None) -> None:
        wanted = self.state.value
        if isinstance(self.panel, OrderPanel):
            order = order_with_way(order, self.panel.state, self.panel.readout)
        as_wanted = wanted if seen is None or wanted != seen.order.state else order.state
        order = replace(order, state=PLANNED if seen is None and order.way is not None else as_wanted)
        self.seen = self.book.add(order) if seen is None else self.book.change(order, seen)
        self.state.value = order.state
        self.say(f"order {order.number} is in the book now: {order.state}")


def by_number(panel: PanelBox, book: OrderBook) -> widgets.VBox:
    """A panel of a notebook with the order's number above it; running its cell again shows the same one."""
    shell = panel.shell
    if not isinstance(shell, FormPanel):
        raise BendError("a panel that opens by an order's number must have an order or a bar in it")
    return kept(ByNumber, (panel, real_path(book.path)), lambda: ByNumber(shell, book))
