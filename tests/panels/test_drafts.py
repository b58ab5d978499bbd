"""What is set on a page and not entered yet outlives its kernel, is marked as a draft, and goes once it is entered."""

import json
import os
import signal
import time

import pytest
from every_panel import PANELS
from killing import TIMES, needs_fork

from barmath.panels import drafts
from barmath.panels.by_number import ByNumber
from barmath.panels.record import RecordPanel
from barmath.panels.shell import FAULT
from barmath.panels.week_state import choose_best_ways
from barmath.records import Record, order_book
from barmath.records.drafts import DRAFTS_FILE, Drafts
from barmath.shop import shop_from_file

OF_ORDERS = ("order", "record", "two bars")


@pytest.fixture
def book(demo_copy):
    found = order_book(demo_copy)
    choose_best_ways(shop_from_file(demo_copy / "shop.toml"), found, [7, 8])
    return found


@pytest.fixture
def open_page(demo_copy, book, tmp_path):
    """A page as it opens: after its kernel died it is a new panel on the same files."""
    (tmp_path / "folder").mkdir()

    def open_one(name="order"):
        if name == "record":
            return ByNumber(RecordPanel(demo_copy / "shop.toml", Record(book.path)), book)
        return ByNumber(PANELS[name](demo_copy / "shop.toml", tmp_path / "folder"), book)

    return open_one


def is_draft(page):
    return bool(page.draft.mark.value)


def file_of(book):
    return book.path.with_name(DRAFTS_FILE)


def test_what_was_set_in_01_comes_back_and_is_a_draft_until_it_is_entered(open_page, book):
    page = open_page()
    page.number.value = 8
    assert not is_draft(page)
    page.panel.ordered.rise.value = 72.5
    page.words.rider.value = "K."
    page.draft.flush()
    assert is_draft(page)
    again = open_page()
    assert again.number.value == 8
    assert (again.panel.state.rise_mm, again.words.rider.value) == (72.5, "K.")
    assert again.panel.readout.bar.order.rise_mm == 72.5
    assert is_draft(again)
    assert "this is your draft of 20" in again.message.value
    assert book.order(8).order.wish.rise_mm == 69.0
    again.keep.click()
    assert (book.order(8).order.wish.rise_mm, book.order(8).order.rider) == (72.5, "K.")
    assert not is_draft(again)
    assert json.loads(file_of(book).read_text(encoding="utf-8")) == []
    assert not is_draft(open_page())


def test_a_bar_set_by_hand_comes_back_and_is_entered_as_a_new_order(open_page, book):
    page = open_page()
    page.number.value = 0
    page.panel.ordered.rise.value = 83.5
    page.draft.flush()
    again = open_page()
    assert (again.number.value, again.panel.state.rise_mm, is_draft(again)) == (0, 83.5, True)
    again.enter.click()
    assert (again.number.value, is_draft(again)) == (book.next_number() - 1, False)
    assert Drafts(book.path).of_page("OrderPanel") == []


def test_a_draft_is_dropped_by_opening_the_order_again_and_by_setting_everything_back(open_page, book):
    page = open_page()
    for number, rise in ((8, 69.0), (0, 90.0)):
        page.number.value = number
        page.panel.ordered.rise.value = 75.0
        page.again.click()
        assert (page.panel.state.rise_mm, is_draft(page)) == (rise, False)
        page.panel.ordered.rise.value = 75.0
        page.panel.ordered.rise.value = rise
        assert not is_draft(page)
    assert Drafts(book.path).of_page("OrderPanel") == []
    assert FAULT not in page.message.value


def test_the_boxes_of_the_record_come_back_with_the_entry_that_they_correct(open_page, book):
    page = open_page("record")
    page.number.value = 8
    page.panel.entry.boxes["tweaks"].value = "left end 1 mm"
    page.draft.flush()
    again = open_page("record")
    assert again.panel.entry.boxes["tweaks"].value == "left end 1 mm"
    again.panel.add.click()
    assert not is_draft(again)
    number = Record(book.path).count()
    again.panel.entry.corrects.value = str(number)
    again.panel.entry.fetched.click()
    again.panel.entry.boxes["notes"].value = "matt"
    again.draft.flush()
    last = open_page("record")
    assert last.panel.state.fetched.bar == Record(book.path).entry(number).holds
    last.panel.add.click()
    (bar,) = Record(book.path).bars()
    assert (bar.tweaks, bar.notes) == ("left end 1 mm", "matt")


