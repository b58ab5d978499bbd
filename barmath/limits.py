"""What order, tube, die and stock allow: each limit a value held against its bound, refused or warned of in words.

`RULES` is the one list of them. The same rules serve one recipe and a whole table: a `Limit` holds numbers or arrays
and says its sentence for any place in them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.bar import Order, Recipe
from barmath.offsets import BEYOND_THE_STOP, Tools, tools_from_die
from barmath.refusal import BendError, Number, check_shapes, checked, checked_single, plain, told_bounds
from barmath.shape import RADIAN
from barmath.solve import least_bend_deg, rise_window_mm
from barmath.stock import Tube
from barmath.tooling import MOST_SPRINGBACK, Die, check_die_takes_tube

TIGHTEST_IN_DIAMETERS = 4.0
"""Die radius over tube diameter below which thin tube dimples without a mandrel: common practice, no source."""

LEAST_SPARE_MM = 3.0
"""Straight or grip to spare below which an accepted error of rise leaves nothing: common practice, no source."""

LARGEST_ROLL_DEG = 80.0
"""Roll beyond which the straight hardly lifts the grip any more: at 90 degrees, risers upright, it lifts nothing."""

LARGEST_STEM_ROLL_DEG = 30.0
"""Lean of the risers in the stem beyond which a bar looks fallen over: common practice, no source."""

QUARTER_TURN_DEG = 90.0
"""Roll beyond which a longer straight lowers the bar."""

GROOVE_FIT_MM = 0.3
"""How far the tube may differ from the diameter the die's groove is cut for: common practice, no source."""


class Window(NamedTuple):
    """Lowest and highest rise that fit, and the rise ordered, mm."""

    lowest: Number
    highest: Number
    ordered: Number

    def sentence(self) -> str:
        """One window (no arrays) in words."""
        if self.lowest > self.highest:
            return (
                f"no rise fits here, for the tooling needs at least {self.lowest:.1f} mm and the controls leave "
                f"at most {self.highest:.1f} mm; "
            )
        low, high = map(plain, told_bounds(self.lowest, self.highest))
        return f"the rise must be from {low} to {high} mm here, ordered {plain(self.ordered)} mm; "


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
        The rises that die and bend allow, told beside the remedy.
    no_bar : truth value or array
        Where there is no bar at all, which breaks this limit whatever the margin.
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

    @cached_property
    def margin(self) -> Number:
        """What is left before the bound; below 0 the limit is broken, nan where there is no bar."""
        return self.value - self.bound if self.at_least else self.bound - self.value

    @property
    def broken(self) -> np.ndarray:
        """True where the margin is below 0 (by more than rounding) or there is no bar."""
        short = np.asarray(self.margin) < -1e-9
        return short if self.no_bar is False else short | self.no_bar

    def sentence(self, place: int | tuple[int, ...] = ()) -> str:
        """The refusal or warning in words, for one place of the arrays."""
        shape = np.broadcast_shapes(*map(np.shape, (self.value, self.bound, *(self.window or ()))))
        if shape and isinstance(place, tuple) and not place:
            raise BendError(f"a sentence must be for one bar of an array of {shape}, got none named: give its place")

        def at(number: Number) -> float:
            return float(np.broadcast_to(np.asarray(number), shape)[place])

        unit = f" {self.unit}" if self.unit else ""
        bound = at(self.bound)
        low, high = told_bounds(bound, np.inf, 3) if self.at_least else told_bounds(-np.inf, bound, 3)
        must = f"{self.quantity} must be " + (f"at least {plain(low)}" if self.at_least else f"at most {plain(high)}")
        window = Window(*map(at, self.window)).sentence() if self.window else ""
        return f"{must}{unit}, {self.rule}, got {plain(at(self.value))}{unit}: {window}{self.remedy}"


@dataclass(frozen=True)
class Making:
    """A bar as it is about to be made, number by number: what the rules look at. Every number may be an array.

    Where there is no bar (the bend is too small for the sweeps, or the die cannot bend the tube) straight, grip and
    rolls are nan. `least_bend_deg` is what the sweeps need. `window` is worked out only where it is asked for.
    """

    order: Order
    tube: Tube
    tools: Tools
    stock_length_mm: Number
    inner_bend_deg: Number
    outer_bend_deg: Number
    least_bend_deg: Number
    radius_mm: Number
    straight_mm: Number
    grip_mm: Number
    roll_deg: Number
    stem_roll_deg: Number
    window: Window | None

    @property
    def cut_length_mm(self) -> Number:
        """The straight tube that makes the bar."""
        arcs = self.radius_mm * (self.inner_bend_deg + self.outer_bend_deg) * RADIAN
        return 2.0 * (self.straight_mm + self.grip_mm) + (self.order.clamp_flat_mm + 2.0 * arcs)

    @property
    def inner_stop_deg(self) -> Number:
        """What the stop is set to for the inner bends."""
        return self.tools.stop_deg(self.inner_bend_deg)

    @property
    def outer_stop_deg(self) -> Number:
        """What the stop is set to for the outer bends."""
        return self.tools.stop_deg(self.outer_bend_deg)

    @property
    def furthest_stop_deg(self) -> Number:
        """The larger of the two."""
        if self.outer_bend_deg is self.inner_bend_deg:
            return self.inner_stop_deg
        return np.maximum(self.inner_stop_deg, self.outer_stop_deg)


