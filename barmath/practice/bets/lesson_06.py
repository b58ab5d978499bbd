"""The bets of lesson 06, springback and line-up. Every number is worked out for the training shop."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import asin, degrees, radians, sin

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.records import Shape
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.practice.bets.puzzles import low_on_both_sides
from barmath.records.calibration import Calibration, calibrate
from barmath.records.demo_record import demo_bends
from barmath.shop.offsets import bend_from_stop_deg, stop_from_bend_deg
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.stock import PSI
from barmath.shop.tooling import springback_from_tube
from barmath.shop.which_shop import training_shop

SOFT, USUAL, STRONG = 60e3 * PSI, 75e3 * PSI, 90e3 * PSI
"""Yields of 4130 tube, MPa."""

WANTED_DEG = 0.1
SMALLER_DEG = 27.5
"""An outer bend beside the inner one of order 7."""


def stronger_tube() -> Bet:
    """Whether a stronger tube springs back further."""
    tubes = ("the softer one", "the stronger one", "both the same, on the same die")
    soft, strong = (100 * springback_from_tube(TUBE, DIE, mpa).ratio for mpa in (SOFT, STRONG))
    why = (
        "A stronger tube pushes back harder. On die 102 a tube of 60 ksi gives back "
        f"{soft:.1f} % of its bend, and a tube of 90 ksi {strong:.1f} %."
    )
    others = {
        tubes[0]: "you think that a soft tube springs back more",
        tubes[2]: "you think that springback depends on the die alone",
    }
    return choice_bet("Which tube springs back further?", tubes[1], others, tubes, why)


def wider_die() -> Bet:
    """Whether a tube springs back further from a wide die."""
    dies = ("the tight one", "the wide one", "both the same, with the same tube")
    tight, *_, wide = (100 * springback_from_tube(TUBE, die).ratio for die in training_shop().dies_for(TUBE))
    why = (
        "A wide die bends the tube less sharply, so a larger share of the bend is elastic. The smallest die gives back "
        f"{tight:.1f} % of the bend, and the largest {wide:.1f} %."
    )
    others = {
        dies[0]: "you think that a sharp bend pushes back more",
        dies[2]: "you think that springback depends on the tube alone",
    }
    return choice_bet("From which die does the same tube spring back further?", dies[1], others, dies, why)


def stop_for_bend() -> Bet:
    """What the stop must be set to."""
    theory, found = calibrate(TUBE, DIE), _found()
    stop, before = found.stop_deg(BEND_DEG), theory.stop_deg(BEND_DEG)
    surer = 1 - found.estimates["ratio"].error / theory.estimates["ratio"].error
    why = (
        f"Set {stop.value:.1f} ± {stop.error:.1f} degrees. Three bends change *k* little, but they make it surer by "
        f"{100 * surer:.0f} %. The line-up offset is known to {found.estimates['offset_mm'].error:.1f} mm. The stop "
        f"for {BEND_DEG:.0f} degrees is now good to {stop.error:.1f} degrees, and the theory alone gave "
        f"{before.error:.1f}."
    )
    habits = (
        (BEND_DEG, "you forget the springback"),
        (2 * BEND_DEG - stop.value, "you subtract the springback, but you must add it"),
    )
    text = f"What would you set the stop to, so that {BEND_DEG:.0f} degrees remain?"
    return number_bet(text, "deg", stop.value, 0.3, (0.0, 90.0), habits, why)


def two_settings() -> Bet:
    """Whether two bends need the same degrees more on the stop."""
    large, small = (_found().stop_deg(bend).value for bend in (BEND_DEG, SMALLER_DEG))
    far = (_found().stop_deg(45.0).value - 45.0) - (_found().stop_deg(15.0).value - 15.0)
    ways = ("yes, the tube is the same", "no, the larger bend needs more", "no, the smaller bend needs more")
    why = (
        "The loss is a share of the bend and a little constant play. So the two stops are "
        f"{large:.2f} and {small:.2f} degrees: {large - BEND_DEG:.2f} degrees more for the larger bend, "
        f"{small - SMALLER_DEG:.2f} more for the smaller one. Here the difference is small. Between bends of 15 and 45 "
        f"degrees it is {far:.1f} degrees."
    )
    others = {
        ways[0]: "you think that springback is a fixed number of degrees",
        ways[2]: "you think that a small bend is nearly all elastic",
    }
    text = "May you add the same degrees to both bends?"
    return choice_bet(text, ways[1], others, ways, why)


def unknown_strength() -> Bet:
    """How much a bend lacks on a stronger tube."""
    stop = stop_from_bend_deg(BEND_DEG, springback_from_tube(TUBE, DIE), DIE)
    kept = float(bend_from_stop_deg(stop, springback_from_tube(TUBE, DIE, STRONG), DIE))
    short = _short(kept)
    rise, sweep = ORDER.rise_mm - short.rise_mm, abs(ORDER.backsweep_deg - short.backsweep_deg)
    why = (
        f"The stop at {stop:.1f} keeps {kept:.2f} degrees. All four bends are equally too small. So the bar loses "
        f"{rise:.1f} mm of rise and {'hardly any' if sweep < 0.1 else f'{sweep:.1f} degrees of'} sweep."
    )
    whole = BEND_DEG * springback_from_tube(TUBE, DIE, STRONG).ratio
    text = "Order 7 has a tube of 90 ksi, and you think that it has 75. How many degrees does each bend lack?"
    habits = ((float(whole), "you count all of the springback, not only the difference"),)
    return number_bet(text, "deg", BEND_DEG - kept, 0.1, (0.0, 10.0), habits, why)


def bends_to_trust() -> Bet:
    """How many more test bends a tenth of a degree needs."""
    more = _found().bends_to_reach(WANTED_DEG)
    why = (
        f"{more} more, by what the three bends have shown. Bender and angle finder limit you. Your bends repeat to 0.3 "
        "degrees, and you read them to 0.2. So you need many of them to know 0.1. And the next delivery of tube has "
        "another yield."
    )
    habits = ((0.0, "you trust a line through three bends too much"), (1.0, "you think that one more bend is enough"))
    text = f"How many more test bends do you need, before you know the stop to {WANTED_DEG} degrees?"
    return number_bet(text, "", more, max(1.0, more / 4), (0.0, 1000.0), habits, why)


def play_or_springback() -> Bet:
    """How to tell play in the stop from springback."""
    ways = ("more bends of the same size", "a bend of another size", "a finer angle finder")
    why = (
        "A play of half a degree does the same to a bend of 30 as a springback of half a degree. Only a bend "
        "of another size shows which it is. That is why the test bends go to 15, 30 and 45."
    )
    others = {
        ways[0]: "you think that more bends of one size show more",
        ways[2]: "you think that bends look alike because you read them badly",
    }
    text = "All your bends are of one size, and all lack half a degree. What shows whether that is play or springback?"
    return choice_bet(text, ways[1], others, ways, why)


@cache
def _found() -> Calibration:
    return calibrate(TUBE, DIE, demo_bends(TUBE, DIE))


def _short(kept_deg: float) -> Shape:
    """The bar of order 7 with four bends that come out at `kept_deg`, by the same marks and the same reading."""
    recipe = order_seven_recipe()
    arc = recipe.radius_mm * (BEND_DEG - kept_deg) * RADIAN
    roll = degrees(asin(sin(radians(float(clamp_reading_deg(recipe)))) / sin(radians(kept_deg))))
    return shape_from_recipe(
        replace(
            recipe,
            inner_bend_deg=kept_deg,
            outer_bend_deg=kept_deg,
            roll_deg=roll,
            clamp_flat_mm=recipe.clamp_flat_mm + 2 * arc,
            grip_mm=recipe.grip_mm + arc,
        )
    )


BETS = {
    "stronger tube": stronger_tube,
    "wider die": wider_die,
    "stop for a bend": stop_for_bend,
    "two settings": two_settings,
    "unknown strength": unknown_strength,
    "bends to trust": bends_to_trust,
    "play or springback": play_or_springback,
    "puzzle: low on both sides": low_on_both_sides,
}
"""As the lesson asks them, first to last."""
