"""The numbers in the prose of lesson 04, worked out again."""

from collections.abc import Iterator
from dataclasses import replace
from math import atan, cos, radians, sin, sqrt, tan

import numpy as np
from conftest import ROOT

from barmath.arrays import RADIAN
from barmath.bending.error_budget import KEPT_SHARE, WITHIN, error_budget
from barmath.checking.bench_errors import MARK, STOP, BenchErrors
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order, rise_window_mm
from barmath.closed_forms.records import Order
from barmath.closed_forms.sensitivity import sensitivities_from_recipe
from barmath.panels.map_axes import QUANTITIES
from barmath.planning.design_map import bar_map
from barmath.refusal import BendError
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.orders import orders_from_file
from barmath.shop.shop_file import shop_from_file
from barmath.shop.tooling import springback_from_tube

RECIPE = order_seven_recipe()
RADIUS, LEAST = RECIPE.radius_mm, DIE.least_straight_mm
SLOPES = sensitivities_from_recipe(RECIPE)
SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")


def said() -> Iterator[str]:
    yield (
        f"rise {ORDER.rise_mm:.0f} mm with the risers upright, backsweep {ORDER.backsweep_deg:.0f} degrees, width "
        f"{ORDER.width_mm:.0f} mm, {ORDER.controls_mm:.0f} mm of grip for the controls, clamp flat "
        f"{ORDER.clamp_flat_mm:.0f} mm, on {DIE.name} with bends of {BEND_DEG:.0f} degrees"
    )
    yield f"Order 7 asks for {ORDER.backsweep_deg:.0f} degrees"
    yield from _maps()
    yield from _setback()
    yield from _slips()
    yield from _budget()
    order = next(
        named.order
        for named in orders_from_file(ROOT / "notebooks" / "demo" / "orders.toml")
        if named.name == "order 14"
    )
    yield (
        f"a rise of {order.rise_mm:.0f} mm with the risers upright, a backsweep of {order.backsweep_deg:.0f} degrees, "
        f"{order.width_mm:.0f} mm of width, a clamp flat of {order.clamp_flat_mm:.0f} mm and {order.controls_mm:.0f} mm for the controls"
    )
    stops = [bend for bend in SHOP.stop_bends_deg if _margins(order, bend) >= 10]
    assert stops, "a stop that leaves 10 mm in both"
    assert 35.0 not in stops  # what stands in the cell at first is not an answer


def _margins(order, bend_deg: float) -> float:
    try:
        found = bar_map(order, TUBE, DIE, bend_deg)
    except BendError:
        return -np.inf
    return min(float(found.limit(key).margin) for key in ("straight", "controls"))


def _maps() -> Iterator[str]:
    rises, sweeps = np.arange(20, 161, 2.0), np.arange(0, 30.5, 0.5)
    count = (len(SHOP.dies), len(SHOP.stop_bends_deg), len(rises), len(sweeps))
    yield f"{len(rises)} rises and {len(sweeps)} sweeps"
    yield " x ".join(map(str, count)) + f" = {np.prod(count):,}".replace(",", " ")
    lowest, highest = rise_window_mm(ORDER, RADIUS, BEND_DEG, LEAST)
    left = RECIPE.grip_mm - ORDER.controls_mm
    assert highest - ORDER.rise_mm < ORDER.rise_mm - lowest  # "nearer to the upper edge"
    yield f"Choose the bend of {BEND_DEG:.0f} degrees. Is order 7"
    yield f"with {BEND_DEG:.0f} degrees there are {left:.1f} mm of grip left, and the window goes from {lowest:.1f} to {highest:.1f} mm"
    yield f"With {BEND_DEG:.0f} degrees, how many millimetres"
    yield from _right_hand_edge()
    higher = recipe_from_order(replace(ORDER, rise_mm=ORDER.rise_mm + 10), RADIUS, BEND_DEG)
    mark = higher.straight_mm - RECIPE.straight_mm
    yield f"3. About {mark:.0f} mm. From one line to the next are 10 mm of mark, and the rise grows by {100 / mark:.1f} mm"
    assert round(10 / SLOPES["outer mark"].rise_mm) == round(mark)
    yield f"The outer mark: {SLOPES['outer mark'].rise_mm:.2f} mm of rise per millimetre. So 10 mm more rise need about {mark:.0f} mm of mark"


