"""What an apprentice has done: kept in a small file, from which the next level follows."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path

from barmath.fields import frozen, passing
from barmath.practice.course import BY_NAME, LARGEST_SEED
from barmath.practice.scene import LEVELS
from barmath.refusal import BendError, checked_day, checked_single, quoted, unknown
from barmath.saving import alone, real_path, save_bytes

FORMAT, BEFORE = 2, 1
"""A file of format 1 says nothing of habits. It is read without a change; the first addition writes the new format."""

MOST_BYTES = 4_000_000
MOST_HABITS, LONGEST_HABIT = 40, 400
IN_A_ROW = 2
"""So many exercises solved at the first try raise the level, so many missed lower it."""


def _checked_kind(kind: str) -> str:
    if kind not in BY_NAME:
        raise BendError(unknown("exercise", kind, tuple(BY_NAME)))
    return kind


def _checked_whole(name: str, number: object, least: int, most: int) -> int:
    return int(checked_single(name, number, least=float(least), most=float(most)))


def _checked_answer(first_try: object) -> bool:
    if not isinstance(first_try, bool):
        raise BendError(f"first try must be true or false, got {quoted(first_try)}: type True or False")
    return first_try


def _checked_habits(habits: object) -> tuple[str, ...]:
    if not isinstance(habits, list | tuple) or not all(isinstance(one, str) for one in habits):
        raise BendError(f'habits must be a list of words, got {quoted(habits)}: type them as in ["a habit"]')
    if len(habits) > MOST_HABITS or any(len(one) > LONGEST_HABIT for one in habits):
        raise BendError(f"habits must be at most {MOST_HABITS} of {LONGEST_HABIT} letters, got more: shorten the list")
    return tuple(habits)


@frozen
class Done:
    """One exercise finished.

    `first_try` says whether every step was right at the first honest try, without hint or solution. `habits` are
    those that led to wrong answers, each once, in the words of `barmath.practice.exercise.Habit`.
    """

    kind: str = passing(_checked_kind)
    seed: int = passing(_checked_whole, "seed", least=0, most=LARGEST_SEED)
    level: int = passing(_checked_whole, "level", least=LEVELS[0], most=LEVELS[-1])
    tries: int = passing(_checked_whole, "tries", least=1, most=10_000)
    first_try: bool = passing(_checked_answer)
    day: str = passing(checked_day)
    habits: tuple[str, ...] = passing(_checked_habits, default=())


def each_once(done: Iterable[Done]) -> tuple[Done, ...]:
    """The exercises without repetitions: of each kind, level and seed the first one.

    Examples
    --------
    >>> from barmath.practice import Done
    >>> from barmath.practice.progress import each_once
    >>> one = Done("marks", 31, 1, 1, True, "2026-11-02")
    >>> len(each_once([one, one]))
    1
    """
    firsts: dict[tuple[str, int, int], Done] = {}
    for one in done:
        firsts.setdefault((one.kind, one.level, one.seed), one)
    return tuple(firsts.values())


def level_after(done: tuple[Done, ...], kind: str) -> int:
    """The level of the next exercise of a kind: up after two solved at the first try, down after two missed.

    The same exercise counts once.

    Parameters
    ----------
    done : tuple of Done
    kind : str
        Name of the kind of exercise.

    Examples
    --------
    >>> from barmath.practice import Done, level_after
    >>> level_after((Done("marks", 1, 1, 1, True, "2026-11-02"), Done("marks", 2, 1, 1, True, "2026-11-02")), "marks")
    2
    """
    level, row = LEVELS[0], 0
    for one in each_once(done):
        if one.kind != kind:
            continue
        row = (max(row, 0) + 1) if one.first_try else (min(row, 0) - 1)
        if abs(row) == IN_A_ROW:
            level, row = min(max(level + (1 if row > 0 else -1), LEVELS[0]), LEVELS[-1]), 0
    return level


def progress_from_file(path: str | Path) -> tuple[Done, ...]:
    """What is in the file, oldest first; nothing if there is none yet.

    Raises
    ------
    BendError
        The file is not one of progress. It is not changed then.

    Examples
    --------
    >>> from barmath.practice import progress_from_file
    >>> progress_from_file("no such file.json")
    ()
    """
    path = real_path(path)
    try:
        if not path.exists():
            return ()
        if path.stat().st_size > MOST_BYTES:
            raise BendError(
                f"{path.name} must be a small file of progress, got one of {path.stat().st_size} bytes: "
                "choose another file"
            )
        held = json.loads(path.read_text(encoding="utf-8"))
        if held.get("format") not in (BEFORE, FORMAT):
            raise BendError(
                f"{path.name} must have format {FORMAT}, got {quoted(held.get('format'))}: choose another file"
            )
        return tuple(Done(**one) for one in held["done"])
    except BendError:
        raise
    except OSError as fault:
        raise BendError(f"choose another name: {path.name} could not be read ({fault.strerror})") from None
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise BendError(f"{path.name} must be a file of progress, got something else: choose another name") from None


def add_to_file(path: str | Path, done: Done) -> tuple[Done, ...]:
    """Add one exercise to the file, whole or not at all; one that is there already counts once.

    A file of the format before is kept beside it, unchanged, with `.before` after its name.

    Parameters
    ----------
    path : str or path
    done : Done

    Raises
    ------
    BendError
        The file is not one of progress. It is not changed then.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from barmath.practice import Done, add_to_file
    >>> with TemporaryDirectory() as folder:
    ...     len(add_to_file(f"{folder}/done.json", Done("marks", 31, 1, 1, True, "2026-11-02")))
    1
    """
    with alone(path):  # two may add at once, as one apprentice with two windows does
        before = progress_from_file(path)
        every = each_once((*before, done))
        if every == before:
            return every
        _keep_before(real_path(path))
        text = json.dumps({"format": FORMAT, "done": [asdict(one) for one in every]}, indent=1)
        save_bytes(path, text.encode(), overwrite=True)
    return every


def _keep_before(path: Path) -> None:
    if not path.exists():
        return
    old = path.read_bytes()
    kept = path.with_name(f"{path.name}.before")
    if json.loads(old)["format"] == BEFORE and not kept.exists():
        save_bytes(kept, old)
