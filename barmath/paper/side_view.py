"""A bar seen from its right side: the outline of its right half, rise and setback in one picture."""

from __future__ import annotations

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.records import Recipe
from barmath.paper.page import SOFT, Page
from barmath.space.drawing import drawing_from_recipe

WORDS = "from the right side, as clamped in the stem (front is to the right)"

OUTLINE_MM = 0.35
_AROUND = np.linspace(0.0, 2.0 * np.pi, 49)


def side_path_mm(recipe: Recipe) -> Array:
    """The centre line of a bar's right half from its side, (m, 2): forward and down the page from the clamp axis, mm.

    Parameters
    ----------
    recipe : Recipe
        Of one bar, clamped in its stem.

    Examples
    --------
    >>> from barmath.paper.side_view import side_path_mm
    >>> from barmath.shop import order_seven_recipe
    >>> (side_path_mm(order_seven_recipe())[-1] + 0.0).round(1).tolist()
    [-51.3, -90.0]
    """
    points = drawing_from_recipe(recipe, 1.0).points
    return points[points.shape[0] // 2 :, 1:] * [1.0, -1.0]


def draw_side(page: Page, path: Array, diameter: float, at: tuple[float, float]) -> None:
    """Draw a side view with the clamp axis at `at`; `path` and `diameter` are in mm on the page.

    The outline of a round tube is that of all discs of its diameter along the path. The grip is seen nearly along its
    axis, so its end is a disc too.
    """
    line = path + np.asarray(at)
    for wide, colour in ((diameter + OUTLINE_MM, "black"), (diameter - OUTLINE_MM, "white")):
        page.line(line, wide, colour=colour, round_ends=True)
    page.line(_disc(line[0], diameter), 0.2, colour=SOFT)


def draw_side_dashed(page: Page, path: Array, diameter: float, at: tuple[float, float]) -> None:
    """Draw another bar's centre line and the end of its grip, dashed, into a side view."""
    line = path + np.asarray(at)
    page.line(line, 0.2, dash=(1.2, 0.8), colour=SOFT)
    page.line(_disc(line[-1], diameter), 0.2, dash=(1.2, 0.8), colour=SOFT)


def _disc(centre: Array, diameter: float) -> Array:
    return centre + 0.5 * diameter * np.stack([np.cos(_AROUND), np.sin(_AROUND)], -1)