@pytest.mark.parametrize("name", OF_ORDERS)
def test_every_row_of_every_page_comes_back(open_page, name):
    page = open_page(name)
    page.number.value = 7
    for part in page.panel.form.single_parts():
        if getattr(part, "options", None) and len(part.options) > 1 and part is not page.panel.unit:
            other = [one[1] if isinstance(one, tuple) else one for one in part.options]
            part.value = next(value for value in reversed(other) if value != part.value)
    page.draft.flush()
    again = open_page(name)
    assert again.number.value == 7
    assert again.panel.form.values() == page.panel.form.values()
    assert FAULT not in again.message.value + again.panel.message.value


def test_the_later_of_two_pages_with_drafts_says_so_and_both_are_kept(open_page, book):
    page, other = open_page(), open_page()
    page.number.value = other.number.value = 8
    for one, rise in ((page, 71.0), (other, 72.0)):
        one.panel.ordered.rise.value = rise
        one.draft.flush()
    assert "another page has a draft of the same order" in other.message.value
    assert "another page" not in page.message.value
    other.keep.click()
    assert book.order(8).order.wish.rise_mm == 72.0
    third = open_page()
    assert third.panel.state.rise_mm == 71.0
    assert "The order has changed in the book since" in third.message.value
    third.again.click()
    assert third.panel.state.rise_mm == 72.0


def test_a_slider_is_not_slowed_by_its_draft(open_page, monkeypatch):
    page, written = open_page(), []
    page.number.value = 8
    monkeypatch.setattr(drafts, "WAIT_S", 60.0)
    monkeypatch.setattr(page.draft.drafts, "keep", lambda draft: written.append(draft) or set())
    for rise in (70.0, 71.0, 72.0, 73.0):
        page.panel.ordered.rise.value = rise
    assert len(written) == 1
    page.number.value = 7  # what is not written yet is written before another order is opened
    assert len(written) == 2
    assert written[1].values[page.draft.parts.index(page.panel.ordered.rise)] == 73.0


@pytest.mark.parametrize("text", ["", "{", "[{}]", "null", '[{"page": 1}]', "[1]", "1" * 3_000_000])
def test_a_broken_file_of_drafts_is_said_and_left_alone(open_page, book, text):
    file_of(book).write_text(text, encoding="utf-8")
    page = open_page()
    page.number.value = 8
    page.panel.ordered.rise.value = 71.0
    assert "ove it away" in page.message.value
    assert FAULT not in page.message.value
    page.draft.flush()
    assert file_of(book).read_text(encoding="utf-8") == text


@pytest.mark.parametrize("values", [[], ["x"] * 40, [None] * 16])
def test_a_draft_of_another_version_is_said_and_the_order_is_shown(open_page, book, values):
    draft = {"page": "OrderPanel", "number": 8, "owner": "x", "when": "2026-03-02 10:00", "revision": 1}
    file_of(book).write_text(json.dumps([draft | {"values": values}]), encoding="utf-8")
    page = open_page()
    assert page.number.value == 8
    assert "the draft of 2026-03-02 10:00 does not suit this page" in page.message.value
    assert page.panel.state.rise_mm == 69.0


@needs_fork
def test_a_kernel_killed_again_and_again_loses_nothing_that_was_set(open_page, book):
    lost = []
    for attempt in range(TIMES // 15):
        out, into = os.pipe()
        child = os.fork()
        if child == 0:
            page = open_page()
            page.number.value = 8
            for step in range(1000):
                rise = 60.0 + attempt + step / 1000.0
                page.panel.state = page.panel.state.__class__(**vars(page.panel.state) | {"rise_mm": rise})
                page.panel.ordered.rise.value = rise
                page.draft.flush()  # as the timer does half a second later
                os.write(into, f"{rise}\n".encode())
        os.close(into)
        with os.fdopen(out, "rb", buffering=0) as heard:
            first = heard.read(6)
            time.sleep(0.02 * attempt)
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            reported = (first + heard.read()).decode().split("\n")[:-1]
        (draft,) = [one for one in Drafts(book.path).of_page("OrderPanel", 8)][-1:]
        lost += [float(reported[-1])] if float(reported[-1]) > draft.values[0] + 1e-9 else []
    assert lost == []
