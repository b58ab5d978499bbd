"""The panel of the record, without a browser: entering, correcting, looking up, sheets, calibrating."""

import datetime
import re
import shutil
import sqlite3
from dataclasses import replace
from html import unescape
from pathlib import Path

import numpy as np
import pytest
from simulated_shops import DIE, THEORY, TUBE, copied_demo_record
from simulated_shops import shop as simulated

from barmath import BendError, Order, springback_from_tube
from barmath.checking.bench_readings import KINDS
from barmath.panels.calibration_state import drift_words, scatter_words, theory_words
from barmath.panels.record import RecordPanel, record_panel
from barmath.panels.record_state import RecordState, bar_from_state
from barmath.panels.shell import FAULT, parts_of
from barmath.pictures.record import record_figure, update_record
from barmath.planning.ways import LEVEL, ORDERED
from barmath.records.by_settings import Scatter
from barmath.records.calibration import calibrate
from barmath.records.record import Record
from barmath.records.record_sheet import sheet_from_bars
from barmath.shop.shop_file import shop_from_file

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"
SHOP = shop_from_file(DEMO)
TYPED = {
    "name": "order 7", "date": "2026-03-14", "batch": "second", "inner_mark_mm": "85,0", "outer_mark_mm": "185.8",
    "tube_length_mm": "850.1", "inner_stop_deg": "31.0", "outer_stop_deg": "31.0", "clamp_reading_deg": "14",
    "read rise_left": "89.8", "read backsweep_left": "13.9", "notes": "=<b>fine</b>",
}  # fmt: skip


@pytest.fixture
def panel(tmp_path):
    shutil.copy(DEMO, tmp_path / "shop.toml")
    return RecordPanel(tmp_path / "shop.toml", copied_demo_record(tmp_path / "record.db", DEMO))


def type_in(panel, texts):
    for key, text in texts.items():
        panel.entry.boxes[key].value = text


def test_it_opens_with_the_nearest_bars_the_charts_and_the_calibration(panel):
    assert "43 entries in record.db" in panel.message.value
    assert panel.found.value.count("<tr>") == 1 + 1 + 5  # head, model, five bars
    assert "from 40 bars and 3 test bends" in panel.calibration.said.value
    traces = {trace.name: trace for trace in panel.figure.data}
    assert len(traces["calibrated"].x) == 40
    assert np.abs(np.array(traces["calibrated"].x) - traces["calibrated"].y).mean() < 3.0


def test_a_record_of_one_bar_says_one_entry(tmp_path):
    shutil.copy(DEMO, tmp_path / "shop.toml")
    panel = RecordPanel(tmp_path / "shop.toml", Record(tmp_path / "record.db"))
    assert "0 entries in record.db" in panel.message.value
    type_in(panel, TYPED)
    panel.add.click()
    panel.refresh()
    assert "1 entry in record.db" in panel.message.value


def test_calibrated_predictions_are_nearer_to_what_was_read_than_the_theory_s(panel):
    traces = {trace.name: trace for trace in panel.figure.data}
    theory, calibrated = (
        abs(float(np.mean(np.array(traces[name].x) - traces[name].y))) for name in ("by the theory", "calibrated")
    )
    assert calibrated < 0.5 * theory


def test_a_bar_that_is_typed_is_in_the_record_and_can_be_corrected(panel):
    type_in(panel, TYPED)
    panel.add.click()
    assert "order 7 is in the record as entry 44" in panel.message.value
    bar = panel.record.entry(44).holds
    assert bar.inner_mark_mm == pytest.approx(85.0)
    assert bar.readings == {"backsweep_left": 13.9, "rise_left": 89.8}
    panel.entry.corrects.value = "44"
    panel.entry.fetched.click()
    assert "entry 44 is filled in" in panel.message.value
    panel.entry.boxes["read rise_left"].value = "90.3"
    panel.add.click()
    assert panel.record.entry(45).corrects == 44
    assert panel.record.entry(45).holds == replace(bar, readings=bar.readings | {"rise_left": 90.3})
    assert panel.record.entry(44).holds.readings["rise_left"] == 89.8
    type_in(panel, TYPED)
    panel.entry.corrects.value = "44"
    panel.add.click()
    assert "Correct that one: entry to correct must be a current one, got number 44" in panel.message.value
    assert "corrected by number 45 already" in panel.message.value


