"""The bets of lesson 04, what this shop can make. Every number is worked out for order 7 of the training shop."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import cos, degrees, radians, sin, tan

import numpy as np

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order, rise_window_mm
from barmath.closed_forms.records import Order
from barmath.planning.design_map import Combinations, bar_map, every_combination
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.practice.bets.puzzles import order_that_no_die_makes
from barmath.practice.bets.slips import SLIP_BETS
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.orders import orders_from_file
from barmath.shop.tooling import springback_from_tube
from barmath.shop.which_shop import training_file, training_shop

RECIPE = order_seven_recipe()
SETBACK_MM = 45.0


def more_backsweep() -> Bet:
    """Which way the window moves with more backsweep."""
    ways = ("it moves down", "it does not move", "it moves up")
    here, there = _window(ORDER.backsweep_deg), _window(2 * ORDER.backsweep_deg)
    why = (
        f"With {ORDER.backsweep_deg:.0f} degrees the window begins at {here[0]:.0f} mm, and with "
        f"{2 * ORDER.backsweep_deg:.0f} degrees at {there[0]:.0f} mm. Both ends climb, slowly at first and then fast. "
        "To sweep the grip back you roll the outer bend over. An outer bend that is rolled over no longer turns the "
        "grip quite down to level. So the grip itself climbs, even with the shortest straight."
    )
    others = {
        ways[0]: "you think that the roll lays the whole bar down",
        ways[1]: "you think that backsweep does not change the rise",
    }
    text = "A rider wants more backsweep at the same bend. What happens to the rise window?"
    return choice_bet(text, ways[2], others, ways, why)


def combinations() -> Bet:
    """How many combinations a map looks at."""
    shape = _tried().binding.shape
    count = int(np.prod(shape))
    why = (
        " x ".join(str(size) for size in shape)
        + f" = {count:,}".replace(",", " ")
        + ". The computer needs a moment for them. "
        "A million take as long as a million sines, cosines, tangents and arctangents. The angles depend only on "
        "bend and sweep, so they are not worked out again for each rise and die."
    )
    habits = ((count / shape[1], "you forget the stops"), (count / shape[0], "you forget the dies"))
    text = (
        f"How many combinations are there of {shape[0]} dies, {shape[1]} stops, {shape[2]} rises and {shape[3]} sweeps?"
    )
    return number_bet(text, "", count, 2000.0, (0.0, 1e7), habits, why)


def share_of_die() -> Bet:
    """How much of the map the tightest die makes."""
    shares = 100 * (_tried().binding == 0).any(axis=1).mean(axis=(1, 2))
    why = (
        f"With at least one of its stops {DIE.name} makes {shares[0]:.0f} % of the orders on this map. "
        f"The other two make {shares[1]:.0f} and {shares[2]:.0f} %. Most of the map cannot be made. "
        "The bars there are too high for the width, too low for the arcs, or have too much sweep."
    )
    text = f"How many per cent of the orders on the map can {DIE.name} make with at least one of its stops?"
    return number_bet(
        text, "%", float(shares[0]), 5.0, (0.0, 100.0), ((100.0, "you think that a tight die makes everything"),), why
    )


def nearest_edge() -> Bet:
    """Which edge of the green is nearest to order 7."""
    low, high = _window(ORDER.backsweep_deg)
    edges = ("the lower edge: the straight", "it is in the middle", "the upper edge: room for the controls")
    why = (
        f"The window goes from {low:.1f} to {high:.1f} mm, and order 7 asks for {ORDER.rise_mm:.0f} mm. So the upper "
        f"edge is nearer. There are {RECIPE.grip_mm - ORDER.controls_mm:.1f} mm of grip left."
    )
    others = {
        edges[0]: "you think that the shortest straight limits every bar",
        edges[1]: "you think that this bend is the best one",
    }
    text = f"With bends of {BEND_DEG:.0f} degrees, which edge of the green is nearest to order 7?"
    return choice_bet(text, edges[2], others, edges, why)


def end_of_green() -> Bet:
    """The sweep at which a bend of 20 degrees ends."""
    bend, most = radians(20.0), float(ORDER.most_upsweep_deg)
    quarter = degrees(np.arctan(sin(bend) / cos(bend) ** 2))
    ends, usual = _sweep_of_upsweep(20.0), _sweep_of_upsweep(BEND_DEG)
    why = (
        f"The green ends at {ends:.1f} degrees. There the upsweep reaches {most:.0f} degrees, the most that is "
        f"accepted if none is ordered. The tube could go on to {quarter:.1f} degrees. There the roll comes to 90 "
        "degrees, a quarter turn, and a longer straight no longer lifts the bar. With bends of "
        f"{BEND_DEG:.0f} degrees the green ends for the same reason, at {usual:.0f} degrees."
    )
    habits = (
        (40.0, "you add the two bends"),
        (float(quarter), "you look only at the tube, not at the upsweep"),
        (10.0, "you take half a bend as the sweep"),
    )
    text = "Choose the bend of 20 degrees. Up to which backsweep does the green go?"
    return number_bet(text, "deg", ends, 1.5, (0.0, 90.0), habits, why)


def mark_for_rise() -> Bet:
    """How far the outer mark moves for more rise."""
    higher = recipe_from_order(replace(ORDER, rise_mm=ORDER.rise_mm + 10.0), RECIPE.radius_mm, BEND_DEG)
    mark = float(higher.straight_mm - RECIPE.straight_mm)
    why = (
        f"The mark moves {mark:.1f} mm. The blue lines are 10 mm of mark apart, and from one to the next the rise "
        f"grows by {100 / mark:.1f} mm. The riser leans, so a longer riser lifts the bar by only a part of its length."
    )
    text = "How many mm further out is the outer mark for 10 mm more rise?"
    return number_bet(text, "mm", mark, 3.0, (0.0, 100.0), ((10.0, "you think that a riser goes straight up"),), why)


def largest_die() -> Bet:
    """What the largest die leaves of the map."""
    highest = max(rise for rise in np.arange(20.0, 161.0) if _made_on_largest(replace(ORDER, rise_mm=rise)))
    left = ("low bars only", "high bars only", "all of it, but smaller")
    why = (
        f"A narrow wedge of low bars is left. At the sweep of order 7 it ends at {highest:.0f} mm. Above it neither "
        "straight nor controls fit: the big arcs take too much of the half width."
    )
    others = {
        left[1]: "you think that big arcs make high bars, because they climb more",
        left[2]: "you think that the two limits move together",
    }
    return choice_bet("Choose the largest die. What is left of the green?", left[0], others, left, why)


def wider_bar() -> Bet:
    """How much wider order 7 must be for the largest die."""
    widths = np.arange(ORDER.width_mm, 1000.0)
    width = float(next(one for one in widths if _made_on_largest(replace(ORDER, width_mm=one))))
    why = (
        f"On the map of the largest die the green reaches up to {ORDER.rise_mm:.0f} mm only from about {width:.0f} mm "
        f"of width on. That is {width - ORDER.width_mm:.0f} mm more than ordered."
    )
    text = "How many mm wider must order 7 become, so that the largest die can make it?"
    habit = (2 * (width - ORDER.width_mm), "you count the width of both sides twice")
    return number_bet(text, "mm", width - ORDER.width_mm, 6.0, (0.0, 400.0), (habit,), why)


def more_upsweep() -> Bet:
    """Which edge more upsweep meets first."""
    ups = np.arange(3.0, 12.0, 0.1)
    straights = [_straight(replace(ORDER, upsweep_deg=float(up))) for up in ups]
    runs_out = float(np.interp(-DIE.least_straight_mm, -np.array(straights), ups))
    edges = ("too little grip for the controls", "too little straight to hold", "the end of the stop")
    why = (
        f"The straight runs out at about {runs_out:.1f} degrees. The grips climb so much by themselves that the riser "
        "has nothing left to do."
    )
    others = {
        edges[0]: "you think that a grip that climbs gets shorter",
        edges[2]: "you think that upsweep comes from a larger bend",
    }
    text = f"With bends of {BEND_DEG:.0f} degrees on {DIE.name}: which edge do you meet first with more upsweep?"
    return choice_bet(text, edges[1], others, edges, why)


def roll_for_setback() -> Bet:
    """The roll that a setback needs, from a triangle."""
    bend, half, flat = radians(BEND_DEG), ORDER.width_mm / 2, ORDER.clamp_flat_mm / 2
    take, rise = RECIPE.radius_mm * tan(bend / 2), ORDER.rise_mm
    along, across = SETBACK_MM / sin(bend), half - flat - take - rise / tan(bend)
    roll = degrees(np.arctan2(along, across))
    b = f"{BEND_DEG:.0f}"
    why = (
        f"One short side is {SETBACK_MM:.0f}/sin {b}° = {along:.0f} mm. The other is {half:.0f} - {flat:.0f} - "
        f"{take:.1f} - {rise:.0f}/tan {b}° = {across:.1f} mm. The tangent of the roll is {along:.0f}/{across:.1f} = "
        f"{along / across:.3f}, and that is {roll:.1f} degrees."
    )
    habits = (
        (degrees(np.arctan2(SETBACK_MM, across)), "you do not divide the setback by the sine of the bend"),
        (degrees(np.arcsin(along / across)), "you use the tangent as the sine"),
    )
    text = f"Order 7 gets a setback of {SETBACK_MM:.0f} mm, with bends of {b} degrees. Which roll does it need?"
    return number_bet(text, "deg", float(roll), 0.5, (0.0, 90.0), habits, why)


def own_stop() -> Bet:
    """The stop that spares most on order 14."""
    order = next(one.order for one in orders_from_file(training_file("orders.toml")) if one.name == "order 14")
    stops = training_shop().stop_bends_deg
    bars = {bend: bar_map(order, TUBE, DIE, bend) for bend in stops}
    spare = {bend: float(min(one.limit(key).margin for key in ("straight", "controls"))) for bend, one in bars.items()}
    best = max((bend for bend in stops if bars[bend].feasible), key=lambda bend: spare[bend])
    blind = max((bend for bend in stops if spare[bend] == spare[bend]), key=lambda bend: spare[bend])
    why = (
        f"With {best:.1f} degrees the smaller of the two is {spare[best]:.0f} mm. At {blind:.1f} degrees it is "
        f"{spare[blind]:.0f} mm, but there the upsweep is {float(bars[blind].upsweep_deg):.0f} degrees, and "
        f"{order.most_upsweep_deg:.0f} are accepted. The map shows it: that place is not green."
    )
    habits = (
        (blind, "you forget the upsweep"),
        (35.0, "you think that a steep riser is good for everything"),
    )
    text = "Look at the smaller of straight and grip left over. Which stop of die 102 leaves the most?"
    return number_bet(text, "deg", float(best), 0.5, (0.0, 90.0), habits, why)


def _window(sweep_deg: float) -> tuple[float, float]:
    order = replace(ORDER, backsweep_deg=sweep_deg)
    lowest, highest = rise_window_mm(order, RECIPE.radius_mm, BEND_DEG, DIE.least_straight_mm)
    return float(lowest), float(highest)


def _sweep_of_upsweep(bend_deg: float) -> float:
    """The backsweep at which a bar of these bends, risers upright, has the most upsweep that is accepted."""
    from scipy.optimize import brentq

    def over(sweep_deg: float) -> float:
        order = Order(100.0, sweep_deg, 1000.0, None, 60.0, 0.0)
        rise = float(np.mean(rise_window_mm(order, 50.0, bend_deg, 0.0)))
        made = recipe_from_order(replace(order, rise_mm=rise), 50.0, bend_deg)
        return float(shape_from_recipe(made).upsweep_deg - ORDER.most_upsweep_deg)

    return float(brentq(over, 1.0, bend_deg))


@cache
def _tried() -> Combinations:
    shop = training_shop()
    grid = replace(ORDER, rise_mm=np.arange(20, 161, 2.0)[:, None], backsweep_deg=np.arange(0, 30.5, 0.5))
    return every_combination(grid, TUBE, shop.dies_for(TUBE), shop.stop_bends_deg, stock_length_mm=shop.stock_length_mm)


def _straight(order: Order) -> float:
    return float(recipe_from_order(order, RECIPE.radius_mm, BEND_DEG).straight_mm)


def _made_on_largest(order: Order) -> bool:
    die = training_shop().dies_for(TUBE)[-1]
    radius, bends = springback_from_tube(TUBE, die).finished_radius_mm, np.arange(20.0, 45.0, 0.25)
    lowest, highest = rise_window_mm(order, radius, bends, die.least_straight_mm)
    return bool(((lowest <= order.rise_mm) & (order.rise_mm <= highest)).any())


BETS = {
    "more backsweep": more_backsweep,
    "combinations": combinations,
    "share of a die": share_of_die,
    "nearest edge": nearest_edge,
    "end of the green": end_of_green,
    "mark for rise": mark_for_rise,
    "largest die": largest_die,
    "wider bar": wider_bar,
    "more upsweep": more_upsweep,
    "roll for a setback": roll_for_setback,
    **SLIP_BETS,
    "own stop": own_stop,
    "puzzle: the lost order": order_that_no_die_makes,
}
"""As the lesson asks them, first to last."""
