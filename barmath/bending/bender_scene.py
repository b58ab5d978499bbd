"""What the picture of a tube in the bender is drawn from: tube, die, hook, follower, handle and what stands below.

Everything has a fixed number of points, whatever is bent, so that a picture can be changed in place. Bender's frame as
in `barmath.bending.holds`, mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.bending.finder import flats_to_read
from barmath.bending.holds import Hold, check_holds, made_so_far, onward_of, partly_bent, placement_in_bender
from barmath.bending.swing import keepout_from_swing, swing, tubes_through_swing
from barmath.closed_forms.records import check_single
from barmath.refusal import checked_count
from barmath.shop.bender import Bender
from barmath.shop.groove import section_from_die
from barmath.shop.setup import Setup
from barmath.shop.tooling import Die
from barmath.space.centerline import TubeRow, check_single_row, placed, points_at, sample_stations
from barmath.space.drawing import PER_BEND, node_places, tube_surface

MOMENTS = 12
"""Moments of a bend that are shown: from lying in the bender to the angle on the stop, and last sprung back."""

AROUND = 48
"""Corners of what is round."""

_GROOVE_PARTS = 8

DIE_RINGS = _GROOVE_PARTS + 5
"""Rings of a die's rim: two edges and the groove between them."""

FINDER_MM = 60.0
"""Height of the angle finder's picture over its flat."""

_HOOK_LONG, _FOLLOWER_LONG = 64.0, 40.0
_BLOCK = np.array([[x, y, z] for z in (-1.0, 1.0) for x, y in ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))])


@dataclass(frozen=True)
class BenderScene:
    """One moment of one bend.

    `points_mm` (m, 3) and `surface_mm` (m, facets, 3) of the tube from its left end; `die_mm`
    (k, AROUND, 3) rings of the die's rim from its upper edge through the groove to its lower one; `table_mm`,
    `frame_mm` (AROUND, 3) rims, None where they have not been measured; `hook_mm`, `follower_mm` (8, 3)
    corners; `handle_mm` (2, 3) or None; `finder_mm` (2, 3): on the flat and above it, None where there is nothing to
    read; `ends_mm` (2, 3) the tube's left and right end; `outline_mm` (k, 2) the area that the moving side sweeps,
    seen from above.
    """

    points_mm: Array
    surface_mm: Array
    die_mm: Array
    hook_mm: Array
    follower_mm: Array
    handle_mm: Array | None
    table_mm: Array | None
    frame_mm: Array | None
    finder_mm: Array | None
    outline_mm: Array
    ends_mm: Array


