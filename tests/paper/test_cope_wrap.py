"""The wrap template as it comes out of the printer, wrapped round its tube in space: its edge lies on the bar."""

import re
from typing import NamedTuple

import numpy as np
import pytest
from printed import along, lines_of, pages_of, text_of, words_of
from scipy.spatial import cKDTree

from barmath import BendError, Order, Recipe, Tube, recipe_from_order
from barmath.crossbars.crossbar import crossbar
from barmath.paper.cope_wrap import CopeWrap, cope_wrap_pdf
from barmath.space.centerline import bar_points, bends_from_recipe, cut_length_mm

HEADER = 22.225
DEMO = recipe_from_order(Order(78.0, 12.0, 780.0, controls_mm=180.0), 91.472, 25.0)
SWEPT = Recipe(60.0, 50.0, 110.0, 35.0, 45.0, 180.0, 90.0)
OVER = Recipe(60.0, 100.0, 140.0, 25.0, 100.0, 180.0, 60.0)
PLACES = {
    "on the straight riser": (DEMO, 40.0),
    "on the inner bend": (SWEPT, 35.0),
    "on the outer bend": (DEMO, 66.0),
    "on a steep outer bend, far rolled": (SWEPT, 130.0),
    "on a riser that leans inward": (OVER, 140.0),
    "on the outer bend of one that leans inward": (OVER, 230.0),
}
SIZES = (9.525, 15.875, 19.05)
JOINTS = [(place, SIZES[(number + more) % 3]) for number, place in enumerate(PLACES) for more in (0, 1)]
"""Two thicknesses of crossbar at each place, every thickness at four of the six."""

ON_THE_SURFACE_MM = 0.05


class Paper(NamedTuple):
    """One template: its cope line (m, 2) from the left edge and from its tip, how wide it is, what is written on it."""

    line: np.ndarray
    wide: float
    names: dict[str, float]


def papers(pdf):
    """The templates of the sheet by the words over them."""
    page = pages_of(pdf)[0]
    lines, words = lines_of(page), words_of(page)
    found = {}
    for end in ("right end", "left end"):
        (title,) = [word for word in words if word.text == end]
        shapes = [line.places for line in lines if line.filled and line.places[:, 1].min() > title.y]
        (shape,) = [places for places in shapes if abs(places[:, 0].min() - title.x) < 1.0]
        left, right, base = shape[:, 0].min(), shape[:, 0].max(), shape[:, 1].max()
        edge = shape[shape[:, 1] < base - 1.0]
        edge = edge[:-1] if np.allclose(edge[0], edge[-1]) else edge
        names = {
            word.text: (word.x - left) / (right - left)
            for word in words
            if left - 1.0 < word.x < right and base - 9.0 < word.y < base
        }
        found[end] = Paper(edge - [left, edge[:, 1].min()], right - left, names)
    return found


def wrapped(paper, end, fitted, words):
    """The cope line (m, 3) in space: the paper round the tube as the sheet says."""
    assert "printed side out" in words
    assert "the tip side points to the end of the tube" in words
    assert "Both edges of the paper meet on that line" in words
    where, turn, side = re.search(
        r"The pencil line is on the acute side of the joint: with the risers upright it is (underneath|on top)"
        r"(?:, turned ([0-9.]+)° toward the (front|rear))?\.", words,
    ).groups()  # fmt: skip
    lean = np.radians(float(turn or 0.0)) * (-1.0 if side == "rear" else 1.0)
    up = -1.0 if where == "underneath" else 1.0
    line_at = np.array([0.0, np.sin(lean), up * np.cos(lean)])
    away = np.array([-1.0, 0.0, 0.0]) * (1.0 if end == "right end" else -1.0)  # from the tip along the tube
    # seen from outside, with the tip up: paper to the right is the outward normal's left-handed turn about `away`
    rightward = np.cross(-away, line_at)
    points = along(paper.line)
    theta = 2.0 * np.pi * points[:, 0] / paper.wide
    radius = 0.5 * fitted.branch.outside_diameter_mm
    half = 0.5 * fitted.cut_length_mm - fitted.allowance_mm  # the tip from the middle of the crossbar
    round_it = radius * (np.cos(theta)[:, None] * line_at + np.sin(theta)[:, None] * rightward)
    return round_it + (half - points[:, 1])[:, None] * -away, line_at, rightward


def centre_line(recipe):
    length = float(cut_length_mm(bends_from_recipe(recipe)))
    return bar_points(recipe, np.linspace(0.0, length, 60_001))[0]


@pytest.mark.parametrize(("place", "diameter"), JOINTS)
def test_wrapped_round_its_tube_by_the_words_of_the_sheet_the_cope_is_on_the_bar(place, diameter):
    recipe, height = PLACES[place]
    fitted = crossbar(recipe, HEADER, Tube(diameter, 0.9), height)
    assert fitted.on_bend is ("bend" in place)
    pdf = cope_wrap_pdf(CopeWrap("order 7", fitted))
    words = text_of(pdf)
    for number in (fitted.cut_length_mm, height):
        assert f"{number:.1f} mm" in words
    assert f"tip of each template {fitted.allowance_mm:.1f} mm from the end" in words
    bar = centre_line(recipe)
    right = bar[bar[:, 0] > 0.0]
    climbing = right[: int(np.argmax(right[:, 2])) + 1]
    behind = float(np.interp(height, climbing[:, 2], climbing[:, 1]))
    surface = cKDTree(bar)
    for end, paper in papers(pdf).items():
        assert paper.wide == pytest.approx(np.pi * diameter, abs=0.01)
        points, line_at, rightward = wrapped(paper, end, fitted, words)
        off = surface.query(np.add(points, [0.0, behind, height]))[0] - HEADER / 2.0
        assert np.abs(off).max() < ON_THE_SURFACE_MM, end
        faces = {"front": [0, 1, 0], "rear": [0, -1, 0], "top": [0, 0, 1], "underneath": [0, 0, -1]}
        named = 0
        for name, share in paper.names.items():
            if name in faces:
                turn = 2.0 * np.pi * (0.25 if share < 0.5 else 0.75)
                facing = np.cos(turn) * line_at + np.sin(turn) * rightward
                assert facing @ faces[name] > 0.7, (end, name)
                named += 1
        assert named == 2


def test_an_unequal_cope_swapped_end_for_end_would_miss_the_bar():
    fitted = crossbar(SWEPT, HEADER, Tube(19.05, 0.9), 130.0)
    pdf = cope_wrap_pdf(CopeWrap("order 7", fitted))
    points, *_ = wrapped(papers(pdf)["left end"], "right end", fitted, text_of(pdf))
    bar = centre_line(SWEPT)
    off = cKDTree(bar).query(np.add(points, [0.0, float(fitted.joint_mm[1]), 130.0]))[0] - HEADER / 2.0
    assert np.abs(off).max() > 1.0


def test_a_cope_too_long_for_its_sheet_is_refused_and_fits_on_a_longer_one():
    flat = Recipe(50.0, 12.0, 140.0, 20.0, 12.0, 180.0, 90.0)
    wrap = CopeWrap("order 7", crossbar(flat, HEADER, Tube(22.2, 1.0)))
    with pytest.raises(BendError, match=r"Print on a longer sheet.*room for their words on Letter"):
        cope_wrap_pdf(wrap, "Letter")
    assert cope_wrap_pdf(wrap, "A4").startswith(b"%PDF")
