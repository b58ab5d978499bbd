"""A bar that is bent has one set of numbers on every paper and panel, whatever is calibrated later."""

from dataclasses import replace

import pytest
from printed import text_of

from barmath.lengths import length_text
from barmath.panels.bench_page import BenchPagePanel
from barmath.panels.bending_state import BendingState
from barmath.panels.by_number import ByNumber
from barmath.panels.by_number_state import bar_from_order, order_with_panel, state_with_order
from barmath.panels.crossbar import CrossbarPanel
from barmath.panels.crossbar_state import CrossbarState, crossbar_readout
from barmath.panels.inspection_state import InspectionState, inspection_readout
from barmath.panels.last_order import keep_last_order
from barmath.panels.order import OrderPanel
from barmath.panels.order_state import OrderState, readout_from_state
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.record_state import RecordState
from barmath.panels.rider import rider_of
from barmath.panels.shell import FAULT
from barmath.panels.strength_state import StrengthState, strength_readout
from barmath.panels.two_bars_state import TwoBarsState
from barmath.panels.week_state import choose_best_ways
from barmath.records import WantedCrossbar, order_book
from barmath.refusal import BendError
from barmath.shop import shop_from_file

DIE = 'name = "{}"'
GO_ON = "bend this piece to its end by the numbers that it was begun with"


def other_springback(text, die):
    return text.replace(DIE.format(die), DIE.format(die) + "\nspringback_ratio = 0.09")


def other_radius(text, die):
    head, name, rest = text.partition(DIE.format(die))
    line = next(line for line in rest.splitlines() if line.startswith("centerline_radius"))
    return head + name + rest.replace(line, 'centerline_radius = "95 mm"', 1)


def other_wall(text, _):
    line = next(line for line in text.splitlines() if line.startswith("wall"))
    return text.replace(line, 'wall = "2.1 mm"', 1)


def other_name(text, die):
    return text.replace(DIE.format(die), DIE.format("die of tomorrow"))


CHANGES = [other_springback, other_radius, other_wall, other_name]


@pytest.fixture(params=["begun", "bent"])
def bent(demo_copy, request):
    """Order 7, begun or bent by what the shop's file held then."""
    book, shop = order_book(demo_copy), shop_from_file(demo_copy / "shop.toml")
    assert choose_best_ways(shop, book, [7]) == (1, {})
    seen = book.order(7)
    return book.change(replace(seen.order, state=request.param), seen).order


@pytest.fixture
def planned(demo_copy):
    """Order 7, with a way chosen by what the shop's file held then."""
    book, shop = order_book(demo_copy), shop_from_file(demo_copy / "shop.toml")
    assert choose_best_ways(shop, book, [7]) == (1, {})
    return book.order(7).order


def changed_shop(folder, change, die):
    file = folder / "shop.toml"
    text = file.read_text(encoding="utf-8")
    assert change(text, die) != text
    file.write_text(change(text, die), encoding="utf-8")
    return shop_from_file(file)


@pytest.mark.parametrize("change", CHANGES)
def test_every_panel_has_the_bar_that_was_bent(demo_copy, bent, change):
    shop, was = changed_shop(demo_copy, change, bent.way.die), bent.recipe()
    opened = [state_with_order(kind(), bent, shop) for kind in (CrossbarState, InspectionState, StrengthState)]
    crossbar, check, strength = opened
    assert crossbar_readout(shop, crossbar).recipe == was
    assert inspection_readout(shop, check).recipe == was
    assert strength_readout(shop, strength).recipe == was


def written(shop, book, sheets):
    """The open page of the crossbar of order 7, and the texts of its cope sheet and of its page for the rider."""
    page = ByNumber(CrossbarPanel(shop, sheets_folder=sheets), book, sheets)
    page.number.value = 7
    page.panel.wrap.write.click()
    page.rider.write.click()
    assert FAULT not in page.message.value
    return page, *(text_of(file.read_bytes()) for file in sorted(sheets.glob("*.pdf")))


@pytest.mark.parametrize("change", CHANGES)
def test_the_cope_sheet_and_the_page_for_the_rider_agree(demo_copy, bent, change, tmp_path):
    shop, book = changed_shop(demo_copy, change, bent.way.die), order_book(demo_copy)
    page, cope, rider = written(shop, book, tmp_path / "sheets")
    height = length_text(float(page.panel.readout.bar.height_mm), "mm")
    assert height in cope
    assert height in rider


