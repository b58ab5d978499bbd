"""How the partly bent tube is in the bender for each bend, before it is made and after.

Bender's frame: origin at the die's tangent point, y to the left, z up. The x axis is along the tube from the held side
(hook) to the free side (follower). The bend turns the free side in the level plane, about a vertical line through the
die's centre. So it changes no height and no slope.

Bends that are made have their finished angle; a bend not yet made keeps the length of its arc as straight tube.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.records import Recipe, check_single
from barmath.refusal import BendError, checked_choice, checked_count, quoted
from barmath.shop.bender import Bender
from barmath.space.centerline import TubeBends, bends_from_recipe, nodes_of_bends, points_at, sample_stations

Places = NDArray[np.intp]
Made = NDArray[np.bool_]

LEFT, RIGHT = "left", "right"

BENDS = ((LEFT, "outer"), (LEFT, "inner"), (RIGHT, "inner"), (RIGHT, "outer"))
"""Side and bend of a bar's bends from its left end."""

OTHER_BEND = {0: 1, 1: 0, 2: 3, 3: 2}
"""The other bend of the same side, inner or outer; both are given by their places in `BENDS`."""

STRAIGHTS = ("left grip", "left riser", "clamp flat", "right riser", "right grip")
"""The straights of a bar from its left end."""


class Hold(NamedTuple):
    """One bend of a plan: its place along the tube, counted from 0 at the left end. Also the end of the tube, "left" or
    "right", that is behind the hook.
    """

    number: int
    hooked: str

    @property
    def onward(self) -> float:
        """Where the free end is: 1 toward the tube's right end, -1 toward its left end."""
        return 1.0 if self.hooked == LEFT else -1.0


MOST_BENDS_OF_A_TUBE = 1000
"""Far more than any tube has room for."""

USUAL_HOLDS = (Hold(2, RIGHT), Hold(1, LEFT), Hold(3, LEFT), Hold(0, RIGHT))
"""The usual sequence: both inner bends, then both outer ones, a riser in the hook for each."""

USUAL_SEQUENCE = tuple(BENDS[hold.number] for hold in USUAL_HOLDS)
"""Side and bend in the usual sequence."""


def check_holds(holds: tuple[Hold, ...], count: int) -> None:
    """Raise BendError unless `holds` make each of `count` bends once, with one end of the tube in the hook.

    Parameters
    ----------
    holds : tuple of Hold
    count : int
        Bends of the tube.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, check_holds
    >>> check_holds(USUAL_HOLDS, 4)  # each of the four bends once: nothing to refuse
    """
    count = checked_count("number of bends", count, least=1, most=MOST_BENDS_OF_A_TUBE)
    for hold in holds:
        check_hold(hold, count)
    times = Counter(hold.number for hold in holds)
    repeated = [f"{bend_name(number, count)} {_times(times[number])}" for number in range(count) if times[number] > 1]
    missing = [bend_name(number, count) for number in range(count) if not times[number]]
    if repeated or missing:
        found = " and ".join([*repeated[:1], *(f"{name} not at all" for name in missing[:1])])
        if not repeated:
            remedy = f"add the {missing[0]}"
        elif missing:
            remedy = f"make the {missing[0]} in place of one of them"
        else:
            remedy = "leave the second one out"
        raise BendError(f"each bend must be made once, got {found}: {remedy}")


def check_hold(hold: Hold, count: int) -> None:
    """Raise BendError unless `hold` is of one of `count` bends, with one end of the tube in the hook."""
    if type(hold.number) is not int or hold.number not in range(count):
        raise BendError(
            f"bend must be one of the tube's {count}, counted from 0, got {quoted(hold.number)}: "
            f"type a whole number from 0 to {count - 1}"
        )
    checked_choice("the end in the hook", hold.hooked, (LEFT, RIGHT))


