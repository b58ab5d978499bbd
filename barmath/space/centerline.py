"""The bends along any tube in space, and the straights between them: the centre line of the general bar.

A tube starts at the origin along +x with its normal along +y and its binormal along +z. Before each bend the tube is
rolled about its own axis. The right-hand rule applies (the normal turns toward the binormal); the bend then turns the
tangent toward the normal. Rolls add up: each is the turn from the plane of the bend before. Leading axes are tubes of
their own, so that one `TubeBends` may hold thousands of tubes.
"""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from barmath.arrays import RADIAN, Array, picked
from barmath.closed_forms.headings import arc, framed, turned
from barmath.closed_forms.records import Recipe, checked_turn
from barmath.fields import frozen, keep, passing
from barmath.refusal import BendError, as_number, check_shapes, checked, checked_count, refuse_where

_ROUNDING_MM = 1e-6  # how far off the tube a station may be


@frozen
class TubeBends:
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
        A value is outside its range, or the shapes do not fit each other.
    """

    straights_mm: Array = passing(checked, "straight", unit="mm", least=0.0)
    bends_deg: Array = passing(checked, "bend", unit="deg", least=0.0, most=180.0)
    rolls_deg: Array = passing(as_number, "roll", unit="deg")
    radii_mm: Array = passing(checked, "radius", unit="mm", above=0.0)

    def _check_together(self) -> None:
        fields = self.straights_mm, self.bends_deg, self.rolls_deg, self.radii_mm
        straights, angles, rolls, radii = map(np.asarray, fields)
        if angles.ndim == 0 or straights.ndim == 0 or straights.shape[-1] != angles.shape[-1] + 1:
            raise BendError(
                "a tube must have one more straight than bends along its last axis, "
                f"got shapes {straights.shape} and {angles.shape}: give a straight before, between and after the bends"
            )
        try:
            lead = np.broadcast_shapes(straights.shape[:-1], angles.shape[:-1], rolls.shape[:-1], radii.shape[:-1])
            angles, rolls, radii = (np.broadcast_to(x, (*lead, angles.shape[-1])) for x in (angles, rolls, radii))
        except ValueError:
            raise BendError(
                "the fields of a bent tube must have sizes that fit together, got "
                f"{straights.shape}, {angles.shape}, {rolls.shape} and {radii.shape}: give one number, or one for each"
            ) from None
        straights = np.broadcast_to(straights, (*lead, straights.shape[-1]))
        keep(self, straights_mm=straights, bends_deg=angles, rolls_deg=rolls, radii_mm=radii)

    @property
    def bend_count(self) -> int:
        """Number n of bends."""
        return self.bends_deg.shape[-1]

    @cached_property
    def _nodes(self) -> Nodes:
        return _walked(self)  # once, for all who ask `nodes_of_bends` of this tube


class Nodes(NamedTuple):
    """The start of a tube, the start and end of each of its bends, and its end: 2 n + 2 nodes.

    stations_mm (..., 2n+2) along the centre line; points_mm (..., 2n+2, 3); frames (..., 2n+2, 3, 3) with the columns
    tangent, normal and binormal. At the start of a bend the frame is the rolled one.
    """

    stations_mm: Array
    points_mm: Array
    frames: Array


def nodes_of_bends(bends: TubeBends) -> Nodes:
    """Stations, points and frames at every tangent point, by going along the tube once.

    Examples
    --------
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> nodes_of_bends(bends).points_mm.shape
    (10, 3)
    """
    return Nodes(*(part.copy() for part in bends._nodes))


def _walked(bends: TubeBends) -> Nodes:
    lead, count = bends.bends_deg.shape[:-1], bends.bend_count
    theta, axes = bends.bends_deg * RADIAN, np.eye(3)
    rolls = _rolled(axes, bends.rolls_deg * RADIAN)  # each in the tube's own axes, all at once
    arcs, turns = _along_arc(np.zeros(3), axes, bends.radii_mm, theta)
    spans, steps = np.zeros((*lead, 2 * count + 2)), np.zeros((*lead, 2 * count + 2, 3))
    spans[..., 1::2], spans[..., 2::2] = bends.straights_mm, bends.radii_mm * theta
    steps[..., 1::2, 0], steps[..., 2::2, :] = bends.straights_mm, arcs
    frames = np.empty((*lead, 2 * count + 2, 3, 3))
    frames[..., 0, :, :] = axes
    for i in range(count):
        np.matmul(frames[..., 2 * i, :, :], rolls[..., i, :, :], out=frames[..., 2 * i + 1, :, :])
        np.matmul(frames[..., 2 * i + 1, :, :], turns[..., i, :, :], out=frames[..., 2 * i + 2, :, :])
    frames[..., -1, :, :] = frames[..., -2, :, :]
    steps[..., 1:, :] = (frames[..., :-1, :, :] @ steps[..., 1:, :, None])[..., 0]
    return Nodes(np.cumsum(spans, -1), np.cumsum(steps, -2), frames)


def cut_length_mm(bends: TubeBends) -> Array:
    """Straight tube to cut: straights and arcs, mm, shape (...).

    Examples
    --------
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> print(f"{cut_length_mm(bends):.1f} mm")
    850.1 mm
    """
    return bends.straights_mm.sum(-1) + (bends.radii_mm * bends.bends_deg).sum(-1) * RADIAN


def points_at(bends: TubeBends, stations_mm: ArrayLike) -> tuple[Array, Array]:
    """Exact points and frames of the centre line at arc lengths from the tube's start.

    Parameters
    ----------
    bends : TubeBends
    stations_mm : number or array (..., m)
        From 0 to the cut length. A number counts as one station, m = 1.

    Returns
    -------
    points (..., m, 3) in mm and frames (..., m, 3, 3), columns tangent, normal, binormal. At a tangent point the frame
    is that of the straight or bend which begins there.

    Raises
    ------
    BendError
        A station is off the tube, or the shapes of stations and tubes do not fit each other.

    Examples
    --------
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> points, frames = points_at(bends, [0, 100])
    >>> points.shape, frames.shape
    ((2, 3), (2, 3, 3))
    """
    nodes = nodes_of_bends(bends)
    s = np.atleast_1d(np.asarray(as_number("place along the tube", stations_mm, "mm")))
    end = nodes.stations_mm[..., -1:]
    s = np.broadcast_to(s, check_shapes("the places and the tubes", s, end))
    off = (s < -_ROUNDING_MM) | (s > end + _ROUNDING_MM)
    refuse_where(
        off, "place along the tube must be from 0 to {end:most} mm, got {got} mm", end=end, got=s,
        remedy="choose a place on the tube",
    )  # fmt: skip
    pieces = (s[..., None] >= nodes.stations_mm[..., None, 1:-1]).sum(-1)  # even: a straight, odd: a bend
    radii = np.ones((*end.shape[:-1], 2 * bends.bend_count + 1))
    radii[..., 1::2] = bends.radii_mm
    local, radii = s - picked(nodes.stations_mm, pieces), picked(radii, pieces)
    points, frames = picked(nodes.points_mm, pieces, 1), picked(nodes.frames, pieces, 2)
    bent = pieces % 2 == 1
    points = points + np.where(bent, 0.0, local)[..., None] * frames[..., :, 0]
    return _along_arc(points, frames, radii, np.where(bent, local / radii, 0.0))


def sample_stations(bends: TubeBends, per_bend: int = 12) -> Array:
    """Stations for a picture: both ends, every tangent point, and each arc in `per_bend` equal parts.

    Shape (..., 2 + n (per_bend + 1)), whatever the tube measures.

    Parameters
    ----------
    bends : TubeBends
    per_bend : whole number, 1..10000

    Raises
    ------
    BendError
        `per_bend` is no whole number from 1 to 10000.

    Examples
    --------
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> sample_stations(bends, per_bend=6).shape
    (30,)
    """
    count = checked_count("parts of a bend", per_bend, least=1, most=10_000)
    nodes = nodes_of_bends(bends).stations_mm
    parts = np.linspace(0.0, 1.0, count + 1)
    starts, ends = nodes[..., 1:-1:2], nodes[..., 2::2]
    arcs = starts[..., None] + (ends - starts)[..., None] * parts
    along = arcs.reshape(*arcs.shape[:-2], arcs.shape[-2] * arcs.shape[-1])
    return np.concatenate([nodes[..., :1], along, nodes[..., -1:]], -1)


def check_one_tube(bends: TubeBends) -> None:
    """Raise BendError where there are leading axes: here the bends must be one tube's.

    Examples
    --------
    >>> check_one_tube(bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105)))  # one tube: nothing is raised
    """
    shape = bends.bends_deg.shape
    if len(shape) > 1:
        raise BendError(f"bends must be those of one tube, got arrays of shape {shape}: give one tube at a time")


def reversed_bends(bends: TubeBends) -> TubeBends:
    """The same tube from its other end, up to a turn in space: its first roll is 0.

    Examples
    --------
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> reversed_bends(bends).bends_deg.tolist()
    [30.0, 30.0, 30.0, 30.0]
    """
    rolls = np.concatenate([np.zeros_like(bends.rolls_deg[..., :1]), bends.rolls_deg[..., :0:-1]], -1)
    return TubeBends(bends.straights_mm[..., ::-1], bends.bends_deg[..., ::-1], rolls, bends.radii_mm[..., ::-1])


def mirrored_bends(bends: TubeBends) -> TubeBends:
    """The mirror image in the plane z = 0.

    Examples
    --------
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> (mirrored_bends(bends).rolls_deg + bends.rolls_deg).tolist()
    [0.0, 0.0, 0.0, 0.0]
    """
    return TubeBends(bends.straights_mm, bends.bends_deg, -bends.rolls_deg, bends.radii_mm)


def bends_from_recipe(recipe: Recipe) -> TubeBends:
    """The whole bar from its left end: grip, riser, clamp flat, riser, grip, with outer, inner, inner, outer bend.

    Examples
    --------
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> bends.straights_mm.tolist()
    [184.3, 100.8, 60.0, 100.8, 184.3]
    """
    c, a, s, roll, b, g, radius = np.broadcast_arrays(
        recipe.clamp_flat_mm, recipe.inner_bend_deg, recipe.straight_mm, recipe.roll_deg,
        recipe.outer_bend_deg, recipe.grip_mm, recipe.radius_mm,
    )  # fmt: skip
    # a recipe's roll of 0 undoes the bend before, a tube's goes on the same way: they differ by half a turn
    turn = 180.0 - roll
    return TubeBends(
        np.stack([g, s, c, s, g], -1),
        np.stack([b, a, a, b], -1),
        np.stack([np.zeros_like(turn), -turn, np.zeros_like(turn), turn], -1),
        np.stack([radius] * 4, -1),
    )


def bar_points(recipe: Recipe, stations_mm: ArrayLike) -> tuple[Array, Array]:
    """Points and frames of the whole bar as `points_at`, in the bar's frame: x right, y forward, z up, origin in the
    middle of the clamp flat, turned in the stem. Stations count from the left end.

    Parameters
    ----------
    recipe : Recipe
    stations_mm : number or array (..., m)

    Returns
    -------
    points (..., m, 3) in mm and frames (..., m, 3, 3), columns tangent, normal, binormal

    Raises
    ------
    BendError
        A station is off the tube.

    Examples
    --------
    >>> points, _ = bar_points(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105), [0])
    >>> points.round(1).tolist()
    [[-400.0, -51.3, 90.0]]
    """
    bends = bends_from_recipe(recipe)
    return placed(*points_at(bends, stations_mm), *bar_placement(bends, recipe.stem_roll_deg))


def bar_placement(bends: TubeBends, stem_roll_deg: ArrayLike = 0.0) -> tuple[Array, Array]:
    """Origin (..., 3) and rotation (..., 3, 3) for `placed`, which carry tubes of four bends into the bar's frame.

    The middle of the third straight, the clamp flat, comes to the origin. Its direction is then +x, and the plane of
    the right inner bend is upright; then the bar is turned in the stem.

    Parameters
    ----------
    bends : TubeBends of tubes (...) of four bends
    stem_roll_deg : number or array (...)

    Returns
    -------
    origin (..., 3) in mm, rotation (..., 3, 3)

    Raises
    ------
    BendError
        The tubes have other than four bends. The stem roll is outside -180 to 180 deg, or its shape does not fit the
        tubes.

    Examples
    --------
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> origin, rotation = bar_placement(bends)
    >>> origin.shape, rotation.shape
    ((3,), (3, 3))
    """
    if bends.bend_count != 4:
        raise BendError(f"a bar must have 4 bends, got {bends.bend_count}: give a whole bar")
    nodes = nodes_of_bends(bends)
    left_inner_end, right_inner_start = nodes.points_mm[..., 4, :], nodes.points_mm[..., 5, :]
    upright = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])  # columns x, z and -y
    roll = np.asarray(checked_turn("stem roll", stem_roll_deg))
    check_shapes("the bars and their stem rolls", bends.bends_deg[..., 0], roll)
    clamped = _rolled(upright, roll * RADIAN)
    return 0.5 * (left_inner_end + right_inner_start), clamped @ np.swapaxes(nodes.frames[..., 5, :, :], -1, -2)


def placed(points: Array, frames: Array, origin: Array, rotation: Array) -> tuple[Array, Array]:
    """Points (..., m, 3) and frames (..., m, 3, 3), less `origin` (..., 3) and turned by `rotation` (..., 3, 3)."""
    moved = (points - origin[..., None, :]) @ np.swapaxes(rotation, -1, -2)
    return moved, rotation[..., None, :, :] @ frames


def _rolled(frame: Array, rho: Array) -> Array:
    tangent, normal, binormal = frame[..., :, 0], frame[..., :, 1], frame[..., :, 2]
    return framed(tangent, *turned(normal, binormal, rho[..., None]))


def _along_arc(point: Array, frame: Array, radius: Array, theta: Array) -> tuple[Array, Array]:
    theta, radius = theta[..., None], np.asarray(radius)[..., None]
    tangent, normal, binormal = frame[..., :, 0], frame[..., :, 1], frame[..., :, 2]
    return point + radius * arc(tangent, normal, theta), framed(*turned(tangent, normal, theta), binormal)
