"""The file of a record and its order book: opened, made, brought up to date, and its faults said in words.

Each entry is one transaction, on the disk before `add` returns: SQLite's rollback journal with full synchronisation. It
works on any disk a shop has (the write-ahead log does not work on network drives). A writer that is killed leaves a
journal that the next reader rolls back.
"""

from __future__ import annotations

import hashlib
import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from itertools import count
from pathlib import Path, PurePath
from urllib.parse import quote

from barmath.refusal import BendError
from barmath.saving import WAIT_SECONDS, real_path, save_bytes

APPLICATION = 0x42617221
"""A number in the file that marks it as a record of bars."""

FORMAT = 5
"""Of the file. One of an earlier format is copied, then brought up to date. One of a later format is left alone."""

BESIDE = ("-journal", "-wal", "-shm")
"""Endings of the files that SQLite keeps beside a database."""

_STAYS = "create trigger entry_stays before update on entry begin select raise(abort, 'entries are never changed'); end"
_BOOK = (
    """create table booked (
    id integer primary key,
    number integer not null,
    revision integer not null,
    added text not null default (strftime('%Y-%m-%dT%H:%M:%SZ', 'now')),
    state text not null,
    body text not null,
    unique (number, revision)
    )""",
    "create trigger booked_stays before update on booked begin select raise(abort, 'orders are never changed'); end",
    "create trigger booked_kept before delete on booked begin select raise(abort, 'orders are never removed'); end",
)
"""The order book: each change of an order is a row of its own."""
_TABLES = (
    """create table entry (
    id integer primary key,
    kind text not null,
    corrects integer references entry (id),
    added text not null default (strftime('%Y-%m-%dT%H:%M:%SZ', 'now')),
    rise_mm real, backsweep_deg real, upsweep_deg real, width_mm real,
    die text not null, tube text not null, batch text not null, date text not null,
    body text not null,
    name text not null default '', content text not null default '', origin text not null default ''
    )""",
    "create index entry_rise on entry (kind, die, tube, rise_mm)",
    "create index entry_batch on entry (batch)",
    "create index entry_corrects on entry (corrects) where corrects is not null",
    "create index entry_content on entry (content)",
    "create index entry_origin on entry (origin) where origin <> ''",
    _STAYS,
    "create trigger entry_kept before delete on entry begin select raise(abort, 'entries are never removed'); end",
    *_BOOK,
    f"pragma application_id = {APPLICATION}",
    f"pragma user_version = {FORMAT}",
)
_UPGRADES = {
    # from format 1, which had no batch of its own
    1: (
        "drop trigger if exists entry_stays",
        "alter table entry add column batch text not null default ''",
        "update entry set batch = coalesce(json_extract(body, '$.batch'), '') where json_valid(body)",
        _STAYS,
        "create index entry_batch on entry (batch)",
    ),
    # from format 2, which had no names to list, and nothing to know an entry by when it is imported again
    2: (
        "drop trigger if exists entry_stays",
        "alter table entry add column name text not null default ''",
        "alter table entry add column content text not null default ''",
        "alter table entry add column origin text not null default ''",
        "update entry set name = coalesce(json_extract(body, '$.name'), '') where json_valid(body)",
        "update entry set content = content_of(kind, body)",
        _STAYS,
        "create index entry_content on entry (content)",
        "create index entry_origin on entry (origin) where origin <> ''",
    ),
    # from format 3, which had no order book
    3: _BOOK,
    # from format 4, in which no order was begun: an earlier notebook could not read one
    4: (),
}
_OTHER_FILE = "is no record of bars"


