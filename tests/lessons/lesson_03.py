"""The numbers in the prose of lesson 03, worked out again."""

from collections.abc import Iterator

from conftest import ROOT

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import rise_window_mm
from barmath.closed_forms.records import Order
from barmath.planning.die_choice import across_half_width
from barmath.planning.ways import Ways, every_way
from barmath.shop.forming import forming_from_bend
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.shop_file import shop_from_file
from barmath.shop.tooling import springback_from_tube

SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
LEAST = DIE.least_straight_mm


def window(radius_mm: float, order=ORDER) -> tuple[float, float]:
    lowest, highest = rise_window_mm(order, radius_mm, BEND_DEG, LEAST)
    return float(lowest), float(highest)


def said() -> Iterator[str]:
    yield (
        f"rise {ORDER.rise_mm:.0f} mm with the risers upright, backsweep {ORDER.backsweep_deg:.0f} degrees, width "
        f"{ORDER.width_mm:.0f} mm, {ORDER.controls_mm:.0f} mm of grip for the controls, clamp flat "
        f"{ORDER.clamp_flat_mm:.0f} mm. Its bends are {BEND_DEG:.0f} degrees"
    )
    yield from _half_bar()
    yield from _windows()
    yield from _forming()
    yield from _two_stops()


def _half_bar() -> Iterator[str]:
    half, controls = ORDER.width_mm / 2, ORDER.controls_mm
    yield f"Half the width is a fixed length, {half:.0f} mm"
    yield f"The controls need {controls:.0f} mm"
    yield f"a straight of {LEAST:.0f} mm to hold"
    across = across_half_width(order_seven_recipe())
    assert round(sum(across.values()), 6) == half  # "the whole 400 mm"


def with_one_stop(order: Order) -> Ways:
    """The ways of the shop with four equal bends."""
    bends, stock = SHOP.stop_bends_deg, SHOP.stock_length_mm
    return every_way(order, TUBE, SHOP.dies, bends_deg=bends, stock_length_mm=stock, equal_only=True)


def _windows() -> Iterator[str]:
    gentler, widest = SHOP.dies[1:]
    _, highest = window(springback_from_tube(TUBE, gentler).finished_radius_mm)
    yield f"{gentler.name[:1].upper()}{gentler.name[1:]} misses the {ORDER.rise_mm:.0f} mm of order 7 by {ORDER.rise_mm - highest:.1f} mm"
    ways = with_one_stop(ORDER)
    (only,) = [row for row in range(len(ways)) if ways.feasible[row] and ways.die(row).name == gentler.name]
    yield (
        f"With its stop at {ways.bend_deg[only]:.1f} degrees it makes the bar, with {ways.straight_left_mm[only]:.0f} mm "
        f"of straight and {ways.grip_left_mm[only]:.0f} mm of grip left"
    )
    assert not [row for row in range(len(ways)) if ways.feasible[row] and ways.die(row).name == widest.name]
    yield f"at a bend of {BEND_DEG:.0f} degrees until the window closes"


def _forming() -> Iterator[str]:
    radius, diameter = DIE.centerline_radius_mm, TUBE.outside_diameter_mm
    cost = forming_from_bend(TUBE, radius)
    yield f"D/(2R) = {diameter:.3f}/{2 * radius:.1f} = {100 * cost.outer_stretch:.1f} %"
    yield f"breaks at about {TUBE.material.elongation_percent:.0f} %"


def _two_stops() -> Iterator[str]:
    bends, stock, widest = SHOP.stop_bends_deg, SHOP.stock_length_mm, SHOP.dies[2]
    ways = every_way(ORDER, TUBE, [widest], bends_deg=bends, stock_length_mm=stock)
    (row,) = [row for row in range(len(ways)) if ways.feasible[row]]
    upsweep = shape_from_recipe(ways.recipe(row)).upsweep_deg
    yield (
        f"inner bends of {ways.inner_bend_deg[row]:.1f} and outer bends of {ways.outer_bend_deg[row]:.1f} degrees it can, "
        f"and the upsweep is then {upsweep:.1f} degrees"
    )


GIVEN = {
    "ASME B31.3 and B31.1, paragraphs and tables": [
        "(304.2.1)",
        "(table 102.4.5), given from 3 to 6 diameters",
        "from 5 diameters on it takes off more than the table adds",
        "B31.1 (104.2.1) also allows at most 8 % out of round for 5 diameters and more",
    ],
    "common practice, no source": [
        "below 4 diameters without a mandrel",
        "Below 4 diameters each millimetre",
        "steeply below 4 diameters",
    ],
}
