"""The bets of lesson 05, the sequence of the bends. Every number is worked out for order 7 of the training shop."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from barmath.bending.holds import USUAL_HOLDS, bend_name
from barmath.bending.mistakes import FLIPPED, SIGN, Mistake, Outcome, outcome_of_mistake
from barmath.bending.plans import PLANS
from barmath.bending.sequences import BendSequence, every_bend_sequence
from barmath.bending.spread import ProcessErrors, spread_of_sequence
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Recipe
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.practice.bets.puzzles import what_happened_at_bench
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.setup import Setup
from barmath.shop.tooling import springback_from_tube
from barmath.shop.which_shop import training_shop
from barmath.space.centerline import bends_from_recipe

RECIPE, SPRING = order_seven_recipe(), springback_from_tube(TUBE, DIE)
LOW_RISE_MM = 72.0
GRIPS = "inner bends first, then grips in the hook"


def turned_book() -> Bet:
    """Whether two turns can be exchanged."""
    ways = ("yes, the same two turns were made", "no, it is in another position")
    why = (
        "If you swap two turns about lines that are fixed in the room, the result changes. The second turn finds the "
        "book in another position. In mathematics such turns *do not commute*. Multiply the two tables of numbers in "
        "both sequences, and you get two different tables."
    )
    others = {ways[0]: "you think that turns add up like lengths"}
    text = "You roll the book, then swing it. Then you start again, and swing first. Is it in the same position?"
    return choice_bet(text, ways[1], others, ways, why)


def another_bar() -> Bet:
    """Whether another sequence of bends makes another bar."""
    ways = ("yes, as with the book", "no, the same bar comes out")
    why = (
        "Think of the tube itself. Draw a straight line along it with a pencil before the first bend. Each bend has "
        "its own place along that line, its own angle, and its own side of the line. None of these three numbers "
        "depends on the other bends. The lines about which the tube turns are *fixed in the tube*, not in the room.\n\n"
        "The tiny difference that is left is the rounding of the computer. **The sequence changes the way, not the "
        "shape.**"
    )
    others = {ways[0]: "you think that the tube turns about lines in the room"}
    text = "You bend the same tube in another sequence. Does another bar come out?"
    return choice_bet(text, ways[1], others, ways, why)


def least_for_hook() -> Bet:
    """Which bends leave the hook the least."""
    behind = {bend_name(one.hold.number): one.behind_mm for one in _usual(RECIPE).stations}
    least, names = min(behind.values()), ("the inner bends", "the outer bends")
    right = names["outer" in min(behind, key=lambda name: behind[name])]
    why = (
        f"The outer bends hold the riser, {least:.0f} mm. The inner bends hold the long rest of the tube, "
        f"{max(behind.values()):.0f} mm."
    )
    habit = "you think that the short clamp flat is in the hook"
    text = "In the usual sequence, which bends leave the hook the least straight tube to hold?"
    return choice_bet(text, right, habit, names, why)


def least_for_follower() -> Bet:
    """Which bend leaves the follower the least."""
    ahead = {bend_name(one.hold.number): one.ahead_mm for one in _usual(RECIPE).stations}
    names = ("the first inner bend", "the second inner bend", "the outer bends")
    numbers = [one.ahead_mm for one in _usual(RECIPE).stations]
    by_name = dict(zip(names, (numbers[0], numbers[1], min(numbers[2:])), strict=True))
    right = min(by_name, key=lambda name: by_name[name])
    follower, fits = training_shop().bender.follower_mm, sum(one.fits for one in _sequences(RECIPE))
    why = (
        f"The second inner bend leaves the follower just the clamp flat, {min(ahead.values()):.0f} mm, and it needs "
        f"{follower:.0f}. All is well, and {fits} of the {len(_sequences(RECIPE))} sequences can be done here."
    )
    habit = "you forget the bend that is made first"
    text = "And which bend leaves the follower the least straight tube?"
    return choice_bet(text, right, habit, names, why)


def largest_reading() -> Bet:
    """The largest reading that a flat can show."""
    why = (
        f"When the flat is upright, *φ* = 90°, it shows its own angle, {BEND_DEG:.0f} degrees. There the reading "
        "hardly changes when you turn the tube. So a flat shows the roll well when it is nearly level. It shows "
        f"nothing when it is at its steepest. A plan that asks this flat for {BEND_DEG + 5:.0f} degrees is refused."
    )
    text = f"A flat is {BEND_DEG:.0f} degrees off the tube. What is the largest reading that it can show?"
    return number_bet(text, "deg", BEND_DEG, 2.0, (0.0, 90.0), ((90.0, "you confuse the roll with the reading"),), why)


def worst_plan() -> Bet:
    """Which plan sets the sides furthest apart."""
    bends, bender = bends_from_recipe(RECIPE), training_shop().bender
    errors = ProcessErrors(stop_deg=0.3, finder_deg=0.3, mark_mm=0.5, springback=0.002)
    apart = {
        name: spread_of_sequence(bends, holds, errors, SPRING, DIE, bender).backsweep_apart_deg
        for name, holds in PLANS.items()
    }
    low, high = min(apart.values()), max(apart.values())
    alike = "all are within a tenth of a degree"
    worst = max(apart, key=lambda name: apart[name])
    why = (
        f"The backsweep of the two sides is {low:.2f} to {high:.2f} degrees apart with every plan. **The sequence "
        "hardly matters for errors.** The tool matters: the angle finder for backsweep and twist, the stop for the "
        'rise. So do not choose a sequence because it "keeps the errors small". Choose it because it can be held, read '
        "and swung, and because your hands know it."
    )
    right = alike if high - low < 0.1 else worst
    choices = (*PLANS, alike)
    habit = "you think that a sequence keeps errors small"
    text = "Which plan sets the two sides furthest apart in backsweep?"
    return choice_bet(text, right, habit, choices, why)


def flipped_bend() -> Bet:
    """What a flip at the second bend makes."""
    outcome = _mistake(FLIPPED, 1)
    left, right = outcome.sides.rise_mm
    ways = (
        "both risers stand up, but the grips differ",
        "one riser stands up and the other hangs down",
        "nothing can be seen",
    )
    answer = ways[1 if left * right < 0 else 0 if outcome.shows else 2]
    why = (
        f"The rise is {left:.0f} mm left and {right:.0f} mm right. But the reading is right, 0.0 both ways. "
        "That is why the step says to which side the arm must point. "
        f"Can it be saved? {'Yes' if outcome.saved else 'No'}: {outcome.how}."
    )
    habit = "you think that the reading says everything"
    text = "At the second bend the tube is flipped the wrong way, and the reading is right. What do you see on the bar?"
    return choice_bet(text, answer, habit, ways, why)


def wrong_sign() -> Bet:
    """What finds a reading with the wrong sign."""
    sides = _mistake(SIGN, 3).sides
    left, right = sides.backsweep_deg
    same_rise = abs(sides.rise_mm[0] - sides.rise_mm[1]) < 0.05
    ways = ("a rule, by the rise", "a look along the bar", "nobody finds it")
    answer = ways[1 if same_rise and left * right < 0 else 0]
    why = (
        f"One grip sweeps to the rear and the other one to the front: backsweep {left:.0f} degrees left and "
        f"{right:.0f} degrees right. Rise and width are right, so a rule does not find it. A look along the bar does."
    )
    others = {
        ways[0]: "you think that a wrong roll changes the rise",
        ways[2]: "you think that a bar that measures right is right",
    }
    text = "At the fourth bend the flat climbs where it should fall. What finds the mistake on the finished bar?"
    return choice_bet(text, answer, others, ways, why)


def straight_for_hook() -> Bet:
    """Which straight is long enough for the hook on the low bar."""
    low, least = _low(), DIE.least_straight_mm
    lengths = {"the riser": low.straight_mm, "the clamp flat": low.clamp_flat_mm, "the grip": low.grip_mm}
    right = max(lengths, key=lambda name: lengths[name])
    listed = ", ".join(f"{name} {length:.0f} mm" for name, length in lengths.items())
    why = (
        f"The hook needs {least:.0f} mm. The lengths are: {listed}. With a grip in the hook there is more than enough."
    )
    habit = "you keep the usual sequence for all lengths"
    text = f"Order 7 gets {LOW_RISE_MM:.0f} mm of rise. Which straight is long enough for the hook at every outer bend?"
    return choice_bet(text, right, habit, lengths, why)


def ahead_of_follower() -> Bet:
    """What is ahead of the follower then."""
    sequence = next(one for one in _sequences(_low()) if one.holds == PLANS[GRIPS])
    ahead, follower = float(sequence.stations[-1].ahead_mm), training_shop().bender.follower_mm
    why = (
        f"The riser only has to serve the follower: {ahead:.0f} mm, and it needs {follower:.0f}. The price: the rest "
        "of the bar is now on the free side and swings, so clear the space."
    )
    habits = (
        (_low().clamp_flat_mm / 2, "you take half the clamp flat"),
        (_low().grip_mm, "you think that the grip is still ahead"),
    )
    text = "The hook holds the straight that is long enough. How many mm of straight tube are ahead for the follower?"
    return number_bet(text, "mm", ahead, 4.0, (0.0, 1000.0), habits, why)


def plans_that_can() -> Bet:
    """How many sequences can make the low bar."""
    sequences = _sequences(_low())
    fits = sum(one.fits for one in sequences)
    same = all(one.holds[:2] == USUAL_HOLDS[:2] for one in sequences if one.holds == PLANS[GRIPS])
    why = f"{fits} of the {len(sequences)} can. " + ("The inner bends need not change." if same else "")
    habits = (
        (sum(one.fits for one in _sequences(RECIPE)), "you think that the low bar is as easy as order 7"),
        (0.0, "you look for no other way"),
    )
    text = f"How many of the {len(sequences)} sequences can make the low bar on the bender of the lesson?"
    return number_bet(text, "", fits, max(1.0, fits / 4), (0.0, len(sequences)), habits, why)


def _low() -> Recipe:
    return recipe_from_order(replace(ORDER, rise_mm=LOW_RISE_MM), SPRING.finished_radius_mm, BEND_DEG)


@cache
def _sequences(recipe: Recipe) -> tuple[BendSequence, ...]:
    bender = training_shop().bender
    return tuple(every_bend_sequence(bends_from_recipe(recipe), SPRING, DIE, TUBE.outside_diameter_mm, bender))


def _usual(recipe: Recipe) -> BendSequence:
    return next(one for one in _sequences(recipe) if one.holds == USUAL_HOLDS)


@cache
def _mistake(mistake: Mistake, step: int) -> Outcome:
    setup = Setup(TUBE.outside_diameter_mm, DIE, SPRING, training_shop().bender)
    return outcome_of_mistake(mistake, step, bends_from_recipe(RECIPE), USUAL_HOLDS, setup)


BETS = {
    "turned book": turned_book,
    "another bar": another_bar,
    "least for the hook": least_for_hook,
    "least for the follower": least_for_follower,
    "largest reading": largest_reading,
    "worst plan": worst_plan,
    "flipped bend": flipped_bend,
    "wrong sign": wrong_sign,
    "straight for the hook": straight_for_hook,
    "ahead of the follower": ahead_of_follower,
    "plans that can": plans_that_can,
    "puzzle: one side is off": what_happened_at_bench,
}
"""As the lesson asks them, first to last."""
