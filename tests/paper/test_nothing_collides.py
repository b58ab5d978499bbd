"""Read back from the PDF: on no sheet is a word cut, written over another word, or crossed by a line."""

import re
from itertools import product

import numpy as np
import pytest
from every_sheet import SHEETS
from hard_sheets import HARD, LONG_NAME, STEEP
from matplotlib.path import Path as Outline
from printed import MM, along, lines_of, lines_on_each_other, pages_of, places_of, words_of

from barmath.paper.class_sheet import MOST_APPRENTICES, ClassSheet, _teachers, class_sheet_pages
from barmath.paper.full_size import FullSize, full_size_pdf
from barmath.paper.page import text_width
from barmath.paper.tiling import OVERLAP_MM
from barmath.practice.course import KINDS
from barmath.practice.scene import LEVELS

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


def no_word_is_cut_or_written_over_or_crossed_by_a_line(name, said, lines):
    assert not [word.text for word in said if "…" in word.text]
    no_word_is_written_over_or_crossed_by_a_line(name, said, lines)


def no_word_is_written_over_or_crossed_by_a_line(name, said, lines):
    words = [word for word in said if word.text not in LIGATURES and max(np.abs(word.along)) > 0.999]
    boxes = np.array([box(word) for word in words])
    both = np.minimum(boxes[:, None, 2:], boxes[:, 2:]) - np.maximum(boxes[:, None, :2], boxes[:, :2])
    over = np.argwhere(np.triu((both > 0.3).all(axis=-1), 1))
    assert not [(words[one].text, words[other].text) for one, other in over]
    assert not crossed(words, boxes, lines)


AIR_MM = 0.55


def with_air(words, boxes):
    """The boxes, wider at both ends of each word."""
    wider = [[-AIR_MM, 0.0, AIR_MM, 0.0] if abs(word.along[0]) > 0.5 else [0.0, -AIR_MM, 0.0, AIR_MM] for word in words]
    return boxes + np.array(wider)


NEAR_ITS_OWN_LINE = {"20.7°"}
"""The number of the longest line of a chart is close to its end."""


def no_word_touches_a_line_at_its_end_and_no_number_is_minus_zero(name, said, lines):
    words = [word for word in said if word.text not in LIGATURES and max(np.abs(word.along)) > 0.999]
    boxes = np.array([box(word) for word in words])
    assert crossed(words, with_air(words, boxes), lines) <= NEAR_ITS_OWN_LINE
    assert not [word.text for word in words if re.search(r"(?<![\w.])[-−]0(\.0+)?(?![\d.])", word.text)]


ROUND_MM = 0.8


@pytest.mark.parametrize("name", ["rider", "rider, inches", "full_size_order_7.pdf", "long sheet, inches"])
def test_no_line_touches_a_word_of_a_drawing_from_above_or_below(name):
    for page in pages_of(SHEETS[name]()):
        words = [word for word in words_of(page) if word.text not in LIGATURES and word.along[0] > 0.999]
        boxes = np.array([box(word) for word in words]).reshape(-1, 4)
        round_about = with_air(words, boxes) + np.array([0.0, -ROUND_MM, 0.0, ROUND_MM])
        assert crossed(words, round_about, lines_of(page)) == set()


SPACE_MM = 0.8
"""Two words of one line that are nearer are read as one."""


def words_beside_each_other_are_not_read_as_one(name, said, lines):
    words = [word for word in said if word.along[0] > 0.999 and set(word.text) - set("←→")]
    words = [word for word in words if word.text not in LIGATURES]
    boxes = np.array([box(word) for word in words])
    gaps = boxes[None, :, 0] - boxes[:, None, 2]
    level = np.minimum(boxes[:, None, 3], boxes[:, 3]) - np.maximum(boxes[:, None, 1], boxes[:, 1]) > 0.5
    near = np.argwhere(level & (gaps > -0.3) & (gaps < SPACE_MM))
    assert not [(words[one].text, words[other].text) for one, other in near]


HOW_TO_CHECK = "This line must be {} long. If it is not, print again at 100 % (actual size)."
CHECK_LINES_MM = {"100 mm": 100.0, "4 in": 101.6}


def a_line_to_check_the_printer_with_is_explained_in_one_way(name, said, lines):
    words = " ".join(word.text for word in said)
    drawn = [np.ptp(line.places, axis=0) for line in lines if len(line.places) == 2 and not line.dashed]
    own = {
        long
        for long, length in CHECK_LINES_MM.items()
        if any(abs(wide - length) < 0.01 and tall < 0.01 for wide, tall in drawn)
    }
    assert [long for long in own if HOW_TO_CHECK.format(long) not in words] == []
    if name != "tiles":  # a sheet of those has words of its neighbour too, beyond its edge
        assert words.count("actual size") == len(own)
    if name.startswith(("wall", "bench", "check", "cope", "full size", "long")):
        assert len(own) == 1


