"""The bets of lesson 13, will it hold. Every number is worked out for order 7; no number approves a bar."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import cos, radians

import numpy as np

from barmath.crossbars.crossbar import crossbar
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.practice.bets.puzzles import make_it_hold
from barmath.shop.order_seven import BEND_DEG, CROSSBAR, ORDER, TUBE, order_seven_recipe
from barmath.shop.stock import Tube
from barmath.strength.load_cases import FROM_END_MM, LATERAL, LOAD_CASES
from barmath.strength.screen import STEM_WIDTH_MM, LoadedBar, loaded_bar
from barmath.strength.strength_study import first_yield_by_width

RECIPE = order_seven_recipe()
FLAT = 0.08
"""How far out of round the standard for power piping lets a bend be."""


def lever_arm() -> Bet:
    """The lever arm of the lateral load."""
    half, along, stem = ORDER.width_mm / 2, FROM_END_MM * cos(radians(ORDER.backsweep_deg)), STEM_WIDTH_MM / 2
    lever = _lever()
    why = (
        f"Half of {ORDER.width_mm:.0f} is {half:.0f}. The load is {FROM_END_MM:.0f} mm in, along a grip that is swept "
        f"back by {ORDER.backsweep_deg:.0f} degrees. So it is {FROM_END_MM:.0f} cos {ORDER.backsweep_deg:.0f}° = "
        f"{along:.0f} mm nearer. The stem takes {stem:.0f}. That leaves **{lever:.0f} mm**."
    )
    habits = (
        (half, "you put the load at the end, and the clamp at the middle"),
        (half - FROM_END_MM, "you forget the width of the stem"),
    )
    text = "How long is the lever arm from the load to the edge of the stem, seen from the front?"
    return number_bet(text, "mm", lever, 5.0, (0.0, 1000.0), habits, why)


def moment_at_stem() -> Bet:
    """The bending moment at the stem's edge."""
    lever, side = _lever(), _bar().right
    bending, twisting = float(np.hypot(*side.moments_nm[0, :2])), abs(float(side.moments_nm[0, 2]))
    why = (
        f"{LATERAL.right_n:.0f} N at {lever / 1e3:.3f} m is **{lever * LATERAL.right_n / 1e3:.0f} N m**. The package "
        f"counts the small upsweep too and says {bending:.0f}. The grip is behind the clamp axis, so the load twists "
        f"the clamp flat as well, by {twisting:.0f} N m."
    )
    text = f"How large is the bending moment there, with {LATERAL.right_n:.0f} N?"
    habit = (lever * LATERAL.right_n / 1e2, "you use the lever in cm, not in m")
    return number_bet(text, "N m", bending, 10.0, (0.0, 1e5), (habit,), why)


def folding() -> Bet:
    """How much more than first yield folds a tube."""
    share = TUBE.plastic_moment_nm() / _first_yield_nm() - 1
    ways = {0.1: "about a tenth", 1 / 3: "about a third", 1.0: "twice as much"}
    right = ways[min(ways, key=lambda more: abs(more - share))]
    bending = float(np.hypot(*_bar().right.moments_nm[0, :2]))
    why = (
        f"First yield is at {_first_yield_nm():.0f} N m, and the tube folds at {TUBE.plastic_moment_nm():.0f} N m. "
        f"That is {100 * share:.0f} % more. So the {bending:.0f} N m of the test are **between first yield and "
        "folding**. The bar remains bent, and no elastic sum can say how much. "
        "That is why the picture marks where its own answer stops being valid."
    )
    others = {
        "about a tenth": "you think of the tube as a very thin skin",
        "twice as much": "you think of the tube as a full round bar",
    }
    return choice_bet("How much more than first yield does it take to fold a tube?", right, others, ways.values(), why)


def largest_stress() -> Bet:
    """Where the largest stress is."""
    round_, flat = (loaded_bar(RECIPE, TUBE, LATERAL, out_of_round=share) for share in (0.0, FLAT))
    at_edge = round_.worst[1] == 0
    places = ("at the edge of the stem", "in a bend")
    why = (
        f"The largest elastic stress is {round_.elastic_mpa:.0f} MPa with round bends, and "
        f"{flat.elastic_mpa:.0f} MPa with bends {100 * FLAT:.0f} % out of round. The lever arm is longest at the edge "
        "of the stem. A bend has less lever arm, but its wall is thinner. Its inside also carries more than the "
        "inside of a straight tube."
    )
    right = places[0 if at_edge else 1]
    others = {places[1]: "you forget the lever arm", places[0]: "you look only at the lever arm"}
    text = "Where do you expect the largest stress in order 7, with round bends?"
    return choice_bet(text, right, others, places, why)


