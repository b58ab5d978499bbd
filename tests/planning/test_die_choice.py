"""Windows over bends and radii, and which die makes which orders, against the functions that do one at a time."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tolerances import LENGTH_MM

from barmath import (
    BendError,
    Die,
    Order,
    Recipe,
    Tube,
    recipe_from_order,
    rise_window_mm,
    shape_from_recipe,
    springback_from_tube,
)
from barmath.planning.die_choice import across_half_width, die_choice, makeable, new_die, window_curve
from barmath.planning.ways import LEVEL, UPRIGHT, every_way
from barmath.shop.order_seven import ORDER
from barmath.shop.orders import orders_from_file, orders_from_toml

TUBE = Tube(22.225, 1.4732)
ORDER_7 = Order(78, 12, 780, controls_mm=180)
ORDERS = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "orders.toml"


def test_a_window_curve_is_the_rise_window_at_each_bend():
    die = Die(114.3, least_straight_mm=65)
    curve = window_curve(ORDER_7, TUBE, die, [15, 25, 35])
    radius = springback_from_tube(TUBE, die).finished_radius_mm
    for bend, low, high in zip(curve.bend_deg, curve.lowest_mm, curve.highest_mm, strict=True):
        assert (low, high) == pytest.approx(rise_window_mm(ORDER_7, radius, bend, 65), abs=LENGTH_MM)


def test_bends_too_small_for_the_sweep_have_no_window():
    curve = window_curve(ORDER_7, TUBE, Die(88.9), [5, 10, 25])
    assert list(np.isnan(curve.lowest_mm)) == [True, True, False]
    assert list(curve.open) == [False, False, True]


def test_a_tighter_die_opens_the_window_both_ways():
    tight, gentle = (window_curve(ORDER_7, TUBE, Die(radius), np.arange(15, 31, 1.0)) for radius in (60, 140))
    assert (tight.lowest_mm <= gentle.lowest_mm).all()
    assert (tight.highest_mm >= gentle.highest_mm).all()


orders = st.builds(
    Order,
    rise_mm=st.floats(40, 120),
    backsweep_deg=st.floats(0, 20),
    width_mm=st.floats(700, 820),
    upsweep_deg=st.none() | st.floats(0, 6),
    controls_mm=st.floats(120, 200),
)


@given(st.lists(orders, min_size=1, max_size=4))
def test_makeable_agrees_with_the_table_of_every_way(some):
    radii, bends = [60.0, 88.9, 165.1], [15.0, 25.0, 35.0]
    dies = [Die(radius, least_straight_mm=65) for radius in radii]
    made = makeable(some, TUBE, dies, bends)
    for row, order in enumerate(some):
        for column, radius in enumerate(radii):
            ways = every_way(
                order, TUBE, [Die(radius, least_straight_mm=65)], bends_deg=bends, clamped=(UPRIGHT,), equal_only=True
            )
            assert made[row, column] == ways.feasible.any()
    assert LEVEL  # grips level is an order with upsweep 0


def test_a_radius_the_tube_cannot_be_bent_on_makes_nothing():
    made = makeable([ORDER_7], TUBE, [Die(radius) for radius in (8.0, 11.0, 88.9, 5000.0)], [25, 30])
    assert list(made[0]) == [False, False, True, False]


def demo_share(dies, tube=TUBE, stock_mm=np.inf, bends=(20, 25, 30, 35)):
    """Share of the demo orders that some way of the dies makes, order by order through the table of ways."""
    orders = [named.order for named in orders_from_file(ORDERS)]
    one_stop = {"bends_deg": bends, "stock_length_mm": stock_mm, "equal_only": True}
    made = [every_way(order, tube, dies, **one_stop).feasible.any() for order in orders]
    choice = die_choice(orders, tube, dies, [100.0], bends, 65, stock_length_mm=stock_mm)
    assert choice.share_now == pytest.approx(np.mean(made))
    return choice.share_now


def test_the_choice_knows_furthest_stop_groove_stock_and_measured_springback():
    die = Die(88.9, tube_diameter_mm=22.225)
    share = demo_share([die])
    assert 0.5 < share < 1.0
    assert demo_share([replace(die, largest_bend_deg=22.0)]) < share
    assert demo_share([die], tube=Tube(25.4, 1.4732)) == 0.0
    assert demo_share([die], stock_mm=780.0) < share
    assert demo_share([replace(die, springback_ratio=0.3)]) != share
    assert demo_share([replace(die, largest_bend_deg=31.0, stop_offset_deg=4.0)]) < share


def test_a_new_die_is_cut_for_the_tube_and_has_the_stop_of_the_dies_that_are_there():
    die = new_die(TUBE, [Die(88.9, largest_bend_deg=28.0), Die(114.3, largest_bend_deg=35.0)], 100.0, 60.0)
    assert (die.tube_diameter_mm, die.largest_bend_deg, die.springback_ratio) == (22.225, 35.0, None)
    assert new_die(TUBE, [], 100.0, 60.0).largest_bend_deg == Die(1.0).largest_bend_deg


def test_an_added_die_never_makes_less_than_the_shop_or_the_die_alone():
    orders = [named.order for named in orders_from_file(ORDERS)]
    choice = die_choice(orders, TUBE, [Die(165.1)], np.arange(40, 220, 5.0), [20, 25, 30, 35], 65)
    assert (choice.share_added >= np.maximum(choice.share_alone, choice.share_now)).all()
    assert choice.share_now == makeable(orders, TUBE, [Die(165.1)], [20, 25, 30, 35]).mean()


def test_the_best_die_is_the_gentlest_of_those_that_add_most():
    choice = die_choice([ORDER_7], TUBE, [], np.arange(60, 200, 1.0), [25, 30], 65)
    best = choice.best_radius_mm
    assert makeable([ORDER_7], TUBE, [Die(best)], [25, 30]).all()
    assert not makeable([ORDER_7], TUBE, [Die(best + 1)], [25, 30]).any()


def test_the_pieces_fill_half_the_width_and_the_flat_offset_is_plain_trigonometry():
    recipe = recipe_from_order(Order(80, 0, 780), 100, 30)
    pieces = across_half_width(recipe)
    assert sum(pieces.values()) == pytest.approx(390, abs=LENGTH_MM)
    assert pieces["inner arc"] == pytest.approx(100 * 0.5)  # R sin 30
    assert pieces["straight"] == pytest.approx(recipe.straight_mm * np.sqrt(3) / 2)
    assert pieces["grip"] == pytest.approx(recipe.grip_mm)


@given(st.floats(10, 50), st.floats(-60, 60), st.floats(10, 50))
def test_the_pieces_add_up_for_any_bar(a, roll, b):
    recipe = Recipe(50, a, 80, roll, b, 150, 90)
    assert sum(across_half_width(recipe).values()) == pytest.approx(shape_from_recipe(recipe).width_mm / 2, abs=1e-9)


def test_no_orders_are_refused():
    with pytest.raises(BendError, match="chosen by orders, got none"):
        die_choice([], TUBE, [Die(88.9)], [100], [25], 65)


def test_the_demo_orders_are_read():
    named = orders_from_file(ORDERS)
    assert len(named) >= 20
    assert len({one.name for one in named}) == len(named)
    assert next(one.order for one in named if one.name == "order 7") == ORDER


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[[order]]\nname = 'a'\nrise = 80\nbacksweep = 'much'\nwidth = 780", 4),
        ("[[order]]\nname = 'a'\nrise = 80\nwidth = 780", 1),
        ("[[order]]\nname = 'a'\nrise = 80\nbacksweep = 8\nwidth = 78", 5),
        ("[[orders]]\n", 1),
    ],
)
def test_a_broken_list_of_orders_names_the_line(text, line):
    with pytest.raises(BendError) as refusal:
        orders_from_toml(text, "orders")
    assert str(refusal.value).endswith(f" (orders, line {line})")


def test_an_array_of_stock_lengths_is_refused_because_a_rack_has_one_longest_tube():
    with pytest.raises(BendError, match="stock"):
        makeable([ORDER], TUBE, [Die(88.9)], [25.0], np.array([900.0, 1000.0]))
