"""The panel of the finished bar and its check sheet, without a browser."""

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import ipywidgets as widgets
import numpy as np
import pytest
from pypdf import PdfReader

from barmath.checking.bench_readings import KINDS, wanted_readings
from barmath.panels.inspection import InspectionPanel, inspection_panel
from barmath.panels.inspection_state import drawings
from barmath.panels.ordered_bar_state import UPSWEEP_WORDS
from barmath.panels.shell import FAULT
from barmath.paper.check_sheet import CheckSheet, check_sheet, check_sheet_pdf
from barmath.pictures.checked_in_space import MEASURED, ORDERED
from barmath.refusal import BendError
from barmath.shop.shop_file import shop_from_file
from barmath.space.drawing import FACETS

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"
FOUR = (0, 1, 4, 5)


@pytest.fixture
def panel(tmp_path):
    return InspectionPanel(shop_from_file(DEMO), sheets_folder=tmp_path)


def type_in(panel, texts):
    for place, text in texts.items():
        panel.readings[place].box.value = text


def test_without_readings_it_says_what_to_begin_with(panel):
    assert "No readings yet" in panel.message.value
    assert "begin with both backsweeps and both rises" in panel.message.value
    assert panel.fit.value == ""
    meant, came_out = panel.figure.data[:2]
    assert len(meant.x) > 100
    assert len(came_out.x) == 0


def test_too_few_readings_are_refused_and_cleared_ones_leave_no_bar(panel):
    type_in(panel, dict(zip(FOUR[:2], ("14.7", "13.8"), strict=True)))
    assert "a fit must have at least 4 readings, got 2" in panel.message.value
    type_in(panel, dict(zip(FOUR, ("14.7", "13.8", "90", "90"), strict=True)))
    assert len(panel.figure.data[1].x) > 100
    panel.clear.click()
    assert len(panel.figure.data[1].x) == 0


def test_sides_that_differ_by_most_of_a_degree_are_worth_a_touch(panel):
    type_in(panel, dict(zip(FOUR, ("14.7", "13.8", "90", "90"), strict=True)))
    assert "Worth a touch" in panel.message.value
    assert "Take the left upsweep, the right upsweep" in panel.message.value
    assert "0.9 deg apart in backsweep" in panel.message.value
    assert "not known" in panel.fit.value
    assert len(panel.figure.data[1].x) > 100


@pytest.mark.parametrize(("right", "colour"), [("90.6", "good"), ("98", "warn")])
def test_advice_on_a_bar_that_reads_outside_is_not_in_green(panel, right, colour):
    type_in(panel, dict(zip(FOUR, ("14.2", "14.3", "90", right), strict=True)))
    assert f"barmath-{colour}" in panel.message.value
    assert ("barmath-good" in panel.message.value) is (colour == "good")
    assert ("Read again first" in panel.message.value) is (colour == "warn")


def test_readings_of_the_ordered_bar_leave_it_alone_with_every_angle_said(panel):
    values = wanted_readings(panel.readout.recipe)
    type_in(panel, {place: f"{value + 0.0:.3f}" for place, value in enumerate(values)})
    assert "Leave it alone" in panel.message.value
    assert "not known" not in panel.fit.value
    assert all(abs(panel.readout.inspection.off[kind.key]) < 0.1 for kind in KINDS)


NONSENSE = ("wide", "1e400", "--3", "nan", "<b>12</b>")


@pytest.mark.parametrize(
    ("place", "text"), [*((place, NONSENSE[place % 5]) for place in range(len(KINDS))), *((4, one) for one in NONSENSE)]
)
def test_nonsense_in_a_box_is_said_and_nothing_else_is_lost(panel, place, text):
    others = {4: "90", 5: "90", 0: "14", 1: "14", 10: "800", 9: "340"}
    type_in(panel, {k: v for k, v in others.items() if k != place})
    before = panel.readout.advice
    panel.readings[place].box.value = text
    assert panel.readings[place].box.value == text
    assert FAULT not in panel.message.value
    assert "<b>12" not in panel.message.value
    assert panel.readout.refused[KINDS[place].key]
    assert panel.readout.advice is not None
    assert panel.readout.advice.verdict == before.verdict


