"""What a bar measures on each side by itself, however it came out: the two halves need not be alike.

The bar is as clamped: the clamp flat along x. It is turned in its stem so that one riser leans to the front and one to
the rear. Both lean by the same amount about the stem roll asked for. The twist is what turns one riser out of the
other's plane. Where it is more than 90 degrees one riser hangs down, and no stem roll makes them alike: there the right
riser has the stem roll itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.headings import turned
from barmath.refusal import BendError, Number, as_number, check_shapes
from barmath.space.centerline import Nodes, TubeBends, nodes_of_bends


@dataclass(frozen=True)
class TwoSides:
    """Measures of a bar's two sides, arrays (...) over bars.

    Parameters
    ----------
    rise_mm, half_width_mm, setback_mm : arrays (..., 2)
        Left and right: bar-end centre above the clamp axis, out from the middle of the clamp flat, and behind it.
    backsweep_deg, upsweep_deg : arrays (..., 2)
        Left and right: of the grip to the clamp axis, seen from above and from the front.
    twist_deg : array (...)
        Turn about the clamp axis from the left riser to the right one; positive where the right one leans further back.
    right_lean_deg : array (...)
        How far the right riser leans back from upright as the bar is measured.
    """

    rise_mm: Array
    half_width_mm: Array
    setback_mm: Array
    backsweep_deg: Array
    upsweep_deg: Array
    twist_deg: Array
    right_lean_deg: Array

    @property
    def width_mm(self) -> Array:
        """From bar-end centre to bar-end centre along the clamp axis, mm."""
        return self.half_width_mm.sum(-1)

    def apart(self, measure: str) -> Array:
        """Right minus left of one of the fields that have two sides."""
        sides = getattr(self, measure)
        return sides[..., 1] - sides[..., 0]


def two_sides_from_bends(bends: TubeBends, stem_roll_deg: Number = 0.0) -> TwoSides:
    """Measures of a bar of four bends (tubes (...)), turned in its stem by `stem_roll_deg` from risers upright.

    Raises
    ------
    BendError
        A tube has other than four bends, or there are more or fewer stem rolls than bars.

    Parameters
    ----------
    bends : TubeBends
        Tubes (...) of four bends.
    stem_roll_deg : number or array (...)

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.space import bends_from_recipe, two_sides_from_bends
    >>> bends = bends_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> two_sides_from_bends(bends).rise_mm.round(1).tolist()
    [90.0, 90.0]
    """
    if bends.bend_count != 4:
        raise BendError(f"a bar must have 4 bends, got {bends.bend_count}: give a whole bar")
    psi = np.asarray(as_number("stem roll", stem_roll_deg, "deg")) * RADIAN
    nodes = nodes_of_bends(bends)
    check_shapes("the bars and their stem rolls", nodes.points_mm[..., 0, 0], psi)
    x, inside, square = _beside_the_flat(nodes)
    lean = np.arctan2(square[..., 1:3], inside[..., 1:3])
    twist = np.angle(np.exp(1j * (lean[..., 1] - lean[..., 0])))  # a difference of angles, inside -pi..pi
    right_lean = np.where(np.abs(twist) > 0.5 * np.pi, 0.0, 0.5 * twist) + psi
    up, back = turned(inside, square, (lean[..., 1] - right_lean)[..., None])
    out = x[..., [0, 3, 4, 5]] * np.array([-1.0, 1.0, -1.0, 1.0])  # to the left counts outward on the left side
    backsweep, upsweep = (np.arctan2(share[..., [0, 3]], out[..., :2]) / RADIAN for share in (back, up))
    return TwoSides(up[..., 4:], out[..., 2:], back[..., 4:], backsweep, upsweep, twist / RADIAN, right_lean / RADIAN)


def _beside_the_flat(nodes: Nodes) -> Array:
    # left grip, left riser, right riser, right grip outward, then both ends: (3, ..., 6) along the clamp flat, toward
    # the inside of the left inner bend, and square to both
    axes = np.moveaxis(nodes.frames[..., 4, :, :], -1, 0)
    middle = 0.5 * (nodes.points_mm[..., 4, :] + nodes.points_mm[..., 5, :])
    outward = nodes.frames[..., 0][..., [0, 2, 6, 8], :] * np.array([-1.0, -1.0, 1.0, 1.0])[:, None]
    ends = nodes.points_mm[..., [0, -1], :] - middle[..., None, :]
    return np.einsum("...vi,a...i->a...v", np.concatenate([outward, ends], -2), axes)
