"""One view of a bar at full size: its outline, its crossbar, its dimensions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.forward import risers_upright, shape_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.crossbars.crossbar import Crossbar
from barmath.lengths import length_text
from barmath.paper.page import RULE, SOFT, Page, text_width
from barmath.space.drawing import Drawing, drawing_from_recipe, node_places

ABOVE_MM, BELOW_MM, SIDE_MM = 20.0, 14.0, 32.0
"""Room over, under and beside a view for its words and dimensions."""

OUTLINE_MM = 0.35
_LETTER_MM = 10.0
"""From the end of the bar to where the line behind its letter goes on."""


@dataclass(frozen=True)
class View:
    """One view; places in mm from the middle of the clamp flat, y down the page.

    edges : (2, m, 2) both edges of the tube
    crossbar : (2, 145, 2) where the crossbar's right and left cope are, or None
    across, down : words of the dimensions from end to end and from the clamp axis to the right end
    angle : words beside the right grip
    notes : words and their places
    """

    words: str
    edges: Array
    crossbar: Array | None
    across: str
    down: str
    angle: str
    notes: tuple[tuple[str, float, float, float], ...] = ()

    @property
    def highest(self) -> float:
        """Its highest place."""
        return float(self.edges[..., 1].min())

    @property
    def tall(self) -> float:
        """Its height."""
        return float(np.ptp(self.edges[..., 1]))

    def edges_at(self, middle: float, top: float) -> Array:
        """Both edges on the page."""
        return self.edges + np.array([middle, top])


@dataclass(frozen=True)
class Plan:
    """The three views of one bar, how far the widest reaches from the middle, and its cut length, mm."""

    views: tuple[View, ...]
    reach: float
    cut_length_mm: float

    @classmethod
    def of(cls, recipe: Recipe, tube_diameter_mm: float, fitted: Crossbar | None, unit: str) -> Plan:
        """The plan of one `recipe` (no arrays)."""
        upright = risers_upright(recipe)
        clamped, square = (drawing_from_recipe(one, tube_diameter_mm) for one in (recipe, upright))
        shape, level = shape_from_recipe(recipe), shape_from_recipe(upright)
        front, above = _crossbar_views(fitted, float(recipe.stem_roll_deg))
        flat, _ = _crossbar_views(fitted, 0.0)

        def mm(length: float) -> str:
            return length_text(float(length), unit)

        width = f"width {mm(shape.width_mm)}"
        views = (
            View("from behind, as clamped in the stem", clamped.front * [1.0, -1.0], front, width,
                 f"rise {mm(shape.rise_mm)}", f"upsweep {_deg(shape.upsweep_deg)}"),
            View("from above, as clamped in the stem (rear is down)", clamped.above, above, width,
                 f"setback {mm(shape.setback_mm)}", f"backsweep {_deg(shape.backsweep_deg)}"),
            View("square to the plane of the risers", square.front * [1.0, -1.0], flat, width,
                 f"rise, risers upright {mm(level.rise_mm)}", "", _notes(upright, square, fitted, mm)),
        )  # fmt: skip
        reach = max(float(np.abs(view.edges[..., 0]).max()) for view in views)
        return cls(views, reach, float(shape.cut_length_mm))


def draw_view(page: Page, view: View, middle: float, top: float, others: Sequence[Array] = ()) -> None:
    """Draw a view with the middle of its clamp flat at (middle, top), clear of the edges (2, n, 2) of other bars."""
    edges = view.edges_at(middle, top)
    bars = (edges, *others)
    low, high = max(float(bar[..., 1].max()) for bar in bars), min(float(bar[..., 1].min()) for bar in bars)
    page.text(middle - float(np.ptp(edges[..., 0])) / 2.0, high - 13.0, view.words, 8.0, bold=True)
    page.line(np.concatenate([edges[0], edges[1][::-1], edges[0][:1]]), OUTLINE_MM)
    axis = edges.mean(0)
    page.line(axis, 0.15, dash=(6.0, 1.5), colour=SOFT)
    for place in node_places()[1:-1]:
        page.line(edges[:, place], 0.2, colour=SOFT)
    page.line([(middle, high - 4.0), (middle, low + 5.0)], 0.15, dash=(3.0, 1.0), colour=RULE)
    if view.crossbar is not None:
        _draw_crossbar(page, view.crossbar + np.array([middle, top]))
    (left, _), (right, end) = axis[0], axis[-1]
    widest = max(right - middle, *(float(np.abs(bar[..., 0] - middle).max()) for bar in bars[1:]), 0.0)
    for side, (_, y), letter in ((-1.0, axis[0], "L"), (1.0, axis[-1], "R")):
        page.text(middle + side * (widest + 7.0), y + 2.0, letter, 14.0, bold=True, align="center")
    wide = text_width(view.across, 7.5)
    at = middle + 6.0 if middle + wide + 8.0 < right else left - wide - 3.0
    dimension(page, (left, high - 8.0), (right, high - 8.0), view.across, at)
    for x in (left, right):
        page.line([(x, high - 9.5), (x, float(edges[..., 1].max()))], 0.12, colour=RULE)
    beside, before = middle + widest + 15.0, middle + widest + 4.0
    after = middle + widest + _LETTER_MM  # the letter is between two pieces
    near = abs(top - end) < _LETTER_MM / 2.0
    pieces = [(right, before, end), (after, beside + 1.5, end)]
    pieces += [(middle, before, top), (after, beside + 1.5, top)] if near else [(middle, beside + 1.5, top)]
    for start, stop, y in pieces:
        page.line([(start, y), (stop, y)], 0.12, colour=RULE)
    upright_dimension(page, beside, (top, end), view.down)
    if view.angle:
        x, y = 0.5 * (edges[0, -1] + edges[0, -2])[0], 0.5 * (edges[:, -1] + edges[:, -2])[:, 1].max()
        ends = x + (0.5 * text_width(view.angle, 7.5) + 1.0) * np.array([-1.0, 1.0])
        below = max(np.interp(ends, *edge[-2:].T).max() for bar in bars for edge in bar)
        y = float(max(y + 6.0, below + 3.5))
        page.text(float(x), top + 3.4 if top - 0.8 < y < top + 3.4 else y, view.angle, 7.5, align="center")
    for words, x, y, turned in view.notes:
        page.text(middle + x, top + y, words, 7.5, align="center", turned=turned)


def dimension(page: Page, start: tuple[float, float], end: tuple[float, float], words: str, at: float) -> None:
    """Draw a dimension from one place to another, its words from `at` on above the line."""
    page.line([start, end], 0.15)
    for x, y in (start, end):
        page.line([(x, y - 1.5), (x, y + 1.5)], 0.2)
    page.text(at, start[1] - 1.2, words, 7.5)


def upright_dimension(page: Page, x: float, ends: tuple[float, float], words: str) -> None:
    """Draw a dimension between two heights at x, its words beside it and turned."""
    page.line([(x, ends[0]), (x, ends[1])], 0.15)
    for y in ends:
        page.line([(x - 1.5, y), (x + 1.5, y)], 0.2)
    page.text(x + 4.5, 0.5 * sum(ends), words, 7.5, align="center", turned=90.0)


def _crossbar_views(fitted: Crossbar | None, roll_deg: float) -> tuple[Array | None, Array | None]:
    # the copes (2, 145, 2) from the front and from above, turned in the stem
    if fitted is None:
        return None, None
    right = fitted.edge_mm()
    cos, sin = np.cos(roll_deg * RADIAN), np.sin(roll_deg * RADIAN)
    x, back, up = right[:, 0], -right[:, 1], right[:, 2]
    back, up = back * cos + up * sin, up * cos - back * sin

    def both(down: Array) -> Array:
        return np.stack([np.stack([side * x, down], -1) for side in (1.0, -1.0)])

    return both(-up), both(back)


def _draw_crossbar(page: Page, copes: Array) -> None:
    for cope in copes:
        page.line(cope, 0.2)
    for place in (int(np.argmin(copes[0, :, 1])), int(np.argmax(copes[0, :, 1]))):
        page.line(copes[:, place], OUTLINE_MM)
    middle = 0.5 * (copes[..., 1].min() + copes[..., 1].max())
    reach = 0.5 * (copes[0, :, 0].min() + copes[0, :, 0].max()), 0.5 * (copes[1, :, 0].min() + copes[1, :, 0].max())
    page.line([(reach[0], middle), (reach[1], middle)], 0.15, dash=(6.0, 1.5), colour=SOFT)


def _notes(
    recipe: Recipe, square: Drawing, fitted: Crossbar | None, mm: Callable[[float], str]
) -> tuple[tuple[str, float, float, float], ...]:
    # words at the pieces of the right half, seen square to the risers' plane
    start, stop = square.nodes[6, [0, 2]], square.nodes[7, [0, 2]]
    below = 0.5 * square.tube_diameter_mm
    turn = float(np.degrees(np.arctan2(stop[1] - start[1], stop[0] - start[0])))
    aside = (below + 5.0) * np.array([np.sin(turn * RADIAN), -np.cos(turn * RADIAN)])
    x, up = 0.5 * (start + stop) + aside
    notes = [
        (f"straight {mm(recipe.straight_mm)}", float(x), -float(up), turn),
        (f"clamp flat {mm(recipe.clamp_flat_mm)}", 0.0, below + 8.5, 0.0),
    ]
    if fitted is not None:
        words = f"crossbar {mm(fitted.branch.outside_diameter_mm)}, {mm(fitted.height_mm)} over the clamp axis"
        radius = 0.5 * float(fitted.branch.outside_diameter_mm)
        notes.append((words, 42.0, -fitted.height_mm - radius - 2.0, 0.0))
    return tuple(notes)


def _deg(angle: float) -> str:
    return f"{round(float(angle), 1) + 0.0:.1f}°"
