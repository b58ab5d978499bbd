"""How near the bent arms come to die, frame, table and floor while a bend is made.

All that can be in the way is round about the die's pivot. So it does not matter how far the free side has turned, only
how far it has been drawn along: a place of it that begins at x, y comes through all of x - s to x, with s the arc drawn
in. It is nearest where it passes the pivot. That is exact; along the tube the arms are looked at every 4 mm.
"""

from __future__ import annotations

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.bending.holds import Hold, Made, check_hold, lines_in_bender, partly_bent
from barmath.refusal import checked
from barmath.shop.groove import section_from_die
from barmath.shop.setup import Setup
from barmath.space.centerline import TubeBends, cut_length_mm, nodes_of_bends

TABLE, FRAME, FLOOR, DIE = "table", "frame", "floor", "die"

STEP_MM, MOST_LENGTH_MM = 4.0, 20_000.0
"""Along the tube; clearances are good to half a millimetre."""

MEETS = -np.inf
"""The clearance of what is met; how deep is not worked out."""

TOUCH_MM = 0.1
"""An arm that would be in the metal by less only touches it: a groove is wider than its tube by more than that (common
practice, no source)."""


def clearances_mm(bends: TubeBends, made: Made, hold: Hold, setup: Setup) -> dict[str, Array]:
    """Least distance (...) of the arms' outside from each thing in their way, through the whole bend of `hold`, mm.

    0 where it only touches (see `TOUCH_MM`), `MEETS` where an arm meets the thing, infinite if there is no arm. Only
    what the bender has measures of, and the die always.

    Parameters
    ----------
    bends : TubeBends (...)
        Finished bars.
    made : array (..., n) of bool
        The bends made before.
    hold : Hold
    setup : Setup
        Its springback and die single, or arrays (...) of one for each tube.

    Raises
    ------
    BendError
        The tubes lack that bend, or a tube is longer than 20 m.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, clearances_mm, made_so_far
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, setup_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(order_seven_recipe())
    >>> clear = clearances_mm(bends, made_so_far(USUAL_HOLDS)[0], USUAL_HOLDS[0], setup_from_tube(TUBE, DIE))
    >>> sorted(clear)
    ['die']
    """
    check_hold(hold, bends.bend_count)
    die, bender, diameter = setup.die, setup.bender, setup.tube_diameter_mm
    still = made & (np.arange(bends.bend_count) != hold.number)
    tubes = partly_bent(bends, still, np.full(bends.bend_count, hold.onward))
    stations, arms, moving = _along(bends, still, hold)
    some_arm = arms.reshape(-1, arms.shape[-1]).any(0)  # elsewhere no tube has anything that could meet something
    stations, arms, moving = stations[..., some_arm], arms[..., some_arm], moving[..., some_arm]
    x, y, z = np.moveaxis(lines_in_bender(tubes, stations, hold, bender), -1, 0)
    radius = np.asarray(die.centerline_radius_mm)
    drawn_in = radius * bends.bends_deg[..., hold.number] / (1.0 - np.asarray(setup.springback.ratio)) * RADIAN
    nearest = np.where(moving, np.minimum(np.maximum(0.0, x - drawn_in[..., None]), x), x)
    from_pivot = np.hypot(nearest, y - bender.die_side * radius[..., None])

    def least(distance: Array) -> Array:
        clear = np.where(arms, distance, np.inf).min(-1, initial=np.inf) - 0.5 * diameter
        return np.where(clear < -TOUCH_MM, MEETS, np.maximum(clear, 0.0))

    found = {DIE: least(section_from_die(die, diameter).distance_mm(from_pivot, z))}
    if bender.table_below_mm is not None and bender.table_reach_mm is not None:
        found[TABLE] = least(_from_block(from_pivot - bender.table_reach_mm, z + bender.table_below_mm))
    if bender.frame_below_mm is not None and bender.frame_reach_mm is not None:
        found[FRAME] = least(_from_block(from_pivot - bender.frame_reach_mm, z + bender.frame_below_mm))
    if bender.floor_below_mm is not None:
        found[FLOOR] = least(z + bender.floor_below_mm)
    return found


def _along(bends: TubeBends, still: Made, hold: Hold) -> tuple[Array, Made, Made]:
    # stations (..., m) along the tube, which of them are beyond a bend made before, and which go round with the bend
    length = np.asarray(checked("length of the tube", cut_length_mm(bends), "mm", most=MOST_LENGTH_MM))[..., None]
    edges = nodes_of_bends(bends).stations_mm[..., 1:-1]
    starts, ends, numbers = edges[..., 0::2], edges[..., 1::2], np.arange(bends.bend_count)
    even = np.linspace(0.0, 1.0, int(np.ceil(length.max(initial=0.0) / STEP_MM)) + 1)
    stations = np.concatenate([length * even, edges], -1)
    left = np.where(still & (numbers < hold.number), ends, 0.0).max(-1, keepdims=True)
    right = np.where(still & (numbers > hold.number), starts, length).min(-1, keepdims=True)
    arms = ((stations <= left) & (left > 0.0)) | ((stations >= right) & (right < length))
    tangent = edges[..., 2 * hold.number + (hold.onward < 0.0), None]
    return stations, arms, hold.onward * (stations - tangent) > 0.0


def _from_block(outward: Array, above: Array) -> Array:
    # distance from a round block that goes down for ever: beside it, above it or off its rim; 0 inside it
    return np.hypot(np.maximum(outward, 0.0), np.maximum(above, 0.0))
