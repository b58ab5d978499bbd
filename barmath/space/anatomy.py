"""The parts and angles of a bar as lines and named places in space, for the picture of the frame."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.headings import turned
from barmath.closed_forms.records import Recipe, check_single
from barmath.space.centerline import bar_points, bends_from_recipe, nodes_of_bends

RIGHT, BACK, UP = np.array([1.0, 0.0, 0.0]), np.array([0.0, -1.0, 0.0]), np.array([0.0, 0.0, 1.0])
"""Of the bar's frame: x right, y forward, z up."""


class Feature(NamedTuple):
    """A named line (k, 3) and the place of its name (3,), mm in the bar's frame."""

    name: str
    line: Array
    label_at: Array


def features_from_recipe(recipe: Recipe) -> dict[str, Feature]:
    """Axes, parts, lengths and angles of the right half of one upright bar (no arrays), by name.

    Keys: right, forward, up (the axes); inner bend, outer bend, backsweep, upsweep, roll (arcs between directions);
    rise, setback, half width (lengths); clamp flat, straight, grip (places along the tube).

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.space import features_from_recipe
    >>> features = features_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> sorted(features)[:4]
    ['backsweep', 'clamp flat', 'forward', 'grip']
    """
    check_single(recipe)
    stations = nodes_of_bends(bends_from_recipe(recipe)).stations_mm
    points, frames = bar_points(recipe, stations)
    _, inner_start, inner_end, outer_start, outer_end, end = points[4:]
    riser, grip = frames[7][:, 0], frames[9][:, 0]
    inner_corner = _corner(inner_start, RIGHT, recipe.radius_mm, recipe.inner_bend_deg)
    outer_corner = _corner(outer_start, riser, recipe.radius_mm, recipe.outer_bend_deg)
    flat_grip, front_grip = grip * [1.0, 1.0, 0.0], grip * [1.0, 0.0, 1.0]
    undoing, toward = _undoing(frames[5][:, 1], recipe), frames[7][:, 1]
    below = end * [1.0, 1.0, 0.0]
    # each name is set off by hand, by so many mm that none covers another in the picture of order 7
    return {
        "right": _axis("x, right", 250.0 * RIGHT),
        "forward": _axis("y, forward", -140.0 * BACK),
        "up": _axis("z, up", 130.0 * UP),
        "clamp flat": _place("clamp flat", points[4], inner_start, -58.0 * UP - 14.0 * RIGHT),
        "straight": _place("straight", inner_end, outer_start, 22.0 * UP - 26.0 * RIGHT),
        "grip": _place("grip", outer_end, end, -68.0 * UP + 26.0 * RIGHT),
        "inner bend": _angle("inner bend a", inner_corner, RIGHT, riser, 95.0, -1.05, 0.9),
        "outer bend": _angle("outer bend b", outer_corner, riser, grip, 90.0, beyond=1.7),
        "roll": _angle("roll phi", outer_start, undoing, toward, 75.0, -0.8, 1.25),
        "backsweep": _angle("backsweep", outer_corner, RIGHT, flat_grip / np.linalg.norm(flat_grip), 245.0, 1.35, 1.3),
        "upsweep": _angle("upsweep", outer_corner, RIGHT, front_grip / np.linalg.norm(front_grip), 245.0, 0.0),
        "rise": _place("rise", below, end, (below - end) / 2.0 - 12.0 * UP - 20.0 * RIGHT),
        "setback": _place("setback", end * [1.0, 0.0, 0.0], below, -29.0 * UP + 34.0 * RIGHT),
        "half width": _place("half width", np.zeros(3), end * [1.0, 0.0, 0.0], -42.0 * UP + 56.0 * RIGHT),
    }


def _corner(start: Array, direction: Array, radius: float, bend_deg: float) -> Array:
    return start + radius * np.tan(np.radians(bend_deg) / 2.0) * direction


def _undoing(inner_normal: Array, recipe: Recipe) -> Array:
    # where the outer bend would turn to at roll 0, undoing the inner one: down, square to the riser
    a = np.radians(recipe.inner_bend_deg)
    _, carried = turned(RIGHT, inner_normal, a)
    return -carried / np.linalg.norm(carried)


def _axis(name: str, tip: Array) -> Feature:
    return Feature(name, np.stack([np.zeros(3), tip]), 1.12 * tip)


def _place(name: str, start: Array, end: Array, off: Array) -> Feature:
    middle = (start + end) / 2.0
    return Feature(name, np.stack([start, end]), middle + off)


def _angle(
    name: str, vertex: Array, first: Array, second: Array, reach: float, label_at: float = 0.5, beyond: float = 1.18
) -> Feature:
    # both legs and the arc between two unit vectors, as one line; the name is `label_at` of the way along the arc
    # and `beyond` times as far out
    turn = np.arccos(np.clip(first @ second, -1.0, 1.0))
    aside = second - (second @ first) * first
    aside = aside / max(float(np.linalg.norm(aside)), 1e-12)
    theta = np.linspace(0.0, turn, 24)[:, None]
    around = vertex + reach * turned(first, aside, theta)[0]
    line = np.concatenate([vertex[None], around, vertex[None]])
    toward, _ = turned(first, aside, label_at * turn)
    return Feature(name, line, vertex + beyond * reach * toward)