def test_a_bar_is_added_once_however_often_the_button_is_pressed(panel):
    type_in(panel, TYPED)
    panel.add.click()
    panel.add.click()
    assert panel.record.count() == 44
    assert "name must be given" in panel.message.value
    assert panel.entry.boxes["batch"].value == "second"  # the next bar is of the same, more often than not


def test_the_settings_of_the_formulas_are_filled_in_and_nothing_else(panel):
    type_in(panel, {"name": "order 7", "outer_mark_mm": "190"})
    panel.entry.filled.click()
    texts = {key: box.value for key, box in panel.entry.boxes.items() if box.value}
    assert texts == {
        "name": "order 7", "date": datetime.date.today().isoformat(), "inner_mark_mm": "85.0 mm",
        "outer_mark_mm": "185.8 mm", "tube_length_mm": "850.1 mm", "inner_stop_deg": "31.0", "outer_stop_deg": "31.0",
        "clamp_reading_deg": "14.0",
    }  # fmt: skip
    panel.add.click()
    assert panel.record.entry(44).holds.outer_mark_mm == pytest.approx(185.8)


def test_an_ordered_upsweep_goes_into_the_record_and_comes_back(panel):
    assert panel.ordered.upsweep.slider.disabled
    panel.ordered.upsweep_kind.value, panel.ordered.upsweep.value = ORDERED, 4.0
    panel.ordered.rise.value = 70.0
    type_in(panel, TYPED)
    panel.add.click()
    order = panel.record.entry(44).holds.order
    assert (order.rise_mm, order.upsweep_deg) == (70.0, 4.0)
    panel.ordered.upsweep_kind.value, panel.ordered.rise.value, panel.entry.corrects.value = LEVEL, 90.0, "44"
    panel.entry.fetched.click()
    bar = panel.state.bar
    assert (bar.upsweep, bar.upsweep_deg, bar.rise_mm) == (ORDERED, 4.0, 70.0)
    assert panel.ordered.value == bar


def test_an_entry_that_cannot_be_corrected_here_is_not_fetched(panel):
    bend = panel.record.entries("test bend")[0].number
    for number, words in (
        ("", "got an empty box"),
        ("999", "one of the record"),
        ("9" * 300, "must be a number"),
        (str(bend), "must be a bar"),
    ):
        panel.entry.corrects.value = number
        panel.entry.fetched.click()
        assert words in panel.message.value


@pytest.mark.parametrize("gone", [("die",), ("tube",), ("tube", "die")], ids=" and ".join)
def test_an_entry_with_a_tube_or_die_no_longer_in_the_shop_s_file_is_corrected_and_keeps_them(panel, gone):
    gauges = {"tube": {"tube_diameter_mm": 25.3999, "tube_wall_mm": 1.2345}, "die": {"die_radius_mm": 76.54321}}
    changes = {key: value for what in gone for key, value in ({what: f"old {what}"} | gauges[what]).items()}
    bar = replace(panel.record.entry(40).holds, **changes)
    number = panel.record.add(bar)
    panel.entry.corrects.value = str(number)
    panel.entry.fetched.click()
    for what in ("tube", "die"):
        said = f"it keeps 'old {what}', which is no longer in the shop's file"
        assert (said in unescape(panel.message.value)) == (what in gone)
    panel.entry.boxes["tweaks"].value, panel.ordered.rise.value = "none", 71.0
    panel.add.click()
    corrected = panel.record.entry(number + 1)
    assert corrected.corrects == number
    assert corrected.holds == replace(bar, tweaks="none", order=replace(bar.order, rise_mm=71.0))


def test_another_tube_or_die_is_taken_where_the_entry_s_own_left_the_shop_s_file(panel):
    bar = replace(panel.record.entry(40).holds, die="old die")
    panel.entry.corrects.value = str(panel.record.add(bar))
    panel.entry.fetched.click()
    panel.ordered.die.value = SHOP.dies[1].name
    panel.add.click()
    kept = panel.record.bars()[-1]
    assert (kept.die, kept.die_radius_mm) == (SHOP.dies[1].name, SHOP.dies[1].centerline_radius_mm)


