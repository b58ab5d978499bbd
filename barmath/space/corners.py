"""The polygon of a bent tube: the corners that its bends round off, and the bends that given corners make.

The legs of a bend of angle a and radius R meet in a corner. It is R tan(a/2), its take-out, beyond each of its tangent
points: see `barmath.derivation.forward.take_out`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.headings import turned
from barmath.refusal import BendError, as_number, check_shapes, refuse_where
from barmath.space.centerline import TubeBends, nodes_of_bends

STRAIGHT_THROUGH_DEG = 1e-9
"""A corner that turns less than this is taken as straight through: no bend, no plane, a roll of 0."""

TURNED_BACK_DEG = 179.9999
"""Beyond it the legs of a bend run side by side and have no corner within reach."""

_ALONG_Y = 0.999999
# a first leg that has this share of y has no side nearest to +y

_ROUNDING_MM = 1e-9
# a length below it is none


def corner_points_mm(bends: TubeBends) -> Array:
    """Start, corners and end of the polygon with the corners that the bends round off, shape (..., n + 2, 3).

    Raises
    ------
    BendError
        A bend is 180 degrees, and its legs never meet.

    Examples
    --------
    >>> from barmath.space import TubeBends, corner_points_mm
    >>> corner_points_mm(TubeBends([100, 100], [90], [0], [50])).round(6).tolist()
    [[0.0, 0.0, 0.0], [150.0, 0.0, 0.0], [150.0, 150.0, 0.0]]
    """
    refuse_where(
        bends.bends_deg > TURNED_BACK_DEG,
        "bend must be below 180 deg to have a corner, got {got} deg",
        remedy="split the bend into two",
        got=bends.bends_deg,
    )
    nodes = nodes_of_bends(bends)
    take_out = bends.radii_mm * np.tan(bends.bends_deg * RADIAN / 2.0)
    corners = nodes.points_mm[..., 1:-1:2, :] + take_out[..., None] * nodes.frames[..., 1:-1:2, :, 0]
    return np.concatenate([nodes.points_mm[..., :1, :], corners, nodes.points_mm[..., -1:, :]], -2)


def bends_from_corners(corners_mm: ArrayLike, radii_mm: ArrayLike) -> TubeBends:
    """The bends of the tube with a polygon of the given corners.

    Parameters
    ----------
    corners_mm : array (..., n + 2, 3)
        Start, corners and end.
    radii_mm : number or array (..., n)

    Returns
    -------
    TubeBends
        Its first roll is measured from the direction square to the first leg which is nearest to +y. If the first leg
        runs along y, it is +z. A corner that is straight through becomes a bend of 0. The next roll is measured from
        the plane of the last bend before it.

    Raises
    ------
    BendError
        Points coincide, a leg turns straight back, or the arcs do not fit between the corners. The shapes of corners
        and radii do not fit each other.

    Examples
    --------
    >>> from barmath.space import bends_from_corners
    >>> bends = bends_from_corners([[0, 0, 0], [150, 0, 0], [150, 150, 0]], radii_mm=50)
    >>> bends.bends_deg.tolist(), bends.straights_mm.round(6).tolist()
    ([90.0], [100.0, 100.0])
    """
    lengths, tangents = _legs(corners_mm)
    angles = _turns_deg(tangents)
    radii = np.asarray(as_number("radius", radii_mm, "mm"))
    check_shapes("the corners and radii", radii, angles)
    if radii.ndim and radii.shape[-1] not in (1, angles.shape[-1]):
        raise BendError(
            f"radius must be one number, or one for each corner, got shape {radii.shape}: give as many radii as corners"
        )
    take_out = radii * np.tan(angles * RADIAN / 2.0)
    no_bend = np.zeros((*take_out.shape[:-1], 1))
    take_out = np.concatenate([no_bend, take_out, no_bend], -1)
    straights = lengths - take_out[..., 1:] - take_out[..., :-1]
    refuse_where(
        straights < -_ROUNDING_MM,
        "the arcs must fit between the corners, got {short:.1f} mm too little between two of them",
        remedy="choose smaller radii or corners further apart",
        short=-straights,
    )
    return TubeBends(np.maximum(straights, 0.0), angles, _rolls_deg(tangents, angles), radii)


def _legs(corners_mm: ArrayLike) -> tuple[Array, Array]:
    # lengths (..., n + 1) of the legs and unit vectors along them
    corners = np.asarray(as_number("corner", corners_mm, "mm"))
    if corners.ndim < 2 or corners.shape[-1] != 3 or corners.shape[-2] < 2:
        raise BendError(
            f"corners must be an array of at least 2 points of 3 numbers, got shape {corners.shape}: "
            "give x, y and z of each point"
        )
    legs = np.diff(corners, axis=-2)
    lengths = np.linalg.norm(legs, axis=-1)
    refuse_where(lengths < _ROUNDING_MM, "corners must be apart, got two at one place", remedy="delete one of the two")
    return lengths, legs / lengths[..., None]


def _turns_deg(tangents: Array) -> Array:
    before, after = tangents[..., :-1, :], tangents[..., 1:, :]
    turn = np.arctan2(np.linalg.norm(np.cross(before, after), axis=-1), np.sum(before * after, axis=-1)) / RADIAN
    refuse_where(
        turn > TURNED_BACK_DEG, "a leg must not turn straight back, got a turn of {got:.1f} deg",
        got=turn, remedy="move one of the corners",
    )  # fmt: skip
    return np.where(turn < STRAIGHT_THROUGH_DEG, 0.0, turn)


def _rolls_deg(tangents: Array, bends_deg: Array) -> Array:
    first = tangents[..., 0, :]
    reference = np.where(np.abs(first[..., 1:2]) < _ALONG_Y, [0.0, 1.0, 0.0], [0.0, 0.0, 1.0])
    normal = _unit_square_to(first, reference)
    rolls = np.zeros_like(bends_deg)
    for i in range(bends_deg.shape[-1]):
        bend, tangent = bends_deg[..., i, None], tangents[..., i, :]
        bent = bend > 0.0
        toward = np.where(bent, _unit_square_to(tangent, np.where(bent, tangents[..., i + 1, :], normal)), normal)
        rolls[..., i] = np.arctan2(_dot(tangent, np.cross(normal, toward)), _dot(normal, toward)) / RADIAN
        _, normal = turned(tangent, toward, bend * RADIAN)
    return rolls


def _unit_square_to(tangent: Array, vector: Array) -> Array:
    square = vector - _dot(tangent, vector)[..., None] * tangent
    return square / np.linalg.norm(square, axis=-1, keepdims=True)


def _dot(u: Array, v: Array) -> Array:
    return np.sum(u * v, axis=-1)
