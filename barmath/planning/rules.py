"""What a bar is held against: the one list of rules that refuse it or warn of it.

A new limit is a new `Rule` in `RULES`, and nothing else: ways, maps, the choice of a die, windows, charts and tables
look at whatever the list holds.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN
from barmath.closed_forms.records import Order
from barmath.refusal import Number
from barmath.shop.offsets import BEYOND_THE_STOP, Tools
from barmath.shop.stock import Tube
from barmath.shop.tooling import MOST_SPRINGBACK

LEAST_SPARE_MM = 3.0
"""Spare straight or grip below which an accepted error of rise leaves nothing: common practice, no source."""

LARGEST_ROLL_DEG = 80.0
"""Roll beyond which the straight hardly lifts the grip any more: at 90 degrees, risers upright, it lifts nothing."""

LARGEST_STEM_ROLL_DEG = 30.0
"""Lean of the risers in the stem beyond which a bar looks fallen over: common practice, no source."""

QUARTER_TURN_DEG = 90.0
"""Roll beyond which a longer straight lowers the bar."""

SAME_BEND_DEG = 1e-9
"""Inner and outer bends that differ by no more than this are made with one stop setting."""

GROOVE_FIT_MM = 0.3
"""How far the tube may differ from the diameter the die's groove is cut for: common practice, no source."""


ROUNDING = 1e-9
"""By how much a number may miss its bound, mm or degrees: far less than a bench sees, far more than rounding."""


def accepts_upsweep(order: Order, upsweep_deg: Number) -> NDArray[np.bool_]:
    """Where an order without an upsweep of its own accepts one that results from the bends."""
    return (upsweep_deg >= order.least_upsweep_deg - ROUNDING) & (upsweep_deg <= order.most_upsweep_deg + ROUNDING)


@dataclass(frozen=True)
class Making:
    """A bar as it is about to be made, number by number: what the rules look at. Every number may be an array.

    If there is no bar, straight, grip, rolls and upsweep are nan. That is so if the bend is too small for the sweeps,
    or the die cannot bend the tube. `least_bend_deg` is what the sweeps need: of four equal bends, or of the outer
    bends where they differ from the inner ones. `most_apart_deg` is how far the two may differ.
    """

    order: Order
    tube: Tube
    tools: Tools
    stock_length_mm: Number
    inner_bend_deg: Number
    outer_bend_deg: Number
    least_bend_deg: Number
    most_apart_deg: Number
    upsweep_deg: Number
    radius_mm: Number
    straight_mm: Number
    grip_mm: Number
    roll_deg: Number
    stem_roll_deg: Number

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

    @property
    def apart_deg(self) -> Number:
        """By how much inner and outer bend differ."""
        if self.outer_bend_deg is self.inner_bend_deg:
            return 0.0
        return np.abs(self.inner_bend_deg - self.outer_bend_deg)

    @property
    def differ(self) -> Number:
        """Where inner and outer bend differ: 1, and 0 where they are equal."""
        return (np.asarray(self.apart_deg) > SAME_BEND_DEG).astype(np.uint8)


class Words(NamedTuple):
    """The words of a limit's sentence: what is looked at, why there is a bound, and what to do."""

    quantity: str
    rule: str
    remedy: str


