"""From the orders that are chosen to what the panel of the week shows: pure functions, no widgets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from types import MappingProxyType

from barmath.lengths import in_unit, length_text
from barmath.panels.by_number_state import radius_words
from barmath.panels.chosen_way import best_way, way_again
from barmath.panels.markup import bullets, heading, paragraph, table
from barmath.paper.week_data import TubeCuts, Week, left_out_words, week_from_orders
from barmath.paper.week_sequence import BY_DAY, SEQUENCES, why_words
from barmath.records.booked_order import BEGUN, BENT, OPEN, ORDERED, PLANNED, Booked, BookedOrder
from barmath.records.drafts import Draft, Drafts
from barmath.records.order_book import OrderBook
from barmath.refusal import BendError, counted
from barmath.shop.shop_file import Shop

PAGE = "WeekPanel"
"""The name of the page among the drafts: all pages of the week have one, and the newest counts."""

MOST_LETTERS = 22
"""So many letters of a rider's name are in the list of orders."""


@dataclass(frozen=True)
class WeekState:
    """The numbers of the orders that are chosen, the unit, and what is bent first."""

    numbers: tuple[int, ...] = ()
    unit: str = "mm"
    by: str = BY_DAY


def last_week(drafts: Drafts) -> WeekState:
    """The week that was set last in this shop; one without orders where none is known."""
    try:
        (*_, last) = drafts.of_page(PAGE)
        numbers, unit, by = last.values if len(last.values) > 2 else (*last.values, BY_DAY)  # an earlier one has none
        chosen = tuple(number for number in numbers if isinstance(number, int))
        return WeekState(chosen, unit if unit in ("mm", "in") else WeekState.unit, SEQUENCES[SEQUENCES.index(by)])
    except (BendError, ValueError, TypeError):  # none is kept, or it is of another version
        return WeekState()


def keep_week(drafts: Drafts, state: WeekState) -> None:
    """Remember the week; where the folder cannot be written to, the next page begins without it."""
    when = datetime.now().isoformat(" ", "minutes")
    with suppress(BendError):
        drafts.keep(Draft(PAGE, 0, PAGE, when, 0, [list(state.numbers), state.unit, state.by]))


def open_orders(book: OrderBook) -> tuple[list[BookedOrder], list[str]]:
    """Orders that are not bent yet, the begun ones too, by number, and what cannot be read."""
    found, faults = [], []
    for row in book.orders(OPEN[: OPEN.index(BENT)]):
        try:
            found.append(row.order)
        except BendError as fault:
            faults.append(str(fault))
    return found, faults


def order_label(order: BookedOrder, unit: str = "mm") -> str:
    """One line of the list of orders: the day it is wanted, its rider, and its bar, which may be cut at the right."""
    wish = order.wish
    way = "no way yet" if order.way is None else BEGUN if order.state == BEGUN else ""
    rise, width = (length_text(float(length), unit) for length in (wish.rise_mm, wish.width_mm))
    rider = f"{order.rider[:MOST_LETTERS]}…" if is_cut(order) else order.rider
    bar = f"{rise} x {wish.backsweep_deg:.1f} deg x {width}"
    return "  ".join(filter(None, [f"{order.number:>4}", order.wanted, rider, way, bar])).replace(" ", "\u00a0")


def is_cut(order: BookedOrder) -> bool:
    """Whether the list of orders has room only for a part of the rider's name."""
    return len(order.rider) > MOST_LETTERS


def names_html(orders: Sequence[BookedOrder]) -> str:
    """Whole names of riders below the list that cuts them; nothing if all are whole there."""
    found = [f"order {order.number}: {order.rider}" for order in orders if is_cut(order)]
    return paragraph("Names that the list cuts:") + bullets(found) if found else ""


