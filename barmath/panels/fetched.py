"""An entry of the record that is being corrected: what nobody touched keeps its value to the last bit.

The panel shows rounded texts, and the tubes and dies of today. So what is shown is remembered beside the entry. A value
is read from the panel only if the text is another one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from barmath.closed_forms.records import Order
from barmath.panels.ordered_bar_state import Ordered, OrderedBar
from barmath.records.bent_bar import BentBar

READ = "read "
"""Before the key of a reading, what its box is called."""


@dataclass(frozen=True)
class Fetched:
    """The `bar` of entry `number`, and how the panel showed it: the texts, and the order with its tools."""

    number: int
    bar: BentBar
    typed: Mapping[str, str]
    ordered: OrderedBar

    def untouched(self, typed: Mapping[str, str]) -> dict[str, Any]:
        """The values with texts that are still as they were shown, by the names of their boxes."""
        keys = [key for key, text in typed.items() if text.strip() == self.typed.get(key, "").strip()]
        return {key: self._value(key) for key in keys}

    def order(self, ordered: Ordered) -> Order:
        """The order of the bar with what was changed in the panel."""
        made, shown = ordered.order(), self.ordered.order()
        names = [field.name for field in fields(made)]
        touched = {name: getattr(made, name) for name in names if getattr(made, name) != getattr(shown, name)}
        return replace(self.bar.order, **touched)

    def tools(self, ordered: OrderedBar) -> dict[str, Any]:
        """The fields that say with what the bar was made, where tube or die were not changed in the panel."""
        kept = []
        if ordered.tube == self.ordered.tube:
            kept += ["tube", "tube_diameter_mm", "tube_wall_mm"]
        if ordered.die == self.ordered.die:
            kept += ["die", "die_radius_mm"]
        return {name: getattr(self.bar, name) for name in kept}

    def _value(self, key: str) -> Any:
        return self.bar.readings.get(key.removeprefix(READ)) if key.startswith(READ) else getattr(self.bar, key)
