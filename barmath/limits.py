"""What order, tube, die and stock allow: each limit a value held against its bound, refused or warned of in words.

The same limits serve one recipe and a whole table of them: a `Limit` holds numbers or arrays and says its sentence for
any place in them.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np

from barmath.bar import Order, Recipe
from barmath.offsets import BEYOND_THE_STOP, stop_from_bend_deg
from barmath.refusal import BendError, Number, check_shapes, checked, checked_single, plain, told_bounds
from barmath.shape import shape_from_recipe
from barmath.solve import least_bend_deg, rise_window_mm
from barmath.stock import Tube
from barmath.tooling import Die, check_die_takes_tube, springback_from_tube

TIGHTEST_IN_DIAMETERS = 4.0
"""Die radius over tube diameter below which thin tube dimples without a mandrel: common practice, no source."""

LEAST_SPARE_MM = 3.0
"""Straight or grip to spare below which an accepted error of rise leaves nothing: common practice, no source."""

LARGEST_ROLL_DEG = 80.0
"""Roll beyond which the straight hardly lifts the grip any more: at 90 degrees, risers upright, it lifts nothing."""

LARGEST_STEM_ROLL_DEG = 30.0
"""Lean of the risers in the stem beyond which a bar looks fallen over: common practice, no source."""

GROOVE_FIT_MM = 0.3
"""How far the tube may differ from the diameter the die's groove is cut for: common practice, no source."""


IN_SHORT = {
    "radius": "die too small for the tube",
    "turn": "bend too small for the sweep",
    "stop": "beyond the furthest stop",
    "groove": "cut for another tube",
    "straight": "too little straight to hold",
    "controls": "no room for the controls",
    "stock": "longer than the stock",
}
"""The refusing limits, by key, in a few words."""


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
        Short name, one of those in `limits_from_making`.
    quantity, unit, rule, remedy : str
        Words of the sentence.
    value, bound : number or array
    at_least : bool
        True: the value must be at least the bound. False: at most.
    refuses : bool
        True: a bar beyond this limit cannot be made here. False: it is only warned of.
    window : Window, or None
        The rises that die and bend allow, told beside the remedy.
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

    @property
    def margin(self) -> Number:
        """What is left before the bound; below 0 the limit is broken, nan where there is no bar."""
        return self.value - self.bound if self.at_least else self.bound - self.value

    @property
    def broken(self) -> np.ndarray:
        """True where the margin is below 0 (by more than rounding)."""
        return np.asarray(self.margin) < -1e-9

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
    """A recipe as it is about to be made, number by number, so that tables of recipes pass the same limits.

    Where there is no bar (the bend is too small for the sweeps) straight, grip and cut length are nan.
    """

    bend_deg: Number
    least_bend_deg: Number
    stop_deg: Number
    straight_mm: Number
    grip_mm: Number
    roll_deg: Number
    stem_roll_deg: Number
    cut_length_mm: Number
    lowest_rise_mm: Number
    highest_rise_mm: Number


def limits_from_making(
    making: Making,
    order: Order,
    tube: Tube,
    die: Die,
    stock_length_mm: Number = np.inf,
    groove_mm: Number | None = None,
) -> tuple[Limit, ...]:
    """Every limit, in the order in which a builder meets them.

    Parameters
    ----------
    making : Making
    order, tube, die
        The die's fields may be arrays that broadcast against the making's.
    stock_length_mm : number or array
        Longest tube in the rack.
    groove_mm : number or array, optional
        Tube diameter that the die's groove is cut for, nan where it is not known; the die's own where not given.

    Returns
    -------
    tuple of Limit
        Keys: turn, stop, groove, straight, controls, stock (refusing); tightness, straight to spare, grip to spare,
        lean, stance (warning).
    """
    window = Window(making.lowest_rise_mm, making.highest_rise_mm, order.rise_mm)
    if groove_mm is None:
        groove_mm = np.nan if die.tube_diameter_mm is None else die.tube_diameter_mm
    misfit = np.abs(groove_mm - tube.outside_diameter_mm)
    return (
        Limit(
            "turn", "bend", "deg", making.bend_deg, making.least_bend_deg, True, True,
            "what the sweeps need", "choose a larger bend or less sweep",
        ),
        Limit(
            "stop", "stop", "deg", making.stop_deg, die.largest_bend_deg, False, True,
            BEYOND_THE_STOP, "choose a smaller bend",
        ),
        Limit(
            "groove", "difference between tube and groove", "mm", misfit, GROOVE_FIT_MM, False, True,
            "what a groove forgives", "choose a die cut for this tube",
        ),
        Limit(
            "straight", "straight between bends", "mm", making.straight_mm, die.least_straight_mm, True, True,
            "what the tooling can hold",
            "a tighter die lowers the window, and another bend may", window,
        ),
        Limit(
            "controls", "grip straight", "mm", making.grip_mm, order.controls_mm, True, True,
            "the room ordered for grip and controls",
            "a wider bar or less room for controls raises its top, and another bend may", window,
        ),
        Limit(
            "stock", "cut length", "mm", making.cut_length_mm, stock_length_mm, False, True,
            "the longest tube in the rack", "buy longer tube or make a narrower bar",
        ),
        Limit(
            "tightness", "die radius over tube diameter", "", die.centerline_radius_mm / tube.outside_diameter_mm,
            TIGHTEST_IN_DIAMETERS, True, False,
            "tighter bends dimple without a mandrel (common practice, no source)", "try it on scrap first",
        ),
        Limit(
            "straight to spare", "straight to spare", "mm", making.straight_mm - die.least_straight_mm,
            LEAST_SPARE_MM, True, False,
            "so that a small error leaves something to hold", "another bend or die may leave more",
        ),
        Limit(
            "grip to spare", "grip to spare", "mm", making.grip_mm - order.controls_mm, LEAST_SPARE_MM, True, False,
            "so that a small error leaves room for the controls", "another bend or die may leave more",
        ),
        Limit(
            "lean", "roll between the bend planes", "deg", np.abs(making.roll_deg), LARGEST_ROLL_DEG, False, False,
            "so that the straight still sets the rise", "choose a larger bend",
        ),
        Limit(
            "stance", "lean of the risers in the stem", "deg", np.abs(making.stem_roll_deg), LARGEST_STEM_ROLL_DEG,
            False, False,
            "so that the risers stand rather than lie", "choose another bend or let the upsweep fall out",
        ),
    )  # fmt: skip


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
    lowest, highest = rise_window_mm(order, recipe.radius_mm, recipe.inner_bend_deg, die.least_straight_mm)
    making = Making(
        bend_deg=recipe.inner_bend_deg,
        least_bend_deg=least_bend_deg(order),
        stop_deg=stop_from_bend_deg(recipe.inner_bend_deg, springback_from_tube(tube, die), die),
        straight_mm=recipe.straight_mm,
        grip_mm=recipe.grip_mm,
        roll_deg=recipe.roll_deg,
        stem_roll_deg=recipe.stem_roll_deg,
        cut_length_mm=shape_from_recipe(recipe).cut_length_mm,
        lowest_rise_mm=lowest,
        highest_rise_mm=highest,
    )
    return limits_from_making(making, order, tube, die, stock_length_mm)


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
