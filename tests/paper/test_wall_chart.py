"""Wall charts on paper: what is drawn is what is computed, at true size, fonts inside, and figures/ is up to date."""

import io
import shutil
import subprocess
from dataclasses import replace

import numpy as np
import pytest
from every_sheet import SHEETS
from matplotlib import image
from PIL import Image
from printed import fonts_are_inside
from pypdf import PdfReader

from barmath import Die, Tube
from barmath.paper.figures import alike, figures, in_sixteen_greys, main
from barmath.paper.graph import Graph, round_steps
from barmath.paper.labels import clear_shifts
from barmath.paper.page import SOFT, Page
from barmath.paper.wall_chart import LABEL_MM, wall_chart
from barmath.paper.wall_pairs import die_sheets
from barmath.paper.wall_settings import settings_sheet
from barmath.planning.chart_data import Chart, rise_lines
from barmath.shop.shop_file import shop_from_file

ON_PAPER_MM = 1e-6
BARS = {"width_mm": 780.0, "clamp_flat_mm": 50.0, "controls_mm": 180.0, "backsweep_deg": 10.0}
CHART = Chart(Tube(22.225, 1.4732, name="7/8 x 0.058"), Die(88.9, least_straight_mm=65, name="die 89"), **BARS)
DPI = 300


SIZES = {"A4": (210, 297), "A3": (297, 420), "Letter": (215.9, 279.4)}


def text_of(pdf):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


@pytest.fixture(scope="module")
def drawn():
    return {size: wall_chart(CHART, size) for size in SIZES}


@pytest.fixture(scope="module")
def pdfs(drawn):
    return {size: chart.page.pdf("die 89") for size, chart in drawn.items()}


@pytest.mark.parametrize("name", [name for name in SHEETS if name.startswith("wall")])
def test_a_sheet_for_the_wall_explains_the_words_that_are_on_it_and_no_others(name):
    words = text_of(SHEETS[name]())
    shown, meant = words.split("Rise: ")
    assert ("Marks: " in meant) == (" mark " in shown)
    assert ("Finder: " in meant) == (" finder " in shown)


def test_the_reasons_on_a_sheet_of_dies_are_written_in_one_size():
    (sheet,) = die_sheets([replace(CHART, die=replace(CHART.die, least_straight_mm=straight)) for straight in (65, 90)])
    reasons = [text for text in sheet.axes.texts if text.get_color() == SOFT]
    assert len({text.get_text() for text in reasons}) > 1
    assert len({text.get_fontproperties().get_size_in_points() for text in reasons}) == 1


@pytest.mark.parametrize("size", SIZES)
def test_numbers_read_back_off_the_drawn_lines_are_the_computed_ones(drawn, size):
    for line in rise_lines(CHART):
        distance, rise = drawn[size].rise.drawn(f"rise {line.bend_deg:g}")
        assert distance == pytest.approx(line.distance_mm, abs=ON_PAPER_MM)
        assert rise == pytest.approx(line.rise_mm, abs=ON_PAPER_MM)


def test_every_line_is_inside_its_frame_and_differs_from_its_neighbours_in_black_and_white(drawn):
    drawn = drawn["A4"]
    lines = [line for line in drawn.page.axes.lines if str(line.get_gid()).startswith("rise ")]
    for line in lines:
        x, y = drawn.rise.from_page(np.stack([line.get_xdata(), line.get_ydata()], -1))
        assert drawn.rise.x_range[0] <= x.min() <= x.max() <= drawn.rise.x_range[1]
        assert drawn.rise.y_range[0] <= y.min() <= y.max() <= drawn.rise.y_range[1]
        assert line.get_color() == "black"
    styles = [line.get_linestyle() + str(line._unscaled_dash_pattern) for line in lines]
    assert len(set(styles)) == len(lines)


@pytest.mark.skipif(shutil.which("pdftoppm") is None, reason="no pdftoppm: install poppler-utils")
@pytest.mark.parametrize("size", ["A4", "A3", "Letter"])
def test_the_line_of_100_mm_is_100_mm_on_paper(pdfs, size, tmp_path):
    pdf = tmp_path / "chart.pdf"
    pdf.write_bytes(pdfs[size])
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-png", "-singlefile", pdf, tmp_path / "chart"], check=True)
    grey = np.atleast_3d(image.imread(tmp_path / "chart.png"))[..., 0]
    foot = grey[int(0.965 * len(grey)) :]
    longest = max((_longest_run(row < 0.5) for row in foot), default=0)
    assert longest / DPI * 25.4 == pytest.approx(100.0, abs=0.1)


def _longest_run(dark):
    edges = np.flatnonzero(np.diff(np.concatenate([[0], dark.astype(int), [0]])))
    return int((edges[1::2] - edges[::2]).max(initial=0))


@pytest.mark.parametrize("size", ["A4", "A3", "Letter"])
def test_the_page_has_its_size_and_equal_bytes_twice(drawn, pdfs, size):
    assert pdfs[size] == drawn[size].page.pdf("die 89")
    (page,) = PdfReader(io.BytesIO(pdfs[size])).pages
    assert [float(side) / 72 * 25.4 for side in page.mediabox[2:]] == pytest.approx(SIZES[size], abs=0.01)


def test_a_wall_chart_has_its_fonts_inside(drawn, shipped_letters):
    (page,) = PdfReader(io.BytesIO(drawn["A4"].page.pdf("die 89"))).pages
    assert fonts_are_inside(page)


