"""The front page leads somewhere, and its button makes a shop of one's own that has no invented bars."""

import shutil

import pytest
from conftest import ROOT

from barmath.panels.record import RecordPanel
from barmath.panels.start import DOORS, StartPanel
from barmath.records.demo_record import demo_record
from barmath.records.record import Record
from barmath.shop.which_shop import record_file, shop_file, training_file, training_shop

WAYS = [way for ways in DOORS.values() for way in ways]


@pytest.fixture
def shelves(tmp_path):
    shutil.copytree(ROOT / "notebooks" / "demo", tmp_path / "demo", ignore=shutil.ignore_patterns("*.db*"))
    return tmp_path


def test_the_three_ways_in_are_named_as_one_says_them():
    assert list(DOORS) == ["I have an order", "I want to learn", "I teach"]


@pytest.mark.parametrize("way", WAYS, ids=lambda way: way.notebook)
def test_each_link_leads_to_a_notebook(way):
    assert (ROOT / "notebooks" / f"{way.notebook}.ipynb").is_file()
    assert way.page == way.notebook.startswith("bench/")


def test_the_teachers_sheets_are_where_the_link_says():
    (way,) = [way for way in DOORS["I teach"] if "sheets" in way.words]
    text = (ROOT / "notebooks" / way.path).read_text(encoding="utf-8")
    assert "class_sheet_panel(" in text
    assert "teacher_panel(" in text


def test_a_shop_file_that_cannot_be_read_is_named_on_the_front_page(shelves):
    StartPanel(shelves).make.click()
    file = shop_file(shelves)
    lines = file.read_text(encoding="utf-8").replace("42.5, 45]", "42.5, 45").splitlines()
    file.write_text("\n".join(lines), encoding="utf-8")
    at = next(number for number, line in enumerate(lines, 1) if line.startswith("bends_deg"))
    said = StartPanel(shelves).message.value
    assert "Write ] behind its last number" in said
    assert f"shop.toml, line {at}" in said


def test_the_front_page_says_how_a_lesson_begins_and_what_is_of_the_training_shop(shelves):
    panel = StartPanel(shelves)
    panel.make.click()
    assert any("Run All Cells" in getattr(part, "value", "") for part in panel.box.children)
    assert "the bender of lesson 05, are the training shop" in panel.which.value


def test_its_button_makes_a_shop_that_never_finds_invented_bars(shelves):
    shop = training_shop(shelves)
    invented = demo_record(training_file("record.db", shelves), shop.tubes[0], shop.dies[0])
    panel = StartPanel(shelves)
    assert "training shop, which is invented" in panel.which.value
    panel.make.click()
    assert "your own shop" in panel.which.value
    assert panel.make.layout.display == "none"
    (((_, (link,)),),) = (panel.to_file.doors,)
    assert shelves / link["path"] == shop_file(shelves)
    assert not link["page"]  # it opens in JupyterLab, where a text can be changed
    own = Record(record_file(shelves))
    assert invented.count() > 0
    assert own.count() == 0
    assert RecordPanel(shop_file(shelves), own).record.entries() == []