NONSENSE = ("wide", "1e400", "nan", "--1")
BOXES = [*TYPED, *(f"read {kind.key}" for kind in KINDS)]


@pytest.mark.parametrize(("key", "text"), [(key, NONSENSE[place % 4]) for place, key in enumerate(BOXES)])
def test_nonsense_in_a_box_is_said_and_nothing_is_added(panel, key, text):
    type_in(panel, TYPED | {key: text})
    panel.add.click()
    assert FAULT not in panel.message.value
    if key in ("name", "batch", "notes"):
        assert panel.record.count() == 44
    else:
        assert "Not done" in panel.message.value
        assert panel.record.count() == 43
        assert panel.entry.boxes[key].value == text


def test_a_bar_without_a_name_and_a_correction_of_nothing_are_refused():
    with pytest.raises(BendError, match="name must be given, got an empty box"):
        bar_from_state(SHOP, RecordState())


@pytest.mark.parametrize("number", ["x", "-1", "999", "1.5", "9" * 17, "9" * 19, "9" * 300, "9" * 5000])
def test_a_correction_of_no_entry_is_refused(panel, number):
    type_in(panel, TYPED)
    panel.entry.corrects.value = number
    panel.add.click()
    assert "Not done" in panel.message.value
    assert panel.record.count() == 43


def test_another_die_tube_or_batch_has_its_own_bars(panel):
    panel.batch.value = "second"
    assert "from 15 bars and 0 test bends" in panel.calibration.said.value
    panel.batch.value = "all batches"
    panel.ordered.die.value = "die 152"
    assert "from 0 bars and 0 test bends" in panel.calibration.said.value
    assert "made on die 102: its marks are no guide here" in panel.found.value
    panel.unit.value = "in"
    assert "inner mark, in" in panel.found.value
    assert FAULT not in panel.message.value


def test_a_calibration_goes_into_the_shop_s_file_and_out_again(panel):
    before = panel.shop_file.read_text()
    panel.calibration.use.click()
    shop = shop_from_file(panel.shop_file)
    written = shop.calibration(shop.tubes[0], shop.dies[0])
    assert written.source == "40 bars and 3 test bends"
    theory = springback_from_tube(shop.tubes[0], SHOP.dies[0]).ratio
    assert (
        f"written at the end of shop.toml: springback from {theory:.4f} to {written.ratio:.4f}" in panel.message.value
    )
    assert f"line-up offset from 0.00 mm to {written.offset_mm:.2f} mm" in panel.message.value
    panel.calibration.undo.click()
    assert panel.shop_file.read_text() == before
    panel.calibration.undo.click()
    assert "must end with the calibration to delete" in panel.message.value


def test_what_a_button_far_below_the_message_does_is_said_beside_it_too(panel):
    rows = panel.calibration
    for press, said in ((rows.use, "written at the end of shop.toml"), (rows.use, "say below if this is to count"),
                        (rows.undo, "was taken out of shop.toml"), (rows.undo, "calibration to delete")):  # fmt: skip
        press.click()
        assert said in rows.answer.value
        assert said in panel.message.value
        assert "role=" not in rows.answer.value  # a screen reader reads it once
    panel.ordered.rise.value = 80.0
    assert rows.answer.value == ""
    panel.add.click()
    assert panel.added.value
    assert panel.added.value == panel.message.value.replace(' role="status"', "")
    panel.ordered.rise.value = 81.0
    assert panel.added.value == ""


def test_a_calibration_from_an_empty_record_is_refused(panel):
    before = panel.shop_file.read_text()
    panel.ordered.die.value = "die 152"
    assert "from 0 bars and 0 test bends" in panel.calibration.said.value
    panel.calibration.use.click()
    assert "put a test bend or a bar into the record first" in panel.message.value
    assert panel.shop_file.read_text() == before


