"""From what is set in the panels of the die lesson to what they show: pure functions, no widgets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Order
from barmath.planning.die_choice import (
    DieChoice,
    HalfBar,
    WindowCurve,
    across_half_width,
    die_choice,
    new_die,
    window_curve,
)
from barmath.planning.recipe_limits import limits_from_recipe
from barmath.planning.rules import IN_SHORT
from barmath.refusal import BendError
from barmath.shop.forming import Forming, forming_from_bend
from barmath.shop.order_seven import BEND_DEG, ORDER
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, springback_from_tube

BENDS_DEG = np.arange(8.0, 60.01, 0.5)
RADII_MM = np.arange(32.0, 221.0, 1.0)
TYPED = "this die"
SAME_DIE_MM = 0.05


@dataclass(frozen=True)
class WindowsState:
    """The order, the die that is tried and the bend; lengths in mm, angles in degrees. Risers upright."""

    rise_mm: float = float(ORDER.rise_mm)
    backsweep_deg: float = float(ORDER.backsweep_deg)
    width_mm: float = float(ORDER.width_mm)
    controls_mm: float = float(ORDER.controls_mm)
    clamp_flat_mm: float = float(ORDER.clamp_flat_mm)
    radius_mm: float = 60.0
    bend_deg: float = BEND_DEG

    def order(self) -> Order:
        """The order, risers upright."""
        return Order(self.rise_mm, self.backsweep_deg, self.width_mm, None, self.clamp_flat_mm, self.controls_mm)


@dataclass(frozen=True)
class WindowsReadout:
    """Windows of the shop's dies and of the one tried, half bars at the chosen bend, a sentence a die."""

    curves: tuple[tuple[str, WindowCurve | None], ...]
    typed: tuple[str, WindowCurve | None]
    halves: tuple[HalfBar, ...]
    controls_begin_mm: tuple[float, ...]
    sentences: tuple[str, ...]
    refusal: str


def windows_readout(shop: Shop, state: WindowsState) -> WindowsReadout:
    """Work out the windows panel; a refusal is part of the readout, never raised."""
    tube = shop.tubes[0]
    try:
        order = state.order()
        owned = shop.dies_for(tube)
        tried = new_die(tube, owned, state.radius_mm, owned[0].least_straight_mm, TYPED)
    except BendError as refusal:
        return WindowsReadout((), (TYPED, None), (), (), (), str(refusal))
    dies, stock = (*owned, tried), shop.stock_length_mm
    curves = tuple((die.name, _curve(order, tube, die, stock)) for die in dies)
    halves, begins = zip(*(_half(order, tube, die, state.bend_deg, stock) for die in dies), strict=True)
    sentences = tuple(_sentence(name, curve, order.rise_mm) for name, curve in curves)
    return WindowsReadout(curves[:-1], curves[-1], halves, begins, sentences, "")


@dataclass(frozen=True)
class ChoiceState:
    """The die that is thought of, and which of the shop's dies count as there."""

    radius_mm: float = 75.0
    least_straight_mm: float = 65.0
    owned: tuple[str, ...] = ()
    two_stops: bool = False


@dataclass(frozen=True)
class ChoiceReadout:
    """What the die costs the tube and what it would make."""

    forming: Forming
    choice: DieChoice | None
    owned: tuple[tuple[str, float], ...]
    sentences: tuple[str, ...]
    refusal: str


def choice_readout(shop: Shop, orders: Sequence[Order], state: ChoiceState) -> ChoiceReadout:
    """Work out the panel of the next die; a refusal is part of the readout, never raised."""
    tube = shop.tubes[0]
    forming = forming_from_bend(tube, RADII_MM)
    owned = tuple(die for die in shop.dies_for(shop.tubes[0]) if die.name in state.owned)
    named = tuple((die.name, float(die.centerline_radius_mm)) for die in owned)
    if not orders:
        return ChoiceReadout(
            forming, None, named, (), "the orders must be one or more, got none: enter some in 01 first"
        )
    try:
        choice = _choice(
            tuple(orders), tube, owned, shop.stop_bends_deg, state.least_straight_mm, shop.stock_length_mm,
            state.two_stops,
        )  # fmt: skip
        sentences = (*_share_sentences(choice, state.radius_mm), *_cost_sentences(tube, state.radius_mm, owned))
    except BendError as refusal:
        return ChoiceReadout(forming, None, named, (), str(refusal))
    return ChoiceReadout(forming, choice, named, sentences, "")


