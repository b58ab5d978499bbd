"""What a page for the rider is about: the order of the book, with the crossbar and the old bar that a panel shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from barmath.closed_forms.records import Recipe
from barmath.crossbars.crossbar import Crossbar, crossbar
from barmath.panels.by_number_state import bar_from_order
from barmath.panels.crossbar import CrossbarPanel
from barmath.panels.form import FormPanel
from barmath.panels.two_bars import TwoBarsPanel
from barmath.records.booked_order import BookedOrder
from barmath.refusal import BendError
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube

if TYPE_CHECKING:
    from barmath.paper.rider_page import RiderPage


def rider_of(name: str, panel: FormPanel, order: BookedOrder | None, shop: Shop) -> RiderPage:
    """The page of an order for its rider.

    The crossbar and the old bar are those that the panel shows, else those of the book. Two bars that are compared need
    no order. Raises BendError if there is no bar.
    """
    from barmath.paper.rider_page import RiderPage  # Matplotlib, only when a page is made

    unit = panel.state.unit
    if order is None:
        if isinstance(panel, TwoBarsPanel):
            new, old = panel.readout.b.recipe, panel.readout.a.recipe
            if new is None:
                raise BendError(panel.readout.b.refusal)
            return RiderPage(name, new, shop.tubes[0], old=old, unit=unit)
        raise BendError("choose an order's number first: a page for the rider is about an order of the book")
    recipe, tube, old = bar_from_order(order).recipe(shop), shop.tube(order.chosen_way().tube), order.old
    if isinstance(panel, TwoBarsPanel):
        old = panel.readout.a.recipe
    if isinstance(panel, CrossbarPanel):
        if panel.state.bar != bar_from_order(order):
            raise BendError(f"open order {order.number} again: the bar below is not the one in the book")
        fitted = panel.readout.bar
    else:
        fitted = _booked_crossbar(order, recipe, tube)
    return RiderPage(name, recipe, tube, fitted, old, unit, order.rider, order.wanted)


def _booked_crossbar(order: BookedOrder, recipe: Recipe, tube: Tube) -> Crossbar | None:
    wanted = order.crossbar
    if wanted is None:
        return None
    branch = Tube(wanted.diameter_mm, wanted.wall_mm)
    return crossbar(recipe, float(tube.outside_diameter_mm), branch, wanted.height_mm)
