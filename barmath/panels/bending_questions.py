"""The rows in which an apprentice answers before each bend, and reads how good the answer was."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from barmath.bending.holds import LEFT, RIGHT
from barmath.panels.bending_asked_state import NO_ANSWER, question
from barmath.panels.bending_state import BendingReadout, BendingState
from barmath.panels.entry import button, choice_row
from barmath.panels.markup import paragraph
from barmath.panels.shell import message_html


class QuestionRows:
    """What is asked before a bend, and what was answered.

    Parameters
    ----------
    asking : bool
        Whether the questions are asked at first.
    answered : function
        Called where an answer is given.
    asked_to_show : function
        Called where the right answer is asked for.
    """

    def __init__(
        self, asking: bool, answered: Callable[[object], None], asked_to_show: Callable[[object], None]
    ) -> None:
        self.asking = widgets.Checkbox(asking, description="Ask me before each bend", indent=False)
        self.question, self.marked = widgets.HTML(), widgets.HTML()
        sides = [("choose", NO_ANSWER), ("left", LEFT), ("right", RIGHT)]
        self.leads, self.leads_row = choice_row("Flat leads to the", sides, NO_ANSWER)
        self.shows, self.shows_row = choice_row("Finder shows", [("choose", NO_ANSWER)], NO_ANSWER)
        self.bend, self.show_me = button("Bend it that way", answered), button("Show the right one", asked_to_show)
        row = widgets.Layout(flex_flow="row wrap", grid_gap="6px")
        self.buttons = widgets.HBox([self.bend, self.show_me], layout=row)
        self.widgets = (self.asking, self.question, self.leads_row, self.shows_row, self.buttons, self.marked)
        self._asked: object = None

    @property
    def answer(self) -> tuple[str, str]:
        """The side and the reading that are chosen."""
        return self.leads.value, self.shows.value

    def show(self, readout: BendingReadout, state: BendingState, *, judged: bool) -> None:
        """Ask what `readout` asks; what was answered is `judged`, or not while a box of the panel is refused."""
        asked = readout.asked
        for row in (self.leads_row, self.shows_row, self.buttons):
            row.layout.display = None if asked is not None and asked.open else "none"
        self.question.value = paragraph(question(readout.steps[state.step])) if readout.open_question else ""
        self.show_me.layout.display = None if asked is not None and asked.hint else "none"
        choices = () if asked is None else asked.choices
        options = [("choose", NO_ANSWER), *((f"{choice} deg", choice) for choice in choices)]
        place = (state.step, state.holds, choices)
        if place != self._asked:
            self._asked = place
            self.shows.options = options
            self.leads.value = self.shows.value = NO_ANSWER
        self.marked.value = _marked_html(readout, state) if judged else ""


def _marked_html(readout: BendingReadout, state: BendingState) -> str:
    asked, said = readout.asked, []
    if asked is not None:
        said += [
            message_html(one.words, "good" if one.right else "warn", "Right" if one.right else "Not right")
            for one in asked.verdicts
        ]
        if asked.wrong_words:
            said.append(paragraph(asked.wrong_words, "The result:"))
        if asked.hint:
            said.append(paragraph(asked.hint, "Hint:"))
    right, given = readout.score
    if state.asking and given:
        said.append(paragraph(f"First tries: {right} of {given} right."))
    return f'<div role="status">{"".join(said)}</div>'
