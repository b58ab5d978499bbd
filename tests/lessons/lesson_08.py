"""The numbers in the prose of lesson 08, worked out again."""

from collections.abc import Iterator
from math import cos, radians, sin

from barmath.crossbars.cope import cope_ordinates_mm
from barmath.crossbars.crossbar import STATIONS_DEG, crossbar
from barmath.shop.order_seven import BEND_DEG, CROSSBAR, ORDER, TUBE, order_seven_recipe

RECIPE = order_seven_recipe()
HEADER = TUBE.outside_diameter_mm


def said() -> Iterator[str]:
    bend = f"{BEND_DEG:.0f}"
    usual = crossbar(RECIPE, HEADER, CROSSBAR)
    assert round(usual.angle_deg, 6) == BEND_DEG
    yield f"the inner bend, {bend} degrees from level"
    flat, a = ORDER.clamp_flat_mm / 2, radians(BEND_DEG)
    arc, riser = RECIPE.radius_mm * sin(a), RECIPE.straight_mm * cos(a)
    whole = flat + arc + riser
    yield (
        f"half the clamp flat {flat:.1f}, plus R sin {bend}° = {arc:.1f}, plus the riser {RECIPE.straight_mm:.1f} cos {bend}° = "
        f"{riser:.1f}. That makes {whole:.1f} mm to the riser's axis, {2 * whole:.1f} from one riser's axis to the other's"
    )
    assert round(usual.axis_length_mm, 6) == round(2 * whole, 6)
    high = crossbar(RECIPE, HEADER, CROSSBAR, 72)
    straight = cope_ordinates_mm(CROSSBAR.outside_diameter_mm, HEADER, high.angle_deg, STATIONS_DEG)
    assert high.on_bend
    assert abs(high.outside_mm - straight).max() > 1  # "No."
    yield "move the crossbar up to 72 mm, where the outer bend has begun"


GIVEN = {
    "printed on the sheet, held by test_paper": ["measure the 100 mm line"],
    "the formula in letters": [r"R^2 - r^2 \sin^2 t"],
}
