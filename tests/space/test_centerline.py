"""The centre line of any tube agrees with SciPy, keeps its length, and carries the closed forms of the bar."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.polynomial.legendre import leggauss
from scipy.spatial.transform import Rotation
from tolerances import ANGLE_DEG, LENGTH_MM, RATIO

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.refusal import BendError
from barmath.space.centerline import (
    TubeBends,
    bar_placement,
    bar_points,
    bends_from_recipe,
    cut_length_mm,
    mirrored_bends,
    nodes_of_bends,
    placed,
    points_at,
    reversed_bends,
    sample_stations,
)

X = np.array([1.0, 0.0, 0.0])


def close(got, expected, within=LENGTH_MM):
    np.testing.assert_allclose(got, expected, rtol=0, atol=within)


# ---- a second route: SciPy carries the direction, and the tangent is summed along the tube


def gauss(parts):
    nodes, weights = leggauss(parts)
    return (nodes + 1) / 2, weights / 2


def midpoints(parts):
    return (np.arange(parts) + 0.5) / parts, np.full(parts, 1 / parts)


def stepped(bends, station=np.inf, rule=gauss, parts=24):
    """Point and frame `station` mm along the tube, by summing the tangent over each arc."""
    point, turn = np.zeros(3), Rotation.identity()
    spots, weights = rule(parts)
    for i, straight in enumerate(bends.straights_mm):
        run = min(straight, station)
        point, station = point + run * turn.apply(X), station - run
        if station <= 0 or i == bends.bend_count:
            break
        turn = turn * Rotation.from_euler("x", bends.rolls_deg[i], degrees=True)
        run = min(bends.radii_mm[i] * np.radians(bends.bends_deg[i]), station)
        angle = run / bends.radii_mm[i]
        tangents = (turn * Rotation.from_euler("z", angle * spots[:, None])).apply(X)
        point, station = point + run * weights @ tangents, station - run
        turn = turn * Rotation.from_euler("z", angle)
    return point, turn.as_matrix()


straights = st.floats(0, 500)
angles = st.floats(0, 180)
rolls = st.floats(-360, 360)
radii = st.floats(5, 300)


@st.composite
def tubes(draw, least=0, most=5):
    count = draw(st.integers(least, most))
    fields = [(straights, count + 1), (angles, count), (rolls, count), (radii, count)]
    return TubeBends(*(draw(st.lists(field, min_size=size, max_size=size)) for field, size in fields))


recipes = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(0, 100),
    inner_bend_deg=st.floats(0.1, 100),
    straight_mm=st.floats(0, 300),
    roll_deg=st.floats(-180, 180),
    outer_bend_deg=st.floats(0.1, 100),
    grip_mm=st.floats(0, 400),
    radius_mm=st.floats(20, 300),
    stem_roll_deg=st.floats(-180, 180),
)


@given(tubes())
def test_the_end_agrees_with_stepping_along_the_tube(bends):
    nodes, (point, frame) = nodes_of_bends(bends), stepped(bends)
    close(nodes.points_mm[-1], point)
    close(nodes.frames[-1], frame, RATIO)


@given(tubes(), st.lists(st.floats(0, 1), min_size=1, max_size=4))
def test_every_station_agrees_with_stepping_to_it(bends, shares):
    stations = np.array(shares) * cut_length_mm(bends)
    points, frames = points_at(bends, stations)
    for station, point, frame in zip(stations, points, frames, strict=True):
        expected_point, expected_frame = stepped(bends, station)
        close(point, expected_point)
        close(frame[:, 0], expected_frame[:, 0], RATIO)


def test_halving_the_steps_quarters_the_error_of_stepping():
    bends = TubeBends([20, 90, 40], [35, 140], [10, 75], [80, 60])
    end = nodes_of_bends(bends).points_mm[-1]
    errors = [np.linalg.norm(stepped(bends, rule=midpoints, parts=parts)[0] - end) for parts in (100, 200, 400)]
    assert errors[0] / errors[1] == pytest.approx(4, rel=1e-3)
    assert errors[1] / errors[2] == pytest.approx(4, rel=1e-3)


# ---- cases worked by hand


@pytest.mark.parametrize("a_deg", [0, 10, 25, 45, 90, 150])
def test_a_flat_offset_runs_on_beside_itself(a_deg):
    R, s, a = 100, 80, np.radians(a_deg)
    nodes = nodes_of_bends(TubeBends([30, s, 50], [a_deg, a_deg], [0, 180], R))
    close(
        nodes.points_mm[-1], [30 + 2 * R * np.sin(a) + s * np.cos(a) + 50, s * np.sin(a) + 2 * R * (1 - np.cos(a)), 0]
    )
    close(nodes.frames[-1][:, 0], X, RATIO)


def test_two_bends_of_90_make_a_u():
    nodes = nodes_of_bends(TubeBends([120, 40, 120], [90, 90], [0, 0], 30))
    close(nodes.points_mm[-1], [0, 40 + 2 * 30, 0])
    close(nodes.frames[-1][:, 0], -X, RATIO)


def test_a_bend_of_180_makes_the_same_u():
    nodes = nodes_of_bends(TubeBends([120, 120], [180], [0], 50))
    close(nodes.points_mm[-1], [0, 2 * 50, 0])
    close(nodes.frames[-1][:, 0], -X, RATIO)


def test_four_bends_of_90_close_a_frame():
    nodes = nodes_of_bends(TubeBends([35, 70, 70, 70, 35], [90] * 4, [0] * 4, 25))
    close(nodes.points_mm[-1], [0, 0, 0])
    assert nodes.stations_mm[-1] == pytest.approx(4 * 70 + 2 * np.pi * 25, rel=RATIO)


def test_a_roll_of_90_bends_the_next_leg_to_the_binormal_by_the_right_hand_rule():
    close(nodes_of_bends(TubeBends([0, 10], [90], [90], 20)).points_mm[-1], [20, 0, 20 + 10])
    close(nodes_of_bends(TubeBends([0, 10], [90], [-90], 20)).points_mm[-1], [20, 0, -20 - 10])


def test_rolls_add_up_from_bend_to_bend():
    angles = nodes_of_bends(TubeBends([0] * 4, [90, 0, 90], [0, 30, 60], 1)).frames
    close(angles[-1][:, 0], [0, 0, 1], RATIO)


def test_bends_and_rolls_of_90_climb_a_staircase_along_the_diagonal():
    nodes = nodes_of_bends(TubeBends([30, 60, 60, 30], [90] * 3, [0, 90, 90], 25))
    step = 60 + 2 * 25  # corner to corner
    close(nodes.points_mm[-1], [step, step, step])
    close(nodes.frames[-1], np.transpose([[1, 0, 0], [0, 0, -1], [0, 1, 0]]), RATIO)  # tangent x, normal -z, binormal y


def test_ever_finer_bends_and_rolls_wind_a_helix():
    """Curvature k and torsion t wind a helix of radius k/w^2 about the axis u = (t, 0, k)/w, where w^2 = k^2 + t^2."""
    R, t, length = 80.0, 1 / 120, 900.0
    k, w = 1 / R, np.hypot(1 / R, t)
    climb, around, across = t / w * length, k / w**2 * np.sin(w * length), k / w**2 * (1 - np.cos(w * length))
    u, v = np.array([t, 0, k]) / w, np.array([k, 0, -t]) / w
    end = climb * u + around * v + [0, across, 0]

    def miss(parts):
        roll = np.degrees(t * length / parts)
        rolls_deg = np.append(roll / 2, np.full(parts - 1, roll))
        wound = TubeBends(np.zeros(parts + 1), np.full(parts, np.degrees(length / R / parts)), rolls_deg, R)
        return np.linalg.norm(nodes_of_bends(wound).points_mm[-1] - end)

    assert miss(80) / miss(160) == pytest.approx(4, rel=1e-2)
    assert miss(160) / miss(320) == pytest.approx(4, rel=1e-3)


def test_a_bend_of_zero_is_a_straight():
    close(nodes_of_bends(TubeBends([1, 2, 3], [0, 0], [30, 40], 100)).points_mm[-1], [1 + 2 + 3, 0, 0])


def test_a_tube_without_bends_is_a_straight_tube():
    bends = TubeBends([70], [], [], [])
    close(points_at(bends, 25)[0], [[25, 0, 0]])
    close(sample_stations(bends), [0, 70])


def test_halfway_round_a_bend_of_90_the_tube_points_along_the_diagonal():
    half = np.sqrt(0.5)
    points, frames = points_at(TubeBends([10, 10], [90], [0], 40), 10 + 40 * np.pi / 4)
    close(points[0], [10 + 40 * half, 40 * (1 - half), 0])
    close(frames[0], [[half, -half, 0], [half, half, 0], [0, 0, 1]], RATIO)


def test_at_a_tangent_point_the_frame_is_that_of_what_begins_there():
    bends = TubeBends([10, 10], [90], [90], 40)
    frames = points_at(bends, nodes_of_bends(bends).stations_mm)[1]
    close(frames, nodes_of_bends(bends).frames, RATIO)


def test_two_bends_of_45_square_to_each_other_turn_60_in_all():
    tangent = nodes_of_bends(TubeBends([2, 4, 6], [45, 45], [0, 90], 3.5)).frames[-1][:, 0]
    close(np.degrees(np.arccos(tangent @ X)), 60, ANGLE_DEG)
    close(tangent, [1 / 2, 1 / 2, np.sqrt(1 / 2)], RATIO)


# ---- what never changes


@given(tubes())
def test_the_length_is_kept(bends):
    stations = sample_stations(bends, 200)
    chords = np.linalg.norm(np.diff(points_at(bends, stations)[0], axis=0), axis=1).sum()
    length = cut_length_mm(bends)
    close(stations[-1], length)
    shortening = (np.pi / 200) ** 2 / 24  # of a chord against its arc, 1/200 of a half turn
    assert -LENGTH_MM <= length - chords <= length * shortening + LENGTH_MM


@given(tubes())
def test_frames_stay_square_and_right_handed(bends):
    frames = points_at(bends, sample_stations(bends))[1]
    close(np.swapaxes(frames, -1, -2) @ frames, np.broadcast_to(np.eye(3), frames.shape), RATIO)
    close(np.linalg.det(frames), np.ones(len(frames)), RATIO)


@given(tubes())
def test_the_reversed_tube_is_the_same_tube_from_its_other_end(bends):
    nodes, back = nodes_of_bends(bends), nodes_of_bends(reversed_bends(bends))
    tangent, normal, binormal = nodes.frames[-1].T
    from_the_end = np.stack([-tangent, normal, -binormal], -1)
    close(back.points_mm @ from_the_end.T + nodes.points_mm[-1], nodes.points_mm[::-1])


@given(tubes())
def test_the_mirrored_tube_is_the_mirror_image(bends):
    close(nodes_of_bends(mirrored_bends(bends)).points_mm, nodes_of_bends(bends).points_mm * [1, 1, -1])


@given(tubes(), st.floats(0.1, 10))
def test_a_tube_scales(bends, scale):
    larger = TubeBends(scale * bends.straights_mm, bends.bends_deg, bends.rolls_deg, scale * bends.radii_mm)
    close(nodes_of_bends(larger).points_mm, scale * nodes_of_bends(bends).points_mm, 10 * LENGTH_MM)


@given(tubes(least=1), rolls)
def test_the_first_roll_turns_the_whole_tube(bends, roll):
    rolled = replace(bends, rolls_deg=bends.rolls_deg + roll * np.eye(bends.bend_count)[0])
    turn = Rotation.from_euler("x", roll, degrees=True)
    close(nodes_of_bends(rolled).points_mm, turn.apply(nodes_of_bends(bends).points_mm))


def test_a_placed_tube_is_moved_and_turned_as_one():
    bends = TubeBends([30, 80, 50], [40, 70], [20, 100], 90)
    points, frames = points_at(bends, sample_stations(bends))
    turn = Rotation.from_rotvec([0.3, -1.1, 0.7])
    origin = np.array([5.0, -7.0, 11.0])
    moved_points, moved_frames = placed(points, frames, origin, turn.as_matrix())
    close(moved_points, turn.apply(points - origin))
    close(moved_frames, (turn * Rotation.from_matrix(frames)).as_matrix(), RATIO)


# ---- many tubes at once


def test_many_tubes_at_once_are_the_same_as_one_by_one():
    draw = np.random.default_rng(7).uniform
    many = TubeBends(draw(0, 200, (3, 4, 5)), draw(0, 180, (4, 4)), draw(-180, 180, (3, 1, 4)), draw(20, 200, 4))
    share = np.linspace(0, 1, 9)
    points, frames = points_at(many, share * cut_length_mm(many)[..., None])
    assert points.shape == (3, 4, 9, 3)
    for place in np.ndindex(3, 4):
        one = TubeBends(many.straights_mm[place], many.bends_deg[place], many.rolls_deg[place], many.radii_mm[place])
        one_points, one_frames = points_at(one, share * cut_length_mm(one))
        close(points[place], one_points)
        close(frames[place], one_frames, RATIO)
        close(sample_stations(many)[place], sample_stations(one))
        close(nodes_of_bends(reversed_bends(many)).points_mm[place], nodes_of_bends(reversed_bends(one)).points_mm)


def test_one_tube_takes_many_sets_of_stations():
    bends = TubeBends([30, 80, 50], [40, 70], [20, 100], 90)
    stations = np.array([[0.0, 10.0, 20.0], [40.0, 50.0, 60.0]])
    points, _ = points_at(bends, stations)
    close(points[1], points_at(bends, stations[1])[0])


@given(tubes(), st.integers(1, 20))
def test_the_number_of_picture_stations_is_fixed_and_holds_every_tangent_point(bends, per_bend):
    stations = sample_stations(bends, per_bend)
    assert stations.shape == (2 + bends.bend_count * (per_bend + 1),)
    assert np.all(np.diff(stations) >= -LENGTH_MM)
    nodes = nodes_of_bends(bends).stations_mm
    close(np.abs(stations[:, None] - nodes).min(axis=0), np.zeros_like(nodes))


# ---- the bar


def closed_form_end(recipe):
    """Bar end and grip direction (right, forward, up), written out arc by arc in sines and cosines."""
    a, phi, b, psi = np.radians([recipe.inner_bend_deg, recipe.roll_deg, recipe.outer_bend_deg, recipe.stem_roll_deg])
    c, s, g, R = recipe.clamp_flat_mm / 2, recipe.straight_mm, recipe.grip_mm, recipe.radius_mm
    sin, cos = np.sin, np.cos
    d2_right = cos(a) * cos(b) + sin(a) * sin(b) * cos(phi)
    d2_back = sin(b) * sin(phi)
    d2_up = sin(a) * cos(b) - cos(a) * sin(b) * cos(phi)
    arc_right = sin(b) * cos(a) + (1 - cos(b)) * sin(a) * cos(phi)
    arc_up = sin(b) * sin(a) - (1 - cos(b)) * cos(a) * cos(phi)
    right = c + R * sin(a) + s * cos(a) + R * arc_right + g * d2_right
    back = R * (1 - cos(b)) * sin(phi) + g * d2_back
    up = R * (1 - cos(a)) + s * sin(a) + R * arc_up + g * d2_up
    end = right, -(back * cos(psi) + up * sin(psi)), up * cos(psi) - back * sin(psi)
    grip = d2_right, -(d2_back * cos(psi) + d2_up * sin(psi)), d2_up * cos(psi) - d2_back * sin(psi)
    return end, grip


@given(recipes)
def test_the_centre_line_ends_where_the_closed_forms_of_the_bar_say(recipe):
    a, b = np.radians([recipe.inner_bend_deg, recipe.outer_bend_deg])
    half = recipe.clamp_flat_mm / 2 + recipe.radius_mm * (a + b) + recipe.straight_mm + recipe.grip_mm
    length = cut_length_mm(bends_from_recipe(recipe))
    close(length, 2 * half)
    ends, frames = bar_points(recipe, [0.0, length])
    end, grip = closed_form_end(recipe)
    close(ends, [np.multiply(end, [-1, 1, 1]), end])
    close(frames[1][:, 0], grip, RATIO)


@given(recipes)
def test_the_closed_forms_of_the_bar_agree_with_stepping_from_its_middle(recipe):
    half_bar = TubeBends(
        [recipe.clamp_flat_mm / 2, recipe.straight_mm, recipe.grip_mm],
        [recipe.inner_bend_deg, recipe.outer_bend_deg],
        [90, 180 - recipe.roll_deg],
        recipe.radius_mm,
    )
    end, frame = stepped(half_bar)
    in_stem = Rotation.from_euler("x", recipe.stem_roll_deg, degrees=True)
    end, (right, forward, up) = in_stem.apply(end), in_stem.apply(frame[:, 0])
    assume(right > 0.01 and end[0] > 1)
    shape = shape_from_recipe(recipe)
    close([shape.width_mm / 2, -shape.setback_mm, shape.rise_mm], end)
    close(shape.backsweep_deg, np.degrees(np.arctan2(-forward, right)), ANGLE_DEG)
    close(shape.upsweep_deg, np.degrees(np.arctan2(up, right)), ANGLE_DEG)


@given(recipes)
def test_the_left_half_is_the_mirror_image_of_the_right(recipe):
    length = cut_length_mm(bends_from_recipe(recipe))
    points, _ = bar_points(recipe, np.linspace(0, length, 41))
    close(points[::-1], points * [-1, 1, 1])


def test_the_risers_of_an_upright_bar_are_above_the_clamp_axis():
    recipe = Recipe(55, 28, 90, 30, 28, 200, 100)
    bends = bends_from_recipe(recipe)
    right_riser = nodes_of_bends(bends).stations_mm[6:8]
    points, frames = bar_points(recipe, right_riser)
    a = np.radians(28)
    close(points[0], [55 / 2 + 100 * np.sin(a), 0, 100 * (1 - np.cos(a))])
    close(frames[0][:, 0], [np.cos(a), 0, np.sin(a)], RATIO)
    rolled = bar_points(replace(recipe, stem_roll_deg=10), right_riser)[0]
    assert rolled[1][1] < 0 < rolled[1][2]  # tops rearward


def test_many_bars_at_once_are_the_same_as_one_by_one():
    many = Recipe(
        55, 28, np.array([60.0, 90.0]), np.array([[20.0], [30.0], [40.0]]), 26, 200, 100, np.array([0.0, 9.0])
    )
    points, _ = bar_points(many, np.linspace(0, 700, 5))
    assert points.shape == (3, 2, 5, 3)
    one = replace(many, straight_mm=90.0, roll_deg=20.0, stem_roll_deg=9.0)
    close(points[0, 1], bar_points(one, np.linspace(0, 700, 5))[0])


# ---- refusals


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        (dict(straights_mm=[1, -2]), "straight must be at least 0.0 mm, got -2.0 mm (element 1 of (2,))"),
        (dict(bends_deg=[-1]), "bend must be at least 0.0 deg, got -1.0 deg (element 0 of (1,))"),
        (dict(bends_deg=[180.5]), "bend must be at most 180.0 deg, got 180.5 deg (element 0 of (1,))"),
        (dict(radii_mm=[0]), "radius must be above 0.0 mm, got 0.0 mm (element 0 of (1,))"),
        (
            dict(rolls_deg=[np.nan]),
            "roll must be a finite number in deg, got nan deg (element 0 of (1,))",
        ),
        (dict(straights_mm=[1, 2, 3]), "one more straight than bends along its last axis, got shapes (3,) and (1,)"),
        (dict(bends_deg=30), "one more straight than bends along its last axis, got shapes (2,) and ()"),
        (dict(rolls_deg=[1, 2, 3]), "must have sizes that fit together, got (2,), (1,), (3,) and ()"),
        (dict(radii_mm="tight"), "radius must be a number in mm, got 'tight'"),
    ],
)
def test_a_tube_that_cannot_be_is_refused(fields, sentence):
    good = dict(straights_mm=[1, 2], bends_deg=[30], rolls_deg=[0], radii_mm=100)
    TubeBends(**good)
    with pytest.raises(BendError) as refusal:
        TubeBends(**good | fields)
    assert sentence in str(refusal.value)


@pytest.mark.parametrize("station", [-0.01, 20.01, np.inf, np.nan])
def test_a_station_off_the_tube_is_refused(station):
    with pytest.raises(BendError, match="place along the tube must"):
        points_at(TubeBends([20], [], [], []), station)


def test_stations_for_another_number_of_tubes_are_refused():
    with pytest.raises(BendError, match=r"the places and the tubes must have .*arrays that fit together"):
        points_at(TubeBends(np.ones((3, 1)), np.ones((3, 0)), np.ones((3, 0)), 1), np.zeros((2, 4)))


def test_a_picture_needs_a_part_in_every_bend():
    with pytest.raises(BendError, match=r"parts of a bend must be at least 1, got 0"):
        sample_stations(TubeBends([20, 20], [90], [0], 50), 0)


def test_a_bar_has_four_bends():
    with pytest.raises(BendError, match="a bar must have 4 bends, got 1"):
        bar_placement(TubeBends([20, 20], [90], [0], 50))
