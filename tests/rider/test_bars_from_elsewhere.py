"""A bar known by its figures or by a record: the nearest bends that make it, and the bends that its stops say."""

from dataclasses import replace

import numpy as np
import pytest

from barmath import BendError, Order, recipe_from_order, shape_from_recipe
from barmath.records.bent_bar import BentBar
from barmath.rider.other_bars import recipe_from_figures, recipe_from_record

EVERY_BEND = [6.0 + 0.5 * count for count in range(149)]
"""From 6 to 80 degrees, by half degrees."""


def makes(order, radius, bend, outer=None):
    try:
        return recipe_from_order(order, radius, bend, outer)
    except BendError:
        return None


@pytest.mark.parametrize("order", [
    Order(22.0, 8.0, 760.0), Order(160.0, 8.0, 760.0), Order(45.0, 40.0, 700.0), Order(78.0, 12.0, 780.0),
    Order(12.0, 0.0, 800.0), Order(300.0, 5.0, 900.0),
], ids=lambda order: f"rise {order.rise_mm:.0f}")  # fmt: skip
@pytest.mark.parametrize(("asked", "apart"), [(25.0, 0.0), (25.0, 2.5), (10.3, 0.0), (60.0, -5.0)])
def test_no_bend_nearer_to_the_one_that_is_asked_for_makes_the_bar(order, asked, apart):
    radius = 89.0
    made = {bend: makes(order, radius, bend, bend + apart if apart else None) for bend in {asked, *EVERY_BEND}}
    makeable = [bend for bend, one in made.items() if one is not None]
    outer = asked + apart if apart else None
    if not makeable:
        with pytest.raises(BendError):
            recipe_from_figures(order, radius, asked, outer)
        return
    found = recipe_from_figures(order, radius, asked, outer)
    assert abs(found.inner_bend_deg - asked) == min(abs(bend - asked) for bend in makeable)
    assert found.outer_bend_deg - found.inner_bend_deg == pytest.approx(apart)
    shape = shape_from_recipe(found)
    assert (shape.rise_mm, shape.width_mm) == pytest.approx((order.rise_mm, order.width_mm))


def test_a_bar_that_no_bend_makes_is_refused_as_the_bend_that_was_asked_for():
    order = Order(400.0, 8.0, 400.0)
    with pytest.raises(BendError) as alone:
        recipe_from_order(order, 89.0, 25.0)
    with pytest.raises(BendError) as refused:
        recipe_from_figures(order, 89.0, 25.0)
    assert str(refused.value) == str(alone.value)


BAR = BentBar("order 7", "2025-03-04", Order(78, 12, 780), "7/8 x 0.058", "89", 22.225, 1.4732, 86.5)


@pytest.mark.parametrize(("stops", "bends"), [
    ((None, None), (22.0, 22.0)), ((25.0, None), (25.0, 25.0)), ((25.0, 27.5), (25.0, 27.5)),
    ((27.5, 25.0), (27.5, 25.0)), ((None, 27.5), (22.0, 22.0)),
])  # fmt: skip
def test_the_bends_of_a_bar_of_the_record_are_those_of_its_stops(stops, bends):
    recipe = recipe_from_record(replace(BAR, inner_stop_deg=stops[0], outer_stop_deg=stops[1]), 89.0, 22.0)
    assert (recipe.inner_bend_deg, recipe.outer_bend_deg) == pytest.approx(bends)


@pytest.mark.parametrize("count", [3, 4])
def test_from_four_readings_on_a_bar_of_the_record_is_what_was_read(count):
    read = dict(
        zip(("rise_left", "rise_right", "backsweep_left", "backsweep_right"), (84.0, 84.0, 13.5, 13.5), strict=True)
    )
    some = dict(list(read.items())[:count])
    shape = shape_from_recipe(recipe_from_record(replace(BAR, inner_stop_deg=25.0, readings=some), 89.0, 22.0))
    ordered = (78.0, 12.0) if count == 3 else (84.0, 13.5)
    assert np.abs([shape.rise_mm - ordered[0], shape.backsweep_deg - ordered[1]]).max() < 0.4
