"""The rows of a panel in which the bar it is about is set: what was ordered, and what it is made with."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.ordered_bar_state import UPSWEEP_WORDS, OrderedBar
from barmath.shop import Shop
from barmath.ways import ORDERED


class OrderedBarRows:
    """Rise, sweeps, width, clamp flat, tube, die and bend of one bar.

    Parameters
    ----------
    shop : Shop
    bar : OrderedBar
        Shown at first.
    changed : function of a change
        Called at each change, a refused entry included.
    controls : bool
        Whether the room for controls is asked for.
    """

    def __init__(self, shop: Shop, bar: OrderedBar, changed: Callable[[dict], None], *, controls: bool = False) -> None:
        self.rise = NumberRow("Rise", bar.rise_mm, 5.0, 200.0, 1.0)
        self.backsweep = NumberRow("Backsweep", bar.backsweep_deg, -10.0, 45.0, 0.5, length=False)
        self.width = NumberRow("Width", bar.width_mm, 350.0, 1000.0, 5.0)
        kinds = [(words, kind) for kind, words in UPSWEEP_WORDS.items()]
        self.upsweep_kind, upsweep_row = choice_row("Upsweep", kinds, bar.upsweep, changed)
        self.upsweep = NumberRow("Upsweep ordered", bar.upsweep_deg, -10.0, 20.0, 0.5, length=False)
        self.clamp_flat = NumberRow("Clamp flat", bar.clamp_flat_mm, 20.0, 120.0, 1.0)
        self.controls = NumberRow("Room for controls", bar.controls_mm, 0.0, 300.0, 5.0)
        tubes, dies = ([thing.name for thing in things] for things in (shop.tubes, shop.dies))
        self.tube, tube_row = choice_row("Tube", tubes, bar.tube or tubes[0], changed)
        self.die, die_row = choice_row("Die", dies, bar.die or dies[0], changed)
        self.bend = NumberRow("Bends of", bar.bend_deg, 10.0, 60.0, 0.5, length=False)
        self.numbers = (self.rise, self.backsweep, self.width, self.upsweep, self.clamp_flat, self.controls, self.bend)
        self._show_what_counts()
        for row in self.numbers:
            row.observe(changed, ["value", "refused"])
        room = (self.controls.widget,) if controls else ()
        self.widgets: tuple[widgets.Widget, ...] = (
            self.rise.widget, self.backsweep.widget, self.width.widget, upsweep_row, self.upsweep.widget,
            self.clamp_flat.widget, *room, tube_row, die_row, self.bend.widget,
        )  # fmt: skip

    def read(self, unit: str = "mm") -> OrderedBar:
        """The bar as it is set; from now on lengths are shown and typed in `unit`."""
        self._show_what_counts()
        for row in self.numbers:
            row.unit = unit
        return OrderedBar(
            self.rise.value, self.backsweep.value, self.width.value, self.upsweep_kind.value, self.upsweep.value,
            self.clamp_flat.value, self.controls.value, self.bend.value, self.tube.value, self.die.value,
        )  # fmt: skip

    def show(self, bar: OrderedBar) -> None:
        """Set every row to `bar`; its tube and die must be the shop's."""
        values = (bar.rise_mm, bar.backsweep_deg, bar.width_mm, bar.upsweep_deg, bar.clamp_flat_mm, bar.controls_mm,
                  bar.bend_deg)  # fmt: skip
        for row, value in zip(self.numbers, values, strict=True):
            row.value = value
        self.upsweep_kind.value = bar.upsweep
        self.tube.value, self.die.value = bar.tube or self.tube.options[0], bar.die or self.die.options[0]
        self._show_what_counts()

    def refused(self) -> list[str]:
        """Why what was typed was not taken, for each row where it was not."""
        return [row.refused for row in self.numbers if row.refused]

    def _show_what_counts(self) -> None:
        self.upsweep.set_enabled(self.upsweep_kind.value == ORDERED)
