"""From an order of the book to the state of a panel, and back: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from barmath.closed_forms.records import Order
from barmath.panels.chosen_way import way_of_row
from barmath.panels.order_state import OrderReadout, OrderState
from barmath.panels.ordered_bar_state import Ordered, OrderedBar
from barmath.panels.two_bars_state import RECIPE, TwoBarsState
from barmath.planning.ways import LEVEL, UPRIGHT
from barmath.planning.ways import ORDERED as AS_ORDERED
from barmath.records.booked_order import ORDERED, PLANNED, WITHDRAWN, BookedOrder
from barmath.refusal import BendError

NOTHING = 0
"""Stands for no order: a chooser shows nothing for None."""


def ordered_from_wish(wish: Order) -> Ordered:
    """The rows of an order as the rider wished it."""
    upsweep = {None: UPRIGHT, 0.0: LEVEL}.get(wish.upsweep_deg, AS_ORDERED)
    given = Ordered.upsweep_deg if wish.upsweep_deg is None else wish.upsweep_deg
    return Ordered(
        wish.rise_mm, wish.backsweep_deg, wish.width_mm, upsweep, given, wish.clamp_flat_mm, wish.controls_mm
    )


def bar_from_order(order: BookedOrder) -> OrderedBar:
    """The bar of an order with the way chosen for it; raises BendError where none is chosen yet."""
    way = order.chosen_way()
    outer = None if way.outer_bend_deg == way.inner_bend_deg else way.outer_bend_deg
    wished = vars(ordered_from_wish(order.wish))
    return OrderedBar(**wished, bend_deg=way.inner_bend_deg, tube=way.tube, die=way.die, outer_bend_deg=outer)


def state_with_order(state: Any, order: BookedOrder) -> Any:
    """The state of a panel with an order of the book put in.

    Raises BendError where the panel needs a way and none is chosen yet.
    """
    if isinstance(state, OrderState):
        made: dict[str, Any] = {"tube": "", "die": None, "bend_deg": None, "outer_bend_deg": None}
        if order.way is not None:
            bar, way = bar_from_order(order), order.way
            made = {"tube": bar.tube, "die": bar.die, "bend_deg": way.inner_bend_deg, "plan": way.sequence}
            made["outer_bend_deg"] = way.outer_bend_deg
        return replace(state, **vars(ordered_from_wish(order.wish)), **made)
    if isinstance(state, TwoBarsState):
        recipe = order.recipe()
        flat, rolled = replace(recipe, stem_roll_deg=0.0), float(recipe.stem_roll_deg)
        return replace(state, b=replace(state.b, source=RECIPE, recipe=flat, rolled_deg=rolled))
    return replace(state, bar=bar_from_order(order))


def order_with_way(order: BookedOrder, state: OrderState, readout: OrderReadout) -> BookedOrder:
    """The order that is set in the order panel, with the way that is picked there; raises BendError without one."""
    if readout.ways is None or readout.row is None or readout.bar is None:
        raise BendError("choose a way that can be made first: nothing was kept")
    wish = Ordered.order(Ordered(**{part.name: getattr(state, part.name) for part in fields(Ordered)}))
    way = way_of_row(readout.ways, readout.row, state.plan)
    return replace(order, wish=wish, way=way, state=PLANNED if order.state in (ORDERED, WITHDRAWN) else order.state)
