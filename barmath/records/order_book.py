"""The order book: every order of the shop, in the record's file. Nothing in it is ever lost.

Each change of an order is a new row with the next revision; the earlier ones can still be read. Who writes says which
revision they saw: where somebody else has changed the order since, nothing is written, and they get a message.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from barmath.records.booked_order import (
    LARGEST_NUMBER,
    WITHDRAWN,
    Booked,
    BookedOrder,
    body_of_order,
    checked_number,
)
from barmath.records.record_entry import content_of
from barmath.records.record_file import RecordFile
from barmath.refusal import BendError, quoted
from barmath.shop.orders import NamedOrder, orders_from_file
from barmath.shop.which_shop import ORDERS_FILE, is_own, record_file, training_file

FIRST_DAY = "2026-03-02"
"""The day on which all orders of the training shop were taken."""

_INSERT = "insert into booked (number, revision, state, body) values (?, ?, ?, ?)"
_LATEST = "revision = (select max(revision) from booked later where later.number = booked.number)"


class OrderBook(RecordFile):
    """The order book in the record's file at `path`, made if there is none.

    Raises
    ------
    BendError
        The file is something else, damaged, or of a later format. It cannot be read or made. It is not changed
        then.
    """

    content_of = staticmethod(content_of)

    def add(self, order: BookedOrder) -> Booked:
        """Add a new order; returns its row once it is on the disk. Raises BendError where the number is taken."""
        return self._write(_checked(order), None)

    def enter(self, order: BookedOrder) -> Booked:
        """Add a new order under the next number, whatever number it has: if two enter at once, each gets its own."""
        return self._write(_checked(order), None, under_next=True)

    def change(self, order: BookedOrder, seen: Booked) -> Booked:
        """Write what an order is now, as a change of the row that was `seen`; returns the new row.

        Raises BendError where somebody else has changed the order meanwhile; nothing is written then.
        """
        return self._write(_checked(order), seen)

    def withdraw(self, seen: Booked) -> Booked:
        """Withdraw an order, which can still be read and can be changed back."""
        return self.change(replace(seen.order, state=WITHDRAWN), seen)

    def add_first(self, orders: Sequence[BookedOrder]) -> None:
        """Add the first orders of a book: all of them, or none where it has any."""
        with self._open("rw") as file:
            file.execute("begin immediate")
            self._check(file)
            if not file.execute("select exists (select 1 from booked)").fetchone()[0]:
                file.executemany(_INSERT, [(one.number, 0, one.state, body_of_order(one)) for one in orders])
            file.execute("commit")

    def order(self, number: int) -> Booked:
        """The latest row of the order of that number; raises BendError where the book has none."""
        found = self._rows(f"where number = ? and {_LATEST}", [checked_number(number)])
        if not found:
            raise BendError(f"choose another number, or enter the order first: the order book has no order {number}")
        return found[0]

    def orders(self, states: Iterable[str] | None = None) -> list[Booked]:
        """The latest row of every order in one of the `states` (of all, where none are given), by number."""
        wanted = None if states is None else list(states)
        where = "" if wanted is None else f"and state in ({', '.join('?' * len(wanted))})"
        return self._rows(f"where {_LATEST} {where} order by number", wanted or [])

    def history(self, number: int) -> list[Booked]:
        """Every row of one order, the oldest first."""
        return self._rows("where number = ? order by revision", [checked_number(number)])

    def next_number(self) -> int:
        """The number after the largest one in the book."""
        with self._open() as file:
            return _next(file)

    def _rows(self, where: str, values: Sequence[object]) -> list[Booked]:
        with self._open() as file:
            return _booked(file, where, values)

    def _write(self, order: BookedOrder, seen: Booked | None, *, under_next: bool = False) -> Booked:
        with self._open("rw") as file:
            file.execute("begin immediate")
            self._check(file)
            order = replace(order, number=_next(file)) if under_next else order
            now = _booked(file, f"where number = ? and {_LATEST}", [order.number])
            _refuse_where_changed(order.number, seen, now)
            revision = 0 if seen is None else seen.revision + 1
            file.execute(_INSERT, (order.number, revision, order.state, body_of_order(order)))
            (row,) = _booked(file, "where number = ? and revision = ?", [order.number, revision])
            file.execute("commit")
            return row


def order_book(start: str | Path = ".") -> OrderBook:
    """The order book of the shop that the notebooks work for.

    That of the training shop begins with its invented orders. Your own shop's begins with none.

    Parameters
    ----------
    start : str or Path
        Where to begin to look for the notebooks; see `barmath.shop.notebooks_folder`.

    Raises
    ------
    BendError
        No folder of notebooks is found. A file of the training shop cannot be read.

    Examples
    --------
    >>> import shutil, tempfile
    >>> from barmath.records import order_book
    >>> from barmath.shop import training_file
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = shutil.copytree(training_file().parent, f"{folder}/demo", ignore=shutil.ignore_patterns("*.db*"))
    ...     order_book(folder).order(7).order.wish.rise_mm
    90.0
    """
    book = OrderBook(record_file(start))
    if not is_own(start):
        book.add_first(training_orders(orders_from_file(training_file(ORDERS_FILE, start))))
    return book


def training_orders(named: Sequence[NamedOrder]) -> list[BookedOrder]:
    """Orders of the training shop as the book's first entries, numbered in a row.

    Parameters
    ----------
    named : sequence of NamedOrder

    Examples
    --------
    >>> from barmath.records import training_orders
    >>> from barmath.shop import orders_from_file
    >>> training_orders(orders_from_file("notebooks/demo/orders.toml"))[6].wish.rise_mm
    90.0
    """
    return [BookedOrder(place, one.order, FIRST_DAY, notes="invented") for place, one in enumerate(named, 1)]


def _checked(order: object) -> BookedOrder:
    if not isinstance(order, BookedOrder):
        raise BendError(
            f"an order of the book must be a BookedOrder, got {quoted(order)}: make one with BookedOrder(...)"
        )
    return order


def _refuse_where_changed(number: int, seen: Booked | None, now: list[Booked]) -> None:
    if seen is None:
        if now:
            raise BendError(
                f"open order {number}, or take another number: the order book has an order {number} already"
            )
        return
    if seen.number != number:
        raise BendError(
            f"number of the order must be {seen.number}, as it was opened, got {number}: open order {number} instead"
        )
    if not now or now[0].revision != seen.revision:
        raise BendError(
            f"open order {number} again: somebody else has changed it since you opened it. Their change is in the "
            "book, and yours is not written yet"
        )


def _next(file: sqlite3.Connection) -> int:
    (largest,) = file.execute("select coalesce(max(number), 0) from booked").fetchone()
    if largest >= LARGEST_NUMBER:
        raise BendError(f"begin a new record: order numbers go up to {LARGEST_NUMBER}, and that one is taken")
    return int(largest) + 1


def _booked(file: sqlite3.Connection, where: str, values: Sequence[object]) -> list[Booked]:
    rows = file.execute(f"select number, revision, body from booked {where}", list(values))
    return list(map(Booked._make, rows))
