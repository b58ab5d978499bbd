"""The bets of lesson 12, two bars compared. Every number is worked out for order 7 in one stem."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.rider.hands import Stem, hand_from_recipe
from barmath.rider.shop_hands import same_hands_of_shop
from barmath.shop.order_seven import BEND_DEG, ORDER, order_seven_recipe
from barmath.shop.which_shop import training_shop

OLD, STEM = order_seven_recipe(), Stem(length_mm=50, angle_deg=0, head_angle_deg=65)
ROLL_DEG, SHORTER_MM = 10.0, 10.0
MORE_SWEEP_DEG = 16.0
GENTLE_DEG, STEEP_DEG = 25.0, 35.0


def clamp_forward() -> Bet:
    """How far forward of the steering axis the clamp is."""
    long, head = float(STEM.length_mm), radians(float(STEM.head_angle_deg))
    forward, up = (float(one) for one in STEM.clamp_mm())
    why = (
        f"By hand: {long:.0f} sin {STEM.head_angle_deg:.0f}° = {long * sin(head):.1f} mm forward, and {long:.0f} cos "
        f"{STEM.head_angle_deg:.0f}° = {long * cos(head):.1f} mm up. The stem climbs, though its angle is zero: "
        "the axis to which it is square leans back."
    )
    habits = ((long, "you think that the stem is level"), (up, "you swap forward and up"))
    return number_bet("How far forward of the axis is the clamp?", "mm", forward, 1.0, (-200.0, 300.0), habits, why)


def hand_and_axis() -> Bet:
    """Whether the hand is in front of the steering axis."""
    forward, hand = float(STEM.clamp_mm()[0]), float(hand_from_recipe(OLD, STEM).forward_mm)
    ways = ("in front of it", "behind it", "just on it")
    right = ways[2 if abs(hand) < 1.0 else 0 if hand > 0.0 else 1]
    why = (
        f"It is {abs(hand):.1f} mm {right.removesuffix(' it')} the axis. The clamp is {forward:.1f} mm forward, and "
        f"the grip has come back by {forward - hand:.1f} mm where the hand is. The sum uses the closed forms of the "
        "bar itself, with a grip that ends in mid-hand."
    )
    habits = {
        ways[0]: "you look only at the stem",
        ways[1]: "you think that the hand is at the end of the bar",
        ways[2]: "you think that stem and sweep cancel",
    }
    text = f"Order 7 has a grip that is swept back by {ORDER.backsweep_deg:.0f} degrees. Where is the hand?"
    return choice_bet(f"{text} In front of the steering axis or behind it?", right, habits, ways, why)


def turned_rearward() -> Bet:
    """What a stem roll to the rear does to sweeps and rise."""
    here, rolled = (shape_from_recipe(replace(OLD, stem_roll_deg=roll)) for roll in (0.0, ROLL_DEG))
    ways = ("backsweep grows, upsweep falls", "backsweep falls, upsweep grows", "both grow")
    more_back = rolled.backsweep_deg > here.backsweep_deg
    more_up = rolled.upsweep_deg > here.upsweep_deg
    right = ways[2 if more_back and more_up else 0 if more_back else 1]
    why = (
        f"The upsweep falls by {here.upsweep_deg - rolled.upsweep_deg:.1f} degrees, and the backsweep grows by "
        f"{rolled.backsweep_deg - here.backsweep_deg:.1f}. The hands come back and down: the rise falls from "
        f"{here.rise_mm:.1f} to {rolled.rise_mm:.1f} mm. So a rider who asks for *more backsweep* may only want their "
        "hands turned, or only want them further back. Ask which."
    )
    habits = {
        ways[0]: "you swap forward and rearward",
        ways[1]: "you swap forward and rearward",
        ways[2]: "you think that a stem roll turns the grip in one plane",
    }
    text = (
        f"You turn order 7 rearward in its stem, by {ROLL_DEG:.0f} degrees. What happens to its backsweep and its "
        "upsweep?"
    )
    return choice_bet(text, right, habits, ways, why)


def same_hands() -> Bet:
    """Which two things keep the hands with more sweep."""
    shop = training_shop()
    every = same_hands_of_shop(shop, shop.tubes[0], OLD, STEM, MORE_SWEEP_DEG, float(ORDER.controls_mm))
    made = [one for one in every if not one.two_stops]
    gentler = all(one.bar.recipe.inner_bend_deg < BEND_DEG for one in made)
    ways = (
        "a gentler bend and a stem roll",
        "a steeper bend and a stem roll",
        "more rise and more width",
    )
    first = made[0].bar
    why = (
        f"A gentler bend, so that the bar sweeps back later, and a stem roll: bends of "
        f"{first.recipe.inner_bend_deg:.1f} degrees, and a stem roll of {first.recipe.stem_roll_deg:+.1f}. The "
        "middle of the hand keeps its place to the hundredth of a millimetre. What changes is the turn of the wrist. "
        f"Four bends of {BEND_DEG:.0f} are not in the list: with them no stem roll brings the hands back."
    )
    habits = {
        ways[0]: "you think that a gentle bend sweeps less",
        ways[1]: "you think that a steeper riser brings the grip forward",
        ways[2]: "you confuse up and out with forward",
    }
    text = "More sweep alone carries the hands back. With one stop for all four bends, what puts them forward again?"
    return choice_bet(text, ways[0 if gentler else 1], habits, ways, why)


def shorter_stem() -> Bet:
    """By how much less a bar must come back on a shorter stem."""
    head = radians(float(STEM.head_angle_deg))
    forward, up = SHORTER_MM * sin(head), SHORTER_MM * cos(head)
    why = (
        f"It must come back by {forward:.0f} mm less ({SHORTER_MM:.0f} sin {STEM.head_angle_deg:.0f}°), and be "
        f"{up:.0f} mm higher."
    )
    habits = ((SHORTER_MM, "you think that the stem is level"), (up, "you swap forward and up"))
    text = (
        f"A rider changes to a stem {SHORTER_MM:.0f} mm shorter and wants the hands where they were. "
        "By how many mm less must the new bar come back?"
    )
    return number_bet(text, "mm", forward, 0.3, (0.0, 100.0), habits, why)


def two_bends_alike() -> Bet:
    """Whether bars of the same figures hold the hands alike."""
    gentle, steep = (
        hand_from_recipe(recipe_from_order(ORDER, OLD.radius_mm, bend), STEM) for bend in (GENTLE_DEG, STEEP_DEG)
    )
    ahead = float(gentle.forward_mm - steep.forward_mm)
    rest = max(abs(float(gentle.up_mm - steep.up_mm)), abs(float(gentle.out_mm - steep.out_mm)))
    ways = ("yes, the figures are the same", "no, further forward on the gentler bar", "no, further back on it")
    why = (
        f"Out and up they are in the same place, to {rest:.0f} mm. The hands on the gentler bar are "
        f"{abs(ahead):.0f} mm further {'forward' if ahead > 0 else 'back'}: its grip is "
        "shorter, so it begins to sweep back further out."
    )
    habits = {
        ways[0]: "you think that rise, width and sweep say where the whole grip is",
        ways[1]: "you think that a gentle bar is straight",
        ways[2]: "you think that a gentle bend begins its sweep further in",
    }
    text = (
        "Two bars have the same rise, width and backsweep. "
        f"One has bends of {GENTLE_DEG:.0f}, the other of {STEEP_DEG:.0f} degrees. Are the hands in the same place?"
    )
    return choice_bet(text, ways[1 if ahead > 1.0 else 2 if ahead < -1.0 else 0], habits, ways, why)


def bends_are_a_guess() -> Bet:
    """Why published figures do not give the bends."""
    ways = ("the figures are rounded", "many bars have the same figures", "the tube of the bar is not known")
    why = "Rise, width and sweeps do not fix the bends: many bars have the same figures."
    habits = {
        ways[0]: "you think that more digits give the bends",
        ways[2]: "you think that the tube decides the shape",
    }
    text = "Why does the panel call the bends of a published bar a guess?"
    return choice_bet(text, ways[1], habits, ways, why)


BETS = {
    "clamp forward": clamp_forward,
    "hand and axis": hand_and_axis,
    "turned rearward": turned_rearward,
    "same hands": same_hands,
    "shorter stem": shorter_stem,
    "two bends": two_bends_alike,
    "bends are a guess": bends_are_a_guess,
}
"""As the lesson asks them, first to last."""
