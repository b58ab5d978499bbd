"""Puzzles have one answer each, by the package's own sums and by a second way."""

import re
from dataclasses import replace

import numpy as np
import pytest

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order, rise_window_mm
from barmath.planning.candidates import BendPair
from barmath.planning.design_map import every_combination
from barmath.practice.bets import bet_names, bet_of, lessons_with_bets
from barmath.practice.bets.puzzles import LOW_MM, ORDERS, PAIRS_DEG
from barmath.shop.order_seven import DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.which_shop import training_shop


@pytest.mark.parametrize("lesson", ["03", "04", "05", "06", "07", "13"])
def test_a_lesson_has_a_puzzle(lesson):
    assert [name for name in bet_names(lesson) if name.startswith("puzzle: ")]


def test_of_the_pairs_only_the_right_one_has_the_low_bar_in_its_window_and_an_upsweep_that_is_accepted():
    low, radius = replace(ORDER, rise_mm=LOW_MM), order_seven_recipe().radius_mm
    fits = []
    for inner, outer in PAIRS_DEG:
        lowest, highest = rise_window_mm(low, radius, inner, DIE.least_straight_mm, outer)
        inside = bool(lowest <= LOW_MM <= highest)
        upsweep = shape_from_recipe(recipe_from_order(low, radius, inner, outer)).upsweep_deg if inside else -90.0
        fits.append(inside and low.least_upsweep_deg <= upsweep <= low.most_upsweep_deg)
    bet = bet_of("03", "puzzle: a low bar")
    assert fits == [choice == bet.question.answer for choice in bet.question.choices]
    assert bet.why.count("\n- ") == len(PAIRS_DEG) - 1  # the reason of each of the others


def test_of_the_orders_only_the_lost_one_is_on_no_die_s_map():
    shop = training_shop()
    inner, outer = np.meshgrid(shop.stop_bends_deg, shop.stop_bends_deg)
    pairs = BendPair(inner.ravel(), outer.ravel())
    tried = [
        every_combination(order, TUBE, shop.dies_for(TUBE), pairs, stock_length_mm=shop.stock_length_mm)
        for order in ORDERS
    ]
    made = [bool((one.binding == 0).any()) for one in tried]
    bet = bet_of("04", "puzzle: the lost order")
    assert [not one for one in made] == [choice == bet.question.answer for choice in bet.question.choices]
    assert "must be" in bet.why


def test_a_bend_at_the_wrong_end_of_its_arc_changes_a_rise_and_no_sweep():
    text = bet_of("05", "puzzle: one side is off").question.text
    assert "rises 90 and 115 mm, backsweeps 14.0 and 14.0 degrees" in text


def test_a_number_below_one_is_not_called_safe():
    assert "That approves nothing" in bet_of("13", "puzzle: make it hold").why


@pytest.mark.parametrize("lesson", lessons_with_bets())
def test_no_sentence_of_a_bet_has_two_colons(lesson):
    bets = [bet_of(lesson, name) for name in bet_names(lesson)]
    sentences = [one for bet in bets for one in re.split(r"(?<=[.?!])\s|\n", f"{bet.question.text}\n{bet.why}\n")]
    assert [one for one in sentences if len(re.findall(r":(?=\s)", one)) > 1] == []
