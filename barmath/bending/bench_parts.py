"""What a hand bender looks like: die, hook, follower, handle, frame and table as solids, from the shop's own lengths.

Frame of `barmath.bending.holds`. Hook and follower are as long as the straight that each of them needs. The handle
reaches as far as it was measured; what has not been measured is drawn small, or not at all.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array
from barmath.shop.groove import section_from_die
from barmath.shop.setup import Setup

ROUND = 72
"""Corners of the arc that the handle sweeps."""

STILL, WITH_HANDLE, OPENING, STOP = "still", "with the handle", "opening", "stop"
"""How a part moves: not at all, round with the handle, off the tube as the hook opens, to the angle of the stop."""

_GROOVE_PARTS, _WALL_MM, _SMALL_FOLLOWER_MM = 10, 11.0, 40.0
# parts of the groove's circle; for the eye only the hook's metal, and the length of a follower that was not measured

_BOX = np.array([
    [0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4], [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6],
    [3, 0, 4], [3, 4, 7],
])  # fmt: skip
# two triangles a face, by the places of the corners in `_box`


class Solid(NamedTuple):
    """A part of the bender: corners (m, 3) in mm, triangles (t, 3), how it moves, and whether its faces are flat.

    The corners of a triangle run counterclockwise for an eye outside, so that inner faces need no drawing.
    """

    corners_mm: Array
    triangles: NDArray[np.intp]
    moves: str = STILL
    flat: bool = True


def parts_of_bender(setup: Setup) -> dict[str, Solid]:
    """The parts by their names in the trade: "die", "edge mark", "hook", "follower", "handle", "knob", "stop", "frame",
    and "table" where it has been measured.
    """
    die, bender, half = setup.die, setup.bender, 0.5 * setup.tube_diameter_mm
    radius, side = float(die.centerline_radius_mm), bender.die_side
    section = section_from_die(die, setup.tube_diameter_mm)
    top = float(section.height_mm)
    below = bender.frame_below_mm or top + 14.0
    reach = bender.frame_reach_mm or 0.8 * radius
    foot = bender.table_below_mm or below + 90.0
    floor = -0.5 * (top + below)  # of the arm, between die and frame
    # sizes that no shop measures are those of a common hand bender (from memory); nothing is worked out from them
    need, follow = max(bender.hook_needs_mm(die), 20.0), bender.follower_mm or _SMALL_FOLLOWER_MM
    out, long = radius + half, bender.handle_reach_mm or 3.0 * radius
    outline = section.outline_mm(_GROOVE_PARTS)
    rim = float(outline[0, 0])
    upper = [[0.0, top + 1.5], [rim - 3.0, top + 1.5], [rim, top - 1.0]]
    profile = np.vstack([upper, outline[1:-1], [[rim, -top], [0.0, -top]]])
    parts = {
        "die": _lathe(profile),
        "pin": _lathe(np.array([[0.0, top + 15.0], [11.0, top + 15.0], [13.0, top + 13.0], [13.0, top]])),
        "edge mark": _box((-1.3, 1.3), (-rim + 0.3, -0.45 * radius), (top + 1.0, top + 2.2)),
        "hook": _joined(
            _box((-need, -3.0), (-out - _WALL_MM, -out - 1.0), (-half - 8.0, half + 9.0)),
            _box((-need, -0.42 * need), (-out - 1.0, -radius + 1.0), (half + 1.0, half + 9.0)),
            _box((-need, -0.42 * need), (-out - 1.0, -radius + 1.0), (-half - 8.0, -half - 1.0)),
        )._replace(moves=OPENING),
        "follower": _joined(
            _box((4.0, 4.0 + follow), (-out - 20.0, -out - 0.5), (-half, half)),
            _box((8.0, follow), (-out - 16.0, -out - 4.0), (floor, -half)),
        )._replace(moves=WITH_HANDLE),
        "handle": _joined(
            _box((-14.0, 4.0 + follow), (-out - 46.0, 0.0), (floor - 4.0, floor + 4.0)),
            _bar((14.0, -out - 30.0, floor), (14.0, -long + 150.0, floor), 10.5),
        )._replace(moves=WITH_HANDLE),
        "knob": _bar((14.0, -long + 150.0, floor), (14.0, -long, floor), 15.0)._replace(moves=WITH_HANDLE),
        "stop": _lathe(np.array([[0.0, 16.0], [6.0, 16.0], [7.0, 14.0], [7.0, 0.0]]))._replace(moves=STOP),
        "frame": _lathe(np.array([
            [0.0, -below], [reach - 4.0, -below], [reach, -below - 4.0], [reach, -below - 22.0],
            [0.55 * reach, -below - 30.0], [0.55 * reach, -foot + 10.0], [0.8 * reach, -foot + 10.0],
            [0.8 * reach, -foot],
        ])),
    }  # fmt: skip
    stop = parts["stop"]
    parts["stop"] = stop._replace(corners_mm=stop.corners_mm + np.array([-16.0, -min(reach, out) + 12.0, -below]))
    if bender.table_below_mm is not None and bender.table_reach_mm is not None:
        edge = bender.table_reach_mm
        parts["table"] = _lathe(np.array([[0.0, -foot], [edge - 3.0, -foot], [edge, -foot - 3.0], [edge, -foot - 26.0],
                                          [0.0, -foot - 26.0]]))  # fmt: skip
    return {name: _about_pivot(part, side, radius) for name, part in parts.items()}


def _about_pivot(part: Solid, side: float, radius: float) -> Solid:
    # mirrored where the die is on the right, and then wound the other way round
    corners = part.corners_mm * [1.0, side, 1.0] + [0.0, side * radius, 0.0]
    return part._replace(corners_mm=corners, triangles=_wound(part.triangles, side < 0.0))


def finder_solids() -> dict[str, Solid]:
    """The digital angle finder in its own frame: x along the flat, z up out of the tube; its body, and its display."""
    return {
        "angle finder": _joined(
            _box((-27.0, 27.0), (-9.0, 9.0), (3.0, 30.0)),
            _box((-27.0, 27.0), (-11.0, -6.0), (-4.0, 3.0)),
            _box((-27.0, 27.0), (6.0, 11.0), (-4.0, 3.0)),
        ),
        "display": _box((-19.0, 19.0), (-9.6, 9.6), (9.0, 25.0)),
    }


def sector_mm(setup: Setup, angle_deg: float) -> Array:
    """Corners (2 ROUND, 3) of the arc that the handle sweeps, at the handle's height, from 0 to an angle, mm."""
    bender, radius = setup.bender, float(setup.die.centerline_radius_mm)
    far = min(bender.handle_reach_mm or 3.0 * radius, 3.4 * radius)
    turn = -0.5 * np.pi + np.linspace(0.0, angle_deg * RADIAN, ROUND)
    edges = np.stack([np.stack([rho * np.cos(turn), bender.die_side * rho * np.sin(turn), np.full(ROUND, -30.0)], -1)
                      for rho in (far - 0.22 * radius, far)])  # fmt: skip
    return edges.reshape(-1, 3) + np.array([0.0, bender.die_side * radius, 0.0])


