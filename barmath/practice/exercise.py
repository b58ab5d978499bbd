"""An exercise: what is given, what is asked, which habit leads to which wrong answer, and how an answer is checked.

A check says how far off an answer is and which habit leads there. It never says the answer: that is in the worked
solution, which comes after an honest try.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from barmath.closed_forms.records import Recipe
from barmath.fields import frozen
from barmath.lengths import angle_deg, length_mm
from barmath.practice.scene import LEVELS
from barmath.refusal import BendError

ESTIMATE, COMPUTE, ACT, MORE = "Estimate", "Compute", "Act", "One more"
STEPS = (ESTIMATE, COMPUTE, ACT, MORE)
"""The steps of an exercise; the last one comes at the last level."""

NEARLY, NEAR_SHARE = 3.0, 0.2
"""Within so many tolerances, and such a share of the answer, a wrong answer is nearly right."""

FAR = 4.0
"""A number is far if it is so many times larger than answer and habits, or so many times smaller."""

MOST_TEXT = 60  # letters of an answer


class Habit(NamedTuple):
    """An answer that comes from a habit, and the habit in words that follow "the usual mistake: "."""

    value: float | str
    words: str


@dataclass(frozen=True)
class Question:
    """One step of an exercise.

    `unit` is "mm", "deg", "N m", "MPa" or "" for a choice. `answer` is from `low` to `high`, and a try is honest only
    if it is so too. `tolerance` makes it right. `choices` are what can be chosen, if it is a choice. The hints are
    three: `hint` names the rule, `formula` has it in letters, `numbers` in the numbers of this exercise.
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
    formula: str = ""
    numbers: str = ""

    def nearly_within(self) -> float:
        """How far off a nearly right answer may be, in the question's unit."""
        share = NEAR_SHARE * abs(float(self.answer))
        return max(self.tolerance, min(NEARLY * self.tolerance, share))

    def hints(self, level: int) -> tuple[str, ...]:
        """The hints, first to last: all three for a beginner, one less at each level."""
        every = (self.hint, self.formula, self.numbers)
        return tuple(words for words in every[: len(every) + 1 - level] if words)

    def is_far(self, value: float) -> bool:
        """Whether a number is so far from the answer and from every habit that it can only be a guess."""
        known = [float(self.answer), *(float(habit.value) for habit in self.habits)]
        if self.low < 0.0:
            return abs(value) > FAR * max(map(abs, known))
        return not min(known) / FAR <= value <= max(known) * FAR


@frozen
class Exercise:
    """Made by `make` of a kind from a seed and a level: equal seeds and levels give equal exercises.

    `given` and `solution` are lines of text, `questions` one for each step of its level. `recipe` is the bar
    to show, or None.
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

    def _check_together(self) -> None:
        asked, wanted = [question.step for question in self.questions], STEPS[: 4 if self.level == LEVELS[-1] else 3]
        if asked != [*wanted]:
            raise BendError(
                f"an exercise of level {self.level} must ask one question for each of {', '.join(wanted)}, "
                f"got {', '.join(asked) or 'none'}: give one question for each"
            )


@dataclass(frozen=True)
class Verdict:
    """What a check says.

    `honest` is whether it was a try at all. `far` is whether it can only be a guess, which opens no solution. `off` is
    in the question's unit.
    """

    honest: bool
    right: bool
    off: float | None
    habit: str
    words: str
    far: bool = False


def numeric(
    step: str,
    text: str,
    unit: str,
    answer: float,
    tolerance: float,
    span: tuple[float, float],
    habits: Sequence[tuple[float, str]] = (),
    hint: str = "",
    formula: str = "",
    numbers: str = "",
) -> Question:
    """A question for a number; habits that look like the right answer, or from each other, are left out.

    Raises BendError where the answer is outside `span`.
    """
    low, high = span
    if not low <= answer <= high:
        raise BendError(
            f"answer of an exercise must be from {low:.1f} to {high:.1f} {unit}, got {answer:.1f} {unit}: "
            "give a wider span"
        )
    bare = Question(step, text, float(answer), unit, tolerance, low, high, (), (), hint, formula, numbers)
    apart_from_all: list[Habit] = []
    for value, words in habits:
        apart = [
            abs(value - answer) > bare.nearly_within(),
            *(abs(value - float(h.value)) > tolerance for h in apart_from_all),
        ]
        if all(apart) and low <= value <= high:
            apart_from_all.append(Habit(float(value), words))
    return replace(bare, habits=tuple(apart_from_all))


def choice(
    step: str, text: str, answer: str, others: Mapping[str, str], order: Sequence[str], hint: str = ""
) -> Question:
    """A question with choices in `order`; `others` says for each wrong one which habit leads there."""
    habits = tuple(Habit(value, words) for value, words in others.items())
    return Question(step, text, answer, choices=tuple(order), habits=habits, hint=hint)


def check(question: Question, given: str) -> Verdict:
    """Check what was typed or chosen for a question.

    Parameters
    ----------
    question : Question
    given : str
        As it was typed or chosen.

    Examples
    --------
    >>> from barmath.practice import check, exercise
    >>> check(exercise("marks", 31, 2).questions[0], "").honest
    False
    """
    return _check_choice(question, given) if question.choices else _check_number(question, given)


def worked(exercise: Exercise, tries: Mapping[str, str]) -> tuple[str, ...]:
    """The worked solution, with what the apprentice answered beside what it is; `tries` are the answers by step.

    Parameters
    ----------
    exercise : Exercise
    tries : mapping of str to str
        What the apprentice answered, by step.

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
    """The right answer in words, with as many digits as its tolerance needs: of an estimate the fewest.

    Examples
    --------
    >>> from barmath.practice import answer_text, exercise
    >>> answer_text(exercise("marks", 31, 1).questions[0])
    'about 52 mm'
    """
    if question.choices:
        return str(question.answer)
    estimate = question.step == ESTIMATE
    fewest = 0 if estimate else 1
    digits = next(digits for digits in (fewest, 1, 2, 3) if 0.5 * 10.0**-digits <= question.tolerance or digits == 3)
    return f"{'about ' if estimate else ''}{float(question.answer):z.{digits}f} {question.unit}"  # z: no "-0.0"


