"""Twelve kernels at work on one folder, as in a class: each order and each bend is kept once, and nobody is stopped."""

import os
from dataclasses import replace

import pytest
from killing import needs_fork, spawned
from nightly import NIGHTLY

from barmath.panels.by_number import ByNumber
from barmath.panels.order import OrderPanel
from barmath.panels.shell import FAULT
from barmath.records import Record, TestBend, order_book

AT_ONCE, ORDERS_EACH = (12, 8) if NIGHTLY else (3, 3)
BEND = TestBend("2026-03-01", "7/8 x 0.065", "die 102", 22.225, 1.651, 101.6, 30.0, 29.1)
pytestmark = [needs_fork, pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning")]


def wishes(place):
    """The rises that one of them orders, and nobody else does."""
    return [60.0 + place + 0.1 * turn for turn in range(ORDERS_EACH)]


def works(demo, sheets, place):
    """Enter orders on a page, and a test bend of each into the record."""
    book = order_book(demo)
    page, record = ByNumber(OrderPanel(demo / "shop.toml", sheets_folder=sheets), book), Record(book.path)
    page.number.value = 0
    for rise_mm in wishes(place):
        page.panel.ordered.rise.value = rise_mm
        page.enter.click()
        assert FAULT not in page.message.value
        assert f"order {page.number.value}" in page.message.value
        assert book.order(page.number.value).order.wish.rise_mm == pytest.approx(rise_mm)
        record.add(replace(BEND, notes=f"{rise_mm:.1f}"))
    os._exit(0)


def test_orders_entered_by_all_at_once_have_each_a_number_and_no_bend_is_lost(demo_copy, tmp_path):
    before = {one.order.number for one in order_book(demo_copy).orders()}
    children = [spawned(works, demo_copy, tmp_path / str(place), place) for place in range(AT_ONCE)]
    assert [os.waitpid(child, 0)[1] for child in children] == [0] * AT_ONCE
    book = order_book(demo_copy)
    rises = sorted(one.order.wish.rise_mm for one in book.orders() if one.order.number not in before)
    wanted = sorted(rise for place in range(AT_ONCE) for rise in wishes(place))
    assert rises == pytest.approx(wanted)
    assert sorted(one.notes for one in Record(book.path).bends()) == sorted(f"{rise:.1f}" for rise in wanted)
