"""From the table of ways to the way that the order book keeps."""

from __future__ import annotations

from barmath.bending.plans import PLANS, USUAL
from barmath.closed_forms.records import Order
from barmath.planning.ways import Ways, every_way
from barmath.records.booked_order import ChosenWay
from barmath.refusal import BendError, remedy_first
from barmath.shop.shop_file import Shop


def way_of_row(ways: Ways, row: int, plan: str = USUAL) -> ChosenWay:
    """A row of the table as the way that the book keeps; raises BendError with the reason where it cannot be made."""
    recipe = ways.recipe(row)
    return ChosenWay(
        ways.tube.name, ways.die(row).name, recipe.inner_bend_deg, recipe.outer_bend_deg,
        float(ways.inner_stop_deg[row]), float(ways.outer_stop_deg[row]), recipe.radius_mm, plan,
    )  # fmt: skip


def best_way(shop: Shop, wish: Order, plan: str = USUAL) -> ChosenWay:
    """The first way of the table for the shop's first tube; raises BendError where this shop cannot make the order."""
    tube = shop.tubes[0]
    ways = every_way(
        wish, tube, shop.dies_for(tube), bends_deg=shop.stop_bends_deg, stock_length_mm=shop.stock_length_mm,
        bender=shop.bender, holds=PLANS[plan],
    )  # fmt: skip
    if not ways.feasible[0]:
        lacks = remedy_first(ways.reason(0))
        raise BendError(
            f"none of this shop's dies and stops makes this order. For the nearest, {lacks[:1].lower()}{lacks[1:]}"
        )
    return way_of_row(ways, 0, plan)
