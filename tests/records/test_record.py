"""The record loses nothing: killed writers, two at once, full disks, damaged and later files, corrections kept."""

import json
import os
import sqlite3
from dataclasses import replace
from pathlib import PurePosixPath, PureWindowsPath
from urllib.parse import unquote, urlsplit

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from killing import TIMES, killed_again_and_again, needs_fork, spawned

from barmath import BendError, Order
from barmath.records import record_file
from barmath.records.bent_bar import BentBar, TestBend
from barmath.records.record import Imported, Record
from barmath.records.record_entry import BAR, BEND, content, readable
from barmath.records.record_file import APPLICATION, FORMAT, database_uri
from barmath.refusal import checked_day, remedy_first

pytestmark = pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning")

BAR_7 = BentBar(
    "order 7", "2026-03-14", Order(78.0, 12.0, 780.0, controls_mm=180.0), "7/8 x 0.058", "die 89", 22.225, 1.4732, 88.9,
    batch="spring", inner_mark_mm=64.9, outer_mark_mm=185.1, tube_length_mm=816.9, inner_stop_deg=25.7,
    outer_stop_deg=25.7, clamp_reading_deg=12.0, readings={"backsweep_left": 11.8, "rise_left": 77.6}, notes="Größe ✓",
)  # fmt: skip
BEND_30 = TestBend("2026-03-01", "7/8 x 0.058", "die 89", 22.225, 1.4732, 88.9, 30.0, 29.1, shift_mm=1.5)


@pytest.fixture
def path(tmp_path):
    return tmp_path / "record.db"


def said(make, *args, **kwargs):
    with pytest.raises(BendError) as refusal:
        make(*args, **kwargs)
    return str(refusal.value)


def test_what_goes_in_comes_out(path):
    record = Record(path)
    assert record.add(BAR_7) == 1
    assert record.add(BEND_30) == 2
    assert Record(path).bars() == [BAR_7]
    assert Record(path).bends() == [BEND_30]
    assert Record(path).count() == 2


texts = st.text(max_size=60).filter(
    lambda text: "\x00" not in text and text == text.encode("utf-8", "replace").decode()
)


@settings(max_examples=40)
@given(
    st.builds(
        lambda name, notes, rise, sweep, readings: replace(
            BAR_7, name=name, notes=notes, order=Order(rise, sweep, 780.0), readings=readings
        ),
        texts,
        texts,
        st.floats(1.0, 200.0),
        st.floats(-40.0, 40.0),
        st.fixed_dictionaries(
            {},
            optional={
                "rise_left": st.floats(-900.0, 900.0),
                "width": st.floats(0.0, 900.0),
                "grips_gap": st.floats(-900.0, 900.0),
            },
        ),
    )
)
def test_any_bar_comes_out_as_it_went_in(tmp_path_factory, bar):
    record = Record(tmp_path_factory.mktemp("record") / "record.db")
    record.add(bar)
    assert record.bars() == [bar]


def test_a_correction_keeps_the_earlier_entry(path):
    record = Record(path)
    first = record.add(BAR_7)
    second = record.add(replace(BAR_7, notes="read again"), corrects=first)
    assert [bar.notes for bar in record.bars()] == ["read again"]
    assert record.entry(first).holds == BAR_7
    assert record.entry(second).corrects == first
    assert len(record.entries(BAR, corrected=True)) == 2
    assert said(record.add, BAR_7, corrects=first) == remedy_first(
        "entry to correct must be a current one, got number 1, corrected by number 2 already: correct that one"
    )
    assert said(record.add, BAR_7, corrects=99) == "Look it up again: entry must be one of the record's, got number 99"
    assert said(record.entry, 99) == "Look it up again: entry must be one of the record's, got number 99"


def test_nothing_recorded_can_be_changed_even_by_hand(path):
    Record(path).add(BAR_7)
    with sqlite3.connect(path) as file:
        for statement in ("update entry set body = '{}'", "delete from entry"):
            with pytest.raises(sqlite3.IntegrityError, match="never"):
                file.execute(statement)
    file.close()
    assert Record(path).bars() == [BAR_7]


BARS = {"opened": Record, "first": lambda record: record.add(BAR_7)}


def numbered(number):
    return replace(BAR_7, name=f"order {number}")


