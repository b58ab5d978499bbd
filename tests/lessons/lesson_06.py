"""The numbers in the prose of lesson 06, worked out again."""

from collections.abc import Iterator
from dataclasses import replace

from barmath.closed_forms.forward import shape_from_recipe
from barmath.records.calibration import Scatter, calibrate
from barmath.records.demo_record import Truth, demo_bars, demo_bends
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.stock import CHROMOLY_4130, PSI

RECIPE, TRUTH = order_seven_recipe(), Truth()
BENDS = demo_bends(TUBE, DIE)
STOP_DEG, WIDEST_MM = 31.0, 152.4


def said() -> Iterator[str]:
    bend = f"{BEND_DEG:.0f}"
    yield rf"a stop of {bend} keeps ${bend} \, (1 - k)$"
    yield f"What would you set the stop to for {bend} degrees?"
    low, usual, high = (
        stress / PSI / 1e3
        for stress in (CHROMOLY_4130.yield_low_mpa, CHROMOLY_4130.yield_mpa, CHROMOLY_4130.yield_high_mpa)
    )
    yield f"yield of a 4130 tube as {low:.0f} ksi, another as {usual:.0f}, and the tube in your rack may have {high:.0f}"
    yield f"each good to {Scatter().bend_deg} degrees and read to {Scatter().kept_deg}"
    core_mm = TUBE.material.yield_mpa / TUBE.material.elastic_modulus_mpa * WIDEST_MM  # half of what stays elastic
    lost = 2 * TUBE.wall_mm * core_mm**2 / 3 / (TUBE.plastic_moment_nm() * 1e3 / TUBE.material.yield_mpa)
    assert 1e-4 < lost < 3e-4
    yield "by less than 0.03 per cent"
    yield (
        "Bend to "
        + ", ".join(f"{one.stop_deg:.0f}" for one in BENDS[:-1])
        + f" and {BENDS[-1].stop_deg:.0f} on the stop"
    )
    yield "inner bends of 30 and outer bends of 27.5 degrees. Each angle needs a setting of its own"
    kept = STOP_DEG * (1 - TRUTH.ratio) - TRUTH.constant_deg
    yield f"it keeps {kept:.2f} of {STOP_DEG:.1f}, and its offset is {TRUTH.offset_mm:.2f} mm"
    many = calibrate(TUBE, DIE, BENDS, demo_bars(TUBE, DIE))
    assert abs(many.kept_deg(STOP_DEG).value - kept) < 2 * many.kept_deg(STOP_DEG).error
    yield from _marks()


def _marks() -> Iterator[str]:
    ahead = TRUTH.offset_mm
    forgotten = replace(
        RECIPE,
        clamp_flat_mm=RECIPE.clamp_flat_mm - 2 * ahead,
        straight_mm=RECIPE.straight_mm + 2 * ahead,
        grip_mm=RECIPE.grip_mm - ahead,
    )
    higher = shape_from_recipe(forgotten).rise_mm - ORDER.rise_mm
    yield f"begins {ahead:.1f} mm ahead of the die's edge, then each mark must go {ahead:.1f} mm toward"
    yield f"is {2 * ahead:.1f} mm shorter than the riser will be. If you forget it, the bar rises about {higher:.1f} mm too high"


GIVEN = {
    "the cubic of sheet metal, Kalpakjian and Schmid": ["$R_i / R_f = 4 X^3 - 3 X + 1$", "The term $4 X^3$"],
    "the formula in letters": [
        r"$R_\mathrm{die} / (1 - k)$",
        r"> $\dfrac{1}{R_\mathrm{die}} - \dfrac{1}{R} = \dfrac{M}{E I}$",
    ],
}
