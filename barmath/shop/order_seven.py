"""Order 7, the bar that the lessons, the panels and the printed examples follow: the one home of its numbers.

The order and the shop are invented. The file `notebooks/demo/shop.toml` has the same tube and die, and
`notebooks/demo/orders.toml` the same order.
"""

from __future__ import annotations

from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Order, Recipe
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, springback_from_tube

ORDER = Order(rise_mm=90.0, backsweep_deg=14.0, width_mm=800.0, clamp_flat_mm=60.0, controls_mm=170.0)
BEND_DEG = 30.0
"""Each of the four bends, as finished."""
OUTER_DEG = 27.5
"""The outer bends where order 7 is made with two settings of the stop."""

TUBE = Tube(22.225, 1.651, name="7/8 x 0.065")
DIE = Die(101.6, least_straight_mm=65.0, tube_diameter_mm=22.225, name="die 102")
"""The tube and the die that order 7 is made with."""

CROSSBAR = Tube(12.7, 0.889, name="1/2 x 0.035")


def order_seven_recipe() -> Recipe:
    """The recipe of order 7, with the springback that theory gives for its tube and die.

    Examples
    --------
    >>> recipe = order_seven_recipe()
    >>> f"{recipe.straight_mm:.1f} mm of riser, {recipe.grip_mm:.1f} mm of grip, roll {recipe.roll_deg:.1f} deg"
    '100.8 mm of riser, 184.3 mm of grip, roll 28.9 deg'
    """
    return recipe_from_order(ORDER, springback_from_tube(TUBE, DIE).finished_radius_mm, BEND_DEG)


def two_stop_recipe() -> Recipe:
    """The recipe of order 7 with two settings of the stop: inner bends as before, outer bends of `OUTER_DEG`.

    Examples
    --------
    >>> recipe = two_stop_recipe()
    >>> f"{recipe.straight_mm:.1f} mm of riser, {recipe.grip_mm:.1f} mm of grip, roll {recipe.roll_deg:.1f} deg"
    '77.9 mm of riser, 210.3 mm of grip, roll 31.4 deg'
    """
    return recipe_from_order(ORDER, order_seven_recipe().radius_mm, BEND_DEG, OUTER_DEG)
