"""The bets of lesson 02, where the formulas come from. Every number is worked out for order 7 of the training shop."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import asin, atan, cos, degrees, radians, sin, tan

import numpy as np

from barmath.closed_forms.forward import clamp_reading_deg, grips_level, shape_from_recipe
from barmath.closed_forms.inverse import least_bend_deg, recipe_from_order
from barmath.closed_forms.records import Recipe
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.shop.order_seven import BEND_DEG, ORDER, OUTER_DEG, order_seven_recipe, two_stop_recipe

RECIPE, TWO = order_seven_recipe(), two_stop_recipe()
BAR, RADIUS = shape_from_recipe(RECIPE), float(RECIPE.radius_mm)
A, SWEEP = radians(BEND_DEG), float(ORDER.backsweep_deg)
MORE_DEG, WRONG_OUTER_DEG = BEND_DEG + 5.0, BEND_DEG + 10.0


def up_the_riser() -> Bet:
    """How far up one millimetre of riser leads."""
    why = (
        f"The millimetre is the long side of a right-angled triangle with an angle of {BEND_DEG:.0f} degrees. The side "
        "that goes up is its sine, and the side that goes right is its cosine. This is the one rule of the lesson. "
        "**New heading = heading · cos(angle) + toward · sin(angle)**. *Toward* is where the tube turns to, square "
        "to its heading."
    )
    habits = ((BEND_DEG / 90.0, "you think that a third of 90 degrees gives a third of the height"),)
    text = "You go 1 mm along the riser. How many mm higher are you then?"
    return number_bet(text, "mm", sin(A), 0.02, (0.0, 2.0), habits, why)


def climb_of_arc() -> Bet:
    """How far the arc climbs."""
    climb = RADIUS * (1 - cos(A))
    why = (
        "The centre of the arc is *R* above the start of the bend. At the end of the bend you are *R* cos *a* below "
        "the centre. The difference is how far the arc has climbed. That is *R* less *R* cos *a*, or *R* times "
        "(1 - cos *a*)."
    )
    habits = (
        (RADIUS * sin(A), "you take the way to the right, not the way up"),
        (RADIUS * A * sin(A), "you think that the whole arc climbs as steeply as its end"),
    )
    text = f"The bend is an arc of {RADIUS:.0f} mm radius and {BEND_DEG:.0f} degrees. How many mm does it climb?"
    return number_bet(text, "mm", climb, 1.5, (0.0, 120.0), habits, why)


def corner_ahead() -> Bet:
    """How far the corner is ahead of the start of a bend."""
    take = RADIUS * tan(A / 2)
    why = (
        "The line from the centre to the corner makes two equal right-angled triangles. The angle at the centre is "
        "half the bend. The side next to it is *R*, so the other side is *R* tan(*a*/2). It is the same before and "
        "after the corner. Pipefitters call it the *take-out*. Now a bend is a corner between two straight lines."
    )
    habits = (
        (RADIUS * A, "you take the whole arc"),
        (RADIUS * sin(A), "you take the end of the arc, not the corner"),
    )
    text = "How many mm is the corner ahead of the start of the bend?"
    return number_bet(text, "mm", take, 1.0, (0.0, 120.0), habits, why)


def pushed_where() -> Bet:
    """Which way the outer bend of a rolled tube pushes the grip."""
    ways = ("down, and to the right", "down, to the right, and to the back", "to the back only")
    why = (
        f"Without roll the bend pushes square to the riser, down and to the right. The roll of {RECIPE.roll_deg:.1f} "
        "degrees turns that direction about the riser, part of the way to the back. It is the same rule again. The "
        "angle is the roll, and *toward* is the back."
    )
    others = {ways[0]: "you forget the roll", ways[2]: "you think that the roll is a quarter turn"}
    text = "The tube is rolled about the riser, then bent again. Which way does the second bend push the grip?"
    return choice_bet(text, ways[1], others, ways, why)


def no_roll() -> Bet:
    """Where the grip points without a roll."""
    ways = ("straight to the right", "to the right and up", "to the right and down")
    why = (
        f"With equal bends and no roll the outer bend undoes the inner one. The grip points to the right again. At a "
        f"roll of 180 degrees the bends add up, and the grip climbs at {2 * BEND_DEG:.0f} degrees. In between the "
        f"grip swings through the back. At {RECIPE.roll_deg:.2f} degrees it has {BAR.backsweep_deg:.0f} degrees of "
        f"backsweep. It also has {BAR.upsweep_deg:.1f} degrees of upsweep, which nobody ordered."
    )
    others = {ways[1]: "you look only at the inner bend", ways[2]: "you look only at the outer bend"}
    text = "Both bends are equal and the roll is 0. Where does the grip point?"
    return choice_bet(text, ways[0], others, ways, why)


def most_backsweep() -> Bet:
    """The most backsweep that the bends of order 7 give."""
    rolls = np.arange(0.0, 180.0, 0.02)
    sweeps = np.asarray(shape_from_recipe(replace(RECIPE, roll_deg=rolls)).backsweep_deg)
    most, at = float(sweeps.max()), float(rolls[sweeps.argmax()])
    why = (
        f"The backsweep climbs to {most:.0f} degrees at a roll of {at:.0f} degrees, and comes down again. Keep two "
        "things in mind. Bends of a given size have a most backsweep. And each smaller backsweep comes twice, once "
        "with a small roll and once with a large one."
    )
    habits = (
        (BEND_DEG, "you think that the grip turns back by one bend"),
        (2 * BEND_DEG, "you think that both bends turn the grip back"),
    )
    text = f"What is the most backsweep that bends of {BEND_DEG:.0f} degrees can give, at any roll?"
    return number_bet(text, "deg", most, 2.0, (0.0, 180.0), habits, why)


def from_the_riser() -> Bet:
    """How much of the rise the riser leg gives."""
    leg = (RECIPE.straight_mm + 2 * RADIUS * tan(A / 2)) * sin(A)
    why = (
        f"The riser leg is the straight and a take-out at each end. It climbs sin {BEND_DEG:.0f} = {sin(A):.1f} mm for "
        f"each millimetre, which makes {leg:.0f} mm. The grip leg climbs little for each millimetre, but it is long: "
        f"{ORDER.rise_mm - leg:.0f} mm. Together they make the {ORDER.rise_mm:.0f} mm of the order."
    )
    habits = (
        (RECIPE.straight_mm * sin(A), "you forget the take-outs at both ends"),
        (float(ORDER.rise_mm), "you think that the grip is level"),
    )
    text = f"Order 7 has {ORDER.rise_mm:.0f} mm of rise. How many of them come from the riser leg, corner to corner?"
    return number_bet(text, "mm", leg, 4.0, (0.0, 200.0), habits, why)


def level_rise() -> Bet:
    """The rise with the grips level."""
    rise = float(shape_from_recipe(grips_level(RECIPE)).rise_mm)
    why = (
        "The tops of the risers go back, and a bar that leans is lower. One and the same tube has two rises, "
        f"{ORDER.rise_mm:.0f} and {rise:.0f} mm. So say which is meant wherever a rise is written: with the *risers "
        "upright*, or with the *grips level*."
    )
    habits = ((float(ORDER.rise_mm), "you think that a turn does not change the height"),)
    text = f"The bar of {ORDER.rise_mm:.0f} mm is turned in the stem until its grips are level. What is its rise then?"
    return number_bet(text, "mm", rise, 2.0, (0.0, 200.0), habits, why)


def finder_reads() -> Bet:
    """What the angle finder reads for order 7."""
    reading = float(clamp_reading_deg(RECIPE))
    why = (
        "Look along the riser. The clamp flat is at the angle of the roll to the level. But you see it shortened, to "
        f"sin *a* of its length. So it hangs below the riser by sin *a* sin *φ* of its length, and the finder shows "
        f"{reading:.2f} degrees. The backsweep ordered was {SWEEP:.2f}. That is no accident: part 9 shows why."
    )
    habits = ((float(RECIPE.roll_deg), "you confuse the roll with the reading"),)
    text = f"The roll is {RECIPE.roll_deg:.2f} degrees. What does an angle finder on the clamp flat read?"
    return number_bet(text, "deg", reading, 0.5, (0.0, 90.0), habits, why)


def how_many_rolls() -> Bet:
    """How many rolls give the backsweep of order 7."""
    ways = ("none", "one", "two")
    why = (
        "The left side climbs with the roll, and comes down again. It meets the line *C* twice. Both rolls give the "
        "ordered backsweep. The curve of part 2 showed the same."
    )
    others = {ways[0]: "you put the line above the curve", ways[1]: "you let the curve climb all the way"}
    text = f"How many rolls from 0 to 180 give bends of {BEND_DEG:.0f} degrees a backsweep of {SWEEP:.0f} degrees?"
    return choice_bet(text, ways[2], others, ways, why)


def larger_bends() -> Bet:
    """Whether larger bends need more roll."""
    more = float(recipe_from_order(ORDER, RADIUS, MORE_DEG).roll_deg)
    ways = ("less", "more", "the same")
    why = (
        f"Less: {more:.1f} degrees instead of {RECIPE.roll_deg:.1f}. With larger bends *A* is larger, and *C* is "
        "smaller. So the arcsine of *C* over *H* is smaller. A larger bend pushes the grip further back "
        "for each degree of roll."
    )
    others = {ways[1]: "you let bend and roll grow together", ways[2]: "you take the sweep from the roll alone"}
    text = (
        f"All bends are {MORE_DEG:.0f} instead of {BEND_DEG:.0f} degrees. How much roll is needed for the same sweep?"
    )
    return choice_bet(text, ways[0], others, ways, why)


def other_roll() -> Bet:
    """The upsweep with the second roll."""
    lean = degrees(atan(tan(radians(SWEEP)) * sin(A)))
    other = shape_from_recipe(replace(RECIPE, roll_deg=180.0 - float(RECIPE.roll_deg) + 2 * lean))
    why = (
        f"The backsweep is {other.backsweep_deg:.0f} degrees, as ordered. But the grips point up at "
        f"{other.upsweep_deg:.0f} degrees, like horns. Nobody builds that bar. The tool always takes the smaller roll."
    )
    habits = ((float(BAR.upsweep_deg), "you think that the same backsweep means the same bar"),)
    text = "The second roll gives the same backsweep. How many degrees of upsweep does it give?"
    return number_bet(text, "deg", float(other.upsweep_deg), 8.0, (0.0, 90.0), habits, why)


def least_bend() -> Bet:
    """The least bend of one stop for the backsweep of order 7."""
    least = float(least_bend_deg(ORDER))
    why = (
        "A sine cannot be above 1, so *C* cannot be above *H*. At the least bend they are equal. For a small sweep the "
        "least bend is almost the sweep itself. There the roll is about a quarter turn, and a small error of the stop "
        "needs a very different roll. So keep some distance from it."
    )
    habits = ((SWEEP / 2, "you think that the risers lean back, so that two bends add up"),)
    text = f"How small may four equal bends be for {SWEEP:.0f} degrees of backsweep, with the risers upright?"
    return number_bet(text, "deg", least, 0.8, (0.0, 90.0), habits, why)


def smaller_outer() -> Bet:
    """Whether a smaller outer bend needs more roll."""
    ways = ("more", "less", "the same")
    why = (
        f"More: {TWO.roll_deg:.2f} degrees. A smaller outer bend pushes the grip less. So it must push it more to the "
        "back. *A* is smaller, and *C* hardly changes."
    )
    others = {ways[1]: "you think that bend and roll grow together", ways[2]: "you look only at the inner bend"}
    text = f"The outer bends are {OUTER_DEG} degrees, the inner bends remain {BEND_DEG:.0f}. How much roll is needed?"
    return choice_bet(text, ways[0], others, ways, why)


def two_stop_straight() -> Bet:
    """The straight of the two-stop bar against that of order 7."""
    ways = ("it gets longer", "it gets shorter", "it does not change")
    why = (
        f"Shorter: {TWO.straight_mm:.1f} mm instead of {RECIPE.straight_mm:.1f}. The smaller outer bend leaves the "
        f"grip steeper, at {shape_from_recipe(TWO).upsweep_deg:.1f} degrees of upsweep. So the grip gives "
        "more of the rise, "
        "and the riser must give less."
    )
    others = {
        ways[0]: "you think that a smaller bend lifts less",
        ways[2]: "you think that the straight depends on the rise alone",
    }
    text = (
        f"Rise and width do not change, and the outer bends become {OUTER_DEG} degrees. What happens to the "
        f"straight of {RECIPE.straight_mm:.1f} mm?"
    )
    return choice_bet(text, ways[1], others, ways, why)


def more_upsweep() -> Bet:
    """What an ordered upsweep does to roll and stem."""
    bar = upswept_recipe()
    ways = ("a larger roll, risers lean forward", "a larger roll, risers lean back", "a smaller roll, risers lean back")
    why = (
        f"The total turn is larger, so the roll is larger too: {bar.roll_deg:.2f} degrees. The stem roll is "
        f"{bar.stem_roll_deg:.2f} degrees. It is negative. So the tops of the risers lean forward, and that lifts "
        "the grips."
    )
    others = {ways[1]: "you swap the sign of the stem roll", ways[2]: "you think more upsweep needs less turn"}
    text = f"A rider wants {SWEEP:.0f} degrees back and 5 degrees up, on bends of {BEND_DEG:.0f}. What is the bar like?"
    return choice_bet(text, ways[0], others, ways, why)


def set_to_sweep() -> Bet:
    """The backsweep when the finder is set to the sweep and the outer bends are larger."""
    sweep = float(shape_from_recipe(set_to_sweep_recipe()).backsweep_deg)
    why = (
        "The finder reads sin *a* sin *φ*, but the grip's part to the back is sin *b* sin *φ*. The two differ by sin "
        "*a* over sin *b*. With equal bends they are equal. Then the reading is the lean of the grip, and very nearly "
        "the backsweep. With unequal bends use the reading of the recipe."
    )
    habits = ((SWEEP, "you think that the finder shows the sweep for all bends"),)
    text = (
        f"Inner bends {BEND_DEG:.0f}, outer bends {WRONG_OUTER_DEG:.0f} degrees. The finder is set to {SWEEP:.0f} "
        f"for a backsweep of {SWEEP:.0f}. What does the backsweep become?"
    )
    return number_bet(text, "deg", sweep, 1.0, (0.0, 90.0), habits, why)


def end_of_habit() -> Bet:
    """Up to which backsweep the habit is right to a tenth of a degree."""
    readings = np.arange(0.1, 25.0, 0.1)
    rolls = np.degrees(np.arcsin(np.sin(np.radians(readings)) / sin(A)))
    off = np.asarray(shape_from_recipe(replace(RECIPE, roll_deg=rolls)).backsweep_deg) - readings
    end = float(np.interp(0.1, off, readings))
    why = (
        f"Up to {end:.0f} degrees the habit is as good as a finder that shows tenths. After that it gets worse fast. "
        "The error grows with the fifth power: twice the sweep, thirty-two times the error. So keep the habit for "
        "equal bends, and know its end."
    )
    habits = ((90.0, "you think that a good habit is right for every sweep"),)
    text = f"With equal bends of {BEND_DEG:.0f} degrees, up to which backsweep is the habit right to 0.1 degrees?"
    return number_bet(text, "deg", end, 3.0, (0.0, 90.0), habits, why)


def less_sweep() -> Bet:
    """What less backsweep does to roll and straight."""
    bar = recipe_from_order(replace(ORDER, backsweep_deg=9.0), RADIUS, BEND_DEG)
    ways = ("smaller roll, longer straight", "smaller roll, shorter straight", "larger roll, longer straight")
    why = (
        f"The roll is {bar.roll_deg:.1f} instead of {RECIPE.roll_deg:.1f} degrees. The straight is "
        f"{bar.straight_mm:.1f} instead of {RECIPE.straight_mm:.1f} mm. With less roll the outer bend undoes more of "
        "the inner one. So the "
        "grip climbs less, and the riser must make up for it."
    )
    others = {ways[1]: "you forget the climb of the grip", ways[2]: "you think that less sweep needs more roll"}
    text = f"Order 7 with 9 instead of {SWEEP:.0f} degrees of backsweep, and nothing else changes. What happens?"
    return choice_bet(text, ways[0], others, ways, why)


def reading_of_unequal() -> Bet:
    """Whether the finder reads more than the sweep for a larger inner bend."""
    bar = recipe_from_order(ORDER, RADIUS, MORE_DEG, BEND_DEG)
    ways = ("more than the backsweep", "less than the backsweep", "the same as the backsweep")
    why = (
        f"More: {clamp_reading_deg(bar):.1f} degrees. The grip's part to the back is sin *b* sin *φ*. But the clamp "
        "flat shows sin *a* sin *φ*, and *a* is the larger bend."
    )
    others = {ways[1]: "you swap the two bends", ways[2]: "you keep the habit of equal bends"}
    text = f"The inner bends are {MORE_DEG:.0f}, the outer {BEND_DEG:.0f} degrees. What must the angle finder read?"
    return choice_bet(text, ways[0], others, ways, why)


@cache
def upswept_recipe() -> Recipe:
    """Order 7 with 5 degrees of upsweep ordered, one stop."""
    return recipe_from_order(replace(ORDER, upsweep_deg=5.0), RADIUS, BEND_DEG)


@cache
def set_to_sweep_recipe() -> Recipe:
    """Order 7 with larger outer bends, and the roll of a finder that was set to the backsweep."""
    roll = degrees(asin(sin(radians(SWEEP)) / sin(A)))
    return replace(RECIPE, roll_deg=roll, outer_bend_deg=WRONG_OUTER_DEG)


BETS = {
    "up the riser": up_the_riser,
    "climb of the arc": climb_of_arc,
    "corner ahead": corner_ahead,
    "pushed where": pushed_where,
    "no roll": no_roll,
    "most backsweep": most_backsweep,
    "from the riser": from_the_riser,
    "level rise": level_rise,
    "finder reads": finder_reads,
    "how many rolls": how_many_rolls,
    "larger bends": larger_bends,
    "other roll": other_roll,
    "least bend": least_bend,
    "smaller outer": smaller_outer,
    "two-stop straight": two_stop_straight,
    "more upsweep": more_upsweep,
    "set to the sweep": set_to_sweep,
    "end of the habit": end_of_habit,
    "less sweep": less_sweep,
    "unequal reading": reading_of_unequal,
}
"""As the lesson asks them, first to last."""
