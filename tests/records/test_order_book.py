"""The order book loses nothing: killed writers, two at once, changes kept, earlier files, unreadable orders."""

import json
import os
import sqlite3
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from killing import TIMES, killed_again_and_again, needs_fork, spawned

from barmath import BendError, Order
from barmath.records import STATES, BookedOrder, ChosenWay, OrderBook, Record, WantedCrossbar, demo_record, order_book
from barmath.records.demo_record import demo_bars, demo_bends
from barmath.refusal import remedy_first
from barmath.shop import DIE, ORDER, TUBE, make_my_shop, order_seven_recipe, shop_from_file

pytestmark = pytest.mark.filterwarnings("ignore:.*multi-threaded.*fork:DeprecationWarning")

WAY = ChosenWay("7/8 x 0.065", "die 102", 30.0, 30.0, 31.1, 31.1, order_seven_recipe().radius_mm)
SEVEN = BookedOrder(7, ORDER, "2026-03-02", rider="invented")


def said(make, *args, **kwargs):
    with pytest.raises(BendError) as refusal:
        make(*args, **kwargs)
    return str(refusal.value)


@pytest.fixture
def book(tmp_path):
    return OrderBook(tmp_path / "record.db")


def test_what_goes_in_comes_out_with_its_way(book):
    first = book.add(SEVEN)
    planned = replace(SEVEN, state="planned", way=WAY, notes="Größe ✓", wanted="2026-03-20")
    book.change(planned, first)
    assert OrderBook(book.path).order(7).order == planned
    assert book.next_number() == 8


numbers = st.floats(0.5, 170.0)
ways = st.none() | st.builds(lambda a, b, r: ChosenWay("tube", "die", a, b, a, b, r), numbers, numbers, numbers)
orders = st.builds(
    lambda number, rise, upsweep, way, state, notes: BookedOrder(
        number, Order(rise, 9.5, 780.0, upsweep), "2026-03-02", state if way else "ordered", way, notes=notes
    ),
    st.integers(1, 999_999), st.floats(1.0, 300.0), st.none() | st.floats(-20.0, 20.0), ways,
    st.sampled_from(STATES), st.text(max_size=30).filter(lambda text: "\x00" not in text and text.isprintable()),
)  # fmt: skip


@settings(max_examples=40)
@given(orders)
def test_any_order_comes_out_as_it_went_in(tmp_path_factory, order):
    book = OrderBook(tmp_path_factory.mktemp("book") / "record.db")
    book.add(order)
    assert [row.order for row in book.orders()] == [order]


def test_the_chosen_way_gives_the_recipe_again():
    recipe = replace(SEVEN, state="planned", way=WAY).recipe()
    assert recipe == order_seven_recipe()
    assert said(SEVEN.recipe) == "choose a way first: order 7 has none in the order book yet"


def test_a_change_keeps_what_was_before(book):
    seen = book.add(SEVEN)
    for state in ("planned", "bent", "checked", "done"):
        seen = book.change(replace(SEVEN, state=state, way=WAY), seen)
    book.withdraw(seen)
    states = [row.order.state for row in book.history(7)]
    assert states == ["ordered", "planned", "bent", "checked", "done", "withdrawn"]
    assert [row.revision for row in book.history(7)] == list(range(6))
    assert book.orders(["planned", "done"]) == []
    assert [row.number for row in book.orders(["withdrawn"])] == [7]


def test_nothing_in_the_book_can_be_changed_even_by_hand(book):
    book.add(SEVEN)
    with sqlite3.connect(book.path) as file:
        for statement in ("update booked set body = '{}'", "delete from booked"):
            with pytest.raises(sqlite3.IntegrityError, match="never"):
                file.execute(statement)
    file.close()


def test_the_later_of_two_pages_gets_a_message_and_loses_nothing(book):
    book.add(SEVEN)
    mine, theirs = book.order(7), OrderBook(book.path).order(7)
    book.change(replace(SEVEN, notes="theirs"), theirs)
    late = replace(SEVEN, notes="mine")
    assert said(book.change, late, mine) == (
        "open order 7 again: somebody else has changed it since you opened it. Their change is in the book, and yours "
        "is not written yet"
    )
    assert book.order(7).order.notes == "theirs"
    book.change(late, book.order(7))
    assert [row.order.notes for row in book.history(7)] == ["", "theirs", "mine"]


