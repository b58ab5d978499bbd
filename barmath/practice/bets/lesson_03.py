"""The bets of lesson 03, rise against die. Every number is worked out for order 7 of the training shop."""

from __future__ import annotations

from math import cos, radians, sin

from barmath.closed_forms.inverse import least_bend_deg
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER

ENDS = ("the lower end rises", "the upper end falls", "the lower end rises and the upper end falls", "both ends rise")


def room_for_arcs() -> Bet:
    """How much of the half width is left for the two arcs."""
    half, flat, least = ORDER.width_mm / 2, ORDER.clamp_flat_mm / 2, DIE.least_straight_mm
    grip, straight = ORDER.controls_mm * cos(radians(ORDER.backsweep_deg)), least * cos(radians(BEND_DEG))
    left = half - flat - grip - straight
    radius = left / 2 / sin(radians(BEND_DEG))
    why = (
        f"Half the clamp flat takes {flat:.0f} mm. The grip is swept back {ORDER.backsweep_deg:.0f} degrees, so its "
        f"{ORDER.controls_mm:.0f} mm reach {grip:.0f} mm across. A straight of {least:.0f} mm that leans at "
        f"{BEND_DEG:.0f} degrees reaches {straight:.0f} mm. So {left:.0f} mm are left, {left / 2:.0f} mm an arc.\n\n"
        f"An arc of radius *R* reaches about *R* sin {BEND_DEG:.0f}, half of *R*. So *R* can be about {radius:.0f} mm, "
        "and then nothing is left to choose: straight and grip are as short as they may be."
    )
    habits = (
        (half - flat - ORDER.controls_mm - least, "the pieces are laid along the bar, not measured across it"),
        (half - grip - straight, "the clamp flat is forgotten"),
    )
    return number_bet("How many mm are left for the two arcs together?", "mm", left, 15.0, (0.0, 400.0), habits, why)


def ends_of_window() -> Bet:
    """Which end of the window a bigger die moves."""
    why = (
        "A bigger die moves both ends, and toward each other. Bigger arcs climb more, which lifts the lower end. They "
        "also take more of the half width, so less straight is left, which lowers the upper end. When the ends meet, "
        "the window closes: this die cannot make this bar at this bend."
    )
    others = {
        ENDS[0]: "only the climb of the arcs is looked at",
        ENDS[1]: "only the half width is looked at",
        ENDS[3]: "a bigger arc is taken to lift everything",
    }
    return choice_bet("A bigger die moves the ends of the window. How?", ENDS[2], others, ENDS, why)


def smallest_bend() -> Bet:
    """The least bend that turns the grip back."""
    least, sweep = float(least_bend_deg(ORDER)), float(ORDER.backsweep_deg)
    why = (
        f"With the risers upright at least {least:.1f} degrees are needed for {sweep:.0f} degrees of backsweep. Just "
        "above that the two bend planes lean so far that the straight hardly lifts anything."
    )
    habits = ((sweep / 2, "the two bends are taken to turn the grip back in one plane, with the risers lying back"),)
    text = f"How large must the four bends be at least, so that the grips can turn back {sweep:.0f} degrees?"
    return number_bet(text, "deg", least, 1.0, (0.0, 90.0), habits, why)


BETS = {
    "room for the arcs": room_for_arcs,
    "ends of the window": ends_of_window,
    "smallest bend": smallest_bend,
}
"""In the order in which the lesson asks them."""
