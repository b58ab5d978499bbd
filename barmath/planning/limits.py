"""What cannot be made, and what to watch: every quantity held against its bound, refused or warned of in words.

The rules are those of `barmath.planning.rules`. The same ones serve one recipe and a whole table: a `Limit` holds
numbers or arrays and says its sentence for any place in them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.closed_forms.inverse import least_bend_deg, least_outer_bend_deg
from barmath.closed_forms.records import Order, check_single, checked_stop
from barmath.planning.rules import ROUNDING, RULES, SAME_BEND_DEG, Making, Rule, Words
from barmath.refusal import BendError, Number, checked, checked_single, plain, shown_bounds, tenths
from barmath.shop.tooling import Die


class Window(NamedTuple):
    """Lowest and highest rise that every limit allows, and the rise ordered, mm; nan where a limit allows none.

    `lowest_by` and `highest_by` are the limits that set them, counted from 1 as the rules that refuse.
    """

    lowest: Number
    highest: Number
    ordered: Number
    lowest_by: Number
    highest_by: Number

    def sentence(self) -> str:
        """One window (no arrays) in words; empty where another limit than those of the rise keeps the bar out."""
        if np.isnan(self.lowest):
            return ""
        if self.highest <= 0.0:
            return f"no rise fits here, because none is low enough ({_quantity(self.highest_by)})"
        if self.lowest > self.highest:
            least = f"at least {self.lowest:.1f} mm ({_quantity(self.lowest_by)})"
            most = f"at most {self.highest:.1f} mm ({_quantity(self.highest_by)})"
            return f"no rise fits here, because it must be {least} and {most}"
        low, high = map(plain, shown_bounds(max(self.lowest, 1e-3), self.highest))
        ends = f"from {low} to {high}" if self.lowest > 0.0 else f"at most {high}"
        ends = ends if np.isfinite(self.highest) else f"at least {low}"
        return f"the rise must be {ends} mm here, ordered {plain(self.ordered)} mm"


def _quantity(code: Number) -> str:
    return [rule.quantity for rule in RULES if rule.refuses][int(code) - 1]


@dataclass(frozen=True)
class Limit:
    """One quantity against its bound.

    Parameters
    ----------
    key : str
        Short name, that of a rule in `RULES`.
    quantity, unit, rule, remedy : str
        Words of the sentence.
    value, bound : number or array
    at_least : bool
        True: the value must be at least the bound. False: at most.
    refuses : bool
        True: a bar beyond this limit cannot be made here. False: it is only warned of.
    window : Window, or None
        The rises that every limit allows, said beside the remedy.
    no_bar : truth value or array
        If there is no bar at all, which breaks this limit whatever the margin.
    pair : tuple of Words
        Words where inner and outer bends differ.
    which : number or array
        0 for the usual words, 1 and up for those of `pair`.
    """

    key: str
    quantity: str
    unit: str
    value: Number
    bound: Number
    at_least: bool
    refuses: bool
    rule: str = ""
    remedy: str = ""
    window: Window | None = None
    no_bar: NDArray[np.bool_] | bool = False
    pair: tuple[Words, ...] = ()
    which: Number = 0

    @cached_property
    def margin(self) -> Number:
        """What is left before the bound; below 0 the limit is broken, nan if there is no bar."""
        return self.value - self.bound if self.at_least else self.bound - self.value

    @property
    def broken(self) -> np.ndarray:
        """True where the margin is below 0 (by more than rounding) or there is no bar."""
        return (np.asarray(self.margin) < -ROUNDING) | self.no_bar

    def sentence(self, place: int | tuple[int, ...] = ()) -> str:
        """The refusal or warning in words, for one place of the arrays."""
        shape = np.broadcast_shapes(*map(np.shape, (self.value, self.bound, self.which, *(self.window or ()))))
        if shape and isinstance(place, tuple) and not place:
            raise BendError(f"a sentence must be for one bar of an array of {shape}, got none named: give its place")

        def at(number: Number) -> float:
            return float(np.broadcast_to(np.asarray(number), shape)[place])

        words = (Words(self.quantity, self.rule, self.remedy), *self.pair)[int(at(self.which))]
        unit = f" {self.unit}" if self.unit else ""
        bound = at(self.bound)
        decimals = 1 if self.unit == "deg" else 3  # angles are computed, lengths are written in the shop's file
        low, high = shown_bounds(*((bound, np.inf) if self.at_least else (-np.inf, bound)), decimals)
        must = f"{words.quantity} must be " + (f"at least {plain(low)}" if self.at_least else f"at most {plain(high)}")
        rises = Window(*map(at, self.window)).sentence() if self.window else ""
        got = tenths(at(self.value), low if self.at_least else high) if self.unit else plain(at(self.value))
        return f"{must}{unit}, {words.rule}, got {got}{unit}: {words.remedy}{f'; {rises}' if rises else ''}"


def limits_from_making(making: Making) -> tuple[Limit, ...]:
    """The limits of a bar, or of each of an array of them: one a rule of `RULES`, sorted as these."""
    return tuple(_held_against(making, rule) for rule in RULES)


def any_refused(limits: tuple[Limit, ...]) -> bool:
    """Whether any bar breaks a limit that refuses it."""
    return any(limit.refuses and limit.broken.any() for limit in limits)


def with_window(limits: tuple[Limit, ...], window: Window, moved: frozenset[str]) -> tuple[Limit, ...]:
    """The same limits; those with their key in `moved` say the rises of the `window` too."""
    return tuple(replace(limit, window=window) if limit.key in moved else limit for limit in limits)


def _held_against(making: Making, rule: Rule) -> Limit:
    no_bar = False if rule.no_bar is None else rule.no_bar(making)
    return Limit(
        rule.key, rule.quantity, rule.unit, rule.value(making), rule.bound(making), rule.at_least, rule.refuses,
        rule.rule, rule.remedy, None, no_bar, rule.pair, rule.which(making) if rule.pair else 0,
    )  # fmt: skip


def bends_needed_deg(order: Order, inner_deg: Number, outer_deg: Number) -> tuple[Number, Number]:
    """The least bend that the sweeps need, and how far inner and outer bend may differ, degrees.

    The least is that of four equal bends where `outer_deg` is `inner_deg`, and else that of the outer bends.
    """
    least = least_bend_deg(order)
    if outer_deg is inner_deg:
        return least, np.inf
    equal = np.abs(np.subtract(inner_deg, outer_deg)) <= SAME_BEND_DEG
    if order.upsweep_deg is None:
        return np.where(equal, least, least_outer_bend_deg(order, inner_deg)), np.inf
    return np.where(equal, least, 2.0 * least - inner_deg), 2.0 * least


def checked_stock(stock_length_mm: Number, single: bool = False) -> Number:
    """Longest tube in the rack as a number above 0; infinity means a rack without end.

    Parameters
    ----------
    stock_length_mm : number or array, above 0
    single : bool
        Whether it must be one number.

    Raises
    ------
    BendError
        The length is not above 0 mm, or is an array and one number is asked for.

    Examples
    --------
    >>> from barmath.planning import checked_stock
    >>> checked_stock(1000)
    1000.0
    """
    if isinstance(stock_length_mm, float) and stock_length_mm == np.inf:
        return stock_length_mm
    return (checked_single if single else checked)("stock length", stock_length_mm, "mm", above=0.0)


def checked_bends(bends_deg: ArrayLike) -> NDArray[np.float64]:
    """Finished bends to try, (n,) degrees, at least one.

    Raises
    ------
    BendError
        There is none, or one is outside its range.
    """
    bends = np.atleast_1d(checked_stop(bends_deg)).ravel()
    if not bends.size:
        raise BendError("there must be at least one stop setting to try, got none: name a bend")
    return bends


def check_dies(dies: Sequence[Die]) -> None:
    """Raise BendError if there is no die, or one holds arrays."""
    if not dies:
        raise BendError("the shop must have at least one die, got none: add a die to the shop's file")
    check_single(*dies)
