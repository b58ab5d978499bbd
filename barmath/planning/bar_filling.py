"""Ways to fill one bar with pieces that each have a worth: a search for good ways, and a bound on the best."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from itertools import count
from typing import NamedTuple

import numpy as np

from barmath.arrays import Array

STEPS_A_LOOK = 2048
"""Steps of a search between two looks at the clock."""

GRID = 60_000
"""Into how many parts the longest bar is divided to bound a pattern's worth: of 6 m each is a tenth of a millimetre."""

ROUNDING = 1e-6
"""By how much a length may be off from rounding, in steps of the grid."""


class Pieces(NamedTuple):
    """The pieces that are wanted: each width once, the kerf in it, mm, and how many of it."""

    widths: Sequence[float]
    most: Sequence[int]


def patterns_worth(
    worth: Sequence[float],
    pieces: Pieces,
    capacity: float,
    least: float,
    deadline: float = math.inf,
    enough: int | None = None,
) -> Iterator[tuple[int, ...]]:
    """Ways to fill `capacity` mm that are worth more than `least`, as how many pieces of each width.

    Pieces with the most worth a millimetre are taken first, as many as go in. Then one of the last piece is put back,
    and the room after it is filled again. A bound says what that room can still bring: all of it at the worth of the
    next piece. With `enough` each way is worth more than the one before, and the search ends after so many steps.
    Raises TimeoutError after the `deadline` of `time.monotonic`.
    """
    widths, most = pieces
    order = sorted(range(len(worth)), key=lambda place: (-worth[place] / widths[place], -widths[place]))
    value_of, width_of = ([of[place] for place in order] for of in (worth, widths))
    most_of = [most[place] for place in order]
    rate = [value / width for value, width in zip(value_of, width_of, strict=True)] + [0.0]
    shortest_after = [min(width_of[place:]) for place in range(len(order))]
    back = np.argsort(order).tolist()
    counts, room, value, start, last = [0] * len(order), capacity, 0.0, 0, len(order) - 1
    for step in count():
        if step % STEPS_A_LOOK == 0 and time.monotonic() > deadline:
            raise TimeoutError
        for place in range(start, len(order)):
            if room < shortest_after[place]:
                break
            take = min(most_of[place], int(room / width_of[place]))
            counts[place] = take
            room -= take * width_of[place]
            value += take * value_of[place]
        if value > least:
            yield tuple(counts[place] for place in back)
            least = value if enough else least
        if step == enough:
            return
        for place in range(last, -1, -1):
            if counts[place]:
                counts[place] -= 1
                room += width_of[place]
                value -= value_of[place]
                if place < last and value + room * rate[place + 1] > least:
                    start = place + 1
                    break
                room += counts[place] * width_of[place]
                value -= counts[place] * value_of[place]
                counts[place] = 0
        else:
            return


def most_worth(worth: Array, pieces: Pieces, rooms: Sequence[float]) -> Array:
    """What a pattern can be worth at most in each of the `rooms`, mm, with widths on a fine grid."""
    unit = max(rooms) / GRID
    best = np.zeros(GRID + 1)
    for value, width, number in zip(worth, *pieces, strict=True):
        steps = int(width / unit)  # rounded down, so that the bound is never too low
        for _ in range(min(number, GRID // max(steps, 1)) if value > 0.0 else 0):
            np.maximum(best[steps:], best[: best.size - steps] + value, out=best[steps:])
    return best[[min(int(room / unit + ROUNDING), GRID) for room in rooms]]