@needs_fork
def test_a_writer_killed_again_and_again_loses_no_bar_that_was_reported_saved(path):
    def work(record, attempt):
        for number in range(attempt * 1000, attempt * 1000 + 1000):
            record.add(numbered(number))
            yield number

    reported = {int(number) for number in killed_again_and_again(path, TIMES, work, **BARS)}
    names = [bar.name for bar in Record(path).bars()]
    assert reported <= {int(name.split()[1]) for name in names}
    assert len(names) == len(set(names)) <= len(reported) + TIMES  # one a kill may have been saved and not reported
    assert len(reported) > TIMES // 4


@needs_fork
def test_withdrawing_and_importing_killed_again_and_again_do_all_that_was_reported_and_nothing_by_halves(path):
    def work(record, attempt):
        for batch in range(attempt * 100, attempt * 100 + 100):
            names = [f"{batch} {k}" for k in range(5)]
            record.import_all([replace(BAR_7, name=name, batch=str(batch)) for name in names], names)
            yield batch
            record.withdraw(next(one.number for one in record.listed(BAR, 9) if one.name == names[2]), "bent twice")
            yield f"withdrawn {batch}"

    reported = killed_again_and_again(path, TIMES, work, **BARS)
    record = Record(path)
    kept, withdrawn = {}, set()
    for entry in record.entries(corrected=True):
        if entry.kind == BAR:
            kept.setdefault(entry.holds.batch, []).append(entry.holds.name)
        else:
            withdrawn.add(record.entry(entry.corrects).holds.batch)
    assert all(names == [f"{batch} {k}" for k in range(5)] for batch, names in kept.items())
    assert {one for one in reported if one.isdecimal()} <= set(kept)
    assert {one.split()[1] for one in reported if not one.isdecimal()} <= withdrawn
    assert record.count() == sum(map(len, kept.values())) - len(withdrawn)
    assert len(reported) > TIMES // 6
    for batch, names in kept.items():  # a second import adds nothing, whatever was killed
        bars = [replace(BAR_7, name=name, batch=batch) for name in names]
        assert record.import_all(bars, names).added == 0


def writing_some(path, name, count):
    record = Record(path)
    for number in range(count):
        record.add(replace(BAR_7, name=f"{name} {number}"))


@needs_fork
def test_two_writing_at_once_both_get_in(path):
    children = [spawned(writing_some, path, name, 30) for name in ("one", "other")]
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0]
    names = {bar.name for bar in Record(path).bars()}
    assert names == {f"{name} {number}" for name in ("one", "other") for number in range(30)}


@needs_fork
def test_two_making_the_record_at_once_make_one(path):
    children = [spawned(writing_some, path, f"w{k}", 3) for k in range(4)]
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * 4
    assert Record(path).count() == 12


def test_a_full_disk_is_said_and_the_record_remains_as_it_was(path):
    record = Record(path)
    record.add(BAR_7)
    before = path.read_bytes()

    class Full(Record):
        def _check(self, file):  # as large as it is now, and no page more: what a full disk does to SQLite
            super()._check(file)
            file.execute(f"pragma max_page_count = {file.execute('pragma page_count').fetchone()[0]}")

    full = Full(path)

    def fill():
        for number in range(200):
            full.add(replace(BAR_7, notes="x" * 1900, name=f"order {number}"))

    assert said(fill) == "Make room: the disk of record.db is full, and nothing was added"
    names = [bar.name for bar in Record(path).bars()]
    assert names[0] == "order 7"
    assert len(path.read_bytes()) == len(before)


@pytest.mark.skipif(os.geteuid() == 0, reason="read-only files do not stop the superuser")
def test_a_read_only_folder_is_said(path):
    Record(path).add(BAR_7)
    path.chmod(0o444)
    path.parent.chmod(0o555)
    try:
        assert "Allow writing to record.db" in said(Record(path).add, BAR_7)
        assert Record(path).bars() == [BAR_7]
    finally:
        path.parent.chmod(0o755)


