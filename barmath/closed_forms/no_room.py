"""Refusals of a bar that has no room: riser and grip side by side, or a straight or a grip below 0."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from barmath.closed_forms.records import Order
from barmath.refusal import Number, refuse_where, shown_bounds

_ROUNDING_MM = 1e-9
# a straight that is shorter than none by no more than this is none

LEAST_RISE_MM = 1e-3
"""A rise is above 0, also if the window of rises begins below."""


def with_room(
    order: Order,
    lengths_mm: tuple[Number, Number],
    window_mm: Callable[[], tuple[Number, Number]],
    radius_mm: Number,
    bends_deg: tuple[Number, ...],
) -> tuple[Number, Number]:
    """Straight and grip of a bar that has room, both 0 or more, mm.

    Parameters
    ----------
    order : Order
    lengths_mm : straight and grip, numbers or arrays
        The straight is infinite where riser and grip run side by side seen from the front.
    window_mm : function
        Lowest and highest rise that have room. It is asked only if there is something to refuse.
    radius_mm : number or array
    bends_deg : the inner bends, and the outer ones where these have a stop of their own

    Raises
    ------
    BendError
        Riser and grip run side by side, or one of the two lengths is below 0: the message gives the window, or its
        upper end alone where every rise below it has room.
    """
    straight, grip = lengths_mm
    refuse_where(
        np.isinf(straight),
        "riser and grip must not run side by side seen from the front, got that with a bend of {bend} deg",
        remedy="choose a larger bend or less sweep, so that a straight sets the rise",
        bend=bends_deg[0],
    )
    if np.min(straight, initial=0.0) >= 0.0 and np.min(grip, initial=0.0) >= 0.0:
        return straight, grip
    _refuse_rise(order, np.minimum(straight, grip) < -_ROUNDING_MM, *window_mm(), radius_mm, bends_deg)
    return np.maximum(straight, 0.0), np.maximum(grip, 0.0)


def _refuse_rise(
    order: Order, short: Number, lowest: Number, highest: Number, radius_mm: Number, bends_deg: tuple[Number, ...]
) -> None:
    bar = {"bend": bends_deg[0], "outer": bends_deg[-1], "radius": radius_mm, "width": order.width_mm}
    bends = "bends of {bend} deg" if len(bends_deg) == 1 else "bends of {bend} and {outer} deg"
    refuse_where(
        short & (np.maximum(lowest, 0.0) > highest),
        f"width must leave room for two arcs on each side, got {{width}} mm with {bends} on a radius of "
        "{radius:.1f} mm",
        remedy="choose a smaller bend, a tighter die or a wider bar",
        **bar,
    )
    low, high = shown_bounds(np.maximum(lowest, LEAST_RISE_MM), highest)
    rest = f"with {bends} on a radius of {{radius:.1f}} mm, got {{rise}} mm"
    below, wider = order.rise_mm < lowest, "choose a wider bar, which raises the highest rise, or another bend"
    for where, must, remedy in (
        (below, "from {low} to {high}", "choose a tighter die, which lowers the least rise, or another bend"),
        (~below & (lowest > 0.0), "from {low} to {high}", wider),
        (~below, "at most {high}", wider),  # the lower end is below the clamp flat, where no rise is
    ):
        refuse_where(
            short & where,
            f"rise must be {must} mm {rest}",
            remedy=remedy,
            low=low,
            high=high,
            rise=order.rise_mm,
            **bar,
        )
