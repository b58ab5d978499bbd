"""An order is entered once: 01 keeps its way in the book, and the other panels open it by its number."""

import re
from dataclasses import replace

import numpy as np
import pytest
from every_panel import PANELS
from printed import text_of

from barmath.bending import line_of_bar, recipe_from_text, to_hundredths
from barmath.bending.plans import GRIPS, USUAL
from barmath.panels.bench_page import BenchPagePanel
from barmath.panels.bending import BendingPanel
from barmath.panels.by_number import ByNumber
from barmath.panels.by_number_state import radius_words
from barmath.panels.crossbar import CrossbarPanel
from barmath.panels.inspection import InspectionPanel
from barmath.panels.order import OrderPanel
from barmath.panels.order_state import OrderState
from barmath.panels.record import RecordPanel
from barmath.panels.shell import FAULT
from barmath.panels.strength import StrengthPanel
from barmath.panels.two_bars import TwoBarsPanel
from barmath.panels.two_bars_state import FIGURES, RECIPE, TwoBarsState
from barmath.panels.week_state import choose_best_ways
from barmath.paper.week_data import week_from_orders
from barmath.records import OrderBook, Record, order_book
from barmath.shop import ORDER, order_seven_recipe, shop_from_file
from barmath.shop.tooling import springback_from_tube


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


def inspection(demo_copy, book, tmp_path):
    return ByNumber(InspectionPanel(shop_from_file(demo_copy / "shop.toml"), sheets_folder=tmp_path), book)


def test_the_order_panel_opens_an_order_and_keeps_its_way(planned, book):
    panel, kept = planned.panel, book.order(8).order
    assert panel.state.rise_mm == kept.wish.rise_mm == 69.0
    assert kept.state == planned.state.value == "planned"
    assert kept.way.die == panel.readout.bar.die.name
    assert kept.recipe().straight_mm == pytest.approx(panel.readout.bar.recipe.straight_mm)
    assert kept.recipe().grip_mm == pytest.approx(panel.readout.bar.recipe.grip_mm)


@pytest.mark.parametrize("name", ["order", "bending"])
def test_every_bench_sheet_of_an_order_has_its_number_at_the_foot(planned, demo_copy, book, tmp_path, name):
    panel = planned.panel
    if name == "bending":
        panel = BendingPanel(shop_from_file(demo_copy / "shop.toml"), sheets_folder=tmp_path)
        ByNumber(panel, book).number.value = 8
    assert "order 8 tube 22.225 x 1.651 die" in text_of(panel.bench_sheet("a name of its own", "A4")[0])


@pytest.mark.parametrize("name", ["inspection", "crossbar", "record", "two bars", "strength"])
def test_the_other_panels_take_the_bar_from_the_book(planned, demo_copy, book, tmp_path, name):
    shop_file = demo_copy / "shop.toml"
    shop = shop_from_file(shop_file)
    make = {
        "inspection": lambda: InspectionPanel(shop, sheets_folder=tmp_path),
        "crossbar": lambda: CrossbarPanel(shop, sheets_folder=tmp_path),
        "record": lambda: RecordPanel(shop_file, Record(book.path)),
        "two bars": lambda: TwoBarsPanel(shop, book.path),
        "strength": lambda: StrengthPanel(shop),
    }
    opened = ByNumber(make[name](), book)
    assert opened.number.value == 8  # it was open last
    opened.number.value = 0
    assert "set the bar by hand" in opened.message.value
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


def test_an_order_opened_in_12_shows_the_rows_that_count_and_no_others(planned, demo_copy, book):
    panel = ByNumber(TwoBarsPanel(shop_from_file(demo_copy / "shop.toml"), book.path), book).panel
    for number, source in ((0, FIGURES), (8, RECIPE), (0, FIGURES)):
        if number:
            ByNumber(panel, book).open(number)
        else:
            panel.show(TwoBarsState())
        (shown,) = [name for name, group in panel.bars[1].groups.items() if group.layout.display != "none"]
        assert shown == source == panel.state.b.source


