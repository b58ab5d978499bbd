"""The numbers in the prose of lesson 03, worked out again."""

from collections.abc import Iterator
from dataclasses import replace
from math import cos, radians, sin

from conftest import ROOT

from barmath.closed_forms.inverse import least_bend_deg, rise_window_mm
from barmath.closed_forms.records import Order
from barmath.planning.die_choice import across_half_width
from barmath.planning.ways import Ways, every_way
from barmath.refusal import BendError
from barmath.shop.forming import forming_from_bend
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.orders import orders_from_file
from barmath.shop.shop_file import shop_from_file
from barmath.shop.tooling import springback_from_tube

SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
ORDERS = [named.order for named in orders_from_file(ROOT / "notebooks" / "demo" / "orders.toml")]
LEAST = DIE.least_straight_mm


def window(radius_mm: float, order=ORDER) -> tuple[float, float]:
    lowest, highest = rise_window_mm(order, radius_mm, BEND_DEG, LEAST)
    return float(lowest), float(highest)


def said() -> Iterator[str]:
    yield (
        f"rise {ORDER.rise_mm:.0f} mm with the risers upright, backsweep {ORDER.backsweep_deg:.0f} degrees, width "
        f"{ORDER.width_mm:.0f} mm, {ORDER.controls_mm:.0f} mm of grip for the controls, clamp flat "
        f"{ORDER.clamp_flat_mm:.0f} mm. Its bends are of {BEND_DEG:.0f} degrees"
    )
    yield from _half_bar()
    yield from _windows()
    yield from _forming()
    yield from _shop()


def _half_bar() -> Iterator[str]:
    half, flat, controls = ORDER.width_mm / 2, ORDER.clamp_flat_mm / 2, ORDER.controls_mm
    grip, straight = controls * cos(radians(ORDER.backsweep_deg)), LEAST * cos(radians(BEND_DEG))
    left, share = half - flat - grip - straight, sin(radians(BEND_DEG))
    sweep, bend = f"{ORDER.backsweep_deg:.0f}", f"{BEND_DEG:.0f}"
    yield f"Half the width is a fixed length, {half:.0f} mm"
    yield f"The controls want their {controls:.0f} mm"
    yield f"Half the clamp flat takes {flat:.0f} mm"
    yield f"swept back {sweep} degrees, so its {controls:.0f} mm reach {controls:.0f} cos {sweep} = {grip:.0f} mm"
    yield f"A straight of {LEAST:.0f} mm leaning at {bend} degrees reaches {LEAST:.0f} cos {bend} = {straight:.0f} mm"
    yield f"That leaves {half:.0f} - {flat:.0f} - {grip:.0f} - {straight:.0f} = {left:.0f} mm for two arcs, {left / 2:.0f} mm each"
    yield f"An arc of radius *R* and {bend} degrees reaches about *R* sin {bend} = {share:.2f} *R*"
    yield f"about {left / 2:.0f} / {share:.2f} = {left / 2 / share:.0f} mm"
    yield f"Compare with the {left / 2 / share:.0f} mm from our estimate"
    yield f"and our estimate was {left / 2 / share:.0f} mm"
    recipe = order_seven_recipe()
    across = across_half_width(recipe)
    yield (
        f"On {DIE.name}, with a finished radius of {recipe.radius_mm:.0f} mm, the two arcs take about "
        f"{across['inner arc']:.0f} and {across['outer arc']:.0f} mm, the straight {across['straight']:.0f}, the grip "
        f"{across['grip']:.0f}. With the {flat:.0f} mm of half the clamp flat they add up to {sum(across.values()):.0f} mm"
    )


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
        f"With its stop at {ways.bend_deg[only]:.1f} degrees it makes the bar, with {ways.straight_to_spare_mm[only]:.0f} mm "
        f"of straight and {ways.grip_to_spare_mm[only]:.0f} mm of grip left"
    )
    assert not [row for row in range(len(ways)) if ways.feasible[row] and ways.die(row).name == widest.name]
    yield f"the window at {BEND_DEG:.0f} degrees close"
    yield f"for {ORDER.backsweep_deg:.0f} degrees of backsweep with the risers upright at least {least_bend_deg(ORDER):.1f} degrees"
    closes = _closing_radius()
    kept = springback_from_tube(TUBE, replace(DIE, centerline_radius_mm=closes)).finished_radius_mm
    yield f"at a bend of {BEND_DEG:.0f} degrees: the window closes at a die of about {closes:.0f} mm"
    yield f"springs back to a radius of about {kept:.0f} mm"


