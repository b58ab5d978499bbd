"""From an order to its recipe: the inverse in closed form, and rise windows.

The sweeps ordered fix the direction of the grip, and the direction fixes the angles. What is left, straight and grip,
follows from rise and width: two linear equations. `barmath.derivation` derives each form with SymPy.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmath.arrays import RADIAN, in_blocks
from barmath.closed_forms.legs import (
    UPRIGHT,
    Legs,
    free_legs,
    grip_direction,
    legs_for_sweeps,
    straight_and_grip,
    window_from_legs,
)
from barmath.closed_forms.no_room import with_room
from barmath.closed_forms.records import (
    LEAST_BEND_DEG,
    Order,
    Recipe,
    checked_bend,
    checked_radius,
    checked_stop,
    checked_turn,
)
from barmath.fields import fixed
from barmath.refusal import Number, checked, refuse_where, shown_bounds

LEAST_LEVER = 1e-4
"""Rise per length of straight, mm/mm: below it riser and grip run side by side seen from the front, and no straight
sets the rise."""

_LARGER = "choose a larger bend or less sweep"


def recipe_from_order(
    order: Order, radius_mm: Number, bend_deg: Number, outer_bend_deg: Number | None = None
) -> Recipe:
    """The bar that measures what was ordered, with the inner and outer bends given.

    With the grip along the unit vector e = (1, tan backsweep, tan upsweep)/norm and gamma = arccos e_right:

        upsweep ordered:  cos gamma = cos a cos b + sin a sin b cos phi
                          psi = atan2(g_up, g_back) - atan2(e_up, e_back), g the grip before the stem roll
        risers upright:   phi = asin(n / sqrt(1 + m^2)) + atan(m)
                          m = tan beta sin a,  n = tan beta cos a cos b / sin b

    Derived in `barmath.derivation.inverse`. Four equal bends need one stop setting; inner and outer bends that differ
    need two.

    Parameters
    ----------
    order : Order
    radius_mm : number or array, above 0
        Finished centre-line radius.
    bend_deg : number or array, from 0.1 to below 90
        Finished angle of the inner bends, and of the outer ones where `outer_bend_deg` is not given.
    outer_bend_deg : number or array, from 0.1 to below 90, optional
        Finished angle of the outer bends. None: the same as the inner ones.

    Returns
    -------
    Recipe
        Its shape is the order to 1e-9. Neither the tooling nor the room for controls is considered here:
        see `rise_window_mm` and `barmath.planning.limits`. Where two rolls make the sweeps, it is the smaller one.

    Raises
    ------
    BendError
        The bends cannot make the sweeps, or riser and grip run side by side. The rise would need a negative straight or
        grip: the message gives the window of rises. A number is outside its range.

    Examples
    --------
    >>> from barmath import Order, recipe_from_order, shape_from_recipe
    >>> order = Order(90, 14, 800, None, 60, 170)
    >>> recipe = recipe_from_order(order, radius_mm=105, bend_deg=30, outer_bend_deg=27.5)
    >>> print(f"roll {recipe.roll_deg:.1f} deg, rise {shape_from_recipe(recipe).rise_mm:.1f} mm")
    roll 31.4 deg, rise 90.0 mm
    """
    radius_mm, bend_deg, outer_deg = checked_radius(radius_mm), checked_stop(bend_deg), _checked_outer(outer_bend_deg)
    numbers = (*_order_numbers(order), radius_mm, bend_deg, *outer_deg)
    with np.errstate(invalid="ignore", divide="ignore"):
        phi, straight, grip, *rolled = in_blocks(_two_bends, *numbers)
    _refuse_no_bar(order, bend_deg, outer_deg, np.isnan(phi))

    def window() -> tuple[Number, Number]:
        return rise_window_mm(replace(order, controls_mm=0.0), radius_mm, bend_deg, 0.0, *outer_deg)

    straight, grip = with_room(order, (straight, grip), window, radius_mm, (bend_deg, *outer_deg))
    outer = outer_deg[0] if outer_deg else bend_deg
    straight, phi, grip, *rolled = map(fixed, (straight, phi, grip, *rolled))
    return Recipe(order.clamp_flat_mm, bend_deg, straight, phi, outer, grip, radius_mm, *rolled)


def recipe_from_inner_bend(
    order: Order, radius_mm: Number, inner_bend_deg: Number, stem_roll_deg: Number = 0.0
) -> Recipe:
    """The bar with a chosen inner bend and stem roll that measures what was ordered; the outer bend follows.

    With the grip direction e turned back by the stem roll:

        phi = atan2(e_back, sin a e_right - cos a e_up)
        b   = atan2(hypot(e_back, sin a e_right - cos a e_up), cos a e_right + sin a e_up)

    Derived in `barmath.derivation.inverse.inner_bend_angles`.

    Parameters
    ----------
    order : Order
        An order without upsweep is taken as one with level grips (upsweep 0).
    radius_mm : number or array, above 0
        Finished centre-line radius.
    inner_bend_deg : number or array, 0.1..179
    stem_roll_deg : number or array, -180..180

    Raises
    ------
    BendError
        The grip would run on straight from the riser, without an outer bend. Riser and grip run side by side. The rise
        would need a negative straight or grip: the message gives the window of rises.

    Examples
    --------
    >>> print(f"{recipe_from_inner_bend(Order(90, 14, 800, None, 60, 170), 105, 30).outer_bend_deg:.1f} deg")
    32.8 deg
    """
    radius_mm, bend_deg = checked_radius(radius_mm), checked_bend("inner bend", inner_bend_deg)
    stem_roll_deg = checked_turn("stem roll", stem_roll_deg)
    level = order.upsweep_deg if order.upsweep_deg is not None else 0.0
    numbers = (*_order_numbers(order)[:-1], level, radius_mm, bend_deg, stem_roll_deg)
    with np.errstate(invalid="ignore", divide="ignore"):
        phi, outer, straight, grip = in_blocks(_free_bends, *numbers)
    refuse_where(
        outer < LEAST_BEND_DEG,
        "outer bend must be at least 0.1 deg, or the grip runs on straight from the riser, got {outer} deg",
        remedy="choose another inner bend or stem roll",
        outer=outer,
    )

    def window() -> tuple[Number, Number]:
        return in_blocks(_free_window, *numbers[1:])

    straight, grip = with_room(order, (straight, grip), window, radius_mm, (bend_deg,))
    straight, phi, outer, grip = map(fixed, (straight, phi, outer, grip))
    return Recipe(order.clamp_flat_mm, bend_deg, straight, phi, outer, grip, radius_mm, stem_roll_deg)


def rise_window_mm(
    order: Order, radius_mm: Number, bend_deg: Number, least_straight_mm: Number, outer_bend_deg: Number | None = None
) -> tuple[Number, Number]:
    """Lowest and highest rise that the bends give with the width and sweeps of `order`, mm.

    With width and sweeps fixed the rise is linear in the straight. One end is reached at the shortest straight that the
    tooling can hold. At the other end the grip leaves just the room for controls. The ordered rise itself is not used.
    The window is empty where lowest > highest. Derived in `barmath.derivation.inverse.rise_per_straight`.

    Parameters
    ----------
    order : Order
    radius_mm, bend_deg : number or array
        As in `recipe_from_order`.
    least_straight_mm : number or array, at least 0
    outer_bend_deg : number or array, optional
        As in `recipe_from_order`.

    Returns
    -------
    lowest, highest : numbers or arrays

    Raises
    ------
    BendError
        The bends cannot make the sweeps, or a number is outside its range.

    Examples
    --------
    >>> order = Order(rise_mm=70, backsweep_deg=14, width_mm=770, clamp_flat_mm=55, controls_mm=190)
    >>> lowest, highest = rise_window_mm(order, 100, 28, 65)
    >>> print(f"{lowest:.1f} to {highest:.1f} mm")
    68.0 to 78.8 mm
    """
    radius_mm, bend_deg, outer_deg = checked_radius(radius_mm), checked_stop(bend_deg), _checked_outer(outer_bend_deg)
    least_straight_mm = checked("least straight", least_straight_mm, "mm", least=0.0)
    numbers = (*_order_numbers(order)[1:], order.controls_mm, radius_mm, bend_deg, least_straight_mm, *outer_deg)
    with np.errstate(invalid="ignore", divide="ignore"):
        lowest, highest = in_blocks(_window, *numbers)
    _refuse_no_bar(order, bend_deg, outer_deg, np.isnan(lowest))
    return lowest, highest


def least_bend_deg(order: Order) -> Number:
    """The smallest equal bend that can give the ordered sweeps, degrees.

    Upsweep ordered: gamma/2, half the total turn. Risers upright: sin a = T / sqrt(1 + 2 T^2), T = tan backsweep.
    Derived in `barmath.derivation.inverse.upright_least_bend`.

    Examples
    --------
    >>> print(f"{least_bend_deg(Order(90, 14, 800, None, 60, 170)):.1f} deg")
    13.6 deg
    """
    if order.upsweep_deg is None:
        t = np.abs(np.tan(order.backsweep_deg * RADIAN))
        return _as_face(np.arcsin(t / np.sqrt(1.0 + 2.0 * t * t)) / RADIAN)
    e_right, e_back, e_up = grip_direction(order.backsweep_deg * RADIAN, order.upsweep_deg * RADIAN)
    return _as_face(np.arctan2(np.hypot(e_back, e_up), e_right) / RADIAN / 2.0)


def least_outer_bend_deg(order: Order, inner_bend_deg: Number) -> Number:
    """The smallest outer bend that can give the ordered sweeps with an inner bend, degrees.

    Risers upright: tan b = T cos a / sqrt(1 + T^2 sin^2 a), T = tan backsweep. Upsweep ordered: |gamma - a|, gamma the
    total turn; the largest is gamma + a. Derived in `barmath.derivation.inverse.two_bends_least_outer`.

    Parameters
    ----------
    order : Order
    inner_bend_deg : number or array, from 0.1 to below 90

    Raises
    ------
    BendError
        The inner bend is outside its range.

    Examples
    --------
    >>> from barmath import Order
    >>> print(f"{least_outer_bend_deg(Order(90, 14, 800, None, 60, 170), 30):.2f}")
    12.09
    """
    inner_bend_deg = checked_stop(inner_bend_deg)
    if order.upsweep_deg is not None:
        return _as_face(np.abs(2.0 * least_bend_deg(order) - inner_bend_deg))
    t, a = np.abs(np.tan(order.backsweep_deg * RADIAN)), np.multiply(inner_bend_deg, RADIAN)
    return _as_face(np.arctan(t * np.cos(a) / np.sqrt(1.0 + (t * np.sin(a)) ** 2)) / RADIAN)


def _order_numbers(order: Order) -> tuple[Number, ...]:
    # rise, width, clamp flat, backsweep, upsweep; an upsweep of nan means risers upright in the kernels
    upsweep = np.nan if order.upsweep_deg is None else order.upsweep_deg
    return order.rise_mm, order.width_mm, order.clamp_flat_mm, order.backsweep_deg, upsweep


def _checked_outer(outer_bend_deg: Number | None) -> tuple[Number, ...]:
    # none where the outer bends are the inner ones, so that the two are equal to the last bit
    return () if outer_bend_deg is None else (checked_stop(outer_bend_deg, "outer bend"),)


def _legs(backsweep: Number, upsweep: Number, bend: Number, outer: tuple[Number, ...]) -> Legs:
    upright = np.ndim(upsweep) == 0 and np.isnan(upsweep)
    b = outer[0] * RADIAN if outer else None
    return legs_for_sweeps(backsweep * RADIAN, None if upright else upsweep * RADIAN, bend * RADIAN, b)


def _two_bends(
    rise: Number, width: Number, flat: Number, backsweep: Number, upsweep: Number, radius: Number, bend: Number,
    *outer: Number,
) -> tuple[Number, ...]:  # fmt: skip
    legs = _legs(backsweep, upsweep, bend, outer)
    straight, grip = _lengths(legs, rise, width, flat, radius)
    rolled = () if legs.psi is UPRIGHT else (legs.psi * (1.0 / RADIAN),)
    return legs.phi * (1.0 / RADIAN), straight, grip, *rolled


def _free_bends(
    rise: Number, width: Number, flat: Number, backsweep: Number, upsweep: Number,
    radius: Number, bend: Number, stem_roll: Number,
) -> tuple[Number, ...]:  # fmt: skip
    direction = grip_direction(backsweep * RADIAN, upsweep * RADIAN)
    legs, b = free_legs(direction, bend * RADIAN, stem_roll * RADIAN)
    straight, grip = _lengths(legs, rise, width, flat, radius)
    return legs.phi * (1.0 / RADIAN), b * (1.0 / RADIAN), straight, grip


def _lengths(legs: Legs, rise: Number, width: Number, flat: Number, radius: Number) -> tuple[Number, Number]:
    # straight and grip; where riser and grip run side by side the straight is infinite
    straight, grip, lever = straight_and_grip(legs, rise, 0.5 * width, 0.5 * flat, radius)
    slight = np.abs(lever) < LEAST_LEVER
    return (np.where(slight, np.inf, straight) if np.any(slight) else straight), grip


def _window(
    width: Number, flat: Number, backsweep: Number, upsweep: Number,
    controls: Number, radius: Number, bend: Number, least_straight: Number, *outer: Number,
) -> tuple[Number, ...]:  # fmt: skip
    legs = _legs(backsweep, upsweep, bend, outer)
    return window_from_legs(legs, 0.5 * width, 0.5 * flat, radius, controls, least_straight)


def _free_window(
    width: Number, flat: Number, backsweep: Number, upsweep: Number, radius: Number, bend: Number, stem_roll: Number
) -> tuple[Number, ...]:
    legs, _ = free_legs(grip_direction(backsweep * RADIAN, upsweep * RADIAN), bend * RADIAN, stem_roll * RADIAN)
    return window_from_legs(legs, 0.5 * width, 0.5 * flat, radius, 0.0, 0.0)


def _refuse_no_bar(order: Order, bend_deg: Number, outer_deg: tuple[Number, ...], no_bar: Number) -> None:
    if not np.any(no_bar):
        return
    if outer_deg:
        _refuse_pair(order, bend_deg, outer_deg[0], no_bar)
    else:
        _refuse_small_bend(order, bend_deg, no_bar)


def _refuse_pair(order: Order, inner_deg: Number, outer_deg: Number, no_bar: Number) -> None:
    pair = {"inner": inner_deg, "outer": outer_deg}
    if order.upsweep_deg is None:
        must = (
            "outer bend must be at least {least} deg with an inner bend of {inner} deg, backsweep {sweep} deg and "
            "risers upright, got {outer} deg"
        )
        least = shown_bounds(least_outer_bend_deg(order, inner_deg), 90.0)[0]
        refuse_where(no_bar, must, remedy=_LARGER, least=least, sweep=order.backsweep_deg, **pair)
        return
    turn = 2.0 * least_bend_deg(order)
    must = "inner and outer bend must add up to the total turn of {turn:least} deg or more, got {inner} and {outer} deg"
    refuse_where(no_bar & (np.add(inner_deg, outer_deg) < turn), must, remedy=_LARGER, turn=turn, **pair)
    must = "inner and outer bend must differ by at most the total turn of {turn:most} deg, got {inner} and {outer} deg"
    refuse_where(no_bar, must, remedy="choose bends nearer to each other or more sweep", turn=turn, **pair)


def _refuse_small_bend(order: Order, bend_deg: Number, too_small: Number) -> None:
    least = least_bend_deg(order)
    if order.upsweep_deg is None:
        rule = "what a backsweep of {sweep} deg needs with risers upright"
        turn: Number = order.backsweep_deg
    else:
        rule, turn = "half the total turn of {sweep:.1f} deg", 2.0 * least
    refuse_where(
        too_small,
        f"bend must be at least {{least}} deg, {rule}, got {{bend}} deg",
        remedy=_LARGER,
        least=shown_bounds(least, 90.0)[0],
        sweep=turn,
        bend=bend_deg,
    )


def _as_face(value: Number) -> Number:
    return float(value) if np.ndim(value) == 0 else value