def test_a_file_of_a_later_format_is_left_alone(path):
    Record(path).add(BAR_7)
    with sqlite3.connect(path) as file:
        file.execute(f"pragma user_version = {FORMAT + 1}")
    file.close()
    before = path.read_bytes()
    assert said(Record, path) == remedy_first(
        f"record.db must be of format {FORMAT} or earlier, got format {FORMAT + 1}, from a newer notebook: "
        "install the newest version of the notebook; the file was not changed"
    )
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "content", [b"not a database at all" * 50, b"\x00" * 5000, b"SQLite format 3\x00" + b"\xff" * 900]
)
def test_a_file_that_is_something_else_is_left_alone(path, content):
    path.write_bytes(content)
    assert "record.db is no record of bars" in said(Record, path) or "record.db is damaged" in said(Record, path)
    assert path.read_bytes() == content


def test_another_programme_s_database_is_left_alone(path):
    with sqlite3.connect(path) as file:
        file.execute("create table cats (name text)")
    file.close()
    before = path.read_bytes()
    assert said(Record, path) == "Choose another file: record.db is no record of bars"
    assert path.read_bytes() == before


def test_a_damaged_record_is_said_and_left_unchanged(path):
    record = Record(path)
    record.add_all([replace(BAR_7, name=f"order {k}") for k in range(400)])
    content = bytearray(path.read_bytes())
    content[8192:-4096] = os.urandom(len(content) - 12288)
    path.write_bytes(bytes(content))
    with pytest.raises(BendError, match=r"record\.db is damaged, and was not changed|cannot be understood"):
        Record(path).bars()
    assert path.read_bytes() == bytes(content)


def test_a_record_where_none_can_be_is_said(tmp_path):
    assert "cannot be opened" in said(Record, tmp_path / "no such folder" / "record.db")
    assert said(Record, tmp_path)  # a folder


def test_many_are_added_all_or_none(path):
    record = Record(path)
    assert said(record.add_all, [BAR_7, "no bar"]) == remedy_first(
        "an entry must be a bar or a test bend, got str: give one of these"
    )
    assert record.count() == 0
    record.add_all([BAR_7, BEND_30])
    assert record.count() == 2


def test_a_backup_is_a_record_too_and_never_overwrites(path, tmp_path):
    record = Record(path)
    record.add(BAR_7)
    copy = record.backup(tmp_path / "backup.db")
    assert Record(copy).bars() == [BAR_7]
    assert "exists already" in said(record.backup, copy)


def test_the_nearest_bars_come_by_their_tools_and_only_current_ones(path):
    record, alike = Record(path), {"rise_mm": 3.0, "width_mm": 10.0}
    rises = [60.0, 75.0, 78.0, 81.5, 95.0]
    numbers = [record.add(replace(BAR_7, order=Order(rise, 12.0, 780.0))) for rise in rises]
    record.add(replace(BAR_7, die="die 165", order=Order(78.5, 12.0, 780.0)))
    record.add(replace(BAR_7, order=Order(40.0, 12.0, 780.0)), corrects=numbers[2])

    def nearest(other, most):
        order = Order(78.0, 12.0, 780.0)
        found = record.nearest(order, alike, "die 89", "7/8 x 0.058", other, most)
        return [entry.holds.order.rise_mm for entry in found]

    assert nearest(0, 2) == [75.0, 81.5]
    assert nearest(0, 9) == [75.0, 81.5, 95.0, 60.0, 40.0]
    assert nearest(1, 9) == [78.5]
    assert nearest(2, 9) == []
    assert record.entries(BEND) == []


@pytest.mark.parametrize(
    ("field", "value"),
    [("name", 7), ("notes", "x" * 2001), ("notes", "a\x00b"), ("date", "14.3.2026"), ("date", "2026-02-30"),
     ("tube_diameter_mm", -1.0), ("inner_mark_mm", np.nan), ("inner_stop_deg", "wide"), ("readings", {"weight": 3}),
     ("readings", {"width": np.inf}), ("readings", [3]), ("clamp_reading_deg", 200.0),
     ("order", Order(np.array([78.0, 80.0]), 12.0, 780.0))],
)  # fmt: skip
def test_what_is_no_bar_is_refused(field, value):
    with pytest.raises(BendError):
        replace(BAR_7, **{field: value})


def test_a_tube_that_bends_on_by_itself_is_refused():
    assert said(replace, BEND_30, kept_deg=33.0) == remedy_first(
        "angle kept must be about the stop's 30.0 deg or less, got 33.0 deg: "
        "read both again, because no tube bends further by itself"
    )
    assert checked_day("2024-02-29") == "2024-02-29"
    assert json.loads('"ok"') == "ok"
    assert said(Record.add, Record.__new__(Record), "no bar") == remedy_first(
        "an entry must be a bar or a test bend, got str: give one of these"
    )


