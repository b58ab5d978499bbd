"""A week of orders in a real browser, from entry to the rider's page, and no number is typed twice.

Each order is typed into the boxes of 01. It is planned with the others, bent and checked at the bench, gets its
crossbar and goes to its rider. The nightly run does so with all twelve, half of them on a wide page and half on a
narrow one. The others take three: one with a single stop, one with two, and one with an upsweep.
"""

import shutil

import pytest
from browser.driver import open_page
from nightly import NIGHTLY

from barmath.records import order_book
from barmath.shop import make_my_shop

WIDE, NARROW = (1280, 900), (820, 1180)
FITS = "() => document.documentElement.scrollWidth <= innerWidth"
LABELS = ("Rise", "Backsweep", "Width", "Upsweep ordered")
ONE_STOP, TWO_STOPS, UPSWEEP = ("92", "13.5", "790"), ("85", "12.5", "795"), ("81.5", "11,5", "765", "4")
TWELVE = [("63", "5", "710"), ("69", "8", "760"), ("90", "14", "800"), ("80", "10", "755"), ("75", "12", "785"),
          TWO_STOPS, ("70", "9", "740"), ("95", "13", "805"), ("88", "11", "780"), ("78", "10.5", "770"), ONE_STOP,
          UPSWEEP]  # fmt: skip
TYPED = TWELVE if NIGHTLY else [ONE_STOP, TWO_STOPS, UPSWEEP]
NUMBERS = range(1, len(TYPED) + 1)
MS = 60_000


@pytest.fixture(scope="module")
def week(browser, lab):
    """The empty order book of a shop of one's own; `open_one(name)` opens a page of the bench for it."""
    make_my_shop(lab.root)
    book, opened = order_book(lab.root), {}
    assert book.orders() == []

    def open_one(name):
        opened[name] = open_page(browser, lab, name, *WIDE)
        return opened[name]

    yield book, open_one
    for page in opened.values():
        assert (page.left, page.problems) == ([], [])
        page.context.close()
    shutil.rmtree(lab.root / "notebooks" / "my_shop")


def row(page, label):
    return page.locator(".barmath-row", has=page.get_by_text(label, exact=True)).first


def type_in(page, label, text, typed):
    typed.append(text)
    box = row(page, label).locator("input[type=text]")
    box.fill(text)
    box.press("Enter")


def press(page, words, done):
    page.get_by_role("button", name=words, exact=True).first.click()
    page.get_by_text(done).first.wait_for(timeout=MS)


def go_on(page, *titles):
    for title in titles:
        page.locator(".barmath-bench-next").click()
        page.locator(".barmath-bench-head h1", has_text=title).wait_for(timeout=MS)


def fits(page, number):
    """The page for that order fits: wide for odd numbers, narrow for even ones."""
    width, height = WIDE if number % 2 else NARROW
    page.set_viewport_size({"width": width, "height": height})
    page.wait_for_function(FITS, timeout=MS)


def enter(page, number, texts, typed):
    for label, text in zip(LABELS, texts, strict=False):
        if label == LABELS[-1]:
            row(page, "Upsweep").locator("select").select_option(label="as ordered")
        type_in(page, label, text, typed)
    press(page, "Enter it as a new order", f"order {number} is in the book now: planned")


def bend_and_check(page, book, number, typed):
    """One order at the bench: each bend is read when it is made, and the bar when it is done."""
    order = book.order(number).order
    off = 0.01 * number
    bend = f"{order.way.inner_bend_deg - 0.4 + off:.2f}"
    sweep, rise = order.wish.backsweep_deg, order.wish.rise_mm
    bar = [f"{value + off:.2f}" for value in (sweep + 0.2, sweep - 0.2, rise - 0.5, rise + 0.5)]
    row(page, "Order number").locator("select").select_option(label=f"order {number}, planned")
    page.wait_for_function(f"() => document.querySelector('.barmath-bench-name').innerText === 'order {number}'")
    go_on(page, "Cut", "1. Right inner")
    typed.append(bend)
    page.locator(".barmath-bench-read input").fill(bend)
    page.locator(".barmath-bench-read input").press("Tab")
    page.get_by_text(f"You read {float(bend):.1f}").wait_for(timeout=MS)
    go_on(page, "2. Left inner", "3. Right outer", "4. Left outer", "Check the bar")
    for label, text in zip(("Backsweep left", "Backsweep right", "Rise left", "Rise right"), bar, strict=True):
        type_in(page, label, text, typed)
    page.get_by_text("Type both backsweeps").wait_for(state="detached", timeout=MS)
    go_on(page, "Next time")
    order = book.order(number).order
    assert (order.state, [text for _, text in order.readings]) == ("checked", bar)
    go_on(page, "Which bar?")


def to_the_rider(page, number):
    row(page, "Order number").locator("select").select_option(label=f"order {number}")
    page.get_by_text(f"order {number} is open: checked").first.wait_for(timeout=MS)
    press(page, "Keep it in the order book", f"order {number} is in the book now: crossbar")
    press(page, "Write the page for the rider", f"Written to sheets/order {number} for the rider.pdf")


def test_a_week_goes_from_entry_to_the_riders_page_without_typing_a_number_twice(week, lab):
    (book, open_one), typed = week, []
    page = open_one("01_order_to_bench")
    for number, texts in enumerate(TYPED, 1):
        fits(page, number)
        enter(page, number, texts, typed)
    wishes = [row.order.wish for row in book.orders()]
    found = [(one.rise_mm, one.backsweep_deg, one.width_mm, one.upsweep_deg) for one in wishes]
    wanted = [(*(float(text.replace(",", ".")) for text in texts), None, None)[:4] for texts in TYPED]
    assert found == wanted
    ways = [row.order.way for row in book.orders()]
    assert {way.inner_bend_deg == way.outer_bend_deg for way in ways} == {True, False}

    page = open_one("the_week")
    for number in (2, 1):
        fits(page, number)
        assert page.locator(".barmath-ways").bounding_box()["y"] < 100  # no message, and no room is left for one
    page.locator("select[multiple]").select_option(index=[number - 1 for number in NUMBERS])
    page.get_by_text(f"Bend in this sequence: {len(TYPED)} bars").wait_for(timeout=MS)
    assert {row.order.state for row in book.orders()} == {"planned"}
    press(page, "Write the week", "Written to")

    page = open_one("at_the_bench")
    for number in NUMBERS:
        fits(page, number)
        bend_and_check(page, book, number, typed)

    page = open_one("08_fit_the_crossbar")
    page.get_by_text(f"order {NUMBERS[-1]} is open: checked").first.wait_for(timeout=MS)  # the one that was open last
    for number in reversed(NUMBERS):
        fits(page, number)
        to_the_rider(page, number)
    assert {row.order.state for row in book.orders()} == {"crossbar"}
    sheets = {path.name for path in (lab.root / "notebooks" / "bench" / "sheets").iterdir()}
    assert {f"order {number} for the rider.{kind}" for number in NUMBERS for kind in ("pdf", "png")} <= sheets
    assert "the week.pdf" in sheets
    assert len(typed) == len(set(typed)) == 8 * len(TYPED) + sum(map(len, TYPED)) - 3 * len(TYPED)