def sector_triangles(die_side: float) -> NDArray[np.intp]:
    """Triangles of `sector_mm` for an eye above it."""
    here = np.arange(ROUND - 1)
    triangles = np.concatenate([
        np.stack([here, here + ROUND, here + 1], -1), np.stack([here + 1, here + ROUND, here + 1 + ROUND], -1)
    ])  # fmt: skip
    return _wound(triangles, die_side < 0.0)


def rod(length_mm: float, radius_mm: float) -> Solid:
    """A round rod from 0 along x, mm."""
    return _bar((0.0, 0.0, 0.0), (length_mm, 0.0, 0.0), radius_mm)


def ring_triangles(counts: list[int], facets: int) -> NDArray[np.intp]:
    """Triangles between neighbouring rings of each piece, for pieces of so many rings, one after the other."""
    ring = np.concatenate([np.arange(count - 1) + sum(counts[:place]) for place, count in enumerate(counts)])
    start, facet = np.meshgrid(ring * facets, np.arange(facets), indexing="ij")
    here, beside = start + facet, start + (facet + 1) % facets
    return np.stack([here, beside, here + facets, beside, beside + facets, here + facets], -1).reshape(-1, 3)


def _wound(triangles: NDArray[np.intp], mirrored: bool) -> NDArray[np.intp]:
    return triangles[:, ::-1] if mirrored else triangles


def _lathe(profile: Array) -> Solid:
    # turned about the upright axis, its profile from the top down; every ring twice, so that its edges are sharp; with
    # as many corners as keep within 0.5 mm of round, because each triangle takes its time in every picture
    size = float(profile[:, 0].max())
    around = int(np.ceil(np.pi / np.arccos(1.0 - 0.5 / size)))
    turn = np.linspace(0.0, 2.0 * np.pi, around, endpoint=False)
    rho, z = np.repeat(profile, 2, axis=0)[1:-1].T
    rings = np.stack([rho[:, None] * np.cos(turn), rho[:, None] * np.sin(turn), np.repeat(z[:, None], around, 1)], -1)
    return Solid(rings.reshape(-1, 3), _wound(ring_triangles([2] * (len(profile) - 1), around), True), flat=False)


def _box(x: tuple[float, float], y: tuple[float, float], z: tuple[float, float]) -> Solid:
    corners = [(x[i], y[j], z[k]) for k in (0, 1) for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))]
    return Solid(np.array(corners), _BOX)


def _bar(start: tuple, end: tuple, radius: float) -> Solid:
    begin, along = np.array(start), np.array(end) - np.array(start)
    turn = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    aside = np.cross(along, [0.0, 0.0, 1.0])
    aside = aside / np.linalg.norm(aside)
    up = np.cross(aside, along) / np.linalg.norm(along)
    around = radius * (np.cos(turn)[:, None] * aside + np.sin(turn)[:, None] * up)
    rings = np.stack([np.repeat(begin[None], 24, 0), begin + around, begin + around, begin + along + around,
                      begin + along + around, np.repeat((begin + along)[None], 24, 0)])  # fmt: skip
    return Solid(rings.reshape(-1, 3), _wound(ring_triangles([2, 2, 2], 24), True), flat=False)


def _joined(*solids: Solid) -> Solid:
    shift = np.cumsum([0, *(len(solid.corners_mm) for solid in solids)])
    return Solid(
        np.concatenate([solid.corners_mm for solid in solids]),
        np.concatenate([solid.triangles + start for solid, start in zip(solids, shift, strict=False)]),
    )
