"""Inspection and tweaks on thousands of simulated bars of known truth: a table of what was claimed and what was so.

.venv/bin/python -m pytest tests/benchmarks/test_honest_inspection.py -s
"""

import os
from collections import Counter

import numpy as np
import pytest

from barmath import Order, recipe_from_order
from barmath.checking.as_bent import covariance_of_slips, parts_of_recipe
from barmath.checking.bench_errors import USUAL_ERRORS
from barmath.checking.bench_readings import BY_KEY, Reading, readings_of_parts
from barmath.checking.goal import judged
from barmath.checking.inspection import inspect
from barmath.checking.tweaks import LEAVE, SCRAP, TWEAK, advice, applied
from barmath.shop.tolerance import USUAL

ORDER = Order(78.0, 12.0, 780.0, controls_mm=180.0)
RECIPE = recipe_from_order(ORDER, 91.472, 25.0)
WANTED = parts_of_recipe(RECIPE)
SLIPS = np.linalg.cholesky(covariance_of_slips(RECIPE))
ALL = tuple(BY_KEY)
FOUR = ("backsweep_left", "backsweep_right", "rise_left", "rise_right")
EIGHT = (*FOUR, "grips_gap", "risers_gap", "between_risers", "width")
BARS = int(os.environ.get("BARMATH_BARS", "2000"))  # a line: fewer for a quick look
SETS = {"all eleven": ALL, "eight": EIGHT, "four": FOUR}


def bars(kind, count, rng):
    """Parts of bars, and the usual slips of their marks."""
    return np.append(parts_of_bars(kind, count, rng), rng.normal(0.0, USUAL_ERRORS.mark_mm, (count, 4)), -1)


def parts_of_bars(kind, count, rng):
    if kind == "as usually bent":
        return WANTED + rng.standard_normal((count, 7)) @ SLIPS.T
    if kind == "parts off by 0.7 deg":
        return WANTED + rng.normal(0.0, 0.7, (count, 7))
    off = rng.standard_normal((count, 7)) @ SLIPS.T
    off[np.arange(count), rng.integers(7, size=count)] += rng.choice([-3.0, 3.0], count)
    return WANTED + off


def read(parts, keys, rng, noise=1.0, times=1, misread=None):
    values = readings_of_parts(RECIPE, parts, keys)[0]
    values = values + noise * rng.normal(0.0, [BY_KEY[key].error / np.sqrt(times) for key in keys])
    if misread is not None:
        values[keys.index(misread[0])] += misread[1] * rng.choice([-1.0, 1.0])
    return inspect(RECIPE, [Reading(key, float(v), None, times) for key, v in zip(keys, values, strict=True)])


@pytest.mark.parametrize("noise", [1.0, 2.0])
@pytest.mark.parametrize("kind", ["as usually bent", "parts off by 0.7 deg", "one part off by 3 deg"])
@pytest.mark.parametrize("name", SETS)
def test_intervals_of_95_percent_hold_the_truth_93_to_97_times_in_100_or_are_unknown(name, kind, noise):
    rng, keys = np.random.default_rng(1), SETS[name]
    known, inside, noticed, count = np.zeros(18), np.zeros(18), 0, BARS
    for parts in bars(kind, count, rng):
        found = read(parts, keys, rng, noise)
        truth = np.concatenate([parts[:7], readings_of_parts(RECIPE, parts, ALL)[0]])
        estimates = [*found.parts.values(), *found.measures.values()]
        values, errors = np.array(estimates).T
        noticed += found.scale > 1.0
        if noise == 1.0 or found.scale > 1.0:
            known += np.isfinite(errors)
            inside += np.isfinite(errors) & (np.abs(values - truth) <= 1.959964 * errors)
    if not known.any():
        print(f"\n{name}, {kind}, noise x {noise:g}: never noticed, these readings have none to check them by")
        assert name == "four"
        return
    often = known > 0.3 * known.max()
    covered = inside[often] / known[often]
    print(f"\n{name}, {kind}, noise x {noise:g}: {often.sum()} of 18 known, covered {covered.min():.3f} to "
          f"{covered.max():.3f}, noise noticed in {noticed / count:.3f}")  # fmt: skip
    chance = 0.005 + 3.0 * np.sqrt(0.95 * 0.05 / known[often].min())  # 93 to 97 with 2000 bars, wider with fewer
    if noise == 1.0:
        assert np.abs(covered - 0.95).max() < chance
        assert noticed < (0.05 + chance) * count
    elif name == "all eleven":
        assert noticed > (0.60 - 2.0 * chance) * count  # two thirds if the slips of the marks were doubled too
        assert covered.min() > 0.93 - chance


def within(parts):
    found = judged(RECIPE, ORDER, USUAL, parts, 1e-12 * np.eye(len(parts)))
    return np.abs(found.off) <= found.bound


@pytest.mark.parametrize("misread", [None, ("rise_left", 10.0), ("backsweep_left", 2.25), ("backsweep_left", 1.5)])
@pytest.mark.parametrize(("name", "times"), [("all eleven", 1), ("all eleven", 2), ("eight", 1), ("four", 1)])
def test_no_advice_makes_a_bar_worse(name, times, misread):
    if misread and times == 2:
        pytest.skip("two values of a misread reading differ, and the panel refuses them")
    rng, keys, count = np.random.default_rng(2), SETS[name], BARS // 4
    verdicts, out, harmed, right, tweaked = Counter(), Counter(), 0, 0, 0
    for parts in bars("as usually bent", count, rng):
        got = advice(read(parts, keys, rng, 1.0, times, misread), ORDER)
        now = within(parts)
        verdicts[got.verdict] += 1
        out[got.verdict] += not now.all()
        if got.tweaks:
            after = within(np.append(applied(parts[:7], got.tweaks), parts[7:]))
            tweaked, harmed, right = tweaked + 1, harmed + bool((now & ~after).any()), right + after.all()
    print(f"\n{name} x {times}, misread {misread}: " + ", ".join(f"{v} {n} ({out[v]} truly out)" for v, n in
          verdicts.items()) + f"; tweaked {tweaked}, all within after {right}, harmed {harmed}")  # fmt: skip
    assert out[LEAVE] <= 0.05 * max(verdicts[LEAVE], 1)
    assert harmed <= 0.005 * count
    if misread is None:
        assert right >= 0.95 * tweaked
    elif name != "four" or misread[1] > 2.0:  # four readings have hardly any to check them by
        assert tweaked <= 0.01 * count
        assert verdicts[TWEAK] + verdicts[SCRAP] <= 0.01 * count
