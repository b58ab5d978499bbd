"""A million bars in one compiled loop measure what the arrays of NumPy say, to the last bit."""

from importlib.util import find_spec

import numpy as np
import pytest

from barmath import Recipe, shape_from_recipe
from barmath.arrays import BLOCK
from barmath.closed_forms import many_bars
from barmath.refusal import BendError

MEASURES = ("rise_mm", "backsweep_deg", "upsweep_deg", "width_mm", "setback_mm", "cut_length_mm")
TOO_FEW = 10**9
BARS = 2 * BLOCK + 7
"""Two whole blocks and a short one."""


@pytest.fixture
def compiled():
    if find_spec("numba") is None:
        pytest.skip("numba is not installed")
    return many_bars._compiled()


@pytest.fixture(params=["as a plain loop", "compiled"])
def each(request):
    return many_bars._each if request.param == "as a plain loop" else request.getfixturevalue("compiled")


@pytest.fixture
def both(each, monkeypatch):
    """The shapes of a recipe by NumPy, and by the loop."""
    monkeypatch.setattr(many_bars, "_compiled", lambda: each)

    def shapes(recipe):
        monkeypatch.setattr(many_bars, "MANY", TOO_FEW)
        by_arrays = shape_from_recipe(recipe)
        monkeypatch.setattr(many_bars, "MANY", 100)
        return by_arrays, shape_from_recipe(recipe)

    return shapes


def recipes(flat=None, roll=None, stem=0.0, shape=(BARS,)):
    draw = np.random.default_rng(3).uniform
    return Recipe(
        clamp_flat_mm=draw(40.0, 60.0, shape) if flat is None else flat,
        inner_bend_deg=draw(15.0, 40.0, shape),
        straight_mm=draw(60.0, 150.0, shape),
        roll_deg=draw(-50.0, 50.0, shape) if roll is None else roll,
        outer_bend_deg=draw(15.0, 40.0, shape),
        grip_mm=draw(150.0, 250.0, shape),
        radius_mm=draw(80.0, 170.0, shape),
        stem_roll_deg=stem,
    )


@pytest.mark.parametrize("recipe", [
    recipes(), recipes(flat=60.0, roll=0.0), recipes(shape=(3, 90)), recipes(flat=np.full((3, 1), 50.0), shape=(3, 90)),
], ids=["in blocks", "with plain numbers", "of two axes", "broadcast"])  # fmt: skip
def test_the_loop_says_to_the_last_bit_what_arrays_say(both, recipe):
    by_arrays, by_loop = both(recipe)
    for measure in MEASURES:
        np.testing.assert_array_equal(getattr(by_loop, measure), getattr(by_arrays, measure), strict=True)


def test_the_loop_is_taken_for_upright_bars_alone_and_where_there_are_many(both, each, monkeypatch):
    called = []
    monkeypatch.setattr(many_bars, "_compiled", lambda: lambda *parts: called.append(1) or each(*parts))
    both(recipes(shape=(200,)))
    assert called == [1]
    both(recipes(shape=(200,), stem=np.linspace(-5.0, 5.0, 200)))
    both(recipes(shape=(99,)))
    assert called == [1]


def test_a_square_grip_in_the_last_block_is_refused_by_the_loop_too(each, monkeypatch):
    monkeypatch.setattr(many_bars, "_compiled", lambda: each)
    monkeypatch.setattr(many_bars, "MANY", 100)
    bends = np.full(BARS, 30.0)
    bends[-1] = 45.0
    with pytest.raises(BendError, match="square to the clamp axis"):
        shape_from_recipe(Recipe(60.0, bends, 100.0, 180.0, bends, 200.0, 105.0))
