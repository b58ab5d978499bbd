"""The rows of the record's panel in which a bar is entered, or an entry is fetched to correct it."""

from __future__ import annotations

import datetime
from collections.abc import Callable

import ipywidgets as widgets

from barmath.checking.bench_readings import KINDS
from barmath.panels.entry import TypedRow, button, labelled_row
from barmath.panels.fetched import READ
from barmath.panels.form import Joined
from barmath.panels.record_boxes import SETTINGS, TEXTS, check_typed, entry_number
from barmath.panels.record_state import RecordState

Pressed = Callable[[object], None]


class BarEntry:
    """The boxes of a bar, and the number of the entry that it corrects.

    Parameters
    ----------
    state : RecordState
        Shown at first; where it has no date, today's.
    unit : function
        Gives the unit of lengths that are typed without one.
    fill, fetch, withdraw : functions of a button
        What the buttons do.

    Attributes
    ----------
    typed : Joined
        What is typed, by the name of the box.
    number : TypedRow
        The number of the entry.
    """

    def __init__(
        self, state: RecordState, unit: Callable[[], str], fill: Pressed, fetch: Pressed, withdraw: Pressed
    ) -> None:
        self._unit = unit
        self.boxes: dict[str, widgets.Text] = {}
        typed = {"date": datetime.date.today().isoformat()} | state.typed
        readings = ((READ + kind.key, f"Read: {kind.name.lower()}") for kind in KINDS)
        fields = [*TEXTS[:3], *SETTINGS, *readings, *TEXTS[3:]]  # as a bar comes about
        entries = [self._box(key, words, typed.get(key, "")) for key, words in fields]
        self.filled = button("Fill in the settings of the formulas", fill)
        self.corrects = widgets.Text(state.corrects, continuous_update=False, layout=widgets.Layout(width="96px"))
        self.fetched, self.withdrawn = button("Fetch it", fetch), button("Withdraw it", withdraw)
        label = "Corrects entry no."
        row = labelled_row(label, self.corrects, self.fetched, self.withdrawn, label_width="150px")
        self.number = TypedRow(label, row, self.corrects, entry_number)
        rows = [entry.row for entry in entries]
        shown = widgets.VBox([*rows[:3], self.filled, *rows[3:], row])
        self.box = widgets.Accordion([shown], titles=["Enter a bar"], selected_index=None)
        keys = tuple(self.boxes)
        self.typed = Joined(
            entries,
            lambda texts: dict(zip(keys, texts, strict=True)),
            lambda typed: [typed.get(key, "") for key in keys],
        )

    def _box(self, key: str, words: str, text: str) -> TypedRow:
        box = widgets.Text(text, continuous_update=False, layout=widgets.Layout(flex="1 1 96px", min_width="80px"))
        self.boxes[key] = box
        row = labelled_row(words, box, label_width="150px")
        return TypedRow(words, row, box, lambda text: check_typed(key, text, self._unit()))
