"""Pictures of the steps from the order to the recipe: each draws only what its step uses."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import least_bend_deg
from barmath.closed_forms.records import Order, Recipe
from barmath.glossary.sketch import Label, Sketch, Stroke, arc, line, measure
from barmath.pictures.step_parts import (
    UNIT_MM,
    StepPicture,
    dot,
    from_front,
    half_of,
    near,
    tube_stroke,
    unit_triangle,
)


def _waves(bends: Array, sweep_deg: float) -> tuple[Array, list[Array]]:
    """Over the roll: A sin φ - B cos φ, in units of C, for each pair of bends."""
    rolls, slope = np.linspace(0.0, 180.0, 181), np.tan(sweep_deg * RADIAN)
    curves = []
    for inner, outer in np.asarray(bends) * RADIAN:
        wanted = slope * np.cos(inner) * np.cos(outer)
        legs = np.sin(outer), slope * np.sin(inner) * np.sin(outer)
        curves.append((legs[0] * np.sin(rolls * RADIAN) - legs[1] * np.cos(rolls * RADIAN)) / wanted)
    return rolls, curves


def _graph(rolls: Array, curves: list[Array], high: float) -> tuple[list[Stroke], float]:
    # one unit of the roll is a degree; the whole height is 90 units
    scale = 90.0 / high
    strokes = [line([(0, 0), (180, 0)]), line([(0, 0), (0, high * scale)]), line([(0, scale), (180, scale)], "dash")]
    strokes += [line(np.column_stack([rolls, scale * curve])[curve >= -0.1], "strong") for curve in curves]
    return strokes, scale


def _asked(recipe: Recipe) -> StepPicture:
    bends = np.array([[recipe.inner_bend_deg, recipe.outer_bend_deg]])
    rolls, curves = _waves(bends, float(shape_from_recipe(recipe).backsweep_deg))
    strokes, scale = _graph(rolls, curves, 3.0)
    meets = np.flatnonzero(np.diff(np.sign(curves[0] - 1.0)))
    strokes += [dot(np.array([rolls[at], scale]), 2.5) for at in meets]
    labels = (
        Label("A sin φ − B cos φ", (90.0, scale * float(curves[0].max()) + 7.0)), Label("C", (187.0, scale)),
        Label("0°", (0.0, -8.0)), Label("90°", (90.0, -8.0)), Label("180° of roll", (178.0, -8.0)),
    )  # fmt: skip
    words = "Over the roll the left side climbs, and comes down again. It meets the line C at two rolls."
    return StepPicture(Sketch(tuple(strokes), labels), words)


def _solve(recipe: Recipe) -> StepPicture:
    a, b = recipe.inner_bend_deg * RADIAN, recipe.outer_bend_deg * RADIAN
    first, second = np.sin(b), np.tan(float(shape_from_recipe(recipe).backsweep_deg) * RADIAN) * np.sin(a) * np.sin(b)
    sketch = unit_triangle(first, second, ("H", "A", "B"), "")
    return StepPicture(
        Sketch(sketch.strokes, (*sketch.labels[:3], Label("δ", (33.0, 2.0)))),
        "A right-angled triangle with the legs A and B, the long side H, and the angle δ between A and H.",
    )


def _other(recipe: Recipe) -> StepPicture:
    sweep = float(shape_from_recipe(recipe).backsweep_deg)
    lean = float(np.degrees(np.arctan(np.tan(sweep * RADIAN) * np.sin(recipe.inner_bend_deg * RADIAN))))
    other = replace(recipe, roll_deg=180.0 - recipe.roll_deg + 2.0 * lean)
    one, two = from_front(half_of(recipe).path), from_front(half_of(other).path)
    labels = (
        Label(f"roll {recipe.roll_deg:.0f}°", near(one[-1], -40.0, -24.0)),
        Label(f"roll {other.roll_deg:.0f}°", near(two[-1], 42.0, 0.0)),
    )
    words = "Both bars from the front. The grip of the larger roll points steeply up."
    return StepPicture(Sketch((tube_stroke(one), tube_stroke(two)), labels), words)


def _least(recipe: Recipe) -> StepPicture:
    sweep = float(shape_from_recipe(recipe).backsweep_deg)
    least = float(least_bend_deg(Order(90.0, sweep, 800.0)))
    rolls, curves = _waves(np.array([[bend, bend] for bend in (20.0, least, least - 2.5)]), sweep)
    strokes, scale = _graph(rolls, curves, 1.7)
    names = ("20°", "least bend", "too small")
    tops = [scale * float(curve.max()) for curve in curves]
    labels = [
        Label(name, (95.0, top + (6.0 if top > scale - 1.0 else -7.0))) for name, top in zip(names, tops, strict=True)
    ]
    labels += [Label("C", (187.0, scale)), Label("roll", (172.0, -8.0))]
    words = "The left side over the roll for three bends. The least bend only touches the line C, at its top."
    return StepPicture(Sketch(tuple(strokes), tuple(labels)), words)


def _lengths(recipe: Recipe) -> StepPicture:
    half = half_of(recipe)
    inner, outer, end = (from_front(point) for point in (*half.corners, half.nodes[-1]))
    strokes = (
        line([inner, inner + 1.5 * (outer - inner)], "dash"), line([end, end + 1.4 * (outer - end)], "dash"),
        line([inner, outer], "strong"), line([outer, end], "strong"), dot(inner), dot(outer), dot(end),
        *measure((inner[0], -18.0), (end[0], -18.0), 4.0), *measure((end[0] + 16.0, 0.0), (end[0] + 16.0, end[1]), 4.0),
        line([inner, (end[0] + 60.0, 0)], "dash"),
    )  # fmt: skip
    labels = (
        Label("ℓ₁", near((inner + outer) / 2, -12.0, 6.0)), Label("ℓ₂", near((outer + end) / 2, 0.0, -10.0)),
        Label("across", ((inner[0] + end[0]) / 2, -28.0)), Label("rise", (end[0] + 42.0, end[1] / 2)),
        Label("corner", near(outer, 26.0, -12.0)),
    )  # fmt: skip
    words = "From the front: the line of the riser and the line of the grip cross at the outer corner."
    return StepPicture(Sketch(strokes, labels), words)


def _upsweep(recipe: Recipe) -> StepPicture:
    bent, shape = half_of(replace(recipe, stem_roll_deg=0.0)).grip, shape_from_recipe(recipe)
    wanted = np.tan(np.array([shape.backsweep_deg, shape.upsweep_deg]) * RADIAN)
    tips = [3.0 * UNIT_MM * np.array(pair) for pair in (bent[1:], wanted * bent[0])]
    turns = [float(np.degrees(np.arctan2(tip[1], tip[0]))) for tip in tips]
    strokes = (
        line([(0, 0), (100, 0)], "dash"), line([(0, 0), (0, 50)], "dash"), line([(0, 0), tips[0]]),
        line([(0, 0), tips[1]], "strong"), arc((0, 0), 60.0, min(turns), max(turns), "line"), dot(np.zeros(2), 3.0),
    )  # fmt: skip
    labels = (
        Label("back", (108.0, 0.0)), Label("up", (0.0, 56.0)), Label("as bent", near(tips[0], 15.0, -3.0)),
        Label("as ordered", near(tips[1], 2.0, 6.0)), Label("ψ", near(np.mean(tips, axis=0) * 0.55, 14.0, 0.0)),
        Label("clamp axis, end on", (12.0, -7.0)),
    )  # fmt: skip
    words = "Seen along the clamp axis: the stem roll ψ turns the grip from where it was bent to where it is wanted."
    return StepPicture(Sketch(strokes, labels), words)


def _habit(recipe: Recipe) -> StepPicture:
    strokes: list[Stroke] = []
    labels: list[Label] = []
    low, roll = 0.0, recipe.roll_deg * RADIAN
    for bend, name, side in ((recipe.inner_bend_deg, "a", "finder"), (recipe.outer_bend_deg, "b", "grip's part back")):
        tip = 2.0 * UNIT_MM * np.sin(bend * RADIAN) * np.array([np.cos(roll), np.sin(roll)])
        at = np.array([0.0, low])
        foot = np.array(near(at, tip[0], 0.0))
        strokes += [line([at, at + tip]), line([at, foot], "dash"), *measure(foot, at + tip, 3.0)]
        strokes.append(arc(at, 25.0, 0.0, recipe.roll_deg, "line"))
        labels += [Label(f"sin {name}", near(at + tip / 2, -10.0, 8.0)), Label("φ", near(at, 33.0, 8.0))]
        labels.append(Label(side, near(foot, 48.0, tip[1] / 2)))
        low -= 1.25 * tip[1] + 12.0
    words = "Two right-angled triangles with the same angle φ. The long sides are sin a and sin b."
    return StepPicture(Sketch(tuple(strokes), tuple(labels)), words)


BACKWARD = {
    "asked": _asked, "solve": _solve, "other": _other, "least": _least, "lengths": _lengths, "upsweep": _upsweep,
    "habit": _habit,
}  # fmt: skip
