"""Corners and bends are two ways of saying the same tube, and each leads back to the other."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath.refusal import BendError, remedy_first
from barmath.space.centerline import TubeBends, cut_length_mm, nodes_of_bends
from barmath.space.corners import bends_from_corners, corner_points_mm

PRINTED = 5e-7  # the derived numbers below were kept to six decimals


def close(got, expected, within=LENGTH_MM):
    np.testing.assert_allclose(got, expected, rtol=0, atol=within)


def close_turns(got, expected):
    close((np.asarray(got) - expected + 180) % 360, np.full(np.shape(got), 180.0), ANGLE_DEG)


@st.composite
def tubes(draw):
    count = draw(st.integers(1, 5))
    fields = [
        (st.floats(10, 500), count + 1),
        (st.floats(5, 150), count),
        (st.floats(-180, 180), count),
        (st.floats(5, 300), count),
    ]
    return TubeBends(*(draw(st.lists(field, min_size=size, max_size=size)) for field, size in fields))


@pytest.mark.parametrize(
    ("bends", "corners", "cut_mm"),
    [
        (
            TubeBends([2, 4, 6], [45, 45], [0, 90], 3.5),
            [[0, 0, 0], [3.449747, 0, 0], [8.328427, 4.878680, 0], [12.053301, 8.603553, 5.267767]],
            17.497787,
        ),
        (
            TubeBends([2, 5, 7], [20, 35], [0, 120], [6.5, 3.5]),
            [[0, 0, 0], [3.146125, 0, 0], [9.958588, 2.479534, 0], [16.991157, 2.566029, 4.025289]],
            18.406956,
        ),
    ],
    ids=["square to each other", "two radii"],
)
def test_corners_are_those_that_two_other_libraries_gave(bends, corners, cut_mm):
    """Derived for this project with SciPy's Rotation and with pytransform3d, which agree: not published numbers."""
    close(corner_points_mm(bends), corners, PRINTED)
    close(cut_length_mm(bends), cut_mm, PRINTED)


@given(tubes())
def test_corners_lead_back_to_the_bends(bends):
    back = bends_from_corners(corner_points_mm(bends), bends.radii_mm)
    close(back.straights_mm, bends.straights_mm)
    close(back.bends_deg, bends.bends_deg, ANGLE_DEG)
    close_turns(back.rolls_deg, bends.rolls_deg)


@given(tubes(), st.tuples(*[st.floats(-3, 3)] * 3), st.tuples(*[st.floats(-500, 500)] * 3))
def test_only_the_first_roll_depends_on_where_the_corners_are(bends, turn, shift):
    corners = Rotation.from_rotvec(turn).apply(corner_points_mm(bends)) + shift
    moved = bends_from_corners(corners, bends.radii_mm)
    close(moved.straights_mm, bends.straights_mm)
    close(moved.bends_deg, bends.bends_deg, ANGLE_DEG)
    close_turns(moved.rolls_deg[1:], bends.rolls_deg[1:])


@given(tubes())
def test_a_corner_is_its_take_out_beyond_both_tangent_points(bends):
    points, corners = nodes_of_bends(bends).points_mm, corner_points_mm(bends)[1:-1]
    take_out = bends.radii_mm * np.tan(np.radians(bends.bends_deg) / 2)
    close(np.linalg.norm(corners - points[1:-1:2], axis=1), take_out)
    close(np.linalg.norm(corners - points[2::2], axis=1), take_out)


def test_many_polygons_at_once_are_the_same_as_one_by_one():
    draw = np.random.default_rng(7).uniform
    many = TubeBends(
        draw(10, 200, (4, 3, 4)), draw(5, 150, (4, 3, 3)), draw(-180, 180, (4, 3, 3)), draw(20, 200, (3, 3))
    )
    back = bends_from_corners(corner_points_mm(many), many.radii_mm)
    close(back.straights_mm, many.straights_mm)
    close(back.bends_deg, many.bends_deg, ANGLE_DEG)
    close_turns(back.rolls_deg, many.rolls_deg)


