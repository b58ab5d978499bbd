"""Which bar the page at the bench is about. What was read of one bar never comes into another, and is not lost."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

from barmath.bending.plans import USUAL
from barmath.bending.recipe_text import recipe_from_text
from barmath.panels.bench_page_state import BENDS, CHOOSE, CUT, WORK, BenchPageState
from barmath.panels.by_number_state import NOTHING, bar_from_order, bar_from_written, why_by_hand
from barmath.panels.ordered_bar_state import BY_HAND, OrderedBar
from barmath.paper.bench_data import RADIUS_ALIKE_MM
from barmath.records.booked_order import BookedOrder
from barmath.records.order_book import OrderBook
from barmath.refusal import BendError
from barmath.shop.shop_file import Shop

_BLANK = {name: getattr(BenchPageState(), name) for name in WORK}


def with_order(state: BenchPageState, order: BookedOrder) -> BenchPageState:
    """The page with the bar of an order and what was read of it before; raises BendError if it has no way yet."""
    bar, plan = bar_from_order(order), order.chosen_way().sequence
    if order.number != state.number:
        state = _changed_work(state, order.number)
    return replace(state, number=order.number, name=f"order {order.number}", bar=bar, plan=plan)


def with_bar(state: BenchPageState, bar: OrderedBar) -> BenchPageState:
    """The page with another bar, set by hand: nothing was read of it yet."""
    name = BY_HAND if state.number else state.name
    return replace(_changed_work(state, NOTHING), number=NOTHING, name=name, bar=bar, plan=USUAL)


def by_hand(state: BenchPageState) -> BenchPageState:
    """The page with the bar that it has, as one of no order."""
    return with_bar(state, state.bar.to_bend()) if state.number else state


def with_line(state: BenchPageState, text: str, shop: Shop, book: OrderBook) -> tuple[BenchPageState, str]:
    """The page with the bar of a sheet's line, and why it is set by hand; no reason where it is an order of the book.

    Raises BendError if it is another text, or if the shop has not its tube or its die.
    """
    written = recipe_from_text(text)
    why = why_by_hand(written, book)
    if not why:
        return with_order(state, book.order(written.number).order), ""
    return with_bar(state, bar_from_written(shop, written)), why


def started(state: BenchPageState, shop: Shop) -> BenchPageState:
    """The page with a mark for the piece of tube that is bent now; its numbers are kept to its end.

    What is read of its bends is known by its mark.
    """
    now = datetime.now().isoformat(" ", "milliseconds")
    return replace(state, bar=state.bar.as_bent(shop), piece=state.piece or f"{state.name}, {now}")


def kept_words(state: BenchPageState, shop: Shop) -> list[str]:
    """What to say of a piece that is bent by other numbers than those of the shop's file today."""
    if state.at not in (CUT, *BENDS) or state.bar.radius_mm is None:
        return []
    try:
        today = float(state.bar.springback(shop).finished_radius_mm)
    except BendError:  # the page refuses it
        return []
    if abs(today - state.bar.radius_mm) <= RADIUS_ALIKE_MM:
        return []
    return [
        "bend this piece to its end by the numbers that it was begun with: the springback in the shop's file has "
        "changed since"
    ]


def is_begun(state: BenchPageState) -> bool:
    """Whether a piece of tube is bent on the page, or something of it was read."""
    return state.at != CHOOSE or any(getattr(state, name) != _BLANK[name] for name in WORK)


def scrapped(state: BenchPageState) -> BenchPageState:
    """The page before another tube of the same bar; it is bent by the numbers of that day, and nothing is read yet."""
    return replace(state, **_BLANK, at=CHOOSE, bar=state.bar.to_bend())


def next_bar(state: BenchPageState) -> BenchPageState:
    """The page before the next bar: this one is done."""
    return replace(state, **_BLANK, at=CHOOSE, number=NOTHING, name=BY_HAND, plan=USUAL, bar=state.bar.to_bend())


def _changed_work(state: BenchPageState, number: int) -> BenchPageState:
    # put aside what was read of the order before, and take out what was read of this one
    work, aside = {name: getattr(state, name) for name in WORK}, dict(state.aside)
    if state.number and work != _BLANK:
        aside[str(state.number)] = {name: list(v) if isinstance(v, tuple) else v for name, v in work.items()}
    found = aside.pop(str(number), _BLANK)
    back: dict[str, Any] = {name: tuple(v) if isinstance(v, list) else v for name, v in found.items()}
    return replace(state, **back, aside=aside)
