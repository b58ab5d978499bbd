"""The bar in the bender, drawn small: from above, and square to the flat that the angle finder is on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from matplotlib.patches import Patch
from numpy.typing import ArrayLike

from barmath.arrays import Array
from barmath.bending.holds import Pose
from barmath.paper.page import INK, RULE, SOFT, Page

HOOK_MM = (-64.0, -10.0)
FOLLOWER_MM = (8.0, 72.0)
"""Where hook and follower are drawn along the tube from the tangent point: plain shapes, no measured tooling."""

FLAT_SCALE = 0.14
"""Scale of the picture square to the flat, mm on paper per mm on the bench."""

_MARGIN_MM = 4.0
_LEVEL, _PLUMB = np.array([1.0, 0.0]), np.array([0.0, 1.0])


class Field(NamedTuple):
    """A picture's place on the page in mm, its scale, and the bench's point in its middle (y upward, mm)."""

    x: float
    y: float
    width: float
    height: float
    scale: float = 1.0
    centre: tuple[float, float] = (0.0, 0.0)

    def on_page(self, points: ArrayLike) -> Array:
        """Points (..., 2) of the bench as places on the page."""
        offset = (np.asarray(points, float) - self.centre) * self.scale
        return np.stack([self.x + self.width / 2.0 + offset[..., 0], self.y + self.height / 2.0 - offset[..., 1]], -1)


def to_one_scale(fields: Sequence[Field], poses: Sequence[Pose], die_radius_mm: float) -> list[Field]:
    """The fields of the pictures from above, with one scale for all, each on the middle of its picture."""
    seen = [_seen_from_above(pose, die_radius_mm) for pose in poses]
    low, high = np.array([points.min(0) for points in seen]), np.array([points.max(0) for points in seen])
    room = np.array([[field.width, field.height] for field in fields]) - 2.0 * _MARGIN_MM
    scale = float(np.min(room / (high - low)))
    centres = (low + high) / 2.0
    return [
        field._replace(scale=scale, centre=(float(x), float(y))) for field, (x, y) in zip(fields, centres, strict=True)
    ]


def draw_from_above(
    page: Page, field: Field, pose: Pose, die_radius_mm: float, tube_diameter_mm: float, *, named: bool = False
) -> None:
    """The bar from above: before the bend solid, after it dashed, with die, hook and follower, `named` in words."""
    side, reach = _die_side(pose), 0.5 * tube_diameter_mm
    centre = field.on_page([0.0, side * die_radius_mm])
    page.circle((centre[0], centre[1]), die_radius_mm * field.scale, edge=0.2, fill="0.9")
    page.text(centre[0], centre[1] + 0.7, "die", 5.2, align="center", colour=SOFT)
    page.line(field.on_page(pose.after_mm[pose.free, :2]), 0.45, dash=(1.3, 0.9))
    _tube(page, field, pose.before_mm[:, :2], tube_diameter_mm)
    _block(page, field, HOOK_MM, (-1.5 * reach, 1.5 * reach), "0.3")
    _block(page, field, FOLLOWER_MM, (-side * reach, -side * 3.6 * reach), "0.6")
    page.line(field.on_page([[0.0, -2.6 * reach], [0.0, 2.6 * reach]]), 0.35)
    if named:
        below = field.on_page([[HOOK_MM[0], -side * 6.0 * reach], [FOLLOWER_MM[1], -side * 6.0 * reach]])
        page.text(below[0, 0], below[0, 1] + 0.7, "hook", 5.2, align="right", colour=SOFT)
        page.text(below[1, 0], below[1, 1] + 0.7, "follower", 5.2, colour=SOFT)
    start, end = field.on_page(pose.before_mm[pose.free[-1], :2]), field.on_page(pose.after_mm[pose.free[-1], :2])
    page.arrow(tuple(start), tuple(end), bow=-0.2 * side)
    for place, letter in ((0, "L"), (-1, "R")):
        _end_letter(page, field, pose.before_mm[:, :2], place, letter)


def draw_flat(page: Page, field: Field, pose: Pose, flat: str, tube_diameter_mm: float) -> None:
    """The bar seen level and square to `flat`, so that its slope is true, the bender to the right."""
    frame = page.box(field.x, field.y, field.width, field.height, edge=0.15, colour=RULE)
    left, right = pose.ends(flat)
    near, far = (left, right) if abs(pose.free[0] - left) < abs(pose.free[0] - right) else (right, left)
    run = (pose.before_mm[near] - pose.before_mm[far])[:2]
    along = run / np.linalg.norm(run)
    seen = np.stack([pose.before_mm[:, :2] @ along, pose.before_mm[:, 2]], -1)
    middle = (seen[near] + seen[far]) / 2.0
    here = field._replace(scale=FLAT_SCALE, centre=(float(middle[0]), float(middle[1]) + 18.0))
    _tube(page, here, seen, tube_diameter_mm, clip=frame)
    page.line(here.on_page([middle - 150.0 * _LEVEL, middle + 150.0 * _LEVEL]), 0.15, dash=(0.9, 0.7), clip=frame)
    _angle_finder(page, here, seen[far], seen[near], tube_diameter_mm)


def _seen_from_above(pose: Pose, die_radius_mm: float) -> Array:
    centre = np.array([0.0, _die_side(pose) * die_radius_mm])
    die = centre + die_radius_mm * np.array([[-1.0, -1.0], [1.0, 1.0]])
    return np.concatenate([pose.before_mm[:, :2], pose.after_mm[:, :2], die])


def _die_side(pose: Pose) -> float:
    return 1.0 if pose.turns == "left" else -1.0


def _tube(page: Page, field: Field, points: Array, diameter: float, clip: Patch | None = None) -> None:
    # a thick dark line and a lighter one on it: the outline of the tube
    line, thick = field.on_page(points), diameter * field.scale
    page.line(line, thick, colour=INK, clip=clip)
    page.line(line, max(thick - 0.4, 0.4 * thick), colour="0.8", clip=clip)


def _block(page: Page, field: Field, x: tuple[float, float], y: tuple[float, float], fill: str) -> None:
    corners = [(x[0], y[0]), (x[1], y[0]), (x[1], y[1]), (x[0], y[1])]
    page.shape(field.on_page(corners), edge=0.15, fill=fill)


def _end_letter(page: Page, field: Field, points: Array, place: int, letter: str) -> None:
    end, inward = field.on_page(points[place]), field.on_page(points[1 if place == 0 else -2])
    onward = (end - inward) / np.linalg.norm(end - inward)
    x, y = end + 2.2 * onward
    page.text(x, y + 1.1, letter, 8.0, bold=True, align="center")


def _angle_finder(page: Page, field: Field, far: Array, near: Array, diameter: float) -> None:
    # a round dial on the flat; its pointer hangs plumb, its foot is along the tube
    run = (near - far) / np.linalg.norm(near - far)
    upright = np.array([-run[1], run[0]])
    dial, radius = (near + far) / 2.0 + upright * (0.5 * diameter + 32.0), 26.0
    foot = dial - upright * 32.0
    page.shape(
        field.on_page(
            [foot - 30.0 * run, foot + 30.0 * run, foot + 30.0 * run + 8.0 * upright, foot - 30.0 * run + 8.0 * upright]
        ),
        edge=0.2,
        fill="white",
    )
    centre = field.on_page(dial)
    page.circle((centre[0], centre[1]), radius * field.scale, edge=0.25, fill="white")
    for tick in np.arange(0.0, 360.0, 30.0):
        spoke = np.cos(np.radians(tick)) * upright + np.sin(np.radians(tick)) * run
        page.line(field.on_page([dial + 21.0 * spoke, dial + 25.0 * spoke]), 0.12)
    page.line(field.on_page([dial - 20.0 * _PLUMB, dial + 20.0 * _PLUMB]), 0.35)
