"""The two panels of the die lesson: windows and the half width, and what the next die costs and brings."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

import ipywidgets as widgets

from barmath.closed_forms.records import Order
from barmath.panels.dies_state import RADII_MM, ChoiceState, WindowsState, choice_readout, windows_readout
from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import FormPanel, Joined
from barmath.panels.live import LiveFigure
from barmath.panels.markup import bullets
from barmath.panels.shell import beside, column, kept, responsive
from barmath.pictures.dies import choice_figure, update_choice_figure, update_windows_figure, windows_figure
from barmath.records.order_book import OrderBook
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.orders import orders_from_file
from barmath.shop.shop_file import Shop, shop_from_file


class WindowsPanel(FormPanel):
    """Rise windows of the shop's dies and of one typed in, and what fills the half width."""

    state: WindowsState

    def __init__(self, shop: Shop, state: WindowsState | None = None) -> None:
        super().__init__()
        self.shop, self.state = shop, state or WindowsState()
        self.figure = LiveFigure(windows_figure())
        s = self.state
        self.radius = NumberRow("Die radius", s.radius_mm, 12.0, 250.0, 1.0)
        self.bend = NumberRow("Bend", s.bend_deg, 5.0, 60.0, 0.5, length=False)
        self.rise = NumberRow("Rise", s.rise_mm, 20.0, 180.0, 1.0)
        self.backsweep = NumberRow("Backsweep", s.backsweep_deg, 0.0, 30.0, 0.5, length=False)
        self.width = NumberRow("Width", s.width_mm, 350.0, 1000.0, 5.0)
        self.controls = NumberRow("Room for controls", s.controls_mm, 0.0, 300.0, 5.0)
        self.bind(
            radius_mm=self.radius, bend_deg=self.bend, rise_mm=self.rise, backsweep_deg=self.backsweep,
            width_mm=self.width, controls_mm=self.controls,
        )  # fmt: skip
        self.said = widgets.HTML()
        controls = column(
            "The die tried, and the bend", self.radius.widget, self.bend.widget, "The order", self.rise.widget,
            self.backsweep.widget, self.width.widget, self.controls.widget, self.message,
        )  # fmt: skip
        self.fill(beside(controls, responsive(self.figure), self.said))
        self.refresh()

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = windows_readout(self.shop, self.state)
        if not readout.refusal:
            with self.figure.batch_update():
                update_windows_figure(
                    self.figure, readout.curves, readout.typed, self.state.rise_mm, self.state.bend_deg,
                    readout.halves, readout.controls_begin_mm,
                )  # fmt: skip
        self.said.value = bullets(readout.sentences)
        self.say(refusal=readout.refusal)


class ChoicePanel(FormPanel):
    """What a die costs the tube, and which of a shop's orders it would make.

    Parameters
    ----------
    shop : Shop
    orders : str, Path or OrderBook
        A file of orders, or the book that the shop keeps.
    state : ChoiceState, optional
    """

    state: ChoiceState

    def __init__(self, shop: Shop, orders: str | Path | OrderBook, state: ChoiceState | None = None) -> None:
        super().__init__()
        self.shop = shop
        self.orders = _wishes(orders)
        self.state = state or ChoiceState(owned=tuple(die.name for die in shop.dies))
        self.figure = LiveFigure(choice_figure())
        self.radius = NumberRow("Die radius", self.state.radius_mm, float(RADII_MM[0]), float(RADII_MM[-1]), 1.0)
        self.least = NumberRow("Least straight", self.state.least_straight_mm, 0.0, 150.0, 1.0)
        self.boxes = {
            die.name: widgets.Checkbox(die.name in self.state.owned, description=die.name, indent=False)
            for die in shop.dies
        }
        names = tuple(self.boxes)
        owned = Joined(
            list(self.boxes.values()),
            lambda ticked: tuple(name for name, tick in zip(names, ticked, strict=True) if tick),
            lambda owned: [name in owned for name in names],
        )
        stops = [("one for all four bends", False), ("one for inner, one for outer", True)]
        self.stops, stops_row = choice_row("Stop settings", stops, self.state.two_stops)
        self.bind(radius_mm=self.radius, least_straight_mm=self.least, owned=owned, two_stops=self.stops)
        self.said = widgets.HTML()
        controls = column(
            "The die to try", self.radius.widget, self.least.widget, stops_row, "Dies the shop has",
            *self.boxes.values(), self.message,
        )  # fmt: skip
        self.fill(beside(controls, responsive(self.figure), self.said))
        self.refresh()

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = choice_readout(self.shop, self.orders, self.state)
        tube = self.shop.tubes[0]
        if readout.choice is not None:
            with self.figure.batch_update():
                update_choice_figure(
                    self.figure, RADII_MM, readout.forming, float(tube.outside_diameter_mm),
                    tube.material.elongation_percent, readout.choice, readout.owned, self.state.radius_mm,
                )  # fmt: skip
        self.said.value = bullets(readout.sentences)
        self.say(refusal=readout.refusal)


def windows_panel(shop_file: str | Path) -> widgets.VBox:
    """The windows panel for a notebook; running its cell again shows the same one."""
    return kept(WindowsPanel, ("windows", real_path(shop_file)), lambda: WindowsPanel(shop_from_file(shop_file)))


def choice_panel(shop_file: str | Path, orders: str | Path | OrderBook) -> widgets.VBox:
    """The panel of the next die for a notebook; running its cell again shows the same one while the orders are."""
    key = (real_path(shop_file), _wishes(orders) if isinstance(orders, OrderBook) else real_path(orders))
    return kept(ChoicePanel, ("choice", *key), lambda: ChoicePanel(shop_from_file(shop_file), orders))


def _wishes(orders: str | Path | OrderBook) -> tuple[Order, ...]:
    # a file is read again, and a book without those of its orders that cannot be read
    if not isinstance(orders, OrderBook):
        return tuple(named.order for named in orders_from_file(orders))
    found = []
    for row in orders.orders():
        with suppress(BendError):
            found.append(row.order.wish)
    return tuple(found)
