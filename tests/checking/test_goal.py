"""Chances of a judged bar: against SciPy's normal distribution, bars drawn at random, and the bar's mirror image."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.stats import norm

from barmath.checking.as_bent import PARTS, parts_of_recipe
from barmath.checking.bench_readings import BY_KEY
from barmath.checking.goal import NAMES, READ_BY, SWEEPS, Judged, judged, readings_for, slopes_of_goals, unit_of
from barmath.shop.order_seven import ORDER, order_seven_recipe
from barmath.shop.tolerance import USUAL, Tolerance

RECIPE = order_seven_recipe()
WANTED = parts_of_recipe(RECIPE)
offs = arrays(float, 12, elements=st.floats(-5.0, 5.0))
errors = arrays(float, 12, elements=st.floats(0.05, 3.0))
bounds = arrays(float, 12, elements=st.floats(0.2, 4.0))


@given(offs, errors, bounds)
def test_a_measure_is_within_or_out_on_one_side_or_the_other(off, error, bound):
    bar, mirrored = Judged(off, error, bound), Judged(-off, error, bound)
    above, below = norm.sf(bound, off, error), norm.cdf(-bound, off, error)
    np.testing.assert_allclose(bar.within, 1.0 - above - below, atol=1e-12)
    np.testing.assert_allclose(bar.out_one_way, np.where(off > 0.0, above, below), atol=1e-12)
    np.testing.assert_allclose(mirrored.within, bar.within, atol=1e-12)
    np.testing.assert_allclose(mirrored.out_one_way, bar.out_one_way, atol=1e-12)
    assert bar.chance == pytest.approx(max(1.0 - float((above + below).sum()), 0.0), abs=1e-9)
    assert bar.worst == pytest.approx(max(np.abs(off) / bound))


@settings(max_examples=25)
@given(offs, errors, bounds, arrays(float, 12, elements=st.floats(-3.0, 3.0)))
def test_the_harm_of_a_tweak_is_the_chance_to_go_from_in_to_out_and_of_none_there_is_none(off, error, bound, step):
    now, moved = Judged(off, error, bound), Judged(off + step, error, bound)
    assert now.harm(now) == pytest.approx(0.0, abs=1e-12)
    # where a true value is in now and out once moved
    low = np.where(step > 0.0, np.maximum(bound - step, -bound), -bound)
    high = np.where(step > 0.0, bound, np.minimum(-bound - step, bound))
    each = norm.cdf(high, off, error) - norm.cdf(low, off, error)
    assert now.harm(moved) == pytest.approx(float(each.sum()), abs=1e-9)
    drawn = off + error * np.random.default_rng(1).standard_normal((4000, 12))
    counted = ((np.abs(drawn) <= bound) & (np.abs(drawn + step) > bound)).mean(0)
    np.testing.assert_allclose(each, counted, atol=0.04)


@settings(max_examples=25)
@given(arrays(float, 7, elements=st.floats(-3.0, 3.0)), arrays(float, 7, elements=st.floats(0.05, 0.5)))
def test_what_is_judged_of_a_bar_moves_by_its_slopes_and_each_has_its_own_bound(off, sure):
    parts = WANTED + off
    tolerance = Tolerance(0.7, 3.1, 2.3, roll_deg=1.9)
    found = judged(RECIPE, ORDER, tolerance, parts, np.diag(sure**2))
    assume((np.abs(found.off[6:8]) > 1e-2).all())  # at nothing a gap turns over, and another end touches
    by_name = dict(zip(NAMES, found.bound, strict=True))
    for name, bound in by_name.items():
        is_rise, is_gap = name.endswith("rise"), name.startswith("gap")
        wanted = 3.1 if is_rise else 2.3 if is_gap else 1.9 if name.endswith("roll") else 0.7
        assert bound == wanted, name
        assert unit_of(name) == ("mm" if is_rise or is_gap else "deg")
    values = dict(zip(NAMES, found.off, strict=True))
    assert values["backsweep"] == pytest.approx(values["right backsweep"] - values["left backsweep"])
    assert values["upsweep"] == pytest.approx(values["right upsweep"] - values["left upsweep"])
    assert [values["left roll"], values["right roll"]] == pytest.approx(list(off[[4, 5]]))
    slopes = slopes_of_goals(RECIPE, parts)
    for place in range(len(PARTS)):
        step = 1e-5 * np.eye(7)[place]
        there, back = (judged(RECIPE, ORDER, tolerance, parts + sign * step, np.eye(7)).off for sign in (1.0, -1.0))
        np.testing.assert_allclose((there - back) / 2e-5, slopes[:, place], atol=1e-4)
    np.testing.assert_allclose(found.error, np.sqrt((slopes**2 * sure**2).sum(1)), rtol=1e-6)


def test_the_wanted_bar_is_off_by_nothing_and_every_goal_has_readings():
    found = judged(RECIPE, ORDER, USUAL, WANTED, 1e-12 * np.eye(7))
    np.testing.assert_allclose(found.off, 0.0, atol=0.06)  # the recipe is written in tenths
    assert found.chance == pytest.approx(1.0)
    assert [name for name, is_sweep in zip(NAMES, SWEEPS, strict=True) if is_sweep] == [
        "left backsweep", "right backsweep", "left upsweep", "right upsweep", "backsweep", "upsweep"
    ]  # fmt: skip
    for place, name in enumerate(NAMES):
        keys = readings_for(np.arange(12) == place)
        assert set(keys) == set(READ_BY[place]) <= set(BY_KEY)
        if name.split()[0] in ("left", "right") and not name.endswith("roll"):
            side, measure = name.split()
            assert keys == (f"{measure}_{side}",)
    assert readings_for(np.zeros(12, bool)) == ()
