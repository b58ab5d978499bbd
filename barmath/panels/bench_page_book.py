"""What the page at the bench takes from the order book, and what it keeps there."""

from __future__ import annotations

from dataclasses import replace

from barmath.checking.bench_readings import BY_KEY
from barmath.lengths import length_mm
from barmath.panels.bench_page_state import READ, BenchPageState, steps_of
from barmath.panels.by_number_state import NOTHING, as_far_as, bar_from_order, radius_words
from barmath.records.booked_order import BEGUN, BENT, CHECKED, OPEN, PLANNED, Booked
from barmath.records.order_book import OrderBook
from barmath.refusal import BendError
from barmath.shop.shop_file import Shop


def readable_orders(book: OrderBook) -> list[Booked]:
    """The rows of the orders that are not done, by number, without those that cannot be read."""
    found = []
    for row in book.orders(OPEN):
        try:
            _ = row.order
        except BendError:
            continue
        found.append(row)
    return found


def keep_how_far(book: OrderBook, shop: Shop, state: BenchPageState, how_far: str) -> None:
    """Keep how far the page's order has come, what it is bent by, and what was read of its bar.

    Readings that another page has kept meanwhile remain beside them. Raises BendError where the book cannot take it.
    """
    row = book.order(state.number)
    order = as_far_as(how_far, row.order)
    way = row.order.way
    if how_far in (BEGUN, BENT) and way is not None and bar_from_order(row.order).to_bend() == state.bar.to_bend():
        stops, radius = (
            {step.bend: step.stop_deg for step in steps_of(shop, state)},
            float(state.recipe(shop).radius_mm),
        )
        way = replace(way, inner_stop_deg=stops["inner"], outer_stop_deg=stops["outer"], radius_mm=radius)
        order = replace(order, way=way)
    if how_far == CHECKED:
        typed = [(key, text) for key, text in zip(READ, state.typed, strict=True) if text.strip()]
        read = {key: _typed_in(order.unit, key, text, state) for key, text in typed}
        order = replace(order, readings=tuple((dict(order.readings) | read).items()))
    if order != row.order:
        book.change(order, row)


def plan_again(book: OrderBook, shop: Shop, number: int) -> list[str]:
    """Plan an order again because its tube is scrap, and forget what was read of that bar; what is to be done first.

    One that has its crossbar already, or is withdrawn, is not changed. A bar of no order has nothing to plan.
    """
    try:
        row = book.order(number) if number != NOTHING else None
        if row is not None and row.order.state in (BEGUN, BENT, CHECKED):
            row = book.change(replace(row.order, state=PLANNED, readings=()), row)
        return radius_words(row.order, shop) if row is not None else []
    except BendError as refusal:  # the bar is begun again all the same
        return [str(refusal)]


def _typed_in(unit: str, key: str, text: str, state: BenchPageState) -> str:
    # a length as typed in the page's unit: with its unit, where bare numbers would have another one
    if unit == state.unit or BY_KEY[key].unit == "deg":
        return text
    return f"{length_mm(text, default_unit=state.unit):.2f} mm"
