"""The shop's record: every bar and test bend in one SQLite file beside the shop's own file. Nothing is ever lost.

Entries are only added. A correction is a new entry that names the one it corrects; the earlier one stays readable, and
what is current is what nobody has corrected. Each entry is one transaction, on the disk before `add` returns: SQLite's
rollback journal with full synchronisation, which works on any disk a shop has (the write-ahead log does not work on
network drives). A writer that is killed leaves a journal that the next reader rolls back.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict, dataclass, fields
from pathlib import Path
from typing import Any

from barmath.bar import Order
from barmath.bent_bar import BentBar, TestBend
from barmath.refusal import BendError, told
from barmath.saving import save_bytes

APPLICATION = 0x42617221
"""Marks the file as a record of bars."""

FORMAT = 2
"""Of the file. A file of an earlier one is copied and then brought up to date, one of a later one left alone."""

WAIT_SECONDS = 20.0
"""How long a writer waits for another one to finish."""

BAR, BEND = "bar", "test bend"

_TABLES = (
    """create table entry (
    id integer primary key,
    kind text not null,
    corrects integer references entry (id),
    added text not null default (strftime('%Y-%m-%dT%H:%M:%SZ', 'now')),
    rise_mm real, backsweep_deg real, upsweep_deg real, width_mm real,
    die text not null, tube text not null, batch text not null, date text not null,
    body text not null
    )""",
    "create index entry_rise on entry (kind, die, tube, rise_mm)",
    "create index entry_batch on entry (batch)",
    "create index entry_corrects on entry (corrects) where corrects is not null",
    "create trigger entry_stays before update on entry begin select raise(abort, 'entries are never changed'); end",
    "create trigger entry_kept before delete on entry begin select raise(abort, 'entries are never removed'); end",
    f"pragma application_id = {APPLICATION}",
    f"pragma user_version = {FORMAT}",
)
_INSERT = (
    "insert into entry (kind, corrects, rise_mm, backsweep_deg, upsweep_deg, width_mm, die, tube, batch, date, body) "
    "values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)
_UPGRADES = {
    # from format 1, which had no batch of its own
    1: (
        "drop trigger entry_stays",
        "alter table entry add column batch text not null default ''",
        "update entry set batch = coalesce(json_extract(body, '$.batch'), '')",
        "create trigger entry_stays before update on entry begin select raise(abort, 'entries are never changed'); end",
        "create index entry_batch on entry (batch)",
    ),
}
_CURRENT = "not exists (select 1 from entry later where later.corrects = entry.id)"
_OTHER_FILE = "is no record of bars"
_NUMBERS = range(1, 2**63)
"""What an entry can be numbered: SQLite's own whole numbers."""


@dataclass(frozen=True)
class Entry:
    """One entry: its number, which earlier one it corrects (or None), when it was added (UTC), and what it holds."""

    number: int
    corrects: int | None
    added: str
    holds: BentBar | TestBend


