"""The rows in which the sequence of the bends is set: every sequence as a list to pick from, or a plan bend by bend."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from barmath.bending.holds import BENDS, LEFT, RIGHT, Hold, bend_name
from barmath.panels.bending_state import SEQUENCE_HEADS, SEQUENCE_KEY, BendingReadout, sequence_row
from barmath.panels.entry import choice_row
from barmath.panels.form import Joined
from barmath.panels.pick_rows import Row
from barmath.panels.pick_table import PickTable

SEQUENCES_TITLE = "All sequences; straight left over and room at the arms, in mm"

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
        self.sequences = PickTable(SEQUENCE_HEADS, "the best first", high_px=276, title=SEQUENCES_TITLE)
        self.sequences.observe(picked, "value")
        self.sequences_box = widgets.VBox([self.sequences, widgets.HTML(f"<p>{SEQUENCE_KEY}</p>")])
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
        own = Row(NO_ROW, ("your own plan", *[None] * (len(SEQUENCE_HEADS) - 1)), (None,) * len(SEQUENCE_HEADS))
        picked = [k for k, sequence in enumerate(readout.sequences) if sequence.holds == holds]
        rows = [own, *(sequence_row(k, one) for k, one in enumerate(readout.sequences))]
        self.sequences.show(rows, picked[0] if picked else NO_ROW)
        self.holds.value = holds


def _holds(values: list) -> tuple[Hold, ...]:
    half = len(values) // 2
    return tuple(Hold(bend, hook) for bend, hook in zip(values[:half], values[half:], strict=True))


def _values(holds: tuple[Hold, ...]) -> list:
    return [*(hold.number for hold in holds), *(hold.hooked for hold in holds)]
