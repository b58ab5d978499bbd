"""The numbers in the prose of lesson 13, worked out again."""

from collections.abc import Iterator

from barmath.crossbars.crossbar import crossbar
from barmath.shop.order_seven import CROSSBAR, ORDER, TUBE, order_seven_recipe
from barmath.shop.stock import PSI
from barmath.strength.load_cases import LATERAL, LOAD_CASES
from barmath.strength.screen import STEM_WIDTH_MM, loaded_bar

RECIPE = order_seven_recipe()


def said() -> Iterator[str]:
    yield f"Order 7 is {ORDER.width_mm:.0f} mm wide and its stem {STEM_WIDTH_MM:.0f} mm"
    metal = TUBE.material
    low, usual, high = (one / PSI / 1e3 for one in (metal.yield_low_mpa, metal.yield_mpa, metal.yield_high_mpa))
    yield f"give {low:.0f} to {usual:.0f} ksi, and what is delivered may have {high:.0f}"
    yield f"a band of {low:.0f} to {high:.0f} ksi ({metal.yield_low_mpa:.0f} to {metal.yield_high_mpa:.0f} MPa)"
    first, folds = metal.yield_mpa * TUBE.section_modulus_mm3 / 1e3, TUBE.plastic_moment_nm()
    assert 1 / 3 < folds / first - 1 < 0.4  # "more than a third higher for this tube"
    fitted = crossbar(RECIPE, TUBE.outside_diameter_mm, CROSSBAR)
    eased = {
        case.name: loaded_bar(RECIPE, TUBE, case, fitted).elastic_mpa / loaded_bar(RECIPE, TUBE, case).elastic_mpa
        for case in LOAD_CASES
    }
    assert eased[LATERAL.name] < 0.7  # "helps against one-sided loads"


GIVEN = {
    "ISO 4210-5 4.3, lateral bending: 1000 N, 50 mm from the end": ["pulls down with 1000 N at 50 mm from the end"],
    "chosen for an exercise": ["80 mm less width"],
}
