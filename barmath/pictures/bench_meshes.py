"""Meshes, labels and places of the bench in space, as k3d takes them."""

from __future__ import annotations

from collections.abc import Sequence

import k3d
import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.bending.bench_parts import Solid, ring_triangles
from barmath.pictures.palette import INK, PAPER
from barmath.space.drawing import FACETS

AWAY = np.diag([1e-4, 1e-4, 1e-4, 1.0])
"""Carries a thing to one point, where nobody sees it."""

AIR = "#f7f9fb"
"""Of the picture's background."""

INSIDE = "#20272d"
"""Of the ends of a tube: dark, as its inside is."""

NOTHING = "<span></span>"
"""The words of an empty label: for none at all k3d writes some of its own."""

_FONT = "system-ui, sans-serif"


def rod_from(begin: Array, end: Array) -> Array:
    """The place (4, 4) that makes a rod of 1 mm along x reach from one point to another."""
    # carries a rod of 1 mm along x to reach from one place to another
    along = end - begin
    length = float(np.linalg.norm(along))
    if length < 1e-6:
        return AWAY
    x = along / length
    y = np.cross(x, [0.0, 0.0, 1.0] if abs(x[2]) < 0.9 else [1.0, 0.0, 0.0])
    y = y / np.linalg.norm(y)
    place = np.eye(4)
    place[:3, 0], place[:3, 1], place[:3, 2], place[:3, 3] = along, y, np.cross(x, y), begin
    return place


def part_mesh(solid: Solid, colour: str, name: str, opacity: float = 1.0) -> k3d.objects.Mesh:
    """A part of the bender in one colour; its inner faces are not drawn, which halves the work of a picture."""
    return k3d.mesh(
        solid.corners_mm.astype(np.float32), solid.triangles.astype(np.uint32), color=rgb(colour), name=name,
        side="front", flat_shading=solid.flat, roughness=0.6, metalness=0.1, opacity=opacity,
    )  # fmt: skip


def tube_mesh(name: str, counts: list[int], *, closed: bool = False, **colour: object) -> k3d.objects.Mesh:
    """A piece of tube with corners that are set later; only its outside is drawn, and it is round by its shading.

    Parameters
    ----------
    name : str
    counts : list of int
        Rings of each of its pieces.
    closed : bool
        Whether its ends are closed, so that nobody looks through it: its rings are then those of `with_ends`.
    colour
        k3d's `color`, `opacity`, or a number a corner in `colors`.
    """
    triangles, rings = ring_triangles(counts, FACETS), sum(counts)
    if closed:
        fan = np.stack([np.zeros(FACETS - 2, int), np.arange(1, FACETS - 1), np.arange(2, FACETS)], -1)
        triangles = np.concatenate([triangles, fan[:, ::-1] + rings * FACETS, fan + (rings + 1) * FACETS])
        rings += 2
    return _unset(name, rings * FACETS, triangles, side="front", flat_shading=False, **colour)


def with_ends(rings: Array) -> Array:
    """Rings of a tube, and the first and the last once more: they close it."""
    return np.concatenate([rings, rings[[0, -1]]])


def corner_colours(colours: Sequence[str], counts: Sequence[int]) -> NDArray[np.uint32]:
    """The colour of each corner of a closed tube, from those of its pieces; it is dark inside."""
    rings = np.repeat([rgb(colour) for colour in (*colours, INSIDE)], [*counts, 2])
    return np.repeat(rings, FACETS).astype(np.uint32)


def ring_mesh(name: str, counts: list[int], around: int, **colour: object) -> k3d.objects.Mesh:
    """Pieces of so many rings each, of `around` corners a ring, which are set later; seen from both sides."""
    return _unset(name, sum(counts) * around, ring_triangles(counts, around), side="double", **colour)


def _unset(name: str, corners: int, triangles: NDArray, **look: object) -> k3d.objects.Mesh:
    return k3d.mesh(
        np.zeros((corners, 3), np.float32), triangles.astype(np.uint32), roughness=0.35, metalness=0.25, name=name,
        **look,
    )  # fmt: skip


def arrow_mesh(name: str, colour: str) -> k3d.objects.Mesh:
    """An arrow of 1 mm along x, that `rod_from` puts in its place."""
    turn = np.linspace(0.0, 2.0 * np.pi, FACETS, endpoint=False)
    shape = ((0.0, 0.0), (0.0, 2.5), (0.0, 2.5), (0.66, 2.5), (0.66, 2.5), (0.66, 8.0), (0.66, 8.0), (1.0, 0.0))
    rings = np.array([[np.full(FACETS, x), r * np.cos(turn), r * np.sin(turn)] for x, r in shape])
    arrow = ring_mesh(name, [2] * (len(shape) // 2), FACETS, color=rgb(colour))
    arrow.vertices = as_corners(np.swapaxes(rings, 1, 2))
    return arrow


def as_corners(rings: Array) -> NDArray[np.float32]:
    """Rings as k3d takes corners."""
    return rings.reshape(-1, 3).astype(np.float32)


def html_label(name: str) -> k3d.objects.Label:
    """A label of HTML, empty at first; the line that k3d draws to it has the colour of the air, so that it is quiet."""
    return k3d.label(
        NOTHING, position=[0.0, 0.0, 0.0], is_html=True, label_box=False, mode="local", max_length=0.3,
        color=rgb(AIR), name=name,
    )  # fmt: skip


def html_text(name: str, place: str) -> k3d.objects.Text:
    """Words of HTML right at their spot, empty at first; `place` is what of them is there: "rb", right and bottom."""
    return k3d.text(
        NOTHING, position=[0.0, 0.0, 0.0], is_html=True, label_box=False, reference_point=place, color=rgb(AIR),
        name=name,
    )  # fmt: skip


def box_html(words: str, colour: str, size_px: int) -> str:
    """Words in a box that is easy to see."""
    return (
        f'<span style="font: 700 {size_px}px/1.2 {_FONT}; color: {colour}; background: {PAPER}; padding: 1px 7px; '
        f'border: 2px solid {colour}; border-radius: 6px; white-space: nowrap; font-variant-numeric: tabular-nums">'
        f"{words}</span>"
    )


def words_html(words: str) -> str:
    """Plain words on paper."""
    return f'<span style="font: 600 14px {_FONT}; background: {PAPER}; padding: 0 4px; color: {INK}">{words}</span>'


def moved(x: float, y: float, z: float) -> NDArray[np.float32]:
    """The place (4, 4) of something that is moved and not turned."""
    place = np.eye(4, dtype=np.float32)
    place[:3, 3] = x, y, z
    return place


def time_key(time_s: float) -> str:
    """A time as k3d takes it for a keyframe."""
    return f"{time_s:.4f}"


def rgb(colour: str) -> int:
    """A colour of the palette as k3d takes it."""
    return int(colour[1:], 16)
