"""The numbers in the prose of lesson 12, worked out again."""

from collections.abc import Iterator
from math import cos, radians, sin

from conftest import ROOT

from barmath.closed_forms.inverse import recipe_from_order
from barmath.rider.hands import HAND_FROM_END_MM, Stem, hand_from_recipe
from barmath.rider.same_hands import every_bend_that_keeps
from barmath.rider.shop_hands import same_hands_of_shop
from barmath.shop.order_seven import BEND_DEG, ORDER, order_seven_recipe
from barmath.shop.shop_file import shop_from_file

OLD = order_seven_recipe()
STEM = Stem(length_mm=50, angle_deg=0, head_angle_deg=65)
SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")


def said() -> Iterator[str]:
    yield f"at {HAND_FROM_END_MM:.0f} mm from the bar's end"
    long, head = STEM.length_mm, STEM.head_angle_deg
    yield f"A stem of {long:.0f} mm"
    yield f"a steering axis at {head:.0f} degrees"
    forward, up = long * sin(radians(head)), long * cos(radians(head))
    yield f"By hand: {long:.0f} sin {head:.0f}° = {forward:.1f} and {long:.0f} cos {head:.0f}° = {up:.1f}"
    yield f"order 7 has a rise of {ORDER.rise_mm:.0f} mm"
    hand = hand_from_recipe(OLD, STEM)
    yield f"the clamp is {forward:.1f} mm forward and the grip has come back by {forward - hand.forward_mm:.1f} mm where the hand is"
    kept = every_bend_that_keeps(OLD, STEM, ORDER.backsweep_deg + 2, SHOP.stop_bends_deg, OLD.radius_mm)
    bends = [one.recipe.inner_bend_deg for one in kept]
    assert bends
    assert BEND_DEG not in bends
    assert max(bends) < BEND_DEG  # "A gentler bend"
    yield f"Four bends of {BEND_DEG:.0f} are not in the list"
    offered = same_hands_of_shop(SHOP, SHOP.tubes[0], OLD, STEM, 16.0, 170.0)
    two = next(one for one in offered if one.two_stops and one.bar.recipe.inner_bend_deg == BEND_DEG)
    less, more = -two.bar.wrist.front_deg, offered[0].bar.wrist.front_deg
    assert not offered[0].two_stops
    yield f"inner bends of {two.bar.recipe.inner_bend_deg:.1f} and outer bends of {two.bar.recipe.outer_bend_deg:.1f}"
    yield f"the hand turns up by {less:.1f} degrees less instead of {more:.1f} degrees more"
    yield f"Come back by about {10 * sin(radians(head)):.0f} mm less (10 sin {head:.0f}°) and stand {10 * cos(radians(head)):.0f} mm higher"
    gentle, steep = (hand_from_recipe(recipe_from_order(ORDER, OLD.radius_mm, bend), STEM) for bend in (25, 35))
    assert max(abs(gentle.up_mm - steep.up_mm), abs(gentle.out_mm - steep.out_mm)) < 2
    yield f"The hands on the gentler bar are {gentle.forward_mm - steep.forward_mm:.0f} mm further forward"
    yield "Out and up they are, to 2 mm"


GIVEN = {
    "chosen for an exercise": [
        "Roll order 7 rearward by 10 degrees",
        "a stem 10 mm shorter",
        "one was bent with 25 and one with 35 degrees",
    ],
}