FORMAT_1 = """
create table entry (
    id integer primary key, kind text not null, corrects integer references entry (id),
    added text not null default (strftime('%Y-%m-%dT%H:%M:%SZ', 'now')),
    rise_mm real, backsweep_deg real, upsweep_deg real, width_mm real,
    die text not null, tube text not null, date text not null, body text not null
);
create index entry_rise on entry (kind, die, tube, rise_mm);
create index entry_corrects on entry (corrects) where corrects is not null;
create trigger entry_stays before update on entry begin select raise(abort, 'entries are never changed'); end;
create trigger entry_kept before delete on entry begin select raise(abort, 'entries are never removed'); end;
"""


def made_in_format_1(path, bars):
    with sqlite3.connect(path) as file:
        file.executescript(FORMAT_1 + f"pragma application_id = {APPLICATION}; pragma user_version = 1;")
        for bar in bars:
            plain = {name: getattr(bar, name) for name in bar.__dataclass_fields__}
            plain |= {"order": vars(bar.order), "readings": dict(bar.readings)}
            file.execute(
                "insert into entry (kind, rise_mm, die, tube, date, body) values (?, ?, ?, ?, ?, ?)",
                (BAR, bar.order.rise_mm, bar.die, bar.tube, bar.date, json.dumps(plain)),
            )
    file.close()


def test_a_record_of_an_earlier_format_is_copied_and_brought_up_to_date(path):
    bars = [BAR_7, replace(BAR_7, name="order 8", batch="autumn")]
    made_in_format_1(path, bars)
    before = path.read_bytes()
    record = Record(path)
    assert record.bars() == bars
    assert record.batches() == ["autumn", "spring"]
    assert [e.holds.name for e in record.recent(BAR, "die 89", "7/8 x 0.058", "autumn")] == ["order 8"]
    copy = path.with_name("record.db.format-1")
    with sqlite3.connect(copy) as file:
        assert file.execute("pragma user_version").fetchone()[0] == 1
        assert file.execute("select count(*) from entry").fetchone()[0] == 2
    file.close()
    assert len(copy.read_bytes()) == len(before)
    with sqlite3.connect(path) as file, pytest.raises(sqlite3.IntegrityError, match="never"):
        file.execute("update entry set body = '{}'")
    file.close()
    assert Record(path).bars() == bars


def test_a_record_of_format_2_is_brought_up_to_date_with_names_to_list_and_known_when_imported(path):
    record = Record(path)
    record.add_all([BAR_7, BEND_30, numbered(8), numbered(9)])
    as_format_2(path)
    spoil(path, 3, "{")
    again = Record(path)
    assert [one.name for one in again.listed(BAR, 9)] == ["order 9", "", "order 7"]  # the spoilt one has none
    assert again.import_all([BAR_7, numbered(9)], ["row 2", "row 3"]) == Imported(0, 2)
    assert again.bars() == [BAR_7, numbered(9)]
    with sqlite3.connect(path.with_name("record.db.format-2")) as file:
        assert file.execute("pragma user_version").fetchone() == (2,)
        assert file.execute("select count(*) from entry").fetchone() == (4,)
    file.close()
    fresh = Record(path.with_name("fresh.db"))
    with sqlite3.connect(path) as old, sqlite3.connect(fresh.path) as new:
        known = "select type, name from sqlite_master where name <> 'entry_stays' order by 1, 2"
        assert old.execute(known).fetchall() == new.execute(known).fetchall()
        columns = "select name from pragma_table_info('entry') order by 1"
        assert old.execute(columns).fetchall() == new.execute(columns).fetchall()
    old.close()
    new.close()


def as_format_2(path):
    with sqlite3.connect(path) as file:
        for statement in ("drop table booked", "drop index entry_content",
                          "drop index entry_origin", "drop trigger entry_kept",
                          *(f"alter table entry drop column {one}" for one in ("name", "content", "origin")),
                          "create trigger entry_kept before delete on entry begin select raise(abort, 'never'); end",
                          "pragma user_version = 2"):  # fmt: skip
            file.execute(statement)
    file.close()


