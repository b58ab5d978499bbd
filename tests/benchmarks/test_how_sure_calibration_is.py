"""Calibration and look-up tried on shops whose truth is known: how often what is said holds. Prints a table.

The small and seeded versions are in test_calibration.py and test_lookup.py; here each row has more shops.
"""

import os
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import pytest
from numpy.typing import ArrayLike
from simulated_shops import DIE, THEORY, TUBE, drawn, drawn_scatter, shop_of, stops_held, true_stop_deg

from barmath import Order, Springback
from barmath.records.by_settings import Scatter, measures_of_settings
from barmath.records.calibration import calibrate
from barmath.records.demo_record import Truth, demo_bars
from barmath.records.lookup import nearest_bars
from barmath.records.record import Record

SHOPS = int(os.environ.get("BARMATH_SHOPS", "400"))  # a line: fewer for a quick look


class Row(NamedTuple):
    """Bars of a shop, their springback ratio where the prior does not draw it, their scatter, and what is promised:
    least share covered, and least and most share of shops where a drift is noticed.
    """

    bars: int = 40
    ratios: ArrayLike | None = None
    scatter_of: Callable[[np.random.Generator], Scatter] = lambda rng: Scatter()
    covered: float = 0.92
    noticed: tuple[float, float] = (0.0, 0.05)


ROWS = {
    "truth within theory": Row(),
    "the same, three bars": Row(3),
    "three bars, scatter of its own": Row(3, scatter_of=drawn_scatter),
    "60 % over theory": Row(ratios=np.full(40, 1.6 * THEORY), covered=0.90),
    "twice theory": Row(ratios=np.full(40, 2.0 * THEORY), covered=0.90),
    "twice the usual scatter": Row(scatter_of=lambda rng: Scatter().scaled(2.0, 2.0), covered=0.90),
    "from 0.02 to 0.05 over 40 bars": Row(ratios=np.linspace(0.02, 0.05, 40), covered=0.85, noticed=(0.85, 1.0)),
    "0.025, and 0.045 from bar 29 on": Row(ratios=np.where(np.arange(40) < 28, 0.025, 0.045), covered=0.85,
                                           noticed=(0.90, 1.0)),
}  # fmt: skip


@pytest.mark.parametrize("name", ROWS)
def test_as_often_as_it_says(name):
    row, rng, held, off, late, drifts = ROWS[name], np.random.default_rng(7), [], [], [], 0
    for seed in range(SHOPS):
        truths = drawn(rng, row.ratios, row.bars)
        found = calibrate(TUBE, DIE, *shop_of(truths, seed, row.scatter_of(rng)))
        held.append(stops_held(truths, found))
        off.append(found.stop_deg(60.0).value - true_stop_deg(60.0, truths[-1].ratio, truths[-1].constant_deg))
        if found.drift is not None:
            drifts += 1
            late.append(found.drift.entries)
    share = np.mean(held, 0)
    dated = f", the last {np.median(late):.0f} bars" if late else ""
    print(f"\n{name:32s} stop for 25 covered {share[0]:5.1%}, for 60 {share[1]:5.1%}, off by {np.std(off):.2f} deg; "
          f"drift noticed in {drifts / SHOPS:4.1%}{dated}")  # fmt: skip
    assert share.min() >= row.covered
    assert row.noticed[0] <= drifts / SHOPS <= row.noticed[1]


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


# 3.6 mm of offset lower a bar of four bends of 25 deg by 3.0 mm, one of 32.5 deg by 3.9: many bars leave 0.5
@pytest.mark.parametrize(("count", "most"), [(3, 1.9), (5, 1.6), (12, 1.0), (40, 0.6)])
def test_advice_of_bars_that_all_came_out_3_mm_low(tmp_path, count, most):
    rms = rms_of_advice(Truth(0.028, 0.0, -3.6, 0.0, 0.028), count, tmp_path)
    print(f"\n{count:3d} bars, all 3 mm low: advice off by {rms:.2f} mm rms")
    assert rms < most