@pytest.mark.parametrize(
    ("line", "words"),
    [("springback_ratio = 0.033", "a springback of 0.033"), ('line_up_offset = "2 mm"', "a line-up offset of 2.00 mm")],
)
def test_nothing_that_was_measured_is_overwritten_without_asking(tmp_path, line, words):
    file, name = tmp_path / "shop.toml", line.split(" = ")[0]
    text = [line if re.match(rf"(# )?{name} = ", old) else old for old in DEMO.read_text().splitlines()]
    file.write_text("\n".join(text) + "\n")
    panel = RecordPanel(file, copied_demo_record(tmp_path / "record.db", DEMO))
    before = file.read_text()
    assert panel.calibration.use_anyway.layout.display == "none"
    panel.calibration.use.click()
    assert f"shop.toml has {words}" in panel.message.value
    assert "It changes springback from " in panel.message.value
    assert file.read_text() == before
    assert panel.calibration.use_anyway.layout.display == ""
    panel.ordered.rise.value = 80.0  # looked at something else: asked anew
    assert panel.calibration.use_anyway.layout.display == "none"
    panel.calibration.use.click()
    panel.calibration.use_anyway.click()
    assert "written at the end of shop.toml" in panel.message.value
    assert panel.calibration.use_anyway.layout.display == "none"
    panel.calibration.use.click()  # and what was calibrated is measured too
    assert "shop.toml has the calibration of " in panel.message.value


def test_one_bend_has_one_stop_before_and_after_a_calibration(panel):
    def stops():
        row = re.search(r"the model.*?</tr>", panel.found.value, re.S)[0]
        return re.findall(r">(\d+\.\d)<", row)[-2], re.search(
            r"sets the stop to (\d+\.\d)", panel.calibration.said.value
        )

    model, said = stops()
    assert said[1] == model
    assert "in use: theory" in unescape(panel.calibration.said.value)
    panel.calibration.use.click()
    model, said = stops()
    assert said is None
    assert f"the stop is at {model} ±" in panel.calibration.said.value
    assert "in use: calibrated on " in unescape(panel.calibration.said.value)


def test_moving_the_order_does_not_calibrate_again(panel, monkeypatch):
    called = []
    monkeypatch.setattr("barmath.panels.calibration_rows.calibrations", lambda *given: called.append(given))
    panel.ordered.rise.value = 80.0
    assert called == []


def test_a_springback_that_changed_is_said_with_its_day_and_what_to_do(tmp_path):
    file = tmp_path / "shop.toml"
    file.write_text(
        f'name = "the shop simulated"\n[[tube]]\nname = "{TUBE.name}"\noutside_diameter = {TUBE.outside_diameter_mm}\n'
        f'wall = {TUBE.wall_mm}\n[[die]]\nname = "{DIE.name}"\ncenterline_radius = {DIE.centerline_radius_mm}\n'
        f"least_straight = {DIE.least_straight_mm}\n[stops]\nbends_deg = [25, 30]\n"
    )
    bends, bars = simulated(np.where(np.arange(40) < 28, 0.025, 0.045), 4)
    record = Record(tmp_path / "record.db")
    record.add_all([*bends, *bars])
    panel = RecordPanel(file, record)
    drift = panel.calibration.found.drift
    day = datetime.date.fromisoformat(drift.since)
    words = (
        f"Your last {drift.entries} bars spring back more than before (since {day.day} {day:%B %Y}): bend a test piece."
    )
    assert words in panel.calibration.said.value


def test_record_and_theory_that_disagree_and_a_noisy_shop_are_said():
    over = calibrate(TUBE, DIE, *simulated(np.full(40, 2.0 * THEORY), 1))
    assert theory_words(over).startswith("Record and theory disagree. A bend of 25 deg springs back 1.")
    assert drift_words(over) == scatter_words(over) == ""
    noisy = calibrate(TUBE, DIE, *simulated(np.full(40, THEORY), 1, scatter=Scatter().scaled(2.0, 2.0)))
    assert "your bends scatter" in scatter_words(noisy)
    assert theory_words(noisy) == ""


def uploaded(content, name="own.csv"):
    day = datetime.datetime.now(datetime.UTC)
    return ({"name": name, "type": "text/csv", "size": len(content), "content": content, "last_modified": day},)


def test_the_record_s_own_sheet_is_taken_back_after_a_preview(panel):
    panel.sheets.out.export.click()
    sheet = panel.record.path.with_suffix(".csv").read_bytes()
    assert sheet == sheet_from_bars(panel.record.bars())
    panel.sheets.own.upload.value = uploaded(sheet)
    assert "40 bars can be taken, 0 rows cannot" in panel.sheets.own.preview.value
    assert panel.record.count() == 43
    panel.sheets.own.take.click()
    assert panel.record.count() == 43
    assert "the record has 0 bars more now. It had 40 bars already" in panel.sheets.message.value
    assert panel.sheets.own.take.disabled


