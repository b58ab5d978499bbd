"""The section of a die: a round block with a groove that holds the tube, and how far a point is from its metal.

Take the half plane through the die's axis, with rho from the axis and z above the tube's middle. There the metal is the
block rho <= rim, |z| <= height less the groove: the tube's own circle about rho = R, open outward. A straight tube
touches the groove along one line and leaves it outward: x mm further on it is at rho = sqrt(R^2 + x^2).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.refusal import Number, check_shapes, checked
from barmath.shop.tooling import Die


class Section(NamedTuple):
    """A die's section for one tube, mm, numbers or arrays (...).

    `radius_mm` of the groove's centre line, `tube_mm` half the tube's diameter, `rim_mm` from the die's axis to the
    rim. `height_mm` is that of the rim over the tube's middle, `lip_mm` half the width of the groove where it opens.
    """

    radius_mm: Number
    tube_mm: Number
    rim_mm: Number
    height_mm: Number
    lip_mm: Number

    def distance_mm(self, rho: Array, z: Array) -> Array:
        """How far points (..., m) are from the metal, mm; 0 inside it. It never grows as rho gets smaller."""
        radius, tube, rim, height, lip = (np.asarray(field)[..., None] for field in self)
        above = np.abs(z)
        block = np.hypot(np.maximum(rho - rim, 0.0), np.maximum(np.maximum(lip - above, above - height), 0.0))
        inward, off = rho - radius, np.hypot(rho - radius, z)
        before_the_arc = inward * tube <= np.minimum(rim - radius, 0.0) * off  # seen from the groove's middle
        in_groove, in_metal = before_the_arc & (off <= tube), before_the_arc & (off > tube) & (above < lip)
        return np.where(in_groove, np.minimum(block, tube - off), np.where(in_metal, 0.0, block))

    def outline_mm(self, parts: int = 8) -> Array:
        """The rim from its upper edge through the groove, in `parts`, to its lower edge: (parts + 5, 2) of rho and z.

        For a single section.
        """
        off = np.minimum(np.asarray(self.rim_mm) - self.radius_mm, 0.0)
        widest = np.arccos(np.clip(off / self.tube_mm, -1.0, 1.0))
        turn = np.linspace(widest, 2.0 * np.pi - widest, parts + 1)
        groove = np.stack([self.radius_mm + self.tube_mm * np.cos(turn), self.tube_mm * np.sin(turn)], -1)
        upper = np.array([[self.rim_mm, self.height_mm], [self.rim_mm, self.lip_mm]])
        return np.concatenate([upper, groove, upper[::-1] * [1.0, -1.0]])


def section_from_die(die: Die, tube_diameter_mm: Number) -> Section:
    """The section of `die` with a groove for a tube of `tube_diameter_mm`, mm.

    What the shop has not measured is taken from the tube: a groove half as deep as the tube is thick. The rim is one
    tube diameter above and below the tube's middle. That is cautious; common practice, no source.

    Parameters
    ----------
    die : Die
        Single or of arrays (...).
    tube_diameter_mm : number or array (...), above 0

    Raises
    ------
    BendError
        The diameter is not above 0 mm, or the shapes of die and tube do not fit together.

    Examples
    --------
    >>> section = section_from_die(Die(101.6), 22.225)
    >>> [float(field) for field in section]
    [101.6, 11.1125, 101.6, 22.225, 11.1125]
    """
    diameter = checked("tube diameter", tube_diameter_mm, "mm", above=0.0)
    check_shapes("tube and die", diameter, die.centerline_radius_mm)
    tube = 0.5 * diameter
    depth = tube if die.groove_depth_mm is None else np.asarray(die.groove_depth_mm)
    lip = np.sqrt(np.maximum(tube**2 - np.minimum(depth - tube, 0.0) ** 2, 0.0))
    height = diameter if die.rim_height_mm is None else np.maximum(die.rim_height_mm, lip)
    return Section(die.centerline_radius_mm, tube, die.centerline_radius_mm - tube + depth, height, lip)
