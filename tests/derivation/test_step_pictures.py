"""The picture of each step of lesson 02 draws what the formulas of the step say, at one scale, with a text."""

import re
from itertools import pairwise

import numpy as np
import pytest
from worked_bar import WorkedBar

from barmath.derivation import forward
from barmath.derivation.lines import LINES
from barmath.pictures.step_parts import half_of
from barmath.pictures.steps import STEP_PICTURES, step_svg
from barmath.shop.order_seven import order_seven_recipe, two_stop_recipe

STEPS = pytest.mark.parametrize("step", STEP_PICTURES)


def test_each_step_with_lines_has_a_picture():
    assert set(STEP_PICTURES) == {*LINES, "bar"}


@pytest.mark.parametrize("recipe", [order_seven_recipe(), two_stop_recipe()], ids=["one stop", "two stops"])
def test_what_is_drawn_is_where_the_derived_forms_say(recipe):
    half, worked = half_of(recipe), WorkedBar(recipe)
    assert half.nodes[1:] == pytest.approx(
        np.array([worked.value(point) for point in forward.tangent_points()]), abs=1e-9
    )
    assert half.corners == pytest.approx(worked.corners()[1:3], abs=1e-9)
    for drawn, form in (
        (half.riser, forward.riser_direction()), (half.toward, forward.outer_toward()),
        (half.grip, forward.grip_direction()),
    ):  # fmt: skip
        assert drawn == pytest.approx(worked.value(form), abs=1e-12)


@STEPS
def test_a_screen_reader_is_given_a_sentence(step):
    words = re.search(r'role="img" aria-label="([^"]+)"', step_svg(step, order_seven_recipe()))[1]
    assert words.endswith(".")
    assert len(words.split()) > 6


@STEPS
def test_the_names_in_a_picture_do_not_cover_each_other(step):
    svg = step_svg(step, order_seven_recipe())
    found = re.findall(r'<text x="([\d.]+)" y="([\d.]+)".*?>([^<]+)<', svg)
    names = [(float(x), float(y), words) for x, y, words in found]
    for place, (x, y, words) in enumerate(names):
        for other_x, other_y, other in names[:place]:
            beside = abs(x - other_x) > 3.5 * (len(words) + len(other))
            assert beside or abs(y - other_y) > 10.0, (words, other)


WIDE_PX, HIGH_PX = 3.0, 4.0
"""Half of a letter's width, and of its height above and below the middle of a name: its ink, no more."""


@pytest.mark.parametrize("recipe", [order_seven_recipe(), two_stop_recipe()], ids=["one stop", "two stops"])
@STEPS
def test_no_line_of_a_picture_goes_through_a_name(step, recipe):
    svg, through = step_svg(step, recipe), []
    drawn = [
        np.array([place.split(",") for place in points.split()], float)
        for points, look in re.findall(r'<polyline points="([^"]+)" ([^/]+)/>', svg)
    ]
    places = [np.concatenate([np.linspace(*ends, 200) for ends in pairwise(points)]) for points in drawn]
    for x, y, words in re.findall(r'<text x="([\d.]+)" y="([\d.]+)".*?>([^<]+)<', svg):
        off = np.abs(np.concatenate(places) - [float(x), float(y) - HIGH_PX])
        if ((off < [WIDE_PX * len(words), HIGH_PX]).all(axis=-1)).any():
            through.append(words)
    assert through == []
