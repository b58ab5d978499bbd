"""What the pictures of the derivation's steps share: the half bar from a recipe, its views, and a few strokes.

Points come from `barmath.space.centerline`, which knows nothing of the lesson's formulas: right, back, up in mm.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.records import Recipe
from barmath.glossary.sketch import Label, Sketch, Stroke, arc, disc, line
from barmath.space.centerline import bar_points, bends_from_recipe, nodes_of_bends

TUBE_MM, UNIT_MM = 22.225, 100.0
"""How wide the tube is drawn, and how long a direction of length 1 is."""


class StepPicture(NamedTuple):
    """What is drawn for a step, and what a screen reader says of it."""

    sketch: Sketch
    words: str


class HalfBar(NamedTuple):
    """Half a bar: points along it, where its bends begin and end, its corners, and three directions."""

    path: Array  # (n, 3) right, back, up
    nodes: Array  # middle, ends of both arcs, bar end
    corners: Array
    riser: Array
    toward: Array
    grip: Array


TO_BACK = np.array([1.0, -1.0, 1.0])


def half_of(recipe: Recipe) -> HalfBar:
    """The right half of a bar, from the middle outward."""
    stations = nodes_of_bends(bends_from_recipe(recipe)).stations_mm[-6:]
    points, frames = bar_points(recipe, np.array([stations[0], *stations[1:]]))
    dense, _ = bar_points(recipe, np.linspace(stations[0], stations[-1], 121))
    riser, toward, grip = frames[3][:, 0] * TO_BACK, frames[3][:, 1] * TO_BACK, frames[5][:, 0] * TO_BACK
    nodes = points * TO_BACK
    take = recipe.radius_mm * np.tan(np.array([recipe.inner_bend_deg, recipe.outer_bend_deg]) * RADIAN / 2.0)
    corners = np.array([nodes[1] + take[0] * np.array([1.0, 0.0, 0.0]), nodes[3] + take[1] * riser])
    return HalfBar(dense * TO_BACK, nodes, corners, riser, toward, grip)


def from_front(points: Array) -> Array:
    """Points (..., 3) as seen from the front, (..., 2): right and up."""
    return points[..., [0, 2]]


def from_above(points: Array) -> Array:
    """Points (..., 3) as seen from above, (..., 2): right, and back drawn down."""
    return points[..., [0, 1]] * [1.0, -1.0]  # back is down, as on a plan of a bar that points forward


def from_side(points: Array) -> Array:
    """Points (..., 3) as seen from the side, (..., 2): back and up."""
    return points[..., [1, 2]]


def tube_stroke(points: Array) -> Stroke:
    """The tube through points (n, 2), in its true width."""
    return line(points, "tube", TUBE_MM)


def dot(at: Array, radius: float = 3.0) -> Stroke:
    """A small circle at a point (2,)."""
    return disc(at, radius, "line")


def near(point: Array, right: float, up: float) -> tuple[float, float]:
    """A place beside a point (2,), for a name."""
    return float(point[0]) + right, float(point[1]) + up


def unit_triangle(first: float, second: float, names: tuple[str, str, str], angle: str) -> Sketch:
    """A right-angled triangle with sides `first` and `second` of a direction of length 1."""
    corner, tip = np.array([UNIT_MM * first, 0.0]), UNIT_MM * np.array([first, second])
    turn = float(np.degrees(np.arctan2(second, first)))
    strokes = (
        line([(0, 0), tip], "strong"), line([(0, 0), corner], "dash"), line([corner, tip], "dash"),
        arc((0, 0), 30.0, 0.0, turn, "line"),
    )  # fmt: skip
    size = float(np.hypot(first, second))  # names keep their distance in a small triangle too
    labels = (
        Label(names[0], (tip[0] / 2 - 5.0 * size, tip[1] / 2 + 8.0 * size)),
        Label(names[1], (corner[0] / 2, -8.0 * size)),
        Label(names[2], (corner[0] + 13.0 * size, tip[1] / 2)),
        Label(angle, tuple(38.0 * np.array([np.cos(turn / 2 * RADIAN), np.sin(turn / 2 * RADIAN)]))),
    )  # fmt: skip
    return Sketch(strokes, labels)
