"""What the order book holds of one order: the rider's wish, the way chosen to make it, and how far it has come."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import fields
from functools import cached_property
from typing import NamedTuple

from barmath.bending.plans import PLANS, USUAL
from barmath.checking.bench_readings import BY_KEY
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import LEAST_BEND_DEG, Order, Recipe, check_single
from barmath.fields import frozen, passing
from barmath.lengths import LONGEST_MM, checked_unit
from barmath.records.bent_bar import checked_text
from barmath.records.record_entry import UNREADABLE
from barmath.refusal import BendError, checked_choice, checked_count, checked_day, checked_single, quoted, unknown

ORDERED, PLANNED, BEGUN, BENT, CHECKED, WITH_CROSSBAR, DONE, WITHDRAWN = STATES = (
    "ordered", "planned", "begun", "bent", "checked", "crossbar", "done", "withdrawn",
)  # fmt: skip
"""How far an order has come, step by step; "begun" once its tube is marked, "crossbar" once it is fitted."""

OPEN = (ORDERED, PLANNED, BEGUN, BENT, CHECKED, WITH_CROSSBAR)
"""States in which there is still something to do."""

MADE_BY_A_WAY = (*OPEN[1:], DONE)
"""States of an order that has a way."""

LARGEST_NUMBER = 999_999  # six figures fit on a sheet


def checked_number(number: object) -> int:
    """`number` as an order's number, from 1 to 999 999; raises BendError otherwise."""
    if isinstance(number, bool | str):
        raise BendError(f"order number must be a whole number, got {quoted(number)}: type it in figures, for example 7")
    return checked_count("order number", number, least=1, most=LARGEST_NUMBER)


def _checked_wish(wish: object) -> Order:
    if not isinstance(wish, Order):
        raise BendError(f"what the rider wishes must be an Order, got {quoted(wish)}: make one with Order(...)")
    check_single(wish)
    return wish


def _checked_bend(name: str, angle: object) -> float:
    return checked_single(name, angle, "deg", least=LEAST_BEND_DEG, most=180.0)


@frozen
class ChosenWay:
    """The way chosen to make an order: with it, its recipe can be worked out again as it was.

    Parameters
    ----------
    tube, die : str
        Names of the shop's file.
    inner_bend_deg, outer_bend_deg : numbers, 0.1 to 180
        As finished.
    inner_stop_deg, outer_stop_deg : numbers, 0.1 to 180
        What the stop is set to.
    radius_mm : number above 0
        Finished radius, as the shop knew it when the way was chosen.
    sequence : str
        One of the names of `barmath.bending.plans.PLANS`.

    Raises
    ------
    BendError
        A field is outside its range, or the sequence is none of the plans.
    """

    tube: str = passing(checked_text, "tube")
    die: str = passing(checked_text, "die")
    inner_bend_deg: float = passing(_checked_bend, "inner bend")
    outer_bend_deg: float = passing(_checked_bend, "outer bend")
    inner_stop_deg: float = passing(_checked_bend, "inner stop")
    outer_stop_deg: float = passing(_checked_bend, "outer stop")
    radius_mm: float = passing(checked_single, "finished radius", unit="mm", above=0.0, most=LONGEST_MM)
    sequence: str = passing(checked_choice, "sequence", choices=tuple(PLANS), default=USUAL)


def _checked_way(way: object) -> ChosenWay:
    if not isinstance(way, ChosenWay):
        raise BendError(f"way of an order must be a ChosenWay, got {quoted(way)}: make one with ChosenWay(...)")
    return way


@frozen
class WantedCrossbar:
    """The crossbar that an order has.

    Parameters
    ----------
    diameter_mm, wall_mm : numbers above 0
        Of its tube.
    height_mm : number above 0, or None
        Of its axis over the clamp axis; None: at the outer marks.

    Raises
    ------
    BendError
        A length is not one number above 0 mm.
    """

    diameter_mm: float = passing(checked_single, "crossbar diameter", unit="mm", above=0.0, most=LONGEST_MM)
    wall_mm: float = passing(checked_single, "crossbar wall", unit="mm", above=0.0, most=LONGEST_MM)
    height_mm: float | None = passing(
        checked_single, "crossbar height", unit="mm", above=0.0, most=LONGEST_MM, default=None
    )


def _checked_crossbar(crossbar: object) -> WantedCrossbar:
    if not isinstance(crossbar, WantedCrossbar):
        raise BendError(
            f"crossbar of an order must be a WantedCrossbar, got {quoted(crossbar)}: make one with WantedCrossbar(...)"
        )
    return crossbar


