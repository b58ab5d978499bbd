"""A crossbar between the risers: where it sits, how long it is cut, how its ends are sawn and coped, what it weighs.

The crossbar runs level from riser to riser, risers upright. Station 0 of a cope is on the acute side, between
crossbar and riser. From there the stations of the right end count as a right-handed screw turns that comes out of it.
If station 0 is underneath, they count toward the rear. The left end is the mirror image.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.records import Recipe, check_single
from barmath.crossbars.curved_cope import Joint, Piece, check_branch, ordinates_on_header_mm, right_half
from barmath.crossbars.joint import acute_side, joint_angle_deg, joint_at_height
from barmath.refusal import BendError, checked_single, plain, unknown
from barmath.shop.stock import Tube

EASY_ANGLE_DEG = 45.0
"""Joint angle below which the narrow side is hard to fill: NAVEDTRA 14251 p. 104, for welded pipe."""

ENDS = ("right end", "left end")

STATIONS_DEG = np.arange(0.0, 361.0, 2.5)
"""Stations at which a cope is given, degrees."""


_INWARD = np.array([-1.0, 0.0, 0.0])
# from the right riser along the crossbar

_ENOUGH_MM = 0.2
# a second saw cut that takes less is not worth making: common practice, no source


class SawCut(NamedTuple):
    """One flat first cut: how far off square it leans, and where it crosses the tube at stations 0 and 180. Both are in
    mm from the header's axis along the crossbar.
    """

    angle_deg: float
    at_0_mm: float
    at_180_mm: float


class _Copes(NamedTuple):
    # ordinates (145,) of the outer and the inner surface and of the middle of the wall, and the axis's own
    outside: Array
    inside: Array
    middle: Array
    axis: float


@dataclass(frozen=True)
class Crossbar:
    """A crossbar fitted to a bar.

    Its axis is `station_mm` from the middle of the clamp flat along the bar. It is `height_mm` over the clamp axis with
    the risers upright; `joint_mm` (3,) is where it meets the right riser's axis, in the bar's frame, `angle_deg` the
    acute angle between the axes; `on_bend` says whether the cope is wholly or partly on a bend. `axis_length_mm` is
    from riser axis to riser axis. `between_mm` is from tube to tube along its axis, `cut_length_mm` from tip to tip
    with the allowance. `outside_mm` and `inside_mm` (145,) are the ordinates at `STATIONS_DEG` of its outer and inner
    surface; where the inside is larger by more than nothing, its edge must be filed back as far. `acute_side` (3,) is
    the unit vector square to the crossbar toward station 0.
    """

    station_mm: float
    height_mm: float
    joint_mm: Array
    angle_deg: float
    on_bend: bool
    axis_length_mm: float
    between_mm: float
    cut_length_mm: float
    allowance_mm: float
    outside_mm: Array
    inside_mm: Array
    saw_cuts: tuple[SawCut, ...]
    mass_g: float
    branch: Tube
    header_diameter_mm: float
    acute_side: Array

    @property
    def joint(self) -> Joint:
        """The joint on the right riser."""
        return Joint(self.joint_mm, _INWARD, self.acute_side)

    @property
    def aside(self) -> Array:
        """Unit vector (3,) square to the crossbar toward station 90 of the right end."""
        return self.joint.aside

    def edge_mm(self, *, inside: bool = False) -> Array:
        """The outer or inner edge (145, 3) of the right end's cope on the bar, in mm. It is in the bar's frame with the
        risers upright.
        """
        radius = 0.5 * float(self.branch.outside_diameter_mm)
        if inside:
            return _edge_mm(self.joint, self.inside_mm, radius - float(self.branch.wall_mm))
        return _edge_mm(self.joint, self.outside_mm, radius)

    def pencil_line(self) -> str:
        """Where station 0 is on the crossbar in its place with the risers upright, in words."""
        _, forward, up = self.acute_side
        lean = float(np.arctan2(forward, abs(up)) / RADIAN)
        where = "on top" if up > 0.0 else "underneath"
        if abs(lean) < 0.05:
            return where
        return f"{where}, turned {abs(lean):.1f}° toward the {'front' if lean > 0.0 else 'rear'}"

    def longer_side(self, cut: SawCut) -> str:
        """On which side a saw cut leaves the tube longer, in words."""
        if cut.angle_deg > 0.0:
            return "the longer side opposite the pencil line"
        return "the longer side along the pencil line" if cut.angle_deg < 0.0 else "square"

    @property
    def file_back_mm(self) -> float:
        """The most by which the inner edge must be filed back, mm."""
        return float(np.max(self.inside_mm - self.outside_mm, initial=0.0))

    def warnings(self) -> tuple[str, ...]:
        """What to watch at this joint."""
        if self.angle_deg >= EASY_ANGLE_DEG:
            return ()
        return (
            f"fit the joint with care and let the filler run round, or bend steeper: the joint angle is "
            f"{self.angle_deg:.1f} deg. Below {plain(EASY_ANGLE_DEG)} deg the narrow side is hard to fill (NAVEDTRA "
            "14251, for welded pipe)",
        )


def crossbar(
    recipe: Recipe,
    header_diameter_mm: float,
    branch: Tube,
    height_mm: float | None = None,
    allowance_mm: float = 1.0,
) -> Crossbar:
    """The crossbar of `branch` tube between the risers of one `recipe` (no arrays).

    Parameters
    ----------
    recipe : Recipe
    header_diameter_mm : number, above 0
        Of the bar's own tube.
    branch : Tube
    height_mm : number or None
        Of its axis over the clamp axis with the risers upright. None: at the outer marks, where the outer bends begin.
    allowance_mm : number, at least 0
        Left on each end for filing to fit.

    Returns
    -------
    Crossbar
        Lengths in mm, angles in degrees, places in the bar's frame with the risers upright.

    Raises
    ------
    BendError
        The branch is wider than the bar, or there is no riser at that height. The bar is too flat there, or the two
        copes run into each other.

    Examples
    --------
    >>> from barmath import Order, Tube, recipe_from_order
    >>> from barmath.crossbars import crossbar
    >>> recipe = recipe_from_order(Order(90, 14, 800, None, 60, 170), 105, 30)
    >>> fitted = crossbar(recipe, 22.225, Tube(12.7, 0.889), height_mm=40.0)
    >>> print(f"{fitted.axis_length_mm:.1f} mm from axis to axis, cut to {fitted.cut_length_mm:.1f} mm")
    254.8 mm from axis to axis, cut to 234.4 mm
    """
    check_single(recipe, branch)
    diameter = float(branch.outside_diameter_mm)
    check_branch(diameter, header_diameter_mm)
    allowance = checked_single("allowance", allowance_mm, "mm", least=0.0)
    pieces = right_half(recipe)
    station, joint, tangent = joint_at_height(pieces, height_mm)
    angle, toward = joint_angle_deg(tangent), acute_side(tangent)
    there = Joint(joint, _INWARD, toward)
    copes = _copes(pieces, there, branch, header_diameter_mm)
    return Crossbar(
        station_mm=0.5 * float(pieces[0].length) + station,
        height_mm=float(joint[2]),
        joint_mm=joint,
        angle_deg=angle,
        on_bend=_touches_bend(pieces[2], _edge_mm(there, copes.outside, 0.5 * diameter)),
        axis_length_mm=2.0 * float(joint[0]),
        between_mm=2.0 * float(joint[0] - copes.axis),
        cut_length_mm=2.0 * (float(joint[0] - copes.outside.min()) + allowance),
        allowance_mm=allowance,
        outside_mm=copes.outside,
        inside_mm=copes.inside,
        saw_cuts=_saw_cuts(copes.outside, 0.5 * diameter),
        mass_g=float(branch.mass_g(2.0 * (joint[0] - float(copes.middle[:-1].mean())))),
        branch=branch,
        header_diameter_mm=float(header_diameter_mm),
        acute_side=toward,
    )


def unrolled_mm(bar: Crossbar, end: str) -> tuple[Array, Array]:
    """The outer and the inner edge (145, 2) of a template seen from its printed side, tip up: mm to the right from the
    pencil line, and down from the tip.

    Parameters
    ----------
    bar : Crossbar
    end : "right end" or "left end"

    Returns
    -------
    outside, inside : arrays (145, 2)
        Places of the two edges, mm.

    Raises
    ------
    BendError
        The end is neither of the two.

    Notes
    -----
    Look at a tube from outside, its tip up. The stations of the left end run to the right, and those of the right end
    to the left.

    Examples
    --------
    >>> from barmath import Order, Tube, recipe_from_order
    >>> from barmath.crossbars import crossbar, unrolled_mm
    >>> recipe = recipe_from_order(Order(90, 14, 800, None, 60, 170), 105, 30)
    >>> outside, inside = unrolled_mm(crossbar(recipe, 22.225, Tube(12.7, 0.889)), "left end")
    >>> outside.shape
    (145, 2)
    """
    turns = slice(None, None, _sense(end))
    around = STATIONS_DEG / 360.0 * np.pi * float(bar.branch.outside_diameter_mm)
    tip = float(bar.outside_mm.min())
    outside, inside = (np.stack([around, (edge - tip)[turns]], -1) for edge in (bar.outside_mm, bar.inside_mm))
    return outside, inside


def facing(bar: Crossbar, end: str, share: float) -> str:
    """Which way a template's printed side faces: front, rear, top or underneath.

    Parameters
    ----------
    bar : Crossbar
    end : "right end" or "left end"
    share : number, 0..1
        Where on the template, as a share of its width.

    Raises
    ------
    BendError
        The end is neither of the two, or `share` is outside its range.

    Examples
    --------
    >>> from barmath import Order, Tube, recipe_from_order
    >>> from barmath.crossbars import crossbar, facing
    >>> recipe = recipe_from_order(Order(90, 14, 800, None, 60, 170), 105, 30)
    >>> fitted = crossbar(recipe, 22.225, Tube(12.7, 0.889), height_mm=40.0)
    >>> facing(fitted, "right end", 0.0), facing(fitted, "right end", 0.5)
    ('underneath', 'top')
    """
    turn = 2.0 * np.pi * _sense(end) * checked_single("share of the width", share, least=0.0, most=1.0)
    _, forward, up = np.cos(turn) * bar.acute_side + np.sin(turn) * bar.aside
    if abs(forward) >= abs(up):
        return "front" if forward > 0.0 else "rear"
    return "top" if up > 0.0 else "underneath"


def level_and_square(bar: Crossbar) -> tuple[str, ...]:
    """How to check on the bench that the crossbar sits level and square, in four sentences.

    Examples
    --------
    >>> from barmath import Order, Tube, recipe_from_order
    >>> from barmath.crossbars import crossbar, level_and_square
    >>> recipe = recipe_from_order(Order(90, 14, 800, None, 60, 170), 105, 30)
    >>> print(level_and_square(crossbar(recipe, 22.225, Tube(12.7, 0.889)))[2])
    Square: measure from each end of the crossbar to the middle mark of the clamp flat: both lengths must be the same.
    """
    return (
        f"Height: it is {bar.height_mm:.1f} mm on both sides, from the clamp flat's axis to the crossbar's axis. A "
        "rule from the table to each end must read the same.",
        "Level: zero the angle finder on the clamp flat, then lay it on the crossbar: it must show 0.0.",
        "Square: measure from each end of the crossbar to the middle mark of the clamp flat: both lengths must be the "
        "same.",
        "In plane: look from above: clamp flat, risers and crossbar are in one line.",
    )


def _sense(end: str) -> int:
    # whether stations run to the right on the template of an end
    if end not in ENDS:
        raise BendError(unknown("end", end, ENDS))
    return -1 if end == ENDS[0] else 1


def _copes(pieces: tuple[Piece, ...], joint: Joint, branch: Tube, header_diameter_mm: float) -> _Copes:
    header, from_middle = 0.5 * header_diameter_mm, joint.point[0]
    outer = 0.5 * float(branch.outside_diameter_mm)
    inner = outer - float(branch.wall_mm)
    outside, inside, middle = (
        ordinates_on_header_mm(joint, radius, header, pieces, STATIONS_DEG)
        for radius in (outer, inner, 0.5 * (outer + inner))
    )
    axis = ordinates_on_header_mm(joint, 0.0, header, pieces, np.zeros(1))
    if from_middle - outside.max() <= 0.0:
        raise BendError(
            f"crossbar must be longer than its two copes, got {outside.max() - from_middle:.1f} mm too little on "
            "each side: choose a greater height"
        )
    return _Copes(outside, inside, middle, float(axis[0]))


def _edge_mm(joint: Joint, ordinates_mm: Array, branch_radius_mm: float) -> Array:
    return joint.threads_mm(branch_radius_mm, STATIONS_DEG) + ordinates_mm[:, None] * joint.along


def _touches_bend(riser: Piece, edge_mm: Array) -> bool:
    # whether any thread ends beyond the riser's own ends, measured along it
    along = (edge_mm - riser.start) @ riser.tangent
    return bool(along.min() < 0.0 or along.max() > riser.length)


def _saw_cuts(ordinates: Array, radius: float) -> tuple[SawCut, ...]:
    # a flat cut for each half of the tube, which leaves metal all round; one cut if the other would take nothing more
    cosine, ordinates = np.cos(STATIONS_DEG[:-1] * RADIAN), ordinates[:-1]  # the last station is the first one again
    cuts = []
    for half in (cosine >= -1e-9, cosine <= 1e-9):  # stations 90 and 270, where the cosine rounds, are in both halves
        slope, at = np.polyfit(cosine[half], ordinates[half], 1)
        at += float(np.min(ordinates - at - slope * cosine))  # moved until it takes nothing that the cope needs
        cuts.append(SawCut(float(np.arctan2(slope, radius) / RADIAN), float(at + slope), float(at - slope)))
    one, other = cuts
    planes = [0.5 * (c.at_0_mm + c.at_180_mm) + 0.5 * (c.at_0_mm - c.at_180_mm) * cosine for c in cuts]
    if np.all(planes[0] >= planes[1] - _ENOUGH_MM):
        return (one,)
    return (other,) if np.all(planes[1] >= planes[0] - _ENOUGH_MM) else (one, other)