def _right_hand_edge() -> Iterator[str]:
    most = float(ORDER.most_upsweep_deg)
    twenty, thirty = (_sweep_of_upsweep(bend, bend, most) for bend in (20.0, BEND_DEG))
    yield f"To a little over {twenty:.0f} degrees. There the upsweep reaches {most:.0f} degrees"
    for bend, ends in ((20.0, twenty), (BEND_DEG, thirty)):
        assert _can_be_made(bend, ends - 0.1)
        assert not _can_be_made(bend, ends + 0.05)
    assert 0 < twenty - 16 < 0.5
    quarter = atan(sin(radians(20)) / cos(radians(20)) ** 2) / RADIAN  # the sweep at a roll of a quarter turn
    assert 0 < quarter - 21 < 0.5
    yield f"to a little over {quarter:.0f} degrees, where the roll comes to 90 degrees, a quarter turn"
    yield f"With {BEND_DEG:.0f} degrees the green ends for the same reason, at {thirty:.0f} degrees"
    yield f"the upsweep reaches {most:.0f} degrees only at {_sweep_of_upsweep(20.0, 25.0, most):.0f} degrees of backsweep"
    yield "With inner bends of 20 and outer bends of 25 degrees"
    assert len(SHOP.stop_bends_deg) == 15
    yield f"Fifteen stops make {len(SHOP.stop_bends_deg) ** 2} pairs"


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


def _can_be_made(bend_deg: float, sweep_deg: float) -> bool:
    rises = np.arange(QUANTITIES["rise"].low, QUANTITIES["rise"].high + 1)
    return bool(
        (bar_map(replace(ORDER, rise_mm=rises, backsweep_deg=sweep_deg), TUBE, DIE, bend_deg).binding == 0).any()
    )


def _setback() -> Iterator[str]:
    bend, take = radians(30), RADIUS * tan(radians(15))
    half, flat, rise = ORDER.width_mm / 2, ORDER.clamp_flat_mm / 2, ORDER.rise_mm
    along, across = 45 / sin(bend), half - flat - take - rise / tan(bend)
    yield f"By hand: 45/sin 30° = {along:.0f} mm on one side; {half:.0f} - {flat:.0f} - {take:.1f} - {rise:.0f}/tan 30° = {across:.1f} mm"
    roll = atan(along / across)
    yield f"The tangent of the roll is {along:.0f}/{across:.1f} = {tan(roll):.3f}, which is {roll / RADIAN:.1f} degrees"
    made = bar_map(ORDER, TUBE, DIE, 30.0, setback_mm=45.0).recipe()
    assert round(made.roll_deg, 1) == round(roll / RADIAN, 1)
    widest = SHOP.dies[2]
    radius = springback_from_tube(TUBE, widest).finished_radius_mm
    width = next(width for width in np.arange(ORDER.width_mm, 1000) if _fits(replace(ORDER, width_mm=width), radius))
    yield f"up to {rise:.0f} mm only from about {width:.0f} mm of width on, {width - ORDER.width_mm:.0f} mm more than ordered"
    ups = np.arange(3.0, 12.0, 0.1)
    straights = [recipe_from_order(replace(ORDER, upsweep_deg=up), RADIUS, BEND_DEG).straight_mm for up in ups]
    runs_out = float(np.interp(-LEAST, -np.array(straights), ups))
    yield f"With bends of {BEND_DEG:.0f} degrees on {DIE.name}, **which edge"
    yield f"the straight runs out, at about {runs_out:.1f} degrees"


def _fits(order, radius_mm: float) -> bool:
    for bend in np.arange(20, 45, 0.25):
        lowest, highest = rise_window_mm(order, radius_mm, bend, LEAST)
        if lowest <= order.rise_mm <= highest:
            return True
    return False


