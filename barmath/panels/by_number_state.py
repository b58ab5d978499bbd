"""From an order of the book to the state of a panel, and back: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Any

from barmath.bending.recipe_text import WrittenRecipe, to_hundredths
from barmath.checking.bench_readings import KINDS
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Order, Recipe
from barmath.lengths import MM_PER_INCH
from barmath.panels.chosen_way import way_of_row
from barmath.panels.crossbar_state import AT_HEIGHT, AT_MARKS, CrossbarReadout, CrossbarState
from barmath.panels.fetched import READ
from barmath.panels.inspection_state import InspectionReadout, InspectionState, readings_of
from barmath.panels.order_state import OrderReadout, OrderState, with_any_way
from barmath.panels.ordered_bar_state import Ordered, OrderedBar
from barmath.panels.record_state import RecordState, typed_from_model
from barmath.panels.strength_state import StrengthState, with_tube
from barmath.panels.two_bars_state import RECIPE, BarChoice, TwoBarsReadout, TwoBarsState
from barmath.panels.ways_list import listed_rows
from barmath.paper.bench_data import RADIUS_ALIKE_MM
from barmath.planning.ways import LEVEL, UPRIGHT
from barmath.planning.ways import ORDERED as AS_ORDERED
from barmath.records.booked_order import (
    BEGUN,
    BENT,
    CHECKED,
    DONE,
    OPEN,
    ORDERED,
    PLANNED,
    WITH_CROSSBAR,
    WITHDRAWN,
    Booked,
    BookedOrder,
    WantedCrossbar,
)
from barmath.records.order_book import OrderBook
from barmath.refusal import BendError, plain
from barmath.shop.shop_file import Shop

NOTHING = 0
"""Means no order: a chooser shows nothing for None."""

OLD_SHEET = "to open the bar of an old sheet"
"""Said in the box for the line that each sheet has at its foot."""

MADE = (BEGUN, BENT, CHECKED, WITH_CROSSBAR, DONE)
"""States of an order with a tube that is marked or bent: every page has the numbers by which that was done."""

ALIKE_MM, ALIKE_DEG = 0.02, 0.05
"""How near a size is to the one on a sheet that was rounded to hundredths; below which an upsweep is none."""


def ordered_from_wish(wish: Order) -> Ordered:
    """The rows of an order as the rider wished it."""
    upsweep = {None: UPRIGHT, 0.0: LEVEL}.get(wish.upsweep_deg, AS_ORDERED)
    given = Ordered.upsweep_deg if wish.upsweep_deg is None else wish.upsweep_deg
    return Ordered(
        wish.rise_mm, wish.backsweep_deg, wish.width_mm, upsweep, given, wish.clamp_flat_mm, wish.controls_mm
    )


def bar_from_order(order: BookedOrder) -> OrderedBar:
    """The bar of an order with the way chosen for it, and once begun with its radius and stop.

    Raises BendError where none is chosen yet.
    """
    way = order.chosen_way()
    outer = None if way.outer_bend_deg == way.inner_bend_deg else way.outer_bend_deg
    wished = vars(ordered_from_wish(order.wish))
    bar = OrderedBar(**wished, bend_deg=way.inner_bend_deg, tube=way.tube, die=way.die, outer_bend_deg=outer)
    return replace(bar, radius_mm=way.radius_mm, stop_deg=way.inner_stop_deg) if order.state in MADE else bar


def bar_from_written(shop: Shop, written: WrittenRecipe) -> OrderedBar:
    """The bar that the line of a sheet says; raises BendError where this shop has not its tube or its die."""
    recipe, sizes = written.recipe, (written.tube_diameter_mm, written.tube_wall_mm)
    tube = next((one.name for one in shop.tubes if _alike((one.outside_diameter_mm, one.wall_mm), sizes)), None)
    die = next((one.name for one in shop.dies if _alike((one.centerline_radius_mm,), (written.die_radius_mm,))), None)
    if tube is None:
        raise BendError(f"put a tube of {' x '.join(map(plain, sizes))} mm into the shop's file first: it is not there")
    if die is None:
        raise BendError(f"put a die of {plain(written.die_radius_mm)} mm into the shop's file first: it is not there")
    shape = shape_from_recipe(recipe)
    upsweep = UPRIGHT if not recipe.stem_roll_deg else LEVEL if abs(shape.upsweep_deg) < ALIKE_DEG else AS_ORDERED
    outer = None if recipe.outer_bend_deg == recipe.inner_bend_deg else recipe.outer_bend_deg
    ordered = Ordered(
        round(float(shape.rise_mm), 2), round(float(shape.backsweep_deg), 2), round(float(shape.width_mm), 2),
        upsweep, round(float(shape.upsweep_deg), 2), recipe.clamp_flat_mm, min(Ordered.controls_mm, recipe.grip_mm),
    )  # fmt: skip
    return OrderedBar(**vars(ordered), bend_deg=recipe.inner_bend_deg, tube=tube, die=die, outer_bend_deg=outer)


def why_by_hand(written: WrittenRecipe, book: OrderBook) -> str:
    """Why the line of a sheet is not opened as an order of the book; nothing where it is one."""
    if not written.number:
        return "the sheet has no order number"
    try:
        order = book.order(written.number).order
    except BendError as refusal:
        return str(refusal)
    if order.way is None or to_hundredths(order.recipe()) != written.recipe:
        return f"order {written.number} has another way in the book now than on the sheet"
    return ""


def _alike(own: tuple[Any, ...], wanted: tuple[float, ...]) -> bool:
    return all(abs(float(one) - other) < ALIKE_MM for one, other in zip(own, wanted, strict=True))


def state_with_bar(state: Any, bar: OrderedBar, shop: Shop, recipe: Recipe | None = None) -> Any:
    """The state of a panel with a bar put in, of whatever order; `recipe` is the same bar, where it is known."""
    if isinstance(state, OrderState):
        return replace(state.with_bar(bar), number=NOTHING, bent=None)
    if isinstance(state, TwoBarsState):
        return replace(state, b=_choice(state.b, recipe or bar.recipe(shop)))
    if isinstance(state, StrengthState):
        return with_tube(replace(state, bar=bar), shop)
    return replace(state, bar=bar)


def state_with_order(state: Any, order: BookedOrder, shop: Shop, *, keep_typed: bool = False) -> Any:
    """The state of a panel with an order and its bar put in from the book.

    With `keep_typed` what is typed in its boxes remains. Raises BendError where the panel needs a way and none is
    chosen yet.
    """
    if isinstance(state, OrderState) and order.way is None:
        wished = vars(ordered_from_wish(order.wish))
        any_way = replace(with_any_way(state), plan=state.plan, tube="", bent=None)
        return replace(any_way, **wished, number=order.number)
    bar = bar_from_order(order)
    state = state_with_bar(state, bar, shop)
    if isinstance(state, OrderState):
        bent = bar if order.state in MADE else None
        return replace(state, number=order.number, plan=order.chosen_way().sequence, bent=bent)
    if isinstance(state, TwoBarsState):
        return state if order.old is None else replace(state, a=_choice(state.a, order.old))
    if isinstance(state, CrossbarState):
        return _with_crossbar(state, order)
    if isinstance(state, InspectionState):
        return _with_readings(state, order, keep_typed)
    if isinstance(state, RecordState):
        return _with_entry(state, order, shop, keep_typed)
    return state


def _choice(choice: BarChoice, recipe: Recipe) -> BarChoice:
    flat, rolled = replace(recipe, stem_roll_deg=0.0), float(recipe.stem_roll_deg)
    return replace(choice, source=RECIPE, recipe=flat, rolled_deg=rolled)


def _with_crossbar(state: CrossbarState, order: BookedOrder) -> CrossbarState:
    wanted = order.crossbar
    if wanted is None:
        return state
    height = state.height_mm if wanted.height_mm is None else wanted.height_mm
    return replace(
        state, place=AT_MARKS if wanted.height_mm is None else AT_HEIGHT, height_mm=height,
        branch_diameter_mm=wanted.diameter_mm, branch_wall_mm=wanted.wall_mm,
    )  # fmt: skip


def _with_readings(state: InspectionState, order: BookedOrder, keep_typed: bool) -> InspectionState:
    read, typed = dict(order.readings), dict(zip((kind.key for kind in KINDS), state.typed, strict=True))
    mine = {key: text for key, text in typed.items() if text.strip()} if keep_typed else {}
    unit = order.unit if read and not mine else state.unit
    return replace(state, typed=tuple(mine.get(kind.key, read.get(kind.key, "")) for kind in KINDS), unit=unit)


def _with_entry(state: RecordState, order: BookedOrder, shop: Shop, keep_typed: bool) -> RecordState:
    state = replace(state, corrects="", fetched=None)
    typed = {"name": f"order {order.number}"} | typed_from_model(shop, state) | _read_texts(order, state.unit)
    mine = state.typed if keep_typed else {key: state.typed.get(key, "") for key in ("date", "batch")}
    return replace(state, typed=typed | {key: text for key, text in mine.items() if text.strip()})


def _read_texts(order: BookedOrder, unit: str) -> dict[str, str]:
    # each reading of the order as one number, by the name of its box in the record
    read = dict(order.readings)
    inspected = InspectionState(typed=tuple(read.get(kind.key, "") for kind in KINDS), unit=order.unit)
    found = {}
    for one in readings_of(inspected)[0]:
        if next(kind.unit for kind in KINDS if kind.key == one.key) == "deg":
            found[READ + one.key] = f"{one.value:.2f}"
        else:
            found[READ + one.key] = f"{one.value:.2f} mm" if unit == "mm" else f"{one.value / MM_PER_INCH:.3f} in"
    return found


def as_far_as(state: str, order: BookedOrder) -> BookedOrder:
    """The order, in that state if it had not come as far yet; one that is done or withdrawn is not changed."""
    ahead = order.way is not None and order.state in OPEN and OPEN.index(order.state) < OPEN.index(state)
    return replace(order, state=state) if ahead else order


def order_with_panel(order: BookedOrder, state: Any, readout: Any, *, made: bool = True) -> BookedOrder:
    """The order with what a panel's state and readout say of it; where it is `made`, it has come as far as its work.

    The order panel gives its wish and its way, the check its readings. The crossbar's panel gives the crossbar, and the
    two bars compared give the bar that the rider has now. Raises BendError where the order panel shows no bar.
    """
    if isinstance(state, OrderState) and isinstance(readout, OrderReadout):
        return order_with_way(order, state, readout)
    if isinstance(state, InspectionState):
        order = replace(order, readings=_pairs(state), unit=state.unit)
        return (
            as_far_as(CHECKED, order) if made and isinstance(readout, InspectionReadout) and readout.advice else order
        )
    if isinstance(state, CrossbarState) and isinstance(readout, CrossbarReadout) and readout.bar is not None:
        height = None if state.place == AT_MARKS else state.height_mm
        return as_far_as(
            WITH_CROSSBAR,
            replace(order, crossbar=WantedCrossbar(state.branch_diameter_mm, state.branch_wall_mm, height)),
        )
    if isinstance(state, TwoBarsState) and isinstance(readout, TwoBarsReadout):
        return replace(order, old=readout.a.recipe)
    return order


def unsaved_readings(state: Any, seen: Booked | None) -> dict[str, str]:
    """What is typed in the check and is other in the book, by the key of the reading; nothing in another panel."""
    if seen is None or not isinstance(state, InspectionState):
        return {}
    typed, read = dict(_pairs(state)), dict(seen.order.readings)
    return {key: typed.get(key, "") for key in typed | read if typed.get(key, "") != read.get(key, "")}


def radius_words(order: BookedOrder, shop: Shop) -> list[str]:
    """What to say where the shop's springback is no longer what it was when the way was chosen."""
    if order.way is None:
        return []
    try:
        radius = bar_from_order(order).springback(shop).finished_radius_mm
    except BendError as refusal:  # a die that is no longer in the shop's file
        return [str(refusal)]
    if abs(float(radius) - order.way.radius_mm) <= RADIUS_ALIKE_MM:
        return []
    if order.state == BEGUN:
        finish = (
            f"finish order {order.number} by the numbers that it was begun with, or set it to {PLANNED} for a new tube"
        )
        return [f"{finish}: the springback in the shop's file has changed since"]
    if order.state in MADE:
        again = f"set order {order.number} to {PLANNED} and choose its way before you bend it again"
        return [f"{again}: the springback in the shop's file has changed since it was bent"]
    again = f"choose the way of order {order.number} again on the page Order, and keep it"
    return [f"{again}: the springback in the shop's file has changed since"]


def _pairs(state: InspectionState) -> tuple[tuple[str, str], ...]:
    typed = zip((kind.key for kind in KINDS), state.typed, strict=True)
    return tuple((key, text) for key, text in typed if text.strip())


def _no_way_words(readout: OrderReadout) -> str:
    if readout.ways is not None and readout.ways.can_be_made(listed_rows(readout.ways, None)).any():
        return "pick a way in the table that fits: the one picked cannot be made"
    return "change the order, as the message below the picture says: no way makes it"


def order_with_way(order: BookedOrder, state: OrderState, readout: OrderReadout) -> BookedOrder:
    """The order that is set in the order panel, with the way that is picked there; raises BendError without one."""
    if readout.ways is None or readout.row is None or readout.bar is None:
        raise BendError(_no_way_words(readout))
    wish = Ordered.order(Ordered(**{part.name: getattr(state, part.name) for part in fields(Ordered)}))
    way = way_of_row(readout.ways, readout.row, state.plan)
    return replace(order, wish=wish, way=way, state=PLANNED if order.state in (ORDERED, WITHDRAWN) else order.state)
