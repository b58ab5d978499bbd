"""The numbers in the prose of lesson 05, worked out again."""

from collections.abc import Iterator
from dataclasses import replace

from conftest import ROOT

from barmath.bending.holds import USUAL_HOLDS
from barmath.bending.mistakes import SWAPPED, outcome_of_mistake
from barmath.bending.plans import PLANS
from barmath.bending.sequences import every_bend_sequence
from barmath.bending.spread import TUBES, ProcessErrors, only, spread_of_sequence
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.setup import setup_from_tube
from barmath.shop.shop_file import shop_from_file
from barmath.shop.tooling import springback_from_tube
from barmath.space.centerline import bends_from_recipe

RECIPE = order_seven_recipe()
SPRING = springback_from_tube(TUBE, DIE)
SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
GRIPS = "inner bends first, then grips in the hook"
FOLLOWER = SHOP.bender.follower_mm


def orders_of(recipe) -> list:
    return every_bend_sequence(bends_from_recipe(recipe), SPRING, DIE, TUBE.outside_diameter_mm, SHOP.bender)


def said() -> Iterator[str]:
    orders = orders_of(RECIPE)
    count, riser, flat, hook = len(orders), RECIPE.straight_mm, ORDER.clamp_flat_mm, DIE.least_straight_mm
    assert SHOP.bender.hook_mm is None  # "has no length of its own in the file"
    yield f"A test checks the answer for all {count} ways"
    yield f"`least_straight` counts: {hook:.0f} mm"
    yield f"Order 7 has a riser of {riser:.0f} mm and a clamp flat of {flat:.0f} mm"
    yield from _readings()
    yield from _errors()
    low = recipe_from_order(replace(ORDER, rise_mm=72), SPRING.finished_radius_mm, BEND_DEG)
    assert low.straight_mm < hook
    yield f"rise 72 instead of {ORDER.rise_mm:.0f}, and everything else as in order 7. With bends of {BEND_DEG:.0f} degrees its riser is {low.straight_mm:.0f} mm long"
    yield f"The hook needs {hook:.0f} mm of straight tube, and the riser has {low.straight_mm:.0f}"
    assert any(one.fits for one in orders_of(low))
    assert next(one for one in orders_of(low) if one.holds == PLANS[GRIPS]).fits  # "In 01 this is the plan"


def _readings() -> Iterator[str]:
    yield from _swapped()


def _swapped() -> Iterator[str]:
    straight, roll = round(float(RECIPE.straight_mm), 1), round(float(RECIPE.roll_deg), 1)
    meant = replace(RECIPE, straight_mm=straight, roll_deg=roll, outer_bend_deg=27.5)
    setup = setup_from_tube(TUBE, DIE, SHOP.bender)
    sides = outcome_of_mistake(SWAPPED, 0, bends_from_recipe(meant), USUAL_HOLDS, setup).sides
    wanted = shape_from_recipe(meant)
    assert abs(sides.rise_mm[0] - sides.rise_mm[1]) < 1e-6  # "Both sides are alike"
    yield (
        f"Set the outer bends to 27.5 and look again: the bar rises {sides.rise_mm[0]:.0f} mm in place of "
        f"{wanted.rise_mm:.0f}, with {sides.upsweep_deg[0]:.1f} degrees of upsweep in place of {wanted.upsweep_deg:.1f}"
    )
    yield f"the riser reads 27.5 degrees, and the sheet says {BEND_DEG:.0f}"
    inner, outer = {1, 2}, {0, 3}
    assert [hold.number in inner for hold in USUAL_HOLDS] == [True, True, False, False]  # "moves the stop once"
    sides_first = [hold.number in outer for hold in PLANS["one side after the other"]]
    assert sides_first == [False, True, False, True]  # "three times"


def _errors() -> Iterator[str]:
    errors, bends = (
        ProcessErrors(stop_deg=0.3, finder_deg=0.3, mark_mm=0.5, springback=0.002),
        bends_from_recipe(RECIPE),
    )
    plans = [spread_of_sequence(bends, holds, errors, SPRING, DIE, SHOP.bender) for holds in PLANS.values()]
    apart = [got.backsweep_apart_deg for got in plans]
    assert max(apart) - min(apart) < 0.1  # "within about a tenth of a degree of each other"
    assert all(round(2 * one) == 1 for one in apart)  # "half a degree of backsweep"
    alone = {
        tool: spread_of_sequence(bends, USUAL_HOLDS, only(errors, tool), SPRING, DIE, SHOP.bender)
        for tool in ("stop_deg", "finder_deg", "mark_mm", "springback")
    }
    for measure, tool in (
        ("backsweep_apart_deg", "finder_deg"),
        ("twist_deg", "finder_deg"),
        ("rise_apart_mm", "stop_deg"),
    ):
        assert max(alone, key=lambda one: getattr(alone[one], measure)) == tool
    yield f"Bend {TUBES} tubes"
    yield f"each with its own slips: {errors.stop_deg} degrees on the stop, {errors.finder_deg} on the angle finder"


GIVEN: dict[str, list[str]] = {}
