"""The bets of lesson 04 on slips at the bench: levers, the angle finder, and the two sides of a bar."""

from __future__ import annotations

from functools import cache
from math import cos, hypot, pi, radians, sin, sqrt

from barmath.bending.error_budget import ErrorBudget, error_budget
from barmath.checking.bench_errors import FINDER, MARK, STOP, BenchErrors
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.sensitivity import Sensitivity, sensitivities_from_recipe
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.shop.order_seven import BEND_DEG, ORDER, order_seven_recipe

RECIPE = order_seven_recipe()
ERRORS, BETTER = BenchErrors(0.3, 0.2, 0.5), BenchErrors(0.12, 0.1, 0.5)
"""What stop, finder and marks of a usual bench repeat to, and of a better one."""


def degree_too_much() -> Bet:
    """How much too high a bar end comes out with a degree too much."""
    inner, lever = _slopes()["inner bend"], (ORDER.width_mm - ORDER.clamp_flat_mm) / 2
    why = (
        "The riser is in the hook, and its mark does not move. So a longer arc grows away from it, into the clamp "
        "flat. A wheel turns about the point where it touches the ground. In the same way a bent tube turns about the "
        "end of its arc that moves. So everything beyond the inner bend turns, in one piece, about the end of the "
        "clamp flat. The bar end moves up by its distance across from there, times the angle.\n\n"
        f"A degree is 1/{180 / pi:.0f} of the radius. Half the width less half the clamp flat makes {lever:.0f} mm, "
        f"and {lever:.0f}/57 = {lever / 57:.1f} mm. The same degree brings the bar end {-inner.half_width_mm:.1f} mm "
        f"inward and turns the grip up by {inner.upsweep_deg:.1f} degrees. It hardly changes the backsweep. The "
        f"clamp reading for the same roll is {inner.clamp_reading_deg:.2f} degrees higher."
    )
    habits = (
        (RECIPE.grip_mm * pi / 180, "you think that only the grip turns"),
        (1.0, "you count a degree as a millimetre"),
    )
    text = "An inner bend is a degree too large. How many mm too high does its bar end come out?"
    return number_bet(text, "mm", float(inner.rise_mm), 0.8, (0.0, 100.0), habits, why)


def longest_lever() -> Bet:
    """Which of three levers is the longest."""
    grip, bend = RECIPE.grip_mm, radians(BEND_DEG)
    off_riser = RECIPE.radius_mm * (1 - cos(bend)) + grip * sin(bend)
    levers = {
        "the outer bend": grip,
        "the roll": off_riser,
        "the stem roll": hypot(ORDER.rise_mm, shape_from_recipe(RECIPE).setback_mm),
    }
    longest = max(levers, key=lambda name: levers[name])
    why = (
        f"The outer bend turns the grip about the end of the outer arc. Its lever is the grip itself, {grip:.0f} mm, "
        f"and {grip:.0f}/57 = {grip / 57:.1f} mm. The roll turns everything beyond the riser about the line of the "
        f"riser. The bar end is {off_riser:.0f} mm off that line. The stem roll turns the whole bar about the "
        "clamp axis. Its lever is how far the bar end is from that axis, and it trades rise for setback."
    )
    habit = "you measure the lever from the middle of the bar"
    return choice_bet("Which slip has the longest lever at the bar end?", longest, habit, levers, why)


def spoils_backsweep() -> Bet:
    """Which slip spoils the backsweep most."""
    names = ("inner bend", "outer bend", "roll")
    slopes = {name: _slopes()[name] for name in names}
    most = max(names, key=lambda name: abs(slopes[name].backsweep_deg))
    both, mark = slopes["inner bend"].upsweep_deg + slopes["outer bend"].upsweep_deg, _slopes()["outer mark"].rise_mm
    why = (
        f"A degree of roll changes the backsweep by {abs(slopes['roll'].backsweep_deg):.2f} degrees, and a degree of "
        f"outer bend by {abs(slopes['outer bend'].backsweep_deg):.2f}. The inner bend hardly changes it. The two bends "
        "spoil the upsweep, with opposite signs. One degree too much in *both* changes it by only "
        f"{abs(both):.2f} degrees. So a stop that is wrong by the same amount all day does less harm than a stop that "
        f"changes.\n\nMarks never turn a grip. The outer mark lifts the bar end by {mark:.2f} mm per millimetre, so "
        f"10 mm more rise need about {10 / mark:.0f} mm of mark. The lines on the map showed the same."
    )
    habit = "you think that the slip that lifts the bar most also turns the grip most"
    return choice_bet("Which slip of one degree spoils the backsweep most?", most, habit, names, why)


