"""Every sequence of the bends on one bender: what each step meets, what fits, and the reason beside it."""

from dataclasses import astuple, replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tolerances import LENGTH_MM

from barmath import Bender, BendError, Die, Order, Recipe, Tube, recipe_from_order, springback_from_tube
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold
from barmath.bending.sequences import bend_sequence, bend_sequence_of_each, every_bend_sequence
from barmath.bending.settings import bends_from_settings, settings_from_bends
from barmath.bending.stations import FINDER, FOLLOWER, HOOK
from barmath.shop.setup import Setup
from barmath.shop.shop_file import shop_from_file
from barmath.space.centerline import TubeBends, bends_from_recipe

SHOP = shop_from_file(Path(__file__).parents[2] / "notebooks" / "demo" / "shop.toml")
TUBE, DIE = Tube(22.225, 1.4732), Die(88.9, least_straight_mm=65.0, tube_diameter_mm=22.225)
SPRINGBACK = springback_from_tube(TUBE, DIE)


def recipe_of_rise(rise_mm):
    order = Order(rise_mm, 12.0, 780.0, controls_mm=180.0)
    return recipe_from_order(order, SPRINGBACK.finished_radius_mm, 25.0)


def orders_of(recipe, bender=SHOP.bender, die=DIE):
    return every_bend_sequence(bends_from_recipe(recipe), SPRINGBACK, die, TUBE.outside_diameter_mm, bender)


ORDER_7, LOW = recipe_of_rise(78.0), recipe_of_rise(55.0)


def usual(orders):
    (found,) = [order for order in orders if order.holds == USUAL_HOLDS]
    return found


def test_a_bar_has_384_orders_each_once():
    assert len({order.holds for order in orders_of(ORDER_7)}) == 384


def test_the_usual_order_meets_what_the_straights_leave():
    stations = usual(orders_of(ORDER_7)).stations
    arc = ORDER_7.radius_mm * np.radians(25.0)
    half = 25.0 + arc + ORDER_7.straight_mm + arc + ORDER_7.grip_mm
    beyond = ORDER_7.straight_mm + arc + ORDER_7.grip_mm
    # riser with arc and grip behind the hook, then the riser alone; ahead the rest of the tube, clamp flat, grip, grip
    assert [s.behind_mm for s in stations] == pytest.approx(
        [beyond, beyond, ORDER_7.straight_mm, ORDER_7.straight_mm], abs=LENGTH_MM
    )
    assert [s.ahead_mm for s in stations] == pytest.approx(
        [25.0 + half, 50.0, ORDER_7.grip_mm, ORDER_7.grip_mm], abs=LENGTH_MM
    )
    assert [s.flat.straight if s.flat else None for s in stations] == [None, 3, 2, 2]


def test_the_roll_a_reading_shows_is_the_steepness_of_its_flat():
    # sin r = sin a sin phi: d phi/d r = cos r/(sin a cos phi); a level arm that stands off by a: 1/sin a
    stations = usual(orders_of(ORDER_7)).stations
    a, phi = np.radians(25.0), np.radians(ORDER_7.roll_deg)
    assert stations[1].flat.roll_per_reading == pytest.approx(1.0 / np.sin(a))
    reading = np.arcsin(np.sin(a) * np.sin(phi))
    assert stations[2].flat.roll_per_reading == pytest.approx(np.cos(reading) / (np.sin(a) * np.cos(phi)))


def test_those_that_fit_come_first_and_the_rest_by_what_they_lack():
    orders = orders_of(ORDER_7)
    fits = [order.fits for order in orders]
    assert fits == sorted(fits, reverse=True)
    assert 0 < sum(fits) < 384
    missed = [[(need, x) for s in order.stations for need, x in s.spare.items() if x < -1e-6] for order in orders]
    lacking = [(len(one), -sum(x for need, x in one if need in (HOOK, FOLLOWER))) for one in missed]
    assert lacking == sorted(lacking)
    assert lacking[-1] > lacking[0]


