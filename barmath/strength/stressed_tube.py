"""The surface of a loaded bar, ring by ring, with the stress of each place: what a picture in space is drawn from."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.space.centerline import bar_points
from barmath.space.drawing import tube_surface
from barmath.strength.screen import LoadedBar

RINGS = 128
"""As many for every bar, so that a picture can be changed in place: a bar that needs fewer has its ends repeatedly."""


class StressedTube(NamedTuple):
    """A bar's surface from its left end: rings_mm (128, facets, 3). stress_mpa (128,) is the largest elastic stress of
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
    left, right = bar.left, bar.right
    loads = [left.stations_mm[-1], right.stations_mm[-1]]
    stations = np.concatenate(
        [[-half, -loads[0]], -left.stations_mm[::-1], right.stations_mm, [loads[1], half]]
    )  # fmt: skip
    stress = np.concatenate([[0.0, 0.0], left.elastic_mpa[::-1], right.elastic_mpa, [0.0, 0.0]])
    more = (0, RINGS - stations.size)
    stations, stress = np.pad(stations, more, mode="edge"), np.pad(stress, more)
    points, frames = bar_points(recipe, half + stations)
    return StressedTube(tube_surface(points, frames, tube_diameter_mm), stress)
