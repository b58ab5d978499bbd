"""What the tube sweeps while a bend is made, and where nobody may be.

The free side turns level about the die's pivot as the tube wraps round the die, to the stop's angle. So no point of it
changes its height; in the plan it is drawn along as well. The side in the hook is still. The handle goes round with the
free side, so that the two never meet.

Frame of `barmath.bending.holds`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.bending.clearance import MOST_LENGTH_MM
from barmath.bending.holds import Hold, Made, check_hold, lines_in_bender, partly_bent
from barmath.closed_forms.records import check_single
from barmath.refusal import checked_single
from barmath.shop.setup import Setup
from barmath.space.centerline import TubeBends, check_one_tube, cut_length_mm, nodes_of_bends

STEP_MM = 12.0
"""Along the tube, and about as much at its free end between two moments of the swing."""

_MOMENTS = 9  # of one swing


class Swing(NamedTuple):
    """The tube in the bender through one bend, or through many that share a `Hold`: leading axes (...).

    `points_mm` (..., moments, m, 3) from the tube's left end to its right end. The first is straight in the bender, the
    last at the angle on the stop; `moving` (m) the places that go round; `radius_mm` half the tube's diameter.
    """

    points_mm: Array
    moving: Made
    radius_mm: float


class Keepout(NamedTuple):
    """The space to keep out of during one bend.

    `reach_mm` how far from the die's pivot the tube or the handle comes; `tube_reach_mm` the tube alone; `lowest_mm`
    and `highest_mm` of the moving side against the tube's middle in the groove.
    """

    reach_mm: float
    tube_reach_mm: float
    lowest_mm: float
    highest_mm: float


def swing(bends: TubeBends, made: Made, hold: Hold, setup: Setup) -> Swing:
    """The tube through the bend of `hold`, of one finished tube, with the bends `made` (..., n) already bent.

    Parameters
    ----------
    bends : TubeBends
        Of one tube.
    made : array (..., n) of bool
        The bends made before.
    hold : Hold
        The bend about to be made.
    setup : Setup

    Raises
    ------
    BendError
        Bends, springback or die are not of one tube, or it lacks that bend.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, made_so_far, swing
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, setup_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(order_seven_recipe())
    >>> swung = swing(bends, made_so_far(USUAL_HOLDS)[0], USUAL_HOLDS[0], setup_from_tube(TUBE, DIE))
    >>> swung.radius_mm
    11.1125
    """
    check_one_tube(bends)
    check_single(setup.springback, setup.die, setup.bender)
    check_hold(hold, bends.bend_count)
    number = hold.number
    still = made & (np.arange(bends.bend_count) != number)
    tubes = tubes_through_swing(bends, still, hold, setup, np.linspace(0.0, 1.0, _MOMENTS))
    length = checked_single("length of the tube", float(cut_length_mm(bends)), "mm", most=MOST_LENGTH_MM)
    edges = nodes_of_bends(bends).stations_mm[1:-1].reshape(-1, 2)  # start and end of each arc
    even = np.linspace(0.0, length, int(np.ceil(length / STEP_MM)) + 1)
    stations = np.unique(np.minimum(np.append(even, edges), length))
    points = lines_in_bender(tubes, stations, hold, setup.bender)
    tangent = edges[number, 0 if hold.onward > 0.0 else 1]
    moving = hold.onward * (stations - tangent) > 0.0
    return Swing(points, moving, 0.5 * setup.tube_diameter_mm)


def tubes_through_swing(bends: TubeBends, made: Made, hold: Hold, setup: Setup, shares: Array) -> TubeBends:
    """The tube (..., k) when the bend of `hold` has gone `shares` (k) of its way to the angle on the stop.

    The bends `made` (..., n) are finished, the others still straight.
    """
    number = hold.number
    start = partly_bent(bends, made, np.full(bends.bend_count, hold.onward))
    on_die = shares * bends.bends_deg[number] / (1.0 - setup.springback.ratio)
    straights, angles, radii = (
        np.repeat(field[..., None, :], shares.size, -2).copy()
        for field in (start.straights_mm, start.bends_deg, start.radii_mm)
    )
    angles[..., number], radii[..., number] = on_die, setup.die.centerline_radius_mm
    straights[..., number + (hold.onward > 0.0)] -= setup.die.centerline_radius_mm * on_die * RADIAN
    return TubeBends(np.maximum(straights, 0.0), angles, start.rolls_deg[..., None, :], radii)


def keepout_from_swing(swung: Swing, setup: Setup) -> Keepout:
    """Where nobody may be during one bend (`swung` without leading axes).

    Parameters
    ----------
    swung : Swing
        One, without leading axes.
    setup : Setup

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, keepout_from_swing, made_so_far, swing
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, setup_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(order_seven_recipe())
    >>> setup = setup_from_tube(TUBE, DIE)
    >>> swung = swing(bends, made_so_far(USUAL_HOLDS)[0], USUAL_HOLDS[0], setup)
    >>> print(f"{keepout_from_swing(swung, setup).reach_mm:.0f} mm from the pivot")
    531 mm from the pivot
    """
    points = swung.points_mm[:, swung.moving]
    from_pivot = np.hypot(points[..., 0], points[..., 1] - setup.bender.die_side * setup.die.centerline_radius_mm)
    reach = float(from_pivot.max() + swung.radius_mm)
    return Keepout(
        max(reach, setup.bender.handle_reach_mm or 0.0),
        reach,
        float(points[..., 2].min() - swung.radius_mm),
        float(points[..., 2].max() + swung.radius_mm),
    )