class Record:
    """A record of bars in the file at `path`, made where there is none.

    Raises
    ------
    BendError
        Where the file is something else, damaged, of a later format, or cannot be read or made; it is left as it was.
    """

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        with self._open("" if self.path.exists() else "rwc") as file:
            if not file.execute("select count(*) from sqlite_master").fetchone()[0]:
                self._make(file)
            self._check(file)
            version = file.execute("pragma user_version").fetchone()[0]
        if version < FORMAT:
            self._upgrade(version)

    def add(self, holds: BentBar | TestBend, corrects: int | None = None) -> int:
        """Add an entry, or a correction of the entry numbered `corrects`; returns its number once it is on the disk."""
        if not isinstance(holds, BentBar | TestBend):
            raise BendError(f"an entry must be a bar or a test bend, got {type(holds).__name__}")
        with self._open("rw") as file:
            file.execute("begin immediate")
            self._check(file)
            if corrects is not None:
                self._check_corrects(file, corrects)
            number = file.execute(_INSERT, (*_columns(holds, corrects), _body(holds))).lastrowid
            file.execute("commit")
            return int(number or 0)

    def add_all(self, many: list[BentBar | TestBend]) -> None:
        """Add many entries at once: all of them, or none."""
        with self._open("rw") as file:
            file.execute("begin immediate")
            self._check(file)
            file.executemany(_INSERT, ((*_columns(one, None), _body(one)) for one in many))
            file.execute("commit")

    def entries(self, kind: str | None = None, *, corrected: bool = False) -> list[Entry]:
        """All current entries of a `kind` (BAR or BEND), oldest first; with `corrected`, those since corrected too."""
        where = ["1"] if corrected else [_CURRENT]
        values: list[Any] = []
        if kind is not None:
            where.append("kind = ?")
            values.append(kind)
        with self._open() as file:
            return _entries(file, f"where {' and '.join(where)} order by id", values)

    def bars(self) -> list[BentBar]:
        """The current bars, oldest first."""
        return [entry.holds for entry in self.entries(BAR) if isinstance(entry.holds, BentBar)]

    def bends(self) -> list[TestBend]:
        """The current test bends, oldest first."""
        return [entry.holds for entry in self.entries(BEND) if isinstance(entry.holds, TestBend)]

    def entry(self, number: int) -> Entry:
        """The entry of that number, current or not; raises BendError where there is none."""
        with self._open() as file:
            found = _entries(file, "where id = ?", [number]) if number in _NUMBERS else []
        if not found:
            raise BendError(f"entry must be one of the record's, got number {told(number)}: look it up again")
        return found[0]

    def recent(self, kind: str, die: str, tube: str, batch: str | None = None, most: int = 400) -> list[Entry]:
        """The latest current entries of a kind made on a die from a tube (of one batch, or of all), oldest first."""
        where, values = ["kind = ?", "die = ?", "tube = ?", _CURRENT], [kind, die, tube]
        if batch is not None:
            where.append("batch = ?")
            values.append(batch)
        with self._open() as file:
            return _entries(file, f"where {' and '.join(where)} order by id desc limit ?", [*values, most])[::-1]

    def batches(self) -> list[str]:
        """The batches that any entry names, in the order of the alphabet."""
        with self._open() as file:
            return [row[0] for row in file.execute("select distinct batch from entry where batch <> '' order by batch")]

    def count(self) -> int:
        """How many current entries there are."""
        with self._open() as file:
            return int(file.execute(f"select count(*) from entry where {_CURRENT}").fetchone()[0])

    def nearest(
        self, order: Order, alike: Mapping[str, float], die: str, tube: str, other: int, most: int
    ) -> list[Entry]:
        """Current bars that differ in `other` of die and tube (0, 1 or 2), the `most` nearest to one `order`.

        Differences of the order's values are counted in those of `alike` and squared; an upsweep ordered of one of two
        bars only counts as one difference.
        """
        squares, values = _squares(order, alike)
        tools = "die = ? and tube = ?" if other == 0 else f"(die <> ?) + (tube <> ?) = {other:d}"
        rise, rows = float(order.rise_mm), []
        with self._open() as file:
            for differences in (1.0, 8.0, 1e9):  # the index finds the bars about that rise: all are seldom looked at
                within = differences * alike["rise_mm"]
                rows = file.execute(
                    f"select id, {squares} as far from entry where kind = ? and {tools} and {_CURRENT} "
                    "and rise_mm between ? and ? order by far, id limit ?",
                    [*values, BAR, die, tube, rise - within, rise + within, most],
                ).fetchall()
                if len(rows) == most and rows[-1][1] <= differences**2:
                    break
            return [entry for number, _ in rows for entry in _entries(file, "where id = ?", [number])]

    def backup(self, path: str | Path) -> Path:
        """A copy of the whole record at `path`, whole or not at all; raises BendError where one is there already."""
        with self._open() as file:
            return save_bytes(path, file.serialize())

    @contextmanager
    def _open(self, mode: str = "") -> Iterator[sqlite3.Connection]:
        # a reader, too, may have to roll back what a killed writer left, and so opens for writing where it may
        mode = mode or ("rw" if os.access(self.path, os.W_OK) else "ro")
        try:
            uri = f"{self.path.resolve().as_uri()}?mode={mode}"
            file = sqlite3.connect(uri, uri=True, timeout=WAIT_SECONDS, isolation_level=None)
        except (sqlite3.Error, OSError, ValueError) as fault:
            raise BendError(self._cannot(fault)) from None
        try:
            file.execute("pragma synchronous = full")
            yield file
        except (sqlite3.Error, OSError) as fault:
            raise BendError(self._cannot(fault)) from None
        finally:
            file.close()

    def _make(self, file: sqlite3.Connection) -> None:
        # others may be making it at the same moment: whoever gets the lock looks once more
        file.execute("begin immediate")
        if not file.execute("select count(*) from sqlite_master").fetchone()[0]:
            for statement in _TABLES:
                file.execute(statement)
        file.execute("commit")

    def _upgrade(self, version: int) -> None:
        # a copy beside it first; then all of it in one transaction, so that a killed upgrade leaves the file as it was
        copy = self.path.with_name(f"{self.path.name}.format-{version}")
        if not copy.exists():
            self.backup(copy)
        with self._open("rw") as file:
            file.execute("begin immediate")
            for step in range(file.execute("pragma user_version").fetchone()[0], FORMAT):
                for statement in _UPGRADES[step]:
                    file.execute(statement)
            file.execute(f"pragma user_version = {FORMAT}")
            file.execute("commit")

    def _check(self, file: sqlite3.Connection) -> None:
        application = file.execute("pragma application_id").fetchone()[0]
        version = file.execute("pragma user_version").fetchone()[0]
        if application != APPLICATION:
            raise BendError(f"{self.path.name} {_OTHER_FILE}: choose another file")
        if version > FORMAT:
            raise BendError(
                f"{self.path.name} must be of format {FORMAT} at most, got {version}, of a later version of this "
                "notebook: bring the notebook up to date; the file is left as it is"
            )

    def _check_corrects(self, file: sqlite3.Connection, number: int) -> None:
        if number not in _NUMBERS or not file.execute("select 1 from entry where id = ?", (number,)).fetchone():
            raise BendError(f"entry must be one of the record's, got number {told(number)}: look it up again")
        later = file.execute("select id from entry where corrects = ?", (number,)).fetchone()
        if later:
            raise BendError(
                f"entry to correct must be a current one, got number {number}, corrected by number {later[0]} already: "
                "correct that one"
            )

    def _cannot(self, fault: Exception) -> str:
        words, name = str(fault), self.path.name
        if "not a database" in words:
            return f"{name} {_OTHER_FILE}: choose another file"
        if "malformed" in words or "corrupt" in words:
            return f"{name} is damaged and was left as it is: go back to a backup"
        if "readonly" in words or "read-only" in words:
            return f"{name} may not be written to: nothing was added"
        if "full" in words:
            return f"{name}: the disk is full, nothing was added: make room"
        if "locked" in words or "busy" in words:
            return f"{name} is in use by somebody else, nothing was added: try again"
        if "disk I/O" in words and not os.access(self.path.parent, os.W_OK):
            return f"{name} may not be written to: nothing was added"
        if "unable to open" in words:
            return f"{name} cannot be opened in {self.path.parent}: choose another place"
        return f"{name} cannot be used ({words}): nothing was added"


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


