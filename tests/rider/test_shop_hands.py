"""Lesson 12 offers only bars that the shop can make, with the die and the stop that make them in lesson 01."""

from dataclasses import replace

import numpy as np
import pytest
from conftest import ROOT

from barmath import BendError
from barmath.panels.two_bars_state import TwoBarsState, two_bars_readout
from barmath.planning.ways import every_way
from barmath.rider.hands import Stem, hand_from_recipe
from barmath.rider.shop_hands import same_hands_of_shop
from barmath.shop.shop_file import shop_from_file

SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")


@pytest.mark.parametrize("more", [-4.0, -2.0, 0.0, 1.0, 2.0, 3.0])
def test_every_bar_offered_for_the_same_hands_can_be_ordered_and_made(more):
    readout = two_bars_readout(SHOP, None, TwoBarsState(more_sweep_deg=more))
    assert readout.keeping or readout.not_keeping
    for one in readout.keeping:
        ways = every_way(
            one.order, SHOP.tubes[0], SHOP.dies_for(SHOP.tubes[0]), bends_deg=SHOP.stop_bends_deg,
            stock_length_mm=SHOP.stock_length_mm, equal_only=True,
        )  # fmt: skip
        bend = float(one.bar.recipe.inner_bend_deg)
        rows = [
            row for row in range(len(ways))
            if ways.die(row).name == one.die.name and abs(ways.bend_deg[row] - bend) < 1e-6 and ways.feasible[row]
        ]  # fmt: skip
        assert rows, (one.die.name, bend)
        made = ways.recipe(rows[0])
        assert made.straight_mm == pytest.approx(one.bar.recipe.straight_mm, abs=1e-6)
        hand = hand_from_recipe(replace(made, stem_roll_deg=one.bar.stem_roll_deg), readout.b.stem, 65.0)
        for place in ("forward_mm", "up_mm", "out_mm"):
            assert getattr(hand, place) == pytest.approx(getattr(readout.a.hand, place), abs=1e-6)


def test_a_die_that_is_too_large_for_every_bar_offers_none():
    old = two_bars_readout(SHOP, None, TwoBarsState()).a.recipe
    large = replace(SHOP, dies=(replace(SHOP.dies[0], centerline_radius_mm=900.0),))
    with pytest.raises(BendError):
        same_hands_of_shop(large, SHOP.tubes[0], old, Stem(), 14.0, 180.0)
    rolls = [abs(one.bar.stem_roll_deg) for one in same_hands_of_shop(SHOP, SHOP.tubes[0], old, Stem(), 14.0, 180.0)]
    assert np.all(np.diff(rolls) >= 0.0)