def scene_of_step(
    row: TubeRow,
    holds: tuple[Hold, ...],
    step: int,
    moment: int,
    setup: Setup,
) -> BenderScene:
    """The tube in the bender at `moment` (0 to MOMENTS) of bend `step` of the plan, the bends before it finished.

    Raises BendError where the row is not one tube's, the plan does not make each of its bends once, or there is no such
    step or moment.

    Examples
    --------
    >>> from barmath.bending import MOMENTS, USUAL_HOLDS, scene_of_step
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, setup_from_tube
    >>> from barmath.space import row_from_recipe
    >>> row = row_from_recipe(order_seven_recipe())
    >>> scene = scene_of_step(row, USUAL_HOLDS, 0, MOMENTS, setup_from_tube(TUBE, DIE))
    >>> scene.points_mm.shape[-1]
    3
    """
    check_single_row(row)
    check_single(setup.springback, setup.die, setup.bender)
    check_holds(holds, row.bend_count)
    step = checked_count("step of the plan", step, least=0, most=len(holds) - 1)
    moment = checked_count("moment of a bend", moment, least=0, most=MOMENTS)
    hold, made = holds[step], made_so_far(holds)
    die, bender, diameter = setup.die, setup.bender, setup.tube_diameter_mm
    if moment >= MOMENTS:
        tube = partly_bent(row, made[step + 1], onward_of(holds))
        angle = float(row.bends_deg[hold.number])
    else:
        share = moment / (MOMENTS - 1)
        many = tubes_through_swing(row, made[step], hold, setup, np.array([share]))
        tube = TubeRow(many.straights_mm[0], many.bends_deg[0], many.rolls_deg[0], many.radii_mm[0])
        angle = share * float(setup.springback.die_bend_deg(float(row.bends_deg[hold.number])))
    stations = sample_stations(row, PER_BEND)
    points, frames = placed(*points_at(tube, stations), *placement_in_bender(tube, hold, bender))
    flats = flats_to_read(row, hold, made[step], bender)
    rim = section_from_die(die, diameter).outline_mm(_GROOVE_PARTS)
    swung = swing(row, made[step], hold, setup)
    return BenderScene(
        points_mm=points,
        surface_mm=tube_surface(points, frames, diameter),
        die_mm=np.stack([_circle(die, bender, rho, z) for rho, z in rim]),
        hook_mm=_block(-_HOOK_LONG - 6.0, -6.0, -0.8 * diameter, 0.8 * diameter, diameter),
        follower_mm=_turned(
            _block(4.0, 4.0 + _FOLLOWER_LONG, -bender.die_side * 0.5 * diameter, -bender.die_side * 1.7 * diameter,
                   diameter),
            angle, die, bender,
        ),
        handle_mm=_handle(angle, die, bender),
        table_mm=_ring(die, bender, bender.table_reach_mm, bender.table_below_mm),
        frame_mm=_ring(die, bender, bender.frame_reach_mm, bender.frame_below_mm),
        finder_mm=_finder(points, flats[0].straight, flats[0].last) if flats and made[step].any() else None,
        outline_mm=keepout_from_swing(swung, setup).outline_mm,
        ends_mm=points[[0, -1]],
    )  # fmt: skip


def _pivot(die: Die, bender: Bender) -> Array:
    return np.array([0.0, bender.die_side * float(die.centerline_radius_mm), 0.0])


def _circle(die: Die, bender: Bender, radius: float, z: float) -> Array:
    turn = np.linspace(0.0, 2.0 * np.pi, AROUND, endpoint=False)
    return _pivot(die, bender) + np.stack([radius * np.cos(turn), radius * np.sin(turn), np.full(AROUND, z)], -1)


def _ring(die: Die, bender: Bender, reach_mm: float | None, below_mm: float | None) -> Array | None:
    return None if reach_mm is None or below_mm is None else _circle(die, bender, reach_mm, -below_mm)


def _block(x0: float, x1: float, y0: float, y1: float, height: float) -> Array:
    return _BLOCK * [x1 - x0, y1 - y0, 0.5 * height] + [x0, y0, 0.0]


def _turned(points: Array, angle_deg: float, die: Die, bender: Bender) -> Array:
    # about the die's pivot, as far as the bend has gone
    theta, pivot = bender.die_side * angle_deg * RADIAN, _pivot(die, bender)
    spin = np.array([[np.cos(theta), -np.sin(theta), 0.0], [np.sin(theta), np.cos(theta), 0.0], [0.0, 0.0, 1.0]])
    return (points - pivot) @ spin.T + pivot


def _handle(angle_deg: float, die: Die, bender: Bender) -> Array | None:
    if bender.handle_reach_mm is None:
        return None
    out = _pivot(die, bender) - [0.0, bender.die_side * bender.handle_reach_mm, 0.0]
    below = np.array([0.0, 0.0, -20.0])  # drawn a little under the tube, which it passes beneath
    return _turned(np.stack([_pivot(die, bender), out]) + below, angle_deg, die, bender)


def _finder(points: Array, first: int, last: int) -> Array:
    nodes = node_places()
    start, end = points[nodes[2 * first]], points[nodes[2 * last + 1]]
    # near the bender, where somebody would lay it: not beyond 90 mm from the nearer end
    near, far = (start, end) if np.linalg.norm(start) < np.linalg.norm(end) else (end, start)
    along = far - near
    length = float(np.linalg.norm(along))
    foot = near + along * min(0.5, 90.0 / length)
    return foot + np.array([[0.0, 0.0, 0.0], [0.0, 0.0, FINDER_MM]])