def _columns(holds: BentBar | TestBend, corrects: int | None) -> tuple[Any, ...]:
    if isinstance(holds, BentBar):
        order = holds.order
        measures = (order.rise_mm, order.backsweep_deg, order.upsweep_deg, order.width_mm)
        return (BAR, corrects, *measures, holds.die, holds.tube, holds.batch, holds.date)
    return (BEND, corrects, None, None, None, None, holds.die, holds.tube, holds.batch, holds.date)


def _body(holds: BentBar | TestBend) -> str:
    return json.dumps(_plain(holds), ensure_ascii=False)


def _plain(holds: BentBar | TestBend) -> dict[str, Any]:
    plain = {part.name: getattr(holds, part.name) for part in fields(holds)}
    if isinstance(holds, BentBar):
        plain["order"], plain["readings"] = asdict(holds.order), dict(holds.readings)
    return plain


def _entries(file: sqlite3.Connection, where: str, values: list[Any]) -> list[Entry]:
    rows = file.execute(f"select id, kind, corrects, added, body from entry {where}", values)
    return [Entry(number, corrects, added, _held(kind, body)) for number, kind, corrects, added, body in rows]


def _held(kind: str, body: str) -> BentBar | TestBend:
    try:
        plain = json.loads(body)
        if kind == BAR:
            return BentBar(**{**plain, "order": Order(**plain["order"])})
        return TestBend(**plain)
    except (ValueError, TypeError, KeyError, RecursionError) as fault:
        raise BendError(f"an entry of the record cannot be understood ({fault}): go back to a backup") from None