def _curve(order: Order, tube: Tube, die: Die, stock_mm: float) -> WindowCurve | None:
    try:
        return window_curve(order, tube, die, BENDS_DEG, stock_mm)
    except BendError:
        return None


def _half(order: Order, tube: Tube, die: Die, bend_deg: float, stock_mm: float) -> tuple[HalfBar, float]:
    # the half bar at that bend, even if it leaves too little; then where its grip must begin, for the controls
    try:
        recipe = recipe_from_order(order, springback_from_tube(tube, die).finished_radius_mm, bend_deg)
        limits = limits_from_recipe(recipe, order, tube, die, stock_mm)
    except BendError as refusal:
        return HalfBar(die.name, None, refusal.why), np.nan
    short = [IN_SHORT[limit.key] for limit in limits if limit.refuses and limit.broken.any()]
    pieces = across_half_width(recipe)
    begin = order.width_mm / 2.0 - order.controls_mm * pieces["grip"] / max(recipe.grip_mm, 1e-9)
    return HalfBar(die.name, pieces, ", ".join(short)), float(begin)


def _sentence(name: str, curve: WindowCurve | None, rise: float) -> str:
    if curve is None:
        return f"{name}: the tube cannot be bent on it."
    if not curve.open.any():
        return f"{name}: no bend leaves room for both the tooling and the controls."
    low, high = curve.lowest_mm[curve.open].min(), curve.highest_mm[curve.open].max()
    suits = curve.bend_deg[curve.open & (curve.lowest_mm <= rise) & (rise <= curve.highest_mm)]
    fits = f"no bend gives {rise:.0f} mm"
    if suits.size:
        fits = f"bends of {suits.min():.1f} to {suits.max():.1f} deg give {rise:.0f} mm"
    return f"{name}: rises from {low:.0f} to {high:.0f} mm; {fits}."


@lru_cache(maxsize=64)
def _choice(
    orders: tuple[Order, ...],
    tube: Tube,
    owned: tuple[Die, ...],
    bends: tuple[float, ...],
    least_straight: float,
    stock_mm: float,
    two_stops: bool,
) -> DieChoice:
    return die_choice(orders, tube, owned, RADII_MM, bends, least_straight, stock_mm, two_stops=two_stops)


def _share_sentences(choice: DieChoice, radius: float) -> tuple[str, ...]:
    shares = (choice.share_alone, choice.share_added)
    alone, added = (float(np.interp(radius, choice.radii_mm, share)) for share in shares)
    return (
        f"The dies the shop has make {100 * choice.share_now:.0f} % of its orders.",
        f"A die of {radius:.1f} mm alone would make {100 * alone:.0f} %, and together with the others "
        f"{100 * added:.0f} %.",
        f"The die that adds the most has a radius of {choice.best_radius_mm:.0f} mm: together they would make "
        f"{100 * choice.share_added.max():.0f} %. No larger die adds as much.",
    )


def _cost_sentences(tube: Tube, radius: float, owned: tuple[Die, ...]) -> tuple[str, ...]:
    forming = forming_from_bend(tube, radius)
    # a die that the shop has springs back as the shop has measured
    same = [die for die in owned if abs(float(die.centerline_radius_mm) - radius) < SAME_DIE_MM]
    springback = springback_from_tube(tube, same[0] if same else Die(radius))
    add = forming.wall_before_bending
    table = (
        f"B31.1 asks for {100 * (add - 1):.0f} % more wall before the bend" if np.isfinite(add)
        else "B31.1's table ends at 3 D"
    )  # fmt: skip
    return (
        f"{radius:.1f} mm is {forming.radius_in_diameters:.1f} tube diameters: the outside thins by "
        f"{100 * (1 - forming.index_outside):.0f} % (rule of thumb {100 * (1 - forming.rule_of_thumb_wall):.0f} %). "
        f"It stretches by {100 * forming.outer_stretch:.1f} %; a test piece breaks at "
        f"{tube.material.elongation_percent:.0f} %. {table}.",
        f"It springs back {100 * springback.ratio:.1f} %, to a radius of {springback.finished_radius_mm:.1f} mm.",
    )
