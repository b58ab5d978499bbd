"""What a slip at the bench does to the bar, in closed form.

The pencil marks, which are the two ends of the riser, and the cut tube keep their places. An arc then grows away from
the hook. The two sides of a bend turn against each other about the end of its arc away from the hook. A wheel turns
alike about the point where it touches the ground. So a slip of an angle turns everything beyond it about a line:

    inner bend    about the start of its arc, on the clamp axis, because the riser outboard of it is in the hook
    outer bend    about the end of its arc, because the riser inboard of it is in the hook
    roll          about the riser
    stem roll     about the clamp axis

so that the bar end moves by its distance from that line times the slip in radians. A slip of a mark lengthens one
straight and shortens the next: the bar end moves along the difference of their directions.

`barmath.derivation.sensitivity` derives each with SymPy by plain differentiation, another way round.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.forward import half_tangent, shape_from_recipe
from barmath.closed_forms.headings import arc, leaned, quarter_turned, turned
from barmath.closed_forms.records import Recipe
from barmath.refusal import Number

INNER_BEND, OUTER_BEND, ROLL, STEM_ROLL = "inner bend", "outer bend", "roll", "stem roll"
STRAIGHT, INNER_MARK, OUTER_MARK, TUBE_END, RADIUS = "straight", "inner mark", "outer mark", "tube end", "radius"

ANGLE_SLIPS = (INNER_BEND, OUTER_BEND, ROLL, STEM_ROLL)
"""Slips in degrees."""

LENGTH_SLIPS = (STRAIGHT, INNER_MARK, OUTER_MARK, TUBE_END, RADIUS)
"""Slips in mm: a longer straight with all beyond it, a mark or the tube's end further out, a larger radius."""


class Sensitivity(NamedTuple):
    """What one unit of a slip (a degree or a mm) adds to each measure of the side that slipped."""

    rise_mm: Number
    setback_mm: Number
    half_width_mm: Number
    backsweep_deg: Number
    upsweep_deg: Number
    clamp_reading_deg: Number


class _Bar(NamedTuple):
    """A recipe in the letters of the formulas, in radians and mm, each with a last axis of one: so it scales vectors.

    Then its unit vectors (right, back, up) with the risers upright, the components on the last axis. The outer bend
    turns the heading from d1 toward `toward`; behind it the heading is d2 and the turn goes toward `beyond`. A roll
    carries `toward` toward `aside`.
    """

    c: Array
    a: Array
    s: Array
    b: Array
    g: Array
    R: Array
    psi: Array
    d1: Array
    toward: Array
    aside: Array
    d2: Array
    beyond: Array


_RIGHT, _BACK, _UP = np.eye(3)


def sensitivities_from_recipe(recipe: Recipe) -> dict[str, Sensitivity]:
    """Change of each measure per degree or mm of each slip, all others zero.

    With e the bar end, c half the clamp flat, d1 and d2 the directions of riser and grip, and the risers upright:

        inner bend    rise per radian = e_right - c,  half width per radian = -e_up
        outer bend    the bar end moves by g, square to the grip, in the plane of the bend
        roll          it moves by R (1 - cos b) + g sin b, its distance from the riser's line
        stem roll     rise per radian = -setback,  setback per radian = rise
        lengths       it moves along d1 (straight), x - d1 (inner mark), d1 - d2 (outer mark), d2 (tube end)

    Parameters
    ----------
    recipe : Recipe
        Numbers or arrays; arrays broadcast.

    Returns
    -------
    dict
        By the names in `ANGLE_SLIPS` and `LENGTH_SLIPS`.

    Raises
    ------
    BendError
        The bar has no shape: see `shape_from_recipe`.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.closed_forms import sensitivities_from_recipe
    >>> slopes = sensitivities_from_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> print(f"{slopes['inner bend'].rise_mm:.1f} mm of rise for each degree")
    6.5 mm of rise for each degree
    """
    shape = np.shape(shape_from_recipe(recipe).rise_mm)  # refuses a bar that has no sweep
    bar, reading = _bar(recipe), _reading_slopes(recipe)
    turns, shifts = _turns(bar), _shifts(bar)
    slips = [(*turns[slip], reading.get(slip, 0.0), RADIAN) for slip in ANGLE_SLIPS]
    slips += [(shifts[slip], np.zeros(3), 0.0, 1.0) for slip in LENGTH_SLIPS]
    shapes = (*shape, 3), (*shape, 3), shape, shape
    columns = zip(zip(*slips, strict=True), shapes, strict=True)
    parts = (np.stack([np.broadcast_to(of, wide) for of in each]) for each, wide in columns)
    slopes = zip((*ANGLE_SLIPS, *LENGTH_SLIPS), *_measured(bar, *parts), strict=True)
    return {slip: Sensitivity(*(of.copy() if shape else float(of) for of in each)) for slip, *each in slopes}


