"""In which sequence the bars of a week are bent: what is wanted first is first, or the fewest changes of die and stops.

A day counts more than a change of the bender. Only the builder may choose otherwise, and reads then what comes late.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby, pairwise
from typing import Protocol, TypeVar

from barmath.records.booked_order import BookedOrder, ChosenWay
from barmath.refusal import counted

BY_DAY, FEWEST = SEQUENCES = ("day", "fewest")
"""What is wanted first is bent first; or the fewest changes of die and stops, whatever the day."""

MOST_LATE = 4
"""So many bars that come late are named, and the others are counted."""

_NO_DAY = "no day"  # after every day: letters come after figures

Key = TypeVar("Key", bound="str | tuple[float, float]")


class Planned(Protocol):
    """A bar of the week: its order, and the way to make it."""

    @property
    def order(self) -> BookedOrder:
        """With its number and the day it is wanted."""

    @property
    def way(self) -> ChosenWay:
        """With its die and its stops."""


Bar = TypeVar("Bar", bound=Planned)


def in_sequence(bars: Sequence[Bar], by: str = BY_DAY) -> list[Bar]:
    """The bars as they are bent; `by` is one of `SEQUENCES`, and a bar without a day is wanted last.

    Within one day bars of one die follow each other, and of one die those of the same stops. What is set on the bender
    from the day before is used first. What the next day needs too comes last.
    """
    days = [list(some) for _, some in groupby(sorted(bars, key=_day), _day)] if by == BY_DAY else [list(bars)]
    found: list[Bar] = []
    for today, tomorrow in zip(days, [*days[1:], []], strict=False):
        dies = _chained({bar.way.die for bar in today}, [bar.way.die for bar in found[-1:]], _dies(tomorrow))
        for die in dies:
            here = [bar for bar in today if bar.way.die == die]
            set_now = [stops_of(bar) for bar in found[-1:] if bar.way.die == die]
            later = {stops_of(bar) for bar in tomorrow if bar.way.die == die and die == dies[-1]}
            for stops in _chained({stops_of(bar) for bar in here}, set_now, later):
                alike = [bar for bar in here if stops_of(bar) == stops]
                found += sorted(alike, key=lambda bar: (bar.way.tube, bar.order.number))
    return found


def stops_of(bar: Planned) -> tuple[float, float]:
    """What the stop is set to for the inner and for the outer bends, deg."""
    return bar.way.inner_stop_deg, bar.way.outer_stop_deg


def changes(bars: Sequence[Planned]) -> tuple[int, int]:
    """How often the die is changed from one bar to the next, and how often only the stops are."""
    pairs = list(pairwise(bars))
    dies = sum(one.way.die != other.way.die for one, other in pairs)
    return dies, sum((one.way.die, stops_of(one)) != (other.way.die, stops_of(other)) for one, other in pairs) - dies


def late(bars: Sequence[Bar]) -> list[tuple[Bar, Bar]]:
    """Each bar that is bent after one that is wanted later, with the first such one."""
    found = []
    for place, bar in enumerate(bars):
        earlier = next((one for one in bars[:place] if _day(one) > _day(bar)), None)
        if earlier is not None:
            found.append((bar, earlier))
    return found


def late_words(bars: Sequence[Planned]) -> list[str]:
    """What comes late in this sequence, one sentence a bar; nothing if all comes in its turn."""
    found = late(bars)
    named = [f"order {bar.order.number}, {_said(bar)}, is bent after order {one.order.number}, {_said(one)}"
             for bar, one in found[:MOST_LATE]]  # fmt: skip
    more = len(found) - MOST_LATE
    return [*named, f"{counted(more, 'more bar')} come after one that is wanted later"] if more > 0 else named


def why_words(bars: Sequence[Planned], by: str) -> str:
    """Why the bars are bent in this sequence, in two or three sentences."""
    together, made = "bars of one die and the same stops follow each other", f"This takes {_counted(changes(bars))}."
    if by == FEWEST:
        return f"You chose the fewest changes: {together}, whatever the day. {made}"
    if all(bar.order.wanted is None for bar in bars):
        return f"No order has a day: {together}. {made}"
    least = changes(in_sequence(bars, FEWEST))
    more = "" if least == changes(bars) else f" Without the days it would take {_counted(least)}."
    return f"What is wanted first is bent first, and what has no day comes last. Within a day, {together}. {made}{more}"


def _counted(number: tuple[int, int]) -> str:
    dies, stops = number
    return f"{counted(dies, 'change')} of the die and {counted(stops, 'change')} of the stops"


def _chained(keys: Iterable[Key], now: Sequence[Key], later: set[Key]) -> list[Key]:
    # sorted, but what is set now comes first, and one that is used later too comes last
    rest = sorted(keys, key=lambda key: (key not in now, key))
    last = [key for key in rest if key in later and key not in now][-1:]
    return [*(key for key in rest if key not in last), *last]


def _dies(bars: Sequence[Planned]) -> set[str]:
    return {bar.way.die for bar in bars}


def _day(bar: Planned) -> str:
    return bar.order.wanted or _NO_DAY


def _said(bar: Planned) -> str:
    return f"wanted on {bar.order.wanted}" if bar.order.wanted else "which has no day"
