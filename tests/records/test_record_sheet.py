"""The record to and from a spreadsheet: nothing twice, nothing replaced unasked, days as a shop writes them."""

import csv
import io
import os
from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from records.test_record import BAR_7, BEND_30, numbered, said, texts

from barmath import Order
from barmath.records.bent_bar import BentBar, day_from_text
from barmath.records.record import Imported, Record
from barmath.records.record_sheet import _BAR, _ORDER, bars_from_sheet, sheet_from_bars, write_sheet
from barmath.refusal import remedy_first

OWN = b"Bar,Date,Rise,Backsweep,Width\nold 1,2.1.2020,77,12,780\nold 2,3.1.2020,70,11,760\n"
COLUMNS = {"name": "Bar", "date": "Date", "rise_mm": "Rise", "backsweep_deg": "Backsweep", "width_mm": "Width"}
TOOLS = {"tube": BAR_7.tube, "tube_diameter_mm": "22.225", "tube_wall_mm": "1.4732"}
DIE_89 = TOOLS | {"die": "die 89", "die_radius_mm": "88.9"}
DIE_165 = TOOLS | {"die": "die 165", "die_radius_mm": "165"}


@pytest.fixture
def record(tmp_path):
    return Record(tmp_path / "record.db")


def taken(record, sheet, **options):
    read = bars_from_sheet(sheet, **options)
    return record.import_all(read.bars, read.origins)


def test_a_sheet_taken_twice_adds_nothing_twice_with_whatever_die_it_is_taken(record):
    assert taken(record, OWN, columns=COLUMNS, usual=DIE_89) == Imported(2, 0)
    assert taken(record, OWN, columns=COLUMNS, usual=DIE_89) == Imported(0, 2)
    assert taken(record, OWN, columns=COLUMNS, usual=DIE_165) == Imported(0, 2)
    longer = OWN + b"old 3,4.1.2020,71,11,760\n"
    assert taken(record, longer, columns=COLUMNS, usual=DIE_89) == Imported(1, 2)
    assert [bar.date for bar in record.bars()] == ["2020-01-02", "2020-01-03", "2020-01-04"]


exported = st.builds(
    lambda name, notes, tube, rise, upsweep, mark: replace(
        BAR_7, name=name, notes=notes, tube=tube, inner_mark_mm=mark, order=Order(rise, 12.0, 780.0, upsweep)
    ),
    texts, texts, texts, st.floats(1.0, 200.0), st.none() | st.floats(-8.0, 8.0), st.none() | st.floats(1e-3, 900.0),
)  # fmt: skip


@settings(max_examples=60)
@given(st.lists(exported, max_size=6))
def test_the_record_s_own_sheet_adds_nothing_to_it(tmp_path_factory, bars):
    record = Record(tmp_path_factory.mktemp("record") / "record.db")
    record.add_all([*bars, BEND_30])
    assert taken(record, sheet_from_bars(record.bars()), usual=DIE_165).added == 0


def test_a_sheet_that_a_spreadsheet_wrote_again_adds_nothing_to_it(record):
    # fifteen figures, decimal commas, semicolons and its own days: what spreadsheets in Europe do
    record.add_all([replace(numbered(k), inner_mark_mm=64.0 + k / 7.0) for k in range(20)])
    rows = list(csv.reader(io.StringIO(sheet_from_bars(record.bars()).decode("utf-8-sig"))))

    def rewritten(cell):
        if cell.count("-") == 2:
            year, month, day = cell.split("-")
            return f"{day}.{month}.{year}"
        try:
            return f"{float(cell):.15g}".replace(".", ",")
        except ValueError:
            return cell

    paper = io.StringIO()
    csv.writer(paper, delimiter=";").writerows([rows[0], *([rewritten(cell) for cell in row] for row in rows[1:])])
    assert not bars_from_sheet(paper.getvalue().encode()).refused
    assert taken(record, paper.getvalue().encode()) == Imported(0, 20)


def test_every_field_of_a_bar_is_in_its_sheet():
    # else a bar would come back poorer than it went, and as another one
    assert {field.name for field in fields(BentBar)} == {*_BAR, "order", "readings"}
    assert {field.name for field in fields(Order)} == {*_ORDER}


# ---- writing


def test_a_sheet_is_written_over_nothing_unasked(record, tmp_path):
    record.add(BAR_7)
    path = tmp_path / "bars.csv"
    assert write_sheet(record, path) == path
    path.write_bytes(b"mine")
    assert "exists already" in said(write_sheet, record, path)
    assert path.read_bytes() == b"mine"
    write_sheet(record, path, overwrite=True)
    assert bars_from_sheet(path.read_bytes()).bars == (BAR_7,)


def test_a_sheet_is_never_written_over_the_record_itself(tmp_path):
    record = Record(tmp_path / "bars.csv")
    record.add(BAR_7)
    (tmp_path / "link.csv").symlink_to(tmp_path / "bars.csv")
    os.link(tmp_path / "bars.csv", tmp_path / "second name.csv")
    before = record.path.read_bytes()
    for spelled in ("bars.csv", "BARS.csv", "link.csv", "second name.csv", "x/../bars.csv"):
        assert "is the record itself" in said(write_sheet, record, tmp_path / spelled, overwrite=True)
    assert record.path.read_bytes() == before


# ---- days


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("2026-11-26", "2026-11-26"),
        (" 26.11.2026 ", "2026-11-26"),
        ("3.4.2026", "2026-04-03"),
        ("26/11/2026", "2026-11-26"),
        ("11/26/2026", "2026-11-26"),
        ("4/4/2026", "2026-04-04"),
        ("26-11-2026", "2026-11-26"),
        ("2026-11-26 00:00:00", "2026-11-26"),
        ("2026-11-26T14:30:00", "2026-11-26"),
    ],
)
def test_a_day_is_read_as_a_shop_writes_it(typed, day):
    assert day_from_text(typed) == day


@pytest.mark.parametrize(
    "typed", ["26.11.26", "31.2.2026", "26.11", "today", "", "26.11/2026", "13/13/2026", "٣.٤.٢٠٢٦"]
)
def test_what_is_no_day_is_refused(typed):
    assert "date must be a day, got " in said(day_from_text, typed)


def test_a_day_that_can_be_in_two_months_is_asked_about():
    assert said(day_from_text, "3/4/2026") == remedy_first(
        "date must be clear, got '3/4/2026', which can mean two days: write 2026-03-04 or 2026-04-03"
    )
