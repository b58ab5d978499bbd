"""From the table of ways to the way that the order book keeps."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from barmath.bending.plans import PLANS, USUAL
from barmath.closed_forms.records import Order
from barmath.panels.ways_list import rises_nearest_first
from barmath.planning.ways import Ways, every_way
from barmath.refusal import BendError, remedy_first
from barmath.shop.shop_file import Shop

if TYPE_CHECKING:
    from barmath.records.booked_order import ChosenWay

MOST_RISES = 20
"""Rises that are tried at most, where none makes the one that is ordered."""


def none_makes(ways: Ways, row: int, with_rise: Callable[[float], Ways]) -> str:
    """Why none of the `ways` makes the order: what to order instead, then what keeps the way of that row out.

    Parameters
    ----------
    ways : Ways
    row : row number
    with_rise : function of a rise in mm
        Gives the ways of the same order with that rise.
    """
    made = (rise for rise in rises_nearest_first(ways)[:MOST_RISES] if with_rise(rise).best is not None)
    rise = next(made, None)
    instead = "another backsweep, width or room for controls"
    order = instead if rise is None else f"a rise of {rise:.1f} mm, which can be made"
    why = f"With {way_words(ways, row)}, {why_not(ways, row)}"
    return f"Order {order}. None of this shop's dies and stops makes this order. {why}"


def why_not(ways: Ways, row: int) -> str:
    """Why a row cannot be made, and which rises could, without what the limit would change: that may not help here."""
    reason = ways.reason(row)
    shown = remedy_first(reason)
    return reason if shown == reason else shown.partition(": ")[2]


def way_words(ways: Ways, row: int) -> str:
    """Die and bends of a row in words."""
    inner, outer = ways.inner_bend_deg[row], ways.outer_bend_deg[row]
    return f"{ways.die(row).name} at {inner:.1f} deg" + (f" and {outer:.1f} deg" if ways.two_stops[row] else "")


def way_of_row(ways: Ways, row: int, plan: str = USUAL) -> ChosenWay:
    """A row of the table as the way that the book keeps; raises BendError with the reason where it cannot be made."""
    from barmath.records.booked_order import ChosenWay  # the record, only when something is kept

    recipe = ways.recipe(row)
    return ChosenWay(
        ways.tube.name, ways.die(row).name, recipe.inner_bend_deg, recipe.outer_bend_deg,
        float(ways.inner_stop_deg[row]), float(ways.outer_stop_deg[row]), recipe.radius_mm, plan,
    )  # fmt: skip


def best_way(shop: Shop, wish: Order, plan: str = USUAL) -> ChosenWay:
    """The first way of the table for the shop's first tube; raises BendError where this shop cannot make the order."""
    ways = _ways_of(shop, wish, plan)
    if not ways.feasible[0]:
        raise BendError(none_makes(ways, 0, lambda rise: _ways_of(shop, replace(wish, rise_mm=rise), plan)))
    return way_of_row(ways, 0, plan)


def way_again(shop: Shop, wish: Order, way: ChosenWay) -> ChosenWay:
    """The same tube, die, bends and sequence by today's springback; raises BendError where they cannot be made now."""
    tube = shop.tube(way.tube)
    bends = way.inner_bend_deg, way.outer_bend_deg
    ways = every_way(
        wish, tube, (shop.die_for(tube, way.die),), bends_deg=sorted({*bends}), stock_length_mm=shop.stock_length_mm,
        bender=shop.bender, holds=PLANS[way.sequence],
    )  # fmt: skip
    same = (ways.inner_bend_deg == bends[0]) & (ways.outer_bend_deg == bends[1])
    return way_of_row(ways, int(same.argmax()), way.sequence)


def _ways_of(shop: Shop, wish: Order, plan: str) -> Ways:
    tube = shop.tubes[0]
    return every_way(
        wish, tube, shop.dies_for(tube), bends_deg=shop.stop_bends_deg, stock_length_mm=shop.stock_length_mm,
        bender=shop.bender, holds=PLANS[plan],
    )  # fmt: skip
