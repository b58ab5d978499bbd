"""Of every pair of bends the one that leaves most of straight and grip, for each order: by lines, not bar by bar.

With the sweeps and the pair given, riser and grip have their directions. What a limit leaves is then linear in the
lengths of the order: rise, width, clamp flat and room for controls. So the pairs that can have those sweeps are found
once. Each limit that looks at a length has its line. All orders with the same sweeps are one product of matrices.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.closed_forms.records import Order
from barmath.planning.candidates import BendPair, are_accepted, candidates
from barmath.planning.rules import ROUNDING
from barmath.shop.offsets import Tools
from barmath.shop.stock import Tube

MOST_SWEEPS = 200
"""With more sweeps than this in a grid, every pair for each of them takes very long."""

_ANGLES = ("backsweep_deg", "upsweep_deg", "least_upsweep_deg", "most_upsweep_deg")
_LENGTHS = ("rise_mm", "width_mm", "clamp_flat_mm", "controls_mm")
_SPARE = ("straight", "controls")  # the limits whose margins are what a pair leaves

_STEP_MM = 64.0  # by how much a length is changed to see a line's slope; any number would do
_ENDLESS_MM = 1e6  # stock without end: infinity has no slope


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
        lines = _lines(one, tube, tools, bends_deg, min(stock_mm, _ENDLESS_MM))
        best[these] = _best(lines, np.stack([np.ones(these.size), *(each[name][these] for name in _LENGTHS)], -1))
    return BendPair(*(bends_deg[place].reshape(shape) for place in np.divmod(best, bends_deg.size)))


class _Lines(NamedTuple):
    # of the pairs (k) that can have some sweeps: their places among all pairs. Then what each limit of lengths leaves,
    # as sums (limits, 5, k) over 1 and the lengths; first the limits of `_SPARE`
    places: NDArray[np.intp]
    sums: Array


def _lines(one: Order, tube: Tube, tools: Tools, bends: Array, stock_mm: float) -> _Lines:
    # of all orders with the sweeps of `one`, whatever its lengths
    places = np.flatnonzero(are_accepted(one, bends[:, None], bends))
    inner, outer = bends[places // bends.size], bends[places % bends.size]
    at = np.array([float(getattr(one, name)) for name in _LENGTHS])
    each = at + _STEP_MM * np.eye(len(_LENGTHS) + 1, len(_LENGTHS), -1)  # as ordered, then each length longer in turn
    ordered = replace(one, **dict(zip(_LENGTHS, each.T[..., None], strict=True)))
    bars = candidates(ordered, tube, tools, inner, stock_mm, outer_bend_deg=outer)
    refused, sums = np.zeros(places.size, bool), {}
    for limit in bars.limits:
        if limit.refuses:
            margin = bars.full(limit.margin)
            if (margin[1:] == margin[0]).all() and limit.key not in _SPARE:
                refused |= bars.full(limit.broken)[0]
            else:
                slopes = (margin[1:] - margin[0]) / _STEP_MM
                sums[limit.key] = [margin[0] - at @ slopes, *slopes]
    kept = np.array([sums[key] for key in sorted(sums, key=lambda key: key not in _SPARE)])
    return _Lines(places[~refused], kept[..., ~refused])


def _best(lines: _Lines, lengths: Array) -> NDArray[np.intp] | int:
    # places of the pairs that leave most of straight and grip, and break no other limit of lengths
    if not lines.places.size:
        return 0
    straight, grip, *others = lengths @ lines.sums
    spare = np.minimum(straight, grip, out=straight)
    for margin in others:
        np.copyto(spare, -np.inf, where=margin < -ROUNDING)
    return lines.places[spare.argmax(axis=-1)]
