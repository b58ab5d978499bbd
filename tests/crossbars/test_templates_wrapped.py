"""A template wrapped round the crossbar again, by hand: its edge is on the bar, and its words say where it faces."""

from dataclasses import replace

import numpy as np
import pytest

from barmath import BendError, Order, Recipe, Tube, recipe_from_order
from barmath.crossbars.crossbar import ENDS, SawCut, _saw_cuts, crossbar, facing, unrolled_mm
from barmath.crossbars.joint import joint_angle_deg
from barmath.space.centerline import bar_points, bends_from_recipe, cut_length_mm

HEADER = 22.225
BRANCH = Tube(12.7, 0.889)
USUAL = recipe_from_order(Order(78.0, 12.0, 780.0, controls_mm=180.0), 91.472, 25.0)
STEEP = Recipe(60.0, 60.0, 140.0, 50.0, 60.0, 180.0, 60.0)
SWEPT = Recipe(60.0, 40.0, 60.0, -70.0, 50.0, 180.0, 80.0)

PLACES = [(USUAL, 40.0), (USUAL, None), (USUAL, 66.0), (STEEP, 100.0), (STEEP, 153.0), (STEEP, 165.0), (SWEPT, None),
          (SWEPT, 68.0)]  # fmt: skip
"""A bar and the height of its crossbar: on the straight of a riser, at its outer mark, on either bend."""


def centre_line(recipe):
    """Points (20001, 3) along the bar, risers upright."""
    upright = replace(recipe, stem_roll_deg=0.0)
    length = float(cut_length_mm(bends_from_recipe(upright)))
    return bar_points(upright, np.linspace(0.0, length, 20_001))[0]


def wrapped(bar, end, right_mm):
    """Where on the tube's surface a place so far right of the pencil line comes to be: unit vectors (m, 3).

    Look at the tube from outside, the tip up: to the right is the way you look, crossed with up.
    """
    tip_up = np.array([1.0 if end == "right end" else -1.0, 0.0, 0.0])
    pencil = bar.acute_side  # the left end is the mirror image, and this has no part to the right
    to_the_right = np.cross(-pencil, tip_up)
    turn = np.asarray(right_mm)[:, None] / (0.5 * float(bar.branch.outside_diameter_mm))
    return np.cos(turn) * pencil + np.sin(turn) * to_the_right


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize(("recipe", "height"), PLACES)
def test_the_edges_of_a_template_come_to_be_on_the_bar(recipe, height, end):
    bar, dense = crossbar(recipe, HEADER, BRANCH, height), centre_line(recipe)
    outside, inside = unrolled_mm(bar, end)
    side = 1.0 if end == "right end" else -1.0
    joint, tip = bar.joint_mm * [side, 1.0, 1.0], float(bar.outside_mm.min())
    outer = 0.5 * float(BRANCH.outside_diameter_mm)
    for edge, radius in ((outside, outer), (inside, outer - float(BRANCH.wall_mm))):
        assert edge[[0, -1], 0] == pytest.approx([0.0, np.pi * 2.0 * outer])
        away = np.array([-side, 0.0, 0.0])  # along the crossbar, away from the header
        some = edge[::6]
        places = joint + radius * wrapped(bar, end, some[:, 0]) + (tip + some[:, 1])[:, None] * away
        apart = np.array([np.linalg.norm(dense - place, axis=-1).min() for place in places])
        np.testing.assert_allclose(apart, 0.5 * HEADER, atol=2e-3)
    assert outside[:, 1].min() == 0.0


@pytest.mark.parametrize("end", ENDS)
@pytest.mark.parametrize(("recipe", "height"), PLACES)
def test_the_printed_side_faces_where_the_paper_is_turned_to(recipe, height, end):
    bar = crossbar(recipe, HEADER, BRANCH, height)
    shares = np.linspace(0.01, 0.99, 25)
    around = np.pi * float(BRANCH.outside_diameter_mm) * shares
    for share, (_, forward, up) in zip(shares, wrapped(bar, end, around), strict=True):
        sides = {"front": forward, "rear": -forward, "top": up, "underneath": -up}
        assert facing(bar, end, float(share)) == max(sides, key=sides.get)
    for share in (-0.001, 1.001):
        with pytest.raises(BendError, match="share of the width must be"):
            facing(bar, end, share)


