"""The tiles of the full-size drawing, read back from the PDF and laid together by what is printed on them."""

import re
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from printed import along, lines_of, pages_of, words_of
from scipy.spatial import cKDTree

from barmath import Order, Tube, recipe_from_order, shape_from_recipe
from barmath.closed_forms.forward import risers_upright
from barmath.crossbars.crossbar import crossbar
from barmath.paper.full_size import FullSize, full_size_pdf, long_page, tile_count, tiles
from barmath.paper.sizes import LONG, SIZES_MM
from barmath.space.drawing import drawing_from_recipe

RECIPE = recipe_from_order(Order(78.0, 12.0, 780.0, upsweep_deg=3.0, controls_mm=180.0), 91.472, 25.0)
BAR = crossbar(RECIPE, 22.225, Tube(9.525, 0.889), 40.0)
DRAWING = FullSize("order 7", RECIPE, 22.225, crossbar=BAR)
TALL = FullSize("tall", recipe_from_order(Order(140.0, 12.0, 780.0, controls_mm=180.0), 91.472, 50.0), 22.225)
DRAWINGS = {one.name: one for one in (DRAWING, TALL)}
SIZES = sorted(SIZES_MM)
WHITE_MM = 10.0
TRUE_MM = 0.1
PRINTED_MM = 0.02
"""How far places read from a PDF may be off: it has six decimals, its clipped lines are rounded to a dot's part."""


class Sheet(NamedTuple):
    """One tile: row and column by its own words, its crosses by their numbers, where it is cut and where it is glued,
    and the bar's outline on it; mm on the sheet.
    """

    row: int
    column: int
    crosses: dict[int, np.ndarray]
    cut: dict[str, float]
    glue: dict[str, float]
    bar: np.ndarray


@cache
def pages(name, size):
    return pages_of(full_size_pdf(DRAWINGS[name], size))


@cache
def sheets(name, size):
    wide, tall = SIZES_MM[size]
    found = []
    for page in pages(name, size):
        lines, words = lines_of(page), words_of(page)
        row, column = map(int, re.search(r"row (\d+) of \d+, column (\d+) of \d+", page.extract_text()).groups())
        bars = [line for line in lines if len(line.places) == 2 and np.ptp(line.places, axis=0).max() < 8.1]
        level = [line.places.mean(0) for line in bars if np.ptp(line.places[:, 0]) > 7.9]
        upright = [line.places.mean(0) for line in bars if np.ptp(line.places[:, 1]) > 7.9]
        centres = [one for one in level if any(np.abs(one - other).max() < 0.01 for other in upright)]
        crosses = {}
        for word in words:
            near = [one for one in centres if np.abs(one - [word.x - 1.0, word.y + 1.0]).max() < 0.3]
            if near and word.text.isdigit():
                crosses[int(word.text)] = near[0]
        assert len(crosses) == len(centres)
        cut, glue = {}, {}
        for line in lines:
            across, down = np.ptp(line.places, axis=0)
            kind, pen = (glue, 0.22) if line.dashed else (cut, 0.25)
            if line.filled or abs(line.width_mm - pen) > 0.005:
                continue
            if down > tall - 2.0 * WHITE_MM - 0.1 and across < 0.01:
                kind["x"] = float(line.places[0, 0])
            if across > wide - 2.0 * WHITE_MM - 0.1 and down < 0.01:
                kind["y"] = float(line.places[0, 1])
        outline = [along(line.places, 0.5) for line in lines if abs(line.width_mm - 0.35) < 0.01]
        inked = np.concatenate([*outline, np.empty((0, 2))])
        seen = np.all((inked > WHITE_MM) & (inked < [wide - WHITE_MM, tall - WHITE_MM]), axis=1)
        found.append(Sheet(row, column, crosses, cut, glue, inked[seen]))
    return found


@cache
def laid(name, size):
    """Where each sheet's upper left corner comes to be when crosses of one number are laid on each other."""
    rest = list(sheets(name, size))
    places, crosses = {}, {}
    first = rest.pop(0)
    places[first.row, first.column] = np.zeros(2)
    crosses |= first.crosses
    while rest:
        sheet = next(sheet for sheet in rest if set(sheet.crosses) & set(crosses))
        rest.remove(sheet)
        common = sorted(set(sheet.crosses) & set(crosses))
        shifts = np.array([crosses[number] - sheet.crosses[number] for number in common])
        assert len(common) >= 2
        assert np.ptp(shifts, axis=0).max() < PRINTED_MM  # they all meet at once
        places[sheet.row, sheet.column] = shifts.mean(0)
        crosses |= {number: place + shifts.mean(0) for number, place in sheet.crosses.items()}
    return places


@pytest.mark.parametrize("size", SIZES)
def test_where_the_edges_are_glued_as_the_sheet_says_crosses_of_one_number_meet(size):
    places = laid("order 7", size)
    by_place = {(sheet.row, sheet.column): sheet for sheet in sheets("order 7", size)}
    glued = 0
    for (row, column), sheet in by_place.items():
        for axis, name, other in ((0, "x", (row, column + 1)), (1, "y", (row + 1, column))):
            neighbour = by_place.get(other)
            assert (name in sheet.glue) is (neighbour is not None)
            if neighbour:
                line = sheet.glue[name] + places[row, column][axis]
                edge = neighbour.cut[name] + places[other][axis]
                assert edge == pytest.approx(line, abs=PRINTED_MM)
                glued += 1
    assert glued > len(by_place) - 2


