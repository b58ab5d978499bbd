"""Another bar for the same hands: keep their middles where they are and change the sweep.

`barmath.rider.stem_rolls` finds the stem rolls at which a hand keeps its place, and so the bars. Of those that are long
enough the most upright is taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import astuple, dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.forward import risers_upright, shape_from_recipe
from barmath.closed_forms.inverse import LEAST_LEVER
from barmath.closed_forms.records import Recipe, check_single, checked_stop
from barmath.fields import frozen, passing
from barmath.planning.candidates import BendPair
from barmath.refusal import BendError, checked_single, plain, tenths
from barmath.rider.hands import HAND_FROM_END_MM, Hand, Stem, WristTurn, hand_from_recipe, wrist_turn
from barmath.rider.stem_rolls import MOST_ROLL_DEG, Place, legs_at, stem_rolls

_ROUNDED_MM = 1e-9
"""Rounding makes nothing too short."""


@dataclass(frozen=True)
class SameHands:
    """A bar that keeps the hands, its stem roll in the recipe, and its order with risers upright.

    `rise_mm`, `width_mm`, `backsweep_deg` of the bar with its risers upright; `stem_roll_deg` how far it is then turned
    in its stem, positive rearward; `wrist` what changes for the hands.
    """

    recipe: Recipe
    rise_mm: float
    width_mm: float
    backsweep_deg: float
    stem_roll_deg: float
    wrist: WristTurn


@frozen
class HandsWanted:
    """What a new bar must do for the hands on an old one; parameters and refusals as in `same_hands`."""

    recipe: Recipe
    stem: Stem
    backsweep_deg: float = passing(checked_single, "backsweep wanted", unit="deg", least=-85.0, most=85.0)
    new_stem: Stem | None = None
    from_end_mm: float = passing(
        checked_single, "middle of the hand from the bar's end", unit="mm", least=0.0, default=HAND_FROM_END_MM
    )
    least_straight_mm: float = passing(checked_single, "least straight", unit="mm", least=0.0, default=0.0)
    controls_mm: float = passing(checked_single, "room for controls", unit="mm", least=0.0, default=HAND_FROM_END_MM)

    def _check_together(self) -> None:
        check_single(self.recipe, self.stem, *([self.new_stem] if self.new_stem else []))

    @cached_property
    def before(self) -> Hand:
        """The hand on the old bar."""
        return hand_from_recipe(self.recipe, self.stem, self.from_end_mm)

    @property
    def stem_of_new(self) -> Stem:
        """The stem of the new bar."""
        return self.new_stem or self.stem

    @cached_property
    def place_mm(self) -> Array:
        """Right, back and up of the hand from the middle of the new bar's clamp."""
        forward, up = self.stem_of_new.clamp_mm()
        return np.array([self.before.out_mm, forward - self.before.forward_mm, self.before.up_mm - up])

    @property
    def inside_mm(self) -> float:
        """The shortest grip between the bend and the middle of the hand."""
        return max(self.controls_mm - self.from_end_mm, 0.0)

    def bar(self, recipe: Recipe) -> SameHands:
        """The bar of one `recipe`, and what it does to the hands."""
        upright = shape_from_recipe(risers_upright(recipe))
        after = hand_from_recipe(recipe, self.stem_of_new, self.from_end_mm)
        return SameHands(
            recipe, upright.rise_mm, upright.width_mm, upright.backsweep_deg,
            float(recipe.stem_roll_deg), wrist_turn(self.before, after),
        )  # fmt: skip


class _Bars(NamedTuple):
    """Bars (k) with the hand in its place, however long their straights: radians and mm.

    `pair` is which bends they have, `grip` reaches to the middle of the hand.
    """

    pair: NDArray[np.intp]
    phi: Array
    straight: Array
    grip: Array
    psi: Array

    def taken(self, which: NDArray) -> _Bars:
        return _Bars(*(part[which] for part in self))


