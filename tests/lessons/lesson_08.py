"""The numbers in the prose of lesson 08, worked out again."""

from collections.abc import Iterator
from dataclasses import replace
from math import cos, radians, sin

import numpy as np

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order
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
    yield f"the riser leans at {bend} degrees, so the joint is at {bend} degrees"
    flat, a = ORDER.clamp_flat_mm / 2, radians(BEND_DEG)
    arc, riser = RECIPE.radius_mm * sin(a), RECIPE.straight_mm * cos(a)
    whole = flat + arc + riser
    yield (
        f"half the clamp flat {flat:.1f}, plus R sin {bend}° = {arc:.1f}, plus the riser {RECIPE.straight_mm:.1f} cos {bend}° = "
        f"{riser:.1f} makes {whole:.1f} mm to the riser's axis, {2 * whole:.1f} from one riser's axis to the other's"
    )
    assert round(usual.axis_length_mm, 6) == round(2 * whole, 6)
    high = crossbar(RECIPE, HEADER, CROSSBAR, 72)
    straight = cope_ordinates_mm(CROSSBAR.outside_diameter_mm, HEADER, high.angle_deg, STATIONS_DEG)
    assert high.on_bend
    assert abs(high.outside_mm - straight).max() > 1  # "No."
    yield "move the crossbar up to 72 mm, where the outer bend has begun"
    yield from _your_turn(usual)


def _your_turn(usual) -> Iterator[str]:
    big = crossbar(RECIPE, HEADER, TUBE)
    yield f"the bar's own tube, {HEADER:.1f} mm with a wall of {TUBE.wall_mm:.2f} mm"
    assert 3 < big.mass_g / usual.mass_g < 4
    yield f"About {big.mass_g:.0f} g, more than three times the {usual.mass_g:.0f} g of the 1/2 in tube"
    yield f"Its tips reach {big.outside_mm.max():.0f} mm past the riser's axis, and their inner edge must be filed back by {big.file_back_mm:.0f} mm"
    steep = recipe_from_order(replace(ORDER, rise_mm=120), RECIPE.radius_mm, 45)
    steeper = crossbar(steep, HEADER, CROSSBAR)
    assert round(shape_from_recipe(steep).rise_mm) == 120
    assert steeper.outside_mm.max() < usual.outside_mm.max()  # "the tip is shorter"
    yield "Set the bends to 45 and the rise to 120"
    yield f"so the joint is at {steeper.angle_deg:.0f} degrees"
    yield f"filed back by {steeper.file_back_mm:.1f} mm instead of {usual.file_back_mm:.1f}"
    begins = next(height for height in np.arange(60, 80, 0.5) if crossbar(RECIPE, HEADER, CROSSBAR, height).on_bend)
    assert not usual.on_bend
    yield f"From about {begins:.0f} mm on. At the outer marks, at {usual.height_mm:.0f} mm"


GIVEN = {
    "NAVEDTRA 14251 p. 104: the smallest angle usually advised": ["a welding manual advises 45 degrees and more"],
    "printed on the sheet, held by test_paper": ["measure the 100 mm line"],
    "the formula in letters": ["R² − r² sin² t"],
}
