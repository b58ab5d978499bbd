"""What is set on a page and not entered yet outlives its kernel, is marked as a draft, and goes once it is entered."""

import json
import os
import random
import signal
import time

import pytest
from every_panel import PANELS
from killing import TIMES, needs_fork, spawned

from barmath.panels.by_number import ByNumber
from barmath.panels.last_order import last_order
from barmath.panels.record import RecordPanel
from barmath.panels.shell import FAULT
from barmath.panels.week_state import choose_best_ways
from barmath.records import Record, order_book
from barmath.records.drafts import DRAFTS_FILE, Draft, Drafts
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
    again = open_page("record")
    assert again.panel.entry.boxes["tweaks"].value == "left end 1 mm"
    again.panel.add.click()
    assert not is_draft(again)
    number = Record(book.path).count()
    again.panel.entry.corrects.value = str(number)
    again.panel.entry.fetched.click()
    again.panel.entry.boxes["notes"].value = "matt"
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
    again = open_page(name)
    assert again.number.value == 7
    assert again.panel.form.values() == page.panel.form.values()
    assert FAULT not in again.message.value + again.panel.message.value


def test_the_later_of_two_pages_with_drafts_says_so_and_both_are_kept(open_page, book):
    page, other = open_page(), open_page()
    page.number.value = other.number.value = 8
    for one, rise in ((page, 71.0), (other, 72.0)):
        one.panel.ordered.rise.value = rise
    assert "another page has a draft of the same order" in other.message.value
    assert "another page" not in page.message.value
    other.keep.click()
    assert book.order(8).order.wish.rise_mm == 72.0
    third = open_page()
    assert third.panel.state.rise_mm == 71.0
    assert "The order has changed in the book since" in third.message.value
    third.again.click()
    assert third.panel.state.rise_mm == 72.0


def test_each_value_is_written_once(open_page, monkeypatch):
    page, written = open_page(), []
    page.number.value = 8
    monkeypatch.setattr(page.draft.drafts, "keep", lambda draft: written.append(draft.values[0]) or set())
    for rise in (70.0, 71.0, 71.0, 72.0):
        page.panel.ordered.rise.value = rise
    assert page.draft.parts[0] is page.panel.ordered.rise
    assert written == [70.0, 71.0, 72.0]


def test_a_slider_that_sends_thirty_values_a_second_waits_for_no_draft(book):
    """A write takes a small part of the 33 ms to the next value, on a busy machine too: the least of many."""
    drafts, took = Drafts(book.path), []
    for rise in range(30):
        start = time.perf_counter()
        drafts.keep(Draft("OrderPanel", 8, "one page", "2026-03-02 10:00", 1, [float(rise)] * 20))
        took.append(time.perf_counter() - start)
    assert min(took) < 0.010


def test_what_was_entered_and_not_taken_out_before_its_kernel_died_is_no_draft(open_page, book, monkeypatch):
    page = open_page()
    page.number.value = 8
    page.panel.ordered.rise.value = 72.5
    monkeypatch.setattr(page.draft.drafts, "drop", lambda *_: None)  # it died here
    page.keep.click()
    assert len(Drafts(book.path).of_page("OrderPanel", 8)) == 1
    again = open_page()
    assert (again.panel.state.rise_mm, is_draft(again)) == (72.5, False)
    assert Drafts(book.path).of_page("OrderPanel", 8) == []


def test_what_was_entered_as_its_kernel_died_is_named_before_it_is_entered_twice(open_page, book, monkeypatch):
    page = open_page()
    page.number.value = 0
    page.panel.ordered.rise.value = 83.5
    monkeypatch.setattr(page.draft.drafts, "drop", lambda *_: None)  # it died here
    page.enter.click()
    newest = book.next_number() - 1
    again = open_page()
    assert (again.number.value, again.panel.state.rise_mm) == (0, 83.5)
    assert f"Order {newest} in the book is the same: enter this one only for a second bar" in again.message.value
    again.panel.ordered.rise.value = 84.0
    assert "in the book is the same" not in open_page().message.value


@pytest.mark.parametrize(("name", "remedy"), [("order", "Enter it as a new order, or press"), ("two bars", "Press")])
def test_a_draft_set_by_hand_is_not_said_to_be_kept_where_nothing_keeps_it(open_page, name, remedy):
    page = open_page(name)
    page.number.value = 0
    part = page.panel.ordered.rise if name == "order" else page.panel.more
    part.value += 1.0
    said = open_page(name).message.value
    assert f"not entered yet. {remedy} Open it again to drop it" in said
    assert "Keep it" not in said


@pytest.mark.parametrize("text", ["", "{", "[{}]", "null", '[{"page": 1}]', "[1]", "1" * 3_000_000])
def test_a_broken_file_of_drafts_is_said_and_left_alone(open_page, book, text):
    file_of(book).write_text(text, encoding="utf-8")
    page = open_page()
    page.number.value = 8
    page.panel.ordered.rise.value = 71.0
    assert "ove it away" in page.message.value
    assert FAULT not in page.message.value
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
def test_a_kernel_that_dies_over_its_picture_has_kept_what_was_set(open_page, book):
    page = open_page()
    page.number.value = 8

    def set_it():
        page.panel.refresh = lambda: os.kill(os.getpid(), signal.SIGKILL)
        page.panel.ordered.rise.value = 72.5

    os.waitpid(spawned(set_it), 0)
    assert open_page().panel.state.rise_mm == 72.5


@needs_fork
def test_a_kernel_killed_again_and_again_loses_nothing_that_was_set(open_page, book):
    """Killed right after a row has taken its value, or as the next ones are written."""
    page, lost, chance = open_page(), [], random.Random(7)
    page.number.value = 8

    def slide(into, attempt):
        page.panel.refresh = lambda: None  # so that most kills are over the writing
        for step in range(1000):
            rise = round(70.0 + 0.4 * attempt + 0.0001 * step, 4)
            page.panel.ordered.rise.value = rise
            os.write(into, f"{rise}\n".encode())

    for attempt in range(TIMES):
        out, into = os.pipe()
        child = spawned(slide, into, attempt)
        os.close(into)
        with os.fdopen(out, "rb", buffering=0) as heard:
            reported = heard.read(100).decode()
            time.sleep(chance.choice((0.0, chance.uniform(0.0, 0.03))))
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            last = float((reported + heard.read().decode()).split("\n")[-2])
        newest = Drafts(book.path).of_page("OrderPanel", 8)[-1]
        assert last_order(book.path) == 8
        lost += [last] if newest.values[0] < last else []
    assert lost == []
    assert open_page().panel.state.rise_mm == newest.values[0]