@needs_fork
@pytest.mark.parametrize("attempt", range(5))
def test_four_bringing_the_record_up_to_date_at_once_all_succeed(path, attempt):
    bars = [numbered(k) for k in range(200)]
    made_in_format_1(path, bars)
    children = [spawned(writing_some, path, f"w{k}", 1) for k in range(4)]
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * 4
    names = {bar.name for bar in Record(path).bars()}
    assert names == {bar.name for bar in bars} | {f"w{k} 0" for k in range(4)}
    (copy,) = path.parent.glob("record.db.*")
    with sqlite3.connect(copy) as file:
        assert file.execute("pragma user_version").fetchone() == (1,)
        assert file.execute("select count(*) from entry").fetchone() == (200,)
    file.close()


def test_the_copy_of_an_upgrade_is_never_another_record_s(path):
    copy = path.with_name("record.db.format-1")
    copy.write_bytes(b"an earlier one")
    made_in_format_1(path, [BAR_7])
    before = path.read_bytes()
    assert Record(path).bars() == [BAR_7]
    assert copy.read_bytes() == b"an earlier one"
    assert path.with_name("record.db.format-1-2").read_bytes() == before


def test_an_upgrade_that_fails_leaves_the_record_as_it_was(path, monkeypatch):
    made_in_format_1(path, [BAR_7])
    monkeypatch.setitem(record_file._UPGRADES, 1, (*record_file._UPGRADES[1][:3], "no such statement"))
    assert "record.db cannot be used" in said(Record, path)
    monkeypatch.undo()
    assert Record(path).bars() == [BAR_7]


def test_the_latest_of_a_batch_come_oldest_first(path):
    record = Record(path)
    for number in range(12):
        record.add(replace(BAR_7, name=f"order {number}", batch="spring" if number % 2 else "autumn"))
    assert [e.holds.name for e in record.recent(BAR, "die 89", BAR_7.tube, most=3)] == [
        "order 9",
        "order 10",
        "order 11",
    ]
    assert [e.holds.name for e in record.recent(BAR, "die 89", BAR_7.tube, "autumn", 2)] == ["order 8", "order 10"]
    assert record.recent(BAR, "die 89", BAR_7.tube, "summer") == []


@pytest.mark.parametrize("number", [0, -1, 2**63, 10**400, 1.5, 1.0, np.nan, True, "1", None])
def test_a_number_that_no_entry_can_have_is_refused(path, number):
    record = Record(path)
    record.add(BAR_7)
    assert "must be one of the record's" in said(record.entry, number)
    if number is not None:  # which says that it corrects none
        assert "must be one of the record's" in said(record.add, BAR_7, number)
    assert "must be one of the record's" in said(record.withdraw, number)
    assert record.count() == 1


# ---- withdrawn


def test_a_withdrawn_entry_is_no_longer_current_and_can_still_be_read(path):
    record = Record(path)
    first, other = record.add(BAR_7), record.add(numbered(8))
    gone = record.withdraw(first, "entered twice")
    assert record.bars() == [numbered(8)]
    assert record.count() == 1
    assert [one.number for one in record.listed(BAR, 9)] == [other]
    assert record.entry(first).holds == BAR_7
    assert record.entry(gone).holds.why == "entered twice"
    assert [one.number for one in record.entries(corrected=True)] == [first, other, gone]
    assert record.recent(BAR, BAR_7.die, BAR_7.tube)[0].number == other
    assert record.nearest(BAR_7.order, {"rise_mm": 3.0}, BAR_7.die, BAR_7.tube, 0, 9)[0].number == other
    assert said(record.withdraw, first) == remedy_first(
        f"entry to correct must be a current one, got number 1, withdrawn by number {gone} already: correct that one"
    )
    assert "To bring back what it withdrew, correct it" in said(record.withdraw, gone)
    back = record.add(BAR_7, corrects=gone)
    assert [one.number for one in record.listed(BAR, 9)] == [back, other]


# ---- imported


def test_what_is_imported_twice_is_there_once(path):
    record, bars, rows = Record(path), [BAR_7, numbered(8)], ["row 2", "row 3"]
    assert record.import_all(bars, rows) == Imported(2, 0)
    assert record.import_all(bars, rows) == Imported(0, 2)
    assert record.import_all([*bars, numbered(9)], [*rows, "row 4"]) == Imported(1, 2)
    assert record.import_all(bars, ["another sheet 2", "another sheet 3"]) == Imported(0, 2)
    other_die = [replace(bar, die="die 165", die_radius_mm=165.0) for bar in bars]
    assert record.import_all(other_die, rows) == Imported(0, 2)  # the same rows, taken for another die
    assert record.bars() == [*bars, numbered(9)]