def crossbar_helps_least() -> Bet:
    """For which load a crossbar hardly helps."""
    fitted = crossbar(RECIPE, TUBE.outside_diameter_mm, CROSSBAR)
    pairs = {case.name: (loaded_bar(RECIPE, TUBE, case), loaded_bar(RECIPE, TUBE, case, fitted)) for case in LOAD_CASES}
    left = {name: with_one.elastic_mpa / without.elastic_mpa for name, (without, with_one) in pairs.items()}
    none = [name for name, share in left.items() if share > 0.95]
    least = max(left, key=lambda name: left[name])
    listed = ", ".join(f"{name} {100 * share:.0f} %" for name, share in left.items())
    forces = pairs[LATERAL.name][1].right.joint
    joint = 0.0 if forces is None else abs(float(forces[0]))
    why = (
        f"With a crossbar this much of the stress is left: {listed}. It hardly helps against {' and '.join(none)}. "
        "Turning in the stem moves both ends of the crossbar alike, so it has nothing to hold on to. Where one side "
        "goes down and the other goes up, it only moves along. When one side alone is pulled, it carries a part "
        f"across. Then its **brazed joints** carry {joint:.0f} N. Nothing here says that they can."
    )
    others = {name: "you think that a crossbar helps against every load" for name in left if name not in none}
    others |= {
        name: f"you stop too early, because it helps even less against {least}" for name in none if name != least
    }
    text = "Against which of the four loads does a crossbar help least?"
    return choice_bet(text, least, others, left, why)


def wall_or_width() -> Bet:
    """Whether more wall or less width helps more."""
    order = replace(ORDER, controls_mm=140.0)
    tubes = [TUBE, Tube(TUBE.outside_diameter_mm, TUBE.wall_mm + 0.5)]
    widths = np.array([ORDER.width_mm, ORDER.width_mm - 80.0])
    ratios = np.asarray(first_yield_by_width(order, RECIPE.radius_mm, BEND_DEG, tubes, widths, LATERAL))
    here, narrow, thick = float(ratios[0, 0]), float(ratios[0, 1]), float(ratios[1, 0])
    ways = {"half a millimetre more wall": thick, "80 mm less width": narrow}
    right, wrong = sorted(ways, key=lambda way: ways[way])
    why = (
        f"Here the load comes to {here:.2f} of first yield. With half a millimetre more wall it comes to {thick:.2f}, "
        f"and with 80 mm less width to {narrow:.2f}. Neither number approves a bar."
    )
    text = "Which lowers the stress more: half a millimetre more wall, or 80 mm less width?"
    return choice_bet(text, right, {wrong: "you think that the other change is small"}, ways, why)


def wider_moment() -> Bet:
    """By what factor the moment grows on a wider bar."""
    lever = _lever()
    why = f"The lever arm grows from {lever:.0f} to {lever + 40:.0f} mm, and that is {(lever + 40) / lever:.2f} times."
    half = ORDER.width_mm / 2
    habits = ((2.0, "you think that 40 mm a side is very much"), ((half + 80) / half, "you count both sides, not one"))
    text = "A rider wants 40 mm more width on each side. By what factor does the moment at the edge of the stem grow?"
    return number_bet(text, "", (lever + 40) / lever, 0.02, (0.5, 10.0), habits, why)


def fatigue() -> Bet:
    """Why fatigue is not judged by first yield."""
    ways = ("the loads are too small to matter", "a crack grows far below yield", "a crossbar takes the fatigue away")
    why = (
        "A crack grows from a notch, a joint or rust under loads far below yield, cycle by cycle. Only a fatigue test "
        "on finished bars can answer this."
    )
    others = {
        ways[0]: "you think that many small loads are like one small load",
        ways[2]: "you think that a crossbar helps everywhere",
    }
    return choice_bet("Why is fatigue not judged by first yield?", ways[1], others, ways, why)


def so_it_is_safe() -> Bet:
    """What to answer to a friend who calls a bar safe."""
    ways = ("yes, it is below 1", "yes, with a crossbar", "no, nothing here gives a reason to ride")
    why = (
        "The sum knows nothing of the joints, the notch, the crash last month or the true yield of the tube. It found "
        "no reason to stop, and it gave no reason to ride. Test to the standard, by licensed practice."
    )
    others = {
        ways[0]: "you confuse a check on paper with a test",
        ways[1]: "you think that the joints of the crossbar hold",
    }
    text = 'Your friend reads 0.6 of first yield and says "so it is safe". Is your friend right?'
    return choice_bet(text, ways[2], others, ways, why)


def _lever() -> float:
    along = FROM_END_MM * cos(radians(ORDER.backsweep_deg))
    return float(ORDER.width_mm / 2 - along - STEM_WIDTH_MM / 2)


def _first_yield_nm() -> float:
    return float(TUBE.material.yield_mpa * TUBE.section_modulus_mm3 / 1e3)


@cache
def _bar() -> LoadedBar:
    return loaded_bar(RECIPE, TUBE, LATERAL)


BETS = {
    "lever arm": lever_arm,
    "moment at the stem": moment_at_stem,
    "folding": folding,
    "largest stress": largest_stress,
    "crossbar": crossbar_helps_least,
    "wall or width": wall_or_width,
    "wider moment": wider_moment,
    "fatigue": fatigue,
    "so it is safe": so_it_is_safe,
    "puzzle: make it hold": make_it_hold,
}
"""As the lesson asks them, first to last."""
