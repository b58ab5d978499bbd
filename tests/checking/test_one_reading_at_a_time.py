"""The fit of a bar by a second route: no least squares, but the wanted bar corrected by one reading after another.

Each reading moves what is known by its share of the doubt, and takes its part of the doubt away (R. E. Kalman, Journal
of Basic Engineering 82, 35, 1960, from memory). Leave one out, and the others foretell it: that checks the checks.
"""

import numpy as np
import pytest

from barmath.checking.as_bent import PARTS, covariance_of_slips, parts_of_recipe
from barmath.checking.bench_errors import USUAL_ERRORS
from barmath.checking.bench_readings import BY_KEY, Reading, readings_of_parts
from barmath.checking.inspection import FEWEST_READINGS, inspect
from barmath.checking.reading_checks import FAR_OFF, POWER
from barmath.shop.order_seven import order_seven_recipe

RECIPE = order_seven_recipe()
WANTED = np.append(parts_of_recipe(RECIPE), np.zeros(4))
KEYS = tuple(BY_KEY)
EIGHT = KEYS[:4] + KEYS[4:6] + ("between_risers", "width")
FOUR = KEYS[:2] + KEYS[4:6]


def bar_read(keys, seed):
    """A bar that slipped as usual, and its readings with the usual errors."""
    rng = np.random.default_rng(seed)
    slips = rng.multivariate_normal(np.zeros(7), covariance_of_slips(RECIPE))
    bar = WANTED + np.append(slips, rng.normal(0.0, USUAL_ERRORS.mark_mm, 4))
    errors = np.array([BY_KEY[key].error for key in keys])
    values = readings_of_parts(RECIPE, bar, keys)[0] + 0.5 * errors * rng.standard_normal(len(keys))
    return [Reading(key, float(values[place]), None, 1 + place % 2) for place, key in enumerate(keys)]


def corrected(readings, near):
    """Mean (11,) and covariance (11, 11) after the readings, with slopes as they are at `near` (11,)."""
    mean, doubt = WANTED.copy(), np.zeros((11, 11))
    doubt[:7, :7] = 8.0**2 * covariance_of_slips(RECIPE)  # the wanted bar is trusted to eight usual slips
    doubt[7:, 7:] = 8.0**2 * USUAL_ERRORS.mark_mm**2 * np.eye(4)
    taken = [(row, 0.0, USUAL_ERRORS.mark_mm) for row in np.eye(11)[7:]]  # each mark was made with the usual error
    for reading in readings:
        ((value,), (row,)) = readings_of_parts(RECIPE, near, (reading.key,))
        taken.append((row, reading.value - value + row @ near, reading.error / np.sqrt(reading.times)))
    for row, value, error in taken:
        gain = doubt @ row / (row @ doubt @ row + error**2)
        mean = mean + gain * (value - row @ mean)
        doubt = doubt - np.outer(gain, row @ doubt)
    return mean, doubt


@pytest.mark.parametrize("keys", [KEYS, EIGHT, FOUR], ids=["eleven", "eight", "four"])
@pytest.mark.parametrize("seed", range(4))
def test_the_fit_is_the_wanted_bar_corrected_by_each_reading_in_turn(keys, seed):
    readings = bar_read(keys, seed)
    found = inspect(RECIPE, readings)
    assert found.agree
    mean, doubt = corrected(readings, found.fitted)
    errors = np.sqrt(np.diag(doubt))
    np.testing.assert_allclose((found.fitted - mean) / errors, 0.0, atol=2e-3)
    np.testing.assert_allclose(found.fitted_covariance / np.outer(errors, errors), doubt / np.outer(errors, errors),
                               atol=1e-6)  # fmt: skip
    before = np.sqrt(np.diag(corrected([], found.fitted)[1]))
    for place, name in enumerate(PARTS):
        known = errors[place] <= 0.3 * before[place]
        assert found.parts[name].value == pytest.approx(found.fitted[place])
        assert found.parts[name].error == pytest.approx(errors[place] if known else np.inf)
    values, slopes = readings_of_parts(RECIPE, found.fitted, KEYS)
    prior = corrected([], found.fitted)[1]
    for value, row, key in zip(values, slopes, KEYS, strict=True):
        error = np.sqrt(row @ doubt @ row)
        known = error <= 0.3 * np.sqrt(row @ prior @ row)
        assert found.measures[key] == pytest.approx((value, error if known else np.inf))


@pytest.mark.parametrize("keys", [KEYS, EIGHT], ids=["eleven", "eight"])
@pytest.mark.parametrize("seed", range(4))
def test_a_reading_is_as_far_off_as_the_others_foretell_it(keys, seed):
    readings = bar_read(keys, seed)
    found = inspect(RECIPE, readings)
    for reading in readings:
        others = [one for one in readings if one is not reading]
        mean, doubt = corrected(others, found.fitted)
        ((value,), (row,)) = readings_of_parts(RECIPE, found.fitted, (reading.key,))
        foretold = value + row @ (mean - found.fitted)
        unsure = np.sqrt(row @ doubt @ row + reading.error**2 / reading.times)
        assert found.off[reading.key] == pytest.approx((foretold - reading.value) / unsure, abs=1e-2)
        shows = (FAR_OFF + POWER) * unsure * reading.times
        if reading.times > 1:
            shows = min(shows, (FAR_OFF + POWER) * np.sqrt(2.0) * reading.error)
        elif reading.key == "grips_gap" and abs(value) < shows:
            shows *= 2.0
        assert found.shows[reading.key] == pytest.approx(shows, rel=1e-3)
        without, less = found.without(reading.key)
        errors = np.sqrt(np.diag(doubt))
        np.testing.assert_allclose((without - mean) / errors, 0.0, atol=1e-2)
        np.testing.assert_allclose(less / np.outer(errors, errors), doubt / np.outer(errors, errors), atol=1e-4)


def test_the_fewest_readings_are_four():
    assert len(inspect(RECIPE, bar_read(FOUR, 1)).readings) == FEWEST_READINGS == 4