class Rule(NamedTuple):
    """One thing that can keep a bar out, or that is warned of: what is looked at, its bound, and the words.

    `short` says a broken one in a few words, `cell` in two or three that fit a narrow table. `no_bar` says if there
    is no bar at all: that breaks the rule even on its bound. Where inner and outer bends differ, `pair` is said
    instead: `which` counts 0 for the usual words, and 1 and up for those of `pair`.
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
    no_bar: Callable[[Making], NDArray[np.bool_]] | None = None
    pair: tuple[Words, ...] = ()
    which: Callable[[Making], Number] = lambda bar: bar.differ


def _of_the_sweeps(bar: Making) -> Number:
    # the bend that the sweeps ask most of
    return bar.outer_bend_deg if bar.outer_bend_deg is bar.inner_bend_deg else np.where(
        bar.differ, bar.outer_bend_deg, bar.inner_bend_deg
    )  # fmt: skip


def _no_bar(bar: Making, too_far_apart: bool) -> NDArray[np.bool_]:
    # if there is none, it is either this or the other
    return np.isnan(bar.straight_mm) & ((np.asarray(bar.apart_deg) > bar.most_apart_deg) == too_far_apart)


def _further_stop(bar: Making) -> Number:
    # 0 equal stops, 1 the inner bends' is the further one, 2 the outer bends'
    if bar.outer_bend_deg is bar.inner_bend_deg:
        return 0
    return bar.differ * np.where(bar.inner_bend_deg > bar.outer_bend_deg, 1, 2)


def _not_ordered(bar: Making, bound: Number, open_end: float) -> Number:
    # the bound of an upsweep that nobody ordered
    return bound if bar.order.upsweep_deg is None else open_end


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
        "or nothing would remain bent", "choose a tighter die or a softer tube",
        "tube springs back straight", "springs back",
    ),
    Rule(
        "turn", "bend", "deg", _of_the_sweeps, lambda bar: bar.least_bend_deg, AT_LEAST, REFUSES,
        "what the sweeps need", "choose a larger bend or less sweep",
        "bend too small for the sweep", "bend too small", no_bar=lambda bar: _no_bar(bar, too_far_apart=False),
        pair=(Words("outer bend", "what the sweeps need with that inner bend", "choose a larger bend or less sweep"),),
    ),
    Rule(
        "apart", "difference of inner and outer bend", "deg", lambda bar: bar.apart_deg,
        lambda bar: bar.most_apart_deg, AT_MOST, REFUSES,
        "the total turn of the sweeps", "choose an outer bend nearer to the inner bend, or more sweep",
        "inner and outer bend too far apart", "too far apart", no_bar=lambda bar: _no_bar(bar, too_far_apart=True),
    ),
    Rule(
        "roll", "roll between the bend planes", "deg", lambda bar: np.abs(bar.roll_deg),
        lambda bar: QUARTER_TURN_DEG, AT_MOST, REFUSES,
        "beyond which a longer straight lowers the bar", "choose a larger bend or less sweep",
        "rolled beyond a quarter turn", "bend too small",
        pair=(Words("roll between the bend planes", "beyond which a longer straight lowers the bar",
                    "choose a larger outer bend or less sweep"),),
    ),
    Rule(
        "upsweep", "upsweep", "deg", lambda bar: bar.upsweep_deg,
        lambda bar: _not_ordered(bar, bar.order.most_upsweep_deg, np.inf), AT_MOST, REFUSES,
        "the most that the order accepts", "choose a larger bend or less backsweep",
        "more upsweep than accepted", "too much upsweep",
        pair=(Words("upsweep", "the most that the order accepts",
                    "choose a larger outer bend or a smaller inner bend"),),
    ),
    Rule(
        "droop", "upsweep", "deg", lambda bar: bar.upsweep_deg,
        lambda bar: _not_ordered(bar, bar.order.least_upsweep_deg, -np.inf), AT_LEAST, REFUSES,
        "the least that the order accepts", "choose a smaller bend or more backsweep",
        "less upsweep than accepted", "too little upsweep",
        pair=(Words("upsweep", "the least that the order accepts",
                    "choose a smaller outer bend or a larger inner bend"),),
    ),
    Rule(
        "stop", "stop", "deg", lambda bar: bar.furthest_stop_deg, lambda bar: bar.tools.largest_stop_deg,
        AT_MOST, REFUSES,
        BEYOND_THE_STOP, "choose a smaller bend",
        "beyond the furthest stop", "beyond the stop",
        pair=(
            Words("stop for the inner bends", BEYOND_THE_STOP, "choose a smaller inner bend"),
            Words("stop for the outer bends", BEYOND_THE_STOP, "choose a smaller outer bend"),
        ),
        which=_further_stop,
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
        "what the tooling can hold", "choose a tighter die, which lowers the least rise, or another bend",
        "too little straight to hold", "too low",
    ),
    Rule(
        "controls", "grip straight", "mm", lambda bar: bar.grip_mm, lambda bar: bar.order.controls_mm,
        AT_LEAST, REFUSES,
        "the room ordered for the controls",
        "choose a wider bar, less room for controls or another bend",
        "no room for the controls", "too high",
    ),
    Rule(
        "stock", "cut length", "mm", lambda bar: bar.cut_length_mm, lambda bar: bar.stock_length_mm,
        AT_MOST, REFUSES,
        "the longest tube in the rack", "buy longer tube or make a narrower bar",
        "longer than the stock", "stock too short",
    ),
    Rule(
        "tightness", "die radius divided by tube diameter", "",
        lambda bar: bar.tools.die_radius_mm / bar.tube.outside_diameter_mm, lambda bar: bar.tube.tightest_in_diameters,
        AT_LEAST, WARNS,
        "tighter bends dimple without a mandrel (common practice, no source)", "try it on scrap first",
    ),
    Rule(
        "spare straight", "spare straight", "mm", lambda bar: bar.straight_mm - bar.tools.least_straight_mm,
        lambda bar: LEAST_SPARE_MM, AT_LEAST, WARNS,
        "so that a small error leaves something to hold", "choose another bend or die",
    ),
    Rule(
        "spare grip", "spare grip", "mm", lambda bar: bar.grip_mm - bar.order.controls_mm,
        lambda bar: LEAST_SPARE_MM, AT_LEAST, WARNS,
        "so that a small error leaves room for the controls", "choose another bend or die",
    ),
    Rule(
        "lean", "roll between the bend planes", "deg", lambda bar: np.abs(bar.roll_deg), lambda bar: LARGEST_ROLL_DEG,
        AT_MOST, WARNS,
        "so that the straight still sets the rise", "choose a larger bend",
        pair=(Words("roll between the bend planes", "so that the straight still sets the rise",
                    "choose a larger outer bend"),),
    ),
    Rule(
        "stance", "lean of the risers in the stem", "deg", lambda bar: np.abs(bar.stem_roll_deg),
        lambda bar: LARGEST_STEM_ROLL_DEG, AT_MOST, WARNS,
        "so that the risers are nearly upright", "choose another bend or order no upsweep",
    ),
)  # fmt: skip
"""Every limit, sorted as a builder meets them. Add a new one here: ways, maps and charts have it then."""

REFUSING = tuple(rule.key for rule in RULES if rule.refuses)
IN_SHORT = {rule.key: rule.short for rule in RULES if rule.refuses}
"""The refusing limits, by key, in a few words."""

IN_A_CELL = {rule.key: rule.cell for rule in RULES if rule.refuses}
"""The same for a narrow table."""
