"""Where a bend fails that the bender cannot make: which part of it, and the length that is missing there."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN
from barmath.bending.clearance import FRAME, MEETS, TABLE
from barmath.bending.holds import Hold, Made
from barmath.bending.stations import FINDER, FOLLOWER, HOOK, ROUNDING, Station
from barmath.bending.swing import swing
from barmath.shop.setup import Setup
from barmath.space.centerline import TubeBends


class Failing(NamedTuple):
    """What cannot be done.

    `part` of the bender is where it fails, `words` say by how much. The missing length is drawn from `start_mm` to
    `end_mm`, places in the bender's frame; both are the same where no length is missing.
    """

    part: str
    words: str
    start_mm: tuple[float, float, float]
    end_mm: tuple[float, float, float]


def failing_of_station(station: Station, bends: TubeBends, made: Made, setup: Setup) -> Failing | None:
    """What fails first at one station of a plan for `bends`, with the bends `made` before, or None.

    Parameters
    ----------
    station : Station
    bends : TubeBends
        Of one tube.
    made : array (n,) of bool
        The bends made before.
    setup : Setup

    Raises
    ------
    BendError
        Bends, springback or die are not of one tube.

    Examples
    --------
    >>> from barmath import Bender, Die, Recipe, Springback
    >>> from barmath.shop import Setup
    >>> from barmath.bending import USUAL_HOLDS, bend_sequence, made_so_far
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(Recipe(60.0, 30.0, 60.0, 28.9, 30.0, 200.0, 105.0))
    >>> setup = Setup(22.225, Die(101.6), Springback(0.032, 101.6), Bender(hook_mm=65.0))
    >>> station = bend_sequence(bends, USUAL_HOLDS, setup).stations[2]
    >>> failing_of_station(station, bends, made_so_far(USUAL_HOLDS)[2], setup).words
    'the hook finds 60 mm of straight and needs 65 mm'
    """
    bender = setup.bender
    needs = {HOOK: bender.hook_needs_mm(setup.die), FOLLOWER: bender.follower_mm or 0.0}
    for need, spare in station.spare.items():
        if spare >= -ROUNDING:
            continue
        if need == HOOK:
            words = _too_short(HOOK, station.behind_mm, needs[HOOK])
            return Failing(HOOK, words, (-needs[HOOK], 0.0, 0.0), (-max(station.behind_mm, 0.0), 0.0, 0.0))
        if need == FOLLOWER:
            arc = float(bends.radii_mm[station.hold.number] * bends.bends_deg[station.hold.number]) * RADIAN
            words = _too_short(FOLLOWER, station.ahead_mm, needs[FOLLOWER])
            near, far = arc + max(station.ahead_mm, 0.0), arc + needs[FOLLOWER]
            return Failing(FOLLOWER, words, (near, 0.0, 0.0), (far, 0.0, 0.0))
        if need == FINDER:
            return Failing("angle finder", "the angle finder has no flat to sit on", (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
        if spare == MEETS:
            return _met(need, bends, made, station.hold, setup)
    return None


def _too_short(what: str, found_mm: float, needed_mm: float) -> str:
    return f"the {what} finds {max(found_mm, 0.0):.0f} mm of straight and needs {needed_mm:.0f} mm"


def _met(thing: str, bends: TubeBends, made: Made, hold: Hold, setup: Setup) -> Failing:
    # the deepest place of the tube under the top of table, frame or floor
    bender, swung = setup.bender, swing(bends, made, hold, setup)
    points = swung.points_mm.reshape(-1, 3)
    reach = {TABLE: bender.table_reach_mm, FRAME: bender.frame_reach_mm}.get(thing)
    below = {TABLE: bender.table_below_mm, FRAME: bender.frame_below_mm}.get(thing, bender.floor_below_mm)
    words = f"an arm meets the {thing}"
    if below is None or thing not in (TABLE, FRAME):
        return Failing(thing, words, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    from_pivot = np.hypot(points[:, 0], points[:, 1] - bender.die_side * float(setup.die.centerline_radius_mm))
    over = points[from_pivot <= (reach or 0.0) + swung.radius_mm]
    deepest = over[over[:, 2].argmin()] if len(over) else points[points[:, 2].argmin()]
    x, y, low = (float(value) for value in deepest)
    deep = -below - (low - swung.radius_mm)
    if deep <= 0.0:
        return Failing(thing, words, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
    return Failing(thing, f"{words}, {deep:.0f} mm too low", (x, y, low - swung.radius_mm), (x, y, -below))
