"""Bars for the same hands that a shop can make: each with the die and the stop settings that make it."""

from __future__ import annotations

from dataclasses import astuple, dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from barmath.closed_forms.forward import risers_upright, shape_from_recipe
from barmath.closed_forms.records import (
    LEAST_UPSWEEP_DEG,
    MOST_UPSWEEP_DEG,
    STEEPEST_SWEEP_DEG,
    WIDTH_RANGE_MM,
    Order,
    Recipe,
)
from barmath.planning.candidates import BendPair, stop_pairs_deg
from barmath.planning.limits import Limit
from barmath.planning.recipe_limits import limits_from_recipe, refuse_unmakeable
from barmath.planning.rules import SAME_BEND_DEG
from barmath.rider.hands import Stem
from barmath.rider.same_hands import HandsWanted, SameHands, recipes_that_keep, same_hands
from barmath.shop.offsets import stop_from_bend_deg
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, springback_from_tube


@dataclass(frozen=True)
class ShopHands:
    """A bar for the same hands, the die for it, and its stops.

    `inner_stop_deg` and `outer_stop_deg` are what the stop is set to for the inner and for the outer bends. Springback
    and the die's own offset are in them.
    """

    bar: SameHands
    die: Die
    inner_stop_deg: float
    outer_stop_deg: float

    @property
    def stop_deg(self) -> float:
        """The stop of the inner bends."""
        return self.inner_stop_deg

    @property
    def two_stops(self) -> bool:
        """Whether inner and outer bends need a setting each."""
        return bool(abs(self.bar.recipe.inner_bend_deg - self.bar.recipe.outer_bend_deg) > SAME_BEND_DEG)


def same_hands_of_shop(
    shop: Shop, tube: Tube, recipe: Recipe, stem: Stem, backsweep_deg: float, controls_mm: float, **wanted: Any
) -> tuple[ShopHands, ...]:
    """The bars that keep the hands of `recipe` and that the shop can make, the most upright first.

    Every die is tried with every pair of the shop's stops, by the limits that any order is held against.

    Parameters
    ----------
    shop : Shop
    tube : Tube
    recipe, stem, backsweep_deg, controls_mm, wanted
        As `same_hands` takes them.

    Raises
    ------
    BendError
        No bar does it. The refusal is that of four equal bends on the first die: the middle one of the shop's
        stops.

    Examples
    --------
    >>> from barmath.rider import Stem, same_hands_of_shop
    >>> from barmath.shop import TUBE, order_seven_recipe, shop_from_file
    >>> shop = shop_from_file("notebooks/demo/shop.toml")
    >>> bars = same_hands_of_shop(shop, TUBE, order_seven_recipe(), Stem(50.0, 0.0, 65.0), 16.0, 170.0)
    >>> print(f"{bars[0].die.name}, stop {bars[0].stop_deg:.1f} deg")
    die 102, stop 25.8 deg
    """
    asked = HandsWanted(recipe, stem, backsweep_deg, controls_mm=controls_mm, **wanted)
    dies = shop.dies_for(tube)
    found = [one for die in dies for one in _on_die(shop, tube, die, asked)]
    if not found:
        _refuse_middle(shop, tube, dies[0], asked)
    return tuple(sorted(found, key=lambda one: abs(one.bar.stem_roll_deg)))


def _on_die(shop: Shop, tube: Tube, die: Die, asked: HandsWanted) -> list[ShopHands]:
    springback = springback_from_tube(tube, die)
    wanted = replace(asked, least_straight_mm=float(die.least_straight_mm))
    pairs = BendPair(*stop_pairs_deg(np.asarray(shop.stop_bends_deg), two_stops=True))
    recipes = recipes_that_keep(wanted, pairs, float(springback.finished_radius_mm))
    recipes = _some(recipes, _can_be_ordered(recipes))  # first: the limits refuse what no order may ask for
    broken = [limit.broken for limit in _limits(shop, tube, die, recipes, wanted.controls_mm) if limit.refuses]
    every = np.broadcast_arrays(*astuple(_some(recipes, ~np.any(np.broadcast_arrays(*broken), axis=0))))
    found = []
    for bar in (wanted.bar(Recipe(*map(float, numbers))) for numbers in zip(*every, strict=True)):
        bends = (bar.recipe.inner_bend_deg, bar.recipe.outer_bend_deg)
        inner, outer = (float(stop_from_bend_deg(bend, springback, die)) for bend in bends)
        found.append(ShopHands(bar, die, inner, outer))
    return found


def _can_be_ordered(recipes: Recipe) -> NDArray[np.bool_]:
    upright = shape_from_recipe(risers_upright(recipes))
    return (
        (upright.rise_mm > 0.0)
        & (upright.width_mm >= WIDTH_RANGE_MM[0]) & (upright.width_mm <= WIDTH_RANGE_MM[1])
        & (np.abs(upright.backsweep_deg) <= STEEPEST_SWEEP_DEG)
        & (upright.upsweep_deg >= LEAST_UPSWEEP_DEG) & (upright.upsweep_deg <= MOST_UPSWEEP_DEG)
    )  # fmt: skip


def _refuse_middle(shop: Shop, tube: Tube, die: Die, asked: HandsWanted) -> None:
    # four equal bends of the middle stop, which the first die cannot make either
    bend = shop.stop_bends_deg[len(shop.stop_bends_deg) // 2]
    bar = same_hands(
        asked.recipe, asked.stem, asked.backsweep_deg, bend,
        float(springback_from_tube(tube, die).finished_radius_mm), asked.new_stem, asked.from_end_mm,
        float(die.least_straight_mm), asked.controls_mm,
    )  # fmt: skip
    refuse_unmakeable(_limits(shop, tube, die, bar.recipe, asked.controls_mm))


def _order(recipe: Recipe, controls_mm: float) -> Order:
    upright = shape_from_recipe(risers_upright(recipe))
    return Order(
        upright.rise_mm, upright.backsweep_deg, upright.width_mm, clamp_flat_mm=recipe.clamp_flat_mm,
        controls_mm=controls_mm,
    )  # fmt: skip


def _limits(shop: Shop, tube: Tube, die: Die, recipe: Recipe, controls_mm: float) -> tuple[Limit, ...]:
    order = _order(recipe, controls_mm)
    return limits_from_recipe(risers_upright(recipe), order, tube, die, shop.stock_length_mm)


def _some(recipes: Recipe, which: NDArray[np.bool_]) -> Recipe:
    return Recipe(*(np.broadcast_to(part, which.shape)[which] for part in astuple(recipes)))
