"""What the map of a die is drawn from: fields over two quantities of the order, lines of equal value, names."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array

OUTER_MARK, CLAMP_READING, BEND, SETBACK = "outer mark", "clamp reading", "bend", "setback"
DIFFERENCE = "inner less outer bend"
LINES = {
    OUTER_MARK: (0.0, 600.0, 10.0),
    CLAMP_READING: (-60.0, 60.0, 2.0),
    BEND: (0.0, 90.0, 2.5),
    SETBACK: (-200.0, 400.0, 10.0),
    DIFFERENCE: (-40.0, 40.0, 2.5),
}
"""What lines of equal value can be drawn of: the first, the last and the step between them, mm or degrees."""


class MapPicture(NamedTuple):
    """A map to draw; fields are of shape (y, x).

    margins : what is left before each refusing limit, by its key; shaded where below 0
    spare : spare straight or grip, mm; a dashed line where it is `enough_spare`
    place : how a place is given, with %{x} and %{y} for its numbers
    made, bend_deg, difference_deg, outer_mark_mm : where the bar can be made, and what is given of it; the bend is the
        inner one, and the difference that of inner and outer bend
    lines : what of `LINES` is drawn, and its field, nan where none is
    title, key : what is mapped, and what its lines mean, a sentence each
    names : places and words of regions
    """

    title: str
    key: tuple[str, ...]
    x_title: str
    y_title: str
    place: str
    x: Array
    y: Array
    margins: Mapping[str, Array]
    spare: Array
    enough_spare: float
    lines: tuple[str, Array] | None
    made: NDArray[np.bool_]
    bend_deg: Array
    difference_deg: Array
    outer_mark_mm: Array
    names: Sequence[tuple[float, float, str]]


class Point(NamedTuple):
    """Where the bar that is shown is, and on which side outside the map it is: "", "left", "right", "up", "down"."""

    x: float
    y: float
    outside: str
