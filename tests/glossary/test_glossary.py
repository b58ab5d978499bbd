"""The glossary: every term has a sentence, a lesson, and a sketch whose lengths and angles are those it names."""

import json
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import numpy as np
import pytest
from conftest import LESSONS, NOTEBOOKS, ROOT
from matplotlib.patches import Rectangle
from printed import lines_on_each_other, places_of

from barmath import clamp_reading_deg, shape_from_recipe
from barmath.glossary import of_the_bar, of_the_bench, of_the_metal
from barmath.glossary.of_the_bar import views_of_bar
from barmath.glossary.sketch import LOOKS, Sketch, angle_between, line
from barmath.glossary.terms import GROUPS, TERMS
from barmath.paper.glossary_sheet import glossary_pages, glossary_pdf
from barmath.pictures.sketch import HEIGHT, WIDTH, glossary_html, sketch_svg
from barmath.refusal import BendError
from barmath.shop import order_seven_recipe

named = pytest.mark.parametrize("term", TERMS, ids=lambda term: term.name)
NUMBERS = {path.name[:2] for path in LESSONS}


def thick(sketch: Sketch) -> list[np.ndarray]:
    return [stroke.points for stroke in sketch.strokes if stroke.look == "strong"]


def long(points: np.ndarray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


@named
def test_a_term_says_what_it_means_and_where_it_is_taught(term):
    assert term.meaning.endswith(".")
    assert 15 <= len(term.meaning) <= 140
    assert term.lesson in NUMBERS


@named
def test_a_sketch_points_out_what_the_term_names(term):
    sketch = term.sketch()
    assert thick(sketch)
    assert sketch.labels
    for stroke in sketch.strokes:
        assert stroke.look in LOOKS
        assert stroke.points.ndim == 2
        assert np.isfinite(stroke.points).all()


@named
def test_a_sketch_is_sound_xml_that_remains_in_its_box(term):
    root = ElementTree.fromstring(sketch_svg(term.sketch(), term.name + ' <b> & "'))
    assert root.get("aria-label") == term.name + ' <b> & "'
    for node in root.iter("{http://www.w3.org/2000/svg}polyline"):
        points = np.array([pair.split(",") for pair in node.get("points").split()], float)
        assert (points >= 0.0).all()
        assert (points <= [WIDTH, HEIGHT]).all()


def test_every_name_is_there_once_and_every_sketch_is_its_own():
    names = [term.name for term in TERMS]
    assert len(set(names)) == len(names) == sum(len(group) for group in GROUPS.values())
    assert len({term.sketch for term in TERMS}) == len(TERMS)


def test_lengths_of_the_bar_are_those_of_the_formulas():
    shape = shape_from_recipe(of_the_bar.BAR)
    wanted = {"rise": shape.rise_mm, "width": shape.width_mm, "setback": shape.setback_mm}
    for name, value in wanted.items():
        drawn = thick(getattr(of_the_bar, name)())[0]
        assert long(drawn) == pytest.approx(value, abs=1e-6), name
    assert long(thick(of_the_bar.clamp_flat())[0]) == pytest.approx(of_the_bar.BAR.clamp_flat_mm)
    riser = thick(of_the_bar.riser())[0]
    assert long(riser) == pytest.approx(of_the_bar.BAR.straight_mm, abs=1e-6)


def test_angles_of_the_bar_are_those_of_the_formulas():
    shape = shape_from_recipe(of_the_bar.BAR)
    end = np.diff(thick(of_the_bar.backsweep())[0][[0, -1]], axis=0)[0]
    drawn = np.degrees(2.0 * np.arcsin(np.linalg.norm(end) / 2.0 / 170.0))
    assert drawn == pytest.approx(shape.backsweep_deg, abs=1e-6)


def test_an_angle_is_drawn_at_its_true_length():
    arc, *legs = angle_between((3.0, 4.0), 10.0, 70.0, 50.0)
    assert long(arc.points) == pytest.approx(50.0 * np.radians(60.0), rel=1e-3)
    turned = np.diff(legs[1].points, axis=0)[0]
    assert np.degrees(np.arctan2(turned[1], turned[0])) == pytest.approx(70.0)


def test_the_stem_is_square_to_the_steering_axis():
    axis, tube = of_the_metal.stem().strokes[:2]
    along, out = np.diff(axis.points, axis=0)[0], np.diff(tube.points, axis=0)[0]
    assert along @ out == pytest.approx(0.0, abs=1e-9)
    assert np.linalg.norm(out) == pytest.approx(of_the_metal.STEM.length_mm)


def test_the_crossbar_meets_the_risers_at_the_outer_marks():
    tube = next(stroke for stroke in of_the_bench.fitted_crossbar().strokes if stroke.wide_mm == 12.7)
    height = tube.points[0, 1]
    riser = thick(of_the_bar.riser())[1]
    assert height == pytest.approx(max(riser[0, 1], riser[-1, 1]), abs=1e-6)


def test_the_clamp_reading_of_the_sketched_bar_is_another_thing_than_its_backsweep():
    # the glossary must not tell apprentices that they are one: they differ where the bends differ
    bar = of_the_bar.BAR
    assert abs(clamp_reading_deg(bar) - shape_from_recipe(bar).backsweep_deg) > 1.0


def test_the_page_names_every_term_once_and_needs_no_scripts():
    page = glossary_html()
    assert len(re.findall(r'role="img"', page)) == len(TERMS)
    assert "<script" not in page
    for term in TERMS:
        assert f"<b>{term.name}</b>" in page


@pytest.mark.parametrize("size", ["A4", "A3", "Letter"])
def test_the_paper_holds_every_term(size):
    words = [text.get_text() for page in glossary_pages(size) for text in page.axes.texts]
    for term in TERMS:
        assert sum(word.startswith(term.name.split(",")[0]) for word in words) >= 1


@pytest.mark.parametrize("size", ["A4", "A3", "Letter"])
def test_no_line_of_the_paper_is_on_another(size):
    assert not [pair for page in glossary_pages(size) for pair in lines_on_each_other(page.axes.texts)]


LEAST_RIM_MM = 1.1


@pytest.mark.parametrize("size", ["A4", "A3", "Letter"])
def test_every_word_of_a_card_is_clear_of_its_frame(size):
    for page in glossary_pages(size):
        boxes = [patch for patch in page.axes.patches if isinstance(patch, Rectangle) and patch.get_width() > 30.0]
        cards = [patch.get_bbox().extents for patch in boxes]
        for text, (left, top, right, bottom) in zip(page.axes.texts, places_of(page.axes.texts), strict=True):
            own = [card for card in cards if card[0] < (left + right) / 2 < card[2] and card[1] < top < card[3]]
            for x, y, end, foot in own:
                rims = left - x, top - y, end - right, foot - bottom
                assert min(rims) > LEAST_RIM_MM, (text.get_text(), rims)
        assert len(cards) > 1


def test_both_views_of_a_bar_are_drawn_in_one_scale():
    for bend in (16.0, 30.0, 45.0):
        front, above = views_of_bar(replace(order_seven_recipe(), inner_bend_deg=bend, outer_bend_deg=bend))
        assert front.fitted(90.0, 20.0, 2.0, 3.0)[0] == pytest.approx(above.fitted(90.0, 20.0, 2.0, 3.0)[0])


def test_the_paper_is_the_same_each_time_it_is_made():
    assert glossary_pdf("A4") == glossary_pdf("A4")


def test_a_box_too_small_for_its_names_is_refused():
    with pytest.raises(BendError, match="room beside the names"):
        Sketch((line([(0, 0), (1, 1)], "strong"),)).fitted(10.0, 10.0, 5.0, 1.0)


def test_lessons_panels_and_sheets_use_the_words_that_the_glossary_explains():
    lessons = [
        "".join(cell["source"]) for path in NOTEBOOKS for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]
    ]
    code = [p.read_text(encoding="utf-8") for p in (ROOT / "barmath").rglob("*.py") if p.parent.name != "glossary"]
    text = " ".join([*lessons, *code]).lower()
    for term in TERMS:
        for word in term.name.lower().split(", "):
            assert word in text or word.replace(" ", "_") in text, word
