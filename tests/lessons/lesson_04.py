"""The numbers in the prose of lesson 04, worked out again."""

from collections.abc import Iterator
from dataclasses import replace
from math import radians, sin

import numpy as np
from conftest import ROOT

from barmath.arrays import RADIAN
from barmath.bending.error_budget import KEPT_SHARE, WITHIN
from barmath.checking.bench_errors import BenchErrors
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order, rise_window_mm
from barmath.closed_forms.records import Order
from barmath.refusal import BendError
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, order_seven_recipe
from barmath.shop.orders import orders_from_file
from barmath.shop.shop_file import shop_from_file


def said() -> Iterator[str]:
    yield (
        f"a rise of {ORDER.rise_mm:.0f} mm with the risers upright, a backsweep of {ORDER.backsweep_deg:.0f} degrees and "
        f"a width of {ORDER.width_mm:.0f} mm. The clamp flat is {ORDER.clamp_flat_mm:.0f} mm, and the controls need "
        f"{ORDER.controls_mm:.0f} mm of grip. It is made on {DIE.name} with bends of {BEND_DEG:.0f} degrees"
    )
    yield f"Order 7 asks for {ORDER.backsweep_deg:.0f} degrees"
    rises, sweeps = np.arange(20, 161, 2.0), np.arange(0, 30.5, 0.5)
    yield f"{len(rises)} rises and {len(sweeps)} sweeps"
    yield f"for a setback of 45 mm.** The finished radius is {order_seven_recipe().radius_mm:.1f} mm"
    yield f"gets {BEND_DEG + 1:.0f} degrees instead of {BEND_DEG:.0f}"
    yield f"moves the end by 1/{1 / RADIAN:.0f} of the lever"
    yield f"moves the bar end by 1/{1 / RADIAN:.0f} of its lever per degree"
    yield from _two_stops()
    yield from _budget()
    order = next(
        named.order
        for named in orders_from_file(ROOT / "notebooks" / "demo" / "orders.toml")
        if named.name == "order 14"
    )
    yield (
        f"a rise of {order.rise_mm:.0f} mm with the risers upright, and a backsweep of {order.backsweep_deg:.0f} degrees. "
        f"It asks for {order.width_mm:.0f} mm of width, a clamp flat of {order.clamp_flat_mm:.0f} mm and {order.controls_mm:.0f} mm for the controls"
    )


def _two_stops() -> Iterator[str]:
    most, shop = float(ORDER.most_upsweep_deg), shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
    yield f"the upsweep reaches {most:.0f} degrees only at {_sweep_of_upsweep(20.0, 25.0, most):.0f} degrees of backsweep"
    yield "With inner bends of 20 and outer bends of 25 degrees"
    assert len(shop.stop_bends_deg) == 15
    yield f"Fifteen stops make {len(shop.stop_bends_deg) ** 2} pairs"


def _sweep_of_upsweep(inner_deg: float, outer_deg: float, upsweep_deg: float) -> float:
    """At which backsweep a bar of these bends, risers upright, has that upsweep: by halving."""
    low, high = 1.0, 30.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        order = Order(100.0, middle, 1000.0, None, 60.0, 0.0)
        try:
            rise = float(np.mean(rise_window_mm(order, 50.0, inner_deg, 0.0, outer_deg)))
            made = recipe_from_order(replace(order, rise_mm=rise), 50.0, inner_deg, outer_deg)
            less = shape_from_recipe(made).upsweep_deg < upsweep_deg
        except BendError:  # beyond the sweep that these bends can make
            less = False
        low, high = (middle, high) if less else (low, middle)
    return low


def _budget() -> Iterator[str]:
    errors = BenchErrors(stop_deg=0.3, finder_deg=0.2, mark_mm=0.5)
    yield f"and {WITHIN['rise_mm']:.0f} mm of rise. **Your stop repeats to {errors.stop_deg} degrees, your finder to {errors.finder_deg}"
    yield f"is good in {100 * KEPT_SHARE:.0f} of 100 bars"
    share = sin(radians(BEND_DEG))
    yield f"leads only {BEND_DEG:.0f} degrees off the clamp axis, so the finder sees only sin {BEND_DEG:.0f}° = {share:.2f} of a wrong turn"
    yield f"counts **{1 / share:.1f} times**"


GIVEN = {
    "the normal distribution: 68 % within one standard deviation, 95 % within two": [
        "19 in 20 by less than twice as much",
        "How many of 100 bars keep to that",
    ],
    "two sides, each with slips of its own: the root of 2": [r"$\sqrt{2}$ times"],
    "chosen for the exercise": ["straight and grip have at least 10 mm left"],
}
