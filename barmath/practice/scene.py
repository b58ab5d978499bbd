"""Bars for exercises: plausible ones, with rounder numbers for a beginner."""

from __future__ import annotations

import random
from typing import NamedTuple

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order, rise_window_mm
from barmath.closed_forms.records import Order, Recipe
from barmath.refusal import BendError
from barmath.shop.order_seven import ORDER

LEVELS = (1, 2, 3)
LEAST_RISER_MM = 65.0
CLAMP_FLAT_MM, CONTROLS_MM = float(ORDER.clamp_flat_mm), float(ORDER.controls_mm)
"""Those of the shop's own order, so that an exercise looks like its work."""

WIDTHS_MM = (740.0, 760.0, 800.0, 820.0)
"""Widths for a beginner."""

MOST_UPSWEEP_DEG = 8.0
"""An upsweep that riders accept without having ordered one: common practice, no source."""

_TRIES = 500  # orders drawn at random, until one can be made


class Scene(NamedTuple):
    """An order and the recipe for it on a finished radius."""

    order: Order
    recipe: Recipe


def dice(kind: str, seed: int, level: int) -> random.Random:
    """The same numbers for the same kind, seed and level, on any machine."""
    return random.Random(f"{kind} {int(seed)} {int(level)}")


def bend_deg(rng: random.Random, level: int) -> float:
    """A bend: 20, 25 or 30 for a beginner, then by half degrees, then by tenths."""
    if level == 1:
        return rng.choice((20.0, 25.0, 30.0))
    return rng.randint(36, 70) / 2.0 if level == 2 else rng.randint(170, 370) / 10.0


def radius_mm(rng: random.Random, level: int) -> float:
    """A finished radius: round for a beginner, then to the millimetre, then to the tenth."""
    if level == 1:
        return rng.choice((100.0, 110.0, 130.0))
    return float(rng.randint(95, 140)) if level == 2 else rng.randint(950, 1400) / 10.0


def sweep_deg(rng: random.Random, level: int) -> float:
    """A backsweep: 8, 11 or 14 for a beginner, then by half degrees."""
    return rng.choice((8.0, 11.0, 14.0)) if level == 1 else rng.randint(12, 30) / 2.0


def scene(rng: random.Random, level: int, *, two_stops: bool = False) -> Scene:
    """An order that can be made with risers upright, and its recipe: four equal bends, or one stop for each pair."""
    for _ in range(_TRIES):
        radius, bend = radius_mm(rng, level), bend_deg(rng, level)
        width = rng.choice(WIDTHS_MM) if level == 1 else float(rng.randint(72, 84) * 10)
        any_rise = Order(1.0, sweep_deg(rng, level), width, None, CLAMP_FLAT_MM, CONTROLS_MM)
        outer = bend + rng.choice((-1.0, 1.0)) * rng.randint(4, 14) / 2.0 if two_stops else bend
        try:
            low, high = rise_window_mm(any_rise, radius, bend, LEAST_RISER_MM, outer)
        except BendError:
            continue
        low, high = max(float(low), 45.0), min(float(high), 110.0)
        if high - low < 6.0:
            continue
        rise = float(rng.randint(int(low) + 1, int(high) - 1))
        order = Order(rise, any_rise.backsweep_deg, width, None, CLAMP_FLAT_MM, CONTROLS_MM)
        recipe = recipe_from_order(order, radius, bend, outer)
        if not two_stops or 0.0 <= float(shape_from_recipe(recipe).upsweep_deg) <= MOST_UPSWEEP_DEG:
            return Scene(order, recipe)
    raise BendError(f"exercise must have a bar that can be made, got none in {_TRIES} tries: choose another seed")


def shuffled(rng: random.Random, *names: str) -> tuple[str, ...]:
    """The names, shuffled."""
    return tuple(rng.sample(names, len(names)))