def test_a_number_is_given_once(book):
    book.add(SEVEN)
    assert said(book.add, SEVEN) == "open order 7, or take another number: the order book has an order 7 already"
    assert said(book.change, replace(SEVEN, number=8), book.order(7)) == (
        "Open order 8 instead: number of the order must be 7, as it was opened, got 8"
    )
    assert said(book.order, 8) == "choose another number, or enter the order first: the order book has no order 8"


@needs_fork
def test_two_adding_the_same_number_at_once_keep_one_and_the_other_gets_a_message(book):
    def add(number):
        for k in range(1, 40):
            try:
                OrderBook(book.path).add(replace(SEVEN, number=k, notes=str(number)))
            except BendError:
                continue

    children = [spawned(add, number) for number in range(2)]
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0]
    assert [row.number for row in book.orders()] == list(range(1, 40))
    assert all(row.revision == 0 for row in book.orders())


@needs_fork
def test_two_changing_one_order_at_once_lose_no_change(book):
    book.add(SEVEN)

    def change(name):
        mine = OrderBook(book.path)
        for k in range(30):
            while True:
                try:
                    mine.change(replace(SEVEN, notes=f"{name}{k}"), mine.order(7))
                    break
                except BendError:
                    continue

    children = [spawned(change, name) for name in "ab"]
    assert [os.waitpid(child, 0)[1] for child in children] == [0, 0]
    notes = [row.order.notes for row in book.history(7)]
    assert sorted(notes[1:]) == sorted(f"{name}{k}" for name in "ab" for k in range(30))


@needs_fork
def test_a_writer_killed_again_and_again_loses_no_order_that_was_reported_saved(book):
    def work(book, attempt):
        seen = None
        for number in range(1 + attempt * 1000, (attempt + 1) * 1000):
            seen = book.add(replace(SEVEN, number=number))
            yield f"{number} 0"
            book.change(replace(SEVEN, number=number, notes="changed"), seen)
            yield f"{number} 1"

    reported = killed_again_and_again(
        book.path, TIMES, work, opened=OrderBook, first=lambda book: book.add(replace(SEVEN, number=999_999))
    )
    kept = {f"{row.number} {row.revision}" for one in book.orders() for row in book.history(one.number)}
    assert set(reported) <= kept
    assert len(kept) <= len(reported) + TIMES  # one a kill may have been saved and not reported
    assert len(reported) > TIMES // 4


def as_format_3(path):
    with sqlite3.connect(path) as file:
        file.execute("drop table booked")
        file.execute("pragma user_version = 3")
    file.close()


def test_a_record_of_format_3_with_10_000_bars_gets_an_order_book_and_keeps_its_bars(tmp_path):
    path = tmp_path / "record.db"
    record = Record(path)
    forty = demo_bars(TUBE, DIE)
    record.add_all([replace(forty[k % 40], name=f"bar {k}") for k in range(10_000)])
    bars = record.bars()
    as_format_3(path)
    before = path.read_bytes()
    book = OrderBook(path)
    book.add(SEVEN)
    assert Record(path).bars() == bars
    assert [row.order for row in book.orders()] == [SEVEN]
    assert path.with_name("record.db.format-3").read_bytes() == before


@pytest.mark.parametrize("body", ["", "{", "null", "[]", '{"number": 7}', b"\xff\xfe"])
def test_one_order_that_cannot_be_read_does_not_hide_the_others(book, body):
    book.add(SEVEN)
    with sqlite3.connect(book.path) as file:
        text = body.decode("latin-1") if isinstance(body, bytes) else body
        file.execute("insert into booked (number, revision, state, body) values (8, 0, 'ordered', ?)", (text,))
    file.close()
    good, bad = book.orders()
    assert good.order == SEVEN
    assert said(lambda: bad.order).startswith(
        "write order 8 in again, or go back to a backup: it cannot be read in the order book ("
    )
    book.change(replace(SEVEN, number=8), bad)
    assert book.order(8).order.wish == ORDER


def test_the_training_shops_book_begins_with_its_orders_and_a_shops_own_with_none(demo_copy):
    training = order_book(demo_copy)
    assert training.order(7).order.wish == ORDER
    assert len(training.orders()) >= 12
    before = len(training.orders())
    assert len(order_book(demo_copy).orders()) == before  # opened again, nothing comes twice
    make_my_shop(demo_copy)
    own = order_book(demo_copy)
    assert own.path.parent.name == "my_shop"
    assert own.orders() == []
    assert Record(own.path).count() == 0