class Rule(NamedTuple):
    """One thing that can keep a bar out, or that is warned of: what is looked at, its bound, and the words.

    `short` says a broken one in a few words, `cell` in two or three that fit a narrow table. A `windowed` rule tells
    the rises that would do. `no_bar` says where there is no bar at all, which breaks the rule on its very bound too.
    """

    key: str
    quantity: str
    unit: str
    value: Callable[[Making], Number]
    bound: Callable[[Making], Number]
    at_least: bool
    refuses: bool
    rule: str
    remedy: str
    short: str = ""
    cell: str = ""
    windowed: bool = False
    no_bar: Callable[[Making], NDArray[np.bool_]] | None = None

    def held_against(self, making: Making) -> Limit:
        """The limit that this rule sets to a bar, or to each of an array of them."""
        return Limit(
            self.key, self.quantity, self.unit, self.value(making), self.bound(making), self.at_least, self.refuses,
            self.rule, self.remedy, making.window if self.windowed else None,
            False if self.no_bar is None else self.no_bar(making),
        )  # fmt: skip


AT_LEAST, AT_MOST, REFUSES, WARNS = True, False, True, False

RULES = (
    Rule(
        "radius", "die radius", "mm", lambda bar: bar.tools.die_radius_mm,
        lambda bar: bar.tube.outside_diameter_mm / 2.0, AT_LEAST, REFUSES,
        "more than the tube's own", "choose a larger die for this tube",
        "die too small for the tube", "die too small",
        no_bar=lambda bar: np.asarray(bar.tools.die_radius_mm) <= bar.tube.outside_diameter_mm / 2.0,
    ),
    Rule(
        "springback", "springback ratio", "", lambda bar: bar.tools.ratio, lambda bar: MOST_SPRINGBACK,
        AT_MOST, REFUSES,
        "or nothing would stay bent", "choose a tighter die or softer tube",
        "tube springs back straight", "springs back",
    ),
    Rule(
        "turn", "bend", "deg", lambda bar: bar.inner_bend_deg, lambda bar: bar.least_bend_deg, AT_LEAST, REFUSES,
        "what the sweeps need", "choose a larger bend or less sweep",
        "bend too small for the sweep", "bend too small", no_bar=lambda bar: np.isnan(bar.straight_mm),
    ),
    Rule(
        "roll", "roll between the bend planes", "deg", lambda bar: np.abs(bar.roll_deg),
        lambda bar: QUARTER_TURN_DEG, AT_MOST, REFUSES,
        "beyond which a longer straight lowers the bar", "choose a larger bend or less sweep",
        "rolled beyond a quarter turn", "bend too small",
    ),
    Rule(
        "stop", "stop", "deg", lambda bar: bar.furthest_stop_deg, lambda bar: bar.tools.largest_stop_deg,
        AT_MOST, REFUSES,
        BEYOND_THE_STOP, "choose a smaller bend",
        "beyond the furthest stop", "beyond the stop",
    ),
    Rule(
        "groove", "difference between tube and groove", "mm",
        lambda bar: np.abs(bar.tools.groove_mm - bar.tube.outside_diameter_mm), lambda bar: GROOVE_FIT_MM,
        AT_MOST, REFUSES,
        "what a groove forgives", "choose a die cut for this tube",
        "cut for another tube", "other tube",
    ),
    Rule(
        "straight", "straight between bends", "mm", lambda bar: bar.straight_mm,
        lambda bar: bar.tools.least_straight_mm, AT_LEAST, REFUSES,
        "what the tooling can hold", "a tighter die lowers the window, and another bend may",
        "too little straight to hold", "too low", windowed=True,
    ),
    Rule(
        "controls", "grip straight", "mm", lambda bar: bar.grip_mm, lambda bar: bar.order.controls_mm,
        AT_LEAST, REFUSES,
        "the room ordered for grip and controls",
        "a wider bar or less room for controls raises its top, and another bend may",
        "no room for the controls", "too high", windowed=True,
    ),
    Rule(
        "stock", "cut length", "mm", lambda bar: bar.cut_length_mm, lambda bar: bar.stock_length_mm,
        AT_MOST, REFUSES,
        "the longest tube in the rack", "buy longer tube or make a narrower bar",
        "longer than the stock", "stock too short",
    ),
    Rule(
        "tightness", "die radius over tube diameter", "",
        lambda bar: bar.tools.die_radius_mm / bar.tube.outside_diameter_mm, lambda bar: TIGHTEST_IN_DIAMETERS,
        AT_LEAST, WARNS,
        "tighter bends dimple without a mandrel (common practice, no source)", "try it on scrap first",
    ),
    Rule(
        "straight to spare", "straight to spare", "mm", lambda bar: bar.straight_mm - bar.tools.least_straight_mm,
        lambda bar: LEAST_SPARE_MM, AT_LEAST, WARNS,
        "so that a small error leaves something to hold", "another bend or die may leave more",
    ),
    Rule(
        "grip to spare", "grip to spare", "mm", lambda bar: bar.grip_mm - bar.order.controls_mm,
        lambda bar: LEAST_SPARE_MM, AT_LEAST, WARNS,
        "so that a small error leaves room for the controls", "another bend or die may leave more",
    ),
    Rule(
        "lean", "roll between the bend planes", "deg", lambda bar: np.abs(bar.roll_deg), lambda bar: LARGEST_ROLL_DEG,
        AT_MOST, WARNS,
        "so that the straight still sets the rise", "choose a larger bend",
    ),
    Rule(
        "stance", "lean of the risers in the stem", "deg", lambda bar: np.abs(bar.stem_roll_deg),
        lambda bar: LARGEST_STEM_ROLL_DEG, AT_MOST, WARNS,
        "so that the risers stand rather than lie", "choose another bend or let the upsweep fall out",
    ),
)  # fmt: skip
"""Every limit, in the order in which a builder meets them. Add a new one here: ways, maps and charts have it then."""

