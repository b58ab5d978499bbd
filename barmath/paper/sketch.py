"""A sketch of the glossary on paper."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from barmath.arrays import Array
from barmath.glossary.sketch import Sketch
from barmath.paper.page import MM_PER_POINT, SOFT, TINT, Page, text_width

LETTERS_PT = 5.8
"""Letters of a name on a sketch that is not drawn larger."""

_CAPITAL = 0.73
"""Height of a capital, of the size of the type."""

_NUDGES = np.stack(np.meshgrid(np.arange(-8.0, 8.1, 0.5), np.arange(-5.0, 5.1, 0.5)), -1).reshape(-1, 2)
"""How far a name may be moved, mm."""

_RIM_MM, _BESIDE = 1.5, np.array([1.8, 0.0])
"""Least room from a name to the rim on its left and right, mm. The next names keep clear of it as if it were wider."""

_EASE = np.array([1.0, 1.2])
"""A name is rather moved aside than up or down."""

_GRID = np.stack(np.meshgrid(np.linspace(-0.5, 0.5, 9), np.linspace(-0.5, 0.5, 3)), -1)
"""Points all over a name, of its width and height."""

_INK: dict[str, tuple[float, tuple[float, ...]]] = {"line": (0.2, ()), "dash": (0.2, (1.2, 0.8)), "strong": (0.7, ())}


def draw_sketch(
    page: Page, corner: tuple[float, float], size: tuple[float, float], sketch: Sketch, larger: float = 1.0
) -> None:
    """Draw a sketch into a box of the page.

    Parameters
    ----------
    page : Page
    corner : (x, y)
        Upper left corner of the box, mm.
    size : (width, height)
        Of the box, mm.
    sketch : Sketch
    larger : float
        How many times larger its names are written.
    """
    (x, y), (width, height) = corner, size
    scale, shift = sketch.fitted(width, height, 2.5, 5.0)
    drawn: list[Array] = []
    for stroke in sketch.strokes:
        points = _placed(scale * stroke.points + shift, x, y, height)
        drawn.append(points)
        if stroke.look == "tube":
            wide = max(scale * stroke.wide_mm, 0.5)
            page.line(points, wide + 0.3, colour=SOFT)
            page.line(points, wide, colour="0.85")
            drawn += _edges(points, wide)
        elif stroke.look == "tool":
            page.shape(points, edge=0.2, fill=TINT)
        else:
            thick, dash = _INK[stroke.look]
            page.line(points, thick, dash=dash)
    inked = np.concatenate([_closely(points) for points in drawn])
    for label in sketch.labels:
        at = _placed((scale * np.asarray(label.at) + shift)[None], x, y, height)[0]
        box = np.array([text_width(label.words, LETTERS_PT * larger), _CAPITAL * LETTERS_PT * larger * MM_PER_POINT])
        middle = _free(at, box, (corner, size), inked)
        page.text(middle[0], middle[1] + 0.5 * box[1], label.words, LETTERS_PT * larger, align="center")
        inked = np.concatenate([inked, middle + (box + _BESIDE) * _GRID.reshape(-1, 2)])


def _placed(points: Array, x: float, y: float, height: float) -> Array:
    return np.column_stack([x + points[:, 0], y + height - points[:, 1]])


def _edges(points: Array, wide: float) -> list[Array]:
    # both sides of a tube along its middle line, piece by piece
    pieces = []
    for start, end in pairwise(points):
        long = float(np.linalg.norm(end - start))
        if long > 0.0:
            aside = 0.5 * wide / long * np.array([end[1] - start[1], start[0] - end[0]])
            pieces += [np.array([start, end]) + aside, np.array([start, end]) - aside]
    return pieces


def _closely(points: Array) -> Array:
    # points along a line, about half a millimetre apart
    steps = [np.linspace(a, b, max(2, int(np.linalg.norm(b - a) / 0.5) + 1)) for a, b in pairwise(points)]
    return np.concatenate(steps)


def _free(at: Array, box: Array, room: tuple[tuple[float, float], tuple[float, float]], inked: Array) -> Array:
    # the place nearest to `at`, inside the room, where a name of this size covers nothing that is inked
    corner, size = np.array(room)
    half = 0.5 * box + 0.5
    rim = 0.5 * box + (_RIM_MM, 0.5)
    places = np.clip(at + _NUDGES, corner + rim, corner + size - rim)
    places = places[np.argsort(np.abs(places - at) @ _EASE, kind="stable")]
    covered = (np.abs(inked - places[:, None]) < half).all(axis=-1).any(axis=-1)
    return places[int(np.argmin(covered))]
