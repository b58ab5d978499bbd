"""Meshes, labels and places of the bench in space, as k3d takes them."""

from __future__ import annotations

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


def tube_mesh(name: str, counts: list[int], **colour: object) -> k3d.objects.Mesh:
    """A piece of tube whose corners are set later."""
    return ring_mesh(name, counts, FACETS, **colour)


def ring_mesh(name: str, counts: list[int], around: int, **colour: object) -> k3d.objects.Mesh:
    """Pieces of so many rings each, of `around` corners a ring, which are set later."""
    return k3d.mesh(
        np.zeros((sum(counts) * around, 3), np.float32), ring_triangles(counts, around).astype(np.uint32),
        side="double", roughness=0.35, metalness=0.25, name=name, **colour,
    )  # fmt: skip


def as_corners(rings: Array) -> NDArray[np.float32]:
    """Rings as k3d takes corners."""
    return rings.reshape(-1, 3).astype(np.float32)


def html_label(name: str) -> k3d.objects.Label:
    """A label of HTML, empty at first; the line that k3d draws to it has the colour of the air, so that it is quiet."""
    return k3d.label(
        NOTHING, position=[0.0, 0.0, 0.0], is_html=True, label_box=False, mode="local", max_length=0.3,
        color=rgb(AIR), name=name,
    )  # fmt: skip


def box_html(words: str, colour: str, size_px: int) -> str:
    """Words in a box that stands out."""
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
