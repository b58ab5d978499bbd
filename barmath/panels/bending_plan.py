"""The rows in which the sequence of the bends is set: every sequence as a list to pick from, or a plan bend by bend."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from barmath.bending.holds import BENDS, LEFT, RIGHT, Hold, bend_name
from barmath.panels.bending_state import SEQUENCE_HEAD, SEQUENCE_KEY, BendingReadout, sequence_label
from barmath.panels.entry import choice_row
from barmath.panels.form import Joined

NO_ROW = -1
"""Is picked in the list where the plan is none of its sequences."""


class PlanRows:
    """The list of all sequences, and the rows of a plan.

    Parameters
    ----------
    holds : tuple of Hold
        Shown at first.
    picked : function of a change
        Called where a sequence of the list is picked.

    Attributes
    ----------
    holds : Joined
        The plan that the rows show.
    """

    def __init__(self, holds: tuple[Hold, ...], picked: Callable[[dict], None]) -> None:
        self.sequences = widgets.Select(options=[], rows=7, layout=widgets.Layout(width="100%"))
        self.sequences.observe(picked, "value")
        title = '<h4><span class="barmath-label">All sequences, the best first</span></h4>'
        head = widgets.HTML(f'{title}<p>{SEQUENCE_KEY}</p><pre class="barmath-head">{SEQUENCE_HEAD}</pre>')
        self.sequences_box = widgets.VBox([head, self.sequences])
        for mark in ("barmath-ways", "barmath-row"):
            self.sequences_box.add_class(mark)
        self.bends, self.hooks, self.widgets = [], [], []
        names = [(bend_name(number), number) for number in range(len(BENDS))]
        for step, hold in enumerate(holds, 1):
            chooser, row = choice_row(f"Bend {step}", names, hold.number)
            hook = widgets.Dropdown(
                options=[("left in hook", LEFT), ("right in hook", RIGHT)],
                value=hold.hooked,
                layout=widgets.Layout(flex="1 1 120px", min_width="100px"),
            )
            row.children = (*row.children, hook)
            self.bends.append(chooser)
            self.hooks.append(hook)
            self.widgets.append(row)
        self.holds = Joined([*self.bends, *self.hooks], _holds, _values)

    def show(self, readout: BendingReadout, holds: tuple[Hold, ...]) -> None:
        """Offer the sequences of `readout`, and pick `holds`."""
        options = [("your own plan", NO_ROW)] + [(sequence_label(one), k) for k, one in enumerate(readout.sequences)]
        if tuple(options) != tuple(self.sequences.options):
            self.sequences.options = options
        picked = [k for k, sequence in enumerate(readout.sequences) if sequence.holds == holds]
        self.sequences.value = picked[0] if picked else NO_ROW
        self.holds.value = holds


def _holds(values: list) -> tuple[Hold, ...]:
    half = len(values) // 2
    return tuple(Hold(bend, hook) for bend, hook in zip(values[:half], values[half:], strict=True))


def _values(holds: tuple[Hold, ...]) -> list:
    return [*(hold.number for hold in holds), *(hold.hooked for hold in holds)]
