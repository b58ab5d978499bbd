"""The rows of a panel in which the bar it is about is set: what was ordered, and what it is made with."""

from __future__ import annotations

from typing import Any, ClassVar

import ipywidgets as widgets

from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import Form, Joined, Named
from barmath.panels.ordered_bar_state import ONE_STOP, UPSWEEP_WORDS, Ordered, OrderedBar
from barmath.planning.ways import ORDERED
from barmath.shop.shop_file import Shop


class OrderRows(Form):
    """Rise, sweeps, width, clamp flat and room for controls of one order.

    Parameters
    ----------
    ordered : Ordered
        Shown at first.
    controls : bool
        Whether the room for controls is asked for.
    """

    state: ClassVar[type] = Ordered

    def __init__(self, ordered: Ordered, *, controls: bool = True) -> None:
        self.rise = NumberRow("Rise", ordered.rise_mm, 5.0, 200.0, 1.0)
        self.backsweep = NumberRow("Backsweep", ordered.backsweep_deg, -10.0, 45.0, 0.5, length=False)
        self.width = NumberRow("Width", ordered.width_mm, 350.0, 1000.0, 5.0)
        kinds = [(words, kind) for kind, words in UPSWEEP_WORDS.items()]
        self.upsweep_kind, upsweep_row = choice_row("Upsweep", kinds, ordered.upsweep)
        self.upsweep = NumberRow("Upsweep ordered", ordered.upsweep_deg, -10.0, 20.0, 0.5, length=False)
        self.clamp_flat = NumberRow("Clamp flat", ordered.clamp_flat_mm, 20.0, 120.0, 1.0)
        self.controls = NumberRow("Room for controls", ordered.controls_mm, 0.0, 300.0, 5.0)
        super().__init__(
            rise_mm=self.rise, backsweep_deg=self.backsweep, width_mm=self.width, upsweep=self.upsweep_kind,
            upsweep_deg=self.upsweep, clamp_flat_mm=self.clamp_flat, controls_mm=self.controls,
        )  # fmt: skip
        self.upsweep_kind.observe(self._upsweep_chosen, "value")
        self._upsweep_chosen()
        room = (self.controls.widget,) if controls else ()
        self.widgets: tuple[widgets.Widget, ...] = (
            self.rise.widget, self.backsweep.widget, self.width.widget, upsweep_row, self.upsweep.widget,
            self.clamp_flat.widget, *room,
        )  # fmt: skip

    def _upsweep_chosen(self, _: dict | None = None) -> None:
        self.upsweep.set_enabled(self.upsweep_kind.value == ORDERED)


SAME, OWN = ONE_STOP, "two, one of them for the outer bends"


class OuterBend(Joined):
    """The rows in which the outer bends are set: the same as the inner ones (None), or an angle of their own.

    Parameters
    ----------
    outer_deg : number or None
        Shown at first.
    offered_deg : number
        Shown, and greyed out, while the outer bends are the same as the inner ones.
    """

    def __init__(self, outer_deg: float | None, offered_deg: float) -> None:
        self.kind, kind_row = choice_row("Stop settings", [SAME, OWN], SAME if outer_deg is None else OWN)
        self.number = NumberRow(
            "Outer bends", offered_deg if outer_deg is None else outer_deg, 10.0, 60.0, 0.5, length=False
        )
        super().__init__([self.kind, self.number], self._read, self._shown)
        self.kind.observe(self._chosen, "value")
        self._chosen()
        self.widgets: tuple[widgets.Widget, ...] = (kind_row, self.number.widget)

    def _read(self, values: list) -> float | None:
        return values[1] if values[0] == OWN else None

    def _shown(self, outer_deg: float | None) -> tuple[str, float]:
        return (SAME, self.number.value) if outer_deg is None else (OWN, outer_deg)

    def _chosen(self, _: dict | None = None) -> None:
        self.number.set_enabled(self.kind.value == OWN)


class OrderedBarRows(OrderRows):
    """The rows of an order, and the tube, die and bend of the bar that is made of it.

    Parameters
    ----------
    shop : Shop
    bar : OrderedBar
        Shown at first. A tube or a die that the shop lacks is shown as such.
    controls : see `OrderRows`
    """

    state: ClassVar[type] = OrderedBar

    def __init__(self, shop: Shop, bar: OrderedBar, *, controls: bool = False) -> None:
        super().__init__(bar, controls=controls)
        tubes, dies = ([thing.name for thing in things] for things in (shop.tubes, shop.dies))
        self.tube, tube_row = choice_row("Tube", tubes, tubes[0])
        self.die, die_row = choice_row("Die", dies, dies[0])
        tube, die = Named(self.tube, tubes), Named(self.die, dies)
        tube.value, die.value = bar.tube, bar.die
        self.bend = NumberRow("Inner bends", bar.bend_deg, 10.0, 60.0, 0.5, length=False)
        self.outer_bend = OuterBend(bar.outer_bend_deg, bar.bend_deg)
        self.parts |= {
            "bend_deg": self.bend, "outer_bend_deg": self.outer_bend,
            "tube": tube, "die": die,
        }  # fmt: skip
        self.widgets = (*self.widgets, tube_row, die_row, self.bend.widget, *self.outer_bend.widgets)
        self._shown = bar

    def values(self) -> dict[str, Any]:
        """What is set. A bar that is bent keeps its radius and stop, until a row is changed."""
        found = super().values()
        same = all(getattr(self._shown, name) == value for name, value in found.items())
        bar = self._shown if same else self._shown.to_bend()
        return found | {"radius_mm": bar.radius_mm, "stop_deg": bar.stop_deg}

    def show(self, state: Any) -> None:
        """Set every row to `state`."""
        self._shown = state
        super().show(state)
