"""Whole degrees and then the tenths in some of them find each stem roll that all tenths of a degree would find."""

import numpy as np
import pytest
from nightly import NIGHTLY

from barmath.arrays import RADIAN
from barmath.rider.stem_rolls import TENTHS, Place, _may_pass, legs_at, stem_rolls

PLACES = 400 if NIGHTLY else 25
PAIRS = np.stack(np.meshgrid(np.arange(18.0, 42.0, 3.0), np.arange(18.0, 42.0, 3.0))).reshape(2, -1) * RADIAN


def some_place(rng):
    tan_sweep = np.tan(rng.uniform(-5.0, 35.0) * RADIAN)
    right, behind, height = rng.uniform(280.0, 360.0), rng.uniform(-20.0, 90.0), rng.uniform(20.0, 130.0)
    return Place(right, behind, height, float(tan_sweep), rng.uniform(20.0, 35.0), rng.uniform(60.0, 150.0))


def all_tenths(place, a, b):
    left = legs_at(TENTHS, a[:, None], b[:, None], place).left_over
    finite = np.isfinite(left[:, 1:] + left[:, :-1])
    return np.nonzero(finite & (np.sign(left[:, 1:]) != np.sign(left[:, :-1])))


def test_no_stem_roll_is_missed():
    rng, count = np.random.default_rng(11), 0
    for _ in range(PLACES):
        place = some_place(rng)
        pair, psi = stem_rolls(place, *PAIRS)
        wanted_pair, tenth = all_tenths(place, *PAIRS)
        assert pair.tolist() == wanted_pair.tolist()
        assert np.all((psi >= TENTHS[tenth] - 1e-12) & (psi <= TENTHS[tenth + 1] + 1e-12))
        a, b = PAIRS[:, pair]
        assert np.abs(legs_at(psi, a, b, place).left_over).max(initial=0.0) < 1e-6
        count += psi.size
    assert count > 20 * PLACES


@pytest.mark.parametrize(("curve", "found"), [
    (lambda at: (at - 3.4) * (at - 3.6), [3]),  # through 0 twice between two whole numbers
    (lambda at: np.sin(at - 2.5), [2]),
    (lambda at: np.where(at > 4.5, np.nan, np.sqrt(np.maximum(4.5 - at, 0.0)) - 0.4), [4]),  # between a bar and no bar
], ids=["twice", "once", "at the edge"])  # fmt: skip
def test_where_it_may_be_nothing_is_looked_at(curve, found):
    assert set(found) <= set(np.flatnonzero(_may_pass(curve(np.arange(8.0)))))


def test_where_it_cannot_be_nothing_is_not_looked_at():
    at = np.arange(40.0)
    assert not _may_pass(50.0 + 0.1 * (at - 20.0) ** 2).any()
    assert not _may_pass(np.full(9, np.nan)).any()
    assert _may_pass((at - 20.3) * 5.0).sum() == 1
