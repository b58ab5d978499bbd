"""The panel of the week, without a browser."""

from dataclasses import replace
from html import escape

import pytest
from pypdf import PdfReader

from barmath.panels.shell import FAULT
from barmath.panels.week import WeekPanel, week_panel
from barmath.records import OrderBook, order_book
from barmath.records.drafts import Draft
from barmath.refusal import BendError
from barmath.shop import shop_from_file, springback_from_tube


@pytest.fixture
def panel(demo_copy, tmp_path):
    return WeekPanel(shop_from_file(demo_copy / "shop.toml"), order_book(demo_copy), tmp_path / "sheets")


def test_a_week_is_planned_from_the_book_without_typing_a_number(panel, tmp_path):
    panel.orders.value = (1, 7, 8)
    assert "<li>Choose a way first: order 7 has none in the order book yet</li>" in panel.shown.value
    assert "look at Left out below: 3 orders cannot be bent yet" in panel.message.value
    panel.best.click()
    assert FAULT not in panel.message.value
    assert "the order book has 3 ways more now" in panel.message.value
    assert [row.order.state for row in OrderBook(panel.book.path).orders() if row.number in (1, 7, 8)] == [
        "planned"
    ] * 3
    for words in ("order 1<", "order 7<", "order 8<", "Cut 7/8 x 0.065", "Buy "):
        assert words in panel.shown.value
    panel.sheet.write.click()
    assert (tmp_path / "sheets" / "the week.pdf").read_bytes().startswith(b"%PDF")


def test_a_week_that_was_open_while_a_die_was_calibrated_is_read_again(demo_copy, tmp_path):
    file, book = demo_copy / "shop.toml", order_book(demo_copy)
    panel = week_panel(file, book, tmp_path / "sheets").shell
    panel.orders.value = (8,)
    panel.best.click()
    way = panel.book.order(8).order.way
    assert [bar.order.number for bar in panel.week.bars] == [8]
    die = f'name = "{way.die}"'
    file.write_text(file.read_text(encoding="utf-8").replace(die, f"{die}\nspringback_ratio = 0.06"), encoding="utf-8")
    panel.again.click()
    assert not panel.week.bars  # no sheet of it is printed with the stops of before
    assert "Choose the way of order 8 again on the page Order" in panel.shown.value
    panel.renew.click()
    assert "1 way kept again by the springback of today" in panel.message.value
    renewed = panel.book.order(8).order.way
    assert [bar.order.number for bar in panel.week.bars] == [8]
    assert renewed.inner_stop_deg > way.inner_stop_deg
    assert renewed.radius_mm > way.radius_mm
    assert replace(renewed, inner_stop_deg=way.inner_stop_deg, outer_stop_deg=way.outer_stop_deg,
                   radius_mm=way.radius_mm) == way  # fmt: skip
    tube = panel.shop.tube(way.tube)
    spring = springback_from_tube(tube, panel.shop.die_for(tube, way.die))
    assert renewed.radius_mm == pytest.approx(spring.finished_radius_mm)
    panel.renew.click()
    assert "0 ways kept again" in panel.message.value
    file.write_text(file.read_text(encoding="utf-8") + "\n???", encoding="utf-8")
    panel.again.click()
    assert "shop.toml" in panel.message.value
    assert FAULT not in panel.message.value


def test_an_old_way_that_cannot_be_made_any_more_is_left_out_and_says_why(demo_copy, tmp_path):
    file, book = demo_copy / "shop.toml", order_book(demo_copy)
    panel = week_panel(file, book, tmp_path / "sheets").shell
    panel.orders.value = (8,)
    panel.best.click()
    way = panel.book.order(8).order.way
    die = f'name = "{way.die}"'
    file.write_text(file.read_text(encoding="utf-8").replace(die, f"{die}\nspringback_ratio = 0.4"), encoding="utf-8")
    panel.again.click()
    panel.renew.click()
    assert "0 ways kept again" in panel.message.value
    assert panel.book.order(8).order.way == way
    assert panel.shown.value.count("(order 8)</li>") == 1
    assert FAULT not in panel.message.value


def test_the_list_says_when_an_order_is_wanted_and_by_which_rider(panel):
    row = panel.book.order(8)
    panel.book.change(replace(row.order, wanted="2026-12-10", rider="Noor"), row)
    panel.again.click()
    (label,) = [label for label, number in panel.orders.options if number == 8]
    assert label.replace("\u00a0", " ").startswith("   8  2026-12-10  Noor  no way yet  ")


