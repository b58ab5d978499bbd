"""By how much earlier bars missed what was wanted, and what a copy of their settings must expect of that.

How far the copy of a bar is expected to miss has two parts. One is what the formulas say of its settings, less what was
ordered. The other is how far bars of this die and tube came out off the formulas. The mean of that over several bars is
shrunk toward 0. If it is within two standard errors of 0, it is left out. So a shop without a fault gets its old
settings back.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.forward import risers_upright, shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Order
from barmath.records.bent_bar import BentBar
from barmath.records.by_settings import MEASURES, measures_of_settings, read_of_bar, settings_of_bar, sides_of_bar
from barmath.records.local_level import HUBER
from barmath.shop.offsets import constant_from_play_deg
from barmath.shop.tooling import Die, Springback

CORRECTED = ("rise", "backsweep", "width")
"""What of a bar is corrected."""

USUAL_MISS = np.array([1.5, 0.4, 3.0])
"""Standard deviations of one bar's miss, mm, degrees, mm, by a bench's usual slips: common practice, no source."""

ASKED = 30
"""So many of the nearest bars are asked by how much they missed."""

LEAST_BARS = 3
"""Fewer bars than that correct nothing."""

NOUGHT = 2.0
"""Standard errors that a mean must have before any of it is believed."""

_AS_SURE = 4.0  # bars that the usual scatter counts for
_PLACES = [MEASURES.index(name) for name in CORRECTED]


class Misses(NamedTuple):
    """Bars' miss of the formulas: mean and standard error of each of `CORRECTED` (3,), and how many bars were read."""

    mean: Array
    error: Array
    bars: Array


def misses_of_bars(bars: Sequence[BentBar], springback: Springback, die: Die) -> Misses:
    """Mean and standard error of how far bars came out off what the formulas say of their settings.

    The scatter is estimated from the bars themselves; the usual scatter counts as four more bars. Bars far off weigh
    less (Huber's weights, from the median on).

    Parameters
    ----------
    bars : sequence of BentBar
        Made on `die` from the tube of `springback`.
    springback : Springback
    die : Die
        With its offsets.
    """
    off = np.array([read_of_bar(bar)[_PLACES] - _expected(bar, springback, die) for bar in bars])
    off = off.reshape(-1, len(CORRECTED))
    # one side misses by its own slips, of which half the square is in the mean of both
    counts = np.array([np.where(sides_of_bar(bar)[_PLACES] == 0.0, 1.0, 0.5) for bar in bars]).reshape(off.shape)
    found = [
        _mean_and_error(column[read], count[read], usual)
        for column, count, read, usual in zip(off.T, counts.T, np.isfinite(off.T), USUAL_MISS, strict=True)
    ]
    mean, error, count = np.array(found).T
    return Misses(mean, error, count.astype(int))


def expected_miss(
    bar: BentBar, kept_deg: tuple[float, float | None], misses: Misses, springback: Springback, die: Die
) -> dict[str, float]:
    """How far a copy of `bar`'s settings is expected to miss, by the names of `CORRECTED`; empty if by nothing.

    With the mean m and its standard error e, what is believed of it is m max(0, 1 - (2 e / m)^2): the non-negative
    garrote (Breiman, Technometrics 37, 1995; from memory). Raises BendError where the bar's order cannot be made.

    Parameters
    ----------
    bar : BentBar
    kept_deg : number, and number or None
        The inner bend that the bar was made with. Also the outer one, if it had a stop of its own.
    misses : Misses
        Of bars made on the same die from the same tube.
    springback : Springback
    die : Die
    """
    wanted = _wanted(bar.order, springback, kept_deg)
    mean = misses.mean + _expected(bar, springback, die) - wanted
    with np.errstate(divide="ignore", invalid="ignore"):
        believed = mean * np.maximum(0.0, 1.0 - (NOUGHT * misses.error / mean) ** 2)
    known = (misses.bars >= LEAST_BARS) & np.isfinite(believed) & (believed != 0.0)
    return {name: float(miss) for name, miss, use in zip(CORRECTED, believed, known, strict=True) if use}


def _mean_and_error(off: Array, counts: Array, usual: float) -> tuple[float, float, float]:
    # `counts` is how much each bar counts: 1 where both of its sides were read
    if not off.size:
        return 0.0, usual, 0.0
    mean, scatter = float(np.median(off)), usual
    for _ in range(5):
        far = np.abs(off - mean) * np.sqrt(counts) / scatter
        weight = HUBER / np.maximum(far, HUBER)
        mean = float(np.average(off, weights=weight * counts))
        square = float(np.sum(counts * (weight * (off - mean)) ** 2))
        scatter = float(np.sqrt((_AS_SURE * usual**2 + square) / (_AS_SURE + off.size - 1.0)))
    return mean, scatter / float(np.sqrt(counts.sum())), float(off.size)


def _expected(bar: BentBar, springback: Springback, die: Die) -> Array:
    settings = settings_of_bar(bar)
    if settings is None:
        return np.full(len(CORRECTED), np.nan)
    k = float(springback.ratio)
    constant = float(constant_from_play_deg(die.stop_offset_deg, k))
    radius = float(springback.finished_radius_mm)
    shown = measures_of_settings(settings[:, None], k, constant, float(die.line_up_offset_mm), radius)
    return shown[0, _PLACES]


def _wanted(order: Order, springback: Springback, bends_deg: tuple[float, float | None]) -> Array:
    # risers upright, as readings are taken; an order with upsweep is for a stem roll
    if order.upsweep_deg is None:
        return np.array([order.rise_mm, order.backsweep_deg, order.width_mm], float)
    recipe = recipe_from_order(order, float(springback.finished_radius_mm), *bends_deg)
    shape = shape_from_recipe(risers_upright(recipe))
    return np.array([shape.rise_mm, shape.backsweep_deg, shape.width_mm], float)
