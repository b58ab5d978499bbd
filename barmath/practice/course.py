"""Every kind of exercise, by the lesson it belongs to."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from barmath.practice import bench_work, bending_work, finder_work, finishing_work, ride_work, two_stop_work
from barmath.practice.exercise import Exercise
from barmath.practice.inches import in_inches
from barmath.practice.scene import LEVELS
from barmath.refusal import BendError, checked_count, quoted, unknown

LARGEST_SEED = 999_999  # six figures of a code


class Kind(NamedTuple):
    """A kind of exercise: its name, its lesson's number, what is practised, and what makes it."""

    name: str
    lesson: str
    words: str
    make: Callable[[str, str, int, int], Exercise]


KINDS = (
    Kind("marks", "01", "place the marks", bench_work.marks),
    Kind("rise", "02", "work out a rise by hand", bench_work.rise),
    Kind("die", "03", "choose a die", bench_work.die),
    Kind("slip", "04", "say what a slip costs", bench_work.slip),
    Kind("pair", "04", "choose the pair of stops", two_stop_work.pair),
    Kind("reading", "05", "set the reading", bending_work.reading),
    Kind("finder", "05", "set the finder for two stops", two_stop_work.finder),
    Kind("direction", "05", "uphill or downhill", finder_work.direction),
    Kind("order", "05", "name the sequence of bends", bending_work.sequence_of_bends),
    Kind("stop", "06", "choose the stop and the mark", bending_work.stop),
    Kind("faulty bend", "07", "find the faulty bend", bending_work.faulty_bend),
    Kind("cope", "08", "lay out a cope", finishing_work.cope),
    Kind("record", "09", "look it up", finishing_work.record),
    Kind("print", "10", "trust the print or not", finishing_work.print_check),
    Kind("hands", "12", "say where the hands go", ride_work.hands),
    Kind("moment", "13", "a moment, and what it says", ride_work.moment),
)
"""Sorted as the lessons."""

BY_NAME = {kind.name: kind for kind in KINDS}


def exercise(name: str, seed: int, level: int = 1) -> Exercise:
    """The exercise of that kind; equal seeds and levels give equal exercises.

    Parameters
    ----------
    name : str
        One of `BY_NAME`.
    seed : int, 0..999999
    level : int, 1..3

    Raises
    ------
    BendError
        The kind is unknown. Seed or level is not a whole number in its range.

    Examples
    --------
    >>> from barmath.practice import code_of, exercise
    >>> code_of(exercise("marks", 31, 2))
    'marks-2-000031'
    """
    if name not in BY_NAME:
        raise BendError(unknown("exercise", name, tuple(BY_NAME)))
    kind = BY_NAME[name]
    whole = checked_count("seed", seed, least=0, most=LARGEST_SEED)
    grown = checked_count("level", level, least=LEVELS[0], most=LEVELS[-1])
    return in_inches(kind.make(name, kind.lesson, whole, grown))


def code_of(made: Exercise) -> str:
    """Kind, level and seed of an exercise as in `die-2-000031`, which gives the same one to everybody.

    Examples
    --------
    >>> from barmath.practice import code_of, exercise
    >>> code_of(exercise("faulty bend", 31, 2))
    'faulty-bend-2-000031'
    """
    return f"{made.kind.replace(' ', '-')}-{made.level}-{made.seed:06d}"


def code_from_text(text: str) -> tuple[str, int, int] | None:
    """Kind, level and seed of a code as it may be typed, None where the text is a seed alone.

    Returns
    -------
    kind, level, seed
        Or None.

    Raises
    ------
    BendError
        The text is neither.

    Examples
    --------
    >>> from barmath.practice import code_from_text
    >>> code_from_text("die-2-000031")
    ('die', 2, 31)
    """
    words = text.strip().lower().replace("-", " ").split()
    if len(words) < 2:
        return None
    kind, level = " ".join(words[:-2]), words[-2]
    if kind not in BY_NAME or level not in map(str, LEVELS):
        raise BendError(f"code must be as on the class sheet, such as die-2-000031, got {quoted(text)}: type it again")
    return kind, int(level), seed_from_text(words[-1])


def seed_from_text(text: str) -> int:
    """The seed that is typed.

    Raises
    ------
    BendError
        It is not a whole number in its range.

    Examples
    --------
    >>> from barmath.practice import seed_from_text
    >>> seed_from_text(" 000031 ")
    31
    """
    digits = text.strip()
    if not (digits.isascii() and digits.isdigit() and int(digits[:12]) <= LARGEST_SEED):
        raise BendError(f"seed must be a whole number, got {digits[:40]!r}: type one from 0 to {LARGEST_SEED}")
    return int(digits)
