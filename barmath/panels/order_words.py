"""The rows for what an order has in words: its rider, the day it is wanted, and notes."""

from __future__ import annotations

from dataclasses import replace

import ipywidgets as widgets

from barmath.panels.entry import text_row
from barmath.records.bent_bar import checked_text, day_from_text
from barmath.records.booked_order import BookedOrder


class OrderWords:
    """Boxes for rider, day and notes of an order, folded away; they count when the order is kept."""

    def __init__(self) -> None:
        self.rider, rider_row = text_row("Rider", "", _nothing, lambda text: checked_text("rider", text))
        self.wanted, wanted_row = text_row("Wanted on", "", _nothing, _day)
        self.notes, notes_row = text_row("Notes", "", _nothing, lambda text: checked_text("notes", text))
        self.wanted.placeholder = "2026-03-20"
        rows = widgets.VBox([rider_row, wanted_row, notes_row])
        self.box = widgets.Accordion([rows], titles=["Rider, day and notes"], selected_index=None)

    @property
    def parts(self) -> tuple[widgets.Text, ...]:
        """The boxes."""
        return self.rider, self.wanted, self.notes

    def show(self, order: BookedOrder) -> None:
        """Show what the order has."""
        self.rider.value, self.wanted.value, self.notes.value = order.rider, order.wanted or "", order.notes

    def clear(self) -> None:
        """Empty the boxes."""
        self.rider.value = self.wanted.value = self.notes.value = ""

    def put_into(self, order: BookedOrder) -> BookedOrder:
        """The order with what is typed; raises BendError where it cannot be taken."""
        return replace(
            order, rider=self.rider.value.strip(), wanted=_day(self.wanted.value), notes=self.notes.value.strip()
        )


def _day(text: str) -> str | None:
    return day_from_text(text) if text.strip() else None


def _nothing(_: dict) -> None:
    """Nothing is done before the order is kept."""
