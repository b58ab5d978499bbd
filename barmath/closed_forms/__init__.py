"""The closed forms: a rider's order, a recipe, the bar's shape, and the formulas between them.

An evening's reading: `records` comes first. `forward` leads from the recipe to the shape, `legs` and `inverse` from the
order to the recipe. `marks` has the marks on the tube. `sensitivity` says what a slip at the bench does, by `headings`
that turn.
"""

from barmath.closed_forms.forward import clamp_reading_deg, grips_level, half_tangent, risers_upright, shape_from_recipe
from barmath.closed_forms.inverse import (
    least_bend_deg,
    least_outer_bend_deg,
    recipe_from_inner_bend,
    recipe_from_order,
    rise_window_mm,
)
from barmath.closed_forms.marks import Marks, marks_from_recipe
from barmath.closed_forms.records import (
    LEAST_BEND_DEG,
    MOST_BEND_DEG,
    Order,
    Recipe,
    Shape,
    check_single,
    checked_bend,
    checked_radius,
    checked_stop,
    checked_turn,
)
from barmath.closed_forms.sensitivity import ANGLE_SLIPS, LENGTH_SLIPS, Sensitivity, sensitivities_from_recipe

__all__ = [
    "ANGLE_SLIPS",
    "LEAST_BEND_DEG",
    "LENGTH_SLIPS",
    "MOST_BEND_DEG",
    "Marks",
    "Order",
    "Recipe",
    "Sensitivity",
    "Shape",
    "check_single",
    "checked_bend",
    "checked_radius",
    "checked_stop",
    "checked_turn",
    "clamp_reading_deg",
    "grips_level",
    "half_tangent",
    "least_bend_deg",
    "least_outer_bend_deg",
    "marks_from_recipe",
    "recipe_from_inner_bend",
    "recipe_from_order",
    "rise_window_mm",
    "risers_upright",
    "sensitivities_from_recipe",
    "shape_from_recipe",
]
