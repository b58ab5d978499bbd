"""Where the number of each line of equal value is written on a map: on its line, where there is most room."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array

FLAT = 1.6
"""A number is wider than high, and so is the map: this much of its height counts as its whole width."""
LEAST_ROOM = 0.04
"""Half a number with some air, in widths of the map: nearer to the end of its field or to another it is not written."""


class LineNumber(NamedTuple):
    """A number and where its middle is, in the units of the map's axes."""

    x: float
    y: float
    value: float


def line_numbers(
    x: Array, y: Array, field: Array, levels: Sequence[float] | Array, besides: Sequence[tuple[float, float]] = ()
) -> list[LineNumber]:
    """A number for each line of equal value that has room for one.

    The place with most room is taken first: room is the way to the end of the field, or half the way to what is
    written already. A line that is too short for its number gets none.

    Parameters
    ----------
    x, y : arrays (n,) and (m,), growing
        Where the field is known.
    field : array (m, n)
        Its values, nan where it has none.
    levels : numbers
        The values that have a line.
    besides : pairs of numbers
        Places of other words on the map.

    Returns
    -------
    list of LineNumber

    Examples
    --------
    >>> import numpy as np
    >>> x, y = np.linspace(0.0, 30.0, 31), np.linspace(20.0, 160.0, 71)
    >>> line_numbers(x, y, np.broadcast_to(y[:, None], (71, 31)), [91.0, 200.0])
    [LineNumber(x=15.0, y=91.0, value=91.0)]
    """
    scale = np.array([1.0, FLAT]) / [x[-1] - x[0], y[-1] - y[0]]
    ends = _ends(x, y, np.isfinite(field)) * scale
    lines = {}
    for level in levels:
        places = _crossings(x, y, field - level)
        if len(places):
            lines[float(level)] = places, _way(places * scale, ends)
    placed: list[LineNumber] = []
    written = np.reshape(np.array(besides, dtype=float), (-1, 2)) * scale
    while lines:
        rooms = {
            level: np.minimum(room, 0.5 * _way(places * scale, written)) for level, (places, room) in lines.items()
        }
        level = max(rooms, key=lambda one: rooms[one].max())
        best = rooms[level].argmax()
        if rooms[level][best] < LEAST_ROOM:
            break
        place = lines.pop(level)[0][best]
        placed.append(LineNumber(float(place[0]), float(place[1]), level))
        written = np.append(written, [place * scale], axis=0)
    return placed


def _ends(x: Array, y: Array, known: NDArray[np.bool_]) -> Array:
    # the places (k, 2) where the field is not known, next to where it is, one step beyond the map included
    inside = np.pad(known, 1)
    near = np.zeros_like(inside)
    for axis in (0, 1):
        for step in (-1, 1):
            near |= np.roll(inside, step, axis)
    row, column = np.nonzero(near & ~inside)
    beyond = [np.concatenate([[2.0 * one[0] - one[1]], one, [2.0 * one[-1] - one[-2]]]) for one in (x, y)]
    return np.stack([beyond[0][column], beyond[1][row]], -1)


def _crossings(x: Array, y: Array, over: Array) -> Array:
    # the places (k, 2) where the line of 0 meets the grid
    places = []
    for axis, along in ((1, x), (0, y)):
        one, other = (np.take(over, np.arange(start, over.shape[axis] - 1 + start), axis) for start in (0, 1))
        row, column = np.nonzero(((one <= 0.0) != (other <= 0.0)) & np.isfinite(one) & np.isfinite(other))
        low, high = one[row, column], other[row, column]
        first = column if axis else row
        met = along[first] + low / (low - high) * (along[first + 1] - along[first])
        places.append(np.stack([met, y[row]] if axis else [x[column], met], -1))
    return np.concatenate(places)


def _way(places: Array, others: Array) -> Array:
    # from each place (k, 2) to the nearest of the others, a column at a time
    if not len(others):
        return np.full(len(places), np.inf)
    return np.sqrt(np.min(sum(np.subtract.outer(places[:, one], others[:, one]) ** 2 for one in (0, 1)), axis=1))
