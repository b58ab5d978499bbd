"""The bets of lesson 03, rise against die. Every number is worked out for order 7 of the training shop."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from barmath.closed_forms.inverse import least_bend_deg, rise_window_mm
from barmath.closed_forms.records import Order
from barmath.planning.die_choice import makeable, new_die
from barmath.practice.bets.bet import Bet, choice_bet, line_bet, number_bet
from barmath.practice.bets.line import Line
from barmath.practice.bets.puzzles import two_stops_for_low_bar
from barmath.shop.forming import forming_from_bend
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE
from barmath.shop.orders import orders_from_file
from barmath.shop.tooling import Die, springback_from_tube
from barmath.shop.which_shop import training_file, training_shop

TIGHT_MM, NEW_MM = 60.0, 80.0
"""Radii of a very tight die, and of one that the shop could buy."""

DRAWN_DEG = (20.0, 25.0, 30.0, 35.0, 40.0)
"""Bends at which the reader draws the lowest rise."""

THIN_MM, THICK_MM = 22.2, 25.4
"""Diameters of two tubes."""

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
        (half - grip - straight, "you forget the clamp flat"),
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
        ENDS[0]: "you look only at the climb of the arcs",
        ENDS[1]: "you look only at the half width",
        ENDS[3]: "you think that a bigger arc lifts everything",
    }
    return choice_bet("A bigger die moves the ends of the rise window. How?", ENDS[2], others, ENDS, why)


def smallest_bend() -> Bet:
    """The least bend that turns the grip back."""
    least, sweep = float(least_bend_deg(ORDER)), float(ORDER.backsweep_deg)
    why = (
        f"With the risers upright at least {least:.1f} degrees are needed for {sweep:.0f} degrees of backsweep. Just "
        "above that the two bend planes lean so far that the straight hardly lifts anything."
    )
    habits = ((sweep / 2, "you think that both bends turn the grip back in one plane"),)
    text = f"How large must the four bends be at least, so that the grips can turn back {sweep:.0f} degrees?"
    return number_bet(text, "deg", least, 1.0, (0.0, 90.0), habits, why)


def tighter_die() -> Bet:
    """Which way the window grows on a tighter die."""
    (low, high), (tight_low, tight_high) = _window(DIE.centerline_radius_mm), _window(NEW_MM)
    ways = ("upward only", "downward only", "both ways")
    why = (
        f"On die 102 the window is from {low:.0f} to {high:.0f} mm. On a die of {NEW_MM:.0f} mm it is from "
        f"{tight_low:.0f} to {tight_high:.0f} mm. The lower end sinks a little, and the upper end rises a lot. "
        "In the lower picture the two orange arcs push the grip out until it starts beyond the dashed line."
    )
    others = {ways[0]: "you look only at the half width", ways[1]: "you look only at the climb of the arcs"}
    return choice_bet("You make the die tighter. Which way does its rise window grow?", ways[2], others, ways, why)


def lowest_by_bend() -> Bet:
    """How the lowest rise of the shop's own die grows with the bend."""
    radius, least = _finished(DIE.centerline_radius_mm), float(DIE.least_straight_mm)
    lowest = tuple(float(rise_window_mm(ORDER, radius, bend, least)[0]) for bend in DRAWN_DEG)
    riser = tuple(least * sin(radians(bend)) for bend in DRAWN_DEG)
    middle = lowest[len(lowest) // 2]
    why = (
        f"It grows from {lowest[0]:.0f} to {lowest[-1]:.0f} mm, and ever faster. A steeper straight climbs more. The "
        "two arcs climb *R* (1 - cos) each, and that grows with the square of the bend. So a low bar needs a small "
        "bend. But below about 20 degrees the bend planes must lean so far that the lowest rise grows again."
    )
    habits = (
        (riser, "you think that only the straight climbs, and forget arcs and grip"),
        ((middle,) * len(lowest), "you think that the tooling alone sets the lowest rise"),
    )
    text = (
        f"The straight is as short as the tooling allows, {least:.0f} mm. How does the lowest rise of {DIE.name} grow "
        f"with bends of {', '.join(f'{bend:.0f}' for bend in DRAWN_DEG)} degrees?"
    )
    line = Line(DRAWN_DEG, "bend", "deg", "lowest rise", "mm", lowest, 8.0, (0.0, 160.0), habits)
    return line_bet(text, line, why)


def closing_radius() -> Bet:
    """The die on which the window closes."""
    from scipy.optimize import brentq

    closes = brentq(lambda radius: _window(radius)[1] - _window(radius)[0], NEW_MM, 200.0)
    kept = _finished(closes)
    why = (
        f"The window closes at a die of about {closes:.0f} mm. On that die the tube springs back to a radius of "
        f"about {kept:.0f} mm. That is close to what the five pieces said. The bar has the radius that is left "
        "after springback, not the radius of the die."
    )
    habits = ((kept, "you take the radius of the finished bar, not of the die"),)
    text = f"At which radius of the die does the rise window at {BEND_DEG:.0f} degrees close?"
    return number_bet(text, "mm", closes, 2.0, (20.0, 400.0), habits, why)


def thinner_wall() -> Bet:
    """What a tight bend takes from the outside wall."""
    cost = forming_from_bend(TUBE, TIGHT_MM)
    ratio, index = cost.radius_in_diameters, cost.index_outside
    why = (
        f"A radius of {TIGHT_MM:.0f} mm is {ratio:.2f} diameters of this tube. The index for the outside wall is "
        f"(4 x {ratio:.2f} + 1)/(4 x {ratio:.2f} + 2) = {index:.3f}. So the wall keeps {100 * index:.0f} % of its "
        "thickness."
    )
    habits = ((100 * cost.outer_stretch, "you take the stretch along the tube, not the loss of wall"),)
    text = f"A die has a radius of {TIGHT_MM:.0f} mm. By how many per cent does the outside wall get thinner?"
    return number_bet(text, "%", 100 * (1 - index), 2.0, (0.0, 100.0), habits, why)


def busiest_die() -> Bet:
    """Which die makes the most orders."""
    names, made = [die.name for die in _dies()], _made()
    counts = {name: int(count) for name, count in zip(names, made.sum(axis=0), strict=True)}
    best = max(counts, key=lambda name: counts[name])
    listed = ", ".join(f"{name} makes {count}" for name, count in counts.items())
    why = (
        f"With one stop for all four bends, of {len(made)} orders {listed}. "
        "In the lower picture the blue line falls with the radius. "
        "A gentle die makes few of these orders, and a tight one makes nearly all."
    )
    habit = "you think that a gentle die is good for everything"
    return choice_bet("Which of the shop's three dies makes the most of its orders?", best, habit, names, why)


def orders_added() -> Bet:
    """What one more die adds."""
    new, made = new_die(TUBE, _dies(), NEW_MM, DIE.least_straight_mm), np.any(_made(), axis=1)
    with_new = makeable(_orders(), TUBE, [new], training_shop().stop_bends_deg, training_shop().stock_length_mm)[:, 0]
    added, missing = int((with_new & ~made).sum()), int((~made).sum())
    why = (
        f"The three dies together leave {missing} of the {len(made)} orders, and the new die makes {added} of these. "
        "The orange line is what the shop can make with the new die added. Where it is flat, the new die brings "
        "nothing, however good it is alone.\n\n"
        "Find the orders that are left. Each asks for more rise, more room for controls or less width than these "
        "radii can bring together. Talk about such an order with the rider before you buy a die for it."
    )
    habits = (
        (int(with_new.sum()), "you count the orders that the shop can make already"),
        (missing, "you think that a tight die makes everything"),
    )
    text = f"The shop buys one more die, of {NEW_MM:.0f} mm. How many more of its {len(made)} orders can it make?"
    return number_bet(text, "", added, 0.4, (0.0, len(made)), habits, why)


def second_stop() -> Bet:
    """Which die gains most by a second setting of the stop."""
    shop, names = training_shop(), tuple(die.name for die in _dies())
    pairs = makeable(_orders(), TUBE, _dies(), shop.stop_bends_deg, shop.stock_length_mm, two_stops=True)
    one, two = (dict(zip(names, map(int, made.sum(axis=0)), strict=True)) for made in (_made(), pairs))
    best = max(names, key=lambda name: two[name] - one[name])
    why = (
        f"With two stops {best} alone makes {two[best]} of the {len(pairs)} orders, and {one[best]} with one. With one "
        "stop the long arcs of a gentle die fit at one or two angles only. A second angle gives it room again. So try "
        "a second setting of the stop before you buy a die: it costs nothing. Each bend of a gentle die also costs "
        "less wall and less stretch. The angle finder then reads something else than the sweep, and the sheet says "
        "what."
    )
    habit = "you look at the number of orders, not at what the die gains"
    text = "Inner and outer bends may now have different stops. Which die gains the most orders by that?"
    return choice_bet(text, best, habit, names, why)


def narrower_bar() -> Bet:
    """What a narrower bar does to the window."""
    here, order = _window(DIE.centerline_radius_mm), replace(ORDER, width_mm=ORDER.width_mm - 100.0)
    low, high = _window(DIE.centerline_radius_mm, order)
    ends = ("both fall, the upper one much more", "both rise", "only the upper one falls", "nothing changes")
    why = (
        f"The upper end falls from {here[1]:.0f} to {high:.0f} mm, because less of the half width is left. The lower "
        f"one falls from {here[0]:.0f} to {low:.0f} mm, because the grip climbs a little and is shorter. They have "
        f"crossed, so the window is empty. At {BEND_DEG:.0f} degrees {DIE.name} cannot make this bar."
    )
    others = {
        ends[1]: "you think that a narrow bar is a high bar",
        ends[2]: "you forget the climb of the grip",
        ends[3]: "you think that only the grip gets shorter",
    }
    text = f"Order 7 gets 100 mm narrower, {order.width_mm:.0f} mm. What happens to the two ends of its rise window?"
    return choice_bet(text, ends[0], others, ends, why)


def shorter_controls() -> Bet:
    """What shorter controls do to the window."""
    here = _window(DIE.centerline_radius_mm)[1]
    there = _window(DIE.centerline_radius_mm, replace(ORDER, controls_mm=150.0))[1]
    ends = ("the lower end sinks", "the upper end sinks", "the upper end rises", "both ends rise")
    why = (
        f"The upper end rises from {here:.0f} to {there:.0f} mm, because the straight may be longer. The lower end "
        "does not move. It is the bar with the shortest straight, and there the grip is longer than the controls."
    )
    others = {
        ends[0]: "you think that the shortest straight depends on the controls",
        ends[1]: "you think that a shorter grip makes a lower bar",
        ends[3]: "you think that the controls limit both ends",
    }
    return choice_bet("A rider needs only 150 mm for the controls. Which end moves?", ends[2], others, ends, why)


def two_tubes() -> Bet:
    """Which of two tubes pays more on one die."""
    radius, tubes = (
        DIE.centerline_radius_mm,
        (f"the tube of {THIN_MM} mm", f"the tube of {THICK_MM} mm", "both the same"),
    )
    why = (
        "The radius over the diameter counts. "
        f"It is {radius / THICK_MM:.1f} for the thick tube and {radius / THIN_MM:.1f} for the other."
    )
    others = {tubes[0]: "you think that a thin tube is a weak tube", tubes[2]: "you look only at the radius of the die"}
    text = f"Two tubes, {THIN_MM} and {THICK_MM} mm, go round the same die of {radius:.1f} mm. Which wall thins more?"
    return choice_bet(text, tubes[1], others, tubes, why)


def _finished(die_radius_mm: float) -> float:
    die = replace(DIE, centerline_radius_mm=die_radius_mm)
    return float(springback_from_tube(TUBE, die).finished_radius_mm)


def _window(die_radius_mm: float, order: Order = ORDER) -> tuple[float, float]:
    lowest, highest = rise_window_mm(order, _finished(die_radius_mm), BEND_DEG, DIE.least_straight_mm)
    return float(lowest), float(highest)


@cache
def _orders() -> list[Order]:
    return [named.order for named in orders_from_file(training_file("orders.toml"))]


def _dies() -> tuple[Die, ...]:
    return training_shop().dies_for(TUBE)


@cache
def _made() -> NDArray[np.bool_]:
    shop = training_shop()
    return makeable(_orders(), TUBE, _dies(), shop.stop_bends_deg, shop.stock_length_mm)


BETS = {
    "room for the arcs": room_for_arcs,
    "ends of the window": ends_of_window,
    "tighter die": tighter_die,
    "smallest bend": smallest_bend,
    "lowest rise by bend": lowest_by_bend,
    "closing radius": closing_radius,
    "thinner wall": thinner_wall,
    "busiest die": busiest_die,
    "orders added": orders_added,
    "second stop": second_stop,
    "narrower bar": narrower_bar,
    "shorter controls": shorter_controls,
    "two tubes": two_tubes,
    "puzzle: a low bar": two_stops_for_low_bar,
}
"""As the lesson asks them, first to last."""