@pytest.mark.parametrize(
    ("place", "text", "hint"),
    [(0, "140", "read it again"), (0, "-14", "look at its sign"), (4, "3.5", "type 3.5 in"), (4, "3.5 in", None)],
)
def test_a_wrong_unit_or_sign_is_refused_with_a_hint(panel, place, text, hint):
    type_in(panel, {0: "14", 1: "14", 4: "90", 5: "90", 10: "800"} | {place: text})
    if hint is None:
        assert panel.readout.inspection is not None
    else:
        assert hint in panel.message.value.lower()
        assert panel.readout.advice is None


@pytest.mark.parametrize("sign", ["±", "+-", " +/- "])
def test_a_reading_may_say_how_sure_it_is(panel, sign):
    type_in(panel, {0: f"14.2{sign}0.5", 1: "14", 4: f"89.5 {sign} 2 mm", 5: "90"})
    errors = {reading.key: reading.error for reading in panel.readout.inspection.readings}
    assert errors == {"backsweep_left": 0.5, "backsweep_right": 0.2, "rise_left": 2.0, "rise_right": 0.7}
    panel.readings[0].box.value = f"14.2 {sign} wide"
    assert "backsweep_left" in panel.readout.refused


def test_in_inches_a_bare_number_is_inches(panel):
    panel.unit.value = "in"
    type_in(panel, {0: "14", 1: "14", 4: "3.54", 5: "3 9/16"})
    assert panel.readout.inspection.measures["rise_left"].value == pytest.approx(3.54 * 25.4, abs=0.01)
    assert "in" in panel.wanted[4].value


def test_a_reading_that_fits_no_other_is_said(panel):
    values = dict(enumerate(f"{v + 0.0:.2f}" for v in wanted_readings(panel.readout.recipe)))
    type_in(panel, values | {4: "98"})
    assert panel.fit.value.count("does not fit the others: read it again") == 1
    assert "Read again first (the left rise: it does not fit the others" in panel.message.value
    assert not any(word in panel.message.value for word in ("tweak it", "scrap"))


def test_a_reading_may_be_taken_twice_and_must_come_out_alike(panel):
    type_in(panel, {0: "14.1; 14.3", 1: "14", 4: "89,5;90,1 ± 0.5", 5: "90"})
    left, _, rise, _ = panel.readout.inspection.readings
    assert (left.times, left.value, left.error) == (2, pytest.approx(14.2), 0.2)
    assert (rise.times, rise.value, rise.error) == (2, pytest.approx(89.8), 0.5)
    panel.readings[0].box.value = "14.1; 15.9"
    assert "must come out alike when it is read twice, got values 1.8 deg apart" in panel.message.value


def test_what_the_readings_would_not_show_is_said_before_the_advice(panel):
    values = dict(enumerate(f"{v + 0.0:.2f}" for v in wanted_readings(panel.readout.recipe)))
    type_in(panel, {place: text for place, text in values.items() if place not in (2, 3, 6)})
    said = panel.message.value
    assert said.index("If you misread the") < said.index("Leave it")
    assert "Take the left upsweep too." in said
    assert "a slip shows from" in panel.fit.value


def middles(panel, name):
    """Where the middle of each ring of a bar in space is."""
    return panel.picture.things[name].vertices.reshape(-1, FACETS, 3).mean(1)


def seen(panel):
    return {name for name, thing in panel.picture.things.items() if thing.visible}


def test_the_bar_in_space_is_the_ordered_one_and_follows_what_is_read(panel):
    assert ORDERED in seen(panel)
    assert not any(MEASURED in name for name in seen(panel))
    assert "none measured yet" in panel.view.care.says
    type_in(panel, dict(zip(FOUR, ("14.2", "14.3", "90 mm", "95 mm"), strict=True)))
    assert seen(panel) == {*panel.picture.things}
    ordered, measured = (middles(panel, name) for name in (ORDERED, MEASURED))
    ends = [place[[0, -1], 2] for place in (ordered, measured)]
    assert ends[1] - ends[0] == pytest.approx([0.0, 5.0], abs=0.5)
    assert "rise right 9" in panel.view.care.says
    panel.unit.value = "in"
    assert "in, wanted" in panel.view.care.says
    panel.clear.click()
    assert not any(MEASURED in name for name in seen(panel))


def test_a_reading_moves_the_bar_in_space_by_one_message(panel, monkeypatch):
    type_in(panel, dict(zip(FOUR, ("14.2", "14.3", "90", "95"), strict=True)))
    panel.view.together._handle_custom_msg({"listens": True}, [])
    sent = []
    monkeypatch.setattr(widgets.Widget, "_send", lambda widget, message, buffers=None: sent.append(widget))
    type_in(panel, {FOUR[-1]: "96"})
    shows = [panel.view.together, panel.view.care, panel.picture.plot, *panel.picture.things.values()]
    assert [one for one in sent if one in shows] == [panel.view.together]