def test_a_name_that_the_list_cuts_is_whole_below_it_and_beside_its_bar(panel):
    name = "Maximiliane Theodora van Houten-Brandstetter <i>"
    row = panel.book.order(8)
    panel.book.change(replace(row.order, rider=name), row)
    panel.again.click()
    (label,) = [label for label, number in panel.orders.options if number == 8]
    assert "Maximiliane" in label
    assert escape(name) in panel.names.value
    assert "order 7" not in panel.names.value
    panel.orders.value = (8,)
    panel.best.click()
    assert escape(name) in panel.shown.value


def wanted(panel, **days):
    """Choose orders, each with its best way and wanted on its day of December."""
    numbers = [int(name.removeprefix("order_")) for name in days]
    for number, day in zip(numbers, days.values(), strict=True):
        row = panel.book.order(number)
        panel.book.change(replace(row.order, wanted=f"2026-12-{day:02d}" if day else None), row)
    panel.again.click()
    panel.orders.value = tuple(numbers)
    panel.best.click()


def test_what_is_wanted_first_is_bent_first_until_the_builder_chooses_otherwise(panel, tmp_path):
    wanted(panel, order_1=20, order_7=10, order_8=15, order_12=0)
    assert [bar.order.number for bar in panel.week.bars] == [7, 8, 1, 12]
    assert "What is wanted first is bent first" in panel.shown.value
    assert "is bent after" not in panel.message.value
    assert '<td class="number">2026-12-10</td>' in panel.shown.value  # no day is broken into two lines
    panel.by.value = "fewest"
    assert [bar.order.number for bar in panel.week.bars] != [7, 8, 1, 12]
    assert "You chose the fewest changes" in panel.shown.value
    assert "order 7, wanted on 2026-12-10, is bent after order" in panel.message.value
    again = WeekPanel(panel.shop, OrderBook(panel.book.path), tmp_path)
    assert again.by.value == "fewest"
    assert again.shown.value == panel.shown.value


def test_a_week_kept_before_there_were_days_opens_with_its_orders(panel, tmp_path):
    panel.drafts.keep(Draft("WeekPanel", 0, "another version", "2026-03-02 10:00", 0, [[7, 8], "in"]))
    state = WeekPanel(panel.shop, OrderBook(panel.book.path), tmp_path).state
    assert (state.numbers, state.unit, state.by) == ((7, 8), "in", "day")


def test_an_order_that_cannot_be_made_is_named_once(panel):
    panel.orders.value = (4, 7)
    panel.best.click()
    assert "the order book has 1 way more now" in panel.message.value
    assert "1 order cannot be bent yet" in panel.message.value
    assert panel.shown.value.count("order 4") == 1
    assert "(order 4)</li>" in panel.shown.value
    assert "(order 4)" in panel.week.left_out[0]  # and it is printed
    assert panel.shown.value.index("order 7") < panel.shown.value.index("order 4")  # what is left out is below


def test_a_way_that_is_kept_is_not_chosen_again(panel):
    panel.orders.value = (7,)
    panel.best.click()
    panel.best.click()
    assert "the order book has 0 ways more now" in panel.message.value
    assert len(panel.book.history(7)) == 2


def test_a_page_opened_again_has_the_choice_and_the_unit_of_last_time(panel, tmp_path):
    panel.orders.value = (7, 8)
    panel.unit.value = "in"
    again = WeekPanel(panel.shop, OrderBook(panel.book.path), tmp_path)
    assert (again.orders.value, again.unit.value) == ((7, 8), "in")
    assert again.shown.value == panel.shown.value


def test_an_order_that_is_bent_meanwhile_is_not_chosen_any_more(panel, tmp_path):
    panel.orders.value = (7, 8)
    panel.book.withdraw(panel.book.order(8))
    assert WeekPanel(panel.shop, OrderBook(panel.book.path), tmp_path).orders.value == (7,)


def test_every_order_is_chosen_by_one_button(panel):
    panel.every.click()
    assert panel.orders.value == tuple(number for _, number in panel.orders.options)
    assert len(panel.orders.value) > 5
    assert FAULT not in panel.message.value


@pytest.mark.parametrize("values", [[], [None, "mm"], [["seven"], "mm"], [[7], "ells", 3], ["", 5], [[1e400], "in"]])
def test_a_choice_that_cannot_be_read_opens_the_week_without_one(panel, tmp_path, values):
    panel.drafts.keep(Draft("WeekPanel", 0, "another version", "2026-03-02 10:00", 0, values))
    again = WeekPanel(panel.shop, OrderBook(panel.book.path), tmp_path)
    assert again.orders.value == ()
    assert FAULT not in again.message.value


