"""The surface of a loaded bar, ring by ring, with the stress of each place: what a picture in space is drawn from."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.space.centerline import bar_points
from barmath.space.drawing import tube_surface
from barmath.strength.screen import LoadedBar, LoadedSide

RINGS = 90
"""As many for every bar, so that a picture can be changed in place: a bar that needs fewer repeats its ends."""

_IN_STRAIGHT = 4
"""Of so many stations of a straight one is drawn: it needs no more to look straight, and quick to draw it is."""


class StressedTube(NamedTuple):
    """A bar's surface from its left end: rings_mm (90, facets, 3). stress_mpa (90,) is the largest elastic stress of
    each.
    """

    rings_mm: Array
    stress_mpa: Array


def stressed_tube(recipe: Recipe, tube_diameter_mm: float, bar: LoadedBar) -> StressedTube:
    """The surface of a loaded bar with the stress of each place.

    Outside the loads nothing is stressed. Where a load makes a jump two rings are in one place. In the stem, where
    nothing is worked out, it goes straight over from one edge to the other.

    Parameters
    ----------
    recipe : Recipe
        What `bar` was made from.
    tube_diameter_mm : number above 0
    bar : LoadedBar

    Examples
    --------
    >>> from barmath import Recipe, Tube
    >>> from barmath.strength import LATERAL, loaded_bar
    >>> from barmath.strength.stressed_tube import stressed_tube
    >>> recipe = Recipe(50.0, 25.0, 75.0, 31.0, 25.0, 227.0, 90.0)
    >>> shown = stressed_tube(recipe, 22.225, loaded_bar(recipe, Tube(22.225, 1.651), LATERAL))
    >>> f"{shown.stress_mpa.max():.0f} MPa"
    '652 MPa'
    """
    half = float(marks_from_recipe(recipe).end_mm)
    (left, left_mpa), (right, right_mpa) = _drawn(bar.left), _drawn(bar.right)
    stations = np.concatenate([[-half, -left[-1]], -left[::-1], right, [right[-1], half]])
    stress = np.concatenate([[0.0, 0.0], left_mpa[::-1], right_mpa, [0.0, 0.0]])
    more = (0, RINGS - stations.size)
    stations, stress = np.pad(stations, more, mode="edge"), np.pad(stress, more)
    points, frames = bar_points(recipe, half + stations)
    return StressedTube(tube_surface(points, frames, tube_diameter_mm), stress)


def _drawn(side: LoadedSide) -> tuple[Array, Array]:
    # stations and stresses: the bends and what is next to them, the largest, the crossbar's, some of the straights
    stress, places = side.elastic_mpa, np.arange(side.piece.size)
    bent = np.pad(side.piece % 2 == 1, 1)
    wanted = bent[2:] | bent[1:-1] | bent[:-2] | (places % _IN_STRAIGHT == 0)
    wanted[[0, -1, int(stress.argmax())]] = True
    if side.joint_mm is not None:
        wanted[np.linalg.norm(side.points_mm - side.joint_mm, axis=1).argmin()] = True
    return side.stations_mm[wanted], stress[wanted]
