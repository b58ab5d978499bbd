"""Shops whose truth is known: bars and test bends by the invented shop's bender, its springback drifting or not."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
from numpy.typing import ArrayLike

from barmath import Die, Tube, springback_from_tube
from barmath.records.bent_bar import BentBar, TestBend
from barmath.records.by_settings import Scatter
from barmath.records.calibration import Calibration
from barmath.records.demo_record import FIRST_DAY, Truth, demo_bars, demo_bends
from barmath.records.local_level import FACTOR_KNOWN
from barmath.shop.die_calibration import Beforehand

TUBE, DIE = Tube(22.225, 1.4732, name="7/8 x 0.058"), Die(88.9, name="die 89")
THEORY = float(springback_from_tube(TUBE, DIE).ratio)
Z95 = 1.959964  # of a normal distribution, two-sided 95 %


def bars_of(truths: list[Truth], seed: int, scatter: Scatter = Scatter()) -> list[BentBar]:
    """One bar of each truth, in order."""
    if all(truth == truths[0] for truth in truths):
        return demo_bars(TUBE, DIE, truths[0], len(truths), seed, scatter)
    made = [demo_bars(TUBE, DIE, truth, 1, 1000 * seed + place, scatter)[0] for place, truth in enumerate(truths)]
    days = [(FIRST_DAY + timedelta(days=9 * place)).isoformat() for place in range(len(made))]
    return [replace(bar, name=f"bar {place}", date=days[place]) for place, bar in enumerate(made)]


def drawn(rng: np.random.Generator, ratios: ArrayLike | None = None, bars: int = 40) -> list[Truth]:
    """The truths of one shop's bars, drawn from what calibration holds likely beforehand; `ratios` where given.

    Another stop, line-up and radius in every shop: with the same ones in all, one shop would be tried many times, and
    a prior about nought would be wrong by the same amount each time.
    """
    known = Beforehand()
    held = np.full(bars, THEORY * np.exp(rng.normal(0.0, known.ratio))) if ratios is None else np.asarray(ratios)
    constant, offset, radius = rng.normal(0.0, [known.constant_deg, known.offset_mm, known.radius_mm])
    return [Truth(float(ratio), float(constant), float(offset), float(radius)) for ratio in held]


def drawn_scatter(rng: np.random.Generator) -> Scatter:
    """How much a shop slips and misreads, drawn from what is held likely beforehand."""
    slips, readings = np.exp(rng.normal(0.0, FACTOR_KNOWN, 2))
    return Scatter().scaled(float(slips), float(readings))


def shop_of(truths: list[Truth], seed: int, scatter: Scatter = Scatter()) -> tuple[list[TestBend], list[BentBar]]:
    """Three test bends to 15, 30 and 45 before the first bar, and one bar of each truth."""
    return demo_bends(TUBE, DIE, truths[0], seed=seed, scatter=scatter), bars_of(truths, seed, scatter)


def shop(
    ratios: np.ndarray, seed: int, constant_deg: float = 0.25, scatter: Scatter = Scatter()
) -> tuple[list[TestBend], list[BentBar]]:
    """The same with one bar of each springback ratio, all else as in the invented shop."""
    return shop_of([Truth(ratio=float(ratio), constant_deg=constant_deg) for ratio in ratios], seed, scatter)


def true_stop_deg(wanted_deg: float, ratio: float, constant_deg: float = 0.25) -> float:
    """What the stop must be set to on a bender with these values."""
    return (wanted_deg + constant_deg) / (1.0 - ratio)


def stops_held(truths: list[Truth], found: Calibration) -> list[bool]:
    """Whether the stops for 25 and for 60 degrees lie within the 95 % that calibration gives for the next bar."""
    held = []
    for wanted in (25.0, 60.0):
        stop, true = found.stop_deg(wanted), true_stop_deg(wanted, truths[-1].ratio, truths[-1].constant_deg)
        held.append(abs(stop.value - true) < Z95 * stop.error)
    return held