def _closing_radius() -> float:
    def is_open(radius_mm: float) -> bool:
        try:
            lowest, highest = window(
                springback_from_tube(TUBE, replace(DIE, centerline_radius_mm=radius_mm)).finished_radius_mm
            )
        except BendError:
            return False
        return lowest <= highest

    low, high = 100.0, 300.0
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if is_open(middle) else (low, middle)
    return low


def _forming() -> Iterator[str]:
    radius, diameter = DIE.centerline_radius_mm, TUBE.outside_diameter_mm
    ratio = round(radius / diameter, 2)
    cost = forming_from_bend(TUBE, radius)
    yield f"One by hand: {radius:.1f} mm on a tube of {diameter:.3f} mm is {ratio:.2f} diameters"
    above, below = 4 * ratio + 1, 4 * ratio + 2
    yield f"(4 x {ratio:.2f} + 1)/(4 x {ratio:.2f} + 2) = {above:.2f}/{below:.2f} = {above / below:.3f}, so the wall keeps {100 * cost.index_outside:.0f} %"
    yield f"D/(2R) = {diameter:.3f}/{2 * radius:.1f} = {100 * cost.outer_stretch:.1f} %"
    yield f"breaks at about {TUBE.material.elongation_percent:.0f} %"
    yield f"on the same die of {radius:.1f} mm"
    yield f"{radius / 25.4:.1f} for the thick one and {radius / 22.2:.1f} for the other"


def _shop() -> Iterator[str]:
    made = dict.fromkeys((die.name for die in SHOP.dies), 0)
    nobody = 0
    for order in ORDERS:
        ways = with_one_stop(order)
        names = {ways.die(row).name for row in range(len(ways)) if ways.feasible[row]}
        nobody += not names
        for name in names:
            made[name] += 1
    tight, gentler, widest = made.values()
    first, second, third = made
    yield (
        f"Die {first[4:]} makes {tight} of the {len(ORDERS)} orders, {second} makes {gentler} of them, and {third} makes {widest}"
    )
    assert nobody == 4
    yield f"Four of the {len(ORDERS)} orders"
    radius = order_seven_recipe().radius_mm
    here, narrow = window(radius), window(radius, replace(ORDER, width_mm=ORDER.width_mm - 100))
    less = window(radius, replace(ORDER, controls_mm=150))
    assert narrow[0] > narrow[1]  # "They have crossed"
    assert round(less[0], 6) == round(here[0], 6)  # only the upper end moves
    yield f"100 mm narrower, {ORDER.width_mm - 100:.0f} mm"
    yield f"The upper end falls from {here[1]:.0f} to {narrow[1]:.0f} mm"
    yield f"The lower one falls from {here[0]:.0f} to {narrow[0]:.0f} mm"
    yield f"The upper one, upward, from {here[1]:.0f} to {less[1]:.0f} mm"


GIVEN = {
    "ASME B31.3 and B31.1, paragraphs and tables": [
        "(304.2.1)",
        "(table 102.4.5), given from 3 to 6 diameters",
        "from 5 diameters on it takes off more than the table adds",
        "B31.1 (104.2.1) also allows at most 8 % out of round for 5 diameters and more",
    ],
    "common practice, no source": [
        "below 4 diameters without a mandrel",
        "below 4 diameters each millimetre",
        "steeply below 4 diameters",
    ],
    "chosen for an exercise": ["150 mm of grip", "Two tubes, 22.2 and 25.4 mm"],
}
