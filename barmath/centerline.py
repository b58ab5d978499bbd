"""Any row of straights and bends in space: the centre line of the general bar.

A row starts at the origin along +x with its normal along +y and its binormal along +z. Before each bend the tube is
rolled about its own axis, by the right-hand rule (the normal turns toward the binormal); the bend then turns the
tangent toward the normal. Rolls add up: each is the turn from the plane of the bend before. Leading axes are rows of
their own, so that one `TubeRow` may hold thousands of tubes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.bar import Recipe
from barmath.refusal import BendError, as_number, refuse_where
from barmath.shape import RADIAN

Array = NDArray[np.float64]

STRAIGHT_THROUGH_DEG = 1e-7
"""A corner that turns less than this has no plane; its roll is taken as 0."""


@dataclass(frozen=True)
class TubeRow:
    """A tube of n bends and n + 1 straights.

    Parameters
    ----------
    straights_mm : array (..., n + 1), at least 0
    bends_deg : array (..., n), 0..180
        A bend of 0 is no bend and has no length.
    rolls_deg : array (..., n)
        Turn about the tube's axis before each bend.
    radii_mm : number or array (..., n), above 0
        Centre-line radii.

    Raises
    ------
    BendError
        Where a value lies outside its range or the shapes do not fit each other.
    """

    straights_mm: Array
    bends_deg: Array
    rolls_deg: Array
    radii_mm: Array

    def __post_init__(self) -> None:
        straights, bends, rolls, radii = (
            np.asarray(as_number(name, value, unit))
            for name, value, unit in (
                ("straight", self.straights_mm, "mm"),
                ("bend", self.bends_deg, "deg"),
                ("roll", self.rolls_deg, "deg"),
                ("radius", self.radii_mm, "mm"),
            )
        )
        if bends.ndim == 0 or straights.ndim == 0 or straights.shape[-1] != bends.shape[-1] + 1:
            raise BendError(
                "a row must have one more straight than bends along its last axis, "
                f"got shapes {straights.shape} and {bends.shape}"
            )
        try:
            lead = np.broadcast_shapes(straights.shape[:-1], bends.shape[:-1], rolls.shape[:-1], radii.shape[:-1])
            bends, rolls, radii = (np.broadcast_to(x, (*lead, bends.shape[-1])) for x in (bends, rolls, radii))
        except ValueError:
            raise BendError(
                "the fields of a row must have shapes that broadcast, got "
                f"{straights.shape}, {bends.shape}, {rolls.shape} and {radii.shape}"
            ) from None
        refuse_where(straights < 0.0, "straight must be at least 0 mm, got {got} mm", got=straights)
        refuse_where((bends < 0.0) | (bends > 180.0), "bend must be from 0 to 180 deg, got {got} deg", got=bends)
        refuse_where(radii <= 0.0, "radius must be above 0 mm, got {got} mm", got=radii)
        straights = np.broadcast_to(straights, (*lead, straights.shape[-1]))
        for name, value in zip(self.__dataclass_fields__, (straights, bends, rolls, radii), strict=True):
            object.__setattr__(self, name, value)

    @property
    def bend_count(self) -> int:
        """Number n of bends."""
        return self.bends_deg.shape[-1]


class Nodes(NamedTuple):
    """The start of a row, the start and end of each of its bends, and its end: 2 n + 2 nodes.

    stations_mm (..., 2n+2) along the centre line; points_mm (..., 2n+2, 3); frames (..., 2n+2, 3, 3) whose columns are
    tangent, normal and binormal. At the start of a bend the frame is the rolled one.
    """

    stations_mm: Array
    points_mm: Array
    frames: Array


def nodes_of_row(row: TubeRow) -> Nodes:
    """Stations, points and frames at every tangent point, by going along the row once."""
    lead = row.bends_deg.shape[:-1]
    point = np.zeros((*lead, 3))
    frame = np.broadcast_to(np.eye(3), (*lead, 3, 3))
    theta, rho = row.bends_deg * RADIAN, row.rolls_deg * RADIAN
    station = np.zeros(lead)
    stations, points, frames = [station], [point], [frame]
    for i in range(row.bend_count):
        point = point + row.straights_mm[..., i, None] * frame[..., :, 0]
        station = station + row.straights_mm[..., i]
        frame = _rolled(frame, rho[..., i])
        stations.append(station)
        points.append(point)
        frames.append(frame)
        point, frame = _along_arc(point, frame, row.radii_mm[..., i], theta[..., i])
        station = station + row.radii_mm[..., i] * theta[..., i]
        stations.append(station)
        points.append(point)
        frames.append(frame)
    stations.append(station + row.straights_mm[..., -1])
    points.append(point + row.straights_mm[..., -1, None] * frame[..., :, 0])
    frames.append(frame)
    return Nodes(np.stack(stations, -1), np.stack(points, -2), np.stack(frames, -3))


def cut_length_mm(row: TubeRow) -> Array:
    """Straight tube that makes the row: straights and arcs, mm, shape (...)."""
    return row.straights_mm.sum(-1) + (row.radii_mm * row.bends_deg).sum(-1) * RADIAN


def points_at(row: TubeRow, stations_mm: ArrayLike) -> tuple[Array, Array]:
    """Exact points and frames of the centre line at arc lengths from the row's start.

    Parameters
    ----------
    row : TubeRow
    stations_mm : array (..., m)
        From 0 to the cut length.

    Returns
    -------
    points (..., m, 3) in mm and frames (..., m, 3, 3), columns tangent, normal, binormal

    Raises
    ------
    BendError
        Where a station lies off the tube.
    """
    nodes = nodes_of_row(row)
    s = np.asarray(as_number("station", stations_mm, "mm"))
    end = nodes.stations_mm[..., -1:]
    refuse_where((s < -1e-6) | (s > end + 1e-6), "station must lie on the tube, got {got} mm", got=s)
    shape = np.broadcast_shapes(s.shape, (*end.shape[:-1], s.shape[-1]))
    s = np.broadcast_to(s, shape)
    points, frames = np.empty((*shape, 3)), np.empty((*shape, 3, 3))
    for k in range(2 * row.bend_count + 1):
        local = s - nodes.stations_mm[..., k, None]
        point, frame = nodes.points_mm[..., k, None, :], nodes.frames[..., k, None, :, :]
        if k % 2 == 0:
            point, frame = point + local[..., None] * frame[..., :, 0], np.broadcast_to(frame, (*shape, 3, 3))
        else:
            radius = row.radii_mm[..., k // 2, None]
            point, frame = _along_arc(point, frame, radius, local / radius)
        here = np.ones(shape, bool) if k == 0 else local >= 0.0
        points[here], frames[here] = point[here], frame[here]
    return points, frames


def sample_stations(row: TubeRow, per_bend: int = 12) -> Array:
    """Stations for a picture: both ends, every tangent point, and each arc in `per_bend` equal parts.

    Their number, 2 + n (per_bend + 1), is the same whatever the row measures. Shape (..., 2 + n (per_bend + 1)).
    """
    nodes = nodes_of_row(row).stations_mm
    parts = np.linspace(0.0, 1.0, per_bend + 1)
    starts, ends = nodes[..., 1:-1:2], nodes[..., 2::2]
    arcs = starts[..., None] + (ends - starts)[..., None] * parts
    return np.concatenate([nodes[..., :1], arcs.reshape(*arcs.shape[:-2], -1), nodes[..., -1:]], -1)


def corner_points_mm(row: TubeRow) -> Array:
    """Start, corners and end of the polygon whose corners the bends round off, shape (..., n + 2, 3).

    Raises
    ------
    BendError
        Where a bend is 180 degrees, whose legs never meet.
    """
    refuse_where(
        row.bends_deg > 179.9999, "bend must be below 180 deg to have a corner, got {got} deg", got=row.bends_deg
    )
    nodes = nodes_of_row(row)
    take_out = row.radii_mm * np.tan(row.bends_deg * RADIAN / 2.0)
    corners = nodes.points_mm[..., 1:-1:2, :] + take_out[..., None] * nodes.frames[..., 1:-1:2, :, 0]
    return np.concatenate([nodes.points_mm[..., :1, :], corners, nodes.points_mm[..., -1:, :]], -2)


def row_from_corners(corners_mm: ArrayLike, radii_mm: ArrayLike) -> TubeRow:
    """The row whose polygon has the given corners.

    Parameters
    ----------
    corners_mm : array (n + 2, 3)
        Start, corners and end.
    radii_mm : number or array (n,)

    Returns
    -------
    TubeRow
        Its first roll is measured from the direction square to the first leg that is nearest to +y (from +z where the
        first leg runs along y).

    Raises
    ------
    BendError
        Where points coincide, a leg turns straight back, or two arcs would overlap.
    """
    corners = np.asarray(as_number("corner", corners_mm, "mm"))
    if corners.ndim != 2 or corners.shape[1] != 3 or len(corners) < 3:
        raise BendError(f"corners must be an array of at least 3 points of 3 numbers, got shape {corners.shape}")
    legs = np.diff(corners, axis=0)
    lengths = np.linalg.norm(legs, axis=1)
    refuse_where(lengths < 1e-9, "corners must lie apart, got two at one place")
    tangents = legs / lengths[:, None]
    aside = np.cross(tangents[:-1], tangents[1:])
    theta = np.arctan2(np.linalg.norm(aside, axis=1), np.sum(tangents[:-1] * tangents[1:], axis=1))
    refuse_where(theta > 179.9999 * RADIAN, "a leg must not turn straight back, got {got} deg", got=theta / RADIAN)
    radii = np.broadcast_to(np.asarray(as_number("radius", radii_mm, "mm")), theta.shape)
    take_out = np.concatenate([[0.0], radii * np.tan(theta / 2.0), [0.0]])
    straights = lengths - take_out[:-1] - take_out[1:]
    refuse_where(
        straights < -1e-9,
        "two arcs must not overlap, got a straight of {got} mm between them",
        remedy="choose smaller radii or corners further apart",
        got=straights,
    )
    return TubeRow(np.maximum(straights, 0.0), theta / RADIAN, _rolls_deg(tangents, theta), radii)


def reversed_row(row: TubeRow) -> TubeRow:
    """The same tube from its other end, up to where it lies: its first roll is 0."""
    rolls = np.concatenate([np.zeros_like(row.rolls_deg[..., :1]), row.rolls_deg[..., :0:-1]], -1)
    return TubeRow(row.straights_mm[..., ::-1], row.bends_deg[..., ::-1], rolls, row.radii_mm[..., ::-1])


def mirrored_row(row: TubeRow) -> TubeRow:
    """The mirror image in the plane z = 0."""
    return TubeRow(row.straights_mm, row.bends_deg, -row.rolls_deg, row.radii_mm)


def row_from_recipe(recipe: Recipe) -> TubeRow:
    """The whole bar from its left end: grip, riser, clamp flat, riser, grip, with outer, inner, inner, outer bend."""
    c, a, s, roll, b, g, radius = np.broadcast_arrays(
        recipe.clamp_flat_mm, recipe.inner_bend_deg, recipe.straight_mm, recipe.roll_deg,
        recipe.outer_bend_deg, recipe.grip_mm, recipe.radius_mm,
    )  # fmt: skip
    turn = 180.0 - roll
    return TubeRow(
        np.stack([g, s, c, s, g], -1),
        np.stack([b, a, a, b], -1),
        np.stack([np.zeros_like(turn), -turn, np.zeros_like(turn), turn], -1),
        np.stack([radius] * 4, -1),
    )


def bar_points(recipe: Recipe, stations_mm: ArrayLike) -> tuple[Array, Array]:
    """Points and frames of the whole bar as `points_at`, in the bar's frame: x right, y forward, z up, origin in the
    middle of the clamp flat, rolled in the stem. Stations count from the left end.
    """
    row = row_from_recipe(recipe)
    points, frames = points_at(row, stations_mm)
    nodes = nodes_of_row(row)
    start = nodes.frames[..., 5, :, :]
    middle = nodes.points_mm[..., 5, :] - 0.5 * np.asarray(recipe.clamp_flat_mm)[..., None] * start[..., :, 0]
    psi = np.asarray(recipe.stem_roll_deg) * RADIAN
    upright = np.array(
        [[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]
    )  # columns: tangent x, normal z, binormal -y
    return placed(points, frames, middle, about_x(psi) @ upright @ np.swapaxes(start, -1, -2))


def placed(points: Array, frames: Array, origin: Array, rotation: Array) -> tuple[Array, Array]:
    """Points (..., m, 3) and frames (..., m, 3, 3) moved so that `origin` (..., 3) comes to 0, then turned.

    `rotation` has shape (..., 3, 3).
    """
    turned = (points - origin[..., None, :]) @ np.swapaxes(rotation, -1, -2)
    return turned, rotation[..., None, :, :] @ frames


def about_x(angle: ArrayLike) -> Array:
    """Rotation about +x by `angle` (radians), shape (..., 3, 3)."""
    cosine, sine = np.cos(angle), np.sin(angle)
    zero, one = np.zeros_like(cosine), np.ones_like(cosine)
    entries = [[one, zero, zero], [zero, cosine, -sine], [zero, sine, cosine]]
    return np.stack([np.stack(line, -1) for line in entries], -2)


def _rolled(frame: Array, rho: Array) -> Array:
    cosine, sine = np.cos(rho)[..., None], np.sin(rho)[..., None]
    tangent, normal, binormal = frame[..., :, 0], frame[..., :, 1], frame[..., :, 2]
    return np.stack([tangent, cosine * normal + sine * binormal, cosine * binormal - sine * normal], -1)


def _along_arc(point: Array, frame: Array, radius: Array, theta: Array) -> tuple[Array, Array]:
    cosine, sine, radius = np.cos(theta)[..., None], np.sin(theta)[..., None], np.asarray(radius)[..., None]
    tangent, normal, binormal = frame[..., :, 0], frame[..., :, 1], frame[..., :, 2]
    turned = np.stack([cosine * tangent + sine * normal, cosine * normal - sine * tangent, binormal + 0.0 * cosine], -1)
    return point + radius * (sine * tangent + (1.0 - cosine) * normal), turned


def _rolls_deg(tangents: Array, theta: Array) -> Array:
    reference = np.array([0.0, 1.0, 0.0]) if abs(tangents[0, 1]) < 0.999999 else np.array([0.0, 0.0, 1.0])
    normal = reference - (reference @ tangents[0]) * tangents[0]
    normal /= np.linalg.norm(normal)
    rolls = np.zeros(len(theta))
    for i, angle in enumerate(theta):
        tangent, onward = tangents[i], tangents[i + 1]
        if angle > STRAIGHT_THROUGH_DEG * RADIAN:
            toward = (onward - np.cos(angle) * tangent) / np.sin(angle)
            rolls[i] = np.arctan2(tangent @ np.cross(normal, toward), normal @ toward) / RADIAN
            normal = toward
        normal = np.cos(angle) * normal - np.sin(angle) * tangent
    return rolls
