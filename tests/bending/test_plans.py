"""Plans by name, and the riser each needs."""

from dataclasses import replace
from itertools import permutations, product

import pytest

from barmath import Bender, BendError, Die, Order, Tube, recipe_from_order, springback_from_tube
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold
from barmath.bending.plans import PLANS, USUAL, least_riser_mm
from barmath.bending.sequences import bend_sequence
from barmath.bending.stations import FOLLOWER, HOOK
from barmath.shop.setup import Setup
from barmath.space.centerline import bends_from_recipe

BENDER = Bender(follower_mm=40.0)
DIE = Die(88.9, least_straight_mm=65.0)
SPRINGBACK = springback_from_tube(Tube(22.225, 1.4732), DIE)


@pytest.mark.parametrize(
    ("name", "needs"),
    list(zip(PLANS, (65.0, 40.0, 65.0, 65.0, 65.0), strict=True)),
)
def test_each_plan_needs_a_riser_for_what_the_hook_or_the_follower_holds(name, needs):
    assert least_riser_mm(PLANS[name], BENDER, DIE) == needs
    assert least_riser_mm(PLANS[name], replace(BENDER, hook_mm=30.0), DIE) <= 40.0


def test_the_usual_plan_is_the_usual_order():
    assert PLANS[USUAL] == USUAL_HOLDS


@pytest.mark.parametrize("order", list(permutations(range(4)))[::3])
def test_a_riser_of_just_that_length_can_be_held_and_a_shorter_one_cannot(order):
    recipe = recipe_from_order(Order(78.0, 12.0, 780.0), SPRINGBACK.finished_radius_mm, 25.0)
    for hooks in product((LEFT, RIGHT), repeat=4):
        holds = tuple(map(Hold, order, hooks))
        needs = least_riser_mm(holds, BENDER, DIE)
        for riser, fits in ((needs + 0.1, True), (needs - 0.1, False)):
            if riser < 0.0:
                continue
            bends = bends_from_recipe(replace(recipe, straight_mm=riser, clamp_flat_mm=500.0))
            stations = bend_sequence(bends, holds, Setup(22.225, DIE, SPRINGBACK, BENDER)).stations
            held = all(station.spare[need] >= 0.0 for station in stations for need in (HOOK, FOLLOWER))
            assert held == fits


def test_a_plan_that_leaves_a_bend_out_is_refused():
    with pytest.raises(BendError, match="Add the right outer bend: each bend must be made once"):
        least_riser_mm(USUAL_HOLDS[:2] + USUAL_HOLDS[3:], BENDER, DIE)
