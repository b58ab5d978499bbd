"""The numbers in the prose of lesson 01, worked out again."""

from collections.abc import Iterator

from barmath.planning.old_marks import bend_from_straight_deg
from barmath.practice.bets.lesson_01 import OLD_STRAIGHT_MM
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, order_seven_recipe


def said() -> Iterator[str]:
    recipe = order_seven_recipe()
    yield f"on {DIE.name}, with four bends of {BEND_DEG:.0f} degrees"
    yield f"with {OLD_STRAIGHT_MM:.0f} mm between the arcs for years. The bar above needs {recipe.straight_mm:.0f}"
    yield f"Which bend gives order 7 its {ORDER.rise_mm:.0f} mm of rise with that old mark?**"
    bend = bend_from_straight_deg(ORDER, recipe.radius_mm, OLD_STRAIGHT_MM)
    assert bend > BEND_DEG  # as its bet says: a shorter riser must climb more steeply


GIVEN = {
    "a choice of ours, `COMFORT_MM` of the ways": ["10 mm of straight and grip left over"],
}
