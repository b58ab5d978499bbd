"""Who a bar is for, and the day it is wanted: one line on the sheets of an order from the book."""

from __future__ import annotations

from barmath.paper.letters import one_line
from barmath.paper.page import Page, text_width

GAP_MM = 4.0
SIZES = ((9.0, 9.0), (8.0, 8.0), (7.0, 8.0))
"""Type of the name and of the day, in points: the largest pair with which a line holds both."""

MOST_LETTERS = 200  # no line of a sheet holds more


def draw_who(page: Page, x: float, y: float, width: float, rider: str, wanted: str | None) -> None:
    """One line of at most `width` mm that starts at x, with its baseline at y: "for Noor   wanted on 2026-12-10".

    The day is always whole. A bar without rider and day has nothing there.
    """
    day, name = f"wanted on {wanted}" if wanted else "", f"for {one_line(rider)}" if rider.strip() else ""
    apart = GAP_MM if name and day else 0.0
    for size, of_day in SIZES:
        room = width - apart - text_width(day, of_day, bold=True)
        if text_width(name, size) <= room:
            break
    name = short_name(name, room, size)
    for words, left, points in ((name, x, size), (day, x + text_width(name, size) + apart, of_day)):
        if words:
            page.text(left, y, words, points, bold=words == day)


def short_name(name: str, width: float, size: float, bold: bool = False) -> str:
    """A name of at most `width` mm: what does not fit is left out in its middle, so that the family name is still read.

    `size` is in points.
    """
    name = one_line(name)
    if text_width(name, size, bold) <= width:
        return name
    kept = min(len(name), MOST_LETTERS)
    while kept > 1 and text_width(_cut(name, kept), size, bold) > width:
        kept -= 1
    return _cut(name, kept)


def _cut(name: str, kept: int) -> str:
    # the first letters and the last ones, the last word whole where it takes at most half of them
    last = min(len(name.rsplit(" ", 1)[-1]), kept // 2)
    return f"{name[: kept - last].rstrip()}…{name[len(name) - last :]}"
