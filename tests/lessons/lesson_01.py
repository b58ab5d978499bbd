"""The numbers in the prose of lesson 01, worked out again."""

from collections.abc import Iterator
from dataclasses import replace

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order
from barmath.planning.old_marks import bend_from_straight_deg
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, order_seven_recipe

OLD_STRAIGHT_MM = 90


def said() -> Iterator[str]:
    recipe = order_seven_recipe()
    yield f"on {DIE.name}, with four bends of {BEND_DEG:.0f} degrees"
    yield f"more than the {ORDER.backsweep_deg:.0f} degrees of backsweep"
    yield f"with {OLD_STRAIGHT_MM} mm between the arcs for years; the bar above needs {recipe.straight_mm:.0f}"
    yield f"Which bend gives order 7 its {ORDER.rise_mm:.0f} mm with that old mark?** More than {BEND_DEG:.0f} degrees"
    bend = bend_from_straight_deg(ORDER, recipe.radius_mm, OLD_STRAIGHT_MM)
    assert bend > BEND_DEG  # "More: a shorter riser must climb more steeply"
    arc = recipe.radius_mm * bend * RADIAN
    bar = recipe_from_order(ORDER, recipe.radius_mm, bend)
    lower = ORDER.rise_mm - shape_from_recipe(replace(bar, straight_mm=OLD_STRAIGHT_MM - arc)).rise_mm
    yield f"{OLD_STRAIGHT_MM} mm *between the arcs*"
    yield f"shorter by a whole arc, some {arc:.0f} mm, and the bar {lower:.0f} mm lower"


GIVEN = {
    "a choice of ours, `COMFORT_MM` of the ways": ["10 mm of straight and grip left over"],
}
