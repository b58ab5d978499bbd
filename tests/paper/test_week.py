"""The week: bars in bench order, the cut list of its tube, and one PDF with every sheet."""

import io
import re
from dataclasses import replace
from itertools import pairwise

import pytest
from pypdf import PdfReader

from barmath import BendError, Order
from barmath.bending import PLANS, recipe_from_text, to_hundredths
from barmath.closed_forms.forward import shape_from_recipe
from barmath.panels.chosen_way import best_way
from barmath.paper.week import cut_lines, week_pdf, week_png
from barmath.paper.week_data import week_from_orders
from barmath.records import BookedOrder, training_orders
from barmath.shop import orders_from_file, shop_from_file
from barmath.shop.rack import Rack

SHOP = shop_from_file("notebooks/demo/shop.toml")


@pytest.fixture(scope="module")
def orders():
    found = []
    for order in training_orders(orders_from_file("notebooks/demo/orders.toml")):
        try:
            found.append(replace(order, state="planned", way=best_way(SHOP, order.wish)))
        except BendError:
            continue
    assert len(found) >= 12
    assert 7 in [order.number for order in found[:12]]
    return found[:12]


@pytest.fixture(scope="module")
def week(orders):
    return week_from_orders(SHOP, orders)


@pytest.fixture(scope="module")
def pages(week):
    return [page.extract_text() for page in PdfReader(io.BytesIO(week_pdf(week))).pages]


def test_each_order_is_in_the_week_once(week, orders):
    assert sorted(bar.order.number for bar in week.bars) == [order.number for order in orders]
    assert not week.left_out


def test_no_die_and_no_pair_of_stops_comes_twice(week):
    for key in (lambda way: way.die, lambda way: (way.die, way.inner_stop_deg, way.outer_stop_deg)):
        keys = [key(bar.way) for bar in week.bars]
        changes = 1 + sum(one != other for one, other in pairwise(keys))
        assert changes == len(set(keys))


def test_the_bars_are_those_of_the_orders(week):
    for bar in week.bars:
        shape = shape_from_recipe(bar.order.recipe())
        assert shape.rise_mm == pytest.approx(bar.order.wish.rise_mm)
        assert shape.backsweep_deg == pytest.approx(bar.order.wish.backsweep_deg)
        assert shape.width_mm == pytest.approx(bar.order.wish.width_mm)
        assert bar.mass_g == pytest.approx(bar.sheet.tube.mass_g(shape.cut_length_mm))


def test_the_cut_list_has_each_tube_once_and_costs_what_is_bought(week):
    (cuts,) = week.cuts
    pieces = sorted(cut for bar in cuts.cuts.bars for cut in bar.cuts_mm)
    assert pieces == sorted(bar.cut_mm for bar in week.bars)
    assert cuts.price == pytest.approx(9.5 * cuts.cuts.bought_mm / 1000.0)
    assert cut_lines(cuts, "mm")[0].startswith("Buy ")


def test_one_pdf_holds_the_plan_and_every_sheet_in_bench_order(week, pages):
    assert len(pages) == 1 + len(week.bars)
    assert "THE WEEK" in pages[0]
    for page, bar in zip(pages[1:], week.bars, strict=True):
        assert f"order {bar.order.number}" in page


def test_the_line_on_a_sheet_is_typed_back_in(week, pages):
    for page, bar in zip(pages[1:], week.bars, strict=True):
        (line,) = [line for line in page.splitlines() if line.startswith("order ") and "check" in line]
        found = recipe_from_text(line)
        assert found.number == bar.order.number
        assert found.recipe == to_hundredths(bar.order.recipe())


def test_what_cannot_be_bent_is_left_out_and_named(orders):
    without = BookedOrder(99, Order(90.0, 14.0, 800.0), "2026-03-02")
    other = replace(orders[0], number=98, way=replace(orders[0].way, radius_mm=orders[0].way.radius_mm + 1.0))
    week = week_from_orders(SHOP, [without, other])
    assert not week.bars
    assert week.left_out[0] == "Choose a way first: order 99 has none in the order book yet"
    again = "Choose the way of order 98 again on the page Order, and keep it: finished radius must be "
    assert week.left_out[1].startswith(again)
    with pytest.raises(BendError, match="choose an order that has a way first"):
        week_png(week)


def kept_ways(shop, wishes):
    """An order for each wish and each sequence of bends in which this shop can make it."""
    for wish in wishes:
        for plan in PLANS:
            try:
                yield BookedOrder(1, wish, "2026-03-02", "planned", best_way(shop, wish, plan))
            except BendError:
                continue


@pytest.mark.parametrize("hook_mm", [None, 40.0])
def test_what_the_table_of_ways_can_make_is_not_left_out_of_the_week(hook_mm):
    shop = replace(SHOP, bender=replace(SHOP.bender, hook_mm=hook_mm))
    kept = [*kept_ways(shop, [Order(60, 8, 740, None, 60, 170), Order(50, 12, 780, None, 60, 170)])]
    shortest = min(order.recipe().straight_mm for order in kept)
    assert shortest < shop.dies[0].least_straight_mm
    assert week_from_orders(shop, kept).left_out == ()


def test_a_week_says_by_tenths_of_a_millimetre_what_a_bar_lacks(orders):
    """No bench reads 59.894 mm."""
    order = next(one for one in orders if one.number == 7)
    short = replace(SHOP, dies=tuple(replace(die, least_straight_mm=die.least_straight_mm + 60.0) for die in SHOP.dies))
    (said,) = week_from_orders(short, [order]).left_out
    assert said.endswith(" (order 7)")
    assert re.findall(r"got (\S+) mm", said)
    assert not re.findall(r"\d\.\d{2,} ", said)


def test_what_the_week_leaves_out_says_first_what_to_do_and_last_of_what_it_is(orders):
    """Of an order on a die that is gone, and of a tube that no rack can give."""
    gone = replace(orders[0], way=replace(orders[0].way, die="die 1"))
    (said,) = week_from_orders(SHOP, [gone]).left_out
    assert said.startswith("Choose die ")
    assert said.endswith(f"got 'die 1' (order {gone.number})")
    tube = SHOP.tubes[0]
    short = replace(SHOP, racks=(Rack(tube.name, (500.0,), ()),))
    week = week_from_orders(short, orders)
    (said,) = week.left_out
    assert week.bars
    assert not said.startswith(("tube", "order"))
    assert said.endswith(f"(tube {tube.name})")