@pytest.mark.parametrize("size", SIZES)
def test_the_bar_laid_together_from_its_sheets_is_as_long_as_the_bar(size):
    places = laid("order 7", size)
    inked = np.concatenate([sheet.bar + places[sheet.row, sheet.column] for sheet in sheets("order 7", size)])
    stands, square = (drawing_from_recipe(one, 22.225) for one in (RECIPE, risers_upright(RECIPE)))
    reach = max(np.ptp(edges[..., 0]) for edges in (stands.front, stands.above, square.front))
    assert np.ptp(inked[:, 0]) == pytest.approx(reach, abs=TRUE_MM)
    assert reach == pytest.approx(shape_from_recipe(RECIPE).width_mm, abs=8.0)
    # every point of it is on the long sheet too
    (page,) = pages("order 7", LONG)
    whole = np.concatenate([along(line.places, 0.05) for line in lines_of(page) if abs(line.width_mm - 0.35) < 0.01])
    first = np.concatenate(
        [sheet.bar + places[sheet.row, sheet.column] for sheet in sheets("order 7", size) if sheet.row == 1]
    )
    shift = whole.min(0) - inked.min(0)
    assert cKDTree(whole).query(first + shift)[0].max() < TRUE_MM


@pytest.mark.parametrize("name", DRAWINGS)
@pytest.mark.parametrize("size", SIZES)
def test_no_view_is_cut_across_two_rows_and_no_sheet_is_without_the_bar(size, name):
    places = laid(name, size)
    rows = {}
    for sheet in sheets(name, size):
        assert len(sheet.bar) > 20, (sheet.row, sheet.column)
        rows.setdefault(sheet.row, []).append(sheet.bar + places[sheet.row, sheet.column])
    spans = [(np.concatenate(bars)[:, 1].min(), np.concatenate(bars)[:, 1].max()) for _, bars in sorted(rows.items())]
    assert all(above[1] < below[0] - 10.0 for above, below in pairwise(spans))
    assert sum(len(sheet.crosses) for sheet in sheets(name, size)) > 0


@pytest.mark.parametrize("size", SIZES)
def test_there_are_as_many_sheets_as_are_said_and_each_says_where_it_belongs(size):
    printed = pages("order 7", size)
    assert len(printed) == tile_count(DRAWING, size) == len(list(tiles(DRAWING, size)))
    assert len({(sheet.row, sheet.column) for sheet in sheets("order 7", size)}) == len(printed)
    assert all("Glue that edge on the dashed line" in " ".join(page.extract_text().split()) for page in printed)
    assert float(printed[0].mediabox.width) / 72 * 25.4 == pytest.approx(SIZES_MM[size][0], abs=0.01)


def test_the_dimensions_written_on_it_are_those_of_the_bar_and_of_the_lines_beside_them():
    (page,) = pages("order 7", LONG)
    words = " ".join(page.extract_text().split())
    shape, upright = shape_from_recipe(RECIPE), shape_from_recipe(risers_upright(RECIPE))
    for said in (
        f"width {shape.width_mm:.1f} mm", f"rise {shape.rise_mm:.1f} mm", f"setback {shape.setback_mm:.1f} mm",
        f"rise, risers upright {upright.rise_mm:.1f} mm", f"backsweep {shape.backsweep_deg:.1f}°",
        f"upsweep {shape.upsweep_deg:.1f}°", f"straight {RECIPE.straight_mm:.1f} mm", "clamp flat 50.0 mm",
        "crossbar 9.5 mm, 40.0 mm over the clamp axis", f"cut length {shape.cut_length_mm:.1f} mm",
    ):  # fmt: skip
        assert said in words
    # a dimension line of 0.15 mm stands for each length, as long as the number beside it
    drawn = [np.ptp(line.places, axis=0).max() for line in lines_of(page) if abs(line.width_mm - 0.15) < 0.01]
    for length in (shape.width_mm, shape.rise_mm, abs(shape.setback_mm), upright.rise_mm):
        assert min(abs(one - length) for one in drawn) < 0.05


def test_the_crossbar_is_drawn_where_it_sits_and_nothing_without_one():
    with_it, without = (
        lines_of(pages_of(full_size_pdf(one, LONG))[0]) for one in (DRAWING, replace(DRAWING, crossbar=None))
    )
    assert len(without) < len(with_it)
    level = [line.places for line in with_it if abs(line.width_mm - 0.35) < 0.01 and len(line.places) == 2]
    assert len(level) == 6  # two edges in each of three views
    square = sorted(level, key=lambda places: places[0, 1])[-2:]
    assert square[1][0, 1] - square[0][0, 1] == pytest.approx(9.525, abs=0.02)
    # on the outside of the right riser at its own height: half the axis length, and r + R along the slope, by hand
    a = np.radians(25.0)
    lower, upper = (0.5 * np.ptp(places[:, 0]) for places in square[::-1])
    assert upper - lower == pytest.approx(9.525 / np.tan(a), abs=0.05)


@pytest.mark.parametrize("drawing", [DRAWING, TALL, replace(DRAWING, unit="in")], ids=["order 7", "tall", "inches"])
def test_no_words_are_on_each_other(drawing):
    page = long_page(drawing)
    page.figure.set_dpi(100.0)
    renderer = FigureCanvasAgg(page.figure).get_renderer()
    boxes = np.array([text.get_window_extent(renderer).extents for text in page.axes.texts]) / 100.0 * 25.4
    low, high = boxes[:, :2] + 0.2, boxes[:, 2:] - 0.2
    crossing = np.all((low[:, None] < high[None]) & (low[None] < high[:, None]), axis=-1)
    assert not [
        (page.axes.texts[i].get_text(), page.axes.texts[j].get_text()) for i, j in np.argwhere(np.triu(crossing, 1))
    ]
    assert boxes.min() > 3.0
