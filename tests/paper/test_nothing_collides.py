"""Read back from the PDF: on no sheet is a word cut, written over another word, or crossed by a line."""

import re
from dataclasses import replace
from functools import partial
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from matplotlib.path import Path as Outline
from nightly import NIGHTLY
from printed import MM, along, lines_of, pages_of, words_of

from barmath import recipe_from_order
from barmath.bending import USUAL_HOLDS
from barmath.crossbars import crossbar
from barmath.panels.chosen_way import best_way
from barmath.paper.bench_data import BenchSheet
from barmath.paper.bench_sheet import bench_sheet_pdf
from barmath.paper.check_sheet import CheckSheet, check_sheet_pdf
from barmath.paper.class_overview import overview_pdf
from barmath.paper.class_sheet import ClassSheet, class_sheet_pages, class_sheet_pdf
from barmath.paper.cope_wrap import CopeWrap, cope_wrap_pdf
from barmath.paper.figures import figures
from barmath.paper.full_size import FullSize, full_size_pdf
from barmath.paper.handout import handout_pdf
from barmath.paper.page import text_width
from barmath.paper.rider_page import RiderPage, rider_pdf
from barmath.paper.sizes import LONG
from barmath.paper.week import week_pdf
from barmath.paper.week_data import week_from_orders
from barmath.practice.bets import lessons_with_bets
from barmath.practice.class_overview import overview_of
from barmath.practice.course import KINDS
from barmath.practice.scene import LEVELS
from barmath.records import training_orders
from barmath.shop import (
    CROSSBAR,
    DIE,
    ORDER,
    TUBE,
    order_seven_recipe,
    orders_from_file,
    shop_from_file,
)  # fmt: skip
from barmath.shop.order_seven import two_stop_recipe

DEMO = Path(__file__).parents[2] / "notebooks" / "demo"
SHOP = shop_from_file(DEMO / "shop.toml")
ONE, TWO = order_seven_recipe(), two_stop_recipe()
FITTED = crossbar(ONE, TUBE.outside_diameter_mm, CROSSBAR)
UPSWEPT = replace(ORDER, upsweep_deg=5.0)
BENCH = BenchSheet("order 7", ORDER, TWO, SHOP.tubes[0], DIE, SHOP.bender)


def planned(*numbers):
    """Orders of the training shop, each with its best way."""
    orders = [one for one in training_orders(orders_from_file(DEMO / "orders.toml")) if one.number in numbers]
    return [replace(order, state="planned", way=best_way(SHOP, order.wish)) for order in orders]


INNER_FIRST = tuple(USUAL_HOLDS[place] for place in (1, 0, 3, 2))

SHEETS = {
    **{name: make for name, make in figures(SHOP) if name.endswith(".pdf")},
    "bench, two stops": partial(bench_sheet_pdf, BENCH, "Letter"),
    "bench, inches": partial(bench_sheet_pdf, replace(BENCH, unit="in", recipe=ONE, holds=INNER_FIRST)),
    "bench, upsweep ordered": partial(
        bench_sheet_pdf, replace(BENCH, order=UPSWEPT, recipe=recipe_from_order(UPSWEPT, ONE.radius_mm, 30.0, 27.5))
    ),
    "bench, watch": partial(bench_sheet_pdf, replace(BENCH, warnings=("Mind the roll.", "Mind the hook. " * 12))),
    "check, inches": partial(check_sheet_pdf, CheckSheet("order 7", TWO, 22.225, SHOP.accepted, "in"), "Letter"),
    "cope, inches": partial(cope_wrap_pdf, CopeWrap("order 7", FITTED, "in"), "Letter"),
    "tiles": partial(full_size_pdf, FullSize("order 7", ONE, 22.225, crossbar=FITTED)),
    "long sheet, inches": partial(full_size_pdf, FullSize("order 7", TWO, 22.225, "in", FITTED), LONG),
    "rider": partial(rider_pdf, RiderPage("order 7", ONE, TUBE, FITTED, TWO)),
    "rider, inches": partial(rider_pdf, RiderPage("order 7", TWO, TUBE, FITTED, None, "in"), "Letter"),
    "week": lambda: week_pdf(week_from_orders(SHOP, planned(1, 7, 12))),
    **{
        f"class, {kind}": partial(class_sheet_pdf, ClassSheet(kind, 31, level, 2), "Letter")
        for kind, level in (("pair", 2), ("marks", 3), ("slip", 1), ("faulty bend", 3), ("hands", 2))
    },
    "overview": lambda: overview_pdf(overview_of({f"apprentice {one}": () for one in range(12)})),
    **{f"handout {lesson}": partial(handout_pdf, lesson) for lesson in lessons_with_bets()},
}
if not NIGHTLY:  # the other dies and lessons have the same forms
    SHEETS = {
        name: make for name, make in SHEETS.items() if not re.match(r"wall_die_1[25]|handout (?!0[569]|12)", name)
    }