def test_an_order_without_a_way_is_not_opened_where_a_way_is_needed(demo_copy, book, tmp_path):
    opened = inspection(demo_copy, book, tmp_path)
    before = opened.panel.state
    opened.number.value = 9
    assert "choose a way first: order 9 has none in the order book yet" in opened.message.value
    assert opened.panel.state == before
    opened.keep.click()
    assert "or enter this one as a new order" in opened.message.value
    assert len(book.history(9)) == 1


def test_a_bar_set_by_hand_after_an_order_has_every_way_again(planned):
    panel = planned.panel
    planned.open(8)
    assert (panel.die.value, panel.plan.value) == ("die 102", USUAL)
    panel.plan.value = GRIPS
    planned.number.value = 0
    assert (panel.die.value, panel.stop.value, panel.outer_stop.value, panel.plan.value) == ("", 0.0, 0.0, USUAL)
    assert panel.state.rise_mm == 69.0
    assert panel.readout.row == panel.readout.ways.best


def test_a_day_that_cannot_be_read_is_named_at_once(planned, book):
    planned.words.wanted.value = "next friday"
    assert "Not taken" in planned.message.value
    assert "Type the day as in" in planned.message.value
    planned.words.wanted.value = "2026-12-14"
    assert "order 8 is open: planned" in planned.message.value
    planned.keep.click()
    assert book.order(8).order.wanted == "2026-12-14"


def test_a_page_opened_again_shows_what_was_kept_last(planned, demo_copy, book, tmp_path):
    again = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), OrderBook(book.path))
    assert again.number.value == 8
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
    order.panel.ordered.rise.value = 63.0  # another order, typed right after it, is not bound to the way before
    order.panel.ordered.backsweep.value = 5.0
    order.enter.click()
    assert book.order(number + 1).order.wish.rise_mm == 63.0
    assert order.panel.sheet.name.value == f"order {number + 1}"
    assert f"order {number + 1} tube" in order.panel.recipe.value


def test_an_order_that_is_not_kept_says_whether_to_change_the_order_or_the_way(demo_copy, book, tmp_path):
    order = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), book)
    number, panel = book.next_number(), order.panel
    ways = panel.readout.ways
    row = int(np.flatnonzero(~ways.allowed)[0])
    panel.become(replace(panel.state, die=ways.die(row).name, bend_deg=float(ways.inner_bend_deg[row]),
                         outer_bend_deg=float(ways.outer_bend_deg[row])))  # fmt: skip
    order.enter.click()
    assert "pick a way in the table that fits: the one picked cannot be made" in order.message.value
    panel.become(OrderState(rise_mm=190.0))
    order.enter.click()
    assert "change the order, as the message below the picture says: no way makes it" in order.message.value
    assert book.next_number() == number


@pytest.mark.parametrize("state", ["ordered", "planned"])
def test_an_order_that_no_way_makes_can_be_withdrawn(demo_copy, book, tmp_path, state):
    order = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), book)
    order.number.value = 8
    if state == "planned":
        order.keep.click()
    shop_file = demo_copy / "shop.toml"
    shop_file.write_text(shop_file.read_text().replace('least_straight = "65 mm"', 'least_straight = "300 mm"'))
    order.panel.reread.click()
    order.again.click()
    assert order.panel.readout.bar is None
    order.words.rider.value = "moved away"
    order.state.value = "withdrawn"
    order.keep.click()
    kept = book.order(8).order
    assert (kept.state, kept.rider, kept.wish.rise_mm) == ("withdrawn", "moved away", 69.0)
    assert "order 8 is in the book now: withdrawn" in order.message.value


def test_rider_day_and_notes_are_kept_with_the_order(planned, demo_copy, book, tmp_path):
    planned.words.wanted.value = "sometime"
    planned.keep.click()
    assert planned.message.value.count("must be a day") == 1
    assert "mend the box Wanted on first" in planned.message.value.replace("correct the box", "mend the box")
    planned.words.rider.value, planned.words.wanted.value, planned.words.notes.value = "<b>K.</b>", "20.3.2026", "matt"
    planned.keep.click()
    order = book.order(8).order
    assert (order.rider, order.wanted, order.notes) == ("<b>K.</b>", "2026-03-20", "matt")
    check = inspection(demo_copy, book, tmp_path)
    assert (check.words.rider.value, check.words.wanted.value) == ("<b>K.</b>", "2026-03-20")
    check.panel.box_of("rise_left").value = "69.1"  # what is read does not touch them
    assert book.order(8).order.notes == "matt"
    check.number.value = 0
    assert check.words.notes.value == ""
    assert check.state.value == "ordered"