REFUSING = tuple(rule.key for rule in RULES if rule.refuses)
IN_SHORT = {rule.key: rule.short for rule in RULES if rule.refuses}
"""The refusing limits, by key, in a few words."""

IN_A_CELL = {rule.key: rule.cell for rule in RULES if rule.refuses}
"""The same for a narrow table."""


def limits_from_making(making: Making) -> tuple[Limit, ...]:
    """The limits of a bar, or of each of an array of them: one a rule of `RULES`, in their order."""
    return tuple(rule.held_against(making) for rule in RULES)


def limits_from_recipe(
    recipe: Recipe, order: Order, tube: Tube, die: Die, stock_length_mm: Number = np.inf
) -> tuple[Limit, ...]:
    """Every limit of one recipe (or an array of them) with equal bends, made for `order` from `tube` on `die`."""
    check_die_takes_tube(tube, die)
    stock_length_mm = checked_stock(stock_length_mm)
    check_shapes(
        "recipe, order, tube, die and stock", stock_length_mm,
        *(getattr(record, field.name) for record in (recipe, order, tube, die) for field in fields(record)),
    )  # fmt: skip
    window = rise_window_mm(order, recipe.radius_mm, recipe.inner_bend_deg, die.least_straight_mm)
    making = Making(
        order=order,
        tube=tube,
        tools=tools_from_die(tube, die),
        stock_length_mm=stock_length_mm,
        inner_bend_deg=recipe.inner_bend_deg,
        outer_bend_deg=recipe.outer_bend_deg,
        least_bend_deg=least_bend_deg(order),
        radius_mm=recipe.radius_mm,
        straight_mm=recipe.straight_mm,
        grip_mm=recipe.grip_mm,
        roll_deg=recipe.roll_deg,
        stem_roll_deg=recipe.stem_roll_deg,
        window=Window(*window, order.rise_mm),
    )
    return limits_from_making(making)


def checked_stock(stock_length_mm: Number, single: bool = False) -> Number:
    """Longest tube in the rack as a number above 0; infinity stands for a rack without end."""
    if isinstance(stock_length_mm, float) and stock_length_mm == np.inf:
        return stock_length_mm
    return (checked_single if single else checked)("stock length", stock_length_mm, "mm", above=0.0)


def refusals(limits: tuple[Limit, ...]) -> list[str]:
    """Sentences of the refusing limits that one recipe (no arrays) breaks."""
    return [limit.sentence() for limit in limits if limit.refuses and limit.broken.any()]


def warnings(limits: tuple[Limit, ...]) -> list[str]:
    """Sentences of the warning limits that one recipe (no arrays) breaks."""
    return [limit.sentence() for limit in limits if not limit.refuses and limit.broken.any()]


def refuse_unmakeable(limits: tuple[Limit, ...]) -> None:
    """Raise BendError with the first refusal of one recipe (no arrays), where there is one."""
    for sentence in refusals(limits):
        raise BendError(sentence)
