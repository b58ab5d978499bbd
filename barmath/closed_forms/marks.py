"""Where the pencil lines go on the straight tube."""

from __future__ import annotations

from dataclasses import dataclass

from barmath.arrays import RADIAN
from barmath.closed_forms.records import Recipe
from barmath.refusal import Number


@dataclass(frozen=True)
class Marks:
    """Tangent points of the right half along the straight tube, mm from its middle; the left half mirrors them."""

    inner_start_mm: Number
    inner_end_mm: Number
    outer_start_mm: Number
    outer_end_mm: Number
    end_mm: Number


def marks_from_recipe(recipe: Recipe) -> Marks:
    """Tangent points along the straight tube, from the middle outward, mm.

        inner_start = c,  inner_end = c + R a,  outer_start = inner_end + s,  outer_end = outer_start + R b,
        end = outer_end + g

    The length of an arc is the same on the die and sprung back. So the finished shape gives the marks. The arcs are
    those of `barmath.derivation.forward.tangent_points`.

    Examples
    --------
    >>> from barmath import Order, recipe_from_order, marks_from_recipe
    >>> order = Order(90, 14, 800, None, 60, 170)
    >>> marks = marks_from_recipe(recipe_from_order(order, radius_mm=105, bend_deg=30))
    >>> print(f"riser from {marks.inner_end_mm:.1f} to {marks.outer_start_mm:.1f} mm")
    riser from 85.0 to 185.8 mm
    """
    inner_start = 0.5 * recipe.clamp_flat_mm
    inner_end = inner_start + recipe.radius_mm * recipe.inner_bend_deg * RADIAN
    outer_start = inner_end + recipe.straight_mm
    outer_end = outer_start + recipe.radius_mm * recipe.outer_bend_deg * RADIAN
    return Marks(inner_start, inner_end, outer_start, outer_end, outer_end + recipe.grip_mm)
