"""The cope: the curve cut into the end of a tube so that it sits on another one."""

from __future__ import annotations

import numpy as np

from barmath.arrays import RADIAN
from barmath.refusal import Number, as_number, check_shapes, checked, refuse_where


def cope_ordinates_mm(
    branch_diameter_mm: Number, header_diameter_mm: Number, angle_deg: Number, stations_deg: Number
) -> Number:
    """Where the wall of a branch meets a straight header, mm along the branch from the header's axis.

        z(t) = r cot(angle) cos t + sqrt(R^2 - r^2 sin^2 t)/sin(angle)

    Parameters
    ----------
    branch_diameter_mm : number or array, above 0
        Diameter 2 r of the cylinder that is cut.
    header_diameter_mm : number or array, at least the branch's
        Diameter 2 R of the tube it sits on.
    angle_deg : number or array, 0..180 exclusive
        Angle between the axes; their axes meet.
    stations_deg : number or array
        Places t round the branch; 0 on the acute side, where the ordinate is largest.

    Returns
    -------
    number or array
        As the parameters broadcast, mm; a float where all of them are numbers.

    Raises
    ------
    BendError
        The branch is wider than the header, or the tubes would be side by side.

    Notes
    -----
    Intersecting cylinders as parametrised by J. M. Stockie, The Geometry of Intersecting Tubes (1998).

    Examples
    --------
    >>> from barmath import cope_ordinates_mm
    >>> cope_ordinates_mm(20.0, 20.0, 90.0, [0.0, 90.0]).round(6) + 0.0
    array([10.,  0.])
    """
    r, header, theta = _checked_tubes(branch_diameter_mm, header_diameter_mm, angle_deg)
    t = as_number("angle around the branch", stations_deg, "deg") * RADIAN
    check_shapes("these diameters and angles", r, header, theta, t)
    refuse_wide(r, header)
    ordinate = r * np.cos(t) / np.tan(theta) + np.sqrt(header**2 - (r * np.sin(t)) ** 2) / np.sin(theta)
    return float(ordinate) if np.ndim(ordinate) == 0 else ordinate


def _checked_tubes(branch_mm: Number, header_mm: Number, angle_deg: Number) -> tuple[Number, Number, Number]:
    # both radii in mm, and the angle between the axes in radians
    beside = "choose an angle between 0 and 180 deg, because parallel tubes have no cope"
    return (
        checked("branch diameter", branch_mm, "mm", above=0.0) / 2.0,
        checked("header diameter", header_mm, "mm", above=0.0) / 2.0,
        checked("joint angle", angle_deg, "deg", least=0.01, most=179.99, remedy=beside) * RADIAN,
    )


def refuse_wide(branch_radius_mm: Number, header_radius_mm: Number) -> None:
    """Raise BendError where a branch is wider than its header; radii in mm, numbers or arrays."""
    refuse_where(
        np.asarray(branch_radius_mm) > np.asarray(header_radius_mm),
        "branch diameter must be at most the header's {header} mm, got {branch} mm",
        remedy="swap the tubes or choose a thinner branch",
        header=2.0 * header_radius_mm,
        branch=2.0 * branch_radius_mm,
    )
