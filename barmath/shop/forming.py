"""What a bend costs the tube: walls that thin and thicken, a section that flattens, an outside that stretches.

Published rules, each with its source; all in terms of the centre-line radius R and the tube's outside diameter D.
They can say no; they do not say that a bar will hold.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmath.refusal import Number, check_shapes, checked, refuse_where
from barmath.shop.stock import Tube

OUT_OF_ROUND_LIMIT = 0.08
"""Largest (D_max - D_min)/D after bending for R of 5 D or more: ASME B31.1, 104.2.1."""

RADIUS_IN_DIAMETERS = (3.0, 4.0, 5.0, 6.0)
"""The rows R/D of the table below."""

WALL_BEFORE_BENDING = (1.25, 1.14, 1.08, 1.06)
"""Least wall before bending, as a multiple of the wall needed, at R/D of 3, 4, 5 and 6: ASME B31.1, table 102.4.5."""


@dataclass(frozen=True)
class Forming:
    """What one bend does to a tube; ratios to the straight tube's wall or diameter."""

    radius_in_diameters: Number
    index_inside: Number
    index_outside: Number
    wall_before_bending: Number
    rule_of_thumb_wall: Number
    outer_stretch: Number


def forming_from_bend(tube: Tube, radius_mm: Number) -> Forming:
    """What bending `tube` to a centre-line radius of `radius_mm` does to it, by the published rules.

    Parameters
    ----------
    tube : Tube
    radius_mm : number or array, above half the tube's diameter

    Returns
    -------
    Forming
        index_inside, index_outside: bend thickness index I = (4R/D - 1)/(4R/D - 2) inside and (4R/D + 1)/(4R/D + 2)
        outside (ASME B31.3-2016, 304.2.1, (3d) and (3e)). wall_before_bending: ASME B31.1 table 102.4.5, interpolated,
        nan below 3 D and 1.06 above 6 D. rule_of_thumb_wall: t'/t = R/(R + D/2), a shop's rule with no standard behind
        it, and not bounded by B31.1. outer_stretch: D/(2R), if nothing but the outside stretched.

    Raises
    ------
    BendError
        The radius is no more than the tube's own, or its shape does not fit the tube's.

    Examples
    --------
    >>> from barmath.shop import Tube, forming_from_bend
    >>> print(f"{forming_from_bend(Tube(22.225, 1.651), radius_mm=105).outer_stretch:.3f}")
    0.106
    """
    diameter = tube.outside_diameter_mm
    radius = checked("centre-line radius", radius_mm, "mm", above=0.0)
    check_shapes("tube and radius", diameter, radius)
    refuse_where(
        np.asarray(radius) <= np.asarray(diameter) / 2.0,
        "centre-line radius must be above half the tube's diameter of {diameter} mm, got {radius} mm",
        remedy="measure the radius to the tube's centre line",
        diameter=diameter,
        radius=radius,
    )
    ratio = radius / diameter
    return Forming(
        radius_in_diameters=ratio,
        index_inside=(4.0 * ratio - 1.0) / (4.0 * ratio - 2.0),
        index_outside=(4.0 * ratio + 1.0) / (4.0 * ratio + 2.0),
        wall_before_bending=wall_before_bending(ratio),
        rule_of_thumb_wall=radius / (radius + diameter / 2.0),
        outer_stretch=0.5 / ratio,
    )


def wall_before_bending(radius_in_diameters: Number) -> Number:
    """Least wall before bending over the wall needed, ASME B31.1 table 102.4.5, straight lines between its rows.

    nan below 3 diameters, where the table ends; 1.06 beyond 6.

    Raises
    ------
    BendError
        The radius is not above 0.

    Examples
    --------
    >>> from barmath.shop import wall_before_bending
    >>> float(wall_before_bending(4))
    1.14
    """
    ratio = checked("radius divided by diameter", radius_in_diameters, above=0.0)
    wall = np.interp(ratio, RADIUS_IN_DIAMETERS, WALL_BEFORE_BENDING)
    known = np.where(np.less(ratio, RADIUS_IN_DIAMETERS[0]), np.nan, wall)
    return float(known) if known.ndim == 0 else known


def out_of_round(largest_mm: Number, smallest_mm: Number, diameter_mm: Number) -> Number:
    """(D_max - D_min)/D of a bent section (formula of PFI ES-24, from memory); compare with `OUT_OF_ROUND_LIMIT`.

    Parameters
    ----------
    largest_mm, smallest_mm : number or array, above 0
        Across the bent section.
    diameter_mm : number or array, above 0
        Of the straight tube.

    Raises
    ------
    BendError
        A diameter is not above 0 mm, or the smallest is above the largest. Their shapes do not fit together.

    Examples
    --------
    >>> from barmath.shop import out_of_round
    >>> print(f"{out_of_round(largest_mm=22.6, smallest_mm=21.4, diameter_mm=22.2):.3f}")
    0.054
    """
    largest = checked("largest diameter", largest_mm, "mm", above=0.0)
    smallest = checked("smallest diameter", smallest_mm, "mm", above=0.0)
    diameter = checked("tube diameter", diameter_mm, "mm", least=1e-3)
    check_shapes("diameters", largest, smallest, diameter)
    refuse_where(
        np.asarray(smallest) > np.asarray(largest),
        "smallest diameter must be at most the largest of {largest} mm, got {smallest} mm",
        remedy="swap the two readings",
        largest=largest,
        smallest=smallest,
    )
    return (largest - smallest) / diameter