def old_reading() -> Bet:
    """What the roll does when the inner bend is too large and the reading is the old one."""
    slopes = _slopes()
    by_reading = -slopes["inner bend"].clamp_reading_deg / slopes["roll"].clamp_reading_deg
    spoiled = slopes["inner bend"].backsweep_deg + by_reading * slopes["roll"].backsweep_deg
    ways = ("yes, the reading says so", "no, it comes out too large", "no, it comes out too small")
    why = (
        "The same reading with a larger bend means a smaller roll. The ratio of two slopes says how much: "
        f"{by_reading:+.2f} degrees of roll. So, by way of the reading, the inner bend does spoil the backsweep, by "
        f"{-spoiled:.2f} degrees per degree. The outer bend spoils it just as much the other way. If all four bends "
        "are too large by the same angle, the two effects cancel. So the habit of setting the finder to the sweep is "
        "right for equal bends."
    )
    others = {ways[0]: "you confuse the reading with the roll", ways[1]: "you think that bend and roll grow together"}
    text = "The inner bend is a degree too large, and you turn to the old reading. Does the roll come out right?"
    return choice_bet(text, ways[2], others, ways, why)


def bars_that_keep() -> Bet:
    """How many of 100 bars keep the goal."""
    budget = _budget(ERRORS)
    why = (
        f"{int(100 * budget.share())} of 100 bars keep both sweeps within 1 degree and the rise within 3 mm. The two "
        f"sides are apart by {budget.total.upsweep_deg:.2f} degrees of upsweep and {budget.total.rise_mm:.1f} mm of "
        "rise. These are standard deviations. 95 of 100 bars keep a goal only if the goal is about twice as large.\n\n"
        f"By hand, for the outer bends and the upsweep: √2 x {abs(_slopes()['outer bend'].upsweep_deg):.2f} x "
        f"{ERRORS.stop_deg} = {sqrt(2) * abs(_slopes()['outer bend'].upsweep_deg) * ERRORS.stop_deg:.2f} degrees."
    )
    habits = ((95.0, "you look at each tool alone"), (0.0, "you think that all slips go the worst way at once"))
    text = "How many of 100 bars keep both sweeps within 1 degree between the sides, and the rise within 3 mm?"
    return number_bet(text, "", int(100 * budget.share()), 5.0, (0.0, 100.0), habits, why)


def first_tool() -> Bet:
    """Which tool must become better first."""
    budget = _budget(ERRORS)
    tools = (STOP, FINDER, MARK)
    first = budget.greatest("rise_mm").tool
    why = (
        f"The lines of the {first} are the longest for rise and upsweep. It must repeat to {budget.most(STOP):.2f} "
        "degrees, so that the rise keeps its 3 mm."
    )
    habit = "you judge each tool by its own number, not by its lever"
    text = "The sides come out too far apart. Which tool must become better first?"
    return choice_bet(text, first, habit, tools, why)


def worst_marks() -> Bet:
    """How bad the marks may be."""
    most = _budget(BETTER).most(MARK)
    why = (
        f"With the stop at {BETTER.stop_deg} and the finder at {BETTER.finder_deg} degrees the marks may be "
        f"{most:.1f} mm off. Then only the rise suffers. A mark never turns a grip."
    )
    text = (
        f"The stop repeats to {BETTER.stop_deg} and the finder to {BETTER.finder_deg} degrees. "
        "How many mm may the marks be off, so that 95 of 100 bars keep the goal?"
    )
    return number_bet(
        text, "mm", most, 0.3, (0.0, 20.0), ((0.1, "you think that marks need as much care as angles"),), why
    )


def larger_bend() -> Bet:
    """What a larger bend does to the two sides."""
    here = _budget(ERRORS).total
    larger = error_budget(recipe_from_order(ORDER, RECIPE.radius_mm, BEND_DEG + 5.0), ERRORS).total
    ways = {
        (True, True): "it helps both", (True, False): "it helps the backsweep and hurts the upsweep",
        (False, True): "it hurts the backsweep and helps the upsweep", (False, False): "it hurts both",
    }  # fmt: skip
    right = ways[bool(larger.backsweep_deg < here.backsweep_deg), bool(larger.upsweep_deg < here.upsweep_deg)]
    why = (
        f"With 5 degrees more the backsweep is apart by {larger.backsweep_deg:.2f} instead of "
        f"{here.backsweep_deg:.2f} degrees. On a steeper riser the finder shows the roll better. The upsweep is "
        f"apart by {larger.upsweep_deg:.2f} instead of {here.upsweep_deg:.2f} degrees."
    )
    habit = "you think that both sweeps come from the same slip"
    return choice_bet("Does a larger bend help the two sides to come out alike?", right, habit, ways.values(), why)


@cache
def _slopes() -> dict[str, Sensitivity]:
    return dict(sensitivities_from_recipe(RECIPE))


@cache
def _budget(errors: BenchErrors) -> ErrorBudget:
    return error_budget(RECIPE, errors)


SLIP_BETS = {
    "degree too much": degree_too_much,
    "longest lever": longest_lever,
    "spoils backsweep": spoils_backsweep,
    "old reading": old_reading,
    "bars that keep": bars_that_keep,
    "first tool": first_tool,
    "worst marks": worst_marks,
    "larger bend": larger_bend,
}
"""As the lesson asks them, first to last."""