def test_an_order_that_cannot_be_made_shows_no_bar_in_space(panel):
    type_in(panel, dict(zip(FOUR, ("14.2", "14.3", "90", "90"), strict=True)))
    panel.show(replace(panel.state, bar=replace(panel.state.bar, width_mm=350.0, rise_mm=200.0)))
    assert panel.readout.recipe is None
    assert not seen(panel)
    assert "cannot be made" in panel.view.care.says


@pytest.mark.parametrize("upsweep", UPSWEEP_WORDS)
def test_a_bar_that_reads_as_ordered_is_drawn_on_the_ordered_one_however_it_is_clamped(panel, upsweep):
    panel.show(replace(panel.state, bar=replace(panel.state.bar, upsweep=upsweep)))
    wanted = panel.readout.wanted.values()
    type_in(panel, {place: f"{one + 0.0:.3f}" for place, one in enumerate(wanted) if not np.isnan(one)})
    assert np.abs(middles(panel, ORDERED) - middles(panel, MEASURED)).max() < 0.01
    ordered, measured = drawings(panel.readout, 22.2)
    assert np.abs(ordered.front - measured.front).max() < 0.01


def test_the_sheet_says_where_a_gap_is_read_in_the_minus_case_with_the_panel_s_own_words(panel):
    pdf, _ = panel.check_sheet("order 7", "A4")
    words = " ".join(PdfReader(BytesIO(pdf)).pages[0].extract_text().split())
    for kind in KINDS:
        assert kind.how in words


@pytest.mark.parametrize("name", ["sweep_tolerance", "rise_tolerance", "rock_tolerance"])
@pytest.mark.parametrize("end", ["low", "high"])
def test_every_slider_goes_to_both_its_ends(panel, name, end):
    type_in(panel, dict(zip(FOUR, ("14", "14", "90", "90"), strict=True)))
    row = getattr(panel, name)
    row.value = getattr(row, end)
    assert FAULT not in panel.message.value


def test_clearing_leaves_no_reading(panel):
    type_in(panel, dict(zip(FOUR, ("14", "14", "90", "90"), strict=True)))
    panel.clear.click()
    assert panel.state.typed == ("",) * len(KINDS)
    assert "No readings yet" in panel.message.value


@pytest.mark.parametrize("page", ["A4", "Letter"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_the_check_sheet_names_every_reading_with_what_is_wanted(panel, page, unit):
    panel.unit.value = unit
    pdf, png = panel.check_sheet("order <7>", page)
    words = " ".join(PdfReader(BytesIO(pdf)).pages[0].extract_text().split())
    assert "order <7>" in words
    sheet = CheckSheet("order <7>", panel.readout.recipe, 22.225, unit=unit)
    for kind, value in zip(KINDS, wanted_readings(panel.readout.recipe), strict=True):
        assert kind.name in words
        assert sheet.shown(kind, float(value) + 0.0) in words
    assert f"This line must be {'100 mm' if unit == 'mm' else '4 in'} long" in words
    assert png.startswith(b"\x89PNG")


def test_nothing_on_the_check_sheet_is_off_the_paper_or_on_the_check_line(panel):
    figure = check_sheet(CheckSheet("order 7", panel.readout.recipe, 22.225), "Letter")
    axes = figure.axes[0]
    figure.draw_without_rendering()
    tops = [text.get_window_extent().transformed(axes.transData.inverted()) for text in axes.texts]
    assert all(box.x0 > -0.1 and box.x1 < 216.0 and min(box.y0, box.y1) > 0.0 for box in tops)
    lowest = max(max(box.y0, box.y1) for box in tops)
    assert lowest < 279.4


def test_equal_sheets_are_equal_bytes_and_a_bar_that_cannot_be_has_none(panel):
    sheet = CheckSheet("order 7", panel.readout.recipe, 22.225)
    assert check_sheet_pdf(sheet) == check_sheet_pdf(sheet)
    panel.ordered.bend.value, panel.ordered.backsweep.value = 10.0, 40.0
    with pytest.raises(BendError):
        panel.check_sheet("order 7", "A4")
    assert np.isfinite(panel.figure.layout.height)


def test_running_the_cell_again_shows_the_same_panel():
    assert inspection_panel(DEMO) is inspection_panel(DEMO)
