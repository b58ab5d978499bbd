"""Heads and rows of a table of which one row is picked: words and numbers, no widgets."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Head:
    """The head of a column: its words, and whether its cells are numbers."""

    words: str
    number: bool = False


@dataclass(frozen=True)
class Row:
    """A row: its key, the words of its cells, and by what each column sorts it (None comes last).

    A cell of None is taken up by the cell before it. `bad` is for what cannot be made: its row is grey.
    """

    key: int
    cells: tuple[str | None, ...]
    sizes: tuple[float | str | None, ...]
    bad: bool = False