def _checked_old(old: object) -> Recipe:
    if not isinstance(old, Recipe):
        raise BendError(f"old bar of an order must be a Recipe, got {quoted(old)}: make one with Recipe(...)")
    check_single(old)
    return old


def _checked_readings(readings: object) -> tuple[tuple[str, str], ...]:
    if isinstance(readings, str) or not isinstance(readings, Iterable):
        raise BendError(
            f"readings of an order must be names with what was typed, got {quoted(readings)}: "
            'type them as in [("width", "800")]'
        )
    found = {}
    for one in readings:
        if not isinstance(one, list | tuple) or len(one) != 2 or one[0] not in BY_KEY:
            raise BendError(unknown("reading with what was typed", one, tuple(BY_KEY)))
        found[one[0]] = checked_text(BY_KEY[one[0]].name.lower(), one[1])
    return tuple((key, found[key]) for key in BY_KEY if found.get(key, "").strip())


@frozen
class BookedOrder:
    """One order as kept in the book.

    Parameters
    ----------
    number : whole number, 1 to 999 999
    wish : Order
        What the rider orders (no arrays).
    way : ChosenWay or None
        None until one is chosen.
    state : one of `STATES`
    ordered : str
        The day it was ordered, YYYY-MM-DD.
    wanted : str or None
        The day the rider wants it.
    rider, notes : str
    readings : pairs of str
        What was read of the finished bar: the reading's key, and the text as it was typed.
    unit : "mm" or "in"
        Of the lengths in those texts.
    crossbar : WantedCrossbar or None
    old : Recipe or None
        The bar that the rider has now.

    Raises
    ------
    BendError
        A value is not in its range. An order has come further than "ordered" without a way.
    """

    number: int = passing(checked_number)
    wish: Order = passing(_checked_wish)
    ordered: str = passing(checked_day)
    state: str = passing(checked_choice, "state", choices=STATES, default=ORDERED)
    way: ChosenWay | None = passing(_checked_way, default=None)
    wanted: str | None = passing(checked_day, default=None)
    rider: str = passing(checked_text, "rider", default="")
    notes: str = passing(checked_text, "notes", default="")
    readings: tuple[tuple[str, str], ...] = passing(_checked_readings, default=())
    unit: str = passing(checked_unit, default="mm")
    crossbar: WantedCrossbar | None = passing(_checked_crossbar, default=None)
    old: Recipe | None = passing(_checked_old, default=None)

    def _check_together(self) -> None:
        if self.way is None and self.state in MADE_BY_A_WAY:
            raise BendError(
                f'choose a way first: order {self.number} cannot be "{self.state}" before it is known how it is made'
            )

    def chosen_way(self) -> ChosenWay:
        """The way that was chosen; raises BendError where none is chosen yet."""
        if self.way is None:
            raise BendError(f"choose a way first: order {self.number} has none in the order book yet")
        return self.way

    def recipe(self) -> Recipe:
        """The bar that was chosen; raises BendError where no way is chosen yet, or if no bar fits it."""
        way = self.chosen_way()
        return recipe_from_order(self.wish, way.radius_mm, way.inner_bend_deg, way.outer_bend_deg)


_RECORDS = {"wish": Order, "way": ChosenWay, "crossbar": WantedCrossbar, "old": Recipe}
"""Fields of an order that are records themselves."""


class _Row(NamedTuple):
    number: int
    revision: int
    body: str


class Booked(_Row):
    """An order's row in the book: its number, how often it was changed before, and what was written."""

    @cached_property
    def order(self) -> BookedOrder:
        """What it holds; raises BendError where it cannot be read."""
        try:
            return order_from_body(self.body)
        except UNREADABLE as fault:
            raise BendError(
                f"write order {self.number} in again, or go back to a backup: it cannot be read in the order book "
                f"({fault})"
            ) from None


def body_of_order(order: BookedOrder) -> str:
    """An order's values as they are written in the book."""
    plain = {part.name: getattr(order, part.name) for part in fields(order)}
    for name in _RECORDS:
        plain[name] = None if plain[name] is None else dict(vars(plain[name]))
    return json.dumps(plain, ensure_ascii=False)


def order_from_body(body: str) -> BookedOrder:
    """The order written so; raises one of `UNREADABLE` where it cannot be read."""
    plain = json.loads(body)
    there = {name: plain[name] for name in _RECORDS if name in plain and plain[name] is not None}
    found = {name: _RECORDS[name](**values) for name, values in there.items()}
    return BookedOrder(**plain | found)
