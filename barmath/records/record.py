"""The shop's record: every bar and test bend in one SQLite file beside the shop's own file. Nothing is ever lost.

Entries are only added. A correction is a new entry that names the one it corrects, and so is a withdrawal; the earlier
one can still be read, and what is current is what nobody has corrected or withdrawn. `record_file` keeps the file.
"""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from barmath.closed_forms.records import Order
from barmath.records.bent_bar import BentBar, TestBend
from barmath.records.record_entry import (
    BAR,
    BEND,
    WITHDRAWAL,
    Entry,
    Held,
    Withdrawal,
    body,
    content,
    content_of,
    kind_of,
    readable,
)
from barmath.records.record_file import RecordFile
from barmath.refusal import BendError, quoted

_COLUMNS = "kind, corrects, rise_mm, backsweep_deg, upsweep_deg, width_mm, die, tube, batch, date, name, content, body"
_INSERT = f"insert into entry ({_COLUMNS}, origin) values ({', '.join('?' * 14)})"
_CURRENT = f"kind <> '{WITHDRAWAL}' and not exists (select 1 from entry later where later.corrects = entry.id)"
# a + before a column keeps SQLite from an index that would have all of it sorted again
_LARGEST = 2**63 - 1
"""What an entry can be numbered at most: the largest of SQLite's own whole numbers."""


@dataclass(frozen=True)
class Listed:
    """One entry as a list shows it: number, name and date."""

    number: int
    name: str
    date: str


@dataclass(frozen=True)
class Imported:
    """What came of an import: how many bars were `added`, and how many were `known` to the record already."""

    added: int
    known: int


class Record(RecordFile):
    """A record of bars in the file at `path`, made if there is none.

    Raises
    ------
    BendError
        The file is something else, damaged, or of a later format. It cannot be read or made. It is not changed
        then.
    """

    content_of = staticmethod(content_of)

    def add(self, holds: BentBar | TestBend, corrects: int | None = None) -> int:
        """Add an entry, or a correction of the entry numbered `corrects`; returns its number once it is on the disk."""
        return self._add(_checked(holds), corrects)

    def withdraw(self, number: int, why: str = "") -> int:
        """Withdraw the entry of that `number`, which can still be read; returns the number of the withdrawal.

        To bring the bar back, add it as a correction of the withdrawal.
        """
        return self._add(Withdrawal(why), _checked_number(number))

    def add_all(self, many: Sequence[BentBar | TestBend]) -> None:
        """Add many entries at once: all of them, or none."""
        with self._open("rw") as file:
            file.execute("begin immediate")
            self._check(file)
            file.executemany(_INSERT, (_row(_checked(one), None, "") for one in many))
            file.execute("commit")

    def import_all(self, bars: Sequence[BentBar], origins: Sequence[str]) -> Imported:
        """Add the bars of a sheet that the record does not have yet: all of them, or none.

        A bar is known if an entry, current or not, holds the same. It is also known if its row of a sheet was taken
        before and has not been withdrawn. Of bars that are the same in everything, as many are kept as one sheet has.

        Parameters
        ----------
        bars : sequence of BentBar
        origins : sequence of str
            What each bar's row of the sheet is known by, one for each bar.
        """
        seen: Counter[str] = Counter()
        new = []
        with self._open("rw") as file:
            file.execute("begin immediate")
            self._check(file)
            for bar, origin in zip(bars, origins, strict=True):
                same = content(_checked(bar))
                seen[same] += 1
                (held,) = file.execute("select count(*) from entry where content = ?", (same,)).fetchone()
                taken = f"select 1 from entry where origin = ? and {_CURRENT}"
                if held < seen[same] and not file.execute(taken, (origin,)).fetchone():
                    new.append(_row(bar, None, origin))
            file.executemany(_INSERT, new)
            file.execute("commit")
        return Imported(len(new), len(bars) - len(new))

    def entries(self, kind: str | None = None, *, corrected: bool = False) -> list[Entry]:
        """All current entries of a `kind` (BAR or BEND), oldest first.

        With `corrected`, also those since corrected or withdrawn, and the withdrawals.
        """
        where = ["1"] if corrected else [_CURRENT]
        values: list[Any] = []
        if kind is not None:
            where.append("+kind = ?")
            values.append(kind)
        with self._open() as file:
            return _entries(file, f"where {' and '.join(where)} order by id", values)

    def listed(self, kind: str, most: int) -> list[Listed]:
        """The latest current entries of a kind for a list, the newest first, at most so many."""
        with self._open() as file:
            where = f"where +kind = ? and {_CURRENT} order by id desc limit ?"
            return [Listed(*row) for row in file.execute(f"select id, name, date from entry {where}", (kind, most))]

    def bars(self) -> list[BentBar]:
        """The current bars that can be read, oldest first."""
        return [one for one in readable(self.entries(BAR)) if isinstance(one, BentBar)]

    def bends(self) -> list[TestBend]:
        """The current test bends that can be read, oldest first."""
        return [one for one in readable(self.entries(BEND)) if isinstance(one, TestBend)]

    def entry(self, number: int) -> Entry:
        """The entry of that number, current or not; raises BendError if there is none, or it cannot be read."""
        with self._open() as file:
            found = _entries(file, "where id = ?", [_checked_number(number)])
        if not found:
            raise _not_there(number)
        _ = found[0].holds  # refused here where it cannot be read
        return found[0]

    def recent(self, kind: str, die: str, tube: str, batch: str | None = None, most: int = 400) -> list[Entry]:
        """The latest current entries of a kind, made on a die from a tube (one batch or all), oldest first."""
        where, values = ["kind = ?", "die = ?", "tube = ?", _CURRENT], [kind, die, tube]
        if batch is not None:
            where.append("batch = ?")
            values.append(batch)
        latest = f"select id from entry where {' and '.join(where)} order by id desc limit ?"
        with self._open() as file:
            return _entries(file, f"where id in ({latest}) order by id", [*values, most])

    def batches(self) -> list[str]:
        """The batches that any entry names, from A to Z."""
        with self._open() as file:
            return [row[0] for row in file.execute("select distinct batch from entry where batch <> '' order by batch")]

    def count(self) -> int:
        """How many current entries there are."""
        with self._open() as file:
            return int(file.execute(f"select count(*) from entry where {_CURRENT}").fetchone()[0])

    def has_named(self, kind: str, name: str) -> bool:
        """Whether an entry of a kind, current or not, has that name."""
        with self._open() as file:
            named = "select exists (select 1 from entry where +kind = ? and name = ?)"
            return bool(file.execute(named, (kind, name)).fetchone()[0])

    def nearest(
        self, order: Order, alike: Mapping[str, float], die: str, tube: str, other: int, most: int
    ) -> list[Entry]:
        """Current bars that differ in `other` of die and tube (0, 1 or 2), the `most` nearest to one `order`.

        Differences of the order's values are counted in those of `alike` and squared; an upsweep ordered of one of two
        bars only counts as one difference. Bars that cannot be read are passed over.
        """
        squares, values = _squares(order, alike)
        tools = "die = ? and tube = ?" if other == 0 else f"(die <> ?) + (tube <> ?) = {other:d}"
        rise, found = float(order.rise_mm), []
        with self._open() as file:
            for differences in (1.0, 8.0, 1e9):  # the index finds the bars about that rise: all are rarely looked at
                within = differences * alike["rise_mm"]
                rows = file.execute(
                    f"select id, {squares} as far from entry where kind = ? and {tools} and {_CURRENT} "
                    "and rise_mm between ? and ? order by far, id",
                    [*values, BAR, die, tube, rise - within, rise + within],
                )
                found = _nearest_readable(file, rows, most)
                if len(found) == most and found[-1][1] <= differences**2:
                    break
            return [entry for entry, _ in found]

    def _add(self, holds: Held, corrects: int | None) -> int:
        with self._open("rw") as file:
            file.execute("begin immediate")
            self._check(file)
            origin = ""
            if corrects is not None:
                corrects, kind, origin = self._corrected(file, corrects)
                if kind == WITHDRAWAL and isinstance(holds, Withdrawal):
                    raise BendError(
                        f"entry to withdraw must be a bar or a test bend, got number {corrects}, a withdrawal: "
                        "to bring back what it withdrew, correct it"
                    )
            number = file.execute(_INSERT, _row(holds, corrects, origin)).lastrowid
            file.execute("commit")
            return int(number or 0)

    def _corrected(self, file: sqlite3.Connection, number: int) -> tuple[int, str, str]:
        number = _checked_number(number)
        found = file.execute("select kind, origin from entry where id = ?", (number,)).fetchone()
        if not found:
            raise _not_there(number)
        later = file.execute("select id, kind from entry where corrects = ?", (number,)).fetchone()
        if later:
            done = "withdrawn" if later[1] == WITHDRAWAL else "corrected"
            raise BendError(
                f"entry to correct must be a current one, got number {number}, {done} by number {later[0]} already: "
                "correct that one"
            )
        return number, *found