def test_the_page_for_the_rider_is_written_as_pdf_and_picture(planned, demo_copy, book, tmp_path):
    order = ByNumber(planned.panel, book, tmp_path / "sheets")
    order.number.value = 0
    order.rider.write.click()
    assert "first: a page for the rider is about an order" in order.rider.message.value
    order.number.value = 8
    order.rider.write.click()
    folder = tmp_path / "sheets"
    assert (folder / "order 8 for the rider.pdf").read_bytes() == order.rider.link.pdf
    assert order.rider.link.pdf.startswith(b"%PDF")
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
    assert f"The recipe as a line:</b> {bar.sheet.line}" in planned.panel.recipe.value
    opened = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), book)
    opened.number.value = 0
    opened.line.value = bar.sheet.line[:-1] + str((int(bar.sheet.line[-1]) + 1) % 10)
    assert "read the line again" in opened.message.value
    assert opened.number.value == 0
    opened.line.value = bar.sheet.line
    assert "order 8 is open: planned" in opened.message.value
    assert opened.panel.state.rise_mm == 69.0


@pytest.mark.parametrize("name", ["order", "inspection", "crossbar", "record", "two bars", "strength"])
def test_the_line_of_a_sheet_of_no_order_is_read_back_in(name, demo_copy, book, tmp_path):
    (tmp_path / "folder").mkdir()
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path / "folder")
    opened, shop = ByNumber(panel, book), shop_from_file(demo_copy / "shop.toml")
    tube, recipe = shop.tubes[0], order_seven_recipe()
    for bar in (replace(recipe, stem_roll_deg=3.0), recipe):
        opened.line.value = line_of_bar(0, tube, shop.die_for(tube, "die 102"), bar)
        assert "the sheet has no order number" in opened.message.value
        assert FAULT not in opened.message.value
        assert opened.number.value == 0
        state = panel.state
        if name == "order":
            found = panel.readout.bar.recipe
        else:
            found = state.b.recipe if name == "two bars" else state.bar.recipe(shop)
        for field in ("straight_mm", "grip_mm", "roll_deg", "inner_bend_deg", "clamp_flat_mm"):
            assert getattr(found, field) == pytest.approx(getattr(bar, field), abs=0.06), field
    opened.line.value = line_of_bar(0, tube, replace(shop.dies[0], centerline_radius_mm=90.0), recipe)
    assert "put a die of 90.0 mm into the shop" in opened.message.value


def test_a_sheet_of_another_way_than_the_book_has_is_opened_by_hand(planned, demo_copy, book, tmp_path):
    shop = shop_from_file(demo_copy / "shop.toml")
    tube = shop.tubes[0]
    planned.line.value = line_of_bar(8, tube, shop.die_for(tube, "die 102"), order_seven_recipe())
    assert "order 8 has another way in the book now" in planned.message.value
    assert planned.number.value == 0
    assert planned.panel.readout.bar.recipe.straight_mm == pytest.approx(order_seven_recipe().straight_mm, abs=0.02)
    assert book.order(8).order == book.history(8)[-1].order


def test_the_single_sheet_has_the_line_of_its_order_and_its_name(planned, tmp_path):
    assert planned.panel.sheet.name.value == "order 8"
    planned.panel.sheet.write.click()
    words = " ".join(text_of((tmp_path / "order 8.pdf").read_bytes()).split())
    line = re.search(r"order 8 tube .*? check \d\d", words)[0]
    written = recipe_from_text(line)
    assert written.number == 8
    assert written.recipe == to_hundredths(planned.panel.readout.bar.recipe)