def test_the_training_shops_bars_come_though_its_order_book_was_opened_first(demo_copy):
    shop = shop_from_file(demo_copy / "shop.toml")
    book = order_book(demo_copy)
    record = demo_record(book.path, shop.tubes[0], shop.dies[0])
    count = record.count()
    assert count > 40
    assert demo_record(book.path, shop.tubes[0], shop.dies[0]).count() == count
    assert book.order(7).order.wish == ORDER


def test_the_training_shops_bars_come_though_a_bend_was_read_at_the_bench_first(demo_copy):
    shop = shop_from_file(demo_copy / "shop.toml")
    book = order_book(demo_copy)
    mine = replace(demo_bends(shop.tubes[0], shop.dies[0])[0], notes="read at the bench")
    Record(book.path).add(mine)
    record = demo_record(book.path, shop.tubes[0], shop.dies[0])
    assert len(record.bars()) == 40
    assert demo_record(book.path, shop.tubes[0], shop.dies[0]).count() == record.count() == 44


def test_an_order_withdrawn_from_the_training_book_does_not_come_back(demo_copy):
    book = order_book(demo_copy)
    for row in book.orders():
        book.withdraw(row)
    assert {row.order.state for row in order_book(demo_copy).orders()} == {"withdrawn"}


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("number", 0, "order number must be at least 1, got 0: type a whole number from 1 to 999999"),
        ("number", "7", "order number must be a whole number, got '7': type it in figures, for example 7"),
        ("number", 1.5, "order number must be a whole number, got 1.5: type a whole number from 1 to 999999"),
        ("wish", None, "what the rider wishes must be an Order, got None: make one with Order(...)"),
        ("state", "bent", 'choose a way first: order 7 cannot be "bent" before it is known how it is made'),
        ("way", "die 102", "way of an order must be a ChosenWay, got 'die 102': make one with ChosenWay(...)"),
        ("ordered", "2.3.2026", "date must be a day, got '2.3.2026': type the day as in 2026-03-14"),
        ("notes", "x" * 2001, "notes must be at most 2000 letters long, got 2001: shorten the notes"),
        (
            "readings",
            "14",
            'readings of an order must be names with what was typed, got \'14\': type them as in [("width", "800")]',
        ),
        ("unit", "cm", 'unit must be one of these, got \'cm\': choose "mm" or "in"'),
        (
            "crossbar",
            "5/8",
            "crossbar of an order must be a WantedCrossbar, got '5/8': make one with WantedCrossbar(...)",
        ),
        (
            "old",
            ORDER,
            "old bar of an order must be a Recipe, got Order(",
        ),
    ],
)
def test_what_is_no_order_is_refused(field, value, sentence):
    assert remedy_first(sentence) in said(replace, SEVEN, **{field: value})


@pytest.mark.parametrize("readings", [[("rise", "90")], [("rise_left",)], ["rise_left"], [("rise_left", 90.0)], 7])
def test_readings_that_are_none_are_refused(readings):
    with pytest.raises(BendError, match=r"reading|rise"):
        replace(SEVEN, readings=readings)


def test_what_was_read_and_fitted_and_the_old_bar_come_out_as_they_went_in(book):
    order = replace(
        SEVEN, readings=[["rise_left", "89.5; 89.9 ± 0.3"], ["backsweep_left", "14"], ["width", " "]], unit="in",
        crossbar=WantedCrossbar(15.875, 0.9, 60.0), old=order_seven_recipe(),
    )  # fmt: skip
    book.add(order)
    assert order.readings == (("backsweep_left", "14"), ("rise_left", "89.5; 89.9 ± 0.3"))
    assert OrderBook(book.path).order(7).order == order


def test_an_order_written_before_readings_were_kept_is_read(book):
    book.add(SEVEN)
    body = json.loads(book.order(7).body)
    early = {name: body[name] for name in body if name not in ("readings", "unit", "crossbar", "old")}
    with sqlite3.connect(book.path) as file:
        file.execute("insert into booked (number, revision, state, body) values (8, 0, 'ordered', ?)",
                     (json.dumps(early | {"number": 8}),))  # fmt: skip
    file.close()
    assert book.order(8).order == replace(SEVEN, number=8)


def test_a_way_needs_its_numbers_and_a_known_sequence():
    assert "inner stop must be a finite number in deg, got nan deg" in said(replace, WAY, inner_stop_deg=float("nan"))
    assert 'Choose "inner bends first, risers in the hook", ' in said(replace, WAY, sequence="any")
    assert said(OrderBook.add, OrderBook.__new__(OrderBook), "no order") == (
        "Make one with BookedOrder(...): an order of the book must be a BookedOrder, got 'no order'"
    )
