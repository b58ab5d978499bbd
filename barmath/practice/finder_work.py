"""An exercise of lesson 05: to which side the clamp flat slopes before an outer bend."""

from __future__ import annotations

import math
from functools import cache

from barmath.arrays import RADIAN
from barmath.bending.plans import GRIPS, PLANS, USUAL
from barmath.bending.steps import bench_steps
from barmath.closed_forms.forward import clamp_reading_deg
from barmath.practice.exercise import ACT, COMPUTE, ESTIMATE, Exercise, choice, numeric
from barmath.practice.one_more import at_last, on_the_other_bender
from barmath.practice.scene import LEVELS, dice, scene
from barmath.shop.bender import Bender
from barmath.shop.order_seven import DIE, order_seven_recipe
from barmath.shop.tooling import Springback

WAYS = ("downhill", "uphill")
_KNOWN = "With the right riser in the hook and a bend to the left, the flat goes downhill. Each of these changes that: "
_SPRINGBACK = Springback(0.03, 101.6)  # it changes the stop, and no side
_TURNS = "the other side, a grip in the hook, a bend to the right."


def direction(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """Which way the clamp flat runs for an outer bend, and what comes of the wrong way."""
    rng = dice(kind, seed, level)
    order, recipe = scene(rng, level, two_stops=level == LEVELS[-1])
    turns = rng.choice(("left", "right")) if level == 3 else "left"
    plan = rng.choice((USUAL, GRIPS)) if level > 1 else USUAL
    reading = abs(float(clamp_reading_deg(recipe)))
    ways, holds = _outer_bends(plan, turns)
    side = rng.choice(("left", "right"))
    far = "left" if side == "right" else "right"
    sweep, roll = float(order.backsweep_deg), abs(float(recipe.roll_deg))
    back = 200.0 * math.tan(sweep * RADIAN)
    swept = f"by {sweep:.1f} deg" if level == 1 else f"{back:.1f} mm on each 200 mm to the side"
    apart_sum = f"{sweep:.1f} - (- {sweep:.1f})" if level == 1 else f"2 x arctan({back:.1f} / 200)"
    swapped = "you keep the slope of the other side, but it changes when you turn the tube end for end"
    return Exercise(
        kind, lesson, "Uphill or downhill?", seed, level,
        (
            f"Both inner bends are made. The grips must sweep back {swept}. The finder on the clamp "
            f"flat must show {reading:.1f} deg before each outer bend.",
            f"Seen from above, the free end comes round to the {turns}. For the {side} outer bend: {holds[side]}.",
        ),
        (
            choice(ESTIMATE, f"At the {side} outer bend: which way must the clamp flat go, away from the bender?",
                   ways[side], {ways[far]: "you look at the number on the finder, not at the slope of the flat"},
                   WAYS, _KNOWN + _TURNS),
            numeric(COMPUTE, "Somebody lets it slope the wrong way for one of the grips. By how many degrees do the "
                    "sweeps of the two grips differ?", "deg", 2.0 * sweep, 0.3, (0.0, 180.0), (
                (sweep, "you think that the wrong grip comes out straight, but it points forward"),
                (0.0, "you think that the slope makes no difference"),
                (2.0 * roll, "you confuse the roll with the sweep"),
            ), hint="The wrong grip points forward by as much as the other one points back.",
               formula="difference = backsweep - (- backsweep)", numbers=apart_sum),
            choice(ACT, f"Next comes the {far} outer bend: {holds[far]}. Which way must the clamp flat go now?",
                   ways[far], {ways[side]: swapped}, WAYS, _KNOWN + _TURNS),
            *at_last(level, on_the_other_bender(side, turns, (ways[far], ways[side]), _KNOWN + _TURNS)),
        ),
        (
            f"At the {side} outer bend the flat goes {ways[side]}, at the {far} outer bend {ways[far]}.",
            f"The wrong way gives {-sweep:.1f} deg instead of {sweep:.1f} deg: {2.0 * sweep:.1f} deg apart.",
            "Look at the finished grip in your mind before you pull: it must point to the rider.",
        ),
        recipe,
    )  # fmt: skip


@cache  # the slope depends on how the tube is held and swung, not on the lengths and angles of the bar
def _outer_bends(plan: str, turns: str) -> tuple[dict[str, str], dict[str, str]]:
    # of each side: which way the clamp flat goes before the outer bend, and how the tube is held
    recipe = order_seven_recipe()
    steps = bench_steps(recipe, _SPRINGBACK, DIE, Bender(turns=turns), holds=PLANS[plan])
    outer = [step for step in steps if step.bend == "outer"]
    ways = {step.side: WAYS[0] if float(step.reading_deg or 0.0) > 0.0 else WAYS[1] for step in outer}
    return ways, {step.side: step.hold for step in outer}