def test_what_is_read_is_kept_letter_by_letter_and_comes_to_the_record_by_itself(planned, demo_copy, book, tmp_path):
    check = inspection(demo_copy, book, tmp_path)
    typed = {"backsweep_left": "8.1", "backsweep_right": "8.0", "rise_left": "69.1; 69.3", "rise_right": "68.5 ± 0.3"}
    for key, text in typed.items():
        check.panel.box_of(key).value = text
    assert dict(book.order(8).order.readings) == typed
    assert book.order(8).order.state == "planned"
    again = inspection(demo_copy, OrderBook(book.path), tmp_path)  # its kernel died
    assert again.panel.state.typed == check.panel.state.typed
    again.keep.click()
    assert book.order(8).order.state == "checked"
    record = Record(book.path)
    panel = ByNumber(RecordPanel(demo_copy / "shop.toml", record), book).panel
    assert panel.entry.boxes["name"].value == "order 8"
    count = record.count()
    panel.add.click()
    assert record.count() == count + 1
    bar = max(record.entries(), key=lambda entry: entry.number).holds
    assert bar.readings == {"backsweep_left": 8.1, "backsweep_right": 8.0, "rise_left": 69.2, "rise_right": 68.5}
    assert bar.order == book.order(8).order.wish
    assert bar.inner_stop_deg == pytest.approx(book.order(8).order.way.inner_stop_deg, abs=0.05)


def test_a_bar_that_was_kept_at_the_bench_is_not_put_into_the_record_a_second_time_unasked(planned, demo_copy, book):
    page = BenchPagePanel(shop_from_file(demo_copy / "shop.toml"), book)
    page.number.value = 8
    for _ in range(6):
        page.next.click()
    for box, text in zip(page.boxes, ("8.0", "8.1", "69.2", "68.9"), strict=True):
        box.value = text
    page.next.click()
    record = Record(book.path)
    count, panel = record.count(), ByNumber(RecordPanel(demo_copy / "shop.toml", record), book).panel
    panel.add.click()
    assert f"is it the bar of entry {page.state.entry}, which" in panel.message.value
    assert record.count() == count
    panel.anyway.click()
    assert record.count() == count + 1


def test_readings_of_one_order_never_come_into_another(planned, demo_copy, book, tmp_path):
    choose_best_ways(shop_from_file(demo_copy / "shop.toml"), book, [7])
    check = inspection(demo_copy, book, tmp_path)
    check.panel.box_of("rise_left").value = "69.1"
    for number in (0, 7):
        check.number.value = number
    assert not any(check.panel.state.typed)
    check.number.value = 8
    assert check.panel.box_of("rise_left").value == "69.1"
    assert book.order(7).order.readings == ()


def test_of_two_pages_that_read_one_bar_the_later_gets_a_message_and_keeps_its_readings(
    planned, demo_copy, book, tmp_path
):
    one, other = (inspection(demo_copy, OrderBook(book.path), tmp_path) for _ in range(2))
    one.panel.box_of("rise_left").value = "69.1"
    other.panel.box_of("rise_right").value = "68.7"
    assert "somebody else has changed it" in other.message.value
    other.again.click()
    assert "keep your readings too" in other.message.value
    other.keep.click()
    assert dict(book.order(8).order.readings) == {"rise_left": "69.1", "rise_right": "68.7"}


def test_the_rider_sees_crossbar_and_old_bar_together_wherever_the_page_is_written(planned, demo_copy, book, tmp_path):
    shop = shop_from_file(demo_copy / "shop.toml")
    two = ByNumber(TwoBarsPanel(shop), book, tmp_path / "sheets")
    two.panel.bars[0].figures["rise_mm"].value = 55.0
    two.keep.click()
    fitted = ByNumber(CrossbarPanel(shop, sheets_folder=tmp_path), book, tmp_path / "sheets")
    fitted.keep.click()
    assert book.order(8).order.state == "crossbar"
    order = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), book, tmp_path / "sheets")
    order.rider.write.click()
    words = text_of((tmp_path / "sheets" / "order 8 for the rider.pdf").read_bytes())
    assert "mm over the clamp" in words
    assert "14.0 mm more" in words
    again = ByNumber(TwoBarsPanel(shop), book, tmp_path / "sheets")
    again.rider.replace.click()
    assert text_of((tmp_path / "sheets" / "order 8 for the rider.pdf").read_bytes()) == words


