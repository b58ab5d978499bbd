"""A week of twelve orders in a real browser, from entry to the rider's page, and no number is typed twice.

All twelve are typed into the boxes of 01, six on a wide page and six on a narrow one. Two of them are bent at the
bench, checked, get their crossbar and go to their riders.
"""

import shutil

import pytest
from browser.driver import open_page

from barmath.records import order_book
from barmath.shop import make_my_shop

WIDE, NARROW = (1280, 900), (820, 1180)
SIDEWAYS = "() => document.documentElement.scrollWidth - innerWidth"
TYPED = [("63", "5", "710"), ("69", "8", "760"), ("90", "14", "800"), ("80", "10", "755"), ("75", "12", "785"),
         ("85", "12.5", "795"), ("70", "9", "740"), ("95", "13", "805"), ("88", "11", "780"), ("78", "10.5", "770"),
         ("92", "13.5", "790"), ("81.5", "11,5", "765")]  # fmt: skip
READ = {11: ("30.2", "13.4", "13.6", "91.7", "92.1"), 12: ("29.7", "11.6", "11.4", "81.2", "81.8")}


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
    page.get_by_text(done).first.wait_for(timeout=60_000)


def go_on(page, *titles):
    for title in titles:
        page.locator(".barmath-bench-next").click()
        page.locator(".barmath-bench-head h1", has_text=title).wait_for(timeout=60_000)


def fits(page, size):
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.wait_for_timeout(400)
    assert page.evaluate(SIDEWAYS) <= 0


def test_a_week_goes_from_entry_to_the_riders_page_without_typing_a_number_twice(week, lab):
    (book, open_one), typed = week, []
    entry = open_one("01_order_to_bench")
    for number, texts in enumerate(TYPED, 1):
        if number in (1, 7):
            fits(entry, WIDE if number == 1 else NARROW)
        for label, text in zip(("Rise", "Backsweep", "Width"), texts, strict=True):
            type_in(entry, label, text, typed)
        press(entry, "Enter it as a new order", f"order {number} is in the book now: planned")
    wishes = [row.order.wish for row in book.orders()]
    found = [(one.rise_mm, one.backsweep_deg, one.width_mm) for one in wishes]
    assert found == [tuple(float(text.replace(",", ".")) for text in texts) for texts in TYPED]

    plan = open_one("the_week")
    fits(plan, NARROW)
    fits(plan, WIDE)
    plan.locator("select[multiple]").select_option(index=list(range(12)))
    plan.get_by_text("order 12", exact=True).first.wait_for(timeout=60_000)
    assert {row.order.state for row in book.orders()} == {"planned"}
    press(plan, "Write the week", "Written to")
    assert plan.get_by_text("Bend in this sequence: 12 bars").count() == 1

    bench = open_one("at_the_bench")
    for number, size in zip(READ, (WIDE, NARROW), strict=True):
        fits(bench, size)
        bend, *bar = READ[number]
        row(bench, "Order number").locator("select").select_option(label=f"order {number}, planned")
        bench.wait_for_function(f"() => document.querySelector('.barmath-bench-name').innerText === 'order {number}'")
        go_on(bench, "Cut", "1. Right inner")
        typed.append(bend)
        bench.locator(".barmath-bench-read input").fill(bend)
        bench.locator(".barmath-bench-read input").press("Tab")
        bench.get_by_text(f"You read {bend}").wait_for(timeout=60_000)
        go_on(bench, "2. Left inner", "3. Right outer", "4. Left outer", "Check the bar")
        for label, text in zip(("Backsweep left", "Backsweep right", "Rise left", "Rise right"), bar, strict=True):
            type_in(bench, label, text, typed)
        bench.get_by_text("Type both backsweeps").wait_for(state="detached", timeout=60_000)
        go_on(bench, "Next time")
        order = book.order(number).order
        assert order.state == "checked"
        assert [text for _, text in order.readings] == bar
        go_on(bench, "Which bar?")

    rider = open_one("08_fit_the_crossbar")
    rider.get_by_text("order 12 is open: checked").first.wait_for(timeout=60_000)  # the one that was open last
    for number, size in zip((12, 11), (WIDE, NARROW), strict=True):
        fits(rider, size)
        row(rider, "Order number").locator("select").select_option(label=f"order {number}")
        rider.get_by_text(f"order {number} is open: checked").first.wait_for(timeout=60_000)
        press(rider, "Keep it in the order book", f"order {number} is in the book now: crossbar")
        press(rider, "Write the page for the rider", f"Written to sheets/order {number} for the rider.pdf")
    sheets = {path.name for path in (lab.root / "notebooks" / "bench" / "sheets").iterdir()}
    assert {f"order {number} for the rider.{kind}" for number in READ for kind in ("pdf", "png")} <= sheets
    assert "the week.pdf" in sheets
    assert len(typed) == len(set(typed)) == 46
