"""What cannot be made, and what to watch: every quantity held against its bound, refused or warned of in words.

The rules are those of `barmath.planning.rules`. The same ones serve one recipe and a whole table: a `Limit` holds
numbers or arrays and says its sentence for any place in them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import least_bend_deg, least_outer_bend_deg, rise_window_mm
from barmath.closed_forms.records import Order, Recipe, check_single, checked_stop
from barmath.planning.rules import ROUNDING, RULES, SAME_BEND_DEG, Making, Rule, Words
from barmath.refusal import BendError, Number, check_shapes, checked, checked_single, plain, shown_bounds, tenths
from barmath.shop.offsets import tools_from_die
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, check_die_takes_tube


class Window(NamedTuple):
    """Lowest and highest rise that fit, and the rise ordered, mm."""

    lowest: Number
    highest: Number
    ordered: Number

    def sentence(self) -> str:
        """One window (no arrays) in words."""
        if self.highest <= 0.0:
            return "no rise fits here, because the controls leave no room for one"
        if self.lowest > self.highest:
            return (
                f"no rise fits here, because the tooling needs at least {self.lowest:.1f} mm and the controls leave "
                f"at most {self.highest:.1f} mm"
            )
        low, high = map(plain, shown_bounds(max(self.lowest, 1e-3), self.highest))
        ends = f"from {low} to {high}" if self.lowest > 0.0 else f"at most {high}"
        return f"the rise must be {ends} mm here, ordered {plain(self.ordered)} mm"


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
        The rises that die and bend allow, said beside the remedy.
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
        window = f"; {Window(*map(at, self.window)).sentence()}" if self.window else ""
        got = tenths(at(self.value), low if self.at_least else high) if self.unit else plain(at(self.value))
        return f"{must}{unit}, {words.rule}, got {got}{unit}: {words.remedy}{window}"


def limits_from_making(making: Making) -> tuple[Limit, ...]:
    """The limits of a bar, or of each of an array of them: one a rule of `RULES`, sorted as these."""
    return tuple(_held_against(making, rule) for rule in RULES)


def _held_against(making: Making, rule: Rule) -> Limit:
    window = Window(*making.window_mm, making.order.rise_mm) if rule.windowed and making.window_mm else None
    no_bar = False if rule.no_bar is None else rule.no_bar(making)
    return Limit(
        rule.key, rule.quantity, rule.unit, rule.value(making), rule.bound(making), rule.at_least, rule.refuses,
        rule.rule, rule.remedy, window, no_bar, rule.pair, rule.which(making) if rule.pair else 0,
    )  # fmt: skip


def limits_from_recipe(
    recipe: Recipe, order: Order, tube: Tube, die: Die, stock_length_mm: Number = np.inf
) -> tuple[Limit, ...]:
    """Every limit of one recipe (or an array of them), made for `order` from `tube` on `die`.

    Parameters
    ----------
    recipe : Recipe
    order : Order
    tube : Tube
    die : Die
    stock_length_mm : number or array
        Longest tube in the rack.

    Raises
    ------
    BendError
        The die does not take the tube, or the shapes do not fit together. The stock is not above 0 mm.

    Examples
    --------
    >>> from barmath.planning import limits_from_recipe
    >>> from barmath.shop import ORDER, TUBE, Die, order_seven_recipe
    >>> limits = limits_from_recipe(order_seven_recipe(), ORDER, TUBE, Die(101.6))
    >>> [limit.key for limit in limits][:3]
    ['radius', 'springback', 'turn']
    """
    check_die_takes_tube(tube, die)
    stock_length_mm = checked_stock(stock_length_mm)
    check_shapes(
        "recipe, order, tube, die and stock", stock_length_mm,
        *(getattr(record, field.name) for record in (recipe, order, tube, die) for field in fields(record)),
    )  # fmt: skip
    inner, outer = recipe.inner_bend_deg, recipe.outer_bend_deg
    outer = inner if outer is inner or np.array_equal(outer, inner) else outer
    window = rise_window_mm(order, recipe.radius_mm, inner, die.least_straight_mm, None if outer is inner else outer)
    least, apart = bends_needed_deg(order, inner, outer)
    making = Making(
        order=order,
        tube=tube,
        tools=tools_from_die(tube, die),
        stock_length_mm=stock_length_mm,
        inner_bend_deg=inner,
        outer_bend_deg=outer,
        least_bend_deg=least,
        most_apart_deg=apart,
        upsweep_deg=shape_from_recipe(recipe).upsweep_deg,
        radius_mm=recipe.radius_mm,
        straight_mm=recipe.straight_mm,
        grip_mm=recipe.grip_mm,
        roll_deg=recipe.roll_deg,
        stem_roll_deg=recipe.stem_roll_deg,
        window_mm=window,
    )
    return limits_from_making(making)


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


def refusals(limits: tuple[Limit, ...]) -> list[str]:
    """Sentences of the refusing limits that one recipe (no arrays) breaks.

    Examples
    --------
    >>> from barmath.planning import limits_from_recipe, refusals
    >>> from barmath.shop import ORDER, TUBE, Die, order_seven_recipe
    >>> limits = limits_from_recipe(order_seven_recipe(), ORDER, TUBE, Die(101.6), stock_length_mm=700)
    >>> len(refusals(limits))
    1
    """
    return [limit.sentence() for limit in limits if limit.refuses and limit.broken.any()]


def warnings(limits: tuple[Limit, ...]) -> list[str]:
    """Sentences of the warning limits that one recipe (no arrays) breaks.

    Examples
    --------
    >>> from barmath.planning import limits_from_recipe, warnings
    >>> from barmath.shop import ORDER, TUBE, Die, order_seven_recipe
    >>> limits = limits_from_recipe(order_seven_recipe(), ORDER, TUBE, Die(101.6))
    >>> warnings(limits)
    []
    """
    return [limit.sentence() for limit in limits if not limit.refuses and limit.broken.any()]


def refuse_unmakeable(limits: tuple[Limit, ...]) -> None:
    """Raise BendError with the first refusal of one recipe (no arrays), if there is one.

    Examples
    --------
    >>> from barmath.planning import limits_from_recipe, refuse_unmakeable
    >>> from barmath.shop import ORDER, TUBE, Die, order_seven_recipe
    >>> limits = limits_from_recipe(order_seven_recipe(), ORDER, TUBE, Die(101.6))
    >>> refuse_unmakeable(limits)  # it can be made: nothing is raised
    """
    for sentence in refusals(limits):
        raise BendError(sentence)
