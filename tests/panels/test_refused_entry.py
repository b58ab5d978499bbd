"""While one box of a panel is refused nothing is written, stored or called good, and every button says which box."""

import re
from html import unescape

import ipywidgets as widgets
import pytest
from every_panel import PANELS, parts_of

from barmath.checking.bench_readings import KINDS
from barmath.panels.entry import Row
from barmath.pictures.eyes import EYES

NOT_TAKEN = "9o"
ANY_WORDS = {
    "Name",
    "Batch",
    "Tweaks",
    "Notes",
    "Photo, path",
    "Your name",
    "Sheet's name",
    "Estimate",
    "Compute",
    "Act",
}
"""Boxes that take any words, and the answers of an exercise, which its own buttons judge."""

SAYS_NOTHING = {
    "Fill in the settings of the formulas",
    "Bend before",
    "Next bend",
    "Show the worked solution",
    "Clear all readings",
    "Read the shop's file again",
    "Yes, scrap",
    "Fetch it",
    "Show the right one",
    "Undo one pull",
    "Start again",
    "Set it as planned",
    *(where.capitalize() for where in EYES),
}
"""Buttons that only move what is shown, or ask once more."""


def rows(widget):
    """Label, row and box of everything that can be typed in a panel as it stands."""
    if getattr(widget.layout, "display", None) == "none":
        return
    for part in getattr(widget, "children", ()):
        if isinstance(widget, Row) and isinstance(part, widgets.Text) and not part.disabled:
            label = widget.children[0].value.removeprefix('<span class="barmath-label">').removesuffix("</span>")
            yield unescape(label), widget, part
        yield from rows(part) if hasattr(part, "layout") else ()


def files(*folders):
    return {path: path.read_bytes() for folder in folders for path in folder.rglob("*") if path.is_file()}


def words(panel):
    return [part.value for part in parts_of(panel.box) if isinstance(part, widgets.HTML)]


@pytest.mark.parametrize("name", list(PANELS))
def test_while_a_box_is_refused_no_button_writes_stores_or_judges(name, demo_copy, tmp_path):
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path)
    for label, row, box in [one for one in rows(panel.box) if one[0] not in ANY_WORDS]:
        was, before = box.value, files(tmp_path, demo_copy)
        box.value = NOT_TAKEN
        assert "barmath-refused" in row._dom_classes, label
        assert any(NOT_TAKEN in text and "barmath-bad" in text for text in words(panel)), label
        for button in [part for part in parts_of(panel.box) if isinstance(part, widgets.Button)]:
            box.value = NOT_TAKEN
            button.disabled = False
            button.click()
            assert files(tmp_path, demo_copy) == before, (label, button.description)
            if not row.entry.refused:
                continue  # the button has filled the box in, or emptied it
            assert not [text for text in words(panel) if "barmath-good" in text], (label, button.description)
            if button.description not in SAYS_NOTHING:
                assert any(f"correct the box {label}" in unescape(text) for text in words(panel)), button.description
            for part in parts_of(panel.box):
                if isinstance(part, widgets.HTML) and "correct the box" in part.value:
                    part.value = ""
        box.value = was
        assert "barmath-refused" not in row._dom_classes, label


def test_a_reading_that_is_refused_gives_no_advice(demo_copy, tmp_path):
    panel = PANELS["inspection"](demo_copy / "shop.toml", tmp_path)
    for reading, kind in list(zip(panel.readings, KINDS, strict=True))[:-1]:
        reading.box.value = f"{panel.readout.wanted[kind.key]:.1f}"
    assert "barmath-good" in panel.message.value
    panel.readings[-1].box.value = "abc"
    assert "barmath-good" not in panel.message.value
    assert panel.fit.value == ""


def test_an_entry_is_reported_added_where_the_look_up_after_it_is_refused(demo_copy, tmp_path):
    panel = PANELS["record"](demo_copy / "shop.toml", tmp_path)
    before = panel.record.count()
    panel.ordered.rise.box.value = "5"
    panel.entry.boxes["name"].value = "low bar"
    panel.add.click()
    assert panel.record.count() == before + 1
    assert f"low bar is in the record as entry {before + 1}" in panel.message.value
    assert "Not done" not in panel.message.value
    assert panel.entry.boxes["name"].value == ""
    panel.add.click()
    assert panel.record.count() == before + 1


def test_a_rise_read_as_750_is_asked_about_with_the_likely_value_and_kept_only_when_confirmed(demo_copy, tmp_path):
    panel = PANELS["record"](demo_copy / "shop.toml", tmp_path)
    before = panel.record.count()
    panel.entry.boxes["name"].value = "order 8"
    panel.entry.boxes["read rise_left"].value = "750"
    panel.add.click()
    assert panel.record.count() == before
    assert "is rise left really 750.0 mm? The order says 90.0 mm" in panel.message.value
    assert "a decimal point is missing, and it is 75.0 mm" in panel.message.value
    assert panel.anyway.layout.display == ""
    panel.anyway.click()
    assert panel.record.count() == before + 1
    assert panel.anyway.layout.display == "none"


def test_a_reading_as_it_can_be_is_not_asked_about(demo_copy, tmp_path):
    panel = PANELS["record"](demo_copy / "shop.toml", tmp_path)
    before = panel.record.count()
    panel.entry.boxes["name"].value = "order 8"
    panel.entry.boxes["read rise_left"].value = "75"
    panel.add.click()
    assert panel.record.count() == before + 1


def test_a_box_says_first_what_to_type(demo_copy, tmp_path):
    panel = PANELS["map"](demo_copy / "shop.toml", tmp_path)
    panel.controls.box.value = "wide"
    to_do = "<b>Not taken:</b> Type a number, for example 80, 80.5 mm or 3 1/8 in: "
    assert f"{to_do}room for controls must be one length" in unescape(panel.message.value)
    panel.controls.box.value = "9000"
    to_do = "<b>Not taken:</b> Type a number in between: "
    assert f"{to_do}room for controls must be from " in unescape(panel.message.value)


def twice(message):
    """The sentences that a message says twice."""
    said = [one.strip() for one in re.split(r"(?<=[.:]) |<[^>]*>", message)]
    sentences = [one.rstrip(".") for one in said if len(one) > 25]
    return [one for one in sentences if sentences.count(one) > 1]


@pytest.mark.parametrize("name", list(PANELS))
def test_no_message_says_the_same_sentence_twice(name, demo_copy, tmp_path):
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path)
    messages = [part.shell.message for part in parts_of(panel.box) if getattr(part, "shell", None) is not None]
    assert panel.message in messages
    for label, row, box in [*rows(panel.box)]:
        before, box.value = box.value, "-5"
        assert twice(panel.message.value) == [], label
        for button in [part for part in parts_of(panel.box) if isinstance(part, widgets.Button)]:
            if row.entry is None or not row.entry.refused:
                break
            button.click()
            assert [twice(one.value) for one in messages if twice(one.value)] == [], (label, button.description)
        box.value = before
