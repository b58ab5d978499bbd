"""Where things are in the picture of the bench: the tube's rings, its pencil marks, and the angle finder on a flat."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.bending.finder import Flat
from barmath.space.centerline import TubeBends, nodes_of_bends, points_at
from barmath.space.drawing import FACETS, PER_BEND, tube_surface

END_MM = 26.0
"""How much of each end of the tube is painted, so that left and right look different."""

MARK_MM, PROUD = 1.4, 1.03
"""Half the width of a pencil mark, and how far its ring is above the tube."""

FROM_BENDER_MM = 75.0
"""How far along its flat the angle finder sits, where the flat is long enough."""


class Finder(NamedTuple):
    """The angle finder on a flat: `place` (4, 4) from its own frame into the bender's: x along the flat away from the
    bender, z up out of the tube; what it shows, positive where the flat climbs toward the bender.
    """

    flat: Flat
    place: Array
    reading_deg: float


def stations_of_pieces(bends: TubeBends) -> list[Array]:
    """Stations of the rings of each piece of the tube: a painted end, straights and bends in turn, a painted end.

    Neighbours share a station, so that each piece may have a colour of its own.
    """
    nodes = nodes_of_bends(bends).stations_mm
    left, right = (min(END_MM, 0.45 * float(bends.straights_mm[place])) for place in (0, -1))
    edges = [nodes[0] + left, *nodes[1:-1], nodes[-1] - right]
    pieces = [np.array([nodes[0], edges[0]])]
    for place in range(len(edges) - 1):
        parts = PER_BEND if place % 2 else 1
        pieces.append(np.linspace(edges[place], edges[place + 1], parts + 1))
    return [*pieces, np.array([edges[-1], nodes[-1]])]


def rings_of_tubes(
    bends: TubeBends, tubes: TubeBends, diameter_mm: float, marks_mm: tuple[float, ...]
) -> tuple[Array, Array]:
    """Rings (k, m, facets, 3) of each tube and (k, 2 marks, facets, 3) of its marks, mm, in the tube's own frame.

    `bends` is the finished tube, which says where the pieces are; `tubes` (k) the same tube at several moments.
    """
    stations = np.concatenate(stations_of_pieces(bends))
    edges = np.clip(np.array([[mark - MARK_MM, mark + MARK_MM] for mark in marks_mm]).ravel(), 0.0, stations[-1])
    along = np.concatenate([stations, edges])
    order = np.argsort(along, kind="stable")
    points, frames = points_at(tubes, along[order])
    rings = np.empty((*points.shape[:-1], FACETS, 3))
    rings[:, order] = tube_surface(points, frames, diameter_mm * np.where(order < stations.size, 1.0, PROUD))
    return rings[:, : stations.size], rings[:, stations.size :]


def finder_on(nodes: Array, flat: Flat, place: Array, diameter_mm: float) -> Finder:
    """The angle finder on `flat` of a tube that is at `place`; `nodes` (2 n + 2, 3) in the tube's own frame."""
    start, end = ((place @ [*nodes[which], 1.0])[:3] for which in (2 * flat.straight, 2 * flat.last + 1))
    near, far = (start, end) if np.linalg.norm(start) < np.linalg.norm(end) else (end, start)
    along = (far - near) / max(float(np.linalg.norm(far - near)), 1e-9)
    foot = near + along * min(0.5 * float(np.linalg.norm(far - near)), FROM_BENDER_MM)
    across = np.cross([0.0, 0.0, 1.0], along)
    size = float(np.linalg.norm(across))
    across = across / size if size > 1e-9 else np.array([0.0, 1.0, 0.0])
    up = np.cross(along, across)
    seat = np.eye(4)
    seat[:3, 0], seat[:3, 1], seat[:3, 2], seat[:3, 3] = along, across, up, foot + 0.5 * diameter_mm * up
    return Finder(flat, seat, float(np.arcsin(np.clip(-along[2], -1.0, 1.0)) / RADIAN) + 0.0)


def turn_about_x(angle_deg: float) -> Array:
    """The turn (4, 4) about the tube in the bender, by the right-hand rule."""
    c, s = np.cos(angle_deg * RADIAN), np.sin(angle_deg * RADIAN)
    return np.array([[1.0, 0.0, 0.0, 0.0], [0.0, c, -s, 0.0], [0.0, s, c, 0.0], [0.0, 0.0, 0.0, 1.0]])


def turn_about_z(angle_deg: float, x_mm: float = 0.0, y_mm: float = 0.0) -> Array:
    """The turn (4, 4) about an upright line through x, y."""
    c, s = np.cos(angle_deg * RADIAN), np.sin(angle_deg * RADIAN)
    there = np.array([[c, -s, 0.0, 0.0], [s, c, 0.0, 0.0], [0.0, 0.0, 1.0, 0.0], [0.0, 0.0, 0.0, 1.0]])
    there[:2, 3] = np.array([x_mm, y_mm]) - there[:2, :2] @ [x_mm, y_mm]
    return there


def turn(start: Array, end: Array, shares: Array) -> list[Array]:
    """Places (4, 4) from `start` to `end`, along the shortest turn and a straight line."""
    from scipy.spatial.transform import Rotation, Slerp  # here, because it takes longer to import than all of barmath

    way = Slerp([0.0, 1.0], Rotation.from_matrix(np.stack([start[:3, :3], end[:3, :3]])))
    places = []
    for share in shares:
        place = np.eye(4)
        place[:3, :3] = way(share).as_matrix()
        place[:3, 3] = (1.0 - share) * start[:3, 3] + share * end[:3, 3]
        places.append(place)
    return places
