"""The small pieces of HTML that panels show: headings, paragraphs, lists and tables; every word is escaped."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from html import escape

LONGEST_NUMBER = 24
"""Letters of a cell beyond which it holds words, also in a column of numbers."""


def heading(words: str) -> str:
    """A heading inside a panel."""
    return f"<h4>{escape(words)}</h4>"


def paragraph(words: str, lead: str = "") -> str:
    """A paragraph, opened by `lead` in bold."""
    opening = f"<b>{escape(lead)}</b> " if lead else ""
    return f'<p class="barmath">{opening}{escape(words)}</p>'


def bullets(items: Iterable[str]) -> str:
    """A list without numbers; nothing if there are no items."""
    return _listed("ul", items)


def numbered(items: Iterable[str]) -> str:
    """A list of steps; nothing if there are no items."""
    return _listed("ol", items)


def table(
    rows: Iterable[Sequence[str]], head: Sequence[str] = (), *, words: Collection[int] = (0,), caption: str = ""
) -> str:
    """Cells in rows, below the names of their columns.

    Parameters
    ----------
    rows : rows of equally many str
    head : names of the columns; none where a row's first cell says what is beside it
    words : columns, counted from 0, that hold words: to the left, and free to wrap. The others hold numbers: to the
        right, in figures of one width, wrapped only after a comma and before a ±. A cell of more than `LONGEST_NUMBER`
        letters holds words too: it may wrap, so that it takes no room from the names beside it.
    caption : what a screen reader calls the table
    """
    opening = f'<table class="barmath" aria-label="{escape(caption)}">' if caption else '<table class="barmath">'
    top = "".join(f'<th scope="col"{_side(place, words)}>{escape(name)}</th>' for place, name in enumerate(head))
    return f"{opening}{f'<tr>{top}</tr>' if head else ''}{''.join(_row(row, words) for row in rows)}</table>"


def _listed(kind: str, items: Iterable[str]) -> str:
    lines = "".join(f"<li>{escape(words)}</li>" for words in items)
    return f'<{kind} class="barmath">{lines}</{kind}>' if lines else ""


def _row(cells: Sequence[str], words: Collection[int]) -> str:
    return "<tr>" + "".join(_cell(cell, place, words) for place, cell in enumerate(cells)) + "</tr>"


def _cell(cell: str, place: int, words: Collection[int]) -> str:
    shown = escape(cell)
    if place not in words:  # where a number may wrap: a table that is wider than its panel would be cut off
        shown = shown.replace(" ± ", " <wbr>± ").replace(", ", ", <wbr>")
    style = ' style="white-space: normal"' if len(cell) > LONGEST_NUMBER else ""
    return f"<td{_side(place, words)}{style}>{shown}</td>"


def _side(place: int, words: Collection[int]) -> str:
    return "" if place in words else ' class="number"'
