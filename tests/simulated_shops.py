"""Shops whose truth is known: bars and test bends by the invented shop's bender, its springback drifting or not."""

from dataclasses import replace
from datetime import timedelta

import numpy as np

from barmath import Die, Tube, springback_from_tube
from barmath.records.bent_bar import BentBar, TestBend
from barmath.records.by_settings import Scatter
from barmath.records.demo_record import FIRST_DAY, Truth, demo_bars, demo_bends

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


def shop(
    ratios: np.ndarray, seed: int, constant_deg: float = 0.25, scatter: Scatter = Scatter()
) -> tuple[list[TestBend], list[BentBar]]:
    """Three test bends to 15, 30 and 45 before the first bar, and one bar of each springback ratio."""
    truths = [Truth(ratio=float(ratio), constant_deg=constant_deg) for ratio in ratios]
    return demo_bends(TUBE, DIE, truths[0], seed=seed, scatter=scatter), bars_of(truths, seed, scatter)


def true_stop_deg(wanted_deg: float, ratio: float, constant_deg: float = 0.25) -> float:
    """What the stop must be set to on a bender with these values."""
    return (wanted_deg + constant_deg) / (1.0 - ratio)
