"""What is read at two metres is large enough, measured in the PDF: height of a figure, not size of its type."""

from itertools import pairwise

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from printed import lines_of, pages_of, words_of

from barmath import Die, Tube
from barmath.paper.letters import TYPE, face
from barmath.paper.page import text_width
from barmath.paper.wall_chart import wall_chart
from barmath.paper.wall_pairs import die_sheets, pair_sheet
from barmath.paper.wall_settings import settings_sheet
from barmath.planning.chart_data import Chart, rise_lines
from barmath.planning.pair_chart import pair_rows

LEAST_MM = {"A4": 5.0, "A3": 8.0}
TUBE = Tube(22.225, 1.651, name="7/8 x 0.065")
CHARTS = [
    Chart(TUBE, Die(radius, name=f"die {radius:.0f}"), bends_deg=tuple(np.arange(10.0, 45.1, 2.5)))
    for radius in (101.6, 127.0, 152.4)
]
FEW = Chart(TUBE, CHARTS[0].die)


def shown(page):
    """Height of the figures of each line of text of a page, mm, by its words: the lowest where it is there twice."""
    flat = face(TYPE, bold=False).load_char(ord("1"))  # a figure of straight strokes, at 100 points
    height = flat.horiBearingY / 64.0 / 100.0 * 25.4 / 72.0
    (pdf_page,) = pages_of(page.pdf("x"))
    found = {}
    for word in words_of(pdf_page):
        found[word.text] = max(height * word.points, found.get(word.text, 0.0))
    return found


def check(page, size, *numbers):
    sizes = shown(page)
    for number in numbers:
        assert sizes[number] >= LEAST_MM[size], number
    heads = [words for words in sizes if words.startswith(("sweep 14", "800 wide", "31 1/2 wide"))]
    assert len(heads) == 2
    assert all(sizes[words] >= LEAST_MM[size] for words in heads)


@pytest.mark.parametrize("size", ["A4", "A3"])
def test_a_sheet_of_pairs_is_read_at_two_metres(size):
    rows = pair_rows(CHARTS[0])
    numbers = [f"{stop:.1f}°" for stop in (*rows.inner_stop_deg, *rows.outer_stop_deg[rows.two_stops])]
    numbers += [f"{number:.1f}" for number in (*rows.inner_mark_mm, *rows.outer_mark_mm)]
    numbers += [f"{rise:g}" for rise in rows.rises_mm] + [f"{reading:.1f}°" for reading in rows.reading_deg]
    check(pair_sheet(CHARTS[0], size), size, *numbers)


def test_in_inches_too():
    page = pair_sheet(CHARTS[2], "A3", "in")
    check(page, "A3", "1 1/2", "15.8°", "6 3/8", "10.5°")
    check(settings_sheet(FEW, "A3", "in"), "A3", "2 1/2", "31.0°", "3 11/32", "6 21/32")


def test_a_sheet_of_dies_is_read_at_two_metres():
    page = next(die_sheets(CHARTS, "A3"))
    pairs = [pair_rows(chart) for chart in CHARTS]
    stops = [f"{stop:.1f}°" for rows in pairs for stop in rows.inner_stop_deg[rows.made]]
    check(page, "A3", *stops, "40", "130", *(chart.die.name for chart in CHARTS))


def test_the_chart_and_the_table_of_one_stop_are_read_at_two_metres():
    lines = [line for line in rise_lines(FEW) if not line.why_not]
    numbers = [f"{line.stop_deg:.1f}°" for line in lines] + [f"{line.inner_mark_mm:.1f}" for line in lines]
    check(wall_chart(FEW, "A3").page, "A3", *numbers, "80", "120")
    check(settings_sheet(FEW, "A3"), "A3", *numbers, "80", "183.9", "163.7")


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_a_line_parts_the_numbers_of_neighbouring_columns(unit):
    (page,) = pages_of(settings_sheet(FEW, "Letter", unit).pdf("x"))
    upright = [line.places for line in lines_of(page) if line.width_mm and np.ptp(line.places[:, 0]) < 0.01]
    rows = {}
    for word in words_of(page):
        if word.points > 15.0 and word.text[0].isdigit():
            rows.setdefault(round(word.y, 1), []).append(word)
    pairs = [pair for row in rows.values() for pair in pairwise(sorted(row, key=lambda word: word.x))]
    pairs = [(one, next_one) for one, next_one in pairs if "wide" not in one.text]
    assert len(pairs) > 10
    for one, next_one in pairs:
        between = [line for line in upright if line[:, 1].min() < one.y < line[:, 1].max()]
        ends = one.x + text_width(one.text, one.points)
        assert [line for line in between if ends < line[0, 0] < next_one.x], (one.text, next_one.text)


def test_nothing_overlaps_on_any_sheet_for_the_wall():
    pages = [pair_sheet(CHARTS[0]), pair_sheet(CHARTS[2], "Letter", "in"), next(die_sheets(CHARTS, "Letter", "in")),
             settings_sheet(FEW, "Letter", "in"), settings_sheet(FEW)]  # fmt: skip
    for page in pages:
        page.figure.set_dpi(100.0)
        renderer = FigureCanvasAgg(page.figure).get_renderer()
        texts = [text for text in page.axes.texts if text.get_text()]
        boxes = np.array([text.get_window_extent(renderer).extents for text in texts])
        low, high = boxes[:, None, :2], boxes[:, None, 2:]
        crossing = ((np.minimum(high, boxes[None, :, 2:]) - np.maximum(low, boxes[None, :, :2])) > 2.0).all(axis=-1)
        pairs = [(texts[i].get_text(), texts[j].get_text()) for i, j in np.argwhere(np.triu(crossing, 1))]
        assert not pairs
        assert boxes[:, 0].min() > 0.0
        assert boxes[:, 2].max() < page.width / 25.4 * 100.0