def test_a_sheet_is_replaced_only_at_a_second_press(panel):
    path = panel.record.path.with_suffix(".csv")
    path.write_bytes(b"mine")
    assert panel.sheets.out.replace.layout.display == "none"
    panel.sheets.out.export.click()
    assert "record.csv exists already" in panel.sheets.message.value
    assert path.read_bytes() == b"mine"
    assert panel.sheets.out.replace.layout.display == ""
    panel.sheets.out.name.value = "other"
    assert panel.sheets.out.replace.layout.display == "none"
    panel.sheets.out.export.click()
    assert path.with_name("other.csv").exists()
    assert path.read_bytes() == b"mine"
    panel.sheets.out.name.value = "record"
    panel.sheets.out.export.click()
    panel.sheets.out.replace.click()
    assert path.read_bytes() == sheet_from_bars(panel.record.bars())
    assert panel.sheets.out.replace.layout.display == "none"


def test_a_record_called_as_a_sheet_is_never_written_over(tmp_path):
    shutil.copy(DEMO, tmp_path / "shop.toml")
    panel = RecordPanel(tmp_path / "shop.toml", copied_demo_record(tmp_path / "bars.csv", DEMO))
    assert panel.sheets.out.name.value == "bars sheet"
    panel.sheets.out.name.value = "bars"
    for press in (panel.sheets.out.export, panel.sheets.out.replace, panel.sheets.out.replace):
        press.click()
        assert "is the record itself" in panel.sheets.message.value
        assert panel.sheets.out.replace.layout.display == "none"
    assert panel.record.count() == 43


LONG = {"inner_mark_mm": 65.4412345678901, "outer_mark_mm": 0.123456789, "tube_length_mm": 816.98765432101,
        "inner_stop_deg": 25.7654321, "outer_stop_deg": 25.1234567, "clamp_reading_deg": -12.0123456}  # fmt: skip


@pytest.mark.parametrize(("unit", "upsweep"), [("mm", None), ("in", 0.0), ("mm", -0.0012345), ("in", 4.0987654)])
def test_a_correction_keeps_every_value_that_was_not_touched_to_the_last_bit(panel, unit, upsweep):
    # tube and die as they were then: the shop has measured both again since
    bar = replace(
        panel.record.bars()[0], **LONG, notes=" two\nlines ", readings={"rise_left": 77.123456789, "width": 780.0001},
        order=Order(78.123456789, 12.0456789, 780.012345, upsweep, 50.0123456, 180.0123456),
        tube_diameter_mm=22.2, tube_wall_mm=1.4444444, die_radius_mm=88.8888888,
    )  # fmt: skip
    number = panel.record.add(bar)
    panel.unit.value = unit
    panel.entry.corrects.value = str(number)
    panel.entry.fetched.click()
    panel.unit.value = "in" if unit == "mm" else "mm"  # looking at it in the other unit touches nothing
    panel.entry.boxes["tweaks"].value = "none"
    panel.add.click()
    corrected = panel.record.entry(number + 1)
    assert corrected.corrects == number
    assert corrected.holds == replace(bar, tweaks="none")


def test_a_correction_takes_what_was_touched_and_nothing_of_another_entry(panel):
    bar = replace(panel.record.bars()[0], **LONG)
    number = panel.record.add(bar)
    panel.entry.corrects.value = str(number)
    panel.entry.fetched.click()
    panel.entry.boxes["inner_mark_mm"].value, panel.entry.boxes["outer_mark_mm"].value = "66", ""
    panel.ordered.rise.value, panel.ordered.die.value = 79.0, SHOP.dies[1].name
    panel.add.click()
    assert panel.record.entry(number + 1).holds == replace(
        bar, inner_mark_mm=66.0, outer_mark_mm=None, order=replace(bar.order, rise_mm=79.0), die=SHOP.dies[1].name,
        die_radius_mm=SHOP.dies[1].centerline_radius_mm,
    )  # fmt: skip
    panel.entry.corrects.value = str(number + 1)
    panel.entry.fetched.click()
    panel.entry.corrects.value = ""  # a new bar after all: what is shown is what is kept
    panel.add.click()
    assert "Put this one in unchanged only if it is another bar" in panel.message.value
    panel.anyway.click()
    assert panel.record.entry(number + 2).holds.inner_stop_deg == 25.8