@pytest.mark.parametrize(("recipe", "height"), PLACES)
def test_the_pencil_line_is_where_riser_and_crossbar_make_their_acute_angle(recipe, height):
    bar, dense = crossbar(recipe, HEADER, BRANCH, height), centre_line(recipe)
    place = int(np.argmin(np.linalg.norm(dense - bar.joint_mm, axis=1)))
    riser = dense[place + 1] - dense[place - 1]
    inward = -np.sign(riser[0]) * riser / np.linalg.norm(riser)  # along the bar, to the side of the crossbar
    assert np.degrees(np.arccos(-inward[0])) == pytest.approx(bar.angle_deg, abs=0.05)
    _, forward, up = inward
    lean = np.degrees(np.arctan2(abs(forward), abs(up)))
    words = bar.pencil_line()
    assert words.startswith("on top" if up > 0.0 else "underneath")
    if abs(lean) > 0.1:
        assert words.endswith("toward the front" if forward > 0.0 else "toward the rear")
        assert float(words.split("turned ")[1].split("°")[0]) == pytest.approx(lean, abs=0.11)
    else:
        assert words in ("on top", "underneath")


def test_a_pencil_line_is_said_to_be_turned_from_a_twentieth_of_a_degree_on():
    bar = crossbar(USUAL, HEADER, BRANCH, 40.0)
    for lean, words in ((0.04, "underneath"), (0.06, "underneath, turned 0.1° toward the front")):
        down, forward = -np.cos(np.radians(lean)), np.sin(np.radians(lean))
        assert replace(bar, acute_side=np.array([0.0, forward, down])).pencil_line() == words
    assert replace(bar, acute_side=np.array([0.0, -0.5, 0.75**0.5])).pencil_line() == (
        "on top, turned 30.0° toward the rear"
    )


@pytest.mark.parametrize(("recipe", "height"), PLACES)
def test_a_sawn_tube_is_longer_where_the_cut_is_nearer_to_the_bar(recipe, height):
    bar = crossbar(recipe, HEADER, BRANCH, height)
    for cut in bar.saw_cuts:
        along = cut.at_180_mm - cut.at_0_mm  # how much further from the bar it is opposite the pencil line
        where = "along" if along > 0.0 else "opposite"
        assert bar.longer_side(cut) == f"the longer side {where} the pencil line"
        assert np.tan(np.radians(cut.angle_deg)) == pytest.approx(-along / float(BRANCH.outside_diameter_mm))
    assert bar.longer_side(SawCut(0.0, 10.0, 10.0)) == "square"


@pytest.mark.parametrize(("angle", "refused"), [(7.99, True), (8.01, False), (171.99, False), (172.01, True)])
def test_from_8_deg_on_a_joint_can_be_coped_whichever_way_the_bar_leads(angle, refused):
    tangent = np.array([np.cos(np.radians(angle)), 0.0, np.sin(np.radians(angle))])
    if refused:
        with pytest.raises(BendError, match=r"joint angle must be at least 8\.0 deg"):
            joint_angle_deg(tangent)
    else:
        assert joint_angle_deg(tangent) == pytest.approx(min(angle, 180.0 - angle))


@pytest.mark.parametrize(("recipe", "height"), PLACES)
def test_the_saw_treats_both_halves_of_the_tube_alike(recipe, height):
    # the same cope with its pencil line on the other side: the same cuts the other way round
    bar, radius = crossbar(recipe, HEADER, BRANCH, height), 0.5 * float(BRANCH.outside_diameter_mm)
    turned = np.append(np.roll(bar.outside_mm[:-1], 72), bar.outside_mm[72])
    cuts = sorted(_saw_cuts(turned, radius))
    mirrored = sorted(SawCut(-cut.angle_deg, cut.at_180_mm, cut.at_0_mm) for cut in bar.saw_cuts)
    np.testing.assert_allclose(cuts, mirrored, atol=1e-9)