def bend_name(number: int, count: int = len(BENDS)) -> str:
    """The name of a bend, for example "right inner bend"; in a tube that is no bar "bend 3".

    Parameters
    ----------
    number : int
        Its place along the tube, from 0 at the left end.
    count : int
        Bends of the tube.

    Raises
    ------
    BendError
        The tube has no bend of that number.

    Examples
    --------
    >>> from barmath.bending import bend_name
    >>> bend_name(2), bend_name(2, 6)
    ('right inner bend', 'bend 3')
    """
    number = checked_count("number of a bend", number, least=0, most=count - 1)
    return f"{BENDS[number][0]} {BENDS[number][1]} bend" if count == len(BENDS) else f"bend {number + 1}"


def straight_name(number: int, bends: int = len(BENDS)) -> str:
    """The name of a straight, for example "clamp flat"; in a tube that is no bar "straight 3".

    Parameters
    ----------
    number : int
        Its place along the tube, from 0 at the left end.
    bends : int
        Bends of the tube.

    Raises
    ------
    BendError
        The tube has no straight of that number.

    Examples
    --------
    >>> from barmath.bending import straight_name
    >>> straight_name(2), straight_name(2, 6)
    ('clamp flat', 'straight 3')
    """
    number = checked_count("number of a straight", number, least=0, most=bends)
    return STRAIGHTS[number] if bends == len(BENDS) else f"straight {number + 1}"