def test_an_entry_is_withdrawn_and_brought_back(panel):
    bar = panel.record.entry(43).holds
    panel.entry.corrects.value = "43"
    panel.entry.withdrawn.click()
    assert "entry 43 is withdrawn" in panel.message.value
    assert "fetch entry 44" in panel.message.value
    assert panel.record.count() == 42
    assert panel.entry.corrects.value == ""
    panel.entry.corrects.value = "44"
    panel.entry.fetched.click()
    assert "entry 43 is filled in" in panel.message.value
    panel.add.click()
    assert panel.record.bars()[-1] == bar
    panel.entry.withdrawn.click()
    assert "got an empty box" in panel.message.value


def test_an_entry_that_cannot_be_read_is_said_beside_the_others(panel):
    with sqlite3.connect(panel.record.path) as file:
        file.execute("drop trigger entry_stays")
        file.execute("update entry set body = '{' where id = 20")
    file.close()
    panel.refresh()
    assert "withdraw entry 20 of the record, or go back to a backup: it cannot be read" in panel.message.value
    assert "from 39 bars and 3 test bends" in panel.calibration.said.value


def test_a_sheet_of_the_builder_s_own_is_mapped_column_by_column(panel):
    own = b"Bar,Day,how high,sweep,across\nold <i>1</i>,2020-01-02,77,12,780\nold 2,2020-01-03,,12,780\n"
    panel.sheets.own.upload.value = uploaded(own)
    assert "a sheet must have columns for" in panel.sheets.message.value
    assert panel.sheets.own.take.disabled
    for field, heading in (("name", "Bar"), ("date", "Day"), ("rise_mm", "how high"), ("backsweep_deg", "sweep"),
                           ("width_mm", "across")):  # fmt: skip
        panel.sheets.own.choosers[field].value = heading
    assert "1 bar can be taken, 1 row cannot" in panel.sheets.own.preview.value
    assert "line 3: Fill it in: ordered rise (mm) must be given" in panel.sheets.own.preview.value
    assert "<i>1" not in panel.sheets.own.preview.value
    panel.sheets.own.take.click()
    assert panel.record.bars()[-1].die == "die 102"


@pytest.mark.parametrize("content", [b"", b"\x00\x01", b"PK\x03\x04", b'"open\n'])
def test_a_file_that_is_no_sheet_is_said(panel, content):
    panel.sheets.own.upload.value = uploaded(content)
    assert "Not done" in panel.sheets.message.value
    assert FAULT not in panel.sheets.message.value


def test_running_the_cell_again_shows_the_same_panel(tmp_path):
    record = copied_demo_record(tmp_path / "record.db", DEMO)
    assert record_panel(DEMO, record.path) is record_panel(DEMO, record.path)


@pytest.mark.parametrize(("days", "few"), [(["2026-03-02"] * 3, True), (["2026-03-02", "2026-03-05"], True),
                                           (["2026-03-02", "2026-05-05"], False), ([], False)])  # fmt: skip
def test_the_days_of_the_record_have_a_tick_each_where_they_are_few(days, few):
    figure, missed = record_figure(), [1.0] * len(days)
    for _ in range(2):  # the second time the axis is as the first left it
        update_record(figure, [], [], [], days, missed, missed, ["a bar"] * len(days))
        axis = figure.layout.xaxis2
        assert axis.tickformat == "%-d %b\n%Y"
        assert (axis.dtick == 86_400_000.0) is few
        assert (axis.range is not None) is few
        if few:
            assert axis.range[0] < days[0]
            assert days[-1] < axis.range[1]


def test_no_table_that_grows_is_above_the_chart(panel):
    column = next(part for part in parts_of(panel.box) if panel.figure in getattr(part, "children", ()))
    assert column.children.index(panel.figure) < column.children.index(panel.found)
    assert panel.figure in column.children[:2]  # the message alone is above it, which has its room kept
