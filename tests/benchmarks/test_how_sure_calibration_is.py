"""Calibration and look-up tried on shops whose truth is known: how often what is said holds. Prints a table.

The small and seeded versions are in test_calibration.py and test_lookup.py; here each row has more shops.
"""

import os
from collections.abc import Callable

import numpy as np
import pytest
from simulated_shops import DIE, THEORY, TUBE, Z95, shop, true_stop_deg

from barmath import Order, Springback
from barmath.records.by_settings import Scatter, measures_of_settings
from barmath.records.calibration import calibrate
from barmath.records.demo_record import Truth, demo_bars
from barmath.records.lookup import nearest_bars
from barmath.records.record import Record

SHOPS = int(os.environ.get("BARMATH_SHOPS", "300"))  # a line: fewer for a quick look
CONSTANT = 0.25


def within_theory(rng: np.random.Generator) -> np.ndarray:
    return np.full(40, THEORY * np.exp(rng.normal(0.0, 0.3)))


# name: the springback ratio of each bar, the scatter, and what is promised: least and most share covered, and noticed
ROWS: dict[str, tuple[Callable, float, tuple[float, float], tuple[float, float]]] = {
    "truth within theory": (within_theory, 1.0, (0.90, 1.0), (0.0, 0.05)),
    "the same, three bars": (lambda rng: within_theory(rng)[:3], 1.0, (0.90, 1.0), (0.0, 0.05)),
    "60 % over theory": (lambda rng: np.full(40, 1.6 * THEORY), 1.0, (0.90, 1.0), (0.0, 0.05)),
    "twice theory": (lambda rng: np.full(40, 2.0 * THEORY), 1.0, (0.90, 1.0), (0.0, 0.05)),
    "twice the usual scatter": (lambda rng: within_theory(rng), 2.0, (0.90, 1.0), (0.0, 0.05)),
    "from 0.02 to 0.05 over 40 bars": (lambda rng: np.linspace(0.02, 0.05, 40), 1.0, (0.85, 1.0), (0.85, 1.0)),
    "0.025, and 0.045 from bar 29 on": (lambda rng: np.where(np.arange(40) < 28, 0.025, 0.045), 1.0, (0.85, 1.0),
                                        (0.90, 1.0)),
}  # fmt: skip


@pytest.mark.parametrize("name", ROWS)
def test_as_often_as_it_says(name):
    ratios_of, times, covered, noticed = ROWS[name]
    rng, inside, off, late, drifts = np.random.default_rng(7), [], [], [], 0
    for seed in range(SHOPS):
        ratios = ratios_of(rng)
        found = calibrate(TUBE, DIE, *shop(ratios, seed, CONSTANT, Scatter().scaled(times, times)))
        truths = [true_stop_deg(wanted, float(ratios[-1]), CONSTANT) for wanted in (25.0, 60.0)]
        stops = [found.stop_deg(wanted) for wanted in (25.0, 60.0)]
        inside.append([abs(stop.value - true) < Z95 * stop.error for stop, true in zip(stops, truths, strict=True)])
        off.append(stops[1].value - truths[1])
        if found.drift is not None:
            drifts += 1
            late.append(found.drift.entries)
    share = np.mean(inside, 0)
    dated = f", the last {np.median(late):.0f} bars" if late else ""
    print(f"\n{name:32s} stop for 25 covered {share[0]:4.0%}, for 60 {share[1]:4.0%}, off by {np.std(off):.2f} deg; "
          f"drift noticed in {drifts / SHOPS:4.0%}{dated}")  # fmt: skip
    assert covered[0] <= share[1] <= covered[1]
    assert share[0] >= covered[0] - 0.05
    assert noticed[0] <= drifts / SHOPS <= noticed[1]


def rms_of_advice(truth: Truth, count: int, tmp_path) -> float:
    spring, off = Springback(0.028, float(DIE.centerline_radius_mm)), []
    for seed in range(10):
        record = Record(tmp_path / f"{seed}.db")
        record.add_all(demo_bars(TUBE, DIE, truth, count, seed))
        for rise in range(66, 92, 5):
            order = Order(float(rise), 12.0 + 0.1 * (rise - 78.0), 780.0, controls_mm=180.0)
            for neighbour in nearest_bars(record, order, DIE, TUBE.name, spring, 25.0):
                advised = neighbour.setting
                values = np.array([advised.inner_mark_mm, advised.outer_mark_mm, advised.tube_length_mm,
                                   advised.stop_deg, advised.stop_deg, advised.clamp_reading_deg])  # fmt: skip
                parts = truth.ratio, truth.constant_deg, truth.offset_mm, truth.radius_mm(DIE)
                off.append(float(measures_of_settings(values[:, None], *parts)[0, 0]) - rise)
    return float(np.sqrt(np.mean(np.square(off))))


@pytest.mark.parametrize(("count", "most"), [(3, 1.9), (5, 1.6), (12, 1.0), (40, 0.5)])
def test_advice_of_bars_that_all_came_out_3_mm_low(tmp_path, count, most):
    rms = rms_of_advice(Truth(0.028, 0.0, -3.6, 0.0, 0.028), count, tmp_path)
    print(f"\n{count:3d} bars, all 3 mm low: advice off by {rms:.2f} mm rms")
    assert rms < most
