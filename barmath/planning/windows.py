"""From what the limits leave at two rises to the rises that all of them allow."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.planning.limits import Limit
from barmath.refusal import Number

ALLOWED = 0
"""Code where no limit is broken at every rise; 1 and up count the refusing limits."""

_LEVEL = 1e-12  # a margin that changes less than this a millimetre of rise does not depend on it


class Ends(NamedTuple):
    """Lowest and highest rise, which limit sets each, and which one allows none: limits by their codes.

    `moved` are the keys of those that a rise keeps or breaks, of some bar.
    """

    lowest: Array
    highest: Array
    lowest_by: NDArray[np.uint8]
    highest_by: NDArray[np.uint8]
    never: NDArray[np.uint8]
    moved: frozenset[str]


def ends_of_rise(
    one: Sequence[Limit], other: Sequence[Limit], rise_mm: Number, step_mm: float, shape: tuple[int, ...]
) -> Ends:
    """The rises that every refusing limit allows, of bars of given bends: there every margin is linear in the rise.

    The rises are nan where a limit allows none. Where lowest > highest two limits leave nothing between them.

    Parameters
    ----------
    one, other : limits of the same bars with a rise of `rise_mm`, and with `step_mm` more
    rise_mm : number or array
    step_mm : number above 0
    shape : what all of them broadcast to
    """
    lowest, highest = np.full(shape, -np.inf), np.full(shape, np.inf)
    lowest_by, highest_by, never = (np.zeros(shape, np.uint8) for _ in range(3))
    moved = set()
    pairs = [pair for pair in zip(one, other, strict=True) if pair[0].refuses]
    with np.errstate(invalid="ignore", divide="ignore"):
        for code, (here, there) in reversed(list(enumerate(pairs, start=1))):  # so that the first has the last word
            slope = np.asarray(there.margin - here.margin) / step_mm
            moves = np.abs(slope) > _LEVEL
            np.copyto(never, np.uint8(code), where=~moves & here.broken)
            if moves.any():
                moved.add(here.key)
                edge = rise_mm - here.margin / slope
                above, below = moves & (slope > 0.0) & (edge >= lowest), moves & (slope < 0.0) & (edge <= highest)
                np.copyto(lowest, edge, where=above)
                np.copyto(lowest_by, np.uint8(code), where=above)
                np.copyto(highest, edge, where=below)
                np.copyto(highest_by, np.uint8(code), where=below)
    lowest[never != ALLOWED] = highest[never != ALLOWED] = np.nan
    return Ends(lowest, highest, lowest_by, highest_by, never, frozenset(moved))
