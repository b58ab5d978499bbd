"""The rows of a panel in which the bar it is about is set: what was ordered, and what it is made with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any

import ipywidgets as widgets

from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.ordered_bar_state import UPSWEEP_WORDS, Ordered, OrderedBar
from barmath.planning.ways import ORDERED
from barmath.shop.shop_file import Shop


class OrderRows:
    """Rise, sweeps, width, clamp flat and room for controls of one order.

    Parameters
    ----------
    ordered : Ordered
        Shown at first.
    changed : function of a change
        Called at each change, a refused entry included.
    controls : bool
        Whether the room for controls is asked for.
    """

    def __init__(self, ordered: Ordered, changed: Callable[[dict], None], *, controls: bool = True) -> None:
        self.rise = NumberRow("Rise", ordered.rise_mm, 5.0, 200.0, 1.0)
        self.backsweep = NumberRow("Backsweep", ordered.backsweep_deg, -10.0, 45.0, 0.5, length=False)
        self.width = NumberRow("Width", ordered.width_mm, 350.0, 1000.0, 5.0)
        kinds = [(words, kind) for kind, words in UPSWEEP_WORDS.items()]
        self.upsweep_kind, upsweep_row = choice_row("Upsweep", kinds, ordered.upsweep, changed)
        self.upsweep = NumberRow("Upsweep ordered", ordered.upsweep_deg, -10.0, 20.0, 0.5, length=False)
        self.clamp_flat = NumberRow("Clamp flat", ordered.clamp_flat_mm, 20.0, 120.0, 1.0)
        self.controls = NumberRow("Room for controls", ordered.controls_mm, 0.0, 300.0, 5.0)
        self.parts: dict[str, Any] = {
            "rise_mm": self.rise, "backsweep_deg": self.backsweep, "width_mm": self.width,
            "upsweep": self.upsweep_kind, "upsweep_deg": self.upsweep, "clamp_flat_mm": self.clamp_flat,
            "controls_mm": self.controls,
        }  # fmt: skip
        for row in self.numbers:
            row.observe(changed, ["value", "refused"])
        room = (self.controls.widget,) if controls else ()
        self.widgets: tuple[widgets.Widget, ...] = (
            self.rise.widget, self.backsweep.widget, self.width.widget, upsweep_row, self.upsweep.widget,
            self.clamp_flat.widget, *room,
        )  # fmt: skip
        self.show_in("mm")

    @property
    def numbers(self) -> tuple[NumberRow, ...]:
        """Every row that takes a number."""
        return tuple(part for part in self.parts.values() if isinstance(part, NumberRow))

    def values(self) -> dict[str, Any]:
        """What is set, by the field of the state that holds it."""
        return {name: part.value for name, part in self.parts.items()}

    def show_in(self, unit: str) -> None:
        """Show and take lengths in `unit`, and grey out an upsweep that does not count."""
        self.upsweep.set_enabled(self.upsweep_kind.value == ORDERED)
        for row in self.numbers:
            row.unit = unit

    def refused(self) -> list[str]:
        """Why what was typed was not taken, for each row where it was not."""
        return [row.refused for row in self.numbers if row.refused]


class OrderedBarRows(OrderRows):
    """The rows of an order, and the tube, die and bend of the bar that is made of it.

    Parameters
    ----------
    shop : Shop
    bar : OrderedBar
        Shown at first.
    changed, controls : see `OrderRows`
    """

    def __init__(self, shop: Shop, bar: OrderedBar, changed: Callable[[dict], None], *, controls: bool = False) -> None:
        super().__init__(bar, changed, controls=controls)
        tubes, dies = ([thing.name for thing in things] for things in (shop.tubes, shop.dies))
        self.tube, tube_row = choice_row("Tube", tubes, bar.tube or tubes[0], changed)
        self.die, die_row = choice_row("Die", dies, bar.die or dies[0], changed)
        self.bend = NumberRow("Bends of", bar.bend_deg, 10.0, 60.0, 0.5, length=False)
        self.bend.observe(changed, ["value", "refused"])
        self.parts |= {"bend_deg": self.bend, "tube": self.tube, "die": self.die}
        self.widgets = (*self.widgets, tube_row, die_row, self.bend.widget)

    def read(self, unit: str = "mm") -> OrderedBar:
        """The bar as it is set; from now on lengths are shown and typed in `unit`."""
        self.show_in(unit)
        return OrderedBar(**self.values())

    def show(self, bar: OrderedBar) -> None:
        """Set every row to `bar`; its tube and die must be the shop's, or empty for the first."""
        for field in fields(bar):
            part, value = self.parts[field.name], getattr(bar, field.name)
            part.value = part.options[0] if value == "" else value
        self.show_in(self.rise.unit)