def test_what_was_corrected_or_withdrawn_does_not_come_back_by_an_import(path):
    record = Record(path)
    record.import_all([BAR_7, numbered(8)], ["row 2", "row 3"])
    record.add(replace(BAR_7, notes="read again"), corrects=1)
    record.withdraw(2)
    assert record.import_all([BAR_7, numbered(8)], ["row 2", "row 3"]) == Imported(0, 2)
    assert record.import_all([replace(BAR_7, die="die 165")], ["row 2"]) == Imported(0, 1)
    assert [bar.notes for bar in record.bars()] == ["read again"]


def test_rows_taken_for_the_wrong_die_can_be_taken_again_once_they_are_withdrawn(path):
    record = Record(path)
    record.import_all([BAR_7], ["row 2"])
    record.withdraw(1)
    assert record.import_all([replace(BAR_7, die="die 165")], ["row 2"]) == Imported(1, 0)


def test_two_bars_that_are_the_same_in_everything_are_two(path):
    record = Record(path)
    assert record.import_all([BAR_7, BAR_7], ["row 2", "row 3"]) == Imported(2, 0)
    assert record.import_all([BAR_7, BAR_7], ["row 2", "row 3"]) == Imported(0, 2)
    assert record.import_all([BAR_7] * 3, ["row 2", "row 3", "row 4"]) == Imported(1, 2)


@needs_fork
def test_two_importing_the_same_at_once_add_it_once(path):
    bars = [numbered(k) for k in range(50)]
    rows = [str(k) for k in range(50)]

    def importing():
        Record(path).import_all(bars, rows)

    children = [spawned(importing) for _ in range(3)]
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * 3
    assert Record(path).bars() == bars


# ---- one bad entry


def spoil(path, number, body):
    with sqlite3.connect(path) as file:
        file.execute("drop trigger if exists entry_stays")
        file.execute("update entry set body = ? where id = ?", (body, number))
    file.close()


@pytest.mark.parametrize("body", ["", "{", "null", "[]", '{"name": 7}', "[" * 100_000, b"\xff\xfe"])
def test_one_entry_that_cannot_be_read_does_not_hide_the_others(path, body):
    record = Record(path)
    record.add_all([numbered(k) for k in range(1, 6)])
    spoil(path, 3, body)
    others = [numbered(k) for k in (1, 2, 4, 5)]
    assert record.bars() == others
    assert [entry.number for entry in record.entries(BAR)] == [1, 2, 3, 4, 5]
    near = record.nearest(BAR_7.order, {"rise_mm": 3.0}, BAR_7.die, BAR_7.tube, 0, 3)
    assert [entry.number for entry in near] == [1, 2, 4]
    faults = []
    assert readable(record.recent(BAR, BAR_7.die, BAR_7.tube), faults) == others
    assert len(faults) == 1
    assert faults[0].startswith("withdraw entry 3 of the record, or go back to a backup: it cannot be read (")
    assert faults == [said(record.entry, 3)]
    record.withdraw(3)
    assert [entry.number for entry in record.entries(BAR)] == [1, 2, 4, 5]


# ---- another program's file, and the record's own


@pytest.mark.parametrize("statement", ["create table t (a); drop table t", "pragma user_version = 4", "vacuum"])
def test_another_programme_s_empty_database_is_not_taken_over(path, statement):
    with sqlite3.connect(path) as file:
        file.executescript(statement)
    file.close()
    before = path.read_bytes()
    assert before
    assert said(Record, path) == "Choose another file: record.db is no record of bars"
    assert path.read_bytes() == before


def test_a_file_left_empty_by_a_killed_maker_is_a_new_record(path):
    path.touch()
    assert Record(path).add(BAR_7) == 1


