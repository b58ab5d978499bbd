"""Where things are in the picture of the bench: the pieces of the tube, its pencil marks, the finder on its flat."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from barmath.bending.bench_places import FROM_BENDER_MM, finder_on, rings_of_tubes, stations_of_pieces, turn_about_x
from barmath.bending.finder import flats_to_read
from barmath.bending.holds import LEFT, STRAIGHTS, USUAL_HOLDS, Hold, made_so_far, poses_from_recipe
from barmath.refusal import BendError
from barmath.shop.bender import Bender
from barmath.shop.order_seven import order_seven_recipe
from barmath.space.centerline import TubeBends, bends_from_recipe, cut_length_mm, nodes_of_bends, points_at

ROW = bends_from_recipe(order_seven_recipe())
numbers = st.integers(1, 5)


@given(numbers, st.data())
def test_the_pieces_of_a_tube_are_its_straights_and_arcs_between_two_painted_ends(count, data):
    lengths = data.draw(st.lists(st.floats(5.0, 200.0), min_size=count + 1, max_size=count + 1))
    angles = data.draw(st.lists(st.floats(5.0, 60.0), min_size=count, max_size=count))
    tube = TubeBends(np.array(lengths), np.array(angles), np.zeros(count), np.full(count, 90.0))
    pieces = stations_of_pieces(tube)
    assert len(pieces) == 2 * count + 3
    assert (pieces[0][0], pieces[-1][-1]) == pytest.approx((0.0, float(cut_length_mm(tube))))
    assert all(one[-1] == other[0] for one, other in pairwise(pieces))
    spans = [float(piece[-1] - piece[0]) for piece in pieces]
    assert spans[2:-1:2] == pytest.approx([90.0 * np.radians(angle) for angle in angles])
    straights = [spans[0] + spans[1], *spans[3:-2:2], spans[-2] + spans[-1]]
    assert straights == pytest.approx(lengths)
    assert 0.0 < spans[0] <= min(26.0, 0.5 * lengths[0])
    assert 0.0 < spans[-1] <= min(26.0, 0.5 * lengths[-1])
    assert all((np.diff(piece) > 0.0).all() for piece in pieces)


def test_rings_are_square_to_the_centre_line_and_marks_are_a_little_wider():
    marks = (82.0, 300.0)
    rings, lines = rings_of_tubes(ROW, TubeBends(*(np.stack([part, part]) for part in (
        ROW.straights_mm, ROW.bends_deg, ROW.rolls_deg, ROW.radii_mm))), 22.0, marks)  # fmt: skip
    stations = np.concatenate(stations_of_pieces(ROW))
    points, frames = points_at(ROW, stations)
    np.testing.assert_allclose(rings[0], rings[1])
    np.testing.assert_allclose(rings[0].mean(1), points, atol=1e-9)
    off = rings[0] - points[:, None]
    np.testing.assert_allclose(np.linalg.norm(off, axis=-1), 11.0, atol=1e-9)
    np.testing.assert_allclose(np.einsum("kfi,ki->kf", off, frames[:, :, 0]), 0.0, atol=1e-9)
    beside = np.sort([mark + side for mark in marks for side in (-1.4, 1.4)])
    centres, _ = points_at(ROW, beside)
    np.testing.assert_allclose(lines[0].mean(1), centres, atol=1e-9)
    np.testing.assert_allclose(np.linalg.norm(lines[0] - centres[:, None], axis=-1), 1.03 * 11.0, atol=1e-9)


@settings(max_examples=30)
@given(st.floats(-60.0, 60.0))
def test_the_finder_is_on_its_flat_and_shows_the_flat_s_slope(turned):
    made = made_so_far(USUAL_HOLDS)
    nodes = nodes_of_bends(ROW).points_mm
    for hold, before in zip(USUAL_HOLDS[1:], made[1:-1], strict=True):
        for flat in flats_to_read(ROW, hold, before):
            place = turn_about_x(turned)
            finder = finder_on(nodes, flat, place, 22.0)
            start, end = ((place @ [*nodes[which], 1.0])[:3] for which in (2 * flat.straight, 2 * flat.last + 1))
            along, across, up, seat = finder.place[:3].T
            np.testing.assert_allclose(finder.place[:3, :3].T @ finder.place[:3, :3], np.eye(3), atol=1e-9)
            assert np.linalg.det(finder.place[:3, :3]) == pytest.approx(1.0)
            # along the flat, away from the bender, and level across
            far, near = (end, start) if np.linalg.norm(end) > np.linalg.norm(start) else (start, end)
            assert along == pytest.approx((far - near) / np.linalg.norm(far - near))
            assert (across[2], up[2] > 0.0) == (pytest.approx(0.0, abs=1e-9), True)
            foot = seat - 11.0 * up
            assert np.linalg.norm(foot - near) == pytest.approx(
                min(FROM_BENDER_MM, 0.5 * float(np.linalg.norm(far - near)))
            )
            assert finder.reading_deg == pytest.approx(-np.degrees(np.arctan2(along[2], np.hypot(*along[:2]))))
            assert finder.flat is flat


def test_in_the_pose_of_a_step_the_finder_shows_the_reading_of_that_step():
    poses = poses_from_recipe(order_seven_recipe(), Bender())
    for hold, before, pose in zip(USUAL_HOLDS, made_so_far(USUAL_HOLDS)[:-1], poses, strict=True):
        for flat in flats_to_read(ROW, hold, before):
            assert flat.reading_deg == pytest.approx(pose.slope_deg(STRAIGHTS[flat.straight]), abs=1e-6)


@pytest.mark.parametrize("hold", [Hold(4, LEFT), Hold(-1, LEFT), Hold(1, "middle")])
def test_a_hold_of_no_bend_or_of_no_end_has_no_flats_to_read(hold):
    with pytest.raises(BendError, match="must be one of"):
        flats_to_read(ROW, hold, np.array([True, True, False, False]))
