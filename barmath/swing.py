"""What the tube sweeps while a bend is made: how near its arms come to the machine, and where nobody may stand.

The free side turns level about the die's pivot as the tube wraps round the die, to the angle on the stop, so that no
point of it changes its height; in the plan it is drawn along as well. The side in the hook lies still. The handle goes
round with the free side, so that the two never meet.

Frame of `barmath.lying`; table and frame are taken as round about the pivot, as far as they reach.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.bar import check_single
from barmath.bender import Bender
from barmath.centerline import TubeRow, check_single_row, cut_length_mm
from barmath.lying import Array, Hold, Made, check_hold, lines_in_bender, partly_bent
from barmath.refusal import checked_single
from barmath.shape import RADIAN
from barmath.tooling import Die, Springback

TABLE, FRAME, FLOOR, DIE = "table", "frame", "floor", "die"

STEP_MM, MOST_LENGTH_MM = 12.0, 20_000.0
"""Along the tube, and about as much at its free end between two moments of the swing; clearances are good to 1 mm."""

_MOMENTS = 9


class Swing(NamedTuple):
    """The tube in the bender through one bend, or through many that share a `Hold`: leading axes (...).

    `points_mm` (..., moments, m, 3) from the tube's left end to its right end, from lying straight in the bender to the
    angle on the stop; `moving` (m) the places that go round; `arms` (..., m) the places beyond a bend made before, on
    either side; `radius_mm` half the tube's diameter.
    """

    points_mm: Array
    moving: Made
    arms: Made
    radius_mm: float


class Keepout(NamedTuple):
    """The space to keep out of during one bend.

    `reach_mm` how far from the die's pivot the tube or the handle comes; `tube_reach_mm` the tube alone; `lowest_mm`
    and `highest_mm` of the moving side against the tube's middle in the groove; `outline_mm` (k, 2) the area swept by
    the moving side, seen from above.
    """

    reach_mm: float
    tube_reach_mm: float
    lowest_mm: float
    highest_mm: float
    outline_mm: Array


def swing(
    row: TubeRow, made: Made, hold: Hold, springback: Springback, die: Die, tube_diameter_mm: float, bender: Bender
) -> Swing:
    """The tube through the bend of `hold`, of one finished `row`, with the bends `made` (..., n) already bent.

    Raises BendError where row, springback or die are not of one tube, or the row has no such bend.
    """
    check_single_row(row)
    check_single(springback, die, bender)
    check_hold(hold, row.bend_count)
    number = hold.number
    still = made & (np.arange(row.bend_count) != number)
    tubes = tubes_through_swing(row, still, hold, springback, die, np.linspace(0.0, 1.0, _MOMENTS))
    length = checked_single("length of the tube", float(cut_length_mm(row)), "mm", most=MOST_LENGTH_MM)
    edges = _arc_edges(row)
    even = np.linspace(0.0, length, int(np.ceil(length / STEP_MM)) + 1)
    stations = np.unique(np.minimum(np.append(even, edges), length))
    points, _ = lines_in_bender(tubes, stations, hold, bender)
    tangent = edges[number, 0 if hold.onward > 0.0 else 1]
    moving = hold.onward * (stations - tangent) > 0.0
    numbers = np.arange(row.bend_count)
    left = np.where(still & (numbers < number), edges[:, 1], 0.0).max(-1)
    right = np.where(still & (numbers > number), edges[:, 0], length).min(-1)
    arms = (stations <= left[..., None]) & (left[..., None] > 0.0)
    arms |= (stations >= right[..., None]) & (right[..., None] < length)
    return Swing(points, moving, arms, 0.5 * checked_single("tube diameter", tube_diameter_mm, "mm", above=0.0))


def tubes_through_swing(
    row: TubeRow, made: Made, hold: Hold, springback: Springback, die: Die, shares: Array
) -> TubeRow:
    """The tube, rows (..., k), when the bend of `hold` has gone `shares` (k) of its way to the angle on the stop.

    The bends `made` (..., n) are finished, the others still straight.
    """
    number = hold.number
    start = partly_bent(row, made, np.full(row.bend_count, hold.onward))
    on_die = shares * row.bends_deg[number] / (1.0 - springback.ratio)
    straights, bends, radii = (
        np.repeat(field[..., None, :], shares.size, -2).copy()
        for field in (start.straights_mm, start.bends_deg, start.radii_mm)
    )
    bends[..., number], radii[..., number] = on_die, die.centerline_radius_mm
    straights[..., number + (hold.onward > 0.0)] -= die.centerline_radius_mm * on_die * RADIAN
    return TubeRow(np.maximum(straights, 0.0), bends, start.rolls_deg[..., None, :], radii)


def clearances_mm(swung: Swing, die: Die, bender: Bender) -> dict[str, Array]:
    """Least distance (...) of the arms' outside from each thing that can be in their way, mm; below 0 they meet it.

    Infinite where there is no arm. Only what the bender has measures of; the die always, as a disc of its own radius
    and two tube diameters high.
    """
    x, y, z = np.moveaxis(swung.points_mm, -1, 0)
    from_pivot = np.hypot(x, y - bender.die_side * die.centerline_radius_mm)
    seen = np.where(swung.arms[..., None, :], 0.0, np.inf)

    def least(distance: Array) -> Array:
        return (distance + seen).min((-2, -1)) - swung.radius_mm

    found = {DIE: least(_from_disc(from_pivot - die.centerline_radius_mm, np.abs(z) - 2.0 * swung.radius_mm))}
    if bender.table_below_mm is not None and bender.table_reach_mm is not None:
        found[TABLE] = least(_from_disc(from_pivot - bender.table_reach_mm, z + bender.table_below_mm))
    if bender.frame_below_mm is not None and bender.frame_reach_mm is not None:
        found[FRAME] = least(_from_disc(from_pivot - bender.frame_reach_mm, z + bender.frame_below_mm))
    if bender.floor_below_mm is not None:
        found[FLOOR] = least(z + bender.floor_below_mm)
    return found


def keepout_from_swing(swung: Swing, die: Die, bender: Bender) -> Keepout:
    """Where nobody may stand during one bend (`swung` without leading axes)."""
    points = swung.points_mm[:, swung.moving]
    from_pivot = np.hypot(points[..., 0], points[..., 1] - bender.die_side * die.centerline_radius_mm)
    reach = float(from_pivot.max() + swung.radius_mm)
    return Keepout(
        max(reach, bender.handle_reach_mm or 0.0),
        reach,
        float(points[..., 2].min() - swung.radius_mm),
        float(points[..., 2].max() + swung.radius_mm),
        _hull(points[..., :2].reshape(-1, 2)),
    )


def _from_disc(outward: Array, above: Array) -> Array:
    # distance from a round block: outside beside it, above it, or off its rim; negative by the depth inside
    outside = np.hypot(np.maximum(outward, 0.0), np.maximum(above, 0.0))
    return np.where((outward < 0.0) & (above < 0.0), np.maximum(outward, above), outside)


def _arc_edges(row: TubeRow) -> Array:
    # start and end (n, 2) of each arc along the straight tube
    arcs = row.radii_mm * row.bends_deg * RADIAN
    ends = np.cumsum(row.straights_mm[:-1] + arcs)
    return np.stack([ends - arcs, ends], -1)


def _hull(points: Array) -> Array:
    from scipy.spatial import ConvexHull  # here, for it takes longer to import than all of barmath

    return points[ConvexHull(points).vertices]