def _check_choice(question: Question, given: str) -> Verdict:
    if given not in question.choices:
        return _no_try(f"one of these: {', '.join(question.choices)}")
    if given == question.answer:
        return Verdict(True, True, None, "", "Right.")
    habit = next((habit.words for habit in question.habits if habit.value == given), "")
    return Verdict(True, False, None, habit, f"Not that one. {_because(habit)}{_hint(question, habit)}".strip())


def _check_number(question: Question, given: str) -> Verdict:
    wanted = f"a number from {question.low:.0f} to {question.high:.0f} {question.unit}".rstrip()
    try:
        value = _number(question, given)
    except BendError:
        return _no_try(wanted)
    if not question.low <= value <= question.high:
        return _no_try(wanted)
    off = value - float(question.answer)
    if abs(off) <= question.tolerance * (1.0 + 1e-9):
        return Verdict(True, True, off, "", f"Right, within {question.tolerance:.2g} {question.unit}.")
    side = "too large" if off > 0.0 else "too small"
    amount = f"Off by about {_rough(abs(off))} {question.unit}, {side}."
    if abs(off) <= question.nearly_within():
        closer = "Estimate it once more." if question.step == ESTIMATE else "Work with one more digit."
        return Verdict(True, False, off, "", f"Nearly. {amount} {closer}")
    if question.is_far(value):
        return Verdict(True, False, off, "", f"{amount} An answer so far off does not count as a try.", far=True)
    near = [h for h in question.habits if abs(value - float(h.value)) <= question.tolerance]
    habit = min(near, key=lambda h: abs(value - float(h.value))).words if near else ""
    return Verdict(True, False, off, habit, f"{amount} {_because(habit)}{_hint(question, habit)}".strip())


def _number(question: Question, given: str) -> float:
    text = given.strip()[:MOST_TEXT]
    if question.unit == "mm":
        return length_mm(text, name="answer", allow_negative=True)
    if question.unit == "deg":
        return angle_deg(text, name="answer")
    return angle_deg(text.removesuffix(question.unit).strip(), name="answer")  # by the rules of any number


def _no_try(wanted: str) -> Verdict:
    return Verdict(False, False, None, "", f"Try it first: give {wanted}.")


def _because(habit: str) -> str:
    return f"The usual mistake: {habit}. " if habit else ""


def _hint(question: Question, habit: str) -> str:
    return "" if habit or not question.hint else f"Hint: {question.hint}"


def _rough(size: float) -> str:
    # one digit: enough to know how far, too few to take the answer from
    rounded = float(f"{size:.1g}")
    return f"{rounded:.0f}" if rounded >= 1.0 else f"{rounded:g}"