def test_a_bar_with_short_risers_cannot_be_made_in_the_usual_order_but_in_another():
    # a riser of 59 mm is too short for a hook of 65: the lesson's last bar
    orders = orders_of(LOW)
    assert usual(orders).reason() == (
        "at step 3, right outer bend, the hook finds 59 mm of straight behind the bend and needs 65 mm; "
        "at step 4, left outer bend, the hook finds 59 mm of straight behind the bend and needs 65 mm"
    )
    best = orders[0]
    assert best.fits
    outer = [hold for hold in best.holds if hold.number in (0, 3)]
    assert {hold.number: hold.hooked for hold in outer} != {0: RIGHT, 3: LEFT}  # a grip in the hook at least once
    bends = bends_from_recipe(LOW)
    plan = settings_from_bends(bends, best.holds, SPRINGBACK, DIE, SHOP.bender)
    out = bends_from_settings(plan, float(2.0 * 25.0 + 1000.0), SPRINGBACK, DIE, SHOP.bender)
    np.testing.assert_allclose(out.bends_deg, bends.bends_deg, atol=1e-9)


def test_a_bender_that_can_hold_nothing_fits_no_order_and_says_why():
    orders = orders_of(ORDER_7, replace(SHOP.bender, hook_mm=2000.0))
    assert not any(order.fits for order in orders)
    assert all("the hook finds" in order.reason() and "needs 2000 mm" in order.reason() for order in orders)


@pytest.mark.parametrize(
    ("bender", "words"),
    [
        (replace(SHOP.bender, follower_mm=60.0),
         "the follower finds 50 mm of straight ahead of the bend and needs 60 mm"),
        (replace(SHOP.bender, finder_foot_mm=51.0, follower_mm=None), None),
        (replace(SHOP.bender, finder_foot_mm=400.0), "the angle finder has no flat to sit on"),
        (replace(SHOP.bender, table_below_mm=90.0), "an arm meets the table"),
        (replace(SHOP.bender, frame_reach_mm=300.0), "an arm meets the frame"),
        (replace(SHOP.bender, floor_below_mm=100.0), "an arm meets the floor"),
    ],
)  # fmt: skip
def test_each_need_that_is_not_met_is_named(bender, words):
    order = usual(orders_of(ORDER_7, bender))
    if words is None:  # a clamp flat too short for the foot: another flat is read
        assert order.fits
        assert order.stations[2].flat[:2] == (0, 1)  # the left arm, still straight to its end
    else:
        assert not order.fits
        assert words in order.reason()


def test_what_has_not_been_measured_is_not_checked():
    bare = usual(orders_of(ORDER_7, Bender()))
    assert set(bare.stations[2].spare) == {HOOK, FOLLOWER, FINDER, "die"}
    assert bare.fits


@settings(max_examples=20)
@given(
    st.builds(
        Recipe,
        clamp_flat_mm=st.floats(20.0, 120.0),
        inner_bend_deg=st.floats(10.0, 60.0),
        straight_mm=st.floats(20.0, 150.0),
        roll_deg=st.floats(-80.0, 80.0),
        outer_bend_deg=st.floats(10.0, 60.0),
        grip_mm=st.floats(60.0, 250.0),
        radius_mm=st.just(SPRINGBACK.finished_radius_mm),
    )
)
def test_either_end_up_is_the_other_end_first(recipe):
    # left and right exchanged, with every slope turned over: as much straight, as much roll a reading, as near the die
    by_holds = {order.holds: order for order in orders_of(recipe)}
    for holds, order in list(by_holds.items())[::37]:
        mirrored = by_holds[tuple(Hold(3 - h.number, LEFT if h.hooked == RIGHT else RIGHT) for h in holds)]
        for one, other in zip(order.stations, mirrored.stations, strict=True):
            assert (one.behind_mm, one.ahead_mm) == pytest.approx((other.behind_mm, other.ahead_mm), abs=1e-9)
            assert one.clearance_mm["die"] == pytest.approx(other.clearance_mm["die"], abs=2.0)
            if one.flat:
                assert one.flat.reading_deg == pytest.approx(-other.flat.reading_deg, abs=1e-6)
                assert one.flat.roll_per_reading == pytest.approx(other.flat.roll_per_reading, rel=1e-6)


def test_one_order_by_itself_meets_what_it_meets_among_all():
    for order in orders_of(ORDER_7)[::29]:
        alone = bend_sequence(
            bends_from_recipe(ORDER_7), order.holds, Setup(TUBE.outside_diameter_mm, DIE, SPRINGBACK, SHOP.bender)
        )
        assert alone.reason() == order.reason()
        for one, other in zip(alone.stations, order.stations, strict=True):
            assert one.spare == pytest.approx(other.spare)


