"""The bets of lesson 08, fit the crossbar. Every number is worked out for order 7 of the training shop."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import cos, radians

from barmath.closed_forms.inverse import recipe_from_order
from barmath.crossbars.cope import cope_ordinates_mm
from barmath.crossbars.crossbar import STATIONS_DEG, Crossbar, crossbar
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.shop.order_seven import BEND_DEG, CROSSBAR, ORDER, TUBE, order_seven_recipe

RECIPE = order_seven_recipe()
LOWER_MM, ON_BEND_MM = 35.0, 72.0
"""Heights of a crossbar below the outer marks, and of one on the outer bend."""

STEEP_DEG, STEEP_RISE_MM = 45.0, 120.0


def joint_angle() -> Bet:
    """The angle between crossbar and riser."""
    angle = float(_usual().angle_deg)
    why = (
        f"The crossbar is level and the riser leans at {BEND_DEG:.0f} degrees, so the joint is at {angle:.0f} degrees. "
        "That is sharp. The narrow side of such a joint is hard to fill, so it needs a careful fit. A welding "
        "manual advises 45 degrees and more. Bend steeper and the joint gets easier."
    )
    habits = (
        (90.0 - angle, "you measure the lean from upright"),
        (90.0, "you think that the crossbar meets the riser at a right angle"),
    )
    return number_bet("What is the angle between the crossbar and the riser?", "deg", angle, 3.0, (0, 180), habits, why)


def lower_crossbar() -> Bet:
    """Whether a lower crossbar is longer."""
    low, high = _at(LOWER_MM).between_mm, _usual().between_mm
    ways = ("longer", "shorter", "just as long")
    why = (
        f"At a height of {LOWER_MM:.0f} mm there are {low:.0f} mm between the tubes, and at the outer marks "
        f"{high:.0f} mm. The risers lean outward, so they come nearer to each other further down."
    )
    habits = {
        ways[0]: "you think that the risers lean inward",
        ways[1]: "you think that a lower part is a smaller part",
        ways[2]: "you think that the risers are upright",
    }
    text = "The crossbar is lower, nearer to the clamp flat. How long is it then?"
    return choice_bet(text, ways[0 if low > high else 1], habits, ways, why)


def formula_on_bend() -> Bet:
    """Whether the formula for straight tubes holds on a bend."""
    high = _at(ON_BEND_MM)
    straight = cope_ordinates_mm(
        CROSSBAR.outside_diameter_mm, TUBE.outside_diameter_mm, float(high.angle_deg), STATIONS_DEG
    )
    off = float(abs(high.outside_mm - straight).max())
    ways = ("yes, it is good enough", "no, it is off by millimetres")
    why = (
        f"It is off by up to {off:.1f} mm. A straight tube would go on where the bent tube curves away. The two sides "
        "of the cope are not the same. So the tool uses the true shape of the bar, with its bend."
    )
    habits = {
        ways[0]: "you think that a short piece of a bend is straight",
        ways[1]: "you think that a bend spoils every sum",
    }
    text = "Is the formula for straight tubes still good enough?"
    return choice_bet(text, ways[1 if off > 1.0 else 0], habits, ways, why)


def thick_crossbar() -> Bet:
    """How many times heavier a crossbar of the bar's own tube is."""
    big, usual = _big(), _usual()
    times = big.mass_g / usual.mass_g
    why = (
        f"It weighs {big.mass_g:.0f} g, {times:.1f} times the {usual.mass_g:.0f} g of the 1/2 in tube. Its tips reach "
        f"{big.outside_mm.max():.0f} mm past the axis of the riser. Their inner edge must be filed back by "
        f"{big.file_back_mm:.0f} mm, and that is hard to do well. A thin crossbar is easier to fit."
    )
    thick = TUBE.outside_diameter_mm / CROSSBAR.outside_diameter_mm
    habits = (
        (thick, "you think that both walls are equally thick"),
        (1.0, "you think that the weight comes from the length alone"),
    )
    text = (
        f"A crossbar of the bar's own tube is {TUBE.outside_diameter_mm:.1f} mm thick, with {TUBE.wall_mm:.2f} mm of "
        f"wall. The usual one is {CROSSBAR.outside_diameter_mm:.1f} mm with {CROSSBAR.wall_mm:.2f} mm. "
        "How many times heavier is the thick one?"
    )
    return number_bet(text, "", times, 0.3, (0.1, 50.0), habits, why)


def steeper_riser() -> Bet:
    """Why a joint on a steeper riser is easier."""
    steep = crossbar(
        recipe_from_order(replace(ORDER, rise_mm=STEEP_RISE_MM), RECIPE.radius_mm, STEEP_DEG),
        TUBE.outside_diameter_mm, CROSSBAR,
    )  # fmt: skip
    ways = ("the crossbar is shorter", "the cut is nearer to square", "the bar is higher, so there is more room")
    why = (
        f"The riser is steeper, so the joint is at {steep.angle_deg:.0f} degrees. The tip is shorter, and the inner "
        f"edge is filed back by {steep.file_back_mm:.1f} mm instead of {_usual().file_back_mm:.1f}. The narrow side is "
        "wide enough to fill."
    )
    habits = {
        ways[0]: "you think that the length of the crossbar changes its joint",
        ways[2]: "you think that the height changes the joint",
    }
    text = f"Bends of {STEEP_DEG:.0f} degrees and a rise of {STEEP_RISE_MM:.0f} mm. Why is the joint easier now?"
    return choice_bet(text, ways[1], habits, ways, why)


def onto_the_bend() -> Bet:
    """The height at which the cope comes onto the outer bend."""
    usual = float(_usual().height_mm)
    begins = next(height / 2 for height in range(int(2 * usual), 160) if _at(height / 2).on_bend)
    inside, half = TUBE.outside_diameter_mm / 2 * cos(radians(BEND_DEG)), CROSSBAR.outside_diameter_mm / 2
    why = (
        f"From about {begins:.0f} mm on. At the outer marks, at {usual:.0f} mm, all of the cope is still on the "
        f"straight. The riser leans, so on its inner side the bend begins {inside:.0f} mm higher than on its axis. The "
        f"top of the crossbar is {half:.0f} mm above its own axis."
    )
    habits = ((usual, "you think that the cope meets the bend at the mark"),)
    text = "You move the crossbar up. From what height on does its cope touch the outer bend?"
    return number_bet(text, "mm", begins, 1.0, (0.0, 200.0), habits, why)


@cache
def _at(height_mm: float | None) -> Crossbar:
    return crossbar(RECIPE, TUBE.outside_diameter_mm, CROSSBAR, height_mm)


def _usual() -> Crossbar:
    return _at(None)


@cache
def _big() -> Crossbar:
    return crossbar(RECIPE, TUBE.outside_diameter_mm, TUBE)


BETS = {
    "joint angle": joint_angle,
    "lower crossbar": lower_crossbar,
    "formula on a bend": formula_on_bend,
    "thick crossbar": thick_crossbar,
    "steeper riser": steeper_riser,
    "onto the bend": onto_the_bend,
}
"""As the lesson asks them, first to last."""