def week_of(
    shop: Shop, orders: Sequence[BookedOrder], state: WeekState, faults: Mapping[int, str] = MappingProxyType({})
) -> Week:
    """The week of the chosen orders; those with one of the `faults` are left out, and that is why."""
    chosen = [order for order in orders if order.number in state.numbers and order.number not in faults]
    week = week_from_orders(shop, chosen, state.unit, state.by)
    return replace(week, left_out=(*faults.values(), *week.left_out))


def left_out_warning(week: Week, chosen: int) -> list[str]:
    """What to look at where less than the `chosen` orders are bent, or a tube has no cut list."""
    missing = chosen - len(week.bars)
    if not week.left_out:
        return []
    why = f"{counted(missing, 'order')} cannot be bent yet" if missing else "a tube has no cut list"
    return [f"look at Left out below: {why}"]


def choose_best_ways(shop: Shop, book: OrderBook, numbers: Sequence[int]) -> tuple[int, dict[int, str]]:
    """Keep the best way of each of these orders that has none yet: how many were kept, and by number why not."""
    kept, faults = 0, {}
    for number in numbers:
        try:
            row = book.order(number)
            if row.order.way is None and row.order.state == ORDERED:
                _keep_best(shop, book, row)
                kept += 1
        except BendError as fault:
            faults[number] = left_out_words(fault, f"order {number}")
    return kept, faults


def renew_ways(shop: Shop, book: OrderBook, numbers: Sequence[int]) -> tuple[int, dict[int, str]]:
    """Keep the same way by today's springback for each planned order that has an older one: how many, and why not."""
    kept, faults = 0, {}
    for number in numbers:
        try:
            row = book.order(number)
            if row.order.way is not None and row.order.state == PLANNED and radius_words(row.order, shop):
                book.change(replace(row.order, way=way_again(shop, row.order.wish, row.order.way)), row)
                kept += 1
        except BendError as fault:
            faults[number] = left_out_words(fault, f"order {number}")
    return kept, faults


def _keep_best(shop: Shop, book: OrderBook, row: Booked) -> None:
    book.change(replace(row.order, state=PLANNED, way=best_way(shop, row.order.wish)), row)


def week_html(week: Week, unit: str) -> str:
    """The bars as they are bent; below them what to cut and to buy, and what is left out, and why."""
    from barmath.paper.week import stops_words  # Matplotlib, only when a week is shown

    def mm(length: float) -> str:
        return length_text(length, unit)

    rows = []
    for bar in week.bars:
        inner, outer = bar.marks_mm
        rows.append((
            bar.title, bar.order.wanted or "", bar.order.rider, bar.way.die, stops_words(bar),
            mm(inner), mm(outer), mm(bar.cut_mm), f"{bar.mass_g:.0f} g",
        ))  # fmt: skip
    left = [heading("Left out"), bullets(in_unit(words, unit) for words in week.left_out)] if week.left_out else []
    if not rows:
        return "".join(left) or paragraph("Choose orders in the list. Hold Ctrl or Shift to choose several.")
    head = ("order", "wanted", "rider", "die", "stops", "inner mark", "outer mark", "cut", "mass")
    shown = [place for place, _ in enumerate(head) if any(row[place] for row in rows)]  # no day or rider: no column
    parts = [
        heading(f"Bend in this sequence: {counted(len(rows), 'bar')}, {week.mass_g / 1000.0:.2f} kg"),
        table(
            [[row[place] for place in shown] for row in rows], [head[place] for place in shown],
            words=[at for at, place in enumerate(shown) if head[place] in ("order", "rider", "die")],
            caption="The bars of the week, as you bend them",
        ),
        paragraph(f"{why_words(week.bars, week.by)} {week.begun_words}".strip()),
    ]  # fmt: skip
    for cuts in week.cuts:
        parts += [heading(f"Cut {cuts.tube.name}"), bullets(_cut_lines(cuts, unit))]
    return "".join([*parts, *left])


def _cut_lines(cuts: TubeCuts, unit: str) -> list[str]:
    from barmath.paper.week import cut_lines  # Matplotlib, only when a week is shown

    return cut_lines(cuts, unit)
