"""A whole class from its progress files: how far each is, what is hard, which habits are seen."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from barmath.practice.course import KINDS
from barmath.practice.progress import Done, each_once, level_after, progress_from_file
from barmath.refusal import BendError, quoted
from barmath.saving import alone, make_folder, real_path

PUT_AWAY = "put away"
"""The folder, inside that of the progress files, for files that are kept and no longer read."""

OF_A_USER = "*/progress/[!.]*.json"
"""Where the files of each user are in the folder of a JupyterHub: each has a copy of the notebooks."""

_NUMBER = re.compile(r"[-+]?\d+(?:\.\d+)?")


class Standing(NamedTuple):
    """Where one apprentice is with one kind of exercise: level of the next, how many done, how many right at once."""

    level: int
    done: int
    first: int


class HabitCount(NamedTuple):
    """A habit of a kind of exercise: how many apprentices have it, and in how many exercises it was."""

    kind: str
    words: str
    apprentices: int
    times: int


class ClassOverview(NamedTuple):
    """A whole class, from its progress files.

    Attributes
    ----------
    names : tuple of str
        The apprentices, by the names that they chose.
    standings : dict of (name, kind) to Standing
        Of every kind that the apprentice has done.
    whole : dict of kind to Standing
        Of the class together; its level is the lowest of those who have done the kind.
    habits : tuple of HabitCount
        The most frequent first.
    """

    names: tuple[str, ...]
    standings: dict[tuple[str, str], Standing]
    whole: dict[str, Standing]
    habits: tuple[HabitCount, ...]

    def hardest(self) -> list[tuple[str, float]]:
        """Each kind that was done, with the share that was right at the first try; the hardest first."""
        shares = [(kind, at.first / at.done) for kind, at in self.whole.items()]
        return sorted(shares, key=lambda one: one[1])


def overview_of(progress: Mapping[str, tuple[Done, ...]]) -> ClassOverview:
    """The overview of a class; equal exercises of one apprentice count once.

    Parameters
    ----------
    progress : mapping of name to what was done

    Examples
    --------
    >>> from barmath.practice import Done
    >>> from barmath.practice.class_overview import overview_of
    >>> done = (Done("marks", 1, 1, 1, True, "2026-11-02"), Done("marks", 2, 1, 3, False, "2026-11-02"))
    >>> overview_of({"apprentice 1": done}).standings["apprentice 1", "marks"]
    Standing(level=1, done=2, first=1)
    """
    names = tuple(sorted(progress, key=_in_order))
    standings, whole = {}, {}
    once = {name: each_once(progress[name]) for name in names}
    for kind in (one.name for one in KINDS):
        for name in names:
            own = [one for one in once[name] if one.kind == kind]
            if own:
                first = sum(one.first_try for one in own)
                standings[name, kind] = Standing(level_after(once[name], kind), len(own), first)
        of_kind = [standings[name, kind] for name in names if (name, kind) in standings]
        if of_kind:
            levels, done, first_ones = zip(*of_kind, strict=True)
            whole[kind] = Standing(min(levels), sum(done), sum(first_ones))
    return ClassOverview(names, standings, whole, _habits(once))


def progress_of_folder(folder: str | Path) -> tuple[dict[str, tuple[Done, ...]], tuple[str, ...]]:
    """What each apprentice has done by name, and why files that are no progress were left out.

    Parameters
    ----------
    folder : str or Path
        Its files `NAME.json` are read. If it is the folder of a JupyterHub, with a folder of each user in it, their
        files are read too. Two users of the same name get the name of their folder after it.

    Examples
    --------
    >>> from barmath.practice.class_overview import progress_of_folder
    >>> progress_of_folder("no such folder")
    ({}, ())
    """
    held, left_out = {}, []
    own, of_users = files_in(folder), sorted(real_path(folder).glob(OF_A_USER))
    names = Counter(path.stem for path in (*own.values(), *of_users))
    for path in (*own.values(), *of_users):
        user = "" if path in own.values() else path.relative_to(real_path(folder)).parts[0]
        name = f"{path.stem} ({user})" if user and names[path.stem] > 1 else path.stem
        try:
            held[name] = progress_from_file(path)
        except BendError as refusal:
            left_out.append(str(refusal))
    return held, tuple(left_out)


def files_in(folder: str | Path) -> dict[str, Path]:
    """The files of a folder itself by name: those that can be put away or deleted.

    Examples
    --------
    >>> from barmath.practice.class_overview import files_in
    >>> files_in("an unknown folder")
    {}
    """
    return {path.stem: path for path in sorted(real_path(folder).glob("[!.]*.json"))}


def put_away(folder: str | Path, name: str) -> Path:
    """Move the file of an apprentice into the folder `put away`, and return its new place.

    A file there of the same name is kept: the new one gets a number.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from barmath.practice import Done, add_to_file
    >>> from barmath.practice.class_overview import put_away
    >>> with TemporaryDirectory() as folder:
    ...     _ = add_to_file(f"{folder}/me.json", Done("marks", 31, 1, 1, True, "2026-11-02"))
    ...     put_away(folder, "me").name
    'me.json'
    """
    path = _file_of(folder, name)
    place = make_folder(path.parent / PUT_AWAY)
    with alone(path):
        number = 1
        target = place / path.name
        while target.exists() or _before(target).exists():
            number += 1
            target = place / f"{path.stem} {number}.json"
        for one, other in ((path, target), (_before(path), _before(target))):
            _take_away(one, other)
    return target


def delete(folder: str | Path, name: str) -> None:
    """Delete the file of an apprentice, with the one of the format before that is kept beside it.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from barmath.practice import Done, add_to_file, progress_from_file
    >>> from barmath.practice.class_overview import delete
    >>> with TemporaryDirectory() as folder:
    ...     _ = add_to_file(f"{folder}/me.json", Done("marks", 31, 1, 1, True, "2026-11-02"))
    ...     delete(folder, "me")
    ...     progress_from_file(f"{folder}/me.json")
    ()
    """
    path = _file_of(folder, name)
    with alone(path):
        for one in (_before(path), path):
            _take_away(one)
    with suppress(OSError):
        path.with_name(f".{path.name}.lock").unlink()  # its name is the apprentice's too


def _file_of(folder: str | Path, name: str) -> Path:
    # only a file that is in the folder itself: a name is no path
    files = files_in(folder)
    if name not in files:
        raise BendError(f"choose one of the files in the folder, got {quoted(name)}: read the folder again")
    return files[name]


def _before(path: Path) -> Path:
    return path.with_name(f"{path.name}.before")


def _take_away(path: Path, target: Path | None = None) -> None:
    # move the file, or delete it if it goes nowhere
    if not path.exists():
        return
    try:
        if target is None:
            path.unlink()
        else:
            path.rename(target)
    except OSError as fault:
        raise BendError(
            f"close {path.name} in other programs: it could not be moved or deleted ({fault.strerror})"
        ) from None


def _in_order(name: str) -> list[tuple[int, str]]:
    # apprentice 2 before apprentice 10
    return [(int(part), "") if part.isdigit() else (-1, part.lower()) for part in re.split(r"(\d{1,9})", name) if part]


def _habits(once: Mapping[str, tuple[Done, ...]]) -> tuple[HabitCount, ...]:
    # numbers differ from one exercise to the next, the habit does not
    times: Counter[tuple[str, str]] = Counter()
    who: dict[tuple[str, str], set[str]] = {}
    for name, done in once.items():
        for one in done:
            for habit in {_NUMBER.sub("…", words) for words in one.habits}:
                times[one.kind, habit] += 1
                who.setdefault((one.kind, habit), set()).add(name)
    counts = [HabitCount(*key, len(who[key]), count) for key, count in times.items()]
    return tuple(sorted(counts, key=lambda one: (-one.apprentices, -one.times, one.kind, one.words)))