def same_hands(
    recipe: Recipe,
    stem: Stem,
    backsweep_deg: float,
    bend_deg: float | BendPair,
    radius_mm: float,
    new_stem: Stem | None = None,
    from_end_mm: float = HAND_FROM_END_MM,
    least_straight_mm: float = 0.0,
    controls_mm: float = HAND_FROM_END_MM,
) -> SameHands:
    """A bar that keeps the hands of `recipe` where they are, with another backsweep.

    Parameters
    ----------
    recipe : Recipe
        The bar now, clamped in its stem (no arrays).
    stem : Stem
    backsweep_deg : number
        Wanted of the new bar, as it will be clamped.
    bend_deg : number or BendPair
        Of all four bends of the new bar, or of its inner and its outer bends.
    radius_mm : number
        Of the new bar.
    new_stem : Stem or None
        None: the same.
    from_end_mm, least_straight_mm, controls_mm : number, at least 0
        Middle of the hand from the bar's end; shortest riser straight; shortest grip.

    Returns
    -------
    SameHands
        Of all such bars the one with the most upright risers.

    Raises
    ------
    BendError
        No stem roll within 40 degrees gives such a bar. The refusal has the reason.

    Examples
    --------
    >>> from barmath.planning import BendPair
    >>> from barmath.rider import Stem, same_hands
    >>> from barmath.shop import order_seven_recipe
    >>> other = same_hands(order_seven_recipe(), Stem(50.0, 0.0, 65.0), 16.0, 25.0, 105.0)
    >>> print(f"rise {other.rise_mm:.0f} mm, width {other.width_mm:.0f} mm")
    rise 93 mm, width 798 mm
    >>> other = same_hands(order_seven_recipe(), Stem(50.0, 0.0, 65.0), 16.0, BendPair(25.0, 27.5), 105.0)
    >>> print(f"rise {other.rise_mm:.0f} mm, width {other.width_mm:.0f} mm")
    rise 91 mm, width 799 mm
    """
    radius = checked_single("centre-line radius", radius_mm, "mm", above=0.0)
    wanted = HandsWanted(recipe, stem, backsweep_deg, new_stem, from_end_mm, least_straight_mm, controls_mm)
    pair, names = BendPair(bend_deg, bend_deg), ("bend", "bend")
    if isinstance(bend_deg, BendPair):
        pair, names = bend_deg, ("inner bend", "outer bend")
    bends = BendPair(*(
        np.array([float(checked_stop(checked_single(name, bend, "deg"), name))])
        for name, bend in zip(names, pair, strict=True)
    ))  # fmt: skip
    every = _every_bar(wanted, bends, radius)
    best = _most_upright(wanted, every)
    if not best.pair.size:
        raise BendError(_refusal(wanted, every, bend_deg))
    return wanted.bar(Recipe(*(float(np.ravel(part)[0]) for part in astuple(_recipes(wanted, best, bends, radius)))))


def recipes_that_keep(wanted: HandsWanted, bends_deg: BendPair, radius_mm: float) -> Recipe:
    """The bars (k) of those pairs of bends that keep the hands: `same_hands` for many pairs at once.

    Parameters
    ----------
    wanted : HandsWanted
    bends_deg : BendPair of arrays (n)
    radius_mm : number
    """
    bars = _most_upright(wanted, _every_bar(wanted, bends_deg, radius_mm))
    return _recipes(wanted, bars, bends_deg, radius_mm)


