"""The derived forms with one bar's numbers put in: values, and points along its centre line."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
import sympy as sp
from numpy.typing import NDArray

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.derivation import forward, inverse
from barmath.derivation.steps import (
    R,
    Step,
    a,
    b,
    beta,
    c,
    cut_length,
    g,
    gamma,
    half_width,
    kappa,
    numeric,
    phi,
    psi,
    rise,
    s,
    setback,
    upsilon,
)
from barmath.space.centerline import bar_points

Points = NDArray[np.float64]
"""Shape (n, 3): right, back, up in mm."""

_FORWARD_TO_BACK = np.array([1.0, -1.0, 1.0])
# from the bar's frame, y forward, to (right, back, up)


@dataclass(frozen=True)
class WorkedBar:
    """One bar, by its recipe of plain numbers, to put into any derived form."""

    recipe: Recipe

    @cached_property
    def numbers(self) -> dict[sp.Symbol, float]:
        """What each symbol is for this bar, radians and mm: the recipe, what the shipped functions measure on the bar,
        and the direction of its grip.
        """
        recipe, shape = self.recipe, shape_from_recipe(self.recipe)
        sweeps = shape.backsweep_deg * RADIAN, shape.upsweep_deg * RADIAN
        direction = np.array([1.0, np.tan(sweeps[0]), np.tan(sweeps[1])])
        direction /= np.linalg.norm(direction)
        return {
            a: recipe.inner_bend_deg * RADIAN,
            b: recipe.outer_bend_deg * RADIAN,
            phi: recipe.roll_deg * RADIAN,
            psi: recipe.stem_roll_deg * RADIAN,
            c: recipe.clamp_flat_mm / 2,
            s: recipe.straight_mm,
            g: recipe.grip_mm,
            R: recipe.radius_mm,
            beta: sweeps[0],
            upsilon: sweeps[1],
            gamma: np.arccos(direction[0]),
            kappa: clamp_reading_deg(recipe) * RADIAN,
            rise: shape.rise_mm,
            setback: shape.setback_mm,
            cut_length: shape.cut_length_mm,
            half_width: shape.width_mm / 2,
            inverse.T: np.tan(sweeps[0]),
            **dict(zip(inverse.ORDERED, direction, strict=True)),
        }

    def value(self, form: Step | sp.Basic) -> float | NDArray[np.float64]:
        """The number of a form, or of a step's right side; three numbers for a vector. Radians and mm."""
        expression = form.right if isinstance(form, Step) else form
        if isinstance(expression, sp.MatrixBase):
            return np.array([self.value(component) for component in expression])
        return numeric(expression, *self.numbers)(*self.numbers.values())

    def degrees(self, angle: Step | sp.Basic) -> float:
        """The number of a form that is an angle, in degrees."""
        return float(self.value(angle) / RADIAN)

    def centre_line(self, stations: int = 33) -> list[Points]:
        """The half bar as straight, bend, straight, bend, straight, from the middle outward. The points come from
        `barmath.space.centerline`, not from the derivation, so that a test holds one against the other.
        """
        marks = marks_from_recipe(self.recipe)
        ends = (0.0, marks.inner_start_mm, marks.inner_end_mm, marks.outer_start_mm, marks.outer_end_mm, marks.end_mm)
        pieces = (marks.end_mm + np.linspace(start, end, stations) for start, end in pairwise(ends))
        return [bar_points(self.recipe, along)[0] * _FORWARD_TO_BACK for along in pieces]

    def corners(self) -> Points:
        """Middle, both corners and bar end: the half bar as a polygon, shape (4, 3)."""
        return np.array([np.zeros(3), *(self.value(point) for point in forward.corner_points())])

    def seen_on_the_bench(self, points: Points) -> Points:
        """Points of the finished half bar in the bender for the outer bend, shape (n, 3): from the riser
        toward where the bend pushes, along the riser, up at the bender.
        """
        axes = (forward.outer_toward(), forward.riser_direction(), forward.bench_vertical())
        riser = self.value(forward.tangent_points()[1])
        return (points - riser) @ np.transpose([self.value(axis) for axis in axes])