def test_a_folder_that_cannot_be_written_to_stops_no_week(panel, monkeypatch):
    def refuses(*_):
        raise BendError("open the folder for writing: the file must be written, got a refusal of the disk")

    monkeypatch.setattr(panel.drafts, "keep", refuses)
    panel.orders.value = (7,)
    assert FAULT not in panel.message.value
    assert panel.state.numbers == (7,)


def test_nothing_chosen_says_how_to_choose_and_writes_no_sheet(panel, tmp_path):
    assert "Choose orders in the list" in panel.shown.value
    panel.sheet.write.click()
    assert "choose an order that has a way first" in panel.sheet.message.value
    assert not (tmp_path / "sheets").exists()


def test_what_another_page_changed_is_seen_after_looking_again(panel):
    panel.orders.value = (7, 8)
    panel.book.withdraw(panel.book.order(8))
    panel.again.click()
    assert panel.orders.value == (7,)
    assert FAULT not in panel.message.value


def test_in_inches_the_list_and_the_marks_are_in_inches(panel):
    panel.orders.value = (7,)
    panel.best.click()
    assert [label for label, _ in panel.orders.options if "mm" in label] == [label for label, _ in panel.orders.options]
    panel.unit.value = "in"
    assert panel.orders.value == (7,)
    labels = {number: label.replace("\u00a0", " ") for label, number in panel.orders.options}
    assert labels[7] == "   7  3 17/32 in x 14.0 deg x 31 1/2 in"
    assert not [label for label in labels.values() if "mm" in label]
    assert "mm" not in panel.shown.value


def begun(panel, number, radius_more=0.0):
    """An order of which the tube is marked, perhaps by the springback of another day."""
    row = panel.book.order(number)
    way = replace(row.order.way, radius_mm=row.order.way.radius_mm + radius_more)
    return panel.book.change(replace(row.order, state="begun", way=way), row).order


def test_an_order_that_is_begun_is_in_the_week_as_begun_with_its_own_numbers(panel, tmp_path):
    panel.orders.value = (1, 7, 8)
    panel.best.click()
    marks = {bar.order.number: bar.marks_mm for bar in panel.week.bars}
    order = begun(panel, 7, radius_more=1.0)
    again = WeekPanel(panel.shop, OrderBook(panel.book.path), tmp_path)  # the file read back
    (label,) = [label for label, number in again.orders.options if number == 7]
    assert "begun" in label
    assert again.orders.value == (1, 7, 8)
    assert again.week.left_out == ()
    (bar,) = [bar for bar in again.week.bars if bar.begun]
    assert bar.way == order.way
    assert bar.sheet.recipe == order.recipe()
    stops = {step.bend: step.stop_deg for step in bar.sheet.steps}
    assert stops == pytest.approx({"inner": order.way.inner_stop_deg, "outer": order.way.outer_stop_deg}, abs=0.5)
    assert stops["inner"] == pytest.approx(order.way.inner_stop_deg)
    assert bar.marks_mm != pytest.approx(marks[7])  # by the radius of that day
    assert "<td>order 7, begun</td>" in again.shown.value
    assert "Finish what is begun by its own numbers: order 7. No new tube is cut for it." in again.shown.value
    (cuts,) = again.week.cuts
    pieces = sorted(piece for one in cuts.cuts.bars for piece in one.cuts_mm)
    assert pieces == sorted(one.cut_mm for one in again.week.bars if one.order.number != 7)
    again.sheet.write.click()
    page = PdfReader(tmp_path / "the week.pdf").pages[0].extract_text()
    assert "order 7, begun" in page
    assert "Finish what is begun" in page


def test_a_week_of_begun_orders_cuts_nothing(panel):
    panel.orders.value = (7,)
    panel.best.click()
    begun(panel, 7)
    panel.again.click()
    assert [bar.title for bar in panel.week.bars] == ["order 7, begun"]
    assert panel.week.cuts == ()
    assert "Cut " not in panel.shown.value


def test_an_order_that_is_begun_on_a_die_that_has_gone_is_left_out_with_what_to_do(panel):
    panel.orders.value = (7,)
    panel.best.click()
    begun(panel, 7, radius_more=-40.0)
    panel.again.click()
    (said,) = panel.week.left_out
    assert said.startswith("Put the die that it was bent on into the shop's file: ")
