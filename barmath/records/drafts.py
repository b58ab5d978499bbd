"""Drafts: what is set on a page and not entered yet. They are beside the record, so that a dead kernel loses nothing.

Each page that is open has its own draft, and writes only that one. So two pages never write over each other.
"""

from __future__ import annotations

import json
from collections.abc import Collection
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from barmath.refusal import BendError
from barmath.saving import alone, save_bytes

DRAFTS_FILE = "drafts.json"
"""Beside the record."""

LARGEST_FILE = 2_000_000  # bytes: a thousand drafts


@dataclass(frozen=True)
class Draft:
    """What is set on one page.

    `page` says which panel it is, and `number` which order (0: none). `owner` is the page that wrote it, and `when` the
    time. `revision` is that of the order when it was opened, and `values` what is set, row by row.
    """

    page: str
    number: int
    owner: str
    when: str
    revision: int
    values: list[Any]


class Drafts:
    """The drafts beside the record at `record_file`."""

    def __init__(self, record_file: Path) -> None:
        self.path = record_file.with_name(DRAFTS_FILE)

    def of_page(self, page: str, number: int | None = None) -> list[Draft]:
        """The drafts of a page, of one order or of all, the newest last; raises BendError where they cannot be read."""
        return [one for one in self._read() if one.page == page and number in (None, one.number)]

    def keep(self, draft: Draft) -> set[str]:
        """Write a draft in place of its owner's last one of that order; returns the others who have one of it."""
        with alone(self.path):
            others = [one for one in self._read() if not _same(one, draft.page, draft.number, {draft.owner})]
            self._write([*others, draft])
        return {one.owner for one in others if (one.page, one.number) == (draft.page, draft.number)}

    def drop(self, page: str, number: int, owners: Collection[str]) -> None:
        """Take out the drafts that these owners have of an order."""
        with alone(self.path):
            before = self._read()
            kept = [one for one in before if not _same(one, page, number, owners)]
            if len(kept) < len(before):
                self._write(kept)

    def _read(self) -> list[Draft]:
        try:
            if not self.path.is_file():
                return []
            if self.path.stat().st_size > LARGEST_FILE:
                raise ValueError("too large")
            return [_checked(Draft(**one)) for one in json.loads(self.path.read_text(encoding="utf-8"))]
        except (OSError, ValueError, TypeError, RecursionError):
            raise BendError(
                f"{self.path.name} must be a file of drafts, got something else: move it away. Until then no draft is "
                "kept of what you set"
            ) from None

    def _write(self, drafts: list[Draft]) -> None:
        save_bytes(self.path, json.dumps([asdict(one) for one in drafts], indent=1).encode(), overwrite=True)


def _same(one: Draft, page: str, number: int, owners: Collection[str]) -> bool:
    return (one.page, one.number) == (page, number) and one.owner in owners


def _checked(draft: Draft) -> Draft:
    texts = all(isinstance(text, str) for text in (draft.page, draft.owner, draft.when))
    if not (texts and type(draft.number) is int and type(draft.revision) is int and isinstance(draft.values, list)):
        raise ValueError("no draft")
    return draft
