"""Another bar for the same hands: keep their middles where they are and change the sweep.

The new bar has equal bends. Rolled in its stem by psi it must show the wanted backsweep beta, which fixes the roll phi
between its bends:

    A sin phi + B cos phi + C = 0,   A = cos psi,   B = -(cos a sin psi + tan beta sin a),
                                     C = (sin psi - tan beta cot a) cos a

(times sin a all through). The hand's width and height then give both lengths, two linear equations, and its place
forward is left as one equation for psi.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.forward import risers_upright, shape_from_recipe
from barmath.closed_forms.inverse import LEAST_LEVER
from barmath.closed_forms.records import Recipe, check_single, checked_stop
from barmath.refusal import BendError, checked_single, plain
from barmath.rider.hands import HAND_FROM_END_MM, Hand, Stem, WristTurn, hand_from_recipe, wrist_turn

MOST_ROLL_DEG = 40.0
"""Beyond it risers are flat rather than upright, and no rider would roll a bar so far: common practice, no source."""

_GRID = 801


@dataclass(frozen=True)
class SameHands:
    """A bar that keeps the hands, with its stem roll in the recipe, and what it is when ordered with risers upright.

    `rise_mm`, `width_mm`, `backsweep_deg`, `upsweep_deg` of the bar with its risers upright; `stem_roll_deg` how far it
    is then rolled, positive rearward; `wrist` what changes for the hands; `hand` where they are.
    """

    recipe: Recipe
    rise_mm: float
    width_mm: float
    backsweep_deg: float
    upsweep_deg: float
    stem_roll_deg: float
    wrist: WristTurn
    hand: Hand


def same_hands(
    recipe: Recipe,
    stem: Stem,
    backsweep_deg: float,
    bend_deg: float,
    radius_mm: float,
    new_stem: Stem | None = None,
    from_end_mm: float = HAND_FROM_END_MM,
    least_straight_mm: float = 0.0,
    controls_mm: float = HAND_FROM_END_MM,
) -> SameHands:
    """A bar of equal bends that keeps the hands of `recipe` where they are, with another backsweep.

    Parameters
    ----------
    recipe : Recipe
        The bar as it is rolled now (no arrays).
    stem : Stem
    backsweep_deg : number
        Wanted of the new bar, as it will be rolled.
    bend_deg, radius_mm : number
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
        Where no roll within 40 degrees gives such a bar, with the reason.

    Examples
    --------
    >>> from barmath.rider import Stem, same_hands
    >>> from barmath.shop import order_seven_recipe
    >>> other = same_hands(order_seven_recipe(), Stem(50.0, 0.0, 65.0), 16.0, 25.0, 105.0)
    >>> print(f"rise {other.rise_mm:.0f} mm, width {other.width_mm:.0f} mm")
    rise 93 mm, width 798 mm
    """
    check_single(recipe, stem, *([new_stem] if new_stem else []))
    sweep = checked_single("backsweep wanted", backsweep_deg, "deg", least=-85.0, most=85.0) * RADIAN
    a = float(checked_stop(checked_single("bend", bend_deg, "deg"))) * RADIAN
    radius = checked_single("centre-line radius", radius_mm, "mm", above=0.0)
    shortest = checked_single("least straight", least_straight_mm, "mm", least=0.0)
    from_end_mm = checked_single("middle of the hand from the bar's end", from_end_mm, "mm", least=0.0)
    room = max(checked_single("room for controls", controls_mm, "mm", least=0.0), from_end_mm)
    before = hand_from_recipe(recipe, stem, from_end_mm)
    forward, up = (new_stem or stem).clamp_mm()
    place = np.array([before.out_mm, forward - before.forward_mm, before.up_mm - up])
    half_flat = 0.5 * float(recipe.clamp_flat_mm)
    found = [_bar_at(psi, place, half_flat, sweep, a, radius) for psi in _rolls(place, half_flat, sweep, a, radius)]
    fitting = [one for one in found if one[1] >= shortest - 1e-9 and one[2] + from_end_mm >= room - 1e-9]
    if not fitting:
        raise BendError(_refusal(found, backsweep_deg, bend_deg, shortest, room - from_end_mm))
    phi, straight, grip, psi = min(fitting, key=lambda one: abs(one[3]))
    new = Recipe(
        recipe.clamp_flat_mm, a / RADIAN, max(straight, 0.0), phi / RADIAN, a / RADIAN, grip + from_end_mm, radius,
        psi / RADIAN,
    )  # fmt: skip
    upright, after = shape_from_recipe(risers_upright(new)), hand_from_recipe(new, new_stem or stem, from_end_mm)
    return SameHands(
        new, upright.rise_mm, upright.width_mm, upright.backsweep_deg, upright.upsweep_deg, psi / RADIAN,
        wrist_turn(before, after), after,
    )  # fmt: skip


def every_bend_that_keeps(
    recipe: Recipe, stem: Stem, backsweep_deg: float, bends_deg: Sequence[float], radius_mm: float, **wanted: Any
) -> tuple[SameHands, ...]:
    """The bars of `same_hands`, one for each of `bends_deg` that has one, the most upright first.

    `wanted` are the other parameters of `same_hands`. Raises BendError where none of the bends has one: the refusal of
    the bend in the middle of the list.

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
        raise refused[len(refused) // 2] if refused else BendError("bends must be at least one angle, got none")
    return tuple(sorted(found, key=lambda one: abs(one.stem_roll_deg)))


def _bar_at(
    psi: float, place: Array, half_flat: float, sweep: float, a: float, radius: float
) -> tuple[float, float, float, float]:
    # roll between the bends, riser straight, grip to the hand, stem roll
    phi, riser, grip, lever, _ = _legs_at(np.asarray(psi), place, half_flat, sweep, a, radius)
    take = radius * np.tan(0.5 * a)
    return float(phi), float(riser / lever) - 2.0 * take, float(grip / lever) - take, psi


def _rolls(place: Array, half_flat: float, sweep: float, a: float, radius: float) -> list[float]:
    # every stem roll at which the hand's place forward comes out right
    from scipy.optimize import brentq  # here, because it takes longer to import than all of barmath

    def left_over(psi: float | Array) -> Array:
        return _legs_at(np.asarray(psi), place, half_flat, sweep, a, radius)[4]

    grid = np.linspace(-MOST_ROLL_DEG, MOST_ROLL_DEG, _GRID) * RADIAN
    left = left_over(grid)
    crossings = np.flatnonzero(np.isfinite(left[1:] + left[:-1]) & (np.sign(left[1:]) != np.sign(left[:-1])))
    found = [float(brentq(left_over, grid[k], grid[k + 1], xtol=1e-15)) for k in crossings]
    levers = [float(_legs_at(np.asarray(psi), place, half_flat, sweep, a, radius)[3]) for psi in found]
    return [psi for psi, lever in zip(found, levers, strict=True) if abs(lever) > LEAST_LEVER]


def _legs_at(
    psi: Array, place: Array, half_flat: float, sweep: float, a: float, radius: float
) -> tuple[Array, Array, Array, Array, Array]:
    # roll between the bends; both legs between corners, and how far the hand then is from its place forward, all three
    # times their lever, which is 0 where riser and grip run side by side seen from the front; and the lever
    sin_a, cos_a, tan_beta = np.sin(a), np.cos(a), np.tan(sweep)
    sin_psi, cos_psi = np.sin(psi), np.cos(psi)
    across, along = cos_psi, -(cos_a * sin_psi + tan_beta * sin_a)
    rest = (sin_psi - tan_beta * cos_a / sin_a) * cos_a
    with np.errstate(invalid="ignore"):
        phi = np.arcsin(-rest / np.hypot(across, along)) - np.arctan2(along, across)
    sin_phi, cos_phi = np.sin(phi), np.cos(phi)
    grip_right = cos_a**2 + sin_a**2 * cos_phi
    back, up = sin_a * sin_phi, sin_a * cos_a * (1.0 - cos_phi)
    grip_back, grip_up = back * cos_psi + up * sin_psi, up * cos_psi - back * sin_psi
    riser_back, riser_up = sin_a * sin_psi, sin_a * cos_psi
    width, height = place[0] - half_flat - radius * np.tan(0.5 * a), place[2]
    lever = cos_a * grip_up - riser_up * grip_right
    riser_leg = width * grip_up - height * grip_right
    grip_leg = cos_a * height - riser_up * width
    return phi, riser_leg, grip_leg, lever, riser_leg * riser_back + grip_leg * grip_back - place[1] * lever


def _refusal(
    found: list[tuple[float, float, float, float]], backsweep_deg: float, bend_deg: float, shortest: float, room: float
) -> str:
    must = f"backsweep of {plain(backsweep_deg)} deg with bends of {plain(bend_deg)} deg must keep the hands in place"
    remedy = "choose another bend, less change of sweep or another stem"
    if not found:
        return f"{must}, got no roll within {plain(MOST_ROLL_DEG)} deg either way that does: {remedy}"
    _, straight, grip, psi = min(found, key=lambda one: abs(one[3]))
    if straight < shortest:
        lack = f"a riser straight of {straight:.1f} mm where at least {plain(shortest)} mm is needed"
    else:
        lack = f"a grip of {grip:.1f} mm inside the hand where at least {plain(room)} mm is needed"
    return f"{must}, got, rolled by {psi / RADIAN:.1f} deg, {lack}: {remedy}"