LIGATURES = {"ff", "fi", "fl", "ffi", "ffl"}
"""Letters that a PDF draws as one sign inside a line: they come back as a word of their own."""


def box(word):
    """Where the ink of a line of text is at least, mm: lower left and upper right corner along and across it."""
    long, tall = text_width(word.text, word.points), 0.7 * word.points * MM
    ahead = np.array(word.along)
    up = np.array([ahead[1], -ahead[0]])
    start = np.array([word.x, word.y])
    corners = np.array([start, start + long * ahead + tall * up])
    return np.concatenate([corners.min(axis=0), corners.max(axis=0)])


def hidden(places, shapes):
    """Which of the points (m, 2) lie under a shape that is filled later."""
    covered = np.zeros(len(places), bool)
    for shape in shapes:
        covered |= Outline(shape.places).contains_points(places, radius=1e-6)
    return covered


def crossed(words, boxes, lines):
    """Each word through which a line runs that nothing hides."""
    found = set()
    for number, line in enumerate(lines):
        if line.width_mm == 0.0 or len(line.places) < 2:
            continue
        places = along(line.places, 0.3)
        places = places[((places >= line.shown[0]) & (places <= line.shown[1])).all(axis=-1)]
        inside = ((places[:, None] > boxes[:, :2] + 0.2) & (places[:, None] < boxes[:, 2:] - 0.2)).all(axis=-1)
        for at in np.flatnonzero(inside.any(axis=0)):
            later = [shape for shape in lines[number + 1 :] if shape.filled and len(shape.places) > 2]
            if not hidden(places[inside[:, at]], later).all():
                found.add(words[at].text)
    return found


@pytest.mark.parametrize("name", SHEETS)
def test_no_word_is_cut_or_written_over_or_crossed_by_a_line(name):
    for page in pages_of(SHEETS[name]()):
        words = [word for word in words_of(page) if word.text not in LIGATURES and max(np.abs(word.along)) > 0.999]
        boxes = np.array([box(word) for word in words])
        assert not [word.text for word in words if "…" in word.text]
        both = np.minimum(boxes[:, None, 2:], boxes[:, 2:]) - np.maximum(boxes[:, None, :2], boxes[:, :2])
        over = np.argwhere(np.triu((both > 0.3).all(axis=-1), 1))
        assert not [(words[one].text, words[other].text) for one, other in over]
        assert not crossed(words, boxes, lines_of(page))


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_the_sheet_of_an_apprentice_shows_the_bar_and_ends_above_the_line_for_the_name(kind):
    for level, size in product(LEVELS, ("A4", "Letter")):
        (one,) = ClassSheet(kind, 31, level, 1).exercises()
        _, page = class_sheet_pages(ClassSheet(kind, 31, level, 1), size)
        lines = [(text.get_text(), text.get_position()[1]) for text in page.axes.texts]
        foot = dict(lines)["Name"] - 4.0
        boxes = [box for box in page.axes.patches if box.get_width() > 100.0]
        assert max(box.get_y() + box.get_height() for box in boxes) < foot
        if level == 1 and one.recipe is not None:
            assert {"from the front", "from above"} <= {words for words, _ in lines}


@pytest.mark.parametrize("name", ["check, inches", "long sheet, inches", "rider"])
def test_a_bar_with_its_left_end_on_the_left_is_seen_from_behind(name):
    """From in front the rider's left is on the right."""
    words = {word.text: word.x for page in pages_of(SHEETS[name]()) for word in words_of(page)}
    assert words["L"] < words["R"]
    assert [text for text in words if text.startswith("from behind")]
    assert not [text for text in words if text.startswith("from the front")]
