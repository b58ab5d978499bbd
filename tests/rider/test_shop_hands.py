"""Lesson 12 offers only bars that the shop can make, with the die and the stop that make them in lesson 01."""

from dataclasses import astuple, replace

import numpy as np
import pytest
from conftest import ROOT

from barmath import BendError, shape_from_recipe
from barmath.closed_forms.forward import risers_upright
from barmath.panels.ordered_bar_state import Ordered
from barmath.panels.two_bars_state import TwoBarsState, keeping_html, two_bars_readout
from barmath.planning.candidates import BendPair
from barmath.planning.ways import every_way
from barmath.rider.hands import Stem, hand_from_recipe
from barmath.rider.same_hands import every_bend_that_keeps
from barmath.rider.shop_hands import _order, same_hands_of_shop
from barmath.shop.order_seven import order_seven_recipe
from barmath.shop.shop_file import shop_from_file
from barmath.shop.tooling import springback_from_tube

SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")


@pytest.mark.parametrize("more", [-4.0, -2.0, 0.0, 1.0, 2.0, 3.0])
def test_every_bar_offered_for_the_same_hands_can_be_ordered_and_made(more):
    readout = two_bars_readout(SHOP, None, TwoBarsState(more_sweep_deg=more))
    assert readout.keeping or readout.not_keeping
    for one in readout.keeping:
        bends = one.bar.recipe.inner_bend_deg, one.bar.recipe.outer_bend_deg
        ways = every_way(
            _order(one.bar.recipe, Ordered.controls_mm),
            SHOP.tubes[0],
            [one.die],
            bends_deg=sorted({*bends}),
            stock_length_mm=SHOP.stock_length_mm,
        )
        rows = [
            row for row in range(len(ways))
            if (ways.inner_bend_deg[row], ways.outer_bend_deg[row]) == bends and ways.feasible[row]
        ]  # fmt: skip
        assert rows, (one.die.name, bends)
        assert (one.inner_stop_deg, one.outer_stop_deg) == pytest.approx(
            (ways.inner_stop_deg[rows[0]], ways.outer_stop_deg[rows[0]])
        )
        made = ways.recipe(rows[0])
        assert made.straight_mm == pytest.approx(one.bar.recipe.straight_mm, abs=1e-6)
        hand = hand_from_recipe(replace(made, stem_roll_deg=one.bar.stem_roll_deg), readout.b.stem, 65.0)
        for place in ("forward_mm", "up_mm", "out_mm"):
            assert getattr(hand, place) == pytest.approx(getattr(readout.a.hand, place), abs=1e-6)


def test_two_stops_keep_the_hands_where_one_stop_has_no_bar():
    old = order_seven_recipe()
    offered = same_hands_of_shop(SHOP, SHOP.tubes[0], old, Stem(), 19.0, 170.0)
    assert offered
    assert all(one.two_stops for one in offered)
    assert same_hands_of_shop(SHOP, SHOP.tubes[0], old, Stem(), 16.0, 170.0)[0].two_stops is False


def test_the_shop_offers_what_its_pairs_give_one_by_one():
    old, stem = order_seven_recipe(), Stem()
    few = replace(SHOP, stop_bends_deg=(25.0, 27.5, 30.0), dies=SHOP.dies[:1])
    die = few.dies_for(few.tubes[0])[0]
    radius = float(springback_from_tube(few.tubes[0], die).finished_radius_mm)
    one_by_one = every_bend_that_keeps(
        old, stem, 15.0, [BendPair(a, b) for a in few.stop_bends_deg for b in few.stop_bends_deg], radius,
        least_straight_mm=float(die.least_straight_mm), controls_mm=170.0,
    )  # fmt: skip
    wanted = [
        one.recipe for one in one_by_one
        if 0.0 <= shape_from_recipe(risers_upright(one.recipe)).upsweep_deg <= 8.0
    ]  # fmt: skip
    found = [one.bar.recipe for one in same_hands_of_shop(few, few.tubes[0], old, stem, 15.0, 170.0)]
    assert len(found) > 1
    assert [astuple(one) for one in found] == [pytest.approx(astuple(one), abs=1e-6) for one in wanted]


def test_a_die_that_is_too_large_for_every_bar_offers_none():
    old = two_bars_readout(SHOP, None, TwoBarsState()).a.recipe
    large = replace(SHOP, dies=(replace(SHOP.dies[0], centerline_radius_mm=900.0),))
    with pytest.raises(BendError):
        same_hands_of_shop(large, SHOP.tubes[0], old, Stem(), 14.0, 180.0)
    rolls = [abs(one.bar.stem_roll_deg) for one in same_hands_of_shop(SHOP, SHOP.tubes[0], old, Stem(), 14.0, 180.0)]
    assert np.all(np.diff(rolls) >= 0.0)


def test_a_hook_that_was_measured_counts_for_the_same_hands_too():
    old, tube, hook = order_seven_recipe(), SHOP.tubes[0], 95.0
    offered = same_hands_of_shop(SHOP, tube, old, Stem(), 16.0, 170.0)
    long = replace(SHOP, bender=replace(SHOP.bender, hook_mm=hook))
    assert min(one.bar.recipe.straight_mm for one in offered) < hook
    assert min(one.bar.recipe.straight_mm for one in same_hands_of_shop(long, tube, old, Stem(), 16.0, 170.0)) >= hook


@pytest.mark.parametrize(("more", "words"), [(4.0, "4.0 deg more backsweep"), (-3.0, "3.0 deg less backsweep")])
def test_the_list_says_how_much_more_or_less_backsweep_its_bars_have(more, words):
    state = TwoBarsState(more_sweep_deg=more)
    assert f"Same hands as on the old bar, {words}" in keeping_html(two_bars_readout(SHOP, None, state), state)
