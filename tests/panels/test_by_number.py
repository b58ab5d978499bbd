"""An order is entered once: 01 keeps its way in the book, and the other panels open it by its number."""

from dataclasses import replace

import pytest
from printed import text_of

from barmath.panels.by_number import ByNumber
from barmath.panels.crossbar import CrossbarPanel
from barmath.panels.inspection import InspectionPanel
from barmath.panels.order import OrderPanel
from barmath.panels.record import RecordPanel
from barmath.panels.shell import FAULT
from barmath.panels.two_bars import TwoBarsPanel
from barmath.paper.week_data import week_from_orders
from barmath.records import OrderBook, Record, order_book
from barmath.shop import ORDER, shop_from_file


@pytest.fixture
def book(demo_copy):
    return order_book(demo_copy)


@pytest.fixture
def planned(demo_copy, book, tmp_path):
    """Order 8, opened in the order panel, with its way kept."""
    order = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), book)
    order.number.value = 8
    order.keep.click()
    assert FAULT not in order.message.value
    return order


def test_the_order_panel_opens_an_order_and_keeps_its_way(planned, book):
    panel, kept = planned.panel, book.order(8).order
    assert panel.state.rise_mm == kept.wish.rise_mm == 69.0
    assert kept.state == planned.state.value == "planned"
    assert kept.way.die == panel.readout.bar.die.name
    assert kept.recipe().straight_mm == pytest.approx(panel.readout.bar.recipe.straight_mm)
    assert kept.recipe().grip_mm == pytest.approx(panel.readout.bar.recipe.grip_mm)


@pytest.mark.parametrize("name", ["inspection", "crossbar", "record", "two bars"])
def test_the_other_panels_take_the_bar_from_the_book(planned, demo_copy, book, tmp_path, name):
    shop_file = demo_copy / "shop.toml"
    shop = shop_from_file(shop_file)
    make = {
        "inspection": lambda: InspectionPanel(shop, sheets_folder=tmp_path),
        "crossbar": lambda: CrossbarPanel(shop, sheets_folder=tmp_path),
        "record": lambda: RecordPanel(shop_file, Record(book.path)),
        "two bars": lambda: TwoBarsPanel(shop, book.path),
    }
    opened = ByNumber(make[name](), book)
    opened.number.value = 8
    assert FAULT not in opened.message.value
    assert FAULT not in opened.panel.message.value
    assert "order 8 is open: planned" in opened.message.value
    recipe = book.order(8).order.recipe()
    state = opened.panel.state
    found = state.b.recipe if name == "two bars" else state.bar.recipe(shop)
    assert found.straight_mm == pytest.approx(recipe.straight_mm, abs=0.01)
    assert found.inner_bend_deg == recipe.inner_bend_deg
    opened.state.value = "bent"
    opened.keep.click()
    assert OrderBook(book.path).order(8).order.state == "bent"


def test_an_order_without_a_way_is_not_opened_where_a_way_is_needed(demo_copy, book, tmp_path):
    opened = ByNumber(InspectionPanel(shop_from_file(demo_copy / "shop.toml"), sheets_folder=tmp_path), book)
    before = opened.panel.state
    opened.number.value = 9
    assert "choose a way first: order 9 has none in the order book yet" in opened.message.value
    assert opened.panel.state == before
    opened.keep.click()
    assert "nothing was kept" in opened.message.value
    assert len(book.history(9)) == 1


def test_a_page_opened_again_shows_what_was_kept_last(planned, demo_copy, book, tmp_path):
    again = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), OrderBook(book.path))
    again.number.value = 8
    assert again.panel.readout.bar.recipe == planned.panel.readout.bar.recipe
    assert again.state.value == "planned"


def test_the_later_of_two_pages_gets_a_message_and_can_keep_after_looking(planned, demo_copy, book, tmp_path):
    other = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), OrderBook(book.path))
    other.number.value = 8
    planned.state.value = "bent"
    planned.keep.click()
    other.state.value = "checked"
    other.keep.click()
    assert "somebody else has changed it" in other.message.value
    assert book.order(8).order.state == "bent"
    other.again.click()
    assert other.state.value == "bent"
    other.state.value = "checked"
    other.keep.click()
    assert book.order(8).order.state == "checked"


def test_a_bar_set_by_hand_is_entered_as_a_new_order(demo_copy, book, tmp_path):
    order = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), book)
    number = book.next_number()
    order.enter.click()
    assert FAULT not in order.message.value
    kept = book.order(number).order
    assert kept.wish == ORDER
    assert kept.state == "planned"
    assert order.number.value == number
    order.state.value = "bent"
    order.keep.click()
    assert book.order(number).order.state == "bent"


def test_the_page_for_the_rider_is_written_as_pdf_and_picture(planned, demo_copy, book, tmp_path):
    order = ByNumber(planned.panel, book, tmp_path / "sheets")
    order.rider.write.click()
    assert "first: a page for the rider is about an order" in order.rider.message.value
    order.number.value = 8
    order.rider.write.click()
    folder = tmp_path / "sheets"
    assert (folder / "order 8 for the rider.pdf").read_bytes().startswith(b"%PDF")
    assert (folder / "order 8 for the rider.png").read_bytes().startswith(b"\x89PNG")


def test_the_rider_sees_the_crossbar_of_the_bar_in_the_book_and_of_no_other(planned, demo_copy, book, tmp_path):
    panel = CrossbarPanel(shop_from_file(demo_copy / "shop.toml"), sheets_folder=tmp_path)
    opened = ByNumber(panel, book, tmp_path / "sheets")
    opened.number.value = 8
    panel.ordered.rise.slider.value += 5.0
    opened.rider.write.click()
    assert "open order 8 again" in opened.rider.message.value
    opened.again.click()
    opened.rider.write.click()
    assert "mm over the clamp" in text_of((tmp_path / "sheets" / "order 8 for the rider.pdf").read_bytes())


def test_the_line_of_a_sheet_opens_its_order(planned, demo_copy, book, tmp_path):
    (bar,) = week_from_orders(shop_from_file(demo_copy / "shop.toml"), [book.order(8).order]).bars
    opened = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), book)
    opened.line.value = bar.sheet.line[:-1] + str((int(bar.sheet.line[-1]) + 1) % 10)
    assert "read the line again" in opened.message.value
    assert opened.number.value == 0
    opened.line.value = bar.sheet.line
    assert "order 8 is open: planned" in opened.message.value
    assert opened.panel.state.rise_mm == 69.0
    other = replace(bar.sheet, recipe=replace(bar.sheet.recipe, grip_mm=bar.sheet.recipe.grip_mm + 1.0))
    opened.line.value = other.line
    assert "not of the way that order 8 has in the book now" in opened.message.value
