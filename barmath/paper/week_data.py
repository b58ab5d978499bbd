"""A week of orders: their bars in the sequence of the bench, what to cut from which bar of tube, and what to buy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from barmath.bending.plans import PLANS, least_riser_mm
from barmath.bending.steps import marks_of_steps
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Shape
from barmath.paper.bench_data import RADIUS_ALIKE_MM, BenchSheet
from barmath.paper.week_sequence import BY_DAY, in_sequence
from barmath.planning.cut_list import CutList, cut_list
from barmath.planning.recipe_limits import limits_from_recipe, refuse_unmakeable, warnings
from barmath.records.booked_order import BEGUN, BookedOrder, ChosenWay
from barmath.refusal import BendError
from barmath.shop.rack import Rack
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.shop.tooling import springback_from_tube

SECONDS = 2.0
"""How long to look for each tube's cut list, so that a page does not wait."""


@dataclass(frozen=True)
class WeekBar:
    """One bar of the week, and the sheet from which it is bent."""

    order: BookedOrder
    way: ChosenWay
    sheet: BenchSheet
    shape: Shape

    @property
    def begun(self) -> bool:
        """Whether its tube is cut and marked already."""
        return self.order.state == BEGUN

    @property
    def title(self) -> str:
        """Which order it is, and whether it is begun."""
        return f"order {self.order.number}{', begun' if self.begun else ''}"

    @property
    def cut_mm(self) -> float:
        """The straight tube."""
        return float(self.shape.cut_length_mm)

    @property
    def mass_g(self) -> float:
        """The bare bar."""
        return float(self.sheet.tube.mass_g(self.cut_mm))

    @property
    def marks_mm(self) -> tuple[float, float]:
        """Where the right side is marked, from the middle: inner and outer."""
        return marks_of_steps(self.sheet.steps)


@dataclass(frozen=True)
class TubeCuts:
    """What to cut from one tube."""

    tube: Tube
    rack: Rack
    cuts: CutList

    @property
    def price(self) -> float | None:
        """Of what is bought, where the shop's file has a price."""
        return None if self.rack.price_a_metre is None else self.rack.price_a_metre * self.cuts.bought_mm / 1000.0


@dataclass(frozen=True)
class Week:
    """The bars in the sequence of the bench, the cuts tube by tube, and why orders are left out.

    `by` says what came first in that sequence: one of `barmath.paper.week_sequence.SEQUENCES`.
    """

    bars: tuple[WeekBar, ...]
    cuts: tuple[TubeCuts, ...]
    left_out: tuple[str, ...]
    by: str = BY_DAY

    @property
    def mass_g(self) -> float:
        """All bare bars together."""
        return sum(bar.mass_g for bar in self.bars)

    @property
    def begun_words(self) -> str:
        """What to do with the bars that are begun; nothing where none is."""
        begun = [bar.title.partition(",")[0] for bar in self.bars if bar.begun]
        if not begun:
            return ""
        return f"Finish what is begun by its own numbers: {', '.join(begun)}. No new tube is cut for it."


def week_from_orders(shop: Shop, orders: Sequence[BookedOrder], unit: str = "mm", by: str = BY_DAY) -> Week:
    """The week of these orders; one without a way, or with a way that cannot be bent now, is left out and named.

    Parameters
    ----------
    shop : Shop
    orders : sequence of BookedOrder
    unit : "mm" or "in", in which the sheets are written
    by : one of `barmath.paper.week_sequence.SEQUENCES`
        What comes first: the day that an order is wanted, or the fewest changes of the bender.
    """
    bars, left_out = [], []
    for order in orders:
        try:
            bars.append(_bar(shop, order, unit))
        except BendError as refusal:
            left_out.append(left_out_words(refusal, f"order {order.number}"))
    cuts = []
    for tube in shop.tubes:
        lengths = [bar.cut_mm for bar in bars if bar.way.tube == tube.name and not bar.begun]
        if lengths:
            try:
                rack = shop.rack(tube)
                found = cut_list(
                    lengths, rack.buy_mm, kerf_mm=shop.kerf_mm, offcuts_mm=rack.offcuts_mm, seconds=SECONDS
                )
                cuts.append(TubeCuts(tube, rack, found))
            except BendError as refusal:
                left_out.append(left_out_words(refusal, f"tube {tube.name}"))
    return Week(tuple(in_sequence(bars, by)), tuple(cuts), tuple(left_out), by)


def left_out_words(refusal: BendError, what: str) -> str:
    """A refusal as the week lists it: first what to do, and last which order or tube it is about."""
    words = str(refusal)
    return f"{words[:1].upper()}{words[1:]}{'' if what in words else f' ({what})'}"


def _bar(shop: Shop, order: BookedOrder, unit: str) -> WeekBar:
    way, recipe = order.chosen_way(), order.recipe()
    tube = shop.tube(way.tube)
    die = shop.die_for(tube, way.die)
    if order.state == BEGUN:
        die = die.as_bent(way.radius_mm, way.inner_bend_deg, way.inner_stop_deg)
    finished = float(springback_from_tube(tube, die).finished_radius_mm)
    if abs(finished - way.radius_mm) > RADIUS_ALIKE_MM:
        raise BendError(
            f"finished radius must be {finished:.1f} mm by the springback of today, got {way.radius_mm:.1f} mm: "
            f"choose the way of order {order.number} again on the page Order, and keep it"
        )
    held = replace(die, least_straight_mm=least_riser_mm(PLANS[way.sequence], shop.bender, die))
    limits = limits_from_recipe(recipe, order.wish, tube, held, shop.stock_length_mm)
    refuse_unmakeable(limits)
    sheet = BenchSheet(
        f"order {order.number}", order.wish, recipe, tube, die, shop.bender, tuple(warnings(limits)), unit,
        PLANS[way.sequence], accepted=shop.accepted, number=order.number, rider=order.rider, wanted=order.wanted,
    )  # fmt: skip
    _ = sheet.steps  # refused here where a bend cannot be read or held
    return WeekBar(order, way, sheet, shape_from_recipe(recipe))
