"""The numbers in the prose of lesson 01, worked out again."""

from collections.abc import Iterator

from conftest import ROOT

from barmath.panels.order_state import ONE, ONE_OR_TWO, STOPS_WORDS, OrderState, readout_from_state
from barmath.planning.old_marks import bend_from_straight_deg
from barmath.practice.bets.lesson_01 import OLD_STRAIGHT_MM
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, order_seven_recipe
from barmath.shop.shop_file import shop_from_file


def said() -> Iterator[str]:
    shop = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
    two, one = (readout_from_state(shop, OrderState(stops=stops)).bar for stops in (ONE_OR_TWO, ONE))
    assert two.die.centerline_radius_mm > one.die.centerline_radius_mm  # "a gentler die"
    yield f"**Order 7 opens on {two.die.name}**"
    yield f"inner bends of {two.recipe.inner_bend_deg} and outer bends of {two.recipe.outer_bend_deg} degrees"
    yield f"on {one.die.name} with one stop, four bends of {one.recipe.inner_bend_deg:.0f} degrees"
    yield f"choose *{STOPS_WORDS[ONE]}*"
    recipe = order_seven_recipe()
    yield f"on {DIE.name}, with four bends of {BEND_DEG:.0f} degrees"
    yield f"with {OLD_STRAIGHT_MM:.0f} mm between the arcs. The bar above needs {recipe.straight_mm:.0f}"
    yield f"Which bend gives order 7 its {ORDER.rise_mm:.0f} mm of rise with that old mark?**"
    bend = bend_from_straight_deg(ORDER, recipe.radius_mm, OLD_STRAIGHT_MM)
    assert bend > BEND_DEG  # as its bet says: a shorter riser must climb more steeply


GIVEN = {
    "a choice of ours, `COMFORT_MM` of the ways": ["10 mm of straight and grip left over"],
}
