"""How the partly bent tube lies in the bender for each bend, before it is made and after.

Bender's frame: origin at the die's tangent point, x along the tube from the held side (hook) to the free side
(follower), y to the left, z up. The bend turns the free side in the level plane, about a vertical line through the
die's centre, so that it changes no height and no slope.

Bends that are made have their finished angle; a bend not yet made keeps the length of its arc as straight tube.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barmath.bar import Recipe, check_single
from barmath.centerline import TubeRow, nodes_of_row, placed, points_at, row_from_recipe, sample_stations
from barmath.shape import RADIAN
from barmath.tooling import Bender

Array = NDArray[np.float64]
Places = NDArray[np.intp]

USUAL_ORDER = (("right", "inner"), ("left", "inner"), ("right", "outer"), ("left", "outer"))
"""Side and bend in the usual order: both inner bends, then both outer ones."""

STRAIGHTS = ("left grip", "left riser", "clamp flat", "right riser", "right grip")
"""The straights of a bar from its left end."""

_BENDS = (("left", "outer"), ("left", "inner"), ("right", "inner"), ("right", "outer"))
_LENGTHENED = (0, 2, 2, 4)  # the straight, on the free side of each bend, that its arc belongs to until it is made
_TANGENT_NODE = (2, 3, 6, 7)  # the end of the riser in the hook at which each bend starts
_ONWARD = np.array([-1.0, 1.0, -1.0, 1.0])  # whether the free side lies toward the right or the left end of the tube


@dataclass(frozen=True)
class Pose:
    """How the tube lies in the bender for one bend.

    Parameters
    ----------
    side, bend : str
        The bend about to be made: "right" or "left", "inner" or "outer".
    before_mm, after_mm : array (m, 3)
        Centre line from the tube's left end to its right end, before the bend and once it has sprung back; the same
        places of the tube in both. m = 2 + 4 (parts of a bend + 1), whatever the bar measures.
    away : array (5, 3)
        Unit vectors along `STRAIGHTS` before the bend, each pointing along the tube away from the bender.
    free : array of int
        Places in `before_mm` and `after_mm` from the tangent point on to the free end.
    turns : "left" or "right"
        To which side the free end comes round; the die stands on that side.
    """

    side: str
    bend: str
    before_mm: Array
    after_mm: Array
    away: Array
    free: Places
    turns: str

    def slope_deg(self, straight: str) -> float:
        """What an angle finder on one of `STRAIGHTS` shows, positive where it climbs toward the bender; the same
        before and after the bend.
        """
        return float(np.arcsin(np.clip(-self._away(straight)[2], -1.0, 1.0)) / RADIAN) + 0.0

    def sideways(self, straight: str) -> float:
        """How far a straight leads off to the side, mm per mm of it away from the bender: above 0 to the left."""
        return float(self._away(straight)[1])

    def end_height_mm(self, side: str) -> float:
        """Height of the tube's end on that side over the tube in the bender, centre to centre; below 0 it hangs."""
        return float(self.before_mm[0 if side == "left" else -1, 2]) + 0.0

    def ends(self, straight: str) -> tuple[int, int]:
        """Places in `before_mm` and `after_mm` of the left and right end of one of `STRAIGHTS`."""
        return _ends(straight, len(self.before_mm))

    def _away(self, straight: str) -> Array:
        return self.away[STRAIGHTS.index(straight)]


def poses_from_recipe(recipe: Recipe, bender: Bender = Bender(), per_bend: int = 12) -> tuple[Pose, ...]:
    """How the tube lies for each bend of one `recipe` (no arrays), in the usual order.

    Parameters
    ----------
    recipe : Recipe
        Finished angles and radius.
    bender : Bender
        To which side the free end comes round.
    per_bend : int
        Parts into which each arc of the centre line is cut.

    Returns
    -------
    tuple of four Pose
    """
    check_single(recipe)
    finished = row_from_recipe(recipe)
    tubes = _partly_bent(finished)
    stations = sample_stations(finished, per_bend)
    points, frames = points_at(tubes, np.broadcast_to(stations, (4, 2, stations.size)))
    nodes = nodes_of_row(tubes)
    poses = []
    for step, (side, bend) in enumerate(USUAL_ORDER):
        number = _BENDS.index((side, bend))
        node = _TANGENT_NODE[number]
        turned = _bender_axes(nodes.frames[step, :, node], _ONWARD[number], bender)
        lines, _ = placed(points[step], frames[step], nodes.points_mm[step, :, node], turned)
        along = nodes.frames[step, 0, 0:10:2, :, 0] @ turned[0].T
        toward_right_end = np.where(np.arange(5) * 2 >= node - 1, 1.0, -1.0)[:, None]
        left_end, right_end = _ends(f"{side} riser", stations.size)
        to_the_right = _ONWARD[number] > 0.0
        free = np.arange(right_end, stations.size) if to_the_right else np.arange(left_end, -1, -1)
        poses.append(Pose(side, bend, lines[0], lines[1], toward_right_end * along, free, bender.turns))
    return tuple(poses)


def _ends(straight: str, count: int) -> tuple[int, int]:
    # among `count` places, each straight begins where the bend to its left ends
    start = (count - 2) // 4 * STRAIGHTS.index(straight)
    return start, start + 1


def _partly_bent(finished: TubeRow) -> TubeRow:
    # rows (step, before or after): what is not yet bent is straight, and as long
    turn = np.array([USUAL_ORDER.index(bend) for bend in _BENDS])
    made_so_far = np.arange(4)[:, None] + np.arange(2)
    made = turn < made_so_far[..., None]
    arcs = finished.radii_mm * finished.bends_deg * RADIAN
    straights = np.broadcast_to(finished.straights_mm, (4, 2, 5)).copy()
    for bend, straight in enumerate(_LENGTHENED):
        straights[..., straight] += np.where(made[..., bend], 0.0, arcs[bend])
    return TubeRow(straights, np.where(made, finished.bends_deg, 0.0), finished.rolls_deg, finished.radii_mm)


def _bender_axes(frames: Array, onward: float, bender: Bender) -> Array:
    # rows x, y, z of the bender's frame, from the frames (..., 3, 3) of the tube at the tangent point
    x = onward * frames[..., :, 0]
    y = frames[..., :, 1] if bender.turns == "left" else -frames[..., :, 1]
    return np.stack([x, y, np.cross(x, y)], -2)
