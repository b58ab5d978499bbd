"""The panel of the week: choose orders of the book, see what to bend, cut and buy, and print it all at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import ipywidgets as widgets

from barmath.panels.entry import button, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import beside, column, kept, settled, wide
from barmath.panels.week_state import (
    WeekState,
    choose_best_ways,
    keep_week,
    last_week,
    left_out_warning,
    names_html,
    open_orders,
    order_label,
    renew_ways,
    week_html,
    week_of,
)
from barmath.paper.week_sequence import BY_DAY, FEWEST, late_words
from barmath.records.drafts import Drafts
from barmath.records.order_book import OrderBook
from barmath.refusal import counted
from barmath.saving import real_path
from barmath.shop.cautions import BENDING
from barmath.shop.shop_file import Shop, shop_from_file


class WeekPanel(FormPanel):
    """The week of one shop.

    Parameters
    ----------
    shop : Shop
    book : OrderBook
    sheets_folder : str or Path
        Where the PDF is written.
    state : WeekState, optional
        What was set last where none is given: each choice is kept beside the record at once.
    shop_file : str or Path, optional
        Where the shop is read from again.
    """

    state: WeekState

    cautions = BENDING

    refused, fits = "Not done", "Done"

    def __init__(
        self, shop: Shop, book: OrderBook, sheets_folder: str | Path = "sheets", state: WeekState | None = None,
        *, shop_file: str | Path | None = None,
    ) -> None:  # fmt: skip
        super().__init__()
        self.shop, self.book, self.drafts, self.shop_file = shop, book, Drafts(book.path), shop_file
        self.state = state or last_week(self.drafts)
        self.orders = widgets.SelectMultiple(rows=12, layout=widgets.Layout(width="calc(100% - 4px)"))
        named = widgets.HTML('<h4><span class="barmath-label">Orders to bend</span></h4>')
        listed = widgets.VBox([named, self.orders])
        for mark in ("barmath-ways", "barmath-row"):  # the row names the list for a screen reader
            listed.add_class(mark)
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], self.state.unit)
        offered = [("by the day wanted", BY_DAY), ("fewest changes of die and stops", FEWEST)]
        self.by, by_row = choice_row("Sequence", offered, self.state.by)
        self.names = widgets.HTML()
        self.every = button("Choose all orders", self._every)
        self.best = button("Keep the best way of each that has none", self._best)
        self.renew = button("Keep each old way again by the springback of today", self._renew)
        self.again = button("Read the order book and the shop's file again", self._again)
        self.shown = widgets.HTML()
        self.sheet = SheetWriter(sheets_folder, self._made, "the week", "the week", named=False)
        self.bind(numbers=self.orders, unit=self.unit, by=self.by)
        left = column(
            listed, self.names, self.every, self.best, self.renew, self.again, by_row, unit_row, self.sheet.box
        )
        self.fill(beside(left, wide(self.message, self.shown)))
        self.refresh()
        self.followers = (lambda _: keep_week(self.drafts, self.state),)

    def refresh(self, faults: Mapping[int, str] = MappingProxyType({})) -> None:
        """Work the week out again and show it; `faults` say why an order has no way."""
        self._offer()
        orders, unread = open_orders(self.book)
        self.week = week_of(self.shop, orders, self.state, faults)
        self.shown.value = week_html(self.week, self.state.unit)
        self.names.value = names_html(orders)
        self._left = (*left_out_warning(self.week, len(self.orders.value)), *late_words(self.week.bars))
        self.say("", [*unread, *self._left])

    def _offer(self) -> None:
        with self.writing():
            orders, _ = open_orders(self.book)
            options = [(order_label(order, self.state.unit), order.number) for order in orders]
            known = {number for _, number in options}
            if tuple(options) != tuple(self.orders.options):
                self.orders.options = options
            self.orders.value = tuple(number for number in self.state.numbers if number in known)

    @settled
    def _every(self, _: object) -> None:
        self._offer()
        self.become(replace(self.read(), numbers=tuple(number for _, number in self.orders.options)))

    @settled
    def _best(self, _: object) -> None:
        count, faults = choose_best_ways(self.shop, self.book, self.state.numbers)
        self.refresh(faults)
        self.say(f"the order book has {counted(count, 'way')} more now", self._left)

    @settled
    def _renew(self, _: object) -> None:
        count, faults = renew_ways(self.shop, self.book, self.state.numbers)
        self.refresh(faults)
        self.say(f"{counted(count, 'way')} kept again by the springback of today", self._left)

    @settled
    def _again(self, _: object) -> None:
        if self.shop_file is not None:  # a die may be calibrated since
            self.shop = shop_from_file(self.shop_file)
        self._offer()
        self.become(self.read())

    def _made(self, _: str, size: str) -> tuple[bytes, bytes]:
        from barmath.paper.week import week_pdf, week_png  # Matplotlib, only when the week is printed

        return week_pdf(self.week, size, self.state.unit), week_png(self.week, size, self.state.unit)


def week_panel(shop_file: str | Path, book: OrderBook, sheets_folder: str | Path = "sheets") -> widgets.VBox:
    """The panel of the week for a notebook; running its cell again shows the same one."""
    key = real_path(shop_file), real_path(book.path), real_path(sheets_folder)
    return kept(WeekPanel, key, lambda: WeekPanel(shop_from_file(shop_file), book, sheets_folder, shop_file=shop_file))
