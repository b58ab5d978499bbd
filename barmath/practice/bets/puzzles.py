"""Puzzles that need a whole lesson: which stops, which order is lost, what happened at the bench, make it hold."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import asin, degrees, radians, sin

import numpy as np

from barmath.bending.holds import USUAL_HOLDS
from barmath.bending.mistakes import FLIPPED, NO_SPRINGBACK, SIGN, WRONG_MARK, Mistake, outcome_of_mistake
from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.records import Order
from barmath.planning.ways import Ways, every_way
from barmath.practice.bets.bet import Bet, choice_bet
from barmath.refusal import BendError
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.setup import Setup
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, springback_from_tube
from barmath.shop.which_shop import training_shop
from barmath.space.centerline import bends_from_recipe
from barmath.space.two_sides import TwoSides
from barmath.strength.load_cases import LATERAL
from barmath.strength.strength_study import first_yield_by_width

LOW_MM = 60.0
PAIRS_DEG = ((25.0, 25.0), (17.5, 25.0), (20.0, 22.5), (30.0, 20.0))
ORDERS = (
    Order(129, 13, 770, None, 60, 170),
    Order(96, 21, 750, None, 60, 170),
    Order(60, 16.5, 690, None, 60, 170),
    Order(63, 5, 710, None, 60, 170),
)
OFFSET_MM, LESS_DEG = 1.4, 1.0
"""The line-up offset of the training shop's die, and by how much a finder is set too low."""

MORE_WALL_MM = 0.5


def two_stops_for_low_bar() -> Bet:
    """Which pair of stops makes a low bar on the shop's own die."""
    ways = _ways(replace(ORDER, rise_mm=LOW_MM), (DIE,))
    rows = {pair: _row(ways, pair) for pair in PAIRS_DEG}
    names = {pair: f"inner {pair[0]:g}, outer {pair[1]:g} degrees" for pair in PAIRS_DEG}
    (right,) = (pair for pair, row in rows.items() if ways.can_be_made(row).item())
    lost = "\n".join(f"- With {names[pair]}, {_lacks(ways, row)}." for pair, row in rows.items() if pair != right)
    why = (
        f"With {names[right]} the bar has {ways.straight_left_mm[rows[right]]:.0f} mm of straight more than the "
        f"tooling needs, and an upsweep of {ways.upsweep_deg[rows[right]]:.1f} degrees. The others:\n\n{lost}"
    )
    habits = {
        names[pair]: "you forget the shortest straight" if pair[0] == pair[1] else "you forget the upsweep"
        for pair in PAIRS_DEG
    }
    text = f"Order 7 with a rise of {LOW_MM:.0f} mm, on {DIE.name}: which two stops make it?"
    return choice_bet(text, names[right], habits, names.values(), why)


def order_that_no_die_makes() -> Bet:
    """Which of four orders no die of the shop makes."""
    dies = training_shop().dies_for(TUBE)
    tried = {_order_words(order): _ways(order, dies) for order in ORDERS}
    (lost,) = (words for words, ways in tried.items() if ways.best is None)
    made = "\n".join(f"- {words}: {_made_words(ways)}." for words, ways in tried.items() if words != lost)
    why = (
        f"No die and no pair of stops makes the one with {lost}. The nearest miss is {tried[lost].die(0).name}, "
        f"where {_lacks(tried[lost], 0)}. The others can be made:\n\n{made}"
    )
    habit = "you look at one end of the rise window, not at both. A high bar needs width, and a wide bar has room"
    text = f"Order 7's rider needs {ORDER.controls_mm:.0f} mm for the controls. Which of these orders does no die make?"
    return choice_bet(text, lost, habit, tried, why)


def what_happened_at_bench() -> Bet:
    """Which mistake at the bench makes this bar."""
    mistakes = {"the wrong end of the arc was at the die": (WRONG_MARK, 2), "the tube was flipped": (FLIPPED, 1)}
    mistakes |= {"the reading had the wrong sign": (SIGN, 3), "springback was forgotten": (NO_SPRINGBACK, 0)}
    sides = {name: _sides(*one) for name, one in mistakes.items()}
    right = "the wrong end of the arc was at the die"
    others = "\n".join(f"- If {name}: {_sides_words(one)}." for name, one in sides.items() if name != right)
    why = f"At the third bend {right}, so that bend moved along the tube by a whole arc. No angle is off.\n\n{others}"
    habit = "you look at one reading only, but a mark never turns a grip"
    text = f"A bar of order 7 came out like this: {_sides_words(sides[right])}. What happened at the bench?"
    return choice_bet(text, right, habit, mistakes, why)


