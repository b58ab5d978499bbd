"""A list of orders, past or wished for, in a small TOML text: one [[order]] table each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from barmath.closed_forms.records import LEAST_UPSWEEP_DEG, MOST_UPSWEEP_DEG, Order
from barmath.lengths import angle_deg
from barmath.shop.toml_reading import TomlReader, text_from_file


@dataclass(frozen=True)
class NamedOrder:
    """An order and what the shop calls it."""

    name: str
    order: Order


def orders_from_file(path: str | Path) -> tuple[NamedOrder, ...]:
    """The orders in the TOML file at `path`.

    Raises
    ------
    BendError
        The file cannot be read, or an order in it cannot be: the message gives the file's name and line.

    Examples
    --------
    >>> from barmath.shop import orders_from_file
    >>> orders_from_file("notebooks/demo/orders.toml")[0].order.width_mm
    710.0
    """
    path = Path(path)
    return orders_from_toml(text_from_file(path), path.name)


def orders_from_toml(text: str, source: str = "orders file") -> tuple[NamedOrder, ...]:
    r"""The orders of a TOML text; `source` names it in refusals.

    Parameters
    ----------
    text : str
    source : str
        What a refusal calls the text.

    Raises
    ------
    BendError
        The text is no TOML, or an order in it cannot be: the message gives the line.

    Examples
    --------
    >>> from barmath.shop import orders_from_toml
    >>> text = '[[order]]\nname = "order 1"\nrise = "60 mm"\nbacksweep = 9\nwidth = "760 mm"'
    >>> orders_from_toml(text)[0].order.rise_mm
    60.0
    """
    return _OrdersReader(text, source).orders()


class _OrdersReader(TomlReader):
    def orders(self) -> tuple[NamedOrder, ...]:
        self.known(self.parsed, "", 0, {"order"})
        return tuple(self.order(table, place) for place, table in enumerate(self.tables(self.parsed, "order")))

    def order(self, table: Mapping, place: int) -> NamedOrder:
        lengths = {"rise", "width", "clamp_flat", "controls"}
        angles = {"backsweep", "upsweep", "least_upsweep", "most_upsweep"}
        self.known(table, "order", place, {"name", *lengths, *angles})
        name = self.words(table, "order", place, "name")
        rise, width = (self.length(table, "order", place, key) for key in ("rise", "width"))
        flat, controls = (
            self.length(table, "order", place, "clamp_flat", 50.0),
            self.length(table, "order", place, "controls", 200.0),
        )
        backsweep = self.angle(table, place, "backsweep")
        upsweep = self.angle(table, place, "upsweep") if "upsweep" in table else None
        accepted = [
            self.angle(table, place, key) if key in table else usual
            for key, usual in (("least_upsweep", LEAST_UPSWEEP_DEG), ("most_upsweep", MOST_UPSWEEP_DEG))
        ]
        order = self.made("order", place, "", lambda: Order(rise, backsweep, width, upsweep, flat, controls, *accepted))
        return NamedOrder(name, order)

    def angle(self, table: Mapping, place: int, key: str) -> float:
        value = self.needed(table, "order", place, key)
        angle = self.made("order", place, key, lambda: angle_deg(value, name=key))  # type: ignore[arg-type]
        self.ask("order", place, key, angle, value)
        return angle
