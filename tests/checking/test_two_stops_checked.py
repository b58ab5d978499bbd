"""Finished bars of two stops: a known fault is found again, the bend is named, and the tweak brings the bar right."""

import numpy as np
import pytest

from barmath import Order, recipe_from_order
from barmath.checking.as_bent import PARTS, parts_of_recipe
from barmath.checking.bench_readings import BY_KEY, Reading, readings_of_parts, wanted_readings
from barmath.checking.inspection import inspect
from barmath.checking.tweaks import LEAVE, TWEAK, advice, applied

PAIRS = [(30.0, 27.5), (27.5, 30.0), (32.5, 25.0), (25.0, 32.5)]


def bar(pair):
    rises = {(32.5, 25.0): 110.0, (25.0, 32.5): 60.0}
    order = Order(rises.get(pair, 90.0), 14.0, 800.0, None, 60.0, 100.0)
    return order, recipe_from_order(order, 105.0, *pair)


def read_of(recipe, parts):
    values, _ = readings_of_parts(recipe, parts, tuple(BY_KEY))
    return [
        Reading(key, float(value), times=2) for key, value in zip(BY_KEY, values, strict=True) if np.isfinite(value)
    ]


@pytest.mark.parametrize("pair", PAIRS)
def test_the_parts_of_a_bar_of_two_stops_are_its_own_bends(pair):
    _, recipe = bar(pair)
    parts = dict(zip(PARTS, parts_of_recipe(recipe), strict=True))
    assert [parts[f"{side} {bend} bend"] for side in ("left", "right") for bend in ("inner", "outer")] == [*pair, *pair]


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize("part", ["left outer bend", "right inner bend"])
def test_a_known_fault_is_found_on_its_own_bend(pair, part):
    _, recipe = bar(pair)
    truth = parts_of_recipe(recipe)
    truth[PARTS.index(part)] += 2.5
    found = inspect(recipe, read_of(recipe, truth))
    for name, true in zip(PARTS, truth, strict=True):
        assert found.parts[name].value == pytest.approx(true, abs=2.0 * found.parts[name].error), name
    off = {name: abs(found.parts[name].value - one) for name, one in zip(PARTS, parts_of_recipe(recipe), strict=True)}
    assert max(off, key=lambda name: off[name]) == part


@pytest.mark.parametrize("pair", PAIRS)
def test_the_tweak_of_a_bar_of_two_stops_brings_its_readings_to_what_was_wanted(pair):
    order, recipe = bar(pair)
    truth = parts_of_recipe(recipe)
    truth[PARTS.index("right outer bend")] += 3.0
    found = inspect(recipe, read_of(recipe, truth))
    what = advice(found, order)
    assert what.verdict == TWEAK, what
    assert any("right outer bend" in tweak.words for tweak in what.tweaks)
    after = applied(truth, what.tweaks)
    keys = ("backsweep_left", "backsweep_right", "rise_left", "rise_right")
    values, _ = readings_of_parts(recipe, after, keys)
    before, _ = readings_of_parts(recipe, truth, keys)
    wanted = wanted_readings(recipe, keys)
    assert np.abs(values - wanted).max() < 0.5 * np.abs(before - wanted).max()


@pytest.mark.parametrize("pair", PAIRS)
def test_a_bar_of_two_stops_made_as_meant_is_left_alone(pair):
    order, recipe = bar(pair)
    assert advice(inspect(recipe, read_of(recipe, parts_of_recipe(recipe))), order).verdict == LEAVE