def low_on_both_sides() -> Bet:
    """What makes a bar that is low on both sides alike."""
    shapes = {
        "springback was forgotten": (_sides(NO_SPRINGBACK, 0).rise_mm[0], _sides(NO_SPRINGBACK, 0).backsweep_deg[0]),
        "the line-up offset was forgotten": _offset_forgotten(),
        "the finder was set a degree too low": _finder_too_low(),
    }
    right = "springback was forgotten"
    rise, sweep = shapes[right]
    others = "\n".join(
        f"- If {name}: rise {shape[0]:.1f} mm, backsweep {shape[1]:.1f} degrees."
        for name, shape in shapes.items() if name != right
    )  # fmt: skip
    why = (
        "All four bends are equally too small. So the risers climb less, and the sweep hardly changes: the "
        f"roll comes from the finder.\n\n{others}"
    )
    habits = {
        "the line-up offset was forgotten": "you forget the sign of the offset, but without it the bar is too high",
        "the finder was set a degree too low": "you think that the reading sets the rise, but it sets the sweep",
        right: "you think that every fault comes from the stop",
    }
    text = (
        f"Order 7 comes out {ORDER.rise_mm - rise:.0f} mm too low on both sides. Its backsweep reads {sweep:.1f} "
        "degrees. What happened at the bench?"
    )
    return choice_bet(text, right, habits, shapes, why)


def make_it_hold() -> Bet:
    """Which change brings the lateral load below first yield."""
    tubes = [TUBE, Tube(TUBE.outside_diameter_mm, TUBE.wall_mm + MORE_WALL_MM)]
    widths = np.array([ORDER.width_mm - less for less in (0.0, 40.0, 80.0)])
    order, radius = replace(ORDER, controls_mm=140.0), order_seven_recipe().radius_mm
    share = np.asarray(first_yield_by_width(order, radius, BEND_DEG, tubes, widths, LATERAL))
    wall = f"{MORE_WALL_MM:g} mm more wall"
    ways = {
        "80 mm less width": share[0, 2],
        wall: share[1, 0],
        f"{wall} and 40 mm less width": share[1, 1],
    }
    (right,) = (name for name, one in ways.items() if one < 1.0)
    each = ", ".join(f"with {name} to {one:.2f}" for name, one in ways.items())
    why = (
        f"The load comes to {share[0, 0]:.2f} of first yield without a change, {each}. So only one of them comes "
        "below 1, and by very little. **That approves nothing.** The sum knows nothing of joints, notches, crashes "
        "and fatigue. It only says where to look next."
    )
    habit = "you think that the first change that helps is enough"
    text = "Make it hold, on paper: which change brings the lateral load of order 7 below first yield?"
    return choice_bet(text, right, habit, ways, why)


def _ways(order: Order, dies: tuple[Die, ...]) -> Ways:
    shop = training_shop()
    return every_way(order, TUBE, dies, bends_deg=shop.stop_bends_deg, stock_length_mm=shop.stock_length_mm)


def _row(ways: Ways, pair: tuple[float, float]) -> int:
    return int(np.flatnonzero((ways.inner_bend_deg == pair[0]) & (ways.outer_bend_deg == pair[1]))[0])


def _order_words(order: Order) -> str:
    return f"rise {order.rise_mm:g}, backsweep {order.backsweep_deg:g}, width {order.width_mm:g}"


def _lacks(ways: Ways, row: int) -> str:
    # the reason without what to do: all choices of a puzzle are given
    return BendError(ways.reason(row)).why


def _made_words(ways: Ways) -> str:
    row = ways.best or 0
    return f"{ways.die(row).name}, inner {ways.inner_bend_deg[row]:g}, outer {ways.outer_bend_deg[row]:g} degrees"


@cache
def _sides(mistake: Mistake, step: int) -> TwoSides:
    setup = Setup(TUBE.outside_diameter_mm, DIE, springback_from_tube(TUBE, DIE), training_shop().bender)
    return outcome_of_mistake(mistake, step, bends_from_recipe(order_seven_recipe()), USUAL_HOLDS, setup).sides


def _sides_words(sides: TwoSides) -> str:
    (low, high), (left, right) = sides.rise_mm, sides.backsweep_deg
    return f"rises {low:.0f} and {high:.0f} mm, backsweeps {left:.1f} and {right:.1f} degrees"


def _offset_forgotten() -> tuple[float, float]:
    recipe = order_seven_recipe()
    shape = shape_from_recipe(replace(recipe, straight_mm=recipe.straight_mm + 2 * OFFSET_MM))
    return float(shape.rise_mm), float(shape.backsweep_deg)


def _finder_too_low() -> tuple[float, float]:
    recipe = order_seven_recipe()
    reading = radians(float(clamp_reading_deg(recipe)) - LESS_DEG)
    shape = shape_from_recipe(replace(recipe, roll_deg=degrees(asin(sin(reading) / sin(radians(BEND_DEG))))))
    return float(shape.rise_mm), float(shape.backsweep_deg)
