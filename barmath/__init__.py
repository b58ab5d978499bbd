"""Rise, sweep and marks of bent riser handlebars: from a rider's order to a recipe for the shop's own dies and tube.

Millimetres and degrees at the face, radians inside. This module only hands names on.
"""

from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.inverse import least_bend_deg, recipe_from_inner_bend, recipe_from_order, rise_window_mm
from barmath.closed_forms.marks import Marks, marks_from_recipe
from barmath.closed_forms.records import Order, Recipe, Shape
from barmath.crossbars.cope import cope_ordinates_mm
from barmath.refusal import BendError
from barmath.shop.bender import Bender
from barmath.shop.stock import CHROMOLY_4130, Material, Tube
from barmath.shop.tooling import Die, Springback, springback_from_tube

__all__ = [
    "CHROMOLY_4130",
    "BendError",
    "Bender",
    "Die",
    "Marks",
    "Material",
    "Order",
    "Recipe",
    "Shape",
    "Springback",
    "Tube",
    "clamp_reading_deg",
    "cope_ordinates_mm",
    "least_bend_deg",
    "marks_from_recipe",
    "recipe_from_inner_bend",
    "recipe_from_order",
    "rise_window_mm",
    "shape_from_recipe",
    "springback_from_tube",
]
