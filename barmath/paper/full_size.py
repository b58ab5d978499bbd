"""A full-size drawing to lay the bar on: three views, on one long sheet for a plotter or tiled on ordinary paper.

Views: from the front and from above as the bar stands in the stem, and square to the plane of the risers. On tiles
neighbouring sheets show the same strip of `OVERLAP_MM`; cut along one mark and glue on the other.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

import numpy as np

from barmath.bar import Recipe
from barmath.drawing import Drawing, drawing_from_recipe, node_places
from barmath.lengths import length_text
from barmath.paper.page import RULE, SOFT, Page, pages_pdf, printable
from barmath.shape import risers_upright

LONG = "one long sheet"
OVERLAP_MM = 12.0
EDGE_MM = 10.0
"""Paper round a tile that a printer cannot reach."""

_SIDE_MM, _HEAD_MM, _GAP_MM = 25.0, 22.0, 26.0


@dataclass(frozen=True)
class FullSize:
    """One bar (no arrays) and its tube, to be drawn as large as it is; `unit` "mm" or "in"."""

    name: str
    recipe: Recipe
    tube_diameter_mm: float
    unit: str = "mm"

    def __post_init__(self) -> None:
        length_text(0.0, self.unit)


def full_size_pdf(drawing: FullSize, page: str = "A4") -> bytes:
    """The drawing as PDF on "A4", "A3" or "Letter" tiles, or on `LONG`; equal drawings give equal bytes."""
    title = f"Full size: {drawing.name}"
    if page == LONG:
        return long_page(drawing).pdf(title)
    return pages_pdf(tiles(drawing, page), title)


def long_page(drawing: FullSize) -> Page:
    """All of it on one sheet of its own size."""
    plan = _Plan(drawing)
    page = Page((plan.width, plan.height))
    plan.draw(page)
    return page


def tiles(drawing: FullSize, size: str) -> Iterator[Page]:
    """Sheet after sheet, row by row, each with its marks and where it belongs."""
    plan = _Plan(drawing)
    (wide, tall), (columns, rows) = _grid(plan, size)
    for row in range(rows):
        for column in range(columns):
            left, top = column * (wide - OVERLAP_MM), row * (tall - OVERLAP_MM)
            page = Page(size)
            plan.draw(page)
            page.window(left - EDGE_MM, top - EDGE_MM)
            where = f"row {row + 1} of {rows}, column {column + 1} of {columns}"
            _frame(page, left, top, (wide, tall), where, drawing)
            yield page


def tile_count(drawing: FullSize, size: str) -> int:
    """How many sheets it takes."""
    columns, rows = _grid(_Plan(drawing), size)[1]
    return columns * rows


class _Plan:
    """Where the three views lie on the long sheet."""

    def __init__(self, drawing: FullSize) -> None:
        stands = drawing_from_recipe(drawing.recipe, drawing.tube_diameter_mm)
        upright = drawing_from_recipe(risers_upright(drawing.recipe), drawing.tube_diameter_mm)
        self.drawing = drawing
        # edges (2, m, 2) with y down the page
        self.views = (
            ("from the front, as it stands in the stem", stands.front * [1.0, -1.0], stands),
            ("from above, as it stands in the stem (rear is down)", stands.above, stands),
            ("square to the plane of the risers", upright.front * [1.0, -1.0], upright),
        )
        reach = max(float(np.abs(edges[..., 0]).max()) for _, edges, _ in self.views)
        self.width = 2.0 * (reach + _SIDE_MM)
        self.height = _HEAD_MM + sum(float(np.ptp(edges[..., 1])) + _GAP_MM for _, edges, _ in self.views) + 14.0

    def draw(self, page: Page) -> None:
        """Draw all of it, in places of the long sheet."""
        name = printable(self.drawing.name)
        page.text(_SIDE_MM, 12.0, f"{name}: full size", 14.0, bold=True, within=self.width - 2.0 * _SIDE_MM)
        recipe = self.drawing.recipe
        page.text(
            _SIDE_MM, 17.0,
            f"tube {length_text(self.drawing.tube_diameter_mm, self.drawing.unit)}, bends {recipe.inner_bend_deg:.1f} "
            f"and {recipe.outer_bend_deg:.1f} deg, finished radius {length_text(recipe.radius_mm, self.drawing.unit)}",
            7.5, colour=SOFT,
        )  # fmt: skip
        y = _HEAD_MM
        for words, edges, view in self.views:
            top = y + 9.0 - float(edges[..., 1].min())
            page.text(_SIDE_MM, y + 4.0, words, 8.0, bold=True)
            self._draw_view(page, edges, top, view)
            y += float(np.ptp(edges[..., 1])) + _GAP_MM
        page.check_line(_SIDE_MM, y + 6.0)
        page.text(_SIDE_MM + 104.0, y + 6.0, "100 mm: measure it before you trust the rest", 7.0)

    def _draw_view(self, page: Page, edges: np.ndarray, top: float, view: Drawing) -> None:
        middle = self.width / 2.0
        edges = edges + np.array([middle, top])
        page.line(np.concatenate([edges[0], edges[1][::-1], edges[0][:1]]), 0.35)
        axis = edges.mean(0)
        page.line(axis, 0.15, dash=(6.0, 1.5), colour=SOFT)
        for place in node_places()[1:-1]:
            page.line(edges[:, place], 0.2, colour=SOFT)
        page.line([(middle, edges[..., 1].min() - 5.0), (middle, edges[..., 1].max() + 5.0)], 0.15,
                  dash=(3.0, 1.0), colour=RULE)  # fmt: skip
        for place, letter in ((0, "L"), (-1, "R")):
            x, y = axis[place]
            page.text(x + (-8.0 if place == 0 else 8.0), y + 2.0, letter, 14.0, bold=True, align="center")


def _grid(plan: _Plan, size: str) -> tuple[tuple[float, float], tuple[int, int]]:
    # room on a sheet, and how many columns and rows of them there are
    sheet = Page(size)
    wide, tall = sheet.width - 2.0 * EDGE_MM, sheet.height - 2.0 * EDGE_MM
    columns = ceil((plan.width - OVERLAP_MM) / (wide - OVERLAP_MM))
    return (wide, tall), (columns, ceil((plan.height - OVERLAP_MM) / (tall - OVERLAP_MM)))


def _frame(page: Page, left: float, top: float, room: tuple[float, float], words: str, drawing: FullSize) -> None:
    # white over what a printer cannot reach, the edge to cut along, and the strip shared with the next sheets
    wide, tall = room
    far = EDGE_MM + 1.0
    across, down = wide + 2.0 * far, tall + 2.0 * far
    masks = (
        (left - far, top - far, far, down),
        (left + wide, top - far, far, down),
        (left - far, top - far, across, far),
        (left - far, top + tall, across, far),
    )
    for x, y, w, h in masks:
        page.box(x, y, w, h, edge=0.0, fill="white").set_zorder(5.0)
    page.box(left, top, wide, tall, edge=0.15, colour=RULE).set_zorder(6.0)
    for x in (left + OVERLAP_MM, left + wide - OVERLAP_MM):
        for y in (top + 4.0, top + tall - 4.0):
            page.line([(x - 3.0, y), (x + 3.0, y)], 0.2)
            page.line([(x, y - 3.0), (x, y + 3.0)], 0.2)
    label = page.axes.text(left + wide, top + tall + 4.6, f"{printable(drawing.name)[:40]}, {words}; glue "
                           f"{OVERLAP_MM:.0f} mm over its neighbours, crosses on crosses", fontsize=6.5, ha="right",
                           va="baseline", parse_math=False, family="DejaVu Sans")  # fmt: skip
    label.set_zorder(7.0)
