"""From an order to its recipe: the inverse in closed form, and rise windows.

The sweeps ordered fix the direction of the grip, the direction fixes the angles, and what is left, straight and grip,
follows from rise and width: two linear equations. `barmath.derivation` derives each form with SymPy.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmath.bar import LEAST_BEND_DEG, Order, Recipe, checked_bend, checked_radius, checked_stop, checked_turn
from barmath.blocks import in_blocks
from barmath.legs import UPRIGHT, Legs, equal_legs, free_legs, grip_direction, straight_and_grip, window_from_legs
from barmath.refusal import Number, checked, refuse_where, told_bounds
from barmath.shape import RADIAN

LEAST_LEVER = 1e-4
"""Rise per length of straight, mm/mm: below it riser and grip run side by side seen from the front, and no straight
sets the rise."""

_ROUNDING_MM = 1e-9
# a straight that is shorter than none by no more than this is none


def recipe_from_order(order: Order, radius_mm: Number, bend_deg: Number) -> Recipe:
    """The bar with four equal bends, one stop setting, that measures what was ordered.

    With the grip along the unit vector e = (1, tan backsweep, tan upsweep)/norm and gamma = arccos e_right:

        upsweep ordered:  sin(phi/2) = sin(gamma/2) / sin a
                          psi = atan2(e_back, e_up) - arccos(tan(gamma/2) / tan a)
        risers upright:   phi = asin(tan beta cos^2 a / (sin a sqrt(1 + tan^2 beta sin^2 a))) + atan(tan beta sin a)

    Parameters
    ----------
    order : Order
    radius_mm : number or array, above 0
        Finished centre-line radius.
    bend_deg : number or array, from 0.1 to below 90
        Finished angle of each bend.

    Returns
    -------
    Recipe
        Its shape is the order to 1e-9. Neither the tooling nor the room for controls is considered here:
        see `rise_window_mm` and `barmath.limits`.

    Raises
    ------
    BendError
        Where the bend is too small for the sweeps, where riser and grip run side by side, or where the rise would need
        a negative straight or grip; the window of rises is told.
    """
    radius_mm, bend_deg = checked_radius(radius_mm), checked_stop(bend_deg)
    with np.errstate(invalid="ignore", divide="ignore"):
        phi, straight, grip, *rolled = in_blocks(_equal_bends, *_order_numbers(order), radius_mm, bend_deg)
    _refuse_small_bend(order, bend_deg, np.isnan(phi))
    _refuse_side_by_side(straight, bend_deg)
    if _are_short(straight, grip):
        lowest, highest = rise_window_mm(replace(order, controls_mm=0.0), radius_mm, bend_deg, 0.0)
        _refuse_rise(order, straight, grip, lowest, highest, radius_mm, bend_deg)
        straight, grip = np.maximum(straight, 0.0), np.maximum(grip, 0.0)
    return Recipe(order.clamp_flat_mm, bend_deg, straight, phi, bend_deg, grip, radius_mm, *rolled)


def recipe_from_inner_bend(
    order: Order, radius_mm: Number, inner_bend_deg: Number, stem_roll_deg: Number = 0.0
) -> Recipe:
    """The bar with a chosen inner bend and stem roll that measures what was ordered; the outer bend falls out.

    With the grip direction e turned back by the stem roll:

        phi = atan2(e_back, sin a e_right - cos a e_up)
        b   = atan2(hypot(e_back, sin a e_right - cos a e_up), cos a e_right + sin a e_up)

    Parameters
    ----------
    order : Order
        An order without upsweep is taken as one with level grips (upsweep 0).
    radius_mm : number or array, above 0
        Finished centre-line radius.
    inner_bend_deg : number or array, 0.1..179
    stem_roll_deg : number or array, -180..180

    Returns
    -------
    Recipe

    Raises
    ------
    BendError
        Where the grip would run on straight from the riser (no outer bend), where riser and grip run side by side, or
        where the rise would need a negative straight or grip; the window of rises is told.
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
    _refuse_side_by_side(straight, bend_deg)
    if _are_short(straight, grip):
        lowest, highest = in_blocks(_free_window, *numbers[1:])
        _refuse_rise(order, straight, grip, lowest, highest, radius_mm, bend_deg)
        straight, grip = np.maximum(straight, 0.0), np.maximum(grip, 0.0)
    return Recipe(order.clamp_flat_mm, bend_deg, straight, phi, outer, grip, radius_mm, stem_roll_deg)


def rise_window_mm(
    order: Order, radius_mm: Number, bend_deg: Number, least_straight_mm: Number
) -> tuple[Number, Number]:
    """Lowest and highest rise that equal bends give with the width and sweeps of `order`, mm.

    With width and sweeps fixed the rise is linear in the straight. One end is reached at the shortest straight that
    the tooling can hold, the other where the grip leaves just the room for controls. The ordered rise itself is not
    used. The window is empty where lowest > highest.

    Parameters
    ----------
    order : Order
    radius_mm, bend_deg : number or array
        As in `recipe_from_order`.
    least_straight_mm : number or array, at least 0

    Raises
    ------
    BendError
        Where the bend is too small for the sweeps.
    """
    radius_mm, bend_deg = checked_radius(radius_mm), checked_stop(bend_deg)
    least_straight_mm = checked("least straight", least_straight_mm, "mm", least=0.0)
    numbers = _order_numbers(order)[1:]
    with np.errstate(invalid="ignore"):
        lowest, highest = in_blocks(_window, *numbers, order.controls_mm, radius_mm, bend_deg, least_straight_mm)
    _refuse_small_bend(order, bend_deg, np.isnan(lowest))
    return lowest, highest


