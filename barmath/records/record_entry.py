"""What an entry of the record holds, and how it is written: bars, test bends, and withdrawals of either."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import fields
from functools import cache, cached_property
from typing import Any, NamedTuple

from barmath.closed_forms.records import Order
from barmath.fields import frozen, passing
from barmath.records.bent_bar import BentBar, TestBend, checked_text
from barmath.records.record_file import digest
from barmath.refusal import BendError

BAR, BEND, WITHDRAWAL = "bar", "test bend", "withdrawal"

UNREADABLE = (ValueError, TypeError, KeyError, RecursionError)
"""What reading an entry that was made by hand may raise."""


@frozen
class Withdrawal:
    """An earlier entry is withdrawn: `why`, in the builder's words."""

    why: str = passing(checked_text, "why", default="")


Held = BentBar | TestBend | Withdrawal


class _Row(NamedTuple):
    number: int
    corrects: int | None
    kind: str
    body: str


class Entry(_Row):
    """One entry: its number, which earlier one it corrects or withdraws (or None), its kind.

    `body` is what it holds as it was written; `holds` reads it when it is first asked for. An entry is a row of the
    file, and so a tuple: a list of 100 000 of them takes little longer than the reading of the file.
    """

    @cached_property
    def holds(self) -> Held:
        """The bar, test bend or withdrawal; raises BendError where it cannot be read."""
        try:
            return held(self.kind, self.body)
        except UNREADABLE as fault:
            raise BendError(
                f"withdraw entry {self.number} of the record, or go back to a backup: it cannot be read ({fault})"
            ) from None


def readable(entries: Iterable[Entry], faults: list[str] | None = None) -> list[Held]:
    """What the entries hold, those that cannot be read left out; why not is added to `faults`, where that is given.

    Parameters
    ----------
    entries : iterable of Entry
    faults : list of str or None
        What cannot be read is added to it.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> from barmath.records import demo_record, readable
    >>> from barmath.shop import DIE, TUBE
    >>> with TemporaryDirectory() as folder:
    ...     len(readable(demo_record(f"{folder}/record.sqlite", TUBE, DIE).entries()))
    43
    """
    found = []
    for entry in entries:
        try:
            found.append(entry.holds)
        except BendError as fault:
            if faults is not None:
                faults.append(str(fault))
    return found


def kind_of(holds: Held) -> str:
    """The kind of entry that holds this."""
    return BAR if isinstance(holds, BentBar) else BEND if isinstance(holds, TestBend) else WITHDRAWAL


def body(holds: Held) -> str:
    """An entry's values as they are written."""
    return json.dumps(_plain(holds), ensure_ascii=False)


def held(kind: str, body: str) -> Held:
    """What an entry written so holds; raises one of `UNREADABLE` where it cannot be read."""
    plain = json.loads(body)
    if kind == BAR:
        return BentBar(**{**plain, "order": Order(**plain["order"])})
    return Withdrawal(**plain) if kind == WITHDRAWAL else TestBend(**plain)


def content(holds: Held) -> str:
    """What an entry is known by when it is imported again.

    Numbers count to nine figures, because a spreadsheet keeps fifteen. Values that are as usual are left out. So a
    field of a later version changes nothing if it is not given.
    """
    usual = _usual(type(holds))  # type: ignore[arg-type]
    plain = {name: value for name, value in _plain(holds).items() if value != usual[name]}
    if isinstance(holds, BentBar):
        usual = _usual(Order)
        plain["order"] = {name: value for name, value in plain["order"].items() if value != usual[name]}
    return digest(kind_of(holds), json.dumps(_to_nine_figures(plain), sort_keys=True))


def content_of(kind: str, body: str) -> str:
    """What an entry written so is known by, whether it can be read or not."""
    try:
        return content(held(kind, body))
    except UNREADABLE:
        return digest(kind, body)


def _plain(holds: Held) -> dict[str, Any]:
    plain = {part.name: getattr(holds, part.name) for part in fields(holds)}
    if isinstance(holds, BentBar):
        plain["order"], plain["readings"] = dict(vars(holds.order)), dict(holds.readings)
    return plain


def _to_nine_figures(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _to_nine_figures(part) for name, part in value.items()}
    return float(f"{value:.9g}") + 0.0 if isinstance(value, float) else value


@cache
def _usual(record: Any) -> dict[str, Any]:
    return {part.name: {} if part.name == "readings" else part.default for part in fields(record)}
