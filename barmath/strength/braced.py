"""What a crossbar carries: bar and crossbar as a frame, solved by a well-kept library of finite elements (Pynite).

Without a crossbar a bar is a cantilever, and statics alone say what every section carries. A crossbar brazed to both
risers adds six unknowns; the frame gives them, and statics do the rest.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from Pynite import FEModel3D

from barmath.arrays import Array
from barmath.refusal import BendError
from barmath.shop.stock import Material, Tube
from barmath.strength.bent_section import Section

POISSON = 0.29
"""Poisson's ratio of steel, from memory; it only shares the load between bending and twisting."""

_AXES = ("FX", "FY", "FZ", "MX", "MY", "MZ")


class Chain(NamedTuple):
    """One side of a bar as straight pieces: points (k, 3) in mm from the stem's edge, where it is clamped, to the load;
    `bent` (k - 1,) says which pieces are parts of a bend; the crossbar's axis meets it at point number `joint`; `load`
    (6,) is the force in N and the couple in N mm on its last point.
    """

    points: Array
    bent: NDArray[np.bool_]
    joint: int
    load: Array


def crossbar_on_risers(right: Chain, left: Chain, tube: Tube, bend: Section, branch: Tube) -> tuple[Array, Array]:
    """What a crossbar of `branch` tube, brazed to both risers, puts on the right and on the left one.

    A piece of a bend is as stiff as the mean of its section's two second moments. The crossbar reaches from axis to
    axis, and its joints do not give.

    Returns
    -------
    right, left : array (6,)
        Force in N and couple in N mm on each side's joint, in the frame of the points.

    Raises
    ------
    BendError
        The frame's stiffnesses are further apart than the library's floats can hold.
    """
    frame = FEModel3D()
    _add_sections(frame, tube, bend, branch)
    for side, chain in (("right", right), ("left", left)):
        _add_side(frame, side, chain)
    frame.add_member("crossbar", f"right {right.joint}", f"left {left.joint}", "branch", "branch")
    try:
        frame.analyze_linear()
    except Exception as fault:  # the library has no kind of its own for it
        if "singular" not in str(fault):
            raise
        raise BendError(
            "bar and crossbar must be a frame that can be solved, got lengths too different for that: "
            "choose straights that are more alike in length"
        ) from None
    # what the bar feels is the opposite of what the crossbar does
    ends = -np.asarray(
        frame.members["crossbar"].F(), dtype=np.float64
    ).ravel()  # on the bar: less those on the crossbar
    return ends[:6], ends[6:]


def _add_sections(frame: FEModel3D, tube: Tube, bend: Section, branch: Tube) -> None:
    for name, material in (("bar", tube.material), ("branch", branch.material)):
        _add_material(frame, name, material)
    second = 0.5 * (bend.second_moment_in_mm4 + bend.second_moment_out_mm4)
    for name, area, moment in (
        ("straight", tube.area_mm2, tube.second_moment_mm4),
        ("bend", bend.area_mm2, second),
        ("branch", branch.area_mm2, branch.second_moment_mm4),
    ):
        # a round section: its polar second moment is twice that of bending
        frame.add_section(name, float(area), float(moment), float(moment), 2.0 * float(moment))


def _add_side(frame: FEModel3D, side: str, chain: Chain) -> None:
    for k, point in enumerate(chain.points):
        frame.add_node(f"{side} {k}", *map(float, point))
    for k, bent in enumerate(chain.bent):
        frame.add_member(f"{side} {k}", f"{side} {k}", f"{side} {k + 1}", "bar", "bend" if bent else "straight")
    frame.def_support(f"{side} 0", *[True] * 6)
    for axis, load in zip(_AXES, chain.load, strict=True):
        frame.add_node_load(f"{side} {len(chain.bent)}", axis, float(load))


def _add_material(frame: FEModel3D, name: str, material: Material) -> None:
    modulus = float(material.elastic_modulus_mpa)
    frame.add_material(name, modulus, modulus / (2.0 * (1.0 + POISSON)), POISSON, 0.0)
