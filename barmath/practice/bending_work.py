"""Exercises of lessons 05 to 07: reading, sequence of bends, stop, faulty bend."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.bending.plans import GRIPS, PLANS, USUAL, least_riser_mm
from barmath.checking.as_bent import PARTS, parts_of_recipe
from barmath.checking.bench_readings import BY_KEY, readings_of_parts
from barmath.closed_forms.forward import clamp_reading_deg
from barmath.closed_forms.records import Recipe
from barmath.practice.exercise import ACT, COMPUTE, ESTIMATE, Exercise, Question, choice, numeric
from barmath.practice.givens import STOP_DEG, kept_given, length_given, zero_given
from barmath.practice.one_more import (
    at_last,
    riser_for_the_follower,
    roll_of_reading,
    share_behind_play,
    sweep_with_it,
)
from barmath.practice.scene import LEVELS, bend_deg, dice, scene, shuffled
from barmath.refusal import BendError
from barmath.shop.bender import Bender
from barmath.shop.order_seven import DIE
from barmath.shop.tooling import Springback

_READ = ("backsweep_left", "backsweep_right", "upsweep_left", "upsweep_right", "rise_left", "rise_right")
_FAULTY = ("left outer bend", "left inner bend", "right inner bend", "right outer bend")
_HOLDS = {
    "only the riser": (True, False),
    "only the grip": (False, True),
    "either of them": (True, True),
    "neither: another sequence or a longer riser": (False, False),
}


_WHEN = {
    "at the outer bends": "you forget that riser and grip are one long straight until the outer bend",
    "at the inner bends": "you forget that riser and clamp flat are one long straight until the inner bend",
    "never": "you think of a second bend, but there is none, so the straight goes on to the end",
}
"""By when the riser gets short: what is overlooked in any other answer."""


def reading(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """What the angle finder on the clamp flat must show before the outer bend."""
    rng = dice(kind, seed, level)
    order, recipe = scene(rng, level)
    a = float(recipe.inner_bend_deg)
    roll = round(float(recipe.roll_deg), 0 if level == 1 else 1)
    recipe = replace(recipe, roll_deg=roll)
    shown = float(clamp_reading_deg(recipe))
    sweep = float(order.backsweep_deg)
    table = rng.choice((0.3, 0.4, 0.6, 0.7))
    off = zero_given(rng, level, table)
    sines = f"sin {a:.1f} x sin {roll:.1f}"
    return Exercise(
        kind, lesson, "Set the reading", seed, level,
        (
            f"Both inner bends, of {a:.1f} deg, are made. You must roll the tube by {roll:.1f} deg about the riser "
            "before the outer bend.",
            "The riser is in the hook; the finder is on the clamp flat.",
        ),
        (
            _beside_the_roll(rng),
            numeric(COMPUTE, "What must it show?", "deg", shown, 0.15, (0.0, 90.0), (
                (roll, "you set the finder to the roll itself"),
                (a, "you set the finder to the bend"),
                (roll * math.sin(a * RADIAN),
                 "you leave out the sine of the roll, which is good enough only for small rolls"),
                (math.degrees(math.asin(min(1.0, math.cos(a * RADIAN) * math.sin(roll * RADIAN)))),
                 "you use the cosine of the bend, not its sine"),
            ), hint="The clamp flat leans by only a part of the roll. The sine of the inner bend says how much.",
               formula="sin(reading) = sin(inner bend) x sin(roll)", numbers=f"arcsin({sines})"),
            numeric(ACT, f"{off.words} You do not zero it. To what reading do you turn the tube?", "deg",
                    shown + table, 0.15, (0.0, 90.0), (
                (shown, "you forget the finder's own error"),
                (shown - table, "you subtract the finder's own error, but you must add it"),
            ), hint="The finder shows that much too much at every angle.",
               formula="turn to = reading + what it shows on level",
               numbers=f"{off.total} + arcsin({sines})"),
            *at_last(level, roll_of_reading(a, f"{a:.1f}", shown + rng.choice((-1.5, 1.5)))),
        ),
        (
            f"sin(reading) = sin {a:.1f} x sin {roll:.1f} = {math.sin(a * RADIAN) * math.sin(roll * RADIAN):.4f}: "
            f"{shown:.1f} deg.",
            f"Not zeroed: {shown:.1f} + {table:.1f} = {shown + table:.1f} deg.",
            f"The backsweep of the bar will be {sweep:.1f} deg. The reading is very nearly that, but only with "
            "equal bends.",
        ),
        recipe,
    )  # fmt: skip


def sequence_of_bends(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """What hook and follower must find on the riser, by what is in the hook for the outer bends."""
    rng = dice(kind, seed, level)
    wanted, apart = rng.choice(tuple(_HOLDS)), 8 if level == 1 else 3
    for _ in range(5000):
        hook, follower, riser = float(rng.randint(25, 80)), float(rng.randint(20, 80)), float(rng.randint(20, 95))
        bender, die = Bender(hook_mm=hook, follower_mm=follower), DIE
        by_riser, by_grip = (least_riser_mm(PLANS[name], bender, die) for name in (USUAL, GRIPS))
        works = (riser >= by_riser, riser >= by_grip)
        if works == _HOLDS[wanted] and min(abs(riser - by_riser), abs(riser - by_grip), abs(hook - follower)) >= apart:
            break
    else:
        raise BendError("exercise must have plans to choose from, got none in 5000 tries: choose another seed")
    reasons = {words: _misjudged(claimed, works, by_riser, by_grip) for words, claimed in _HOLDS.items()
               if words != wanted}  # fmt: skip
    mark, gaps = float(rng.randint(55, 75)), (float(rng.randint(2, 6)), float(rng.randint(2, 6)))
    held = length_given("", level, ("the hook itself", hook - gaps[0], "its gap to the bend", gaps[0]))
    followed = length_given("", level, ("the follower's shoe", follower - gaps[1], "its way to the bend", gaps[1]))
    so_far = (
        f"A bar with a riser straight of {riser:.0f} mm."
        if level < 3
        else f"A bar with its marks at {mark:.0f} mm and {mark + riser:.0f} mm from the middle: the ends of its riser."
    )
    return Exercise(
        kind, lesson, "Name the sequence of bends", seed, level,
        (
            f"{so_far} The hook needs straight tube behind the bend: {held.words.strip()}. The follower needs straight "
            f"tube ahead of it: {followed.words.strip()}. Clamp flat and grips are long enough.",
            "The inner bends come first. Ask only whether hook and follower find enough straight tube.",
        ),
        (
            _when_short(rng),
            numeric(COMPUTE, "What is the shortest riser if the hook holds the risers?", "mm", by_riser, 0.5,
                    (0.0, 200.0), (
                (follower, "you think that the follower is on the riser, but the hook holds it"),
                (hook + follower, "you put both hook and follower on the riser"),
            ), hint="The riser has a bend at one end. What holds it while you bend the other end?",
               formula="shortest riser = straight tube that the hook needs", numbers=held.total),
            choice(ACT, "What can the hook hold for the outer bends?", wanted, reasons, tuple(_HOLDS),
                   hint="If the hook does not hold the riser, the follower needs room on it."),
            *at_last(level, riser_for_the_follower(by_grip, hook, followed.total)),
        ),
        (
            f"Riser in the hook: the hook needs {by_riser:.0f} mm of riser. "
            f"It {'fits' if works[0] else 'does not fit'}.",
            f"Grip in the hook: the follower needs {by_grip:.0f} mm of riser. It "
            f"{'fits' if works[1] else 'does not fit'}.",
            f"That leaves {wanted}.",
        ),
    )  # fmt: skip


def _beside_the_roll(rng: Random) -> Question:
    # reading and roll compared, asked either way
    seen, than, less, more = rng.choice((
        ("The finder will show", "the roll", "less", "more"),
        ("The tube is rolled by", "the finder shows", "more", "less"),
    ))  # fmt: skip
    return choice(ESTIMATE, f"{seen} ...", f"{less} than {than}", {
        f"{more} than {than}": "you think that the slope of the riser adds to the roll",
        f"as much as {than}": "you think that the finder is square to the riser, but the clamp flat leans "
                           "less than the roll"},
        shuffled(rng, f"less than {than}", f"more than {than}", f"as much as {than}"),
        hint="The clamp flat leans by only a part of the roll.")  # fmt: skip


def _when_short(rng: Random) -> Question:
    # when the riser is short between two bends, for either sequence of the bends, and for one that never is
    asked, short = rng.choice((
        ("The hook holds the risers, and the inner bends come first.", "at the outer bends"),
        ("The hook holds the risers, but the outer bends come first.", "at the inner bends"),
        ("Think of another bar: it has its two inner bends only, and long arms.", "never"),
    ))  # fmt: skip
    return choice(ESTIMATE, f"{asked} When does the riser become a short straight?", short, {
        name: _WHEN[short] for name in ("at the outer bends", "at the inner bends", "never") if name != short},
        shuffled(rng, "at the outer bends", "at the inner bends", "never"),
        hint="The riser is short only when there is a bend at each of its ends.")  # fmt: skip


def _misjudged(claimed: tuple[bool, bool], works: tuple[bool, bool], by_riser: float, by_grip: float) -> str:
    if claimed[0] and not works[0]:
        return f"you do not check the {by_riser:.0f} mm of riser that the hook needs"
    if claimed[1] and not works[1]:
        return f"you do not check the {by_grip:.0f} mm of riser that the follower needs"
    if works[0] and not claimed[0]:
        return "you think that the hook needs more of the riser than it does"
    return "you think that the follower needs as much of the riser as the hook"


def stop(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """What the stop is set to, and where the mark goes on a die with a line-up offset."""
    rng = dice(kind, seed, level)
    kept = 30.0 - (rng.choice((0.9, 1.2, 1.5)) if level == 1 else rng.randint(6, 18) / 10.0)
    k = (30.0 - kept) / 30.0
    bend = rng.choice((15.0, 20.0, 45.0)) if level == 1 else bend_deg(rng, level) / (2.0 if rng.random() < 0.5 else 0.6)
    bend = round(bend, 1)
    setting = float(Springback(k, float(DIE.centerline_radius_mm)).die_bend_deg(bend))
    tangent, ahead = float(rng.randint(1500, 2100)) / 10.0, rng.choice((1.5, 2.0, 2.5, 3.0))
    bent, inner = kept_given(rng, level, kept), float(rng.randint(700, 850)) / 10.0
    start = length_given("start of the outer bend", level, ("inner mark", inner, "riser straight", tangent - inner))
    play, more_kept = rng.choice((0.3, 0.5, 0.7)), rng.choice((58.0, 58.3, 58.6))
    return Exercise(
        kind, lesson, "Choose the stop", seed, level,
        (
            f"A test bend of this tube was made on this die. The stop was at {STOP_DEG:.1f} deg, {bent.words}.",
            f"The bar needs a bend of {bend:.1f} deg.",
        ),
        (
            numeric(ESTIMATE, "Roughly how many degrees will spring back?", "deg", setting - bend,
                    0.35 * (setting - bend), (0.0, 20.0), (), hint="A bend that is twice as large loses twice as much.",
                    formula="loss = bend x what was lost / what was kept",
                    numbers=f"{bend:.1f} x (30.0 - {bent.total}) / {bent.total}"),
            numeric(COMPUTE, "To what do you set the stop?", "deg", setting, 0.1, (0.0, 180.0), (
                (bend, "you forget the springback"),
                (bend * (1.0 - k), "you make the stop smaller by the springback, not larger"),
                (bend + 30.0 - kept, "you add the loss of the test bend to every bend, small or large"),
            ), hint="The angle kept is always the same share of the angle set.",
               formula="stop = bend x what was set / what was kept",
               numbers=f"{bend:.1f} x 30.0 / {bent.total}"),
            numeric(ACT, f"On this die the bend begins {ahead:.1f} mm ahead of the die's edge, toward the free end. "
                    f"Measured from the middle: {start.words}. The outer bend begins at the end of the riser, and the "
                    "free end is the end of the bar. You line the mark up with the edge. Where does the mark go?",
                    "mm", tangent - ahead, 0.3, (0.0, 400.0), (
                (tangent, "you forget the line-up offset of the die"),
                (tangent + ahead, "you add the offset, but you must subtract it"),
            ), hint="When the mark is at the edge, the bend begins further on.",
               formula="mark = start of the bend - offset",
               numbers=f"{start.total} - {ahead:.1f}"),
            *at_last(level, share_behind_play(round(0.5 * (more_kept - play), 1), more_kept)),
        ),
        (
            f"k = (30.0 - {kept:.1f}) / 30.0 = {k:.4f}.",
            f"Stop: {bend:.1f} / (1 - {k:.4f}) = {setting:.1f} deg.",
            f"Mark: {tangent:.1f} - {ahead:.1f} = {tangent - ahead:.1f} mm.",
        ),
    )  # fmt: skip


def faulty_bend(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """Which bend is off, which way and by how much, from readings on both sides."""
    rng = dice(kind, seed, level)
    _, recipe = scene(rng, level, two_stops=level == LEVELS[-1])
    name = rng.choice(_FAULTY)
    parts = parts_of_recipe(recipe)
    parts[PARTS.index(name)] += _off_deg(rng, level)
    values, wanted, slopes = _read(rng, recipe, parts, level)
    side, which, _ = name.split(" ")
    other = "outer" if which == "inner" else "inner"
    per, back = _slopes(slopes, side)
    missed = values[_READ.index(f"rise_{side}")] - wanted[_READ.index(f"rise_{side}")]
    found = missed / per[which]
    far, changed_over = "left" if side == "right" else "right", "you swap left and right"
    reasons = {
        f"{side} {other} bend": f"you look only at the rise, but each degree of {other} bend moves the backsweep by "
                                f"{back[other]:+z.1f} deg",
        f"{far} inner bend": changed_over,
        f"{far} outer bend": changed_over,
    }  # fmt: skip
    return Exercise(
        kind, lesson, "Find the faulty bend", seed, level,
        (
            "One bend of a bar came out wrong, and everything else is as wanted. You read on the bench:",
            *_lines(values, wanted, level),
            f"A degree more of inner bend adds {per['inner']:+z.1f} mm of rise and {back['inner']:+z.2f} deg of "
            f"backsweep on its side. A degree more of outer bend adds {per['outer']:+z.1f} mm and "
            f"{back['outer']:+z.2f} deg.",
        ),
        (
            choice(ESTIMATE, "On which side is it?", side, {far: changed_over}, ("left", "right")),
            choice(COMPUTE, "Which bend is it?", name, reasons, _FAULTY,
                   hint="Compare how much the rise moved with how much the backsweep moved."),
            numeric(ACT, "By how many degrees is that bend off? Plus means bent too far.", "deg", found, 0.25,
                    (-15.0, 15.0), (
                (-found, "you turn the sign round, but with a plus slope more bend gives more rise"),
                (missed, "you count millimetres of rise as degrees"),
                (missed / per[other], f"you use the slope of the {other} bend"),
            ), hint="Divide the error of the rise by the rise that a degree gives.",
               formula="degrees = (rise read - rise wanted) / rise a degree gives", numbers=_over_either(per)),
            *at_last(level, sweep_with_it(back[which] * found, back[other] * missed / per[other],
                                          f"its degrees x ({back['inner']:+z.2f}) or x ({back['outer']:+z.2f})")),
        ),
        (
            f"The {side} side is off: its rise is {missed:+z.1f} mm from the rise wanted.",
            f"{missed:+z.1f} / {per[which]:+z.1f} = {found:+z.1f} deg of {which} bend. It moves the backsweep by "
            f"{back[which] * found:+z.1f} deg, and you read that. From {missed / per[other]:+z.1f} deg of {other} bend "
            f"you would read {back[other] * missed / per[other]:+z.1f} deg of backsweep.",
        ),
        recipe,
    )  # fmt: skip


def _read(rng: Random, recipe: Recipe, parts: Array, level: int) -> tuple[list[float], list[float], Array]:
    # what is read of a bar, at the last level with the error of a reading; what was wanted; and the slopes half way
    # between the two bars, which are those of the whole way
    right = parts_of_recipe(recipe)
    (bent, wanted, _), slopes = readings_of_parts(recipe, np.stack([parts, right, 0.5 * (parts + right)]), _READ)
    values = bent.tolist()
    if level == 3:
        values = [value + rng.uniform(-1.0, 1.0) * (0.1 if "sweep" in key else 0.3)
                  for key, value in zip(_READ, values, strict=True)]  # fmt: skip
    return values, wanted.tolist(), slopes[2]


def _over_either(per: dict[str, float]) -> str:
    # the sum for both bends: which of them it is, the question before asks
    return f"error of its rise / ({per['inner']:+z.1f}) for an inner bend, / ({per['outer']:+z.1f}) for an outer bend"


def _slopes(slopes: Array, side: str) -> tuple[dict[str, float], dict[str, float]]:
    # what a degree of inner and of outer bend does on its side: to the rise (mm), and to the backsweep (deg)
    places = {which: PARTS.index(f"{side} {which} bend") for which in ("inner", "outer")}
    both = slopes[_READ.index(f"rise_{side}")], slopes[_READ.index(f"backsweep_{side}")]
    rise, back = ({which: float(moved[place]) for which, place in places.items()} for moved in both)
    return rise, back


def _off_deg(rng: Random, level: int) -> float:
    return rng.choice((-1.0, 1.0)) * (rng.choice((2.0, 3.0)) if level == 1 else rng.randint(12, 30) / 10.0)


def _lines(values: list[float], wanted: list[float], level: int) -> list[str]:
    # a beginner gets the upsweeps too
    return [
        f"{BY_KEY[key].name}: wanted {want:z.1f}, read {value:z.1f} {BY_KEY[key].unit}"
        for key, want, value in zip(_READ, wanted, values, strict=True)
        if level == 1 or "upsweep" not in key
    ]
