"""Exercises on bars with different inner and outer bends: choose the pair of stops, set the finder."""

from __future__ import annotations

import math
from random import Random
from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.inverse import least_outer_bend_deg, recipe_from_order, rise_window_mm
from barmath.closed_forms.records import Order, Recipe
from barmath.practice.exercise import ACT, COMPUTE, ESTIMATE, Exercise, Question, choice, numeric
from barmath.practice.givens import STOP_DEG, Given, angle_given, kept_given, zero_given
from barmath.practice.one_more import at_last, inner_stop, on_a_finder_with_an_error
from barmath.practice.scene import (
    CLAMP_FLAT_MM,
    CONTROLS_MM,
    LEAST_RISER_MM,
    WIDTHS_MM,
    bend_deg,
    dice,
    radius_mm,
    shuffled,
    sweep_deg,
)
from barmath.refusal import BendError, Number

LEAST_UPSWEEP_DEG, MOST_UPSWEEP_DEG = 0.0, 8.0
"""Upsweeps that the rider of an exercise accepts: common practice, no source."""

_TRIES = 3000
_APART_DEG = 0.6  # of reading and sweep, so that habit and answer differ


class _Pair(NamedTuple):
    inner: float
    outer: float
    lowest: float
    highest: float
    upsweep: float

    def reaches(self, rise: float, by: float = 1.0) -> bool:
        return self.lowest + by <= rise <= self.highest - by

    def suits(self, by: float = 0.3) -> bool:
        return LEAST_UPSWEEP_DEG + by <= self.upsweep <= MOST_UPSWEEP_DEG - by

    def words(self, name: str) -> str:
        return (
            f"{name}: inner bends {self.inner:.1f} deg, outer bends {self.outer:.1f} deg; rises from "
            f"{self.lowest:.0f} to {self.highest:.0f} mm, upsweep {self.upsweep:.1f} deg"
        )


