"""The bets of lesson 14, the words of the trade."""

from __future__ import annotations

from barmath.practice.bets.bet import Bet, choice_bet


def angles_of_the_grip() -> Bet:
    """Which two words name an angle of the grip."""
    ways = ("backsweep and upsweep", "roll and stem roll", "rise and setback")
    why = "**Backsweep** is seen from above, and **upsweep** is seen from the front."
    habits = {
        ways[1]: "you confuse a turn of the tube with an angle of the grip",
        ways[2]: "you confuse a length with an angle",
    }
    return choice_bet("Which two words name an angle of the grip?", ways[0], habits, ways, why)


def roll_and_stem_roll() -> Bet:
    """What sets roll and stem roll apart."""
    ways = (
        "they are two words for one thing",
        "the roll is bent into the bar, the stem roll is not",
        "the stem roll is bent into the bar, the roll is not",
    )
    why = (
        "The roll turns the tube about its riser, between two bends: it is bent into the bar. The stem roll turns the "
        "whole finished bar in its stem."
    )
    habits = {ways[0]: "you think that both turn the bar", ways[2]: "you swap the two words"}
    return choice_bet("What is the difference between roll and stem roll?", ways[1], habits, ways, why)


def word_that_is_missing() -> Bet:
    """What is missing in a rise without more."""
    ways = ("how the bar is clamped", "the width", "the tube")
    why = "How the bar is clamped: with its risers upright, or with its grips level. One tube has two rises."
    habits = {
        ways[1]: "you think that a wider bar rises more",
        ways[2]: "you think that the tube decides the shape",
    }
    return choice_bet('A bar is described as "80 rise". What is missing?', ways[0], habits, ways, why)


BETS = {
    "angles of the grip": angles_of_the_grip,
    "roll and stem roll": roll_and_stem_roll,
    "missing word": word_that_is_missing,
}
"""As the lesson asks them, first to last."""
