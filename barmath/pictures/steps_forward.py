"""Pictures of the steps from the recipe to the bar: each draws only what its step uses."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.records import Recipe
from barmath.glossary.sketch import Label, Sketch, Stroke, angle_between, arc, disc, line, measure
from barmath.pictures.step_parts import (
    TUBE_MM,
    UNIT_MM,
    HalfBar,
    StepPicture,
    dot,
    from_above,
    from_front,
    from_side,
    half_of,
    near,
    tube_stroke,
    unit_triangle,
)


def _turn(recipe: Recipe) -> StepPicture:
    riser = half_of(recipe).riser
    sketch = unit_triangle(riser[0], riser[2], ("1 along the riser", "cos a", "sin a"), "a")
    return StepPicture(sketch, "A right-angled triangle: 1 along the riser, cos a to the right, sin a up, angle a.")


def _around_inner(recipe: Recipe) -> tuple[HalfBar, Array, list[Stroke]]:
    half, radius = half_of(recipe), recipe.radius_mm
    start, end = from_front(half.nodes[1]), from_front(half.nodes[2])
    path = from_front(half.path[(half.path[:, 0] >= start[0]) & (half.path[:, 0] <= end[0])])
    tube = np.array([near(start, -45.0, 0.0), start, *path, end, end + 45.0 * from_front(half.riser)])
    return half, np.array(near(start, 0.0, radius)), [tube_stroke(tube)]


def _arc(recipe: Recipe) -> StepPicture:
    half, centre, strokes = _around_inner(recipe)
    start, end = from_front(half.nodes[1]), from_front(half.nodes[2])
    level = np.array([centre[0], end[1]])
    strokes += [
        line([centre, start], "dash"), line([centre, end], "dash"), line([level, end], "dash"),
        *measure(start, level, 5.0), arc(centre, 32.0, -90.0, -90.0 + recipe.inner_bend_deg, "line"),
    ]  # fmt: skip
    labels = (
        Label("centre", near(centre, -26.0, 0.0)), Label("R cos a", near((centre + level) / 2, -26.0, 0.0)),
        Label("R", near((centre + end) / 2, 9.0, 3.0)), Label("up", near((start + level) / 2, -14.0, 0.0)),
        Label("a", near(centre, 11.0, -40.0)), Label("R sin a", near((level + end) / 2, 0.0, 7.0)),
    )  # fmt: skip
    words = "The bend is an arc of radius R. Its centre is R above the start, and R cos a above its end."
    return StepPicture(Sketch(tuple(strokes), labels), words)


def _corner(recipe: Recipe) -> StepPicture:
    half, centre, strokes = _around_inner(recipe)
    start, end, corner = from_front(half.nodes[1]), from_front(half.nodes[2]), from_front(half.corners[0])
    strokes += [
        line([start, centre, end], "dash"), line([centre, corner], "dash"), line([corner, end], "strong"),
        *measure(start, corner, 5.0), arc(centre, 40.0, -90.0, -90.0 + recipe.inner_bend_deg / 2, "line"),
    ]  # fmt: skip
    labels = (
        Label("centre", near(centre, -26.0, 0.0)), Label("R", near((centre + start) / 2, -9.0, -12.0)),
        Label("take-out", near((start + corner) / 2, 0.0, -19.0)), Label("corner", near(corner, 36.0, -10.0)),
        Label("a/2", near(centre, -15.0, -42.0)),
    )  # fmt: skip
    words = "The straight lines of clamp flat and riser meet at the corner. A line to the centre halves the angle a."
    return StepPicture(Sketch(tuple(strokes), labels), words)


def _roll(recipe: Recipe) -> StepPicture:
    phi = recipe.roll_deg
    tip = UNIT_MM * np.array([np.sin(phi * RADIAN), -np.cos(phi * RADIAN)])
    strokes = (
        disc((0, 0), TUBE_MM / 2), *angle_between((0, 0), -90.0, -90.0 + phi, 45.0, 2.2), line([(0, 0), tip], "strong"),
        line([(0, 0), (UNIT_MM, 0)], "dash"), line([(0, tip[1]), tip], "dash"),
    )  # fmt: skip
    labels = (
        Label("riser, end on", (-52.0, 6.0)), Label("back", (UNIT_MM + 18.0, 0.0)),
        Label("undoes the inner bend", (-78.0, -UNIT_MM)), Label("m", near(tip, 12.0, 0.0)),
        Label("φ", (15.0, -56.0)), Label("sin φ", (tip[0] / 2 + 4.0, tip[1] - 9.0)),
    )  # fmt: skip
    words = "You look along the riser. Without roll, m undoes the inner bend. The roll φ turns m toward the back."
    return StepPicture(Sketch(strokes, labels), words)


def _grip(recipe: Recipe) -> StepPicture:
    half = half_of(recipe)
    strokes: list[Stroke] = []
    labels: list[Label] = []
    for view, lift, sign, says in ((from_above, 105.0, -1.0, "backsweep β"), (from_front, -75.0, 1.0, "upsweep υ")):
        shift = np.array([0.0, lift])
        corner, heading = view(half.corners[1]) + shift, view(half.grip)
        turn = float(np.degrees(np.arctan2(heading[1], heading[0])))
        ends = (0.0, turn) if sign > 0 else (turn, 0.0)
        strokes += [tube_stroke(view(half.path) + shift), line([corner, near(corner, 260.0, 0.0)], "dash")]
        strokes.append(arc(corner, 210.0, *ends))
        labels.append(Label(says, near(corner, 150.0, 16.0 if sign < 0 else -14.0)))
    labels += [Label("from above", (60.0, 78.0)), Label("from the front", (60.0, -105.0))]
    words = "The half bar from above with its backsweep, and from the front with its upsweep."
    return StepPicture(Sketch(tuple(strokes), tuple(labels)), words)


def _legs(recipe: Recipe) -> StepPicture:
    half = half_of(recipe)
    inner, outer, end = (from_front(point) for point in (*half.corners, half.nodes[-1]))
    strokes = (
        tube_stroke(from_front(half.path)), line([(0, 0), inner, outer, end], "strong"),
        line([inner, (end[0] + 70.0, 0)], "dash"),
        line([outer, (end[0] + 70.0, outer[1])], "dash"), dot(inner), dot(outer),
        *measure((end[0] + 22.0, 0.0), (end[0] + 22.0, end[1]), 5.0),
    )  # fmt: skip
    labels = (
        Label("ℓ₁", near((inner + outer) / 2, -14.0, 12.0)), Label("ℓ₂", near((outer + end) / 2, 0.0, 20.0)),
        Label("corner", near(inner, 22.0, -14.0)), Label("corner", near(outer, -10.0, 22.0)),
        Label("rise", (end[0] + 48.0, end[1] / 2)),
    )  # fmt: skip
    words = "The half bar from the front. Straight legs lead from the middle to both corners and to the bar end."
    return StepPicture(Sketch(strokes, labels), words)


def _stem(recipe: Recipe) -> StepPicture:
    half = half_of(recipe)
    psi = np.arctan2(half.grip[2], half.grip[1])
    turn = np.array([[np.cos(psi), np.sin(psi)], [-np.sin(psi), np.cos(psi)]])
    upright, level = from_side(half.path), from_side(half.path) @ turn.T
    ends = upright[-1], level[-1]
    strokes = (
        tube_stroke(upright), line(level, "line"), line([(-40, 0), (110, 0)], "dash"), dot(np.zeros(2), TUBE_MM / 2),
        *measure((-32.0, 0.0), (-32.0, ends[0][1]), 4.0), line([(-38.0, ends[0][1]), ends[0]], "dash"),
        *measure((100.0, 0.0), (100.0, ends[1][1]), 4.0), line([ends[1], (106.0, ends[1][1])], "dash"),
    )  # fmt: skip
    labels = (
        Label("risers upright", (-72.0, ends[0][1] / 2)), Label("grips level", (133.0, ends[1][1] / 2)),
        Label("clamp axis", (0.0, -22.0)), Label("back →", (75.0, -10.0)),
    )  # fmt: skip
    words = "The bar from the side, risers upright and turned back until the grips are level: then it is lower."
    return StepPicture(Sketch(strokes, labels), words)


def _finder(recipe: Recipe) -> StepPicture:
    half = half_of(recipe)
    back = np.array([0.0, 1.0, 0.0])
    undoing = (half.toward - np.sin(recipe.roll_deg * RADIAN) * back) / np.cos(recipe.roll_deg * RADIAN)
    up = np.sin(recipe.roll_deg * RADIAN) * undoing - np.cos(recipe.roll_deg * RADIAN) * back
    seen = np.column_stack([(half.path - half.nodes[2]) @ half.toward, (half.path - half.nodes[2]) @ up])
    middle = seen[0]
    strokes = (
        tube_stroke(seen), line([(middle[0] - 15.0, 0), (0, 0)], "dash"), *measure(middle, (middle[0], 0.0), 3.0),
        arc((0, 0), 26.0, 180.0, 180.0 + recipe.roll_deg),
    )  # fmt: skip
    labels = (
        Label("clamp flat", (middle[0] + 4.0, middle[1] - 19.0)), Label("φ", (-32.0, -8.0)),
        Label("sin a sin φ", (middle[0] - 36.0, middle[1] / 2)), Label("riser, end on", (8.0, 19.0)),
        Label("grip, level", (seen[-1, 0] * 0.7, -18.0)),
    )  # fmt: skip
    words = "In the bender, seen along the riser: the grip is level, and the clamp flat hangs below it by the roll."
    return StepPicture(Sketch(strokes, labels), words)


def _bar(recipe: Recipe) -> StepPicture:
    half = half_of(recipe)
    front = [from_front(point) for point in half.nodes]
    middles = [(one + two) / 2 for one, two in pairwise(front)]
    strokes = (tube_stroke(from_front(half.path)), *(dot(point) for point in front))
    shifts = ((0.0, -24.0), (10.0, -20.0), (16.0, -16.0), (-4.0, 22.0), (0.0, -24.0))
    names = ("c", "bend a", "s", "bend b", "g")
    labels = tuple(Label(name, near(at, *by)) for name, at, by in zip(names, middles, shifts, strict=True))
    words = (
        "Half a bar from the front, its parts in a row: half the clamp flat, inner bend, straight, outer bend, grip."
    )
    return StepPicture(Sketch(strokes, labels), words)


FORWARD = {
    "bar": _bar,
    "turn": _turn, "arc": _arc, "corner": _corner, "roll": _roll, "grip": _grip, "legs": _legs, "stem": _stem,
    "finder": _finder,
}  # fmt: skip
