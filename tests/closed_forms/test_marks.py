"""Marks along the straight tube: a hand-worked case, the length kept, arrays."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tolerances import LENGTH_MM

from barmath import Recipe, marks_from_recipe, shape_from_recipe


def bar(**changed) -> Recipe:
    return Recipe(**{"clamp_flat_mm": 50.0, "inner_bend_deg": 30.0, "straight_mm": 120.0, "roll_deg": 20.0,
                     "outer_bend_deg": 45.0, "grip_mm": 180.0, "radius_mm": 90.0} | changed)  # fmt: skip


def test_the_marks_follow_one_another_from_the_middle_outward():
    marks = marks_from_recipe(bar())
    expected = np.cumsum([25.0, 90.0 * math.pi / 6, 120.0, 90.0 * math.pi / 4, 180.0])
    told = [marks.inner_start_mm, marks.inner_end_mm, marks.outer_start_mm, marks.outer_end_mm, marks.end_mm]
    np.testing.assert_allclose(told, expected, atol=LENGTH_MM, rtol=0)


@given(
    st.builds(
        bar,
        clamp_flat_mm=st.floats(0.0, 120.0),
        inner_bend_deg=st.floats(0.1, 80.0),
        straight_mm=st.floats(0.0, 300.0),
        outer_bend_deg=st.floats(0.1, 80.0),
        grip_mm=st.floats(0.0, 300.0),
        radius_mm=st.floats(20.0, 300.0),
        stem_roll_deg=st.floats(-30.0, 30.0),
    )
)
def test_the_tube_is_cut_at_twice_its_last_mark(recipe):
    marks = marks_from_recipe(recipe)
    assert 2 * marks.end_mm == pytest.approx(shape_from_recipe(recipe).cut_length_mm, abs=LENGTH_MM)
    assert 0.0 <= marks.inner_start_mm < marks.inner_end_mm <= marks.outer_start_mm < marks.outer_end_mm <= marks.end_mm


def test_roll_and_stem_roll_move_no_mark():
    assert marks_from_recipe(bar(roll_deg=-50.0, stem_roll_deg=12.0)) == marks_from_recipe(bar())


def test_arrays_broadcast():
    marks = marks_from_recipe(
        bar(inner_bend_deg=np.array([[20.0], [30.0]]), straight_mm=np.array([100.0, 110.0, 120.0]))
    )
    assert marks.end_mm.shape == (2, 3)
    assert marks.end_mm[1, 2] == pytest.approx(marks_from_recipe(bar()).end_mm, abs=LENGTH_MM)
