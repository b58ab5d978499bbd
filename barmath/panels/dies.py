"""The two panels of the die lesson: windows and the half width, and what the next die costs and brings."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets

from barmath.panels.dies_state import RADII_MM, ChoiceState, WindowsState, choice_readout, windows_readout
from barmath.panels.entry import NumberRow
from barmath.panels.live import LiveFigure
from barmath.panels.markup import bullets
from barmath.panels.shell import Shell, beside, column, guarded, kept, responsive
from barmath.pictures.dies import choice_figure, update_choice_figure, update_windows_figure, windows_figure
from barmath.saving import real_path
from barmath.shop.orders import orders_from_file
from barmath.shop.shop_file import Shop, shop_from_file


class WindowsPanel(Shell):
    """Rise windows of the shop's dies and of one typed in, and what fills the half width."""

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
        self.rows = (self.radius, self.bend, self.rise, self.backsweep, self.width, self.controls)
        for row in self.rows:
            row.observe(self._changed, ["value", "refused"])
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
        self.say(warnings=[row.refused for row in self.rows if row.refused], refusal=readout.refusal)

    @guarded
    def _changed(self, _: dict) -> None:
        self.state = replace(
            self.state,
            radius_mm=self.radius.value,
            bend_deg=self.bend.value,
            rise_mm=self.rise.value,
            backsweep_deg=self.backsweep.value,
            width_mm=self.width.value,
            controls_mm=self.controls.value,
        )
        self.refresh()


class ChoicePanel(Shell):
    """What a die costs the tube, and which of a shop's orders it would make."""

    def __init__(self, shop: Shop, orders_file: str | Path, state: ChoiceState | None = None) -> None:
        super().__init__()
        self.shop = shop
        self.orders = tuple(named.order for named in orders_from_file(orders_file))
        self.state = state or ChoiceState(owned=tuple(die.name for die in shop.dies))
        self.figure = LiveFigure(choice_figure())
        self.radius = NumberRow("Die radius", self.state.radius_mm, float(RADII_MM[0]), float(RADII_MM[-1]), 1.0)
        self.least = NumberRow("Least straight", self.state.least_straight_mm, 0.0, 150.0, 1.0)
        self.boxes = {
            die.name: widgets.Checkbox(die.name in self.state.owned, description=die.name, indent=False)
            for die in shop.dies
        }
        for row in (self.radius, self.least):
            row.observe(self._changed, ["value", "refused"])
        for box in self.boxes.values():
            box.observe(self._changed, "value")
        self.said = widgets.HTML()
        controls = column(
            "The die thought of", self.radius.widget, self.least.widget, "Dies the shop has", *self.boxes.values(),
            self.message,
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
        self.say(warnings=[row.refused for row in (self.radius, self.least) if row.refused], refusal=readout.refusal)

    @guarded
    def _changed(self, _: dict) -> None:
        owned = tuple(name for name, box in self.boxes.items() if box.value)
        self.state = ChoiceState(self.radius.value, self.least.value, owned)
        self.refresh()


def windows_panel(shop_file: str | Path) -> widgets.VBox:
    """The windows panel for a notebook; running its cell again shows the same one."""
    return kept(WindowsPanel, ("windows", real_path(shop_file)), lambda: WindowsPanel(shop_from_file(shop_file)))


def choice_panel(shop_file: str | Path, orders_file: str | Path) -> widgets.VBox:
    """The panel of the next die for a notebook; running its cell again shows the same one."""
    return kept(
        ChoicePanel,
        ("choice", real_path(shop_file), real_path(orders_file)),
        lambda: ChoicePanel(shop_from_file(shop_file), orders_file),
    )
