"""The numbers of lines of equal value: on their line, inside their field, apart from each other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.interpolate import RegularGridInterpolator

from barmath.pictures.line_numbers import FLAT, LEAST_ROOM, line_numbers

X, Y = np.linspace(0.0, 30.0, 61), np.linspace(20.0, 160.0, 71)
LEVELS = np.arange(-50.0, 300.0, 10.0)
slopes = st.floats(-5.0, 5.0)


def field(across, up, bulge):
    return 90.0 + across * X + up * (Y[:, None] - 90.0) + bulge * ((X - 15.0) / 15.0) * ((Y[:, None] - 90.0) / 70.0)


def shares(places):
    return np.array([[(x - X[0]) / 30.0, FLAT * (y - Y[0]) / 140.0] for x, y in places]).reshape(-1, 2)


@given(slopes, slopes, st.floats(-60.0, 60.0))
def test_each_number_is_on_its_line_and_has_it_once(across, up, bulge):
    values = field(across, up, bulge)
    found = line_numbers(X, Y, values, LEVELS)
    assert len({one.value for one in found}) == len(found)
    if found:  # SciPy's interpolation, between the same places of the grid
        there = RegularGridInterpolator((Y, X), values)([(one.y, one.x) for one in found])
        np.testing.assert_allclose(there, [one.value for one in found], atol=0.5)


@given(slopes, slopes, st.floats(2.0, 28.0))
def test_no_number_reaches_over_the_end_of_its_field_or_into_another(across, up, end):
    values = np.where(end >= X, field(across, up, 0.0), np.nan)
    name = (min(5.0, end), 90.0)
    found = line_numbers(X, Y, values, LEVELS, [name])
    places = shares([(one.x, one.y) for one in found])
    last = X[end >= X][-1]
    for one, place in zip(found, places, strict=True):
        assert min(one.x - X[0], last - one.x) / 30.0 > LEAST_ROOM - 1.0 / 60.0  # the field ends within a step
        assert min(place[1], FLAT - place[1]) > LEAST_ROOM - FLAT / 70.0
    around = np.concatenate([places, shares([name])])
    apart = np.linalg.norm(around[:, None] - around, axis=-1) + 9.0 * np.eye(len(around))
    assert apart.min() >= 2.0 * LEAST_ROOM


def test_a_line_in_the_open_has_its_number_in_the_middle():
    (one,) = line_numbers(X, Y, np.broadcast_to(Y[:, None], (71, 61)), [91.0])
    assert (one.x, one.y) == pytest.approx((15.0, 91.0), abs=0.5)


@pytest.mark.parametrize("values", [np.full((71, 61), np.nan), np.full((71, 61), 95.0)], ids=["nothing", "level"])
def test_where_no_line_is_there_is_no_number(values):
    assert line_numbers(X, Y, values, LEVELS) == []
