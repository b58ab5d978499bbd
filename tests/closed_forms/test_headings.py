"""A heading that turns, against SciPy's rotations, small steps and the derivation."""

import numpy as np
import sympy as sp
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from barmath.closed_forms.headings import arc, leaned, quarter_turned, turned
from barmath.derivation import forward

ALIKE = 1e-12
RIGHT, BACK, UP = np.eye(3)
PAIRS = [(RIGHT, UP), (UP, BACK), (-UP, RIGHT)]
angles = st.floats(-4.0, 4.0)


@given(angles, st.sampled_from(PAIRS))
def test_a_pair_turns_as_scipy_turns_it(theta, pair):
    turn = Rotation.from_rotvec(theta * np.cross(*pair))
    np.testing.assert_allclose(turned(*pair, theta), turn.apply(pair), atol=ALIKE)


@given(angles, st.sampled_from(PAIRS))
def test_the_formulas_are_those_of_the_derivation(theta, pair):
    letters = [sp.Matrix(vector) for vector in pair]
    heading, walked = forward.turned(*letters, sp.Float(theta)), forward.arc(*letters, sp.Float(theta)) / forward.R
    np.testing.assert_allclose(turned(*pair, theta)[0], np.array(heading, float).ravel(), atol=ALIKE)
    np.testing.assert_allclose(arc(*pair, theta), np.array(walked, float).ravel(), atol=ALIKE)


@given(st.floats(0.1, 3.0), st.sampled_from(PAIRS))
def test_an_arc_is_the_sum_of_small_steps_along_its_heading(theta, pair):
    steps = 20_000
    middles = (np.arange(steps) + 0.5)[:, None] * theta / steps
    np.testing.assert_allclose(arc(*pair, theta), turned(*pair, middles)[0].sum(0) * theta / steps, atol=1e-8)


@given(st.sampled_from(PAIRS), st.lists(st.floats(-3.0, 3.0), min_size=3, max_size=3))
def test_a_quarter_turn_is_the_slope_of_a_turn(pair, vector):
    small, vector = 1e-6, np.array(vector)
    ahead, behind = (Rotation.from_rotvec(by * np.cross(*pair)).apply(vector) for by in (small, -small))
    np.testing.assert_allclose(quarter_turned(vector, *pair), (ahead - behind) / (2.0 * small), atol=1e-8)


@given(angles, st.lists(st.floats(-3.0, 3.0), min_size=3, max_size=3))
def test_leaning_turns_up_toward_back_about_the_clamp_axis(psi, vector):
    turn = Rotation.from_rotvec(psi * np.cross(UP, BACK))
    np.testing.assert_allclose(leaned(np.array(vector), np.array([psi])), turn.apply(vector), atol=1e-11)