def _checked(holds: BentBar | TestBend) -> BentBar | TestBend:
    if not isinstance(holds, BentBar | TestBend):
        raise BendError(f"an entry must be a bar or a test bend, got {type(holds).__name__}: give one of these")
    return holds


def _checked_number(number: Any) -> int:
    whole = isinstance(number, int | np.integer) and not isinstance(number, bool)
    if not whole or not 1 <= int(number) <= _LARGEST:
        raise _not_there(number)
    return int(number)


def _not_there(number: object) -> BendError:
    return BendError(f"entry must be one of the record's, got number {quoted(number)}: look it up again")


def _nearest_readable(file: sqlite3.Connection, rows: Iterable[Any], most: int) -> list[tuple[Entry, float]]:
    found: list[tuple[Entry, float]] = []
    for number, far in rows:
        (entry,) = _entries(file, "where id = ?", [number])
        if readable([entry]):
            found.append((entry, far))
        if len(found) == most:
            break
    return found


def _squares(order: Order, alike: Mapping[str, float]) -> tuple[str, list[float]]:
    # the columns are named as the order's values are
    terms, values = [], []
    for name, one in alike.items():
        wanted = getattr(order, name)
        if wanted is None:
            terms.append(f"({name} is not null)")
        else:
            terms.append(f"coalesce(({name} - ?) * ({name} - ?) / ?, 1.0)")
            values += [float(wanted), float(wanted), one**2]
    return " + ".join(terms), values


def _row(holds: Held, corrects: int | None, origin: str) -> tuple[Any, ...]:
    # sorted as _COLUMNS, and where it comes from
    order = holds.order if isinstance(holds, BentBar) else None
    measures = (order.rise_mm, order.backsweep_deg, order.upsweep_deg, order.width_mm) if order else (None,) * 4
    words = (getattr(holds, part, "") for part in ("die", "tube", "batch", "date", "name"))
    return (kind_of(holds), corrects, *measures, *words, content(holds), body(holds), origin)


def _entries(file: sqlite3.Connection, where: str, values: list[Any]) -> list[Entry]:
    rows = file.execute(f"select id, corrects, kind, body from entry {where}", values)
    return list(map(Entry._make, rows))
