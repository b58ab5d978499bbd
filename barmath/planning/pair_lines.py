"""Of every pair of bends the one that leaves most of straight and grip, for each order: by lines, not bar by bar.

With the sweeps and the pair given, riser and grip have their directions. Straight, grip and cut length are then linear
in the lengths of the order: rise, width, clamp flat and room for controls. So the pairs that can have those sweeps are
found once, with three numbers for each line. All orders with the same sweeps are one product of matrices.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.legs import straight_and_grip
from barmath.closed_forms.records import Order
from barmath.planning.candidates import BendPair, are_accepted, candidates
from barmath.shop.offsets import Tools
from barmath.shop.stock import Tube

OF_LENGTHS = ("straight", "controls", "stock")
"""The refusing rules that depend on the lengths of the order."""

MOST_SWEEPS = 200
"""With more sweeps than this in a grid, every pair for each of them takes very long."""

_ANGLES = ("backsweep_deg", "upsweep_deg", "least_upsweep_deg", "most_upsweep_deg")
_LENGTHS = ("rise_mm", "width_mm", "clamp_flat_mm", "controls_mm")


def best_of_every_pair(
    order: Order, tube: Tube, tools: Tools, bends_deg: Array, stock_mm: float, shape: tuple[int, ...]
) -> BendPair | None:
    """The pair of `bends_deg` that leaves most, for each order of a grid; any pair where none makes the bar.

    None where the grid has more than `MOST_SWEEPS` sweeps.

    Parameters
    ----------
    order : Order
        Its arrays broadcast to `shape`.
    tube : Tube
    tools : Tools
        Of one die.
    bends_deg : array (n,)
        Finished bends.
    stock_mm : number
        Longest tube in the rack.
    shape : tuple of int
    """
    number = {field.name: getattr(order, field.name) for field in fields(order)}
    each = {name: np.broadcast_to(value, shape).ravel() for name, value in number.items() if value is not None}
    angles = [name for name in _ANGLES if name in each]
    unlike, group = np.unique(np.stack([each[name] for name in angles]), axis=1, return_inverse=True)
    if unlike.shape[1] > MOST_SWEEPS:
        return None
    best = np.zeros(group.size, np.intp)
    for place in range(unlike.shape[1]):
        these = np.flatnonzero(group.ravel() == place)
        one = replace(order, **{name: value[these[0]] for name, value in each.items()})
        best[these] = _best(
            _lines(one, tube, tools, bends_deg), {name: each[name][these] for name in _LENGTHS}, stock_mm
        )
    return BendPair(*(bends_deg[place].reshape(shape) for place in np.divmod(best, bends_deg.size)))


class _Lines(NamedTuple):
    # of the pairs (k) that can have some sweeps: their places among all pairs. Then spare straight, spare grip and the
    # length of the tube, as sums (3, 5, k) of what `_best` stacks
    places: NDArray[np.intp]
    sums: Array


def _lines(one: Order, tube: Tube, tools: Tools, bends: Array) -> _Lines:
    # of all orders with the sweeps of `one`, whatever its lengths
    places = np.flatnonzero(are_accepted(one, bends[:, None], bends))
    inner, outer = bends[places // bends.size], bends[places % bends.size]
    bars = candidates(one, tube, tools, inner, outer_bend_deg=outer)
    refused = np.zeros(bars.shape, bool)
    for limit in bars.limits:
        if limit.refuses and limit.key not in OF_LENGTHS:
            refused |= limit.broken
    nothing, rise, across = (
        np.array([np.broadcast_to(length, bars.shape) for length in
                  straight_and_grip(bars.legs, *lengths, 0.0, tools.radius_mm)[:2]])
        for lengths in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
    )  # fmt: skip
    sums = np.zeros((3, 5, places.size))
    sums[:2, 0], sums[:2, 1], sums[:2, 2] = nothing, rise - nothing, across - nothing
    sums[2] = 2.0 * (sums[0] + sums[1])
    sums[2, 0] += 2.0 * tools.radius_mm * RADIAN * (inner + outer)
    sums[2, 3] = 1.0
    sums[0, 0] -= tools.least_straight_mm
    sums[1, 4] = -1.0
    return _Lines(places[~refused], sums[..., ~refused])


def _best(lines: _Lines, ordered: dict[str, Array], stock_mm: float) -> NDArray[np.intp] | int:
    # places of the pairs that leave most of straight and grip, and need no more than the stock
    if not lines.places.size:
        return 0
    rise, flat = ordered["rise_mm"], ordered["clamp_flat_mm"]
    half_span = 0.5 * (ordered["width_mm"] - flat)
    lengths = np.stack([np.ones_like(rise), rise, half_span, flat, ordered["controls_mm"]], -1)
    straight, grip, cut = lengths @ lines.sums
    spare = np.minimum(straight, grip, out=straight)
    np.copyto(spare, -np.inf, where=cut > stock_mm)
    return lines.places[spare.argmax(axis=-1)]
