"""The bench sheet on paper: true scale, everything that is needed on it, legible, and the same every time."""

import io
import subprocess
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from matplotlib import image
from printed import fonts_are_inside, lines_of, lines_on_each_other, pages_of, places_of
from pypdf import PdfReader

from barmath import (
    Bender,
    BendError,
    Die,
    Order,
    Recipe,
    Tube,
    recipe_from_inner_bend,
    recipe_from_order,
    shape_from_recipe,
    springback_from_tube,
)
from barmath.bending.holds import poses_from_recipe
from barmath.bending.steps import HABITS
from barmath.closed_forms.forward import grips_level, risers_upright
from barmath.lengths import length_text
from barmath.paper.bench_data import BenchSheet
from barmath.paper.bench_parts import MOST_WATCH_LINES, tube_size, watched
from barmath.paper.bench_sheet import bench_sheet, bench_sheet_pdf, bench_sheet_png
from barmath.paper.bender_view import Field, draw_flat, draw_from_above, to_one_scale
from barmath.paper.letters import printable
from barmath.paper.page import Page, broken, shortened, text_width
from barmath.paper.sizes import SIZES_MM
from barmath.shop.cautions import BENDING, PLUGS, SCREEN

TUBE = Tube(22.225, 1.4732, name="7/8 x 0.058")
DIE = Die(88.9, name="die 89")
RADIUS = springback_from_tube(TUBE, DIE).finished_radius_mm
PAGES = list(SIZES_MM)

PRINTED_MM = 0.1
"""How true the 100 mm line must be."""

LONG_WARNING = (
    "spare straight must be at least 3.0 mm, so that a small error leaves something to hold, got 0.4 mm: choose "
    "another bend or die, and this sentence goes on for a good while after that, as some do"
)


def sheet_for(name="order 7", bend_deg=28.0, **changes):
    asked = {"rise_mm": 78.0, "backsweep_deg": 12.0, "width_mm": 780.0, "controls_mm": 170.0}
    order = Order(**asked | {key: changes.pop(key) for key in list(changes) if key in Order.__dataclass_fields__})
    return BenchSheet(name, order, recipe_from_order(order, RADIUS, bend_deg), **{"tube": TUBE, "die": DIE} | changes)


def sheet_of(recipe, order=None, **changes):
    return BenchSheet("order 7", order or Order(80.0, 12.0, 780.0), recipe, TUBE, DIE, **changes)


UPRIGHT = sheet_for()
UNEQUAL_ORDER = Order(80.0, 14.0, 790.0, 5.0, controls_mm=150.0)
UNEQUAL = recipe_from_inner_bend(UNEQUAL_ORDER, RADIUS, 33.0)
SHEETS = {
    "risers upright": UPRIGHT,
    "upsweep ordered": sheet_for(rise_mm=70.0, upsweep_deg=3.0),
    "grips level": sheet_for(rise_mm=70.0, upsweep_deg=0.0),
    "no sweep": sheet_for(backsweep_deg=0.0),
    "swept forward": sheet_for(backsweep_deg=-8.0),
    "inches": sheet_for(unit="in"),
    "bender turns right": sheet_for(bender=Bender("right")),
    "unequal bends, seven long warnings": sheet_of(
        UNEQUAL, replace(UNEQUAL_ORDER, rise_mm=70.0), warnings=(LONG_WARNING,) * 7
    ),
    "inches, many warnings": sheet_for(unit="in", warnings=(LONG_WARNING,) * 7),
    "short flat, small bends": sheet_of(Recipe(20.0, 10.0, 65.0, 10.0, 10.0, 300.0, RADIUS)),
    "wide, steep": sheet_of(Recipe(90.0, 60.0, 120.0, 25.0, 60.0, 180.0, RADIUS)),
    "leaning over": sheet_of(Recipe(50.0, 28.0, 90.0, 120.0, 28.0, 180.0, RADIUS)),
    "upsweep ordered, inches": sheet_for(rise_mm=70.0, upsweep_deg=3.0, unit="in"),
    "line-up offset": sheet_for(die=replace(DIE, line_up_offset_mm=-2.5)),
    "a long name": sheet_for(name="order 7 for a rider who told the whole story of the last tour and the one before"),
}
ON_A4 = ["risers upright", "upsweep ordered", "inches, many warnings"]
"""Letter has less room, so that what fits there fits on A4; these are looked at on both."""


@cache
def pdf_of(sheet, page="A4"):
    return bench_sheet_pdf(sheet, page)


def pdf_text(sheet, page="A4"):
    return " ".join(PdfReader(io.BytesIO(pdf_of(sheet, page))).pages[0].extract_text().split())


