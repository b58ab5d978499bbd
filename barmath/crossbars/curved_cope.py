"""The cope of a branch on any piece of a bar: its straights, its bends, or where one runs into the other.

A header is everything within its radius of the bar's centre line. Each thread of the branch's surface is a line along
the branch. It is followed from the branch toward the header until its distance from the centre line is that radius. On
a straight this is the curve of `barmath.crossbars.cope`; on a bend no formula for straight tubes is right.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.records import Recipe, check_single
from barmath.crossbars.cope import refuse_wide
from barmath.refusal import BendError, checked_single
from barmath.space.centerline import bar_placement as placement
from barmath.space.centerline import bends_from_recipe, nodes_of_bends, placed

LEAST_ANGLE_DEG = 8.0
"""Angle between branch and header below which the cope runs along the header instead of across it."""


class Piece(NamedTuple):
    """A straight or an arc of a centre line: where it starts, its tangent and normal there, its length and radius (of a
    straight infinite); mm.
    """

    start: Array
    tangent: Array
    normal: Array
    length: float
    radius: float


class Joint(NamedTuple):
    """Where a branch meets its header: `point` (3,) of both axes, mm, and two unit vectors (3,).

    `along` leads along the branch away from the header; `toward` is square to it, to station 0. Stations count from
    there toward `aside`.
    """

    point: Array
    along: Array
    toward: Array

    @property
    def aside(self) -> Array:
        """Unit vector (3,) toward station 90."""
        return np.cross(self.along, self.toward)

    def threads_mm(self, radius_mm: float, stations_deg: Array) -> Array:
        """Places (m, 3) round the branch's axis at the joint, one at each of the stations (m,)."""
        t = np.asarray(stations_deg)[:, None] * RADIAN
        return self.point + radius_mm * (np.cos(t) * self.toward + np.sin(t) * self.aside)


def right_half(recipe: Recipe) -> tuple[Piece, ...]:
    """Clamp flat, inner arc, riser, outer arc and grip up to the right end, in the frame with upright risers.

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.crossbars import right_half
    >>> half = right_half(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.3, 105.0))
    >>> [round(piece.length, 1) for piece in half]
    [60.0, 55.0, 100.8, 55.0, 184.3]
    """
    check_single(recipe)
    bends = bends_from_recipe(recipe)
    nodes = nodes_of_bends(bends)
    points, frames = placed(nodes.points_mm, nodes.frames, *placement(bends))
    lengths = np.diff(nodes.stations_mm)
    return tuple(
        Piece(points[k], frames[k][:, 0], frames[k][:, 1], float(lengths[k]),
              float(bends.radii_mm[(k - 1) // 2]) if k % 2 else np.inf)
        for k in range(4, 9)
    )  # fmt: skip


def distance_mm(points: Array, pieces: tuple[Piece, ...]) -> Array:
    """Distance (...) of points (..., 3) from a centre line made of `pieces` that run into each other smoothly."""
    return np.min([_from_arc(points, p) if np.isfinite(p.radius) else _from_straight(points, p) for p in pieces], 0)


def ordinates_on_header_mm(
    joint: Joint, branch_radius_mm: float, header_radius_mm: float, pieces: tuple[Piece, ...], stations_deg: Array
) -> Array:
    """Where each thread of the branch meets the header, mm along the branch from the header's axis.

    Parameters
    ----------
    joint : Joint
    branch_radius_mm, header_radius_mm : numbers
        The branch's at most the header's.
    pieces : tuple of Piece
        The header's centre line.
    stations_deg : array (m,)

    Returns
    -------
    array (m,)

    Raises
    ------
    BendError
        A thread runs along the header without leaving it.
    """
    from scipy.optimize.elementwise import find_root  # here, because it takes longer to import than all of barmath

    threads = joint.threads_mm(branch_radius_mm, stations_deg)
    # a thread is out of the header after twice its radius over the sine of the angle; on a bend, four times as far
    far_mm = 8.0 * header_radius_mm / np.sin(LEAST_ANGLE_DEG * RADIAN)
    near, far = np.zeros(len(threads)), np.full(len(threads), far_mm)

    def outside_by(along: Array, x: Array, y: Array, z: Array) -> Array:
        return distance_mm(np.stack([x, y, z], -1) + along[..., None] * joint.along, pieces) - header_radius_mm

    if not (outside_by(far, *threads.T) > 0.0).all():
        raise BendError(
            "branch must leave its header, got one that runs along it: choose a place where the bar is steeper"
        )
    found = find_root(outside_by, (near, far), args=tuple(threads.T))
    # beside the axis a branch as thick as its header only touches it: rounding may leave no change of sign
    return np.where(found.success, found.x, near)


def check_branch(branch_diameter_mm: float, header_diameter_mm: float) -> None:
    """Raise BendError where a branch is no tube, or wider than its header; both diameters in mm.

    Parameters
    ----------
    branch_diameter_mm, header_diameter_mm : number

    Examples
    --------
    >>> from barmath.crossbars import check_branch
    >>> check_branch(25.0, 22.0)  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    ...
    barmath.refusal.BendError: Swap the tubes ...: branch diameter must be at most the header's 22.0 mm, got 25.0 mm
    """
    branch = checked_single("branch diameter", branch_diameter_mm, "mm", above=0.0)
    header = checked_single("header diameter", header_diameter_mm, "mm", above=0.0)
    refuse_wide(0.5 * branch, 0.5 * header)


def _from_straight(points: Array, piece: Piece) -> Array:
    off = points - piece.start
    along = np.clip(off @ piece.tangent, 0.0, piece.length)
    return np.linalg.norm(off - along[..., None] * piece.tangent, axis=-1)


def _from_arc(points: Array, piece: Piece) -> Array:
    # infinite beyond its ends: the straights that follow on count there
    centre = piece.start + piece.radius * piece.normal
    off = points - centre
    x, y = off @ -piece.normal, off @ piece.tangent
    across = off @ np.cross(piece.tangent, piece.normal)
    angle = np.arctan2(y, x)
    within = (angle >= 0.0) & (angle <= piece.length / piece.radius)
    return np.where(within, np.hypot(np.hypot(x, y) - piece.radius, across), np.inf)
