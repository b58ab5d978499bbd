"""Bars for the same hands that a shop can make: each with the die and the stop setting that make it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from barmath.closed_forms.forward import risers_upright
from barmath.closed_forms.records import Order, Recipe
from barmath.planning.limits import limits_from_recipe, refuse_unmakeable
from barmath.refusal import BendError
from barmath.rider.hands import Stem
from barmath.rider.same_hands import SameHands, same_hands
from barmath.shop.offsets import stop_from_bend_deg
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, springback_from_tube


@dataclass(frozen=True)
class ShopHands:
    """A bar for the same hands, as it is ordered with risers upright, the die for it, and the stop of all four bends.

    `stop_deg` is what the stop is set to, with springback and the die's own offset in it.
    """

    bar: SameHands
    order: Order
    die: Die
    stop_deg: float


def same_hands_of_shop(
    shop: Shop, tube: Tube, recipe: Recipe, stem: Stem, backsweep_deg: float, controls_mm: float, **wanted: Any
) -> tuple[ShopHands, ...]:
    """The bars that keep the hands of `recipe` and that the shop can make, the most upright first.

    Every die is tried with every stop of the shop, by the limits that any order is held against.

    Parameters
    ----------
    shop : Shop
    tube : Tube
    recipe, stem, backsweep_deg, controls_mm, wanted
        As `same_hands` takes them.

    Raises
    ------
    BendError
        If there is no such bar: the refusal nearest to the middle of the shop's stops, on its first die.

    Examples
    --------
    >>> from barmath.rider import Stem, same_hands_of_shop
    >>> from barmath.shop import TUBE, order_seven_recipe, shop_from_file
    >>> shop = shop_from_file("notebooks/demo/shop.toml")
    >>> bars = same_hands_of_shop(shop, TUBE, order_seven_recipe(), Stem(50.0, 0.0, 65.0), 16.0, 170.0)
    >>> print(f"{bars[0].die.name}, stop {bars[0].stop_deg:.1f} deg")
    die 102, stop 25.8 deg
    """
    found: list[ShopHands] = []
    refused: list[BendError] = []
    for die in shop.dies_for(tube):
        for bend in shop.stop_bends_deg:
            try:
                found.append(_one(shop, tube, die, recipe, stem, backsweep_deg, bend, controls_mm, wanted))
            except BendError as refusal:
                refused.append(refusal)
    if not found:
        raise refused[len(shop.stop_bends_deg) // 2]
    return tuple(sorted(found, key=lambda one: abs(one.bar.stem_roll_deg)))


def _one(
    shop: Shop, tube: Tube, die: Die, recipe: Recipe, stem: Stem, backsweep_deg: float, bend_deg: float,
    controls_mm: float, wanted: dict[str, Any],
) -> ShopHands:  # fmt: skip
    springback = springback_from_tube(tube, die)
    bar = same_hands(
        recipe, stem, backsweep_deg, bend_deg, float(springback.finished_radius_mm),
        least_straight_mm=float(die.least_straight_mm), controls_mm=controls_mm, **wanted,
    )  # fmt: skip
    order = Order(
        bar.rise_mm, bar.backsweep_deg, bar.width_mm, clamp_flat_mm=bar.recipe.clamp_flat_mm, controls_mm=controls_mm
    )
    refuse_unmakeable(limits_from_recipe(risers_upright(bar.recipe), order, tube, die, shop.stock_length_mm))
    return ShopHands(bar, order, die, float(stop_from_bend_deg(bend_deg, springback, die)))
