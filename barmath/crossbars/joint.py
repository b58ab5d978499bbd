"""Where a crossbar meets the right riser: station, point, tangent and angle, in closed form."""

from __future__ import annotations

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.headings import arc, turned
from barmath.crossbars.curved_cope import LEAST_ANGLE_DEG, Piece
from barmath.refusal import BendError, checked_single, plain


def joint_at_height(pieces: tuple[Piece, ...], height_mm: float | None) -> tuple[float, Array, Array]:
    """Station from the clamp flat's end, point (3,) and tangent (3,) of the right half of a bar at a height, mm.

    Parameters
    ----------
    pieces : tuple of Piece
        As `right_half` gives them.
    height_mm : number or None
        Over the clamp axis, risers upright; None: where the outer bend begins.

    Raises
    ------
    BendError
        The riser and its two bends do not reach that height.
    """
    if height_mm is None:
        return float(pieces[1].length + pieces[2].length), pieces[3].start, pieces[3].tangent
    height = checked_single("height of the crossbar", height_mm, "mm")
    tops = [float(_at(piece, piece.length)[0][2]) for piece in pieces[1:4]]
    low, high = round(float(pieces[1].start[2]), 6), tops[-1]  # the clamp axis, at 0 but for rounding
    if not low < height <= high:
        raise BendError(
            f"height of the crossbar must be above {low + 0.0:.1f} and at most {high:.1f} mm, "
            f"got {plain(height)} mm: choose a height on the risers"
        )
    place = next(number for number, top in enumerate(tops, 1) if height <= top)
    along = _along_to_height(pieces[place], height)
    return sum(float(piece.length) for piece in pieces[1:place]) + along, *_at(pieces[place], along)


def _along_to_height(piece: Piece, height: float) -> float:
    # a straight climbs by its tangent's z; an arc solves t sin(theta) + n (1 - cos(theta)) = climb/R where it rises
    climb, t, n = height - piece.start[2], piece.tangent[2], piece.normal[2]
    if np.isinf(piece.radius):
        return float(climb / t)
    theta = np.arctan2(n, t) + np.arcsin(np.minimum((climb / piece.radius - n) / np.hypot(t, n), 1.0))
    return float(theta * piece.radius)


def joint_angle_deg(tangent: Array) -> float:
    """Acute angle between the crossbar and a bar of that tangent (3,), degrees.

    Raises
    ------
    BendError
        The angle is below `LEAST_ANGLE_DEG`.
    """
    angle = float(np.arccos(np.clip(abs(tangent[0]), 0.0, 1.0)) / RADIAN)
    if angle < LEAST_ANGLE_DEG:
        raise BendError(
            f"joint angle must be at least {plain(LEAST_ANGLE_DEG)} deg, or the cope runs along the bar, got "
            f"{angle:.1f} deg: choose a place where the bar is steeper"
        )
    return angle


def _at(piece: Piece, along: float) -> tuple[Array, Array]:
    if np.isinf(piece.radius):
        return piece.start + along * piece.tangent, piece.tangent
    theta = along / piece.radius
    heading, _ = turned(piece.tangent, piece.normal, np.asarray(theta))
    return piece.start + piece.radius * arc(piece.tangent, piece.normal, np.asarray(theta)), heading


def acute_side(tangent: Array) -> Array:
    """Unit vector (3,) square to the crossbar, on the side where it and the riser make the acute angle."""
    leading = -tangent if tangent[0] > 0.0 else tangent
    square = leading * [0.0, 1.0, 1.0]
    return square / np.linalg.norm(square)
