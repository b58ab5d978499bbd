"""The numbers in the prose of lesson 13, worked out again."""

from collections.abc import Iterator
from math import cos, radians

import numpy as np

from barmath.crossbars.crossbar import crossbar
from barmath.shop.order_seven import CROSSBAR, ORDER, TUBE, order_seven_recipe
from barmath.shop.stock import PSI
from barmath.strength.load_cases import LATERAL, LOAD_CASES
from barmath.strength.screen import STEM_WIDTH_MM, loaded_bar

RECIPE = order_seven_recipe()


def said() -> Iterator[str]:
    half, sweep, stem = ORDER.width_mm / 2, f"{ORDER.backsweep_deg:.0f}", STEM_WIDTH_MM / 2
    along = 50 * cos(radians(ORDER.backsweep_deg))
    lever = half - along - stem
    yield f"Order 7 is {ORDER.width_mm:.0f} mm wide and its stem {STEM_WIDTH_MM:.0f} mm"
    yield f"By hand: half of {ORDER.width_mm:.0f} is {half:.0f}"
    yield f"swept back by {sweep} degrees, so 50 cos {sweep}° = {along:.0f} mm nearer; the stem takes {stem:.0f}"
    yield f"That leaves **{lever:.0f} mm**, and {LATERAL.right_n:.0f} N at {lever / 1e3:.3f} m is **{lever:.0f} N m**"
    bar = loaded_bar(RECIPE, TUBE, LATERAL)
    bending = np.hypot(*bar.right.moments_nm[0, :2])
    yield f"The package counts the small upsweep too and says {bending:.0f}"
    first, folds = TUBE.material.yield_mpa * TUBE.section_modulus_mm3 / 1e3, TUBE.plastic_moment_nm()
    assert 1 / 3 < folds / first - 1 < 0.4  # "more than a third"
    assert first < bending < folds
    yield f"So the {bending:.0f} N m of the test"
    metal = TUBE.material
    low, usual, high = (one / PSI / 1e3 for one in (metal.yield_low_mpa, metal.yield_mpa, metal.yield_high_mpa))
    yield f"give {low:.0f} to {usual:.0f} ksi, and what is delivered may have {high:.0f}"
    yield f"a band of {low:.0f} to {high:.0f} ksi ({metal.yield_low_mpa:.0f} to {metal.yield_high_mpa:.0f} MPa)"
    fitted = crossbar(RECIPE, TUBE.outside_diameter_mm, CROSSBAR)
    eased = {
        case.name: loaded_bar(RECIPE, TUBE, case, fitted).elastic_mpa / loaded_bar(RECIPE, TUBE, case).elastic_mpa
        for case in LOAD_CASES
    }
    assert eased[LATERAL.name] < 0.7  # "carries a good part across"
    assert [name for name, share in eased.items() if share > 0.95] == ["turning in the stem", "fatigue, out of phase"]
    assert abs(loaded_bar(RECIPE, TUBE, LATERAL, fitted).right.joint[0]) > 2000  # "over two thousand newtons"
    yield f"From {lever:.0f} to {lever + 40:.0f} mm of lever: {(lever + 40) / lever:.2f} times"


GIVEN = {
    "ISO 4210-5 4.3, lateral bending: 1000 N, 50 mm from the end": [
        "pulls down with 1000 N at 50 mm from the end",
        "The load sits 50 mm in along",
    ],
    "chosen for an exercise": ["80 mm less width", "40 mm more width on each side", "Your sum says 0.6 of first yield"],
}
