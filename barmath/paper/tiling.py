"""A drawing on tiles: where they are in it, and the marks by which they are cut and glued.

Neighbouring sheets share a strip of `OVERLAP_MM`. The right or lower one is cut along its solid line. That edge is
glued on the dashed line of the other. Both carry the same numbered crosses on that line, at the same places of the
drawing.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.paper.page import RULE, Page, shortened
from barmath.paper.sizes import SIZES_MM
from barmath.paper.who import short_name

OVERLAP_MM = 12.0
EDGE_MM = 10.0
"""Paper round a tile that a printer cannot reach."""

_INSET_MM = 25.0
_ARM_MM = 4.0
_CUT, _GLUE = 0.25, 0.22


class Cross(NamedTuple):
    """A numbered cross at a place of the drawing, mm."""

    number: int
    x: float
    y: float


class Tile(NamedTuple):
    """What one sheet shows of the drawing: from (left, top) on, mm; whether it has neighbours on its four sides."""

    left: float
    top: float
    wide: float
    tall: float
    words: str
    before: bool
    after: bool
    over: bool
    under: bool
    crosses: tuple[Cross, ...]


def rows_from(size: str | None, heights_mm: Sequence[float]) -> list[float]:
    """Where blocks begin one below the other, mm from the top; none runs over two rows of tiles of paper
    `size` if it is not taller than a row.
    """
    starts, y = [], 0.0
    for height in heights_mm:
        if size is not None:
            tall = _room(size)[1]
            row = int(y // (tall - OVERLAP_MM))
            if y + height > row * (tall - OVERLAP_MM) + tall - OVERLAP_MM and y > 0.0:
                y = max(y, (row + 1) * (tall - OVERLAP_MM) + OVERLAP_MM)
        starts.append(y)
        y += height
    return starts


def tiles_from(size: str, extent: tuple[float, float], lines: Sequence[NDArray[np.float64]]) -> list[Tile]:
    """The sheets of a drawing `extent` mm wide and tall, row by row; a sheet on which no point of `lines` (m, 2) and
    nothing between them would be shown is left out.
    """
    wide, tall = _room(size)
    across, down = wide - OVERLAP_MM, tall - OVERLAP_MM
    columns, rows = (
        max(1, ceil((length - OVERLAP_MM) / step)) for length, step in zip(extent, (across, down), strict=True)
    )
    inked = np.concatenate([_closely(line) for line in lines])
    places = np.column_stack([inked[:, 0] // across, inked[:, 1] // down]).astype(int)
    shown = {(row, column) for column, row in places.clip(0, [columns - 1, rows - 1])}
    return [
        Tile(column * across, row * down, wide, tall,
             f"row {row + 1} of {rows}, column {column + 1} of {columns}",
             (row, column - 1) in shown, (row, column + 1) in shown, (row - 1, column) in shown,
             (row + 1, column) in shown, tuple(_crosses(row, column, rows, columns, wide, tall, shown)))
        for row in range(rows) for column in range(columns) if (row, column) in shown
    ]  # fmt: skip


def draw_marks(page: Page, tile: Tile, name: str) -> None:
    """Show one tile of what is drawn on `page`: white round it, the lines to cut and glue along, the crosses."""
    left, top, wide, tall = tile[:4]
    page.window(left - EDGE_MM, top - EDGE_MM)
    far = EDGE_MM + 1.0
    for x, y, w, h in (
        (left - far, top - far, far, tall + 2.0 * far), (left + wide, top - far, far, tall + 2.0 * far),
        (left - far, top - far, wide + 2.0 * far, far), (left - far, top + tall, wide + 2.0 * far, far),
    ):  # fmt: skip
        page.box(x, y, w, h, edge=0.0, fill="white").set_zorder(5.0)
    right, foot = left + wide - OVERLAP_MM, top + tall - OVERLAP_MM
    upright = [(left, _CUT, tile.before), (right, _GLUE, tile.after)]
    level = [(top, _CUT, tile.over), (foot, _GLUE, tile.under)]
    for x, pen, wanted in upright:
        if wanted:
            _mark(page, [(x, top), (x, top + tall)], pen)
    for y, pen, wanted in level:
        if wanted:
            _mark(page, [(left, y), (left + wide, y)], pen)
    for number, x, y in tile.crosses:
        _mark(page, [(x - _ARM_MM, y), (x + _ARM_MM, y)], 0.2)
        _mark(page, [(x, y - _ARM_MM), (x, y + _ARM_MM)], 0.2)
        page.text(x + 1.0, y - 1.0, str(number), 6.0)
        page.axes.texts[-1].set_zorder(7.0)
    how = (
        "Cut along the solid line. Glue that edge on the dashed line of the sheet beside or above. "
        "Equal numbers must meet."
    )
    words = shortened(f"{short_name(name, 32.0, 6.0)}, {tile.words}. {how}", wide, 6.0)
    page.text(left + wide, top + tall + 5.0, words, 6.0, align="right")
    page.axes.texts[-1].set_zorder(7.0)


def _mark(page: Page, places: list[tuple[float, float]], pen: float) -> None:
    page.line(places, pen, dash=(4.0, 2.0) if pen == _GLUE else (), colour=RULE if pen == _GLUE else "black")
    page.axes.lines[-1].set_zorder(6.0)


def _room(size: str) -> tuple[float, float]:
    # what a sheet can show; an unknown size is refused by the page
    sheet = SIZES_MM[size] if size in SIZES_MM else (Page(size).width, Page(size).height)
    return sheet[0] - 2.0 * EDGE_MM, sheet[1] - 2.0 * EDGE_MM


def _closely(line: NDArray[np.float64]) -> NDArray[np.float64]:
    # points laid along a line, closer together than a strip is wide
    steps = np.linspace(0.0, 1.0, 200)[:, None, None]
    return (line[:-1] + steps * (line[1:] - line[:-1])).reshape(-1, 2)


def _crosses(
    row: int, column: int, rows: int, columns: int, wide: float, tall: float, shown: set[tuple[int, int]]
) -> list[Cross]:
    # two on each edge that two sheets share; numbered over the whole drawing, upright edges first
    across, down = wide - OVERLAP_MM, tall - OVERLAP_MM
    found = []
    for other in (column - 1, column):  # the edge between columns other and other + 1
        if (row, other) in shown and (row, other + 1) in shown:
            number = 2 * (row * (columns - 1) + other) + 1
            x = (other + 1) * across
            found += [Cross(number, x, row * down + _INSET_MM), Cross(number + 1, x, row * down + tall - _INSET_MM)]
    for other in (row - 1, row):
        if (other, column) in shown and (other + 1, column) in shown:
            number = 2 * (rows * (columns - 1) + other * columns + column) + 1
            x, y = column * across, (other + 1) * down
            found += [Cross(number, x + _INSET_MM, y), Cross(number + 1, x + wide - _INSET_MM, y)]
    return found
