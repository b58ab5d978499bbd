"""The rows in which an apprentice guesses before each bend, and reads how good the guess was."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from barmath.bending.holds import LEFT, RIGHT
from barmath.panels.bending_state import NO_ANSWER, BendingReadout, BendingState, question
from barmath.panels.entry import choice_row
from barmath.panels.markup import paragraph
from barmath.panels.shell import message_html


class QuestionRows:
    """What is asked before a bend, and what was answered.

    Parameters
    ----------
    asking : bool
        Whether the questions are asked at first.
    guessed : function of a change
        Called where an answer is chosen.
    """

    def __init__(self, asking: bool, guessed: Callable[[dict], None]) -> None:
        self.asking = widgets.Checkbox(asking, description="Ask me before each bend", indent=False)
        self.question, self.marked = widgets.HTML(), widgets.HTML()
        sides = [("choose", NO_ANSWER), ("left", LEFT), ("right", RIGHT)]
        self.leads, self.leads_row = choice_row("It leads to the", sides, NO_ANSWER, guessed)
        self.shows, self.shows_row = choice_row("It shows", [("choose", NO_ANSWER)], NO_ANSWER, guessed)
        self.widgets = (self.asking, self.question, self.leads_row, self.shows_row, self.marked)

    def show(self, readout: BendingReadout, state: BendingState, *, judged: bool) -> None:
        """Ask what `readout` asks; what was answered is `judged`, or not while a box of the panel is refused."""
        asked = bool(readout.choices)
        for row in (self.leads_row, self.shows_row):
            row.layout.display = None if asked else "none"
        self.question.value = paragraph(question(readout.steps[state.step])) if asked else ""
        leads, shows = state.guesses[state.step]
        choices = [("choose", NO_ANSWER), *((f"{choice} deg", choice) for choice in readout.choices)]
        if tuple(choices) != tuple(self.shows.options):
            self.shows.options = choices
        self.leads.value = leads
        self.shows.value = shows if shows in [value for _, value in choices] else NO_ANSWER
        self.marked.value = _marked_html(readout, state) if judged else ""


def _marked_html(readout: BendingReadout, state: BendingState) -> str:
    said = [
        message_html(verdict.words, "good" if verdict.right else "warn", "Right" if verdict.right else "Not so")
        for verdict in readout.verdicts
    ]
    right, given = readout.score
    if state.asking and given:
        said.append(paragraph(f"So far {right} of {given} right."))
    return f'<div role="status">{"".join(said)}</div>'