def sheet_text(sheet):
    """The words put on the page; that words reach the PDF is tested once, and costs a second a sheet."""
    return " ".join(text.get_text() for text in bench_sheet(sheet).axes[0].texts)


def ink_mm(pdf, dpi, tmp_path):
    """The first and the last column of a page that has ink, mm, as poppler prints it."""
    (tmp_path / "page.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-gray", "-r", str(dpi), "-singlefile", "page.pdf", "page"], cwd=tmp_path, check=True)
    dark = np.flatnonzero((image.imread(tmp_path / "page.pgm") < 128).any(axis=0))
    return dark[[0, -1]] / dpi * 25.4


def foot_in_dots(page, dpi, tmp_path):
    """The lowest 25 mm of the sheet, 115 mm wide, as poppler prints it: grey, 0 black to 255 white."""
    (tmp_path / "sheet.pdf").write_bytes(pdf_of(UPRIGHT, page))
    height, wide, tall = (round(length / 25.4 * dpi) for length in (SIZES_MM[page][1], 115.0, 25.0))
    crop = [str(part) for part in ("-x", 0, "-y", height - tall, "-W", wide, "-H", tall)]
    command = ["pdftoppm", "-gray", "-r", str(dpi), "-singlefile", *crop, "sheet.pdf", "sheet"]
    subprocess.run(command, cwd=tmp_path, check=True)
    dots = (tmp_path / "sheet.pgm").read_bytes()[-wide * tall :]
    return np.frombuffer(dots, np.uint8).reshape(tall, wide)


def longest_dark_run(row):
    edges = np.flatnonzero(np.diff(np.concatenate([[0], row < 128, [0]]).astype(int)))
    return int(np.max(edges[1::2] - edges[::2], initial=0))


@pytest.mark.parametrize("page", PAGES)
def test_the_line_of_100_mm_is_100_mm_on_paper(page, tmp_path):
    dpi = 600
    runs_mm = np.array([longest_dark_run(row) for row in foot_in_dots(page, dpi, tmp_path)]) / dpi * 25.4
    assert runs_mm[runs_mm < 104.0].max() == pytest.approx(100.0, abs=PRINTED_MM)


def test_in_inches_the_line_is_4_inches_with_a_tick_every_quarter():
    (page,) = pages_of(pdf_of(SHEETS["inches"], "Letter"))
    foot = max(line.places[0, 1] for line in lines_of(page) if np.ptp(line.places[:, 0]) > 90.0 and line.width_mm)
    lines = [line.places for line in lines_of(page) if abs(line.width_mm - 0.3) < 0.01]
    lengths = [np.ptp(places[:, 0]) / 25.4 for places in lines if places[0, 1] > foot - 12.0]
    assert pytest.approx(max(length for length in lengths if length < 5.0), abs=0.001) == 4.0
    assert "This line must be 4 in long" in pdf_text(SHEETS["inches"], "Letter")


@pytest.mark.parametrize("page", PAGES)
def test_it_is_one_page_of_its_size_with_its_fonts_embedded(page, shipped_letters):
    reader = PdfReader(io.BytesIO(bench_sheet_pdf(UPRIGHT, page)))
    (only,) = reader.pages
    size = [float(side) / 72.0 * 25.4 for side in (only.mediabox.width, only.mediabox.height)]
    assert size == pytest.approx(SIZES_MM[page], abs=0.01)
    assert fonts_are_inside(only)


def test_equal_sheets_give_equal_bytes_without_a_date():
    assert pdf_of(UPRIGHT) == bench_sheet_pdf(sheet_for())
    assert "/CreationDate" not in PdfReader(io.BytesIO(pdf_of(UPRIGHT))).metadata
    assert pdf_of(UPRIGHT) != bench_sheet_pdf(sheet_for(rise_mm=79.0))


def test_the_preview_is_a_picture_of_the_whole_page():
    picture = bench_sheet_png(UPRIGHT, "Letter", dpi=50)
    assert picture.startswith(b"\x89PNG")
    size = [int.from_bytes(picture[start : start + 4], "big") for start in (16, 20)]
    assert size == pytest.approx([8.5 * 50, 11.0 * 50], abs=1.0)


@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("page", PAGES)
def test_everything_a_builder_needs_is_on_the_sheet(page, unit):
    sheet = sheet_for(unit=unit)
    words = pdf_text(sheet, page)
    shape = shape_from_recipe(sheet.recipe)
    for step in sheet.steps:
        assert step.title in words
        assert length_text(step.mark_mm, unit) in words
        assert length_text(step.mark_from_end_mm, unit) in words
        assert f"{step.stop_deg:.1f}°" in words
        assert step.hold in words
        assert step.reading_deg is None or f"{abs(step.reading_deg):.1f}°" in words
    for length in (shape.cut_length_mm, shape.width_mm, shape.setback_mm, DIE.centerline_radius_mm):
        assert length_text(length, unit) in words
    assert "order 7" in words
    assert "the free end comes round to the LEFT" in words
    assert "ISO 4210" in words
    assert "Bent by" in words


