"""Which order was open last: a page that is opened again, and the page opened after it, begin with it."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from barmath.refusal import BendError
from barmath.saving import save_bytes

FILE = "last_order.txt"
"""Beside the record."""

MOST_DIGITS = 6


def last_order(record_file: Path) -> int:
    """The number of the order that was open last in the shop of that record, 0 where none is known."""
    try:
        text = record_file.with_name(FILE).read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError):
        return 0
    return int(text) if text.isdecimal() and len(text) <= MOST_DIGITS else 0


def keep_last_order(record_file: Path, number: int) -> None:
    """Remember that order; where the folder cannot be written to, the next page begins without it."""
    with suppress(BendError):
        save_bytes(record_file.with_name(FILE), f"{number}\n".encode(), overwrite=True)
