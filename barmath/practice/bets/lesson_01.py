"""The bets of lesson 01, order to bench. Every number is worked out for order 7 of the training shop."""

from __future__ import annotations

from dataclasses import replace

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order
from barmath.planning.old_marks import bend_from_straight_deg
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.shop.order_seven import BEND_DEG, ORDER, order_seven_recipe

OLD_STRAIGHT_MM = 90.0
"""Straight between the arcs that an old pair of marks gives."""


def reading_and_sweep() -> Bet:
    """How the reading compares with the backsweep."""
    reading, sweep = float(clamp_reading_deg(order_seven_recipe())), float(ORDER.backsweep_deg)
    ways = ("more than the backsweep", "less than the backsweep", "very nearly the backsweep")
    near = abs(reading - sweep) < 0.2
    why = (
        f"It shows {reading:.1f} degrees. With equal bends the reading is very nearly the backsweep. That is why "
        "builders set the angle finder to the sweep. It holds for equal bends only. Lesson 02 shows why, and by how "
        "much it is off otherwise."
    )
    habits = {
        ways[0]: "you confuse the roll with the reading",
        ways[1]: "you think that a part of the roll is lost",
        ways[2]: "you think that reading and sweep are one thing",
    }
    text = f"What must the angle finder show, compared with the {sweep:.0f} degrees of backsweep?"
    return choice_bet(text, ways[2 if near else 0 if reading > sweep else 1], habits, ways, why)


def old_mark() -> Bet:
    """The bend that an old mark asks for."""
    recipe = order_seven_recipe()
    bend = float(bend_from_straight_deg(ORDER, recipe.radius_mm, OLD_STRAIGHT_MM))
    arc = recipe.radius_mm * bend * RADIAN
    bar = recipe_from_order(ORDER, recipe.radius_mm, bend)
    lower = ORDER.rise_mm - float(shape_from_recipe(replace(bar, straight_mm=OLD_STRAIGHT_MM - arc)).rise_mm)
    why = (
        f"It is {bend:.1f} degrees: a shorter riser must climb more steeply. Mind what is measured. The old mark is "
        f"{OLD_STRAIGHT_MM:.0f} mm *between the arcs*. Do not measure from the start of one bend to the start of the "
        f"next. The straight would be shorter by a whole arc, some {arc:.0f} mm, and the bar {lower:.0f} mm lower."
    )
    habits = (
        (BEND_DEG * OLD_STRAIGHT_MM / float(recipe.straight_mm), "you think that a shorter riser needs a smaller bend"),
        (BEND_DEG, "you think that the riser adds nothing to the rise"),
        (BEND_DEG * float(recipe.straight_mm) / OLD_STRAIGHT_MM, "you forget the climb of the arcs"),
    )
    text = f"An old mark leaves {OLD_STRAIGHT_MM:.0f} mm between the arcs. Which bend gives order 7 its rise then?"
    return number_bet(text, "deg", bend, 0.5, (0.0, 90.0), habits, why)


BETS = {"reading and sweep": reading_and_sweep, "old mark": old_mark}
"""As the lesson asks them, first to last."""