@pytest.mark.parametrize("name", SHEETS)
def test_on_no_sheet_words_collide_or_mislead(name):
    """To draw a sheet and to read it back takes longer than to look at it: all is asked of one reading."""
    for page in pages_of(SHEETS[name]()):
        said, lines = words_of(page), lines_of(page)
        no_word_is_cut_or_written_over_or_crossed_by_a_line(name, said, lines)
        no_word_touches_a_line_at_its_end_and_no_number_is_minus_zero(name, said, lines)
        words_beside_each_other_are_not_read_as_one(name, said, lines)
        a_line_to_check_the_printer_with_is_explained_in_one_way(name, said, lines)


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


@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
@pytest.mark.parametrize("count", [1, MOST_APPRENTICES])
def test_the_page_of_a_teacher_has_every_answer_whole(kind, count):
    for level, size in product(LEVELS, ("A4", "Letter")):
        page = _teachers(ClassSheet(kind, 31, level, count).exercises(), size)
        assert not [text.get_text() for text in page.axes.texts if "…" in text.get_text()]
        assert not lines_on_each_other(page.axes.texts)
        assert places_of(page.axes.texts)[:, 3].max() < page.height - 5.0


@pytest.mark.parametrize("name", ["check, inches", "long sheet, inches", "rider"])
def test_a_bar_with_its_left_end_on_the_left_is_seen_from_behind(name):
    """From in front the rider's left is on the right."""
    words = {word.text: word.x for page in pages_of(SHEETS[name]()) for word in words_of(page)}
    assert words["L"] < words["R"]
    assert [text for text in words if text.startswith("from behind")]
    assert not [text for text in words if text.startswith("from the front")]


# ---- data that is hard to print


PRINTERS_EDGE_MM = 4.0
"""White that a printer leaves round a page."""


def no_word_is_off_the_page(page, words):
    boxes = np.array([box(word) for word in words])
    right, bottom = float(page.mediabox.width) * MM, float(page.mediabox.height) * MM
    assert not [
        word.text
        for word, (x, y, end, foot) in zip(words, boxes, strict=True)
        if x < PRINTERS_EDGE_MM
        or y < PRINTERS_EDGE_MM
        or end > right - PRINTERS_EDGE_MM
        or foot > bottom - PRINTERS_EDGE_MM
    ]


def no_line_is_off_the_page(page, lines):
    ends = np.array([float(page.mediabox.width) * MM, float(page.mediabox.height) * MM]) - PRINTERS_EDGE_MM
    shown = [np.clip(line.places, *line.shown) for line in lines if line.width_mm]
    assert not [
        places.round(1).tolist() for places in shown if (places < PRINTERS_EDGE_MM).any() or (places > ends).any()
    ]


def letters_drawn_alone(words):
    """Words near to each other that are parts of one: a PDF draws a letter beyond Latin 1 by itself."""
    return {word.text for word in words if any(ord(letter) > 255 for letter in word.text)}


@pytest.mark.parametrize("name", HARD)
def test_on_no_sheet_hard_data_is_off_the_page_or_collides(name):
    for page in pages_of(HARD[name]()):
        said, lines = [word for word in words_of(page) if word.text not in LIGATURES], lines_of(page)
        assert len(said) > 2
        no_word_is_off_the_page(page, said)
        no_line_is_off_the_page(page, lines)
        no_word_is_written_over_or_crossed_by_a_line(name, said, lines)
        if name != "wall chart":  # its numbers are near to the lines of its grid
            no_word_touches_a_line_at_its_end_and_no_number_is_minus_zero(name, said, lines)
        if not letters_drawn_alone(said):
            words_beside_each_other_are_not_read_as_one(name, said, lines)


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_head_of_a_full_size_drawing_is_whole_on_its_first_sheet(size):
    page = pages_of(full_size_pdf(FullSize(LONG_NAME, STEEP, 22.225), size))[0]
    head = [word for word in words_of(page) if word.points > 13.0 and word.y < 30.0]
    assert head[-1].text.endswith(": full size")
    no_word_is_off_the_page(page, head)
    edge = float(page.mediabox.width) * MM - PRINTERS_EDGE_MM - OVERLAP_MM
    assert max(box(word)[2] for word in head) < edge
