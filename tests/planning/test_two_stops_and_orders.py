"""What a second setting of the stop is worth: which orders a shop can make, against a plain search of its own."""

import numpy as np
import pytest

from barmath import Die, Order, Tube, recipe_from_order, springback_from_tube
from barmath.planning.die_choice import die_choice, makeable, window_curve
from barmath.shop.tooling import USUAL_BENDS_DEG

TUBE = Tube(22.225, 1.651)
DIES = [Die(radius, least_straight_mm=65.0) for radius in (101.6, 127.0, 152.4)]
STOCK_MM, FLAT_MM, CONTROLS_MM = 1000.0, 60.0, 170.0
BENDS = np.array(USUAL_BENDS_DEG)
RISES, SWEEPS, WIDTHS = np.arange(40.0, 131.0, 5.0), np.arange(0.0, 31.0, 2.0), (740.0, 780.0, 820.0)


def orders_of(rises, sweeps, widths):
    return [
        Order(rise, sweep, width, None, FLAT_MM, CONTROLS_MM) for rise in rises for sweep in sweeps for width in widths
    ]


def plainly_made(order: Order, die: Die, inner_deg, outer_deg) -> np.ndarray:
    """Which pairs make the order, by halving and by plain vectors: none of the closed forms, none of the limits.

    The roll is found by halving the quarter turn sixty times, the straight and the grip by solving for two legs.
    """
    a, b, slope = np.radians(inner_deg), np.radians(outer_deg), np.tan(np.radians(order.backsweep_deg))

    def grip(roll):
        # turned from the riser (cos a, 0, sin a) by b, in the plane that is rolled out of the vertical
        riser, up, back = (np.cos(a), np.sin(a)), (np.sin(a), -np.cos(a)), np.sin(roll)
        right = np.cos(b) * riser[0] + np.sin(b) * np.cos(roll) * up[0]
        return right, np.sin(b) * back, np.cos(b) * riser[1] + np.sin(b) * np.cos(roll) * up[1]

    low, high = np.zeros_like(a), np.full_like(a, 0.5 * np.pi)
    for _ in range(60):
        middle = 0.5 * (low + high)
        right, back, _ = grip(middle)
        more = back < slope * right
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    right, back, up = grip(low)
    reached = np.abs(back - slope * right) < 1e-9
    radius = springback_from_tube(TUBE, die).finished_radius_mm
    take_a, take_b = radius * np.tan(a / 2.0), radius * np.tan(b / 2.0)
    legs = np.stack([np.stack([np.cos(a), right], -1), np.stack([np.sin(a), up], -1)], -2)
    goal = np.stack([0.5 * (order.width_mm - FLAT_MM) - take_a, np.full_like(a, order.rise_mm)], -1)
    singular = np.abs(np.linalg.det(legs)) < 1e-9
    legs[singular] = np.eye(2)
    riser_leg, grip_leg = np.moveaxis(np.linalg.solve(legs, goal[..., None])[..., 0], -1, 0)
    straight, grip_mm = riser_leg - take_a - take_b, grip_leg - take_b
    upsweep = np.degrees(np.arctan2(up, right))
    cut = FLAT_MM + 2.0 * (radius * (a + b) + straight + grip_mm)
    fits = (straight >= 65.0 - 1e-9) & (grip_mm >= CONTROLS_MM - 1e-9) & (cut <= STOCK_MM + 1e-9)
    return reached & ~singular & fits & (upsweep >= -1e-9) & (upsweep <= 8.0 + 1e-9)


def counted(orders) -> np.ndarray:
    """Which orders each die makes by the plain search, with one stop and with two: (2, orders, dies)."""
    inner, outer = (grid.ravel() for grid in np.meshgrid(BENDS, BENDS, indexing="ij"))
    one = [[plainly_made(order, die, BENDS, BENDS).any() for die in DIES] for order in orders]
    two = [[plainly_made(order, die, inner, outer).any() for die in DIES] for order in orders]
    return np.array([one, two])


def test_the_plain_search_finds_the_bars_of_the_closed_form():
    order = Order(90.0, 14.0, 800.0, None, FLAT_MM, CONTROLS_MM)
    recipe = recipe_from_order(order, springback_from_tube(TUBE, DIES[1]).finished_radius_mm, 27.5, 25.0)
    assert recipe.straight_mm > 65.0
    assert recipe.grip_mm > CONTROLS_MM
    assert plainly_made(order, DIES[1], np.array([27.5]), np.array([25.0])).all()
    assert not plainly_made(order, DIES[1], np.array([27.5]), np.array([27.5])).any()


@pytest.mark.parametrize("two_stops", [False, True])
def test_the_orders_that_a_shop_can_make_are_those_of_a_plain_search(two_stops):
    orders = orders_of(RISES[::6], SWEEPS[1::4], WIDTHS[::2])
    made = makeable(orders, TUBE, DIES, BENDS, STOCK_MM, two_stops=two_stops)
    assert made.tolist() == counted(orders)[int(two_stops)].tolist()


def test_two_stops_make_nearly_twice_as_many_orders_as_one():
    """The count of 912 orders by another search, for the same shop: 44 % with one stop, 91 % with two."""
    orders = orders_of(RISES[::3], SWEEPS[::3], WIDTHS)
    one, two = (
        makeable(orders, TUBE, DIES, BENDS, STOCK_MM, two_stops=two_stops).any(axis=1) for two_stops in (False, True)
    )
    assert (two | ~one).all()  # whatever one stop makes, two make
    assert two.mean() > 1.7 * one.mean() > 0.5


def test_a_new_die_is_chosen_by_what_it_does_with_two_stops():
    orders = orders_of(RISES[::6], SWEEPS[::5], WIDTHS[:1])
    one, two = (
        die_choice(orders, TUBE, DIES[1:], [101.6], BENDS, 65.0, STOCK_MM, two_stops=two_stops)
        for two_stops in (False, True)
    )
    made = makeable(orders, TUBE, DIES, BENDS, STOCK_MM, two_stops=True)
    assert two.share_alone[0] == made[:, 0].mean() > one.share_alone[0]
    assert two.share_now == made[:, 1:].any(axis=1).mean()


def test_the_window_of_an_inner_bend_is_the_union_over_its_outer_bends():
    order = Order(90.0, 14.0, 800.0, None, FLAT_MM, CONTROLS_MM)
    curve = window_curve(order, TUBE, DIES[0], BENDS, STOCK_MM, outer_bends_deg=BENDS)
    for bend, low, high in zip(BENDS, curve.lowest_mm, curve.highest_mm, strict=True):
        alone = [window_curve(order, TUBE, DIES[0], [bend], STOCK_MM, outer_bends_deg=[outer]) for outer in BENDS]
        opened = [one for one in alone if one.open.any()]
        assert np.isfinite(low) == bool(opened)
        if opened:
            assert low == min(one.lowest_mm[0] for one in opened)
            assert high == max(one.highest_mm[0] for one in opened)
    equal = window_curve(order, TUBE, DIES[0], BENDS, STOCK_MM)
    assert (curve.highest_mm[equal.open] >= equal.highest_mm[equal.open]).all()
    assert (curve.lowest_mm[equal.open] <= equal.lowest_mm[equal.open]).all()
