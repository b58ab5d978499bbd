"""How the bar is held in the bender: held against the finished bar and against SciPy's rotations."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import Bender, BendError, Order, Recipe, clamp_reading_deg, recipe_from_order
from barmath.bending.holds import STRAIGHTS, USUAL_SEQUENCE, poses_from_recipe
from barmath.closed_forms.marks import marks_from_recipe
from barmath.space.centerline import bar_points, bends_from_recipe, sample_stations

BENDERS = [Bender("left"), Bender("right")]
UPRIGHT = recipe_from_order(Order(78.0, 12.0, 780.0, controls_mm=170.0), 91.0, 28.0)

recipes = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(0.0, 90.0),
    inner_bend_deg=st.floats(5.0, 80.0),
    straight_mm=st.floats(0.0, 150.0),
    roll_deg=st.floats(-180.0, 180.0),
    outer_bend_deg=st.floats(5.0, 80.0),
    grip_mm=st.floats(0.0, 250.0),
    radius_mm=st.floats(60.0, 200.0),
)
benders = st.sampled_from(BENDERS)


def flat_direction_by_rotations(recipe: Recipe, side: str, turns: str) -> np.ndarray:
    """Second route to the clamp flat for an outer bend: the riser lies along x, the grip is to turn to +-y, so the
    inner bend is a turn about the axis of the outer one rolled by phi about the riser, undone on the way back.
    """
    to_left = 1.0 if turns == "left" else -1.0
    roll = recipe.roll_deg if side == "right" else -recipe.roll_deg
    axis = Rotation.from_euler("x", roll, degrees=True).apply([0.0, 0.0, to_left])
    toward_bender = Rotation.from_rotvec(np.radians(recipe.inner_bend_deg) * axis).apply([1.0, 0.0, 0.0])
    return -toward_bender


def is_one_rigid_body(points: np.ndarray, others: np.ndarray) -> float:
    """Largest distance, mm, left between two rows of points after the best proper rotation and shift."""
    a, b = points - points.mean(0), others - others.mean(0)
    rotation, _ = Rotation.align_vectors(b, a)
    return float(np.abs(rotation.apply(a) - b).max())


@pytest.mark.parametrize("bender", BENDERS)
@pytest.mark.parametrize("recipe", [UPRIGHT, Recipe(55, 25, 90, -40, 31, 180, 100)])
def test_after_the_last_bend_the_tube_is_the_finished_bar(recipe, bender):
    finished, _ = bar_points(recipe, sample_stations(bends_from_recipe(recipe)))
    assert is_one_rigid_body(poses_from_recipe(recipe, bender)[3].after_mm, finished) < LENGTH_MM


@given(recipes, benders)
def test_each_bend_takes_up_the_tube_as_the_one_before_left_it(recipe, bender):
    poses = poses_from_recipe(recipe, bender)
    for pose, next_pose in pairwise(poses):
        assert is_one_rigid_body(pose.after_mm, next_pose.before_mm) < 1e-8  # align_vectors itself is good to 1e-8


@given(recipes, benders)
def test_the_held_side_remains_and_the_free_end_turns_level_to_the_benders_side(recipe, bender):
    for pose in poses_from_recipe(recipe, bender):
        held = np.setdiff1d(np.arange(len(pose.before_mm)), pose.free)
        np.testing.assert_allclose(pose.before_mm[pose.free[0]], 0.0, atol=LENGTH_MM)
        np.testing.assert_allclose(pose.after_mm[held], pose.before_mm[held], atol=LENGTH_MM)
        np.testing.assert_allclose(pose.after_mm[:, 2], pose.before_mm[:, 2], atol=LENGTH_MM)
        arc = pose.after_mm[pose.free][:13]
        to_the_side = arc[1:, 1] if bender.turns == "left" else -arc[1:, 1]
        assert np.all(arc[1:, 0] > 0.0)
        assert np.all(to_the_side > 0.0)


@given(recipes, benders)
def test_the_angle_finder_on_the_clamp_flat_shows_the_clamp_reading(recipe, bender):
    first = float(clamp_reading_deg(recipe)) * (1.0 if bender.turns == "left" else -1.0)
    _, _, right, left = poses_from_recipe(recipe, bender)
    assert right.slope_deg("clamp flat") == pytest.approx(first, abs=1e-6)  # arcsine near 90 degrees loses figures
    assert left.slope_deg("clamp flat") == pytest.approx(-first, abs=1e-6)


@given(recipes, benders)
def test_the_clamp_flat_leads_where_two_rotations_put_it(recipe, bender):
    for pose in poses_from_recipe(recipe, bender)[2:]:
        flat = flat_direction_by_rotations(recipe, pose.side, bender.turns)
        np.testing.assert_allclose(pose.away[STRAIGHTS.index("clamp flat")], flat, atol=1e-12)


@given(recipes, benders)
def test_both_inner_bends_are_made_with_the_tube_lying_level(recipe, bender):
    for pose in poses_from_recipe(recipe, bender)[:2]:
        np.testing.assert_allclose(pose.before_mm[:, 2], 0.0, atol=LENGTH_MM)
        assert [pose.slope_deg(straight) for straight in STRAIGHTS] == pytest.approx([0.0] * 5, abs=ANGLE_DEG)


@given(recipes)
def test_a_bender_that_turns_right_has_the_tube_turned_over_about_its_own_axis(recipe):
    for left, right in zip(*(poses_from_recipe(recipe, bender) for bender in BENDERS), strict=True):
        for one, other in ((left.before_mm, right.before_mm), (left.after_mm, right.after_mm)):
            np.testing.assert_allclose(one * [1.0, -1.0, -1.0], other, atol=LENGTH_MM)


def test_the_straight_tube_of_the_first_step_is_along_the_bender():
    first = poses_from_recipe(UPRIGHT)[0]
    marks = marks_from_recipe(UPRIGHT)
    np.testing.assert_allclose(first.before_mm[:, 1:], 0.0, atol=LENGTH_MM)
    assert first.before_mm[0, 0] == pytest.approx(marks.end_mm + marks.inner_end_mm, abs=LENGTH_MM)
    assert first.before_mm[-1, 0] == pytest.approx(marks.inner_end_mm - marks.end_mm, abs=LENGTH_MM)


def test_a_flat_offset_is_level_through_all_four_bends():
    flat = Recipe(50.0, 30.0, 90.0, 0.0, 30.0, 180.0, 90.0)
    for pose in poses_from_recipe(flat):
        np.testing.assert_allclose(pose.before_mm[:, 2], 0.0, atol=LENGTH_MM)
        assert pose.end_height_mm("left") == pytest.approx(0.0, abs=LENGTH_MM)


def test_the_far_end_of_the_other_arm_is_where_three_slopes_put_it():
    # by hand, for R 100, a = b = 30, phi = 90: everything behind the hook lies in one upright plane, so for the first
    # outer bend the tube falls by R (1 - cos 30) + 50 sin 30, and on by a second bend of 30 to a slope of 60
    recipe = Recipe(50.0, 30.0, 90.0, 90.0, 30.0, 200.0, 100.0)
    half = np.sqrt(3.0) / 2.0
    arc = 100.0 * np.pi / 6.0
    first_bend_and_flat = 100.0 * (1.0 - half) + 50.0 * 0.5
    second_bend = 100.0 * (half - 0.5)
    riser_arc_and_grip = (90.0 + arc + 200.0) * half
    right = poses_from_recipe(recipe)[2]
    assert right.end_height_mm("left") == pytest.approx(-(first_bend_and_flat + second_bend + riser_arc_and_grip))
    assert right.slope_deg("clamp flat") == pytest.approx(30.0)
    assert right.slope_deg("left riser") == pytest.approx(60.0)


def test_the_poses_follow_the_usual_order():
    assert [(pose.side, pose.bend) for pose in poses_from_recipe(UPRIGHT)] == list(USUAL_SEQUENCE)


def test_between_the_ends_of_each_straight_is_its_length():
    finished = poses_from_recipe(UPRIGHT)[3]
    lengths = [np.ptp(finished.after_mm[list(finished.ends(straight))], axis=0) for straight in STRAIGHTS]
    half = [UPRIGHT.grip_mm, UPRIGHT.straight_mm, UPRIGHT.clamp_flat_mm]
    assert np.linalg.norm(lengths, axis=1) == pytest.approx([*half, *half[1::-1]], abs=LENGTH_MM)


def test_a_straight_that_no_bar_has_is_refused():
    pose = poses_from_recipe(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.0, 105.0))[0]
    for ask in (pose.ends, pose.sideways):
        with pytest.raises(BendError, match=r"\"clamp flat\".*: straight must be one of these, got 'left leg'"):
            ask("left leg")