class RecordFile:
    """The SQLite file at `path`. It is made if there is none, and brought up to date if its version is earlier.

    Raises
    ------
    BendError
        The file is something else, damaged, or of a later format. It cannot be read or made. It is not changed
        then.
    """

    content_of: Callable[[str, str], str]
    """What an entry is known by when it is imported again, from its kind and body."""

    def __init__(self, path: str | Path) -> None:
        self.path = Path(path)
        with self._open("" if self.path.exists() else "rwc") as file:
            if not _value(file, "pragma page_count"):  # new, or left empty by a maker that was killed
                self._make(file)
            self._check(file)
            version = _value(file, "pragma user_version")
        if version < FORMAT:
            self._upgrade()

    def backup(self, path: str | Path) -> Path:
        """A copy of the whole record at `path`, whole or not at all; raises BendError where one is there already."""
        self.refuse_own(path)
        with self._open() as file:
            return save_bytes(path, file.serialize())

    def refuse_own(self, path: str | Path) -> None:
        """Raise BendError where `path`, however it is spelled, is the record or a file that SQLite keeps beside it."""
        wanted, own = real_path(path), real_path(self.path)
        for ending in ("", *BESIDE):
            one = own.with_name(own.name + ending)
            same = str(one).casefold() == str(wanted).casefold()
            with suppress(OSError):
                same = os.path.samefile(one, wanted)
            if same:
                raise BendError(f"Choose another name: {wanted.name} is the record itself, and was not saved")

    @contextmanager
    def _open(self, mode: str = "") -> Iterator[sqlite3.Connection]:
        # a reader too opens for writing if it may: it may have to roll back what a killed writer left
        mode = mode or ("rw" if os.access(self.path, os.W_OK) else "ro")
        try:
            uri = database_uri(real_path(self.path), mode)
            file = sqlite3.connect(uri, uri=True, timeout=WAIT_SECONDS, isolation_level=None)
        except UnicodeError:
            raise BendError(f"Choose a name of plain letters: {self.path!r:.80} cannot be opened") from None
        except (sqlite3.Error, OSError) as fault:
            raise BendError(self._cannot(fault)) from None
        try:
            file.execute("pragma synchronous = full")
            yield file
        except (sqlite3.Error, OSError, UnicodeError) as fault:
            raise BendError(self._cannot(fault)) from None
        finally:
            file.close()

    def _make(self, file: sqlite3.Connection) -> None:
        # others may be making it at the same moment: the one who gets the lock looks once more
        file.execute("begin immediate")
        if not _value(file, "select count(*) from sqlite_master"):
            for statement in _TABLES:
                file.execute(statement)
        file.execute("commit")

    def _upgrade(self) -> None:
        # one transaction, so that others wait and a killed upgrade leaves the file as it was; a copy beside it first
        with self._open("rw") as file:
            file.create_function("content_of", 2, self.content_of, deterministic=True)
            file.execute("begin immediate")
            version = _value(file, "pragma user_version")  # another one may have done it meanwhile
            if version < FORMAT:
                self._copy(file, version)
            for step in range(version, FORMAT):
                for statement in _UPGRADES[step]:
                    file.execute(statement)
            file.execute(f"pragma user_version = {FORMAT}")
            file.execute("commit")

    def _copy(self, file: sqlite3.Connection, version: int) -> None:
        content = file.serialize()
        for number in count(1):
            ending = f".format-{version}" if number == 1 else f".format-{version}-{number}"
            copy = self.path.with_name(self.path.name + ending)
            if not copy.exists():
                save_bytes(copy, content)
            if copy.read_bytes() == content:
                return

    def _check(self, file: sqlite3.Connection) -> None:
        version = _value(file, "pragma user_version")
        if _value(file, "pragma application_id") != APPLICATION:
            raise BendError(f"Choose another file: {self.path.name} {_OTHER_FILE}")
        if version > FORMAT:
            raise BendError(
                f"{self.path.name} must be of format {FORMAT} or earlier, got format {version}, from a newer notebook: "
                "install the newest version of the notebook; the file was not changed"
            )

    def _cannot(self, fault: Exception) -> str:
        words, name = str(fault), self.path.name
        if "not a database" in words:
            return f"Choose another file: {name} {_OTHER_FILE}"
        if "malformed" in words or "corrupt" in words or isinstance(fault, UnicodeError):
            return f"Go back to a backup: {name} is damaged, and was not changed"
        if "readonly" in words or "read-only" in words:
            return f"Allow writing to {name}, or choose another file: nothing was added"
        if "full" in words:
            return f"Make room: the disk of {name} is full, and nothing was added"
        if "locked" in words or "busy" in words:
            return f"Try again: {name} is in use by somebody else, and nothing was added"
        if "disk I/O" in words and not os.access(self.path.parent, os.W_OK):
            return f"Allow writing to {name}, or choose another file: nothing was added"
        if "unable to open" in words:
            return f"Choose another place: {name} cannot be opened in {self.path.parent}"
        return f"Try again, or go back to a backup: {name} cannot be used ({words}), and nothing was added"


def database_uri(path: PurePath, mode: str) -> str:
    r"""The absolute `path` as SQLite's URI, with a `mode` of ro, rw or rwc.

    SQLite takes no host in a URI: the folder `\\server\share` has to be written as the path `//server/share`.
    Source: sqlite.org/uri.html, sections 3.1 and 3.3.
    """
    place = path.as_posix()
    return f"file://{'' if place.startswith('/') else '/'}{quote(place, '/:', errors='surrogateescape')}?mode={mode}"


def digest(*parts: str) -> str:
    """A short name for some texts: equal texts have equal ones."""
    return hashlib.sha256("\x1f".join(parts).encode("utf-8", "surrogatepass")).hexdigest()[:32]


def _value(file: sqlite3.Connection, statement: str) -> int:
    return int(file.execute(statement).fetchone()[0])
