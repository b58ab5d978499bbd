"""The box of a bet, and the place of a result that is shown after it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from html import escape
from typing import ClassVar

import ipywidgets as widgets
import mistune
import plotly.graph_objects as go

from barmath.panels.drawn import DrawnLine
from barmath.panels.entry import button, labelled_row
from barmath.panels.markup import paragraph, table
from barmath.panels.shell import PanelBox, Shell, guarded, kept, picture, settled, still
from barmath.practice.bets import answer_words, bet_of, outcome

CHOOSE = "choose one"
OPEN_AT_ONCE = 2
"""So many answered steps of a lesson are open; those answered before them are folded."""

LONGEST_NUMBER = 28
"""Letters of a cell beyond which it holds words, and may wrap."""
_READ = mistune.create_markdown(escape=True)


class BetBox(Shell):
    """A question, a place for the reader's bet, and what becomes of it.

    Attributes
    ----------
    answered : bool
        Whether the reader has bet, or has asked to see the answer.
    said : str
        What was said of the bet, once it is answered.
    shown : bool
        Whether the reader asked to see the answer without a bet.
    """

    refused = "No bet yet"
    cautions = ()  # the lesson around it has its own

    def __init__(self, lesson: str, name: str) -> None:
        super().__init__()
        self.bet, self.answered, self.shown = bet_of(lesson, name), False, False
        self.lesson, self.name, self.said = lesson, name, ""
        self._waiting: list[Callable[[], None]] = []
        question = self.bet.question
        self.entry: widgets.Widget | DrawnLine
        if self.bet.line is not None:
            self.entry = DrawnLine(self.bet.line)
        elif question.choices:
            self.entry = widgets.Dropdown(options=[CHOOSE, *question.choices], value=CHOOSE)
            self.entry.layout.flex, self.entry.layout.min_width = "0 1 420px", "100px"
        else:
            self.entry = widgets.Text("", placeholder=question.unit, continuous_update=False)
            self.entry.layout.width = "160px"
        self.place, self.show_me = button("Bet", self._place), button("Show me", self._show_me)
        self.why = widgets.HTMLMath()
        asked = widgets.HTML(paragraph(question.text, "Your bet first."))
        if isinstance(self.entry, DrawnLine):
            row = widgets.HBox([self.place, self.show_me], layout=widgets.Layout(flex_flow="row wrap"))
            self.fill(asked, self.entry.box, row, self.message, self.why)
        else:
            row = labelled_row("Your bet", self.entry, self.place, self.show_me)
            self.fill(asked, row, self.message, self.why)
        self.box.layout.max_width = "860px"
        self.box.add_class("barmath-bet")

    @property
    def given(self) -> str:
        """The bet as it was typed or chosen."""
        return "" if self.entry.value == CHOOSE else str(self.entry.value)

    def then(self, open_it: Callable[[], None]) -> None:
        """Have `open_it` called after the bet, at once if there is one already."""
        if self.answered:
            open_it()
        else:
            self._waiting.append(open_it)

    @settled
    def _place(self, _: object) -> None:
        result = outcome(self.bet, self.given)
        if result.taken:
            self._open(result.words, "good" if result.right else "warn")
        else:
            self._say(result.words, "warn")

    @guarded
    def _show_me(self, _: object) -> None:
        self.shown = True
        self._open(f"{answer_words(self.bet)} You asked to see it.", "warn")

    def _open(self, words: str, kind: str) -> None:
        self._say(words, kind)
        self.said = words
        self.why.value = _READ(self.bet.why)
        self.entry.disabled = self.place.disabled = self.show_me.disabled = True
        self.answered = True
        waiting, self._waiting = self._waiting, []
        for open_it in waiting:
            open_it()

    def _say(self, words: str, kind: str) -> None:
        self.message.value = f'<div role="status" class="barmath-message barmath-{kind}">{escape(words)}</div>'


class Result(Shell):
    """What a lesson shows after a bet: nothing but a line that says so, until the bet is made."""

    cautions = ()

    def __init__(
        self, after: Sequence[BetBox], show: Callable[[], object], head: Sequence[str] = (), caption: str = ""
    ) -> None:
        super().__init__()
        self.after, self.show, self.head, self.caption = tuple(after), show, head, caption
        for box in self.after:
            if not box.answered:
                box.then(self.open)
        self.open()

    @property
    def open_bets(self) -> tuple[str, ...]:
        """The names of the bets that the result still waits for."""
        return tuple(box.name for box in self.after if not box.answered)

    @guarded
    def open(self) -> None:
        """Show the result, or the line that names the bets it waits for."""
        if self.open_bets:
            bets = "bet" if len(self.open_bets) == 1 else "bets"
            self.fill(
                widgets.HTML(paragraph(f"The result comes after your {bets} above: {', '.join(self.open_bets)}."))
            )
            return
        self.message.value = ""
        self.fill(self.message, _content(self.show(), self.head, self.caption))


class Step(Shell):
    """A bet with its result; as soon as `OPEN_AT_ONCE` later ones are answered, it folds to one line."""

    cautions = ()
    _open: ClassVar[dict[str, list[Step]]] = {}

    def __init__(self, bet: BetBox, result: widgets.VBox) -> None:
        super().__init__()
        self.bet, self.body = bet, widgets.VBox([bet.box, result])
        self.turn = button("", self._turn)
        self.line = widgets.HTML()
        self.row = widgets.HBox([self.turn, self.line], layout=widgets.Layout(flex_flow="row wrap", display="none"))
        self.fill(self.row, self.message, self.body)
        bet.then(self._answered)

    @property
    def folded(self) -> bool:
        """Whether only the line of the step is seen."""
        return self.body.layout.display == "none"

    def _answered(self) -> None:
        steps = self._open.setdefault(self.bet.lesson, [])
        steps.append(self)
        while len(steps) > OPEN_AT_ONCE:
            steps.pop(0)._fold(folded=True)

    def _fold(self, *, folded: bool) -> None:
        self.line.value = paragraph(self.bet.said)
        self.turn.description = f"{'Open' if folded else 'Fold'}: {self.bet.name}"
        self.row.layout.display = ""
        self.body.layout.display = "none" if folded else ""

    @guarded
    def _turn(self, _: object) -> None:
        self._fold(folded=not self.folded)


def bet_box(lesson: str, name: str) -> widgets.VBox:
    """The box of a bet of a lesson, made once.

    Parameters
    ----------
    lesson : str
        Its number, such as "03".
    name : str
        As `barmath.practice.bets.bet_names` lists it.
    """
    return kept(BetBox, (lesson, name), lambda: BetBox(lesson, name))


def after_bet(
    lesson: str,
    name: str | Sequence[str],
    show: Callable[[], object],
    *,
    head: Sequence[str] = (),
    caption: str = "",
) -> widgets.VBox:
    """What `show` returns, as soon as the bet is made; until then one line.

    Parameters
    ----------
    lesson : str
        Its number, such as "03".
    name : str, or several
        Of the bet, or of all bets that the result answers.
    show : function without parameters
        It returns words, a mapping or rows for a table, a figure, or a widget. It is called after the bet.
    head : sequence of str
        Names of the columns of a table.
    caption : str
        What a table shows.
    """
    names = (name,) if isinstance(name, str) else name
    return Result([bet_box(lesson, one).shell for one in names], show, head, caption).box


def bet_then(lesson: str, name: str, show: Callable[[], object], *, caption: str = "") -> widgets.VBox:
    """The box of a bet, and below it what `show` returns as soon as the bet is made: one step of a lesson.

    The two steps that were answered last are open. An earlier one folds to one line with a button that opens it.

    Parameters
    ----------
    lesson, name : str
        As for `bet_box`.
    show, caption
        As for `after_bet`.
    """
    return Step(bet_box(lesson, name).shell, after_bet(lesson, name, show, caption=caption)).box


def shown(what: object, *, head: Sequence[str] = (), caption: str = "") -> PanelBox:
    """What a lesson shows at once, because no question asks for it.

    Parameters
    ----------
    what : str, mapping, rows, figure or widget
    head : sequence of str
        Names of the columns of a table.
    caption : str
        What a table shows.
    """
    part = _content(what, head, caption)
    return part if isinstance(part, PanelBox) else still(part)


def _content(what: object, head: Sequence[str], caption: str) -> widgets.Widget:
    if isinstance(what, widgets.Widget):
        return what
    if isinstance(what, go.Figure):
        return picture(what)
    if isinstance(what, str):
        return widgets.HTMLMath(_READ(what))
    rows = list(what.items()) if isinstance(what, Mapping) else list(what)  # type: ignore[call-overload]
    cells = [[str(cell) for cell in row] for row in rows]
    worded = {0, *(place for row in cells for place, cell in enumerate(row) if len(cell) > LONGEST_NUMBER)}
    return widgets.HTML((paragraph(caption) if caption else "") + table(cells, head, words=worded, caption=caption))