def test_a_corner_that_is_straight_through_has_no_bend_and_keeps_the_plane():
    bends = bends_from_corners([[0, 0, 0], [10, 0, 0], [20, 10, 0], [30, 20, 0], [30, 20, 14]], 2)
    take_out_45, take_out_90 = 2 * np.tan(np.pi / 8), 2
    close(bends.bends_deg, [45, 0, 90], ANGLE_DEG)
    close(bends.rolls_deg, [0, 0, 90], ANGLE_DEG)
    leg = np.sqrt(200)
    close(bends.straights_mm, [10 - take_out_45, leg - take_out_45, leg - take_out_90, 14 - take_out_90])


@pytest.mark.parametrize("shift", [0.0, 1e3])
def test_rounding_in_the_corners_makes_no_plane_out_of_a_straight(shift):
    line = np.array([0.1, 0.2, 0.7])
    bends = bends_from_corners(shift + np.arange(5)[:, None] * 37.3 * line, 50)
    close(bends.bends_deg, [0, 0, 0], 0)
    close(bends.rolls_deg, [0, 0, 0], 0)


def test_two_points_are_a_straight_tube():
    bends = bends_from_corners([[0, 0, 0], [3, 4, 0]], 50)
    assert bends.bend_count == 0
    close(bends.straights_mm, [5])


def test_a_first_leg_along_y_measures_its_first_roll_from_z():
    close(bends_from_corners([[0, 0, 0], [0, 50, 0], [0, 50, 60]], 10).rolls_deg, [0], ANGLE_DEG)
    close(bends_from_corners([[0, 0, 0], [0, 50, 0], [60, 50, 0]], 10).rolls_deg, [90], ANGLE_DEG)


def test_just_beside_y_the_first_roll_is_still_measured_from_y():
    # the first leg in the plane of x and y, a hundredth of a radian off y: the plane of the bend holds y, so no roll
    x, y = 50.0 * np.sin(0.01), 50.0 * np.cos(0.01)
    close(bends_from_corners([[0, 0, 0], [x, y, 0], [x - 60, y, 0]], 10).rolls_deg, [0], ANGLE_DEG)
    close(bends_from_corners([[0, 0, 0], [x, y, 0], [x, y, 60]], 10).rolls_deg, [90], ANGLE_DEG)


def test_arcs_that_just_meet_leave_a_straight_of_zero():
    bends = bends_from_corners([[0, 0, 0], [30, 0, 0], [30, 60, 0], [0, 60, 0]], 30)
    close(bends.straights_mm, [0, 0, 0])


@pytest.mark.parametrize(
    ("corners", "radii", "sentence"),
    [
        ([[0, 0, 0], [0, 0, 0], [9, 9, 0]], 1, "corners must be apart, got two at one place"),
        ([[0, 0, 0], [9, 0, 0], [1, 0, 0]], 1, "a leg must not turn straight back, got a turn of 180.0 deg"),
        (
            [[0, 0, 0], [30, 0, 0], [30, 60, 0], [0, 60, 0]],
            [28, 40],
            "the arcs must fit between the corners, got 8.0 mm too little between two of them (element 1 of (3,)): "
            "choose smaller radii or corners further apart",
        ),
        ([[0, 0, 0], [9, 0, 0], [9, 9, 0]], 0, "radius must be above 0.0 mm"),
        ([[0, 0, 0], [9, 0, 0], [9, 9, 0]], [1, 2], "radius must be one number, or one for each corner"),
        ([[0, 0], [9, 0], [9, 9]], 1, "at least 2 points of 3 numbers, got shape (3, 2)"),
        ([[0, 0, 0]], 1, "at least 2 points of 3 numbers, got shape (1, 3)"),
        ([[0, 0, 0], [np.nan, 0, 0], [9, 9, 0]], 1, "corner must be a finite number in mm"),
    ],
)
def test_corners_that_no_tube_has_are_refused(corners, radii, sentence):
    with pytest.raises(BendError) as refusal:
        bends_from_corners(corners, radii)
    assert sentence in refusal.value.as_noted
    assert str(refusal.value) == remedy_first(refusal.value.as_noted)


def test_the_legs_of_a_return_bend_have_no_corner():
    with pytest.raises(BendError, match="bend must be below 180 deg to have a corner, got 180"):
        corner_points_mm(TubeBends([20, 20], [180], [0], 50))
