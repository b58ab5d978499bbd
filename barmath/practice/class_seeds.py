"""The seeds of a class: exercises of one kind, so that neighbours can copy as little as can be."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from barmath.practice.course import LARGEST_SEED, exercise
from barmath.practice.exercise import ESTIMATE, Exercise, Question, answer_text

TRIES = 12
"""So many seeds are tried for each apprentice, until one repeats nothing."""

_STRIDE = 7919  # a prime, so that seeds of one class are apart


@lru_cache(maxsize=8)  # a panel asks for its preview, its PDF and its picture
def class_exercises(kind: str, seed: int, level: int, apprentices: int) -> tuple[Exercise, ...]:
    """One exercise for each apprentice: an equal seed gives equal ones, and a larger class begins with a smaller one.

    The first has the seed itself. For each later one, up to `TRIES` seeds are tried in a fixed sequence. The first with
    the fewest `repeats` is taken. What a seed gives is never changed.

    Parameters
    ----------
    kind : str
        One of `BY_NAME`.
    seed : int, 0..999999
    level : int, 1..3
    apprentices : int, 1 or more

    Raises
    ------
    BendError
        The kind is unknown. Seed or level is not a whole number in its range.

    Examples
    --------
    >>> from barmath.practice import class_exercises
    >>> [one.seed for one in class_exercises("marks", 31, 2, 3)]
    [31, 7950, 15869]
    """
    made, place = [exercise(kind, seed, level)], 0
    while len(made) < apprentices:
        found, fewest = made[0], -1
        for _ in range(TRIES):
            place += 1
            new = exercise(kind, (seed + place * _STRIDE) % (LARGEST_SEED + 1), level)
            count = repeats(new, made)
            if fewest < 0 or count < fewest:
                found, fewest = new, count
            if not count:
                break
        made.append(found)
    return tuple(made)


def repeats(new: Exercise, made: Sequence[Exercise]) -> int:
    """How much of an exercise is on the sheets `made` already.

    A step counts if the answer of the last sheet is right here too. It counts again if its box is at the same place.
    A sheet of the class counts if all its numbers are the same, and again if all its answers are.
    """
    whole = sum((_given(new) == _given(one)) + (_answers(new) == _answers(one)) for one in made)
    return whole + sum(map(_repeated, new.questions, made[-1].questions))


def _given(one: Exercise) -> tuple[str, ...]:
    return *one.given, *(question.text for question in one.questions)


def _answers(one: Exercise) -> list[tuple[str, int]]:
    return [(answer_text(question), _place(question)) for question in one.questions]


def _repeated(new: Question, old: Question) -> int:
    if new.choices and old.choices:
        return (new.answer == old.answer) + (_place(new) == _place(old))
    if new.step == ESTIMATE:  # near counts as right: only the same number is a repeat
        return answer_text(new) == answer_text(old)
    return abs(float(new.answer) - float(old.answer)) <= new.tolerance


def _place(question: Question) -> int:
    return question.choices.index(str(question.answer)) if question.choices else -1
