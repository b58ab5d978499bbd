"""Which bets a lesson has."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from pkgutil import iter_modules

from barmath.practice.bets.bet import Bet
from barmath.refusal import BendError


def lessons_with_bets() -> tuple[str, ...]:
    """The numbers of the lessons that ask bets.

    Examples
    --------
    >>> from barmath.practice.bets import lessons_with_bets
    >>> lessons_with_bets()[0]
    '00'
    """
    names = (module.name for module in iter_modules([str(Path(__file__).parent)]))
    return tuple(sorted(name.removeprefix("lesson_") for name in names if name.startswith("lesson_")))


def bet_names(lesson: str) -> tuple[str, ...]:
    """The names of the bets of a lesson, as it asks them; none if it asks nothing.

    Parameters
    ----------
    lesson : str
        Its number, such as "03".

    Examples
    --------
    >>> from barmath.practice.bets import bet_names
    >>> bet_names("03")[0]
    'room for the arcs'
    """
    return tuple(_makers(lesson))


@cache
def bet_of(lesson: str, name: str) -> Bet:
    """One bet of a lesson.

    Parameters
    ----------
    lesson : str
        Its number, such as "03".
    name : str

    Raises
    ------
    BendError
        If the lesson has no such bet.

    Examples
    --------
    >>> from barmath.practice.bets import bet_of
    >>> bet_of("03", "room for the arcs").question.unit
    'mm'
    """
    makers = _makers(lesson)
    if name not in makers:
        known = ", ".join(makers) or "it has none"
        raise BendError(f"choose a bet of lesson {lesson}, got {name!r:.60}: {known}")
    return makers[name]()


@cache
def _makers(lesson: str) -> dict[str, Callable[[], Bet]]:
    module = f"barmath.practice.bets.lesson_{lesson}"
    return import_module(module).BETS if find_spec(module) else {}