@pytest.mark.parametrize("name", ["risers upright", "upsweep ordered", "grips level", "swept forward"])
def test_both_rises_are_said_and_named(name):
    sheet = SHEETS[name]
    words = sheet_text(sheet)
    for named, recipe in (("risers upright", risers_upright(sheet.recipe)), ("grips level", grips_level(sheet.recipe))):
        shape = shape_from_recipe(recipe)
        assert named in words
        assert length_text(shape.rise_mm) in words
        assert f"{shape.backsweep_deg:.1f}°" in words
        assert f"{round(shape.upsweep_deg, 1) + 0.0:.1f}°" in words
    assert "as ordered" in words
    assert "-0.0" not in words


def test_a_bar_rolled_to_its_ordered_upsweep_has_a_column_of_its_own():
    words = sheet_text(SHEETS["upsweep ordered"])
    assert "in the stem" in words
    roll = SHEETS["upsweep ordered"].recipe.stem_roll_deg
    assert f"{roll:+.1f}°" in words
    assert "+ is rearward" in words
    assert length_text(70.0) in words


def test_the_tube_is_called_by_the_shops_own_name():
    size = tube_size(TUBE, "mm")
    assert f"7/8 x 0.058: {size}" in sheet_text(UPRIGHT)
    nameless = sheet_text(replace(UPRIGHT, tube=replace(TUBE, name="")))
    assert size in nameless
    assert f": {size}" not in nameless


def test_the_cautions_and_the_tolerances_stand_on_the_sheet():
    words = sheet_text(UPRIGHT)
    for caution in (*BENDING, SCREEN, PLUGS):
        assert caution in words
    assert "± 3 mm" in words
    assert "within 1°" in words
    assert "common practice, no source" in words


def test_warnings_are_at_the_head_and_what_does_not_fit_is_counted():
    sheet = sheet_for(warnings=tuple(f"warning {letter}" for letter in "abcdefg"))
    words = sheet_text(sheet)
    shown = MOST_WATCH_LINES - 1
    assert words.count("warning ") == shown
    assert f"and {7 - shown} more" in words
    assert "more:" not in sheet_text(sheet_for(warnings=tuple("abcde")))


def test_a_recipe_that_misses_its_order_is_warned_of():
    missed = replace(UPRIGHT, order=replace(UPRIGHT.order, rise_mm=80.0))
    assert watched(UPRIGHT) == []
    told = "this recipe does not measure what was ordered: rise 80.0 mm ordered, 78.0 mm made"
    assert watched(missed) == [told]
    assert told in sheet_text(missed)
    assert "as in the recipe" in sheet_text(missed)


def test_a_line_up_offset_is_in_the_marks_and_said():
    sheet = replace(UPRIGHT, die=replace(DIE, line_up_offset_mm=2.5))
    words = sheet_text(sheet)
    assert "The marks allow for the die's line-up offset of 2.5 mm." in words
    assert length_text(UPRIGHT.steps[0].mark_mm + 2.5) in words
    assert "line-up offset" not in sheet_text(UPRIGHT)


def test_a_line_is_no_wider_in_print_than_it_is_laid_out(tmp_path):
    words = " ".join(HABITS)[:150]
    page = Page("Letter")
    page.text(10.0, 40.0, words, 6.8)
    first, last = ink_mm(page.pdf("line"), 300, tmp_path)
    assert first == pytest.approx(10.0, abs=0.3)
    assert 0.98 < (last - 10.0) / text_width(words, 6.8) < 1.0


@pytest.mark.parametrize("more", ["", " ".join(("Somebody adds a habit.",) * 11)], ids=["as shipped", "more habits"])
@pytest.mark.parametrize(("name", "page"), [*((name, "Letter") for name in SHEETS), *((name, "A4") for name in ON_A4)])
def test_no_words_are_on_each_other_or_off_the_page(name, page, more, monkeypatch):
    monkeypatch.setattr("barmath.paper.bench_parts.HABITS", (*HABITS, *([more] if more else [])))
    figure = bench_sheet(SHEETS[name], page)
    boxes = places_of(figure.axes[0].texts)
    assert boxes.min() > 5.0
    assert (np.array(SIZES_MM[page]) - boxes[:, 2:]).min() > 5.0
    assert not lines_on_each_other(figure.axes[0].texts)


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        (r"$\frac{1}{2}$ & <b>", r"$\frac{1}{2}$ & <b>"),
        ("one\ntwo\tthree", "one two three"),
        ("\u202eturned\u200b\x07", "turned"),
        ("snow \u2603 and \U0001f6b2", "snow ☃ and ?"),
        ("", ""),
    ],
)
def test_what_a_user_typed_is_shown_harmless(typed, shown):
    assert printable(typed) == shown
    assert shown in sheet_text(sheet_for(name=typed))


