"""The crossbar: lengths, angle, copes on straights and bends, saw cuts and mass."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from barmath import BendError, Order, Recipe, Tube, cope_ordinates_mm, marks_from_recipe, recipe_from_order
from barmath.crossbars.crossbar import STATIONS_DEG, crossbar, level_and_square
from barmath.crossbars.curved_cope import Joint, Piece, distance_mm, ordinates_on_header_mm, right_half
from barmath.refusal import remedy_first
from barmath.space.centerline import bar_points, bends_from_recipe, cut_length_mm

HEADER = 22.225
BRANCH = Tube(9.525, 0.889)
RECIPE = recipe_from_order(Order(78.0, 12.0, 780.0, controls_mm=180.0), 91.472, 25.0)
STEEP = Recipe(60.0, 60.0, 140.0, 20.0, 60.0, 180.0, 60.0)
X, Y, Z = np.eye(3)
recipes = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(40.0, 80.0),
    inner_bend_deg=st.floats(25.0, 60.0),
    straight_mm=st.floats(60.0, 150.0),
    roll_deg=st.floats(-50.0, 50.0),
    outer_bend_deg=st.floats(20.0, 60.0),
    grip_mm=st.floats(150.0, 200.0),
    radius_mm=st.floats(60.0, 120.0),
)


def fitted(height_mm=None, recipe=RECIPE, branch=BRANCH, **kwargs):
    return crossbar(recipe, HEADER, branch, height_mm, **kwargs)


def test_on_the_straight_the_cope_is_that_of_two_cylinders():
    one = fitted(35.0)
    assert not one.on_bend
    assert one.angle_deg == pytest.approx(25.0)
    expected = cope_ordinates_mm(9.525, HEADER, 25.0, STATIONS_DEG)
    np.testing.assert_allclose(one.outside_mm, expected, atol=1e-9)
    np.testing.assert_allclose(one.inside_mm, cope_ordinates_mm(9.525 - 1.778, HEADER, 25.0, STATIONS_DEG), atol=1e-9)


def test_lengths_by_hand():
    # at the outer marks: x = c + R sin a + s cos a; along its axis each end stops at the header's radius over sin a
    one = fitted()
    a = np.radians(25.0)
    x = 25.0 + RECIPE.radius_mm * np.sin(a) + RECIPE.straight_mm * np.cos(a)
    assert one.height_mm == pytest.approx(RECIPE.radius_mm * (1 - np.cos(a)) + RECIPE.straight_mm * np.sin(a))
    assert one.axis_length_mm == pytest.approx(2.0 * x)
    straight = fitted(40.0)
    assert straight.between_mm == pytest.approx(straight.axis_length_mm - HEADER / np.sin(a), abs=1e-6)
    tip = cope_ordinates_mm(9.525, HEADER, 25.0, 180.0)
    assert straight.cut_length_mm == pytest.approx(straight.axis_length_mm - 2.0 * tip + 2.0, abs=1e-6)
    assert fitted(40.0, allowance_mm=0.0).cut_length_mm == pytest.approx(straight.cut_length_mm - 2.0)


@settings(max_examples=30)
@given(recipes, st.floats(0.05, 0.95))
def test_anywhere_on_the_riser_or_its_bends_each_thread_ends_on_the_bar_s_surface(recipe, share):
    low = HEADER / 2.0 + BRANCH.outside_diameter_mm / 2.0 + 1.0
    high = float(bar_points(recipe, float(cut_length_mm(bends_from_recipe(recipe))) - recipe.grip_mm)[0][0, 2])
    if high < low + 5.0:
        return
    height = low + share * (high - low)
    assume(steep_enough(recipe, height))
    one = fitted(height, recipe)
    # second route: the distance of each end of a thread from the centre line, by points laid densely along it
    bends = bends_from_recipe(replace(recipe, stem_roll_deg=0.0))
    dense, _ = bar_points(replace(recipe, stem_roll_deg=0.0), np.linspace(0.0, float(cut_length_mm(bends)), 20_001))
    t = np.radians(STATIONS_DEG[::9])
    leading = _acute(one, dense)
    aside = np.cross(-X, leading)
    ends = one.joint_mm + 4.7625 * (np.cos(t)[:, None] * leading + np.sin(t)[:, None] * aside)
    ends = ends - one.outside_mm[::9, None] * X
    nearest = np.linalg.norm(ends[:, None] - dense[None], axis=-1).min(1)
    # the tangent at the joint is taken between two of those points, which turns the threads by a thousandth
    np.testing.assert_allclose(nearest, HEADER / 2.0, atol=0.01)


def steep_enough(recipe, height_mm):
    """Whether the bar is steep enough there for its copes, and the crossbar clear of the clamp flat and long enough."""
    try:
        fitted(height_mm, recipe)
    except BendError:
        return False
    return True


def _acute(one, dense):
    place = int(np.argmin(np.linalg.norm(dense - one.joint_mm, axis=1)))
    tangent = dense[place + 1] - dense[place - 1]
    square = (-tangent if tangent[0] > 0.0 else tangent) * [0.0, 1.0, 1.0]
    return square / np.linalg.norm(square)


@pytest.mark.parametrize("theta_deg", [0.0, 20.0, 45.0])
def test_on_a_bend_the_ordinate_is_a_root_of_the_torus(theta_deg):
    # a torus by its implicit equation, and SciPy's root finder thread by thread
    radius, header, branch = 90.0, 11.1125, 4.7625
    pieces = (Piece(np.array([0.0, -radius, 0.0]), X, Y, radius * np.pi, radius),)
    direction = Rotation.from_euler("z", theta_deg, degrees=True)
    joint = direction.apply([radius * np.sin(np.radians(60.0)), -radius * np.cos(np.radians(60.0)), 0.0])
    outward = joint / np.linalg.norm(joint)
    found = ordinates_on_header_mm(Joint(joint, outward, Z), branch, header, pieces, STATIONS_DEG[::6])

    def torus(point):
        return (np.hypot(point[0], point[1]) - radius) ** 2 + point[2] ** 2 - header**2

    aside = np.cross(outward, Z)
    for t, ordinate in zip(np.radians(STATIONS_DEG[::6]), found, strict=True):
        start = joint + branch * (np.cos(t) * Z + np.sin(t) * aside)
        root = brentq(lambda z, start=start: torus(start + z * outward), 0.0, 40.0, xtol=1e-12)
        assert ordinate == pytest.approx(root, abs=1e-9)


def test_a_bend_of_vast_radius_is_a_straight():
    pieces = (Piece(np.array([-500.0, 0.0, 0.0]), X, Y, 1000.0, 1e7),)
    found = ordinates_on_header_mm(Joint(np.zeros(3) + 1e-9, Z, X), 4.7625, 11.1125, pieces, STATIONS_DEG)
    np.testing.assert_allclose(found, cope_ordinates_mm(9.525, 22.225, 90.0, STATIONS_DEG), atol=0.02)


def test_the_straight_formula_is_wrong_on_a_bend_by_what_the_eye_sees():
    one = fitted(66.0)
    assert one.on_bend
    straight = cope_ordinates_mm(9.525, HEADER, one.angle_deg, STATIONS_DEG)
    assert np.abs(one.outside_mm - straight).max() > 0.5


def test_the_saw_leaves_metal_all_round_and_takes_most_of_the_waste():
    for one in (fitted(35.0), fitted(100.0, STEEP), fitted(None, STEEP, Tube(HEADER, 1.5))):
        cosine = np.cos(np.radians(STATIONS_DEG))
        planes = [0.5 * (c.at_0_mm + c.at_180_mm) + 0.5 * (c.at_0_mm - c.at_180_mm) * cosine for c in one.saw_cuts]
        left = one.outside_mm - np.max(planes, axis=0)
        assert left.min() > -1e-9
        assert left.mean() < 0.35 * np.ptp(one.outside_mm)


@pytest.mark.parametrize(
    ("bend", "diameter", "cuts"), [(20, 1.6, 1), (20, 2.0, 2), (45, 2.0, 1), (45, 2.5, 2), (60, 2.5, 1)]
)
def test_a_second_cut_is_made_where_it_takes_a_fifth_of_a_millimetre_more(bend, diameter, cuts):
    recipe = Recipe(60.0, float(bend), 140.0, 20.0, 30.0, 180.0, 80.0)
    height = 0.5 * (80.0 * (1.0 - np.cos(np.radians(bend))) + 140.0 * np.sin(np.radians(bend)))
    one = fitted(height, recipe, Tube(diameter, diameter / 8.0))
    cosine = np.cos(np.radians(STATIONS_DEG))
    planes = [0.5 * (c.at_0_mm + c.at_180_mm) + 0.5 * (c.at_0_mm - c.at_180_mm) * cosine for c in one.saw_cuts]
    assert len(planes) == cuts
    if cuts == 1:
        assert np.max(one.outside_mm - planes[0]) < 0.2 + 0.02
    else:
        assert 0.2 < np.max(planes[0] - planes[1]) < 0.32
        assert 0.2 < np.max(planes[1] - planes[0]) < 0.32


def test_equal_tubes_at_right_angles_are_sawn_twice_at_45():
    # US Navy, NAVEDTRA 14251 fig. 3-49; seen: z = R |cos t| is two flat cuts at 45 degrees
    upright = (Piece(np.array([0.0, 0.0, -500.0]), Z, X, 1000.0, np.inf),)
    from barmath.crossbars.crossbar import _saw_cuts

    ordinates = ordinates_on_header_mm(Joint(np.zeros(3), X, Z), 11.1125, 11.1125, upright, STATIONS_DEG)
    cuts = _saw_cuts(ordinates, 11.1125)
    assert sorted(cut.angle_deg for cut in cuts) == pytest.approx([-45.0, 45.0], abs=0.2)


@pytest.mark.parametrize("along", [X, -X])
def test_a_branch_that_runs_along_its_header_has_no_cope(along):
    straight = (Piece(np.array([-2000.0, 0.0, 0.0]), X, Z, 4000.0, np.inf),)
    with pytest.raises(BendError) as refusal:
        ordinates_on_header_mm(Joint(np.zeros(3), along, Z), 4.0, 11.0, straight, STATIONS_DEG)
    assert str(refusal.value) == (
        "Choose a place where the bar is steeper: branch must leave its header, got one that runs along it"
    )
    steeper = np.array([np.cos(0.5), 0.0, np.sin(0.5)])
    side = np.array([np.sin(0.5), 0.0, -np.cos(0.5)])
    assert np.isfinite(
        ordinates_on_header_mm(Joint(np.zeros(3), steeper, side), 4.0, 11.0, straight, STATIONS_DEG)
    ).all()


def test_the_mass_is_that_of_the_tube_between_its_copes():
    one = fitted(40.0)
    mean = cope_ordinates_mm(9.525 - 0.889, HEADER, 25.0, np.arange(0.0, 360.0, 5.0)).mean()
    assert one.mass_g == pytest.approx(BRANCH.mass_g(one.axis_length_mm - 2.0 * mean), rel=1e-9)
    heavier = fitted(40.0, branch=Tube(9.525, 1.2))
    assert heavier.mass_g > one.mass_g


def test_the_inner_edge_is_filed_back_where_the_wall_meets_the_header_first():
    one = fitted(40.0)
    assert one.file_back_mm == pytest.approx(np.max(one.inside_mm - one.outside_mm))
    assert one.file_back_mm > 0.0
    assert fitted(40.0, branch=Tube(9.525, 0.3)).file_back_mm < one.file_back_mm


def test_a_flat_joint_is_warned_of_and_a_steep_one_is_not():
    (words,) = fitted(40.0).warnings()
    assert "the joint angle is 25.0 deg" in words
    assert words.startswith("fit the joint with care and let the filler run round, or bend steeper: ")
    assert fitted(100.0, STEEP).warnings() == ()
    assert replace(fitted(40.0), angle_deg=45.0).warnings() == ()


def test_how_to_check_it_says_its_height():
    assert "35.0 mm" in " ".join(level_and_square(fitted(35.0)))


def test_the_distance_from_a_centre_line_is_that_of_its_nearest_point():
    pieces = right_half(RECIPE)
    rng = np.random.default_rng(3)
    bends = bends_from_recipe(RECIPE)
    dense, _ = bar_points(RECIPE, np.linspace(float(cut_length_mm(bends)) / 2.0, float(cut_length_mm(bends)), 40_001))
    near = dense[rng.integers(2000, 40_001, 40)] + rng.normal(0.0, 15.0, (40, 3))
    slow = np.linalg.norm(near[:, None] - dense[None], axis=-1).min(1)
    np.testing.assert_allclose(distance_mm(near, pieces), slow, atol=1e-3)


def said(*args, **kwargs):
    with pytest.raises(BendError) as refusal:
        crossbar(*args, **kwargs)
    return str(refusal.value)


@pytest.mark.parametrize("height", [0.0, -3.0, 500.0, 69.0])
def test_a_height_without_a_riser_is_refused(height):
    assert said(RECIPE, HEADER, BRANCH, height) == remedy_first(
        f"height of the crossbar must be above 0.0 and at most 68.9 mm, got {height} mm: choose a height on the risers"
    )


def test_what_cannot_be_coped_is_refused():
    assert said(RECIPE, HEADER, Tube(25.4, 1.5)) == remedy_first(
        "branch diameter must be at most the header's 22.225 mm, got 25.4 mm: swap the tubes or choose a thinner branch"
    )
    assert "joint angle must be at least 8.0 deg" in said(RECIPE, HEADER, BRANCH, 0.5)
    assert "crossbar must be longer than its two copes" in said(RECIPE, HEADER, BRANCH, 7.0)  # it lies in the flat
    short = Recipe(10.0, 25.0, 20.0, 20.0, 25.0, 180.0, 40.0)
    words = said(short, HEADER, Tube(22.0, 1.5))
    assert "crossbar must be longer" in words or "branch must leave" in words
    assert "allowance must be at least 0" in said(RECIPE, HEADER, BRANCH, 40.0, -1.0)


@pytest.mark.parametrize("bad", [np.nan, np.inf, "high", np.ones(2)])
def test_a_height_that_is_no_number_is_refused(bad):
    assert "height of the crossbar must be" in said(RECIPE, HEADER, BRANCH, bad)


def test_a_crossbar_is_on_a_bend_as_soon_as_one_thread_ends_beyond_the_riser():
    # two cylinders at an angle b: on the header its threads end from -(r + R cos b)/sin b to (r - R cos b)/sin b of the
    # joint, measured up the riser: by hand
    recipe = Recipe(60.0, 40.0, 120.0, 20.0, 40.0, 180.0, 90.0)
    b, r, big = np.radians(40.0), 0.5 * BRANCH.outside_diameter_mm, 0.5 * HEADER
    foot = recipe.radius_mm * (1.0 - np.cos(b))
    lowest, highest = (r + big * np.cos(b)) / np.sin(b), recipe.straight_mm - (r - big * np.cos(b)) / np.sin(b)
    for along, on_bend in ((lowest - 0.02, True), (lowest + 0.02, False), (highest - 0.02, False)):
        assert fitted(foot + along * np.sin(b), recipe).on_bend is on_bend
    thick = Tube(20.0, 2.0)  # this one reaches further up the riser than its joint
    highest = recipe.straight_mm - (0.5 * 20.0 - big * np.cos(b)) / np.sin(b)
    assert highest < recipe.straight_mm
    for along, on_bend in ((highest - 0.02, False), (highest + 0.02, True)):
        assert fitted(foot + along * np.sin(b), recipe, thick).on_bend is on_bend


@settings(max_examples=30)
@given(recipes, st.floats(0.01, 1.0))
def test_the_joint_found_in_closed_form_is_the_one_found_by_a_search_along_the_bar(recipe, share):
    # the other route: halvings toward the place where the bar, followed outward, first climbs so high
    upright = replace(recipe, stem_roll_deg=0.0)
    half = 0.5 * float(cut_length_mm(bends_from_recipe(upright)))
    reach = half - recipe.grip_mm - 0.5 * recipe.clamp_flat_mm

    def height_mm(along: float) -> float:
        return float(bar_points(upright, half + 0.5 * recipe.clamp_flat_mm + along)[0][0, 2])

    height = share * height_mm(reach)
    assume(height > 0.5 and steep_enough(recipe, height))
    low, high = 0.0, reach
    for _ in range(50):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if height_mm(middle) < height else (low, middle)
    one = fitted(height, recipe)
    assert one.station_mm == pytest.approx(0.5 * recipe.clamp_flat_mm + low, abs=1e-6)
    assert one.height_mm == pytest.approx(height, abs=1e-9)


@pytest.mark.parametrize("recipe", [RECIPE, STEEP])
def test_without_a_height_the_crossbar_is_at_the_outer_mark_and_the_same_one_as_at_its_height(recipe):
    at_the_mark = fitted(recipe=recipe)
    assert at_the_mark.station_mm == pytest.approx(float(marks_from_recipe(recipe).outer_start_mm))
    by_height = fitted(at_the_mark.height_mm, recipe)
    assert (by_height.station_mm, by_height.angle_deg) == pytest.approx((at_the_mark.station_mm, at_the_mark.angle_deg))
    np.testing.assert_allclose(by_height.joint_mm, at_the_mark.joint_mm, atol=1e-6)
    np.testing.assert_allclose(by_height.outside_mm, at_the_mark.outside_mm, atol=1e-6)


def test_half_a_bar_is_that_of_one_bar():
    with pytest.raises(BendError, match="recipe must be a single one"):
        right_half(replace(RECIPE, straight_mm=np.array([90.0, 95.0])))