def every_bend_that_keeps(
    recipe: Recipe,
    stem: Stem,
    backsweep_deg: float,
    bends_deg: Sequence[float | BendPair],
    radius_mm: float,
    **wanted: Any,
) -> tuple[SameHands, ...]:
    """The bars of `same_hands`, one for each of `bends_deg` that has one, the most upright first.

    Parameters
    ----------
    recipe, stem, backsweep_deg, radius_mm, **wanted
        As in `same_hands`.
    bends_deg : sequence of number or BendPair

    Raises
    ------
    BendError
        None of the bends has such a bar. The refusal is that of the bend in the middle of the list.

    Examples
    --------
    >>> from barmath.rider import Stem, every_bend_that_keeps
    >>> from barmath.shop import order_seven_recipe
    >>> bars = every_bend_that_keeps(order_seven_recipe(), Stem(50.0, 0.0, 65.0), 16.0, (25.0, 30.0, 35.0), 105.0)
    >>> [float(one.recipe.inner_bend_deg) for one in bars]
    [25.0]
    """
    found: list[SameHands] = []
    refused: list[BendError] = []
    for bend in bends_deg:
        try:
            found.append(same_hands(recipe, stem, backsweep_deg, bend, radius_mm, **wanted))
        except BendError as refusal:
            refused.append(refusal)
    if not found:
        raise refused[len(refused) // 2] if refused else BendError("bends must be at least one, got none: give one")
    return tuple(sorted(found, key=lambda one: abs(one.stem_roll_deg)))


def _every_bar(wanted: HandsWanted, bends_deg: BendPair, radius: float) -> _Bars:
    # every stem roll at which the hand's place forward comes out right, for each pair of bends
    a, b = (np.asarray(bend) * RADIAN for bend in bends_deg)
    half_flat, tan_sweep = 0.5 * float(wanted.recipe.clamp_flat_mm), float(np.tan(wanted.backsweep_deg * RADIAN))
    right, behind, height = wanted.place_mm.tolist()
    place = Place(right, behind, height, tan_sweep, half_flat, radius)
    pair, psi = stem_rolls(place, a, b)
    a, b = a[pair], b[pair]
    legs = legs_at(psi, a, b, place)
    take_a, take_b = radius * np.tan(0.5 * a), radius * np.tan(0.5 * b)
    with np.errstate(invalid="ignore", divide="ignore"):
        straight, grip = legs.riser / legs.lever - (take_a + take_b), legs.grip / legs.lever - take_b
    bars = _Bars(pair, np.arctan2(legs.sin_phi, legs.cos_phi), straight, grip, psi)
    return bars.taken(np.abs(legs.lever) > LEAST_LEVER)


def _most_upright(wanted: HandsWanted, every: _Bars) -> _Bars:
    # of each pair of bends the bar that leans least among those that are long enough
    long_enough = every.straight >= wanted.least_straight_mm - _ROUNDED_MM
    bars = every.taken(long_enough & (every.grip >= wanted.inside_mm - _ROUNDED_MM))
    bars = bars.taken(np.argsort(np.abs(bars.psi), kind="stable"))
    return bars.taken(np.unique(bars.pair, return_index=True)[1])


def _recipes(wanted: HandsWanted, bars: _Bars, bends_deg: BendPair, radius: float) -> Recipe:
    inner, outer = (np.asarray(bend)[bars.pair] for bend in bends_deg)
    return Recipe(
        wanted.recipe.clamp_flat_mm, inner, np.maximum(bars.straight, 0.0), bars.phi / RADIAN, outer,
        bars.grip + wanted.from_end_mm, radius, bars.psi / RADIAN,
    )  # fmt: skip


def _refusal(wanted: HandsWanted, every: _Bars, bend_deg: float | BendPair) -> str:
    if isinstance(bend_deg, BendPair):
        bends = f"inner bends of {plain(bend_deg.inner_deg)} deg and outer bends of {plain(bend_deg.outer_deg)} deg"
    else:
        bends = f"bends of {plain(bend_deg)} deg"
    remedy = "choose another bend, less change of sweep or another stem"
    if not every.pair.size:
        must = f"a stem roll up to {plain(MOST_ROLL_DEG)} deg must keep the hands in place"
        return f"{must}, got none for backsweep {plain(wanted.backsweep_deg)} deg and {bends}: {remedy}"
    nearest = every.taken(np.array([np.abs(every.psi).argmin()]))
    straight, grip, psi = (float(part[0]) for part in (nearest.straight, nearest.grip, nearest.psi))
    if straight < wanted.least_straight_mm - _ROUNDED_MM:
        what, length, least = "riser straight", straight, wanted.least_straight_mm
    else:
        what, length, least = "grip inside the hand", grip, wanted.inside_mm
    bar = f"with {bends} and a stem roll of {psi / RADIAN:.1f} deg"
    return f"{what} must be {plain(least)} mm or more, got {tenths(length, least)} mm {bar}: {remedy}"
