"""What one step of a sequence meets: the straights behind and ahead, a flat to read, and what an arm would hit."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array
from barmath.bending.clearance import clearances_mm
from barmath.bending.finder import Flat, flats_of_each
from barmath.bending.holds import LEFT, RIGHT, Hold
from barmath.bending.settings import stop_for_bend_deg
from barmath.shop.setup import Setup
from barmath.space.centerline import TubeBends, cut_length_mm

HOOK, FOLLOWER, FINDER = "hook", "follower", "angle finder"

HELD = (HOOK, FOLLOWER)

ROUNDING = 1e-6
"""A need that is missed by less, mm, is met."""


class Station(NamedTuple):
    """One bend about to be made: with one end in the hook and certain bends made before.

    `bend_deg` is what remains; `behind_mm` and `ahead_mm` the straight tube behind the tangent point and ahead of the
    finished bend; `flat` the flat to read (None: there is none, or none is needed yet); `clearance_mm` of the arms from
    each thing in their way through the whole swing: infinite if there is no arm, and `MEETS` if an arm meets it.
    `spare` holds what is left of each need, in mm, below 0 where it is not met; for the angle finder 0 or -1.
    """

    hold: Hold
    bend_deg: float
    behind_mm: float
    ahead_mm: float
    flat: Flat | None
    clearance_mm: dict[str, float]
    spare: dict[str, float]

    @property
    def fits(self) -> bool:
        """Whether every need is met."""
        return min(self.spare.values()) >= -ROUNDING


def failures_of(station: Station, count: int) -> list[str]:
    """Which needs a station does not meet, in words.

    Parameters
    ----------
    station : Station
    count : int
        Bends of the tube.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, bend_sequence, failures_of
    >>> from barmath.shop import DIE, TUBE, Bender, order_seven_recipe, setup_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(order_seven_recipe())
    >>> long_hook = setup_from_tube(TUBE, DIE, Bender(hook_mm=150.0))
    >>> station = bend_sequence(bends, USUAL_HOLDS, long_hook).stations[2]
    >>> failures_of(station, 4)
    ['the hook finds 101 mm of straight behind the bend and needs 150 mm']
    """
    said = []
    for need, spare in station.spare.items():
        if spare >= -ROUNDING:
            continue
        if need == HOOK:
            said.append(_too_short("hook", station.behind_mm, spare, "behind the bend"))
        elif need == FOLLOWER:
            said.append(_too_short("follower", station.ahead_mm, spare, "ahead of the bend"))
        elif need == FINDER:
            said.append("the angle finder has no flat to sit on")
        else:
            said.append(f"an arm meets the {need}")
    return said


def every_station(bends: TubeBends, setup: Setup) -> dict[tuple[int, str, int], Station]:
    """Every station of one tube, by bend, end in the hook, and earlier bends as the bits of a number."""
    count, found = bends.bend_count, {}
    for number in range(count):
        before = np.array([bits for bits in range(1 << count) if not bits >> number & 1])
        made = (before[:, None] >> np.arange(count) & 1).astype(bool)
        for hooked in (LEFT, RIGHT):
            hold = Hold(number, hooked)
            stop_for_bend_deg(bends, hold, setup.springback, setup.die)  # refuses what the stop cannot be set to
            these = stations_of(bends, hold, made, setup)
            found.update({(number, hooked, int(bits)): station for bits, station in zip(before, these, strict=True)})
    return found


def stations_of(bends: TubeBends, hold: Hold, made: NDArray[np.bool_], setup: Setup) -> list[Station]:
    """The stations of one hold: of one tube after many sets of bends `made` (m, n), or of many tubes (m).

    `made` is True where a bend is made. Many tubes have their springback and die as arrays (m) in `setup`.
    """
    bender, lead = setup.bender, np.broadcast_shapes(made.shape[:-1], bends.bends_deg.shape[:-1])
    made = np.broadcast_to(made, (*lead, bends.bend_count))
    needs = np.broadcast_to(bender.hook_needs_mm(setup.die), lead).tolist()
    remaining = np.broadcast_to(bends.bends_deg[..., hold.number], lead).tolist()
    straights = (along.tolist() for along in _straight_behind_and_ahead(bends, made, hold))
    clear = clearances_mm(bends, made, hold, setup)
    clearances = (dict(zip(clear, found, strict=True)) for found in np.stack([*clear.values()], -1).tolist())
    stations = []
    for need, bend, behind, ahead, clearance, flats, before in zip(
        needs,
        remaining,
        *straights,
        clearances,
        flats_of_each(bends, hold, made, bender),
        made.tolist(),
        strict=True,
    ):
        spare = {
            HOOK: behind - need,
            FOLLOWER: ahead - (bender.follower_mm or 0.0),
            FINDER: 0.0 if flats or not any(before) else -1.0,
        }
        flat = flats[0] if flats else None
        stations.append(Station(hold, bend, behind, ahead, flat, clearance, spare | clearance))
    return stations


def _straight_behind_and_ahead(bends: TubeBends, made: NDArray[np.bool_], hold: Hold) -> tuple[Array, Array]:
    arcs = bends.radii_mm * bends.bends_deg * RADIAN
    ends = np.cumsum(bends.straights_mm[..., :-1] + arcs, -1)
    starts, numbers = ends - arcs, np.arange(bends.bend_count)
    to_the_left = starts[..., hold.number] - np.where(made & (numbers < hold.number), ends, 0.0).max(-1)
    length = cut_length_mm(bends)[..., None]
    to_the_right = np.where(made & (numbers > hold.number), starts, length).min(-1) - ends[..., hold.number]
    return (to_the_left, to_the_right) if hold.hooked == LEFT else (to_the_right, to_the_left)


def _too_short(what: str, found: float, spare: float, where: str) -> str:
    if found < 0.0:
        return f"the bend made before is in the way {where}"
    return f"the {what} finds {found:.0f} mm of straight {where} and needs {found - spare:.0f} mm"