def _slips() -> Iterator[str]:
    lever, inner, outer, roll = (
        (ORDER.width_mm - ORDER.clamp_flat_mm) / 2, SLOPES["inner bend"], SLOPES["outer bend"], SLOPES["roll"],
    )  # fmt: skip
    more = BEND_DEG + 1
    yield f"gets {more:.0f} degrees instead of {BEND_DEG:.0f}"
    yield f"A degree is 1/{1 / RADIAN:.0f} of the radius"
    yield f"moves the end by 1/{1 / RADIAN:.0f} of the lever"
    yield f"That is {lever / 57:.1f} mm for one degree! Half the width less half the clamp flat makes {lever:.0f} mm, and {lever:.0f}/57 = {lever / 57:.1f}"
    yield f"lifts the bar end by {inner.rise_mm:.1f} mm, brings it {-inner.half_width_mm:.1f} mm inward"
    assert round(inner.upsweep_deg, 1) == 1.0  # "turns the grip up by one degree"
    assert abs(inner.backsweep_deg) < 0.05
    yield f"would be {inner.clamp_reading_deg:.2f} degrees higher"
    yield f"bend {more:.0f} degrees, leave the marks"
    arc = RADIUS * RADIAN
    slipped = shape_from_recipe(replace(RECIPE, inner_bend_deg=more, clamp_flat_mm=RECIPE.clamp_flat_mm - 2 * arc))
    assert abs(slipped.rise_mm - ORDER.rise_mm - inner.rise_mm) < 0.01  # "agrees to a hundredth of a millimetre"
    yield f"the grip itself, {RECIPE.grip_mm:.0f} mm, and {RECIPE.grip_mm:.0f}/57 = {RECIPE.grip_mm / 57:.1f} mm"
    yield f"the outer bend ({outer.backsweep_deg:.2f} degrees per degree) and the roll ({roll.backsweep_deg:.2f})"
    yield f"changes it by only {inner.upsweep_deg + outer.upsweep_deg:.2f} degrees"
    assert max(abs(SLOPES[mark].rise_mm) for mark in ("inner mark", "outer mark")) < 0.5001
    by_reading = -inner.clamp_reading_deg / roll.clamp_reading_deg
    spoiled = inner.backsweep_deg + by_reading * roll.backsweep_deg
    assert round(spoiled, 2) == -round(outer.backsweep_deg, 2)  # "just as much ... the other way"
    yield f"by {-spoiled:.2f} degrees per degree"
    yield f"moves the bar end by 1/{1 / RADIAN:.0f} of its lever per degree"


def _budget() -> Iterator[str]:
    errors = BenchErrors(stop_deg=0.3, finder_deg=0.2, mark_mm=0.5)
    budget = error_budget(RECIPE, errors)
    yield f"and {WITHIN['rise_mm']:.0f} mm of rise. **Your stop repeats to {errors.stop_deg} degrees, your finder to {errors.finder_deg}"
    up = -SLOPES["outer bend"].upsweep_deg
    yield f"√2 x {up:.2f} x {errors.stop_deg} = {sqrt(2) * up * errors.stop_deg:.2f} degrees"
    assert abs(budget.total.upsweep_deg - 0.5) < 0.1  # "Half a degree of upsweep"
    assert budget.total.upsweep_deg > 0.5  # "one degree is not quite two of them"
    assert 0.25 < 1 - budget.share() < 0.33  # "more than a quarter of the bars are out"
    yield f"The rise is worse: {budget.total.rise_mm:.1f} mm against {WITHIN['rise_mm']:.0f}"
    yield f"{100 * KEPT_SHARE:.0f} of 100 bars only where"
    yield f"keeps its goal in {100 * KEPT_SHARE:.0f} of 100 bars"
    share = sin(radians(BEND_DEG))
    yield f"leads only {BEND_DEG:.0f} degrees off the clamp axis, so the finder sees only sin {BEND_DEG:.0f}° = {share:.2f} of a wrong turn"
    yield f"counts **{1 / share:.1f} times**"
    longest = {
        measure: max(budget.lines, key=lambda line: getattr(line.apart, measure)).tool
        for measure in ("rise_mm", "upsweep_deg")
    }
    assert set(longest.values()) == {STOP}
    yield f"it must repeat to {budget.most(STOP):.2f} degrees, held back by the {WITHIN['rise_mm']:.0f} mm of rise"
    better = error_budget(RECIPE, BenchErrors(stop_deg=0.12, finder_deg=0.1, mark_mm=0.5))
    yield f"With the stop at 0.12 and the finder at 0.1 the marks may be {better.most(MARK):.1f} mm off"
    larger = error_budget(recipe_from_order(ORDER, RADIUS, BEND_DEG + 5), errors).total
    assert larger.backsweep_deg < budget.total.backsweep_deg  # "helps the backsweep", "hurts the upsweep and the rise"
    assert larger.upsweep_deg > budget.total.upsweep_deg
    assert larger.rise_mm > budget.total.rise_mm


GIVEN = {
    "the normal distribution: 68 % within one standard deviation, 95 % within two": [
        "19 in 20 by less than twice as much",
        "How many of 100 bars keep to that",
    ],
    "two sides, each with slips of its own: the root of 2": ["√2 times"],
    "chosen for the exercise": [
        "Choose the bend of 20 degrees",
        "leaves at least 10 mm to spare in both",
        "straight and grip have 10 mm to spare",
        "for 10 mm more rise",
    ],
}