def test_nothing_is_ever_saved_over_the_record_itself(path, tmp_path):
    record = Record(path)
    (tmp_path / "link.db").symlink_to(path)
    os.link(path, tmp_path / "second name.db")
    (tmp_path / "folder").symlink_to(tmp_path)
    for spelled in (path, str(path), tmp_path / "link.db", tmp_path / "second name.db", tmp_path / "RECORD.DB",
                    tmp_path / "folder" / "record.db", tmp_path / "x" / ".." / "record.db", f"{path}-journal",
                    os.path.relpath(path)):  # fmt: skip
        assert "is the record itself" in said(record.refuse_own, spelled)
        assert "is the record itself" in said(record.backup, spelled)
    record.refuse_own(tmp_path / "other.db")


def test_a_link_that_leads_back_to_itself_is_refused_in_words(tmp_path):
    (tmp_path / "a.db").symlink_to(tmp_path / "b.db")
    (tmp_path / "b.db").symlink_to(tmp_path / "a.db")
    words = "must lead to a file or a folder, got a link that leads back to itself"
    assert words in said(Record, tmp_path / "a.db")
    assert words in said(Record, tmp_path / "a.db" / "record.db")


# ---- Windows' paths, by pathlib's and urllib's own rules


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        (r"C:\bars\record.db", "file:///C:/bars/record.db?mode=rw"),
        (r"\\server\share\record.db", "file:////server/share/record.db?mode=rw"),
        (r"\\server\the share\100% ä#?.db", "file:////server/the%20share/100%25%20%C3%A4%23%3F.db?mode=rw"),
    ],
)
def test_a_windows_path_is_a_uri_without_a_host(path, uri):
    assert database_uri(PureWindowsPath(path), "rw") == uri
    named = unquote(urlsplit(uri).path)  # Python's own way back
    assert PureWindowsPath(named[1:] if named[2] == ":" else named) == PureWindowsPath(path)


@pytest.mark.parametrize("name", ["record.db", "100% ä#?&=.db", "\udcff.db"])
def test_a_path_with_two_slashes_before_it_opens_as_the_one_with_one(tmp_path, name):
    # as SQLite reads what stands for a Windows share: no host, a path that begins with two slashes
    assert Record(f"/{tmp_path / name}").add(BAR_7) == 1
    assert Record(tmp_path / name).count() == 1
    uri = database_uri(PurePosixPath(f"/{tmp_path / name}"), "ro")
    assert uri.startswith("file:////")
    with sqlite3.connect(uri, uri=True) as file:
        assert file.execute("select count(*) from entry").fetchone() == (1,)
    file.close()


OTHER_ORDERS = [
    {"rise_mm": 79.0}, {"backsweep_deg": 13.0}, {"width_mm": 781.0}, {"upsweep_deg": 2.0}, {"clamp_flat_mm": 60.0},
    {"controls_mm": 170.0},
]  # fmt: skip
OTHER_BARS = [
    {"name": "order 8"}, {"date": "2026-03-15"}, {"batch": "autumn"}, {"inner_mark_mm": 65.0}, {"notes": ""},
    {"readings": {"rise_left": 77.6}}, {"outer_stop_deg": None}, {"readings": {}},
]  # fmt: skip


def test_two_entries_that_differ_in_anything_are_two_and_equal_ones_are_one():
    others = [replace(BAR_7, order=replace(BAR_7.order, **change)) for change in OTHER_ORDERS]
    others += [replace(BAR_7, **change) for change in OTHER_BARS]
    known = {content(entry) for entry in (BAR_7, BEND_30, replace(BEND_30, shift_mm=1.6), *others)}
    assert len(known) == 3 + len(others)
    assert content(replace(BAR_7)) == content(BAR_7)
    fifteen_figures = replace(BAR_7, inner_mark_mm=64.9 + 1e-13, order=replace(BAR_7.order, rise_mm=78.0 + 1e-13))
    assert content(fifteen_figures) == content(BAR_7)


def test_what_a_later_version_adds_changes_nothing_where_it_is_as_usual(monkeypatch):
    # as if clamp flat and batch had come with a later version: entries without them are known as before
    bare = replace(BAR_7, batch="", order=Order(78.0, 12.0, 780.0))
    written = []
    monkeypatch.setattr("barmath.records.record_entry.digest", lambda kind, body: written.append((kind, body)))
    content(bare)
    ((kind, body),) = written
    known = json.loads(body)
    assert kind == BAR
    assert known["order"] == {"rise_mm": 78.0, "backsweep_deg": 12.0, "width_mm": 780.0}
    assert "batch" not in known
    assert known["name"] == "order 7"
