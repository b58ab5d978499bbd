"""The bets of lesson 00, what a riser bar is made of. The bar is one with large bends, drawn to be seen."""

from __future__ import annotations

from barmath.closed_forms.forward import grips_level, shape_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.space.centerline import bends_from_recipe

BAR = Recipe(
    clamp_flat_mm=60, inner_bend_deg=35, straight_mm=110, roll_deg=40, outer_bend_deg=32, grip_mm=190, radius_mm=105
)


def how_many_bends() -> Bet:
    """How many bends a riser bar has."""
    bends = len(bends_from_recipe(BAR).bends_deg)
    why = (
        f"It has {bends} bends, {bends // 2} a side. The inner bend turns the tube upward, and the outer bend turns it "
        "outward again. The left half is the mirror image of the right."
    )
    habits = ((bends / 2, "you count one half of the bar"), (bends + 1.0, "you count the straights"))
    return number_bet("How many bends does a riser bar have?", "", bends, 0.3, (0.0, 20.0), habits, why)


def one_flat_plane() -> Bet:
    """Whether all bends are in one plane."""
    planes = ("yes, all in one plane", "no, the outer bends are turned out of it")
    why = (
        "In one plane the outer bend would just undo the inner one. Seen from above, the bar would be straight. "
        f"Here the tube is turned by {BAR.roll_deg:.0f} degrees about the axis of the riser before that bend. This "
        "**roll** swings the grip backward."
    )
    others = {planes[0]: "you look at the bar only from the front"}
    return choice_bet("Are all the bends of a riser bar in one flat plane?", planes[1], others, planes, why)


def two_rises() -> Bet:
    """Whether the rise is the same however the bar is turned."""
    upright, level = float(shape_from_recipe(BAR).rise_mm), float(shape_from_recipe(grips_level(BAR)).rise_mm)
    ways = ("it is the same, because the tube is the same", "it gets smaller", "it gets larger")
    right = ways[2 if level > upright else 1]
    why = (
        f"With the risers upright the rise is {upright:.1f} mm, and with the grips level it is {level:.1f} mm. The "
        "tube is the same, but the height of its end is not."
    )
    others = {
        ways[0]: "you think that the rise is a part of the tube",
        ways[1]: "you think that the risers lean forward",
        ways[2]: "you think that the grips go up",
    }
    text = "You turn the bar in its stem until the grips are level. What happens to its rise?"
    return choice_bet(text, right, others, ways, why)


BETS = {"how many bends": how_many_bends, "one flat plane": one_flat_plane, "two rises": two_rises}
"""As the lesson asks them, first to last."""
