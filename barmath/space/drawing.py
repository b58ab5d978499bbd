"""What a picture of a bar is drawn from: the tube's surface, its outlines seen from the front and above, its marks.

Everything has a fixed number of points, whatever the recipe, so that a picture can be changed in place.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.closed_forms.records import Recipe, check_single
from barmath.refusal import BendError, checked_single
from barmath.space.centerline import (
    TubeBends,
    bar_placement,
    bends_from_recipe,
    check_one_tube,
    placed,
    points_at,
    sample_stations,
)
from barmath.space.two_sides import two_sides_from_bends

PER_BEND, FACETS = 12, 20
"""Parts of each arc, and facets round the tube: smooth to the eye, and quick to draw."""

PIECES = ("grip", "bend", "riser", "bend", "clamp flat", "bend", "riser", "bend", "grip")
"""The bar from its left end to its right end."""


@dataclass(frozen=True)
class Drawing:
    """One bar, in mm, in the bar's frame (x right, y forward, z up).

    points : (m, 3) centre line from the left end, m = 2 + 4 * 13
    surface : (m, facets, 3) rings of the tube's surface
    front, above : (2, m, 2) both edges of the tube's outline, as (x, up) seen by the rider and (x, back) from above
    mark_rings : (4, facets + 1, 3) closed rings a little proud of the tube, at the ends of the risers
    nodes : (10, 3) the ends and tangent points, from the left end
    """

    points: Array
    surface: Array
    front: Array
    above: Array
    mark_rings: Array
    nodes: Array
    tube_diameter_mm: float


def drawing_from_recipe(recipe: Recipe, tube_diameter_mm: float, mark_width: float = 1.04) -> Drawing:
    """The drawing of one `recipe` (no arrays) in tube of `tube_diameter_mm`.

    Parameters
    ----------
    recipe : Recipe
    tube_diameter_mm : number above 0
    mark_width : number above 0
        Diameter of the rings at the marks over that of the tube.

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time. A width is not above 0.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.space import drawing_from_recipe
    >>> drawing = drawing_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105), tube_diameter_mm=22.225)
    >>> drawing.points.shape
    (54, 3)
    """
    check_single(recipe)
    return drawing_from_bends(bends_from_recipe(recipe), tube_diameter_mm, recipe.stem_roll_deg, mark_width)


def drawing_from_bends(
    bends: TubeBends, tube_diameter_mm: float, stem_roll_deg: float = 0.0, mark_width: float = 1.04
) -> Drawing:
    """The drawing of one bar as it came out: a tube of four bends (no leading axes), clamped as by
    `two_sides_from_bends`.

    Parameters
    ----------
    bends : TubeBends
    tube_diameter_mm : number above 0
    stem_roll_deg : number
    mark_width : number above 0
        Diameter of the rings at the marks over that of the tube.

    Raises
    ------
    BendError
        The bends are not one tube's four, or a number is outside its range.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.space import drawing_from_bends, bends_from_recipe
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> drawing_from_bends(bends, tube_diameter_mm=22.225).surface.shape
    (54, 20, 3)
    """
    check_one_tube(bends)
    if bends.bend_count != len(PIECES) // 2:
        raise BendError(f"a bar must have {len(PIECES) // 2} bends, got {bends.bend_count}: give a whole bar")
    roll = checked_single("stem roll", stem_roll_deg, "deg")
    radius = checked_single("tube diameter", tube_diameter_mm, "mm", above=0.0) / 2.0
    proud = checked_single("mark width", mark_width, above=0.0)
    lean = float(two_sides_from_bends(bends, roll).right_lean_deg)  # it is placed by its right inner bend
    points, frames = placed(*points_at(bends, sample_stations(bends, PER_BEND)), *bar_placement(bends, lean))
    surface, nodes = tube_surface(points, frames, 2.0 * radius), node_places()
    marks = nodes[[2, 3, 6, 7]]
    mark_rings = points[marks, None] + proud * (surface[marks] - points[marks, None])
    tangents = frames[:, :, 0]
    return Drawing(
        points=points,
        surface=surface,
        front=_outline(points[:, [0, 2]], tangents[:, [0, 2]], radius),
        above=_outline(points[:, :2] * [1.0, -1.0], tangents[:, :2] * [1.0, -1.0], radius),
        mark_rings=np.concatenate([mark_rings, mark_rings[:, :1]], axis=1),
        nodes=points[nodes],
        tube_diameter_mm=2.0 * radius,
    )


def tube_surface(points: Array, frames: Array, tube_diameter_mm: Array | float) -> Array:
    """Rings (..., m, facets, 3) of the surface of tubes along `points` (..., m, 3) with `frames` (..., m, 3, 3), mm.

    The diameter is one number, or (m,). The facets run straight, because normals are carried along each tube without
    turning about it.
    """
    tangents, normal = frames[..., 0], frames[..., 0, :, 1]
    normals = np.empty_like(tangents)
    for i in range(tangents.shape[-2]):
        tangent = tangents[..., i, :]
        normal = normal - (normal * tangent).sum(-1, keepdims=True) * tangent
        normal = normal / np.sqrt((normal * normal).sum(-1, keepdims=True))
        normals[..., i, :] = normal
    turn = np.linspace(0.0, 2.0 * np.pi, FACETS, endpoint=False)[:, None]
    around = np.cos(turn) * normals[..., None, :] + np.sin(turn) * np.cross(tangents, normals)[..., None, :]
    return points[..., None, :] + 0.5 * np.asarray(tube_diameter_mm)[..., None, None] * around


def node_places() -> NDArray[np.intp]:
    """Places in `points` of the ends and tangent points, from the left end: 10 of them."""
    starts = 1 + np.arange(4) * (PER_BEND + 1)
    return np.concatenate([[0], np.stack([starts, starts + PER_BEND], 1).ravel(), [1 + 4 * (PER_BEND + 1)]])


def piece_of_interval() -> list[str]:
    """For each of the m - 1 intervals between neighbouring points, the piece of the bar it belongs to."""
    nodes = node_places()
    return [piece for piece, length in zip(PIECES, np.diff(nodes), strict=True) for _ in range(length)]


def triangles() -> NDArray[np.intp]:
    """Corner numbers (t, 3) of the surface's triangles, two a facet, interval by interval."""
    rings = node_places()[-1]
    ring, facet = np.meshgrid(np.arange(rings), np.arange(FACETS), indexing="ij")
    here, beside = ring * FACETS + facet, ring * FACETS + (facet + 1) % FACETS
    quads = np.stack([here, beside, here + FACETS, beside, beside + FACETS, here + FACETS], -1)
    return quads.reshape(-1, 3)


def _outline(points: Array, tangents: Array, radius: float) -> Array:
    # both edges (2, m, 2) of the tube's silhouette in a view: the projected centre line, set off square by the radius
    aside = np.stack([-tangents[:, 1], tangents[:, 0]], -1)
    aside *= radius / np.maximum(np.linalg.norm(tangents, axis=1), 1e-9)[:, None]
    return np.stack([points + aside, points - aside])
