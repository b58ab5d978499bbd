"""A full-size drawing to lay the bar on: three views, on one long sheet for a plotter or tiled on ordinary paper.

Views: from behind and from above as the bar is in the stem, and square to the risers' plane. Their places on the
sheet depend on the paper: where it can be helped no view runs over two rows of tiles.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from barmath.closed_forms.records import Recipe
from barmath.crossbars.crossbar import Crossbar
from barmath.fields import frozen, passing
from barmath.lengths import checked_unit, length_text
from barmath.paper.full_view import ABOVE_MM, BELOW_MM, SIDE_MM, Plan, draw_view
from barmath.paper.letters import one_line
from barmath.paper.page import SOFT, Page, pages_pdf, text_width
from barmath.paper.sizes import LONG
from barmath.paper.tiling import Tile, draw_marks, rows_from, tiles_from
from barmath.paper.who import short_name
from barmath.shop.cautions import RIDING, in_one

_HEAD_MM = 46.0
_WORDS_MM = 140.0
"""Width of the cautions: with the room at their left they end on the first sheet of A4, which shows 178 mm."""


@frozen
class FullSize:
    """One bar (no arrays), its tube and where it has one its crossbar, drawn as large as they are; `unit` "mm" or
    "in".
    """

    name: str
    recipe: Recipe
    tube_diameter_mm: float
    unit: str = passing(checked_unit, default="mm")
    crossbar: Crossbar | None = None


def full_size_pdf(drawing: FullSize, page: str = "A4") -> bytes:
    """The drawing as PDF on "A4", "A3" or "Letter" tiles, or on `LONG`; equal drawings give equal bytes."""
    title = f"Full size: {drawing.name}"
    if page == LONG:
        return long_page(drawing).pdf(title)
    return pages_pdf(tiles(drawing, page), title)


def long_page(drawing: FullSize) -> Page:
    """All of it on one sheet of its own size."""
    plan, tops, (width, height) = _laid_out(drawing, None)
    page = Page((width, height))
    _draw(page, drawing, plan, tops, width)
    return page


def tiles(drawing: FullSize, size: str) -> Iterator[Page]:
    """Sheet after sheet, row by row, each with its marks and where it belongs."""
    plan, tops, (width, _) = _laid_out(drawing, size)
    for tile in _tiles(drawing, size):
        page = Page(size)
        _draw(page, drawing, plan, tops, width)
        draw_marks(page, tile, drawing.name)
        yield page


def tile_count(drawing: FullSize, size: str) -> int:
    """How many sheets it takes."""
    return len(_tiles(drawing, size))


def _tiles(drawing: FullSize, size: str) -> list[Tile]:
    plan, tops, extent = _laid_out(drawing, size)
    lines = [view.edges_at(0.5 * extent[0], top).reshape(-1, 2) for view, top in zip(plan.views, tops, strict=True)]
    return tiles_from(size, extent, [*lines, np.array([[SIDE_MM, 8.0], [SIDE_MM + _WORDS_MM, 8.0]])])


def _laid_out(drawing: FullSize, size: str | None) -> tuple[Plan, list[float], tuple[float, float]]:
    # the views, the height at which each has the middle of its clamp flat, and how large the whole is
    plan = Plan.of(drawing.recipe, drawing.tube_diameter_mm, drawing.crossbar, drawing.unit)
    heights = [ABOVE_MM + view.tall + BELOW_MM for view in plan.views]
    starts = rows_from(size, [_HEAD_MM + heights[0], *heights[1:]])
    starts[0] += _HEAD_MM
    tops = [start + ABOVE_MM - view.highest for start, view in zip(starts, plan.views, strict=True)]
    return plan, tops, (2.0 * (plan.reach + SIDE_MM), starts[-1] + heights[-1])


def _draw(page: Page, drawing: FullSize, plan: Plan, tops: list[float], width: float) -> None:
    recipe, unit = drawing.recipe, drawing.unit
    name = one_line(drawing.name).removesuffix(" full size").strip()
    room = _WORDS_MM - text_width(": full size", 14.0, bold=True)
    head = ": ".join(filter(None, (short_name(name, room, 14.0, bold=True), "full size")))
    page.text(SIDE_MM, 12.0, head, 14.0, bold=True)
    words = (
        f"tube {length_text(drawing.tube_diameter_mm, unit)}, bends {recipe.inner_bend_deg:.1f}° and "
        f"{recipe.outer_bend_deg:.1f}°, finished radius {length_text(recipe.radius_mm, unit)}, cut length "
        f"{length_text(plan.cut_length_mm, unit)}"
    )
    page.text(SIDE_MM, 17.0, words, 7.5, colour=SOFT)
    page.text(SIDE_MM, 29.0, page.check_line(SIDE_MM, 25.0, unit), 7.0)
    page.paragraph(SIDE_MM, 34.0, _WORDS_MM, in_one(*RIDING), 6.5)
    for view, top in zip(plan.views, tops, strict=True):
        draw_view(page, view, 0.5 * width, top)
