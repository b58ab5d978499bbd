"""Exercises of lessons 01 to 04: marks, rise, dies, slips."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random
from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN
from barmath.closed_forms.inverse import rise_window_mm
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Order
from barmath.closed_forms.sensitivity import OUTER_BEND, OUTER_MARK, sensitivities_from_recipe
from barmath.practice.exercise import ACT, COMPUTE, ESTIMATE, Exercise, Question, choice, numeric
from barmath.practice.givens import radius_given, slip_given
from barmath.practice.one_more import at_last, cut_length, degrees_of_slip, lowest_rise
from barmath.practice.scene import (
    CLAMP_FLAT_MM,
    CONTROLS_MM,
    LEAST_RISER_MM,
    LEVELS,
    WIDTHS_MM,
    bend_deg,
    dice,
    radius_mm,
    scene,
    shuffled,
)
from barmath.refusal import BendError

_TRIES = 5000  # orders drawn at random, until one asks what it should


def marks(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """Where the two pencil marks of a side go."""
    rng = dice(kind, seed, level)
    order, recipe = scene(rng, level, two_stops=level == LEVELS[-1])
    at = marks_from_recipe(recipe)
    half = 0.5 * CLAMP_FLAT_MM
    arc, s = float(at.inner_end_mm) - half, float(recipe.straight_mm)
    bend, radius = float(recipe.inner_bend_deg), float(recipe.radius_mm)
    inner, outer = float(at.inner_end_mm), float(at.outer_start_mm)
    last, grip = float(recipe.outer_bend_deg), round(float(recipe.grip_mm), 1)
    last_arc = radius * last * RADIAN
    (on, radius_sum, _), die = radius_given(rng, level, radius)
    span, arc_sum = (0.0, 500.0), f"{radius_sum} x {bend:.1f} / 57.296"
    return Exercise(
        kind, lesson, "Place the marks", seed, level,
        (
            f"Clamp flat {CLAMP_FLAT_MM:.0f} mm, {_bends(bend, last)} on {on}, "
            f"riser straight {s:.1f} mm (a rise of {order.rise_mm:.0f} mm)."
            + (f" Each grip is {grip:.1f} mm of straight tube." if level == LEVELS[-1] else ""),
            "The hook will hold the riser for every bend. So the marks are the two ends of the riser, measured from "
            "the middle of the tube.",
        ),
        (
            numeric(ESTIMATE, "Roughly how long is the arc of one inner bend, along the tube's middle line?", "mm", arc,
                    0.15 * arc, (1.0, 200.0), hint="An arc of 57 deg is as long as its radius.",
                    formula="arc = R x a / 57", numbers=f"{radius_sum} x {bend:.1f} / 57"),
            numeric(COMPUTE, "How far from the middle is the inner mark?", "mm", inner, 0.5, span, (
                (half + 0.5 * arc, "you mark the middle of the bend, not its end"),
                (half + radius * math.tan(0.5 * bend * RADIAN),
                 "you mark the corner, where the straights would meet, not the end of the bend"),
                (half, "you mark the start of the bend, but the riser begins at its end"),
                (half + die * bend * RADIAN, "you use the radius of the die, not of the finished bend"),
                (2.0 * half + arc, "you count the whole clamp flat from the middle, not half of it"),
            ), hint="Add half the clamp flat and the arc.", formula="inner mark = clamp flat / 2 + R x a / 57.296",
               numbers=f"{CLAMP_FLAT_MM:.0f} / 2 + {arc_sum}"),
            numeric(ACT, "And the outer mark?", "mm", outer, 0.5, span, (
                (half + s, "you leave out the arc of the inner bend"),
                (outer + last_arc, "you mark the end of the outer bend, but the riser ends at its start"),
                (outer + 0.5 * last_arc, "you mark the middle of the outer bend, not its start"),
            ), hint="Add the straight of the riser to the inner mark.", formula="outer mark = inner mark + straight",
               numbers=f"{CLAMP_FLAT_MM:.0f} / 2 + {arc_sum} + {s:.1f}"),
            *at_last(level, cut_length(
                outer, last_arc, grip,
                f"{CLAMP_FLAT_MM:.0f} / 2 + {arc_sum} + {s:.1f} + {radius_sum} x {last:.1f} / 57.296")),
        ),
        (
            f"Arc: {arc_sum} = {arc:.1f} mm.",
            f"Inner mark: {half:.0f} + {arc:.1f} = {inner:.1f} mm.",
            f"Outer mark: {inner:.1f} + {s:.1f} = {outer:.1f} mm.",
        ),
        recipe,
    )  # fmt: skip


def _bends(inner: float, outer: float) -> str:
    if inner == outer:
        return f"bends of {inner:.1f} deg"
    return f"inner bends of {inner:.1f} deg and outer ones of {outer:.1f} deg"


def rise(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """The rise of a bar without sweep, and what a longer straight adds."""
    rng = dice(kind, seed, level)
    radius, bend = radius_mm(rng, level), bend_deg(rng, level)
    s = float(rng.randint(7, 14) * 10) if level == 1 else float(rng.randint(66, 150))
    mark = rng.randint(55, 75)
    (on, radius_sum, _), _ = radius_given(rng, level, radius)
    straight, straight_sum = f"riser straight {s:.1f} mm", f"{s:.1f}"
    if level > 1:
        straight = f"marks at {mark:.0f} mm and {mark + s:.0f} mm from the middle"
        straight_sum = f"({mark + s:.0f} - {mark:.0f})"
    more = rng.choice((5.0, 8.0, 10.0))
    sine, turned = math.sin(bend * RADIAN), 1.0 - math.cos(bend * RADIAN)
    whole, longer = 2.0 * radius * turned + s * sine, more / sine
    climb = "rise = s x sin a + 2 x R x (1 - cos a)"
    climb_sum = f"{straight_sum} x sin {bend:.1f} + 2 x {radius_sum} x (1 - cos {bend:.1f})"
    return Exercise(
        kind, lesson, "Rise by hand", seed, level,
        (
            f"A bar without any sweep: bends of {bend:.1f} deg on {on}, {straight}, grips level."
            + (" The marks are the ends of the riser." if level > 1 else ""),
        ),
        (
            numeric(ESTIMATE, "Roughly what rise will it have?", "mm", whole, 0.25 * whole, (1.0, 300.0), (
                (s, "you take the length of the riser, not its height"),
            ), hint="The riser climbs by the sine of the bend. The two arcs add a little.", formula=climb,
               numbers=climb_sum),
            numeric(COMPUTE, "What is its rise?", "mm", whole, 0.5, (0.0, 300.0), (
                (s * sine, "you leave out the two arcs"),
                (radius * turned + s * sine, "you count only one of the two arcs"),
                (2.0 * radius * turned + s * math.cos(bend * RADIAN), "you use the cosine, not the sine"),
                ((s + 2.0 * radius * bend * RADIAN) * sine, "you think that the arcs climb as steeply as the riser"),
            ), hint="Add the climb of the two arcs and of the riser.", formula=climb, numbers=climb_sum),
            numeric(ACT, f"The rider wants {more:.0f} mm more rise. By how much must the riser be longer?", "mm",
                    longer, 0.5, (0.0, 100.0), (
                (more, "you make the straight longer by the rise itself"),
                (more * sine, "you multiply by the sine, but you must divide by it"),
                (more / math.cos(bend * RADIAN), "you use the cosine, not the sine"),
            ), hint="A millimetre of riser gives less than a millimetre of rise.", formula="longer = more rise / sin a",
               numbers=f"{more:.0f} / sin {bend:.1f}"),
            *at_last(level, lowest_rise(radius, radius_sum, bend, "What is the lowest rise on this die?")),
        ),
        (
            f"Two arcs: 2 x {radius:.1f} x (1 - cos {bend:.1f}) = {2.0 * radius * turned:.1f} mm.",
            f"Riser: {s:.1f} x sin {bend:.1f} = {s * sine:.1f} mm; together {whole:.1f} mm.",
            f"{more:.0f} mm more: {more:.0f} / sin {bend:.1f} = {longer:.1f} mm of riser.",
        ),
    )  # fmt: skip


def die(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """Which die an order needs."""
    rng = dice(kind, seed, level)
    order, bend, radii_mm, windows_mm, fits = _dies(rng, level)
    share = 0.0 if level == 1 else rng.randint(20, 45) / 1000.0
    shown = [radius * (1.0 - share) for radius in radii_mm]
    sums = [f"{one:.1f}" if level == 1 else f"{one:.1f} / (1 - {share:.3f})" for one in shown]
    names, wanted, middle = ("die A", "die B", "die C"), float(order.rise_mm), radii_mm[1]
    best = max(place for place, fit in enumerate(fits) if fit)
    sine, turned = math.sin(bend * RADIAN), 1.0 - math.cos(bend * RADIAN)
    lowest = 2.0 * middle * turned + LEAST_RISER_MM * sine
    reasons = {
        name: (
            "you take a die that fits, but a gentler one fits too" if fits[place]
            else f"you do not look at the rises of that die, {low:.0f} to {high:.0f} mm"
        )
        for place, (name, (low, high)) in enumerate(zip(names, windows_mm, strict=True)) if place != best
    }  # fmt: skip
    tops = ", ".join(f"{name} {r:.1f} mm (highest {high:.1f} mm)" for name, r, (_, high) in
                     zip(names, shown, windows_mm, strict=True))  # fmt: skip
    return Exercise(
        kind, lesson, "Choose a die", seed, level,
        (
            f"A bar without sweep, {order.width_mm:.0f} mm wide, rise {wanted:.0f} mm, bends of {bend:.1f} deg. Hook "
            f"and follower need a riser straight of {LEAST_RISER_MM:.0f} mm.",
            f"Three dies by {'finished radius' if level == 1 else 'their own radius'}, with the highest rise the grips "
            f"leave room for: {tops}." + (f" The tube springs back by {100.0 * share:.1f} %." if level > 1 else ""),
        ),
        (
            _other_radius(rng),
            numeric(COMPUTE, "What is the lowest rise of die B?", "mm", lowest, 0.5, (0.0, 300.0), (
                (2.0 * middle * turned, "you leave out the straight that the tooling needs"),
                (middle * turned + LEAST_RISER_MM * sine, "you count only one of the two arcs"),
                (LEAST_RISER_MM * sine, "you leave out the two arcs"),
            ), hint="Add the climb of the two arcs and of the shortest straight.",
               formula="lowest rise = 2 x R x (1 - cos a) + straight x sin a",
               numbers=f"2 x {sums[1]} x (1 - cos {bend:.1f}) + {LEAST_RISER_MM:.0f} x sin {bend:.1f}"),
            choice(ACT, "Which die do you take? Take the gentlest one that fits.", names[best], reasons, names),
            *at_last(level, lowest_rise(radii_mm[2], sums[2], bend, "What is the lowest rise of die C?")),
        ),
        (
            *(f"{name}: from {low:.1f} to {high:.1f} mm{'' if fit else ', which does not include this order'}."
              for name, (low, high), fit in zip(names, windows_mm, fits, strict=True)),
            f"Lowest of die B: 2 x {sums[1]} x (1 - cos {bend:.1f}) + {LEAST_RISER_MM:.0f} x sin {bend:.1f} = "
            f"{lowest:.1f} mm.",
        ),
    )  # fmt: skip


def _other_radius(rng: Random) -> Question:
    # what another radius does to the lowest rise, which the arcs decide; or to what the riser adds: nothing
    names, radius = ("is higher", "is lower", "remains the same"), rng.choice(("larger", "smaller"))
    right = rng.choice(names)
    if right == "remains the same":
        what = "the rise that 10 mm more of riser adds"
        others = dict.fromkeys(
            names[:2], "you think that the radius changes everything, but it does not change the slope of the riser"
        )
    else:
        what, radius = "the lowest rise of a die", "larger" if right == "is higher" else "smaller"
        turned = next(name for name in names[:2] if name != right)
        others = {
            turned: "you think that a gentle bend makes a low bar, but its two arcs climb more",
            "remains the same": "you think only of the straight, not of the arcs",
        }
    text = f"You take a {radius} radius and keep the bend. Then {what} ..."
    hint = "The radius changes the arcs. It does not change the straight of the riser."
    return choice(ESTIMATE, text, right, others, shuffled(rng, *names), hint)


class _Dies(NamedTuple):
    order: Order
    bend_deg: float
    radii_mm: tuple[float, ...]
    windows_mm: list[tuple[float, float]]
    fits: list[bool]


def _dies(rng: Random, level: int) -> _Dies:
    # an order and three dies that fit or miss it by at least a millimetre. What a larger die can make, a smaller one
    # can make too: so the number of dies that fit says which is the gentlest of them
    count = rng.randint(1, 3)
    rises = np.arange(45.0, 111.0)
    for _ in range(_TRIES):
        bend = bend_deg(rng, level)
        small = radius_mm(rng, level)
        radii = (small, small + rng.randint(25, 40), small + rng.randint(60, 90))
        order = Order(1.0, 0.0, rng.choice(WIDTHS_MM[1:]), None, CLAMP_FLAT_MM, CONTROLS_MM)
        try:
            low, high = rise_window_mm(order, np.array(radii), bend, LEAST_RISER_MM)
        except BendError:
            continue
        lowest, highest = np.asarray(low)[:, None], np.asarray(high)[:, None]
        fits = (lowest + 1.0 <= rises) & (rises <= highest - 1.0)
        misses = (rises < lowest - 1.0) | (rises > highest + 1.0)
        usable = rises[(fits.sum(axis=0) == count) & (fits | misses).all(axis=0)]
        if usable.size:
            wanted = float(rng.choice(usable.tolist()))
            windows = [(float(one), float(other)) for one, other in zip(low, high, strict=True)]
            return _Dies(replace(order, rise_mm=wanted), bend, radii, windows, fits[:, rises == wanted][:, 0].tolist())
    raise BendError(f"exercise must have dies to choose from, got none in {_TRIES} tries: choose another seed")


def slip(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """What a slip of the stop does to the rise, and which setting to look at twice."""
    rng = dice(kind, seed, level)
    order, recipe = scene(rng, level, two_stops=level == LEVELS[-1])
    over = 1.0 if level == 1 else rng.choice((0.5, 1.5, 2.0))
    half = 0.5 * float(order.width_mm)
    lever = half - 0.5 * CLAMP_FLAT_MM
    up = lever * over * RADIAN
    arm = f"({order.width_mm:.0f} / 2 - {CLAMP_FLAT_MM:.0f} / 2)"
    slipped, over_sum, _ = slip_given(rng, level, over)
    slopes = sensitivities_from_recipe(recipe)
    by_outer, by_mark = (abs(float(slopes[slip].rise_mm)) for slip in (OUTER_BEND, OUTER_MARK))
    settings = {
        "most": ("the stop of the inner bends", "the inner bend has the longest lever arm"),
        "second most": (
            "the stop of the outer bends", f"the outer bend has a shorter lever arm, {by_outer:.1f} mm a degree"),
        "least": ("the outer mark", f"a millimetre of mark is only {by_mark:.1f} mm of rise"),
    }  # fmt: skip
    most, (right, _) = rng.choice(tuple(settings.items()))
    return Exercise(
        kind, lesson, "What a slip costs", seed, level,
        (
            f"A bar {order.width_mm:.0f} mm wide with a clamp flat of {CLAMP_FLAT_MM:.0f} mm. The stop of one inner "
            f"bend was set {slipped}.",
            "Everything beyond that bend turns about the start of its arc, at the end of the clamp flat.",
        ),
        (
            numeric(ESTIMATE, "Roughly how much higher does that bar end come?", "mm", up, 0.4 * up, (0.1, 60.0), (
                (over, "you count a degree as a millimetre"),
            ), hint="At a lever arm of 57 mm, a degree moves the end by 1 mm.",
                    formula="lever arm x degrees / 57", numbers=f"{arm} x {over_sum} / 57"),
            numeric(COMPUTE, "How much higher is it, seen from the front?", "mm", up, 0.3, (0.0, 60.0), (
                (half * over * RADIAN, "you measure the lever arm from the middle, not from the end of the clamp flat"),
                (2.0 * half * over * RADIAN, "you use the whole width as the lever arm"),
            ), hint="Multiply the lever arm by the turn in radians. The arm begins at the end of the clamp flat.",
               formula="(width / 2 - clamp flat / 2) x degrees / 57.296", numbers=f"{arm} x {over_sum} / 57.296"),
            choice(ACT, "Compare a degree at each stop with a millimetre at the outer mark. Which moves the rise "
                   f"{most}?", right,
                {name: f"you do not compare the three, but {why}" for name, why in settings.values() if name != right},
                shuffled(rng, *(name for name, _ in settings.values())),
                hint="Compare the lever arms. How much of the bar is beyond each bend? What does a mark add?"),
            *at_last(level, degrees_of_slip(lever, arm, rng.randint(8, 24) / 10.0)),
        ),
        (
            f"Lever arm: {half:.0f} - {0.5 * CLAMP_FLAT_MM:.0f} = {lever:.0f} mm; {over:.1f} deg is "
            f"{over * RADIAN:.4f} radians.",
            f"{lever:.0f} x {over * RADIAN:.4f} = {up:.1f} mm.",
            f"A degree of outer bend moves the rise by {by_outer:.1f} mm, a millimetre of the outer mark by "
            f"{by_mark:.1f} mm.",
        ),
        recipe,
    )  # fmt: skip