def test_two_bars_compared_by_hand_are_a_page_for_the_rider_too(demo_copy, book, tmp_path):
    two = ByNumber(TwoBarsPanel(shop_from_file(demo_copy / "shop.toml")), book, tmp_path / "sheets")
    two.rider.write.click()
    assert "2.0° more" in text_of(next((tmp_path / "sheets").glob("*.pdf")).read_bytes())


def test_a_way_of_an_earlier_springback_is_said_to_be_chosen_again(planned, demo_copy, book, tmp_path):
    file = demo_copy / "shop.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("# springback_ratio = 0.033", "springback_ratio = 0.05"))
    words = inspection(demo_copy, book, tmp_path).message.value
    assert ("choose the way of order 8 again" in words) is (book.order(8).order.way.die == "die 102")


@pytest.mark.parametrize("state", ["bent", "checked", "crossbar", "done"])
def test_a_bar_that_is_bent_is_planned_again_before_another_is_bent_with_another_springback(
    planned, demo_copy, book, tmp_path, state
):
    seen = book.order(8)
    book.change(replace(seen.order, state=state), seen)
    file, die = demo_copy / "shop.toml", f'name = "{seen.order.way.die}"'
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace(die, f"{die}\nspringback_ratio = 0.06"), encoding="utf-8")
    words = inspection(demo_copy, book, tmp_path).message.value
    assert "set order 8 to planned and choose its way before you bend it again: the springback" in words
    assert "has changed since it was bent" in words


def test_a_bar_that_is_planned_again_gets_the_springback_of_today(planned, demo_copy, book, tmp_path):
    """A bar is scrapped, the die is calibrated, and the same order is bent from a new tube."""
    seen = book.order(8)
    book.change(replace(seen.order, state="checked"), seen)
    file, die = demo_copy / "shop.toml", f'name = "{seen.order.way.die}"'
    text = file.read_text(encoding="utf-8")
    file.write_text(text.replace(die, f"{die}\nspringback_ratio = 0.06"), encoding="utf-8")
    order = ByNumber(OrderPanel(demo_copy / "shop.toml", sheets_folder=tmp_path), OrderBook(book.path))
    assert order.panel.readout.bar.recipe.radius_mm == pytest.approx(seen.order.way.radius_mm)  # as it was bent
    order.state.value = "planned"
    order.keep.click()
    assert "order 8 is in the book now: planned" in order.message.value
    assert "choose the way of order 8 again on the page Order, and keep it: the springback" in order.message.value
    order.keep.click()
    kept = book.order(8).order
    assert kept.state == "planned"
    tube, die = order.panel.readout.ways.tube, order.panel.readout.bar.die
    assert kept.way.radius_mm == pytest.approx(springback_from_tube(tube, die).finished_radius_mm, abs=0.01)
    assert kept.way.radius_mm > seen.order.way.radius_mm + 1.0
    assert radius_words(kept, shop_from_file(file)) == []
    assert "choose the way" not in order.message.value.lower()


def test_nothing_that_is_typed_above_a_panel_can_make_it_fail(planned, book):
    hostile = ["", "<img src=x onerror=alert(1)>", "order 8 tube", "\x00", "=1+1", "9" * 3000, "2026-02-30", "٣"]
    for text in hostile:
        for box in (planned.line, planned.words.rider, planned.words.wanted, planned.words.notes):
            box.value = text
            assert FAULT not in planned.message.value
            assert "<img" not in planned.message.value
        planned.keep.click()
        assert FAULT not in planned.message.value
    assert planned.number.value == 8
    assert book.order(8).order.wanted is None


@pytest.mark.parametrize("text", ["", "x", "99999999", "-1", "8.5", "\xff"])
def test_a_broken_note_of_the_last_order_opens_the_panel_by_hand(demo_copy, book, tmp_path, text):
    (demo_copy / "last_order.txt").write_bytes(text.encode("latin-1"))
    assert inspection(demo_copy, book, tmp_path).number.value == 0