def test_a_chart_says_what_it_takes_for_granted_and_its_springback(pdfs):
    words = text_of(pdfs["A4"])
    for part in (
        "die 89", "sweep 10°", "780 wide, clamp 50, controls 180 mm", "a springback of 2.8 %",
        "780.0 mm (30 23/32 in) wide", "risers upright", "180.0 mm", "ISO 4210", "One stop for all four bends",
    ):  # fmt: skip
        assert part in words


def test_a_table_prints_the_marks_in_mm_and_in_inches_and_names_the_longest_tube():
    chart = replace(CHART, stock_length_mm=845.0)
    words = text_of(settings_sheet(chart).pdf("x"))
    assert "64.9" in words
    assert "Tube at most 845" in words
    assert "2 9/16" in text_of(settings_sheet(CHART, unit="in").pdf("x"))


def test_stops_without_a_line_are_named_with_the_reason_and_the_longest_tube_with_its_length():
    chart = replace(CHART, die=Die(165.1, least_straight_mm=65), stock_length_mm=900.0)
    words = text_of(wall_chart(chart).page.pdf("x"))
    assert "No line for bends of 25°, 30°, 35°, 40° (no room for tooling and controls)" in words
    assert "Tube at most 900" in words


def test_a_die_that_makes_nothing_is_drawn_and_said():
    chart = Chart(CHART.tube, Die(250.0, least_straight_mm=120), controls_mm=220)
    assert "this die makes none of these bars" in text_of(wall_chart(chart).page.pdf("x"))


def test_a_graph_maps_numbers_to_places_and_back():
    graph = Graph(Page("A4"), 20, 30, 100, 50, (0, 10), (5, 15))
    assert graph.to_page([0, 10], [5, 15]).tolist() == [[20, 80], [120, 30]]
    x, y = graph.from_page(graph.to_page([3.3], [7.7]))
    assert (x[0], y[0]) == pytest.approx((3.3, 7.7))
    assert round_steps((61.0, 95.0), 10) == [70, 80, 90]


def test_labels_keep_clear_of_each_other_and_of_the_lines_and_move_as_little_as_they_can():
    across = np.linspace(0, 30, 200)
    line = np.stack([across, np.full(200, 52.0)], -1)
    free, below, above = clear_shifts([[0, 20], [0, 50], [0, 24]], (30, 10), [line], 0, 100)
    assert (free, below, above) == (0.0, -3.0, 6.0)
    assert clear_shifts([[0, 50]], (30, 10), [], 0, 100) == [0.0]
    assert clear_shifts([[0, 2]], (30, 10), [], 0, 100) == [3.0]


@pytest.mark.parametrize("sweep", [0.0, 10.0, 14.0, 20.0])
def test_stops_are_named_inside_the_frame_and_apart_even_where_lines_cross(sweep):
    drawn = wall_chart(replace(CHART, backsweep_deg=sweep))
    stops = {f"{line.stop_deg:.1f}°" for line in drawn.lines}
    inside = [text for text in drawn.page.axes.texts if text.get_position()[1] < drawn.rise.bottom]
    names = [text for text in inside if text.get_text() in stops]
    places = np.array([text.get_position() for text in names])
    assert len(names) >= 3
    assert places[:, 0].max() + LABEL_MM[0] <= drawn.rise.left + drawn.rise.width
    assert drawn.rise.top < places[:, 1].min() < places[:, 1].max() < drawn.rise.bottom
    gaps = np.abs(places[:, None] - places[None])
    apart = (gaps[..., 0] >= LABEL_MM[0]) | (gaps[..., 1] >= LABEL_MM[1] - ON_PAPER_MM)
    assert apart[~np.eye(len(names), dtype=bool)].all()


def test_pictures_in_sixteen_greys_show_the_same_in_half_the_bytes(drawn):
    png = drawn["A4"].page.png(80)
    assert alike(in_sixteen_greys(in_sixteen_greys(png)), in_sixteen_greys(png))
    assert len(in_sixteen_greys(png)) < 0.5 * len(png)
    shown, small = (np.array(Image.open(io.BytesIO(data)).convert("L"), float) for data in (png, in_sixteen_greys(png)))
    assert np.abs(shown - small).max() <= 255 / 8


def test_the_command_writes_what_is_missing_and_says_what_differs(root, tmp_path, capsys, monkeypatch):
    few = [("one.pdf", lambda: b"%PDF one"), ("two.png", lambda: b"two")]
    assert next(figures(shop_from_file(root / "notebooks" / "demo" / "shop.toml")))[0].startswith("wall_")
    monkeypatch.setattr("barmath.paper.figures.figures", lambda shop: few)
    name = few[0][0]
    assert main(["--paper", "--check", "--folder", str(tmp_path)]) == 1
    assert f"{name}: is missing" in capsys.readouterr().out
    assert main(["--paper", "--folder", str(tmp_path)]) == 0
    assert main(["--paper", "--check", "--folder", str(tmp_path)]) == 0
    (tmp_path / name).write_bytes(b"other")
    assert main(["--paper", "--check", "--folder", str(tmp_path)]) == 1
    assert f"{name}: differs" in capsys.readouterr().out


def test_files_are_alike_up_to_what_can_be_seen(drawn, pdfs):
    assert alike(pdfs["A4"], pdfs["A4"])
    assert not alike(pdfs["A4"], pdfs["A3"])
    small, other = drawn["A4"].page.png(40), drawn["Letter"].page.png(40)
    assert not alike(small, other)
    assert not alike(pdfs["A4"], small)
