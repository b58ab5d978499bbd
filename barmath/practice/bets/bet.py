"""A bet: a question that a lesson asks before it shows the result, and the reason that is shown after it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from barmath.practice.bets.line import Line, judged, line_text
from barmath.practice.exercise import ESTIMATE, Question, Verdict, answer_text, check, choice, numeric


@dataclass(frozen=True)
class Bet:
    """A question of a lesson.

    Parameters
    ----------
    question : Question
    why : str
        The reason of the answer, in Markdown.
    line : Line, optional
        What is drawn, if the answer is a line on a chart.
    given : str
        What the lesson shows before the question, in words: paper shows no more.
    """

    question: Question
    why: str = ""
    line: Line | None = None
    given: str = ""

    @property
    def right_text(self) -> str:
        """The right answer as a reader types, chooses or draws it."""
        answer = self.question.answer
        return answer if isinstance(answer, str) else f"{answer:.12g}"

    @property
    def habit_texts(self) -> tuple[tuple[str, str], ...]:
        """Each answer that comes from a habit, as a reader gives it, and the habit in words."""
        if self.line is not None:
            return tuple((line_text(heights), words) for heights, words in self.line.habits)
        given = ((habit.value, habit.words) for habit in self.question.habits)
        return tuple((value if isinstance(value, str) else f"{value:.12g}", words) for value, words in given)


@dataclass(frozen=True)
class Outcome:
    """A bet beside its answer.

    Parameters
    ----------
    taken : bool
        Whether the bet counts. Words that are no number do not.
    right : bool
    words : str
        What to do first where the bet is not taken; else the bet, the answer, the difference and the habit behind it.
    """

    taken: bool
    right: bool
    words: str


def number_bet(
    text: str,
    unit: str,
    answer: float,
    near: float,
    span: tuple[float, float],
    habits: Sequence[tuple[float, str]] = (),
    why: str = "",
) -> Bet:
    """A bet on a number.

    Parameters
    ----------
    text : str
    unit : "mm", "deg", "%", "N m", "MPa" or "" for a count
    answer : number
    near : number
        A bet is right if it is at most so far from the answer.
    span : two numbers
        Smallest and largest bet that is taken.
    habits : sequence of (number, str)
        Answers that come from a habit, and the habit in words that follow "the usual mistake: ".
    why : str
        Markdown.

    Raises
    ------
    BendError
        If the answer is outside `span`.

    Examples
    --------
    >>> from barmath.practice.bets import number_bet, outcome
    >>> bet = number_bet("How far across does an arc reach?", "mm", 53.0, 5.0, (0, 400))
    >>> outcome(bet, "40").words
    'You bet 40 mm. It is 53 mm. Your bet is 13 mm too small.'
    """
    return Bet(numeric(ESTIMATE, text, unit, answer, near, span, habits), why)


def choice_bet(text: str, answer: str, habits: Mapping[str, str] | str, order: Iterable[str], why: str = "") -> Bet:
    """A bet on one of several answers.

    Parameters
    ----------
    text : str
    answer : str
    habits : mapping of str to str, or str
        For each wrong answer the habit that leads there, in words that follow "the usual mistake: ". One habit
        alone leads to all of them. What is said of the right answer is left out.
    order : iterable of str
        All answers as they are shown.
    why : str
        Markdown.

    Examples
    --------
    >>> from barmath.practice.bets import choice_bet, outcome
    >>> bet = choice_bet("Which end?", "both", {"the lower one": "you look only at the straight"},
    ...                  ["the lower one", "both"])
    >>> outcome(bet, "both").right
    True
    """
    choices = tuple(order)
    others = {one: habits if isinstance(habits, str) else habits[one] for one in choices if one != answer}
    return Bet(choice(ESTIMATE, text, answer, others, choices), why)


def line_bet(text: str, line: Line, why: str = "") -> Bet:
    """A bet on a line that is drawn on a chart.

    Parameters
    ----------
    text : str
    line : Line
    why : str
        Markdown.

    Examples
    --------
    >>> from barmath.practice.bets import Line, line_bet, outcome
    >>> line = Line((10, 20, 30), "bend", "deg", "rise", "mm", (20, 47, 78), 5, (0, 160))
    >>> outcome(line_bet("How does the rise grow?", line), "20; 40; 60").words
    'Your line is too low by up to 18 mm, at 30 deg.'
    """
    answer = line_text(line.answer)
    return Bet(Question(ESTIMATE, text, answer, line.height_unit, line.near, *line.span), why, line)


def outcome(bet: Bet, given: str) -> Outcome:
    """What becomes of a bet: whether it is taken, whether it is right, and both numbers side by side.

    Examples
    --------
    >>> from barmath.practice.bets import bet_of, outcome
    >>> outcome(bet_of("03", "ends of the window"), "I do not know").taken
    False
    """
    if bet.line is not None:
        return Outcome(*judged(bet.line, given))
    question, verdict = bet.question, check(bet.question, given)
    if not verdict.honest and question.choices:
        return Outcome(False, False, "Choose one of the answers first, then bet.")
    if not verdict.honest:
        return Outcome(False, False, verdict.words.replace("Try it first: give", "Give"))
    if verdict.off is None:
        return Outcome(True, verdict.right, _of_choice(question, given, verdict))
    return Outcome(True, verdict.right, _of_number(question, verdict.off, verdict))


def _of_choice(question: Question, given: str, verdict: Verdict) -> str:
    if verdict.right:
        return f"You bet: {given}. Right."
    return f"You bet: {given}. The answer: {question.answer}.{_habit(verdict)}"


def _of_number(question: Question, off: float, verdict: Verdict) -> str:
    """The bet as it was typed, the answer as the page shows it, and the difference between these two."""
    answer = _with_unit(float(question.answer), question)
    own = float(f"{float(question.answer) + off:.9g}")
    apart = round(own - round(float(question.answer), _digits(question)), 6)
    said = f"You bet {_with_unit(own, question, least=own)}. It is {answer}."
    if verdict.right:
        return f"{said} {'Right' if apart == 0.0 else 'Near enough: right'}."
    side = "large" if off > 0.0 else "small"
    return f"{said} Your bet is {_with_unit(abs(apart), question, least=apart)} too {side}.{_habit(verdict)}"


def _habit(verdict: Verdict) -> str:
    return f" The usual mistake: {verdict.habit}." if verdict.habit else ""


def _digits(question: Question) -> int:
    count = not question.unit and float(question.answer).is_integer()
    return 0 if count or question.tolerance >= 1.0 else 1 if question.tolerance >= 0.1 else 2


MOST_DIGITS = 3  # after the point


def _with_unit(number: float, question: Question, least: float = 0.0) -> str:
    # `least` is a number of which no digit is lost: 12.5 must not look like 12
    own = len(f"{abs(least):.{MOST_DIGITS}f}".rstrip("0").partition(".")[2])
    return f"{number:,.{max(_digits(question), own)}f} {question.unit}".replace(",", " ").strip()


def answer_words(bet: Bet) -> str:
    """The answer alone, for a reader who asks to see it.

    Examples
    --------
    >>> from barmath.practice.bets import answer_words, number_bet
    >>> answer_words(number_bet("How far?", "mm", 53.0, 5.0, (0, 400)))
    'It is 53 mm.'
    """
    if bet.line is not None:
        return f"It is {', '.join(f'{height:.0f}' for height in bet.line.answer)} {bet.line.height_unit}."
    if bet.question.choices:
        return f"The answer: {answer_text(bet.question)}."
    return f"It is {_with_unit(float(bet.question.answer), bet.question)}."