def least_bend_deg(order: Order) -> Number:
    """The smallest equal bend that can give the ordered sweeps, degrees.

    Upsweep ordered: gamma/2, half the total turn. Risers upright: sin a = T / sqrt(1 + 2 T^2), T = tan backsweep.
    """
    if order.upsweep_deg is None:
        t = np.abs(np.tan(order.backsweep_deg * RADIAN))
        return _as_face(np.arcsin(t / np.sqrt(1.0 + 2.0 * t * t)) / RADIAN)
    e_right, e_back, e_up = grip_direction(order.backsweep_deg * RADIAN, order.upsweep_deg * RADIAN)
    return _as_face(np.arctan2(np.hypot(e_back, e_up), e_right) / RADIAN / 2.0)


def _order_numbers(order: Order) -> tuple[Number, ...]:
    # rise, width, clamp flat, backsweep, upsweep; an upsweep of nan stands for risers upright in the kernels
    upsweep = np.nan if order.upsweep_deg is None else order.upsweep_deg
    return order.rise_mm, order.width_mm, order.clamp_flat_mm, order.backsweep_deg, upsweep


def _legs(backsweep: Number, upsweep: Number, bend: Number) -> Legs:
    upright = np.ndim(upsweep) == 0 and np.isnan(upsweep)
    return equal_legs(backsweep * RADIAN, None if upright else upsweep * RADIAN, bend * RADIAN)


def _equal_bends(
    rise: Number, width: Number, flat: Number, backsweep: Number, upsweep: Number, radius: Number, bend: Number
) -> tuple[Number, ...]:
    legs = _legs(backsweep, upsweep, bend)
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
    controls: Number, radius: Number, bend: Number, least_straight: Number,
) -> tuple[Number, ...]:  # fmt: skip
    legs = _legs(backsweep, upsweep, bend)
    return window_from_legs(legs, 0.5 * width, 0.5 * flat, radius, controls, least_straight)


def _free_window(
    width: Number, flat: Number, backsweep: Number, upsweep: Number, radius: Number, bend: Number, stem_roll: Number
) -> tuple[Number, ...]:
    legs, _ = free_legs(grip_direction(backsweep * RADIAN, upsweep * RADIAN), bend * RADIAN, stem_roll * RADIAN)
    return window_from_legs(legs, 0.5 * width, 0.5 * flat, radius, 0.0, 0.0)


def _refuse_small_bend(order: Order, bend_deg: Number, too_small: Number) -> None:
    if not np.any(too_small):
        return
    least = least_bend_deg(order)
    if order.upsweep_deg is None:
        rule = "what a backsweep of {sweep} deg needs with risers upright"
        turn: Number = order.backsweep_deg
    else:
        rule, turn = "half the total turn of {sweep} deg", 2.0 * least
    refuse_where(
        too_small,
        f"bend must be at least {{least}} deg, {rule}, got {{bend}} deg",
        remedy="choose a larger bend or less sweep",
        least=told_bounds(least, 90.0)[0],
        sweep=turn,
        bend=bend_deg,
    )


def _refuse_side_by_side(straight: Number, bend_deg: Number) -> None:
    refuse_where(
        np.isinf(straight),
        "riser and grip must not run side by side seen from the front, for then no straight sets the rise, "
        "got that with a bend of {bend} deg",
        remedy="choose a larger bend or less sweep",
        bend=bend_deg,
    )


def _are_short(straight: Number, grip: Number) -> bool:
    return bool(np.min(straight, initial=0.0) < 0.0 or np.min(grip, initial=0.0) < 0.0)


def _refuse_rise(
    order: Order, straight: Number, grip: Number, lowest: Number, highest: Number, radius_mm: Number, bend_deg: Number
) -> None:
    short = np.minimum(straight, grip) < -_ROUNDING_MM
    low, high = told_bounds(lowest, highest)
    bar = {"bend": bend_deg, "radius": radius_mm, "width": order.width_mm, "rise": order.rise_mm}
    refuse_where(
        short & (np.maximum(lowest, 0.0) > highest),
        "width must leave room for two arcs either side, "
        "got {width} mm with bends of {bend} deg on a radius of {radius} mm",
        remedy="choose a smaller bend, a tighter die or a wider bar",
        **bar,
    )
    for beyond, remedy in (
        (order.rise_mm < lowest, "a tighter die lowers the window, and another bend may"),
        (order.rise_mm >= lowest, "a wider bar raises its top, and another bend may"),
    ):
        refuse_where(
            short & beyond,
            "rise must be from {low} to {high} mm with bends of {bend} deg on a radius of {radius} mm, got {rise} mm",
            remedy=remedy,
            low=low,
            high=high,
            **bar,
        )


def _as_face(value: Number) -> Number:
    return float(value) if np.ndim(value) == 0 else value
