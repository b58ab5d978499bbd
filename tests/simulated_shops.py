"""Shops whose truth is known: bars and test bends by the invented shop's bender, its springback drifting or not."""

from dataclasses import replace
from datetime import timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from numpy.typing import ArrayLike

from barmath import (
    Die,
    Springback,
    Tube,
    clamp_reading_deg,
    marks_from_recipe,
    recipe_from_order,
    springback_from_tube,
)
from barmath.records.bent_bar import READ_WRONG_DEG, BentBar, TestBend
from barmath.records.by_settings import Scatter
from barmath.records.calibration import Calibration
from barmath.records.demo_record import FIRST_DAY, ORDER, Truth, demo_bars, demo_bends, demo_record, true_bends
from barmath.records.local_level import FACTOR_KNOWN
from barmath.records.record import Record
from barmath.shop.die_calibration import Beforehand
from barmath.shop.shop_file import shop_from_toml
from barmath.space.two_sides import two_sides_from_bends

TUBE, DIE = Tube(22.225, 1.4732, name="7/8 x 0.058"), Die(88.9, name="die 89")
THEORY = float(springback_from_tube(TUBE, DIE).ratio)
BENDS_ALONG = (("left", "outer"), ("left", "inner"), ("right", "inner"), ("right", "outer"))
Z95 = 1.959964  # of a normal distribution, two-sided 95 %


@cache
def _demo_record_of(shop: str) -> bytes:
    tube, die = shop_from_toml(shop).tubes[0], shop_from_toml(shop).dies[0]
    with TemporaryDirectory() as folder:
        return demo_record(Path(folder) / "record.db", tube, die).path.read_bytes()


def copied_demo_record(path: Path, shop_file: Path) -> Record:
    """The demo record of a shop at `path`, where nothing is yet: made once and copied."""
    assert not path.exists()
    path.write_bytes(_demo_record_of(shop_file.read_text(encoding="utf-8")))
    return Record(path)


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


def pieces_of(
    truth: Truth, count: int, seed: int, scatter: Scatter = Scatter()
) -> tuple[list[TestBend], list[BentBar]]:
    """`count` bars, and what was read of each of their four bends as it was made: the same slips are in both."""
    rng, bends, bars = np.random.default_rng(seed), [], []
    believed = Springback(truth.believed_ratio, DIE.centerline_radius_mm)
    for place in range(count):
        order = replace(ORDER, rise_mm=float(rng.integers(70, 100)), backsweep_deg=float(rng.integers(8, 15)))
        recipe = recipe_from_order(order, believed.finished_radius_mm, 30.0)
        marks, stop = marks_from_recipe(recipe), float(believed.die_bend_deg(30.0))
        tube = true_bends(recipe, 2.0 * float(marks.end_mm), DIE, truth, rng, scatter)
        sides, piece = two_sides_from_bends(tube), f"piece {place}"
        read = {
            "backsweep_left": sides.backsweep_deg[0], "backsweep_right": sides.backsweep_deg[1],
            "rise_left": sides.rise_mm[0], "rise_right": sides.rise_mm[1],
        }  # fmt: skip
        error = {"b": scatter.sweep_deg, "r": scatter.length_mm}
        day = (FIRST_DAY + timedelta(days=9 * place)).isoformat()
        made = day, TUBE.name, DIE.name, 22.225, 1.4732, 88.9
        bars.append(
            BentBar(
                piece, day, order, *made[1:], inner_mark_mm=float(marks.inner_end_mm), piece=piece,
                outer_mark_mm=float(marks.outer_start_mm), tube_length_mm=2.0 * float(marks.end_mm),
                inner_stop_deg=stop, outer_stop_deg=stop, clamp_reading_deg=float(clamp_reading_deg(recipe)),
                readings={key: float(value + rng.normal(0.0, error[key[0]])) for key, value in read.items()},
            )
        )  # fmt: skip
        kept = np.minimum(np.abs(tube.bends_deg) + rng.normal(0.0, scatter.kept_deg, 4), stop + READ_WRONG_DEG)
        bends += [
            TestBend(*made, stop, float(one), piece=piece, bend=bend, side=side)
            for one, (side, bend) in zip(kept, BENDS_ALONG, strict=True)
        ]
    return bends, bars