def sequences_of_bends(bends):
    return every_bend_sequence(bends, SPRINGBACK, DIE, TUBE.outside_diameter_mm, SHOP.bender)


@pytest.mark.parametrize("holds", [USUAL_HOLDS, orders_of(ORDER_7)[200].holds])
@pytest.mark.parametrize("count", [1, 2, 4])
def test_one_order_for_many_bars_meets_what_it_meets_for_each(holds, count):
    # each with a die and a springback of its own
    rows = [bends_from_recipe(one) for one in (ORDER_7, LOW, ORDER_7, LOW)[:count]]
    dies = [DIE, replace(DIE, groove_depth_mm=8.0), replace(DIE, rim_height_mm=30.0, least_straight_mm=80.0), DIE]
    springs = [SPRINGBACK, SPRINGBACK, SPRINGBACK, replace(SPRINGBACK, ratio=0.06)]
    many = TubeBends(*(np.stack(parts) for parts in zip(*map(astuple, rows), strict=True)))
    setups = [Setup(TUBE.outside_diameter_mm, die, spring, SHOP.bender)
              for die, spring in zip(dies[:count], springs[:count], strict=True)]  # fmt: skip
    together = bend_sequence_of_each(many, holds, setups)
    assert len(together) == count
    for bends, setup, order in zip(rows, setups, together, strict=True):
        alone = bend_sequence(bends, holds, setup)
        assert [s.fits for s in order.stations] == [s.fits for s in alone.stations]
        for one, other in zip(order.stations, alone.stations, strict=True):
            assert one.spare == pytest.approx(other.spare, abs=0.3)


def row_of(count):
    return TubeBends(np.full(count + 1, 150.0), np.full(count, 20.0), np.arange(count) * 15.0, np.full(count, 91.5))


def test_a_tube_that_is_no_bar_is_ranked_too():
    orders = every_bend_sequence(row_of(3), SPRINGBACK, DIE, TUBE.outside_diameter_mm, SHOP.bender)
    assert len(orders) == 6 * 8
    assert any(order.fits for order in orders)


def test_a_long_tube_is_looked_at_one_order_at_a_time():
    with pytest.raises(BendError) as refusal:
        every_bend_sequence(row_of(6), SPRINGBACK, DIE, TUBE.outside_diameter_mm, SHOP.bender)
    assert str(refusal.value) == (
        "Name one sequence: a tube must have 1 to 5 bends for all its sequences to be ranked, got 6"
    )
    holds = tuple(Hold(number, LEFT) for number in range(6))
    setup = Setup(TUBE.outside_diameter_mm, DIE, SPRINGBACK, SHOP.bender)
    order = bend_sequence(row_of(6), holds, setup)
    assert len(order.stations) == 6
    with pytest.raises(BendError, match="Add the bend 6: each bend must be made once, got bend 6 not at all"):
        bend_sequence(row_of(6), holds[:5], setup)


def test_a_stop_beyond_the_die_is_refused():
    with pytest.raises(BendError, match="stop must be at most 20"):
        orders_of(ORDER_7, die=replace(DIE, largest_bend_deg=20.0))


def test_how_deep_an_arm_meets_something_is_not_said():
    orders = orders_of(ORDER_7, replace(SHOP.bender, table_below_mm=60.0, frame_reach_mm=300.0))
    reasons = {part.split(", ")[-1] for order in orders for part in order.reason().split("; ") if "meets" in part}
    assert reasons == {"an arm meets the table", "an arm meets the frame"}


def test_a_tube_of_one_bend_has_two_orders_and_no_arm_to_meet_anything():
    orders = sequences_of_bends(row_of(1))
    assert [order.fits for order in orders] == [True, True]
    assert "no arm near anything" in orders[0].reason()


def test_an_order_that_fits_says_what_it_spares_worked_out_again_from_its_steps():
    best = orders_of(ORDER_7)[0]
    straight = min(min(s.spare[HOOK], s.spare[FOLLOWER]) for s in best.stations)
    near = min(min(s.clearance_mm.values()) for s in best.stations)
    worst = max(s.flat.roll_per_reading for s in best.stations if s.flat)
    assert best.reason() == (
        f"straight {straight:.0f} mm longer than needed, arms clear by {near:.0f} mm, "
        f"one degree misread rolls the tube by {worst:.1f} deg at most"
    )
    assert best.least_straight_mm == straight
    assert best.least_clearance_mm == near
