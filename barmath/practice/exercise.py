"""An exercise: what is given, what is asked, which habit leads to which wrong answer, and how an answer is checked.

A check says how far off an answer is and which habit leads there. It never tells the answer: that is in the worked
solution, which comes after an honest try.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from barmath.closed_forms.records import Recipe
from barmath.lengths import angle_deg, length_mm
from barmath.refusal import BendError

ESTIMATE, COMPUTE, ACT = "Estimate", "Compute", "Act"
STEPS = (ESTIMATE, COMPUTE, ACT)

NEARLY = 3.0
"""Within so many tolerances an answer is nearly right: worked with too few digits, or read off by a hair."""

MOST_TEXT = 60


class Habit(NamedTuple):
    """An answer that comes from a habit, and the habit in words that follow "that is what comes out when"."""

    value: float | str
    words: str


@dataclass(frozen=True)
class Question:
    """One step of an exercise.

    `unit` is "mm", "deg", "N m", "MPa" or "" for a choice; `answer` is from `low` to `high`, which is all that a try
    must keep to be an honest one; `tolerance` makes it right. `choices` are what can be chosen, where it is a choice.
    """

    step: str
    text: str
    answer: float | str
    unit: str = ""
    tolerance: float = 0.0
    low: float = 0.0
    high: float = 0.0
    choices: tuple[str, ...] = ()
    habits: tuple[Habit, ...] = ()
    hint: str = ""


@dataclass(frozen=True)
class Exercise:
    """Made by `make` of a kind from a seed and a level: equal seeds and levels give equal exercises.

    `given` and `solution` are lines of text, `questions` one a step; `recipe` is the bar to show, or None.
    """

    kind: str
    lesson: str
    title: str
    seed: int
    level: int
    given: tuple[str, ...]
    questions: tuple[Question, ...]
    solution: tuple[str, ...]
    recipe: Recipe | None = None


@dataclass(frozen=True)
class Verdict:
    """What a check says. `honest`: whether it was a try at all; `off` is given in the question's unit."""

    honest: bool
    right: bool
    nearly: bool
    off: float | None
    habit: str
    words: str


def numeric(
    step: str,
    text: str,
    unit: str,
    answer: float,
    tolerance: float,
    span: tuple[float, float],
    habits: Sequence[tuple[float, str]] = (),
    hint: str = "",
) -> Question:
    """A question for a number; habits that cannot be told from the right answer, or from each other, are left out.

    Raises BendError where the answer is outside `span`.
    """
    low, high = span
    if not low <= answer <= high:
        raise BendError(f"answer of an exercise must be from {low:.1f} to {high:.1f} {unit}, got {answer:.1f} {unit}")
    told: list[Habit] = []
    for value, words in habits:
        apart = [abs(value - answer) > NEARLY * tolerance, *(abs(value - float(h.value)) > tolerance for h in told)]
        if all(apart) and low <= value <= high:
            told.append(Habit(float(value), words))
    return Question(step, text, float(answer), unit, tolerance, low, high, (), tuple(told), hint)


def choice(
    step: str, text: str, answer: str, others: Mapping[str, str], order: Sequence[str], hint: str = ""
) -> Question:
    """A question with choices in `order`; `others` says for each wrong one which habit leads there."""
    habits = tuple(Habit(value, words) for value, words in others.items())
    return Question(step, text, answer, choices=tuple(order), habits=habits, hint=hint)


def check(question: Question, given: str) -> Verdict:
    """Check what was typed or chosen for a question.

    Examples
    --------
    >>> from barmath.practice import check, exercise
    >>> check(exercise("marks", 31, 2).questions[0], "").honest
    False
    """
    return _check_choice(question, given) if question.choices else _check_number(question, given)


def worked(exercise: Exercise, tries: Mapping[str, str]) -> tuple[str, ...]:
    """The worked solution, with what the apprentice answered beside what it is; `tries` are his answers by step.

    Examples
    --------
    >>> from barmath.practice import exercise, worked
    >>> worked(exercise("marks", 31, 1), {"Compute": "60 mm"})[1]
    'Compute: 82.4 mm. You said 60 mm.'
    """
    lines = []
    for question in exercise.questions:
        own = str(tries.get(question.step, "")).strip()[:MOST_TEXT]
        said = f" You said {own}." if own else ""
        lines.append(f"{question.step}: {answer_text(question)}.{said}")
    return (*lines, *exercise.solution)


def answer_text(question: Question) -> str:
    """The right answer in words, with the tolerance of an estimate.

    Examples
    --------
    >>> from barmath.practice import answer_text, exercise
    >>> answer_text(exercise("marks", 31, 1).questions[0])
    'about 52 mm'
    """
    if question.choices:
        return str(question.answer)
    answer = float(question.answer)
    if question.step == ESTIMATE:
        return f"about {answer:.0f} {question.unit}"
    return f"{answer:.1f} {question.unit}"


def _check_choice(question: Question, given: str) -> Verdict:
    if given not in question.choices:
        return _no_try(f"one of these: {', '.join(question.choices)}")
    if given == question.answer:
        return Verdict(True, True, False, None, "", "Right.")
    habit = next((habit.words for habit in question.habits if habit.value == given), "")
    return Verdict(True, False, False, None, habit, f"Not that one. {_because(habit)}{_hint(question, habit)}".strip())


def _check_number(question: Question, given: str) -> Verdict:
    wanted = f"a number from {question.low:.0f} to {question.high:.0f} {question.unit}"
    try:
        value = _number(question, given)
    except BendError:
        return _no_try(wanted)
    if not question.low <= value <= question.high:
        return _no_try(wanted)
    off = value - float(question.answer)
    if abs(off) <= question.tolerance * (1.0 + 1e-9):
        return Verdict(True, True, False, off, "", f"Right, within {question.tolerance:.2g} {question.unit}.")
    side = "too large" if off > 0.0 else "too small"
    amount = f"Off by about {_told(abs(off))} {question.unit}, {side}."
    if abs(off) <= NEARLY * question.tolerance:
        return Verdict(True, False, True, off, "", f"Nearly. {amount} Work with one more digit.")
    near = [h for h in question.habits if abs(value - float(h.value)) <= question.tolerance]
    habit = min(near, key=lambda h: abs(value - float(h.value))).words if near else ""
    return Verdict(True, False, False, off, habit, f"{amount} {_because(habit)}{_hint(question, habit)}".strip())


def _number(question: Question, given: str) -> float:
    text = given.strip()[:MOST_TEXT]
    if question.unit == "mm":
        return length_mm(text, name="answer", allow_negative=True)
    if question.unit == "deg":
        return angle_deg(text, name="answer")
    return angle_deg(text.removesuffix(question.unit).strip(), name="answer")  # by the rules of any number


def _no_try(wanted: str) -> Verdict:
    return Verdict(False, False, False, None, "", f"Try it first: give {wanted}.")


def _because(habit: str) -> str:
    return f"That is what comes out when {habit}. " if habit else ""


def _hint(question: Question, habit: str) -> str:
    return "" if habit or not question.hint else f"Hint: {question.hint}"


def _told(size: float) -> str:
    # one digit: enough to know how far, too few to take the answer from
    rounded = float(f"{size:.1g}")
    return f"{rounded:.0f}" if rounded >= 1.0 else f"{rounded:g}"
