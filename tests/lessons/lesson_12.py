"""The numbers in the prose of lesson 12, worked out again."""

from collections.abc import Iterator

from conftest import ROOT

from barmath.rider.hands import HAND_FROM_END_MM, Stem
from barmath.rider.same_hands import every_bend_that_keeps
from barmath.rider.shop_hands import same_hands_of_shop
from barmath.shop.order_seven import BEND_DEG, ORDER, order_seven_recipe
from barmath.shop.shop_file import shop_from_file

OLD = order_seven_recipe()
FORWARD_DEG = 6
STEM = Stem(length_mm=50, angle_deg=0, head_angle_deg=65)
SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")


def said() -> Iterator[str]:
    yield f"the hand is {HAND_FROM_END_MM:.0f} mm from the bar's end"
    long, head = STEM.length_mm, STEM.head_angle_deg
    yield f"A stem of {long:.0f} mm"
    yield f"a steering axis at {head:.0f} degrees"
    yield f"The bar is turned forward by {FORWARD_DEG:.0f} degrees here"
    kept = every_bend_that_keeps(OLD, STEM, ORDER.backsweep_deg + 2, SHOP.stop_bends_deg, OLD.radius_mm)
    bends = [one.recipe.inner_bend_deg for one in kept]
    assert bends
    assert BEND_DEG not in bends
    assert max(bends) < BEND_DEG  # "A gentler bend"
    yield f"A longer stem would bring the hands forward with four bends of {BEND_DEG:.0f}"
    offered = same_hands_of_shop(SHOP, SHOP.tubes[0], OLD, STEM, 16.0, 170.0)
    two = next(one for one in offered if one.two_stops and one.bar.recipe.inner_bend_deg == BEND_DEG)
    less, more = -two.bar.wrist.front_deg, offered[0].bar.wrist.front_deg
    assert not offered[0].two_stops
    yield f"inner bends of {two.bar.recipe.inner_bend_deg:.1f} and outer bends of {two.bar.recipe.outer_bend_deg:.1f}"
    yield f"the hand turns up by {less:.1f} degrees less instead of {more:.1f} degrees more"


GIVEN = {
    "chosen for an exercise": [
        "Turn order 7 rearward by 10 degrees",
    ],
}