def test_mathematics_in_a_name_reaches_the_paper_as_it_was_typed():
    assert r"$\frac{1}{2}$ & <b>" in pdf_text(sheet_for(name=r"$\frac{1}{2}$ & <b>"))


def test_a_name_without_end_is_cut_and_costs_nothing():
    assert "wwww…" in sheet_text(sheet_for(name="w" * 100_000))


def test_a_file_title_carries_the_name():
    assert PdfReader(io.BytesIO(pdf_of(UPRIGHT))).metadata.title == "Bench sheet: order 7"


def test_a_recipe_for_another_die_is_refused():
    with pytest.raises(BendError, match=f"finished radius must be {RADIUS:.1f} mm.*got 100.0 mm"):
        replace(UPRIGHT, recipe=replace(UPRIGHT.recipe, radius_mm=100.0))


@pytest.mark.parametrize(("changes", "words"), [({"unit": "cubit"}, "unit must be"), ({"page": "A9"}, "page must be")])
def test_an_unknown_unit_or_page_is_refused(changes, words):
    page = changes.pop("page", "A4")
    with pytest.raises(BendError, match=words):
        bench_sheet(replace(UPRIGHT, **changes), page)


def test_pictures_from_above_share_one_scale_and_fit_their_fields():
    poses = poses_from_recipe(UPRIGHT.recipe)
    fields = to_one_scale([Field(10.0, 40.0 * n, 52.0, 30.0 + n) for n in range(4)], poses, 88.9)
    assert len({field.scale for field in fields}) == 1
    for field, pose in zip(fields, poses, strict=True):
        for line in (pose.before_mm, pose.after_mm):
            x, y = field.on_page(line[:, :2]).T
            assert field.x <= x.min() <= x.max() <= field.x + field.width
            assert field.y <= y.min() <= y.max() <= field.y + field.height


def test_the_picture_from_above_draws_the_pose_to_scale_with_the_left_side_up():
    pose = poses_from_recipe(UPRIGHT.recipe)[2]
    page = Page()
    draw_from_above(page, Field(50.0, 100.0, 60.0, 40.0, 0.05, (0.0, 0.0)), pose, 88.9, 22.2)
    solid, dashed = page.axes.lines[1], page.axes.lines[0]
    np.testing.assert_allclose(solid.get_xdata(), 80.0 + 0.05 * pose.before_mm[:, 0])
    np.testing.assert_allclose(solid.get_ydata(), 120.0 - 0.05 * pose.before_mm[:, 1])
    np.testing.assert_allclose(dashed.get_ydata(), 120.0 - 0.05 * pose.after_mm[pose.free, 1])
    assert dashed.get_linestyle() == "--"
    (die, *_) = page.axes.patches
    assert die.center == pytest.approx((80.0, 120.0 - 0.05 * 88.9))


@pytest.mark.parametrize("turns", ["left", "right"])
@pytest.mark.parametrize("number", [2, 3])
def test_the_picture_of_the_flat_shows_its_true_slope_with_the_bender_to_the_right(number, turns):
    pose = poses_from_recipe(UPRIGHT.recipe, Bender(turns))[number]
    page = Page()
    draw_flat(page, Field(50.0, 100.0, 30.0, 30.0), pose, "clamp flat", 22.2)
    tube = page.axes.lines[0].get_xydata()
    left, right = pose.ends("clamp flat")
    near, far = (tube[right], tube[left]) if number == 2 else (tube[left], tube[right])
    run, rise = near[0] - far[0], far[1] - near[1]
    assert run > 0.0
    assert np.degrees(np.arctan2(rise, run)) == pytest.approx(pose.slope_deg("clamp flat"))


def test_broken_lines_keep_to_their_width_and_numbers_to_their_units():
    words = "the mark lies 120.4 mm from the middle and 13 13/32 in from the end, at 12.0 deg to the flat " * 3
    for width in (20.0, 31.0, 47.0):
        lines = broken(words, width, 7.0)
        assert all(text_width(line, 7.0) <= width for line in lines)
        assert " ".join(lines).split() == words.split()
        assert not [line for line in lines if line.split()[0] in {"mm", "in", "deg", "13/32"}]


def test_a_word_wider_than_its_line_is_shortened():
    assert broken("w" * 200, 30.0, 7.0)[0].endswith("…")
    assert text_width(shortened("w" * 200, 30.0, 7.0), 7.0) <= 30.0