@dataclass(frozen=True)
class Pose:
    """How the tube is in the bender for one bend.

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
        To which side the free end comes round; the die is on that side.
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
        return float(self.before_mm[0 if side == LEFT else -1, 2]) + 0.0

    def ends(self, straight: str) -> tuple[int, int]:
        """Places in `before_mm` and `after_mm` of the left and right end of one of `STRAIGHTS`."""
        return _ends(_place_of(straight), len(self.before_mm))

    def _away(self, straight: str) -> Array:
        return self.away[_place_of(straight)]


def _place_of(straight: str) -> int:
    return STRAIGHTS.index(checked_choice("straight", straight, STRAIGHTS))


def poses_from_recipe(
    recipe: Recipe, bender: Bender = Bender(), per_bend: int = 12, holds: tuple[Hold, ...] = USUAL_HOLDS
) -> tuple[Pose, ...]:
    """How the tube is for each bend of one `recipe` (no arrays), in the sequence and held as `holds` say.

    Parameters
    ----------
    recipe : Recipe
        Finished angles and radius.
    bender : Bender
        To which side the free end comes round.
    per_bend : int
        Parts into which each arc of the centre line is cut.
    holds : tuple of four Hold

    Returns
    -------
    tuple of four Pose

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time. A bend is missing or made twice.

    Examples
    --------
    >>> from barmath import Recipe
    >>> recipe = Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.3, 105.0)
    >>> from barmath.bending import poses_from_recipe
    >>> [f"{pose.side} {pose.bend}" for pose in poses_from_recipe(recipe)]
    ['right inner', 'left inner', 'right outer', 'left outer']
    """
    check_single(recipe)
    check_holds(holds, len(BENDS))
    finished = bends_from_recipe(recipe)
    stations = sample_stations(finished, per_bend)
    made, onward = made_so_far(holds), onward_of(holds)
    tubes = partly_bent(finished, made, onward)  # after each step, the first of them straight
    points, directions = points_at(tubes, np.broadcast_to(stations, (len(made), stations.size)))[0], _directions(tubes)
    poses = []
    for step, hold in enumerate(holds):
        origin, axes = placement_in_bender(tubes, hold, bender)
        before, after = (carried(points[at], origin[at], axes[at]) for at in (step, step + 1))
        to_the_right = hold.onward > 0.0
        left_end, right_end = _ends(hold.number if to_the_right else hold.number + 1, stations.size)
        free = np.arange(right_end, stations.size) if to_the_right else np.arange(left_end, -1, -1)
        leads = directions[step] @ axes[step].T
        away = np.where(np.arange(5) > hold.number, 1.0, -1.0)[:, None] * leads
        poses.append(Pose(*BENDS[hold.number], before, after, away, free, bender.turns))
    return tuple(poses)


def made_so_far(holds: tuple[Hold, ...]) -> Made:
    """Which bends of the tube are made before each step and after the last: shape (steps + 1, bends).

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, made_so_far
    >>> made_so_far(USUAL_HOLDS)[1]
    array([False, False,  True, False])
    """
    place = np.empty(len(holds), int)
    place[[hold.number for hold in holds]] = np.arange(len(holds))
    return place < np.arange(len(holds) + 1)[:, None]


def onward_of(holds: tuple[Hold, ...]) -> Array:
    """To which end of the tube each bend of the tube leads, in their places along it: 1 right, -1 left."""
    onward = np.empty(len(holds))
    for hold in holds:
        onward[hold.number] = hold.onward
    return onward


def partly_bent(finished: TubeBends, made: Made, onward: Array) -> TubeBends:
    """`finished` (...) with only the bends `made` (..., n); what is not yet bent is straight, and as long.

    `onward` (..., n) says at which end of each arc its straight tube is added: 1 to the straight on the right.
    """
    lead = np.broadcast_shapes(finished.bends_deg.shape, made.shape, onward.shape)
    arcs = np.where(made, 0.0, finished.radii_mm * finished.bends_deg * RADIAN)
    straights = np.broadcast_to(finished.straights_mm, (*lead[:-1], finished.bend_count + 1)).copy()
    straights[..., 1:] += np.where(onward > 0.0, arcs, 0.0)
    straights[..., :-1] += np.where(onward > 0.0, 0.0, arcs)
    return TubeBends(straights, np.where(made, finished.bends_deg, 0.0), finished.rolls_deg, finished.radii_mm)


def lines_in_bender(tubes: TubeBends, stations_mm: Array, hold: Hold, bender: Bender) -> Array:
    """Places of the tubes in the bender's frame: points (..., m, 3) in mm.

    Parameters
    ----------
    tubes : TubeBends of tubes (...)
        The bend of `hold` may be made or not.
    stations_mm : array (..., m)
        From the left end.
    hold : Hold
    bender : Bender
    """
    return carried(points_at(tubes, stations_mm)[0], *placement_in_bender(tubes, hold, bender))


def carried(points: Array, origin: Array, axes: Array) -> Array:
    """Points (..., m, 3) in a frame with that `origin` (..., 3) and the rows `axes` (..., 3, 3)."""
    return (points - origin[..., None, :]) @ np.swapaxes(axes, -1, -2)


def _directions(tubes: TubeBends) -> Array:
    # of the straights (..., n + 1, 3), from the left end to the right
    return nodes_of_bends(tubes).frames[..., 0::2, :, 0]


def placement_in_bender(tubes: TubeBends, hold: Hold, bender: Bender) -> tuple[Array, Array]:
    """Origin (..., 3) and axes (..., 3, 3) of the bender's frame, which `carried` or `centerline.placed` use."""
    nodes = nodes_of_bends(tubes)
    # the tangent point at the die: the arc's end that is nearer to the hook
    node = 2 * hold.number + (1 if hold.onward > 0.0 else 2)
    return nodes.points_mm[..., node, :], bender_axes(nodes.frames[..., node, :, :], hold.onward, bender)


def bender_axes(frames: Array, onward: float, bender: Bender) -> Array:
    """Rows x, y, z of the bender's frame, shape (..., 3, 3), from `frames` (..., 3, 3) of the tube at the tangent
    point. Its columns are tangent, normal (toward the bend's centre) and binormal.
    """
    x = onward * frames[..., :, 0]
    y = bender.die_side * frames[..., :, 1]  # the bend's centre is the die's, on the die's side
    return np.stack([x, y, np.cross(x, y)], -2)


def _ends(straight: int, count: int) -> tuple[int, int]:
    # among `count` places, each straight begins where the bend to its left ends
    start = (count - 2) // 4 * straight
    return start, start + 1


def _times(times: int) -> str:
    return "twice" if times == 2 else f"{times} times"