def _bar(recipe: Recipe) -> _Bar:
    def scaling(number: Number) -> Array:
        return np.asarray(number, dtype=np.float64)[..., None]

    a, b, phi = (RADIAN * scaling(x) for x in (recipe.inner_bend_deg, recipe.outer_bend_deg, recipe.roll_deg))
    d1, square = turned(_RIGHT, _UP, a)
    toward, aside = turned(-square, _BACK, phi)  # at roll 0 the outer bend undoes the inner one
    return _Bar(
        0.5 * scaling(recipe.clamp_flat_mm), a, scaling(recipe.straight_mm), b, scaling(recipe.grip_mm),
        scaling(recipe.radius_mm), RADIAN * scaling(recipe.stem_roll_deg),
        d1, toward, aside, *turned(d1, toward, b),
    )  # fmt: skip


def _turns(bar: _Bar) -> dict[str, tuple[Array, Array]]:
    # where the bar end and the heading of the grip go, per radian
    from_flat = bar.R * (arc(_RIGHT, _UP, bar.a) + arc(bar.d1, bar.toward, bar.b)) + bar.s * bar.d1 + bar.g * bar.d2
    end = bar.c * _RIGHT + from_flat
    off_riser = bar.R * (1.0 - np.cos(bar.b)) + bar.g * np.sin(bar.b)
    return {
        INNER_BEND: (quarter_turned(from_flat, _RIGHT, _UP), quarter_turned(bar.d2, _RIGHT, _UP)),
        OUTER_BEND: (bar.g * bar.beyond, bar.beyond),
        ROLL: (off_riser * bar.aside, np.sin(bar.b) * bar.aside),
        STEM_ROLL: (quarter_turned(end, _UP, _BACK), quarter_turned(bar.d2, _UP, _BACK)),
    }


def _shifts(bar: _Bar) -> dict[str, Array]:
    # where the bar end goes, per mm
    wound_a = arc(_RIGHT, _UP, bar.a) - bar.a * _RIGHT  # a larger radius winds up more of the straight it grows into
    wound_b = arc(bar.d1, bar.toward, bar.b) - bar.b * bar.d2
    return {
        STRAIGHT: bar.d1,
        INNER_MARK: _RIGHT - bar.d1,
        OUTER_MARK: bar.d1 - bar.d2,
        TUBE_END: bar.d2,
        RADIUS: wound_a + wound_b,
    }


def _reading_slopes(recipe: Recipe) -> dict[str, Number]:
    # sin kappa = sin a sin phi, differentiated; at kappa = 90 degrees the grip is square, which is refused before
    (_, sin_a, cos_a), (_, sin_phi, cos_phi) = (
        half_tangent(np.multiply(angle, RADIAN)) for angle in (recipe.inner_bend_deg, recipe.roll_deg)
    )
    sine = sin_a * sin_phi
    cosine = np.sqrt(1.0 - sine * sine)
    return {INNER_BEND: cos_a * sin_phi / cosine, ROLL: sin_a * cos_phi / cosine}


def _measured(bar: _Bar, end_moves: Array, grip_turns: Array, reading: Array, unit: Array) -> tuple[Array, ...]:
    # of every slip along the first axis
    right, back, up = np.moveaxis(leaned(bar.d2, bar.psi), -1, 0)
    d_right, d_back, d_up = np.moveaxis(leaned(grip_turns, bar.psi), -1, 0)
    moved_right, moved_back, moved_up = np.moveaxis(leaned(end_moves, bar.psi), -1, 0)
    return (
        unit * moved_up,
        unit * moved_back,
        unit * moved_right,
        (right * d_back - back * d_right) / (right * right + back * back),
        (right * d_up - up * d_right) / (right * right + up * up),
        reading,
    )