@pytest.mark.parametrize("change", [other_springback, other_radius])
def test_before_a_bar_is_begun_both_sheets_have_the_numbers_of_today(demo_copy, planned, change, tmp_path):
    before, book = shop_from_file(demo_copy / "shop.toml"), order_book(demo_copy)
    was = length_text(float(written(before, book, tmp_path / "before")[0].panel.readout.bar.height_mm), "mm")
    shop = changed_shop(demo_copy, change, planned.way.die)
    page, cope, rider = written(shop, book, tmp_path / "sheets")
    height = length_text(float(page.panel.readout.bar.height_mm), "mm")
    assert height in cope
    assert height in rider
    assert height != was
    assert "choose the way of order 7 again" in page.message.value
    compared = state_with_order(TwoBarsState(), planned, shop)
    assert compared.b.recipe == bar_from_order(planned).recipe(shop)
    crossed = replace(planned, crossbar=WantedCrossbar(page.panel.state.branch_diameter_mm, 1.0))
    from_order = rider_of(
        "order 7", OrderPanel(demo_copy / "shop.toml"), crossed, shop
    )  # the same page, written on the order's own page
    assert from_order.recipe == page.panel.readout.recipe
    assert from_order.crossbar.height_mm == pytest.approx(page.panel.readout.bar.height_mm)


@pytest.mark.parametrize("change", [other_springback, other_radius, other_wall])
def test_stops_printed_again_are_those_of_the_book(demo_copy, bent, change):
    shop = changed_shop(demo_copy, change, bent.way.die)
    state = state_with_order(OrderState(), bent, shop)
    readout = readout_from_state(shop, state)
    assert readout.bar.recipe.radius_mm == pytest.approx(bent.way.radius_mm)
    assert readout.bar.steps[0].stop_deg == pytest.approx(bent.way.inner_stop_deg)
    kept = order_with_panel(bent, state, readout)
    assert kept.way.radius_mm == pytest.approx(bent.way.radius_mm)
    setup = state_with_order(BendingState(), bent, shop).bar.setup(shop)
    assert setup.springback.finished_radius_mm == pytest.approx(bent.way.radius_mm)
    typed = state_with_order(RecordState(), bent, shop).typed
    assert float(typed["inner_stop_deg"]) == pytest.approx(bent.way.inner_stop_deg, abs=0.05)


def test_a_die_that_is_too_large_for_the_bar_is_refused(demo_copy, bent):
    shop = shop_from_file(demo_copy / "shop.toml")
    bar = replace(bar_from_order(bent), radius_mm=50.0)
    with pytest.raises(BendError, match="Put the die that it was bent on into the shop's file"):
        bar.tools_as_bent(shop)


@pytest.mark.parametrize(("name", "value"), [("rise", 75.0), ("bend", 22.0), ("tube", None), ("die", None)])
def test_a_bar_that_is_changed_by_hand_is_still_to_be_bent(demo_copy, bent, name, value):
    shop, bar = shop_from_file(demo_copy / "shop.toml"), bar_from_order(bent)
    rows = OrderedBarRows(shop, bar)
    assert rows.value == bar
    row = getattr(rows, name)
    row.value = value or next(other for _, other in row.options if other != row.value)
    assert rows.value.radius_mm is rows.value.stop_deg is None


def test_a_piece_that_is_begun_is_bent_to_its_end_by_the_same_numbers(demo_copy, bent):
    book, shop = order_book(demo_copy), shop_from_file(demo_copy / "shop.toml")
    seen = book.order(7)
    book.change(replace(bent, state="planned"), seen)
    page = BenchPagePanel(shop, book)
    page.number.value = 7
    page.next.click()
    was = page.state.recipe(shop)
    later = changed_shop(demo_copy, other_springback, bent.way.die)
    again = BenchPagePanel(later, book)
    assert again.state.recipe(later) == was
    for place in range(5):
        assert GO_ON in again.message.value.lower()
        again.next.click()
        order = book.order(7).order
        assert order.state == ("bent" if place == 4 else "begun")
        assert bar_from_order(order).recipe(later) == order.recipe() == was  # so has every other page
    assert GO_ON not in again.message.value.lower()
    assert again.state.recipe(later) == order.recipe()


def test_an_order_that_is_begun_says_how_to_go_on_where_the_springback_has_changed(demo_copy, bent):
    later, book = changed_shop(demo_copy, other_springback, bent.way.die), order_book(demo_copy)
    page = ByNumber(CrossbarPanel(later), book)
    page.number.value = 7
    begun = "finish order 7 by the numbers that it was begun with, or set it to planned for a new tube"
    again = "set order 7 to planned and choose its way before you bend it again"
    assert (begun if bent.state == "begun" else again) in page.message.value.lower()


def test_the_page_at_the_bench_opens_an_order_that_is_begun_with_its_numbers(demo_copy, bent):
    shop, book = shop_from_file(demo_copy / "shop.toml"), order_book(demo_copy)
    keep_last_order(book.path, 7)
    page = BenchPagePanel(changed_shop(demo_copy, other_springback, bent.way.die), book)
    assert (page.state.number == 7) == (bent.state == "begun")
    if bent.state == "begun":
        assert page.state.recipe(page.shop) == bar_from_order(bent).recipe(shop)