def pair(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """Which pair of stops makes an order, and to what the stop for the outer bends is set."""
    rng = dice(kind, seed, level)
    order, radius, pairs = _three_pairs(rng, level)
    right, short, leaning = pairs
    k, kept, bent = _sprung(rng, level)
    names = shuffled(rng, "pair A", "pair B", "pair C")
    lines = sorted(one.words(name) for one, name in zip(pairs, names, strict=True))
    rise, best = float(order.rise_mm), names[0]
    less = rng.random() < 0.5
    than, answer = ("less", "more") if less else ("more", "less")
    setting, swapped = right.outer / (1.0 - k), right.inner / (1.0 - k)
    return Exercise(
        kind, lesson, "Choose the pair", seed, level,
        (
            f"Ordered: rise {rise:.0f} mm, backsweep {order.backsweep_deg:.1f} deg, width {order.width_mm:.0f} mm, "
            f"risers upright. The rider accepts an upsweep from {LEAST_UPSWEEP_DEG:.0f} to {MOST_UPSWEEP_DEG:.0f} deg.",
            "Three pairs of stops on the die:", *lines,
            f"The tube springs back by {100.0 * k:.1f} % of the angle on the die." if level == 1
            else f"A test bend with the stop at {STOP_DEG:.1f} deg: {bent.words}.",
        ),
        (
            choice(ESTIMATE, f"The outer bends are {'smaller' if less else 'larger'} than the inner ones. How is the "
                   "upsweep then, compared with four equal bends?", answer, {
                than: "you swap the two bends, but the inner one lifts the tube and the outer one brings it down",
                "the same": "you think that the upsweep comes from the sweep alone"},
                shuffled(rng, "more", "less", "the same"),
                hint="Without sweep the grip climbs by the inner bend less the outer bend."),
            choice(COMPUTE, "Which pair do you take?", best, {
                names[1]: "you do not look at its rises, and it does not reach the rise ordered",
                names[2]: "you do not look at its upsweep, and the rider does not accept it"},
                tuple(sorted(names)), "Two things must be right: the rise and the upsweep."),
            numeric(ACT, "To what do you set the stop for the outer bends of that pair?", "deg", setting, 0.1,
                    (0.0, 90.0), (
                (swapped, "you swap the two stops, and this one is for the inner bends"),
                (right.outer, "you forget the springback"),
                (right.outer * (1.0 - k), "you make the stop smaller by the springback, not larger"),
            ), "Divide the angle you want by 1 less the share that springs back.", "stop = outer bend / (1 - share)",
               numbers=f"its outer bend / (1 - {k:.3f})" if level == 1 else
               f"its outer bend x {STOP_DEG:.1f} / {bent.total}"),
            *at_last(level, inner_stop(right.inner, right.outer, kept)),
        ),
        (
            "Without sweep the grip climbs by inner bend less outer bend: smaller outer bends give more upsweep.",
            f"{best}: {right.lowest:.0f} to {right.highest:.0f} mm includes {rise:.0f} mm, and {right.upsweep:.1f} "
            f"deg is accepted. {names[1]} makes rises from {short.lowest:.0f} to {short.highest:.0f} mm. {names[2]} "
            f"has an upsweep of {leaning.upsweep:.1f} deg.",
            f"Stop for the outer bends: {right.outer:.1f} / (1 - {k:.3f}) = {setting:.1f} deg; for the inner bends "
            f"{swapped:.1f} deg.",
        ),
        recipe_from_order(order, radius, right.inner, right.outer),
    )  # fmt: skip


def _sprung(rng: Random, level: int) -> tuple[float, float, Given]:
    # the share that springs back, and what a test bend sprang back to
    share, lost = rng.choice((0.02, 0.03, 0.04)), rng.randint(6, 13) / 10.0
    kept = STOP_DEG * (1.0 - share) if level == 1 else STOP_DEG - lost
    return 1.0 - kept / STOP_DEG, kept, kept_given(rng, level, kept)


def finder(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """What the angle finder must show where inner and outer bends differ."""
    rng = dice(kind, seed, level)
    order, recipe = _bar_of_two_stops(rng, level)
    a, b, roll = (float(angle) for angle in (recipe.inner_bend_deg, recipe.outer_bend_deg, recipe.roll_deg))
    shown, sweep = float(clamp_reading_deg(recipe)), float(order.backsweep_deg)
    one, other = angle_given(rng, level, a), angle_given(rng, level, b)
    off = zero_given(rng, level, rng.choice((0.3, 0.5)))
    reading_sum = f"arcsin(sin {one.total} x sin {roll:.2f})"
    wrong_roll = math.degrees(math.asin(math.sin(sweep * RADIAN) / math.sin(a * RADIAN)))
    return Exercise(
        kind, lesson, "Set the finder for two stops", seed, level,
        (
            f"A bar of two stops: inner bends {one.words}, outer bends {other.words}. Its backsweep will be "
            f"{sweep:.1f} deg with risers upright.",
            f"Both inner bends are made. You must roll the tube by {roll:.2f} deg about the riser before the outer "
            "bend. The riser is in the hook; the finder is on the clamp flat.",
        ),
        (
            _beside_the_sweep(rng, shown > sweep),
            numeric(COMPUTE, "What must it show?", "deg", shown, 0.15, (0.0, 90.0), (
                (sweep, "you set the finder to the sweep, which is right only with equal bends"),
                (roll, "you set the finder to the roll itself"),
            ), hint="The clamp flat leans by only a part of the roll. The sine of the inner bend says how much.",
               formula="sin(reading) = sin(inner bend) x sin(roll)",
               numbers=reading_sum),
            numeric(ACT, f"Somebody set the finder to the backsweep of {sweep:.1f} deg. By what roll did they turn the "
                    "tube?", "deg", wrong_roll, 0.2, (0.0, 90.0), (
                (roll, "you take the roll that was wanted, but they turned the tube to another one"),
                (sweep, "you confuse the reading with the roll"),
                (math.degrees(math.asin(min(1.0, math.sin(sweep * RADIAN) / math.sin(b * RADIAN)))),
                 "you use the outer bend, not the inner one"),
            ), hint="Use the same formula, and go back from the reading to the roll.",
               formula="sin(roll) = sin(reading) / sin(inner bend)",
               numbers=f"arcsin(sin {sweep:.1f} / sin {one.total})"),
            *at_last(level, on_a_finder_with_an_error(shown, reading_sum, off.value, off.words, off.total)),
        ),
        (
            f"sin(reading) = sin {a:.1f} x sin {roll:.2f} = {math.sin(shown * RADIAN):.4f}: {shown:.1f} deg, not "
            f"{sweep:.1f} deg.",
            f"Set to {sweep:.1f} deg: sin(roll) = sin {sweep:.1f} / sin {a:.1f}, a roll of {wrong_roll:.1f} deg in "
            f"place of {roll:.1f} deg.",
            "With two stops the sheet says what the finder must show. Go by the sheet.",
        ),
        recipe,
    )  # fmt: skip


def _beside_the_sweep(rng: Random, larger: bool) -> Question:
    # reading and backsweep compared, asked either way
    answer, other = ("more than", "less than") if larger else ("less than", "more than")
    asked = "The reading of the finder is ... the backsweep."
    if rng.random() < 0.5:
        asked, answer, other = "The backsweep is ... the reading of the finder.", other, answer
    return choice(ESTIMATE, asked, answer, {
        other: "you swap the two bends, but the finder depends on the inner one and the sweep on the outer "
               "one",
        "the same as": "you set the finder to the sweep, which is right only with equal bends"},
        shuffled(rng, "more than", "less than", "the same as"),
        hint="On a steeper riser the finder shows more for the same roll.")  # fmt: skip


def _ordered(rng: Random, level: int, rise: float = 1.0) -> Order:
    width = rng.choice(WIDTHS_MM) if level == 1 else float(rng.randint(72, 84) * 10)
    return Order(rise, sweep_deg(rng, level), width, None, CLAMP_FLAT_MM, CONTROLS_MM)


def _pairs_of(order: Order, radius: float, bends: list[tuple[float, float]]) -> list[_Pair]:
    # what each pair of bends gives of rises between 45 and 130 mm, and its upsweep; only those that make a bar
    inner, outer = np.array(bends).T
    inner, outer = (angles[outer >= least_outer_bend_deg(order, inner)] for angles in (inner, outer))
    low, high = rise_window_mm(order, radius, inner, LEAST_RISER_MM, outer)
    wide = (high >= low + 4.0) & (high >= 45.0) & (low + high > 0.0)
    if not wide.any():
        return []
    inner, outer, low, high = (numbers[wide] for numbers in (inner, outer, low, high))
    made = recipe_from_order(_with_rise(order, 0.5 * (low + high)), radius, inner, outer)
    numbers = (inner, outer, low, high, shape_from_recipe(made).upsweep_deg)
    return [_Pair(*map(float, each)) for each in zip(*numbers, strict=True)]


def _with_rise(order: Order, rise: Number) -> Order:
    return Order(rise, order.backsweep_deg, order.width_mm, None, CLAMP_FLAT_MM, CONTROLS_MM)


def _drawn_bends(rng: Random, level: int) -> tuple[float, float]:
    inner = bend_deg(rng, level)
    apart = rng.choice((-1.0, 1.0)) * (rng.choice((2.5, 5.0)) if level == 1 else rng.randint(4, 14) / 2.0)
    return inner, inner + apart


def _bar_of_two_stops(rng: Random, level: int) -> tuple[Order, Recipe]:
    # with a whole rise, an upsweep that is accepted, and a reading that is not the sweep
    for _ in range(_TRIES):
        order, radius = _ordered(rng, level), radius_mm(rng, level)
        pairs = _pairs_of(order, radius, [_drawn_bends(rng, level)])
        if not pairs or not pairs[0].suits():
            continue
        one = pairs[0]
        low, high = math.ceil(max(one.lowest, 45.0)), math.floor(min(one.highest, 130.0))
        if high < low:
            continue
        order = _with_rise(order, float(rng.randint(low, high)))
        recipe = recipe_from_order(order, radius, one.inner, one.outer)
        if abs(float(clamp_reading_deg(recipe)) - float(order.backsweep_deg)) > _APART_DEG:
            return order, recipe
    raise BendError(f"exercise must have a bar of two stops, got none in {_TRIES} tries: choose another seed")


def _three_pairs(rng: Random, level: int) -> tuple[Order, float, tuple[_Pair, _Pair, _Pair]]:
    # one that makes the order, one that misses its rise, and one with an upsweep that is not accepted
    for _ in range(_TRIES // 30):
        order, radius = _ordered(rng, level), radius_mm(rng, level)
        found = _pairs_of(order, radius, [_drawn_bends(rng, level) for _ in range(30)])
        good = [one for one in found if one.suits()]
        for right in good:
            low, high = math.ceil(max(right.lowest + 1.0, 45.0)), math.floor(min(right.highest - 1.0, 130.0))
            if high < low:
                continue
            rise = float(rng.randint(low, high))
            short = [one for one in good if not one.reaches(rise, -1.5)]
            leaning = [one for one in found if one.reaches(rise) and not one.suits(-0.5)]
            if short and leaning:
                return _with_rise(order, rise), radius, (right, rng.choice(short), rng.choice(leaning))
    raise BendError(f"exercise must have three pairs to choose from, got none in {_TRIES} tries: choose another seed")
