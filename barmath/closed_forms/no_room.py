"""Refusals of a bar that has no room: riser and grip side by side, or a straight or a grip below 0."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from barmath.closed_forms.records import Order
from barmath.refusal import Number, refuse_where, shown_bounds

_ROUNDING_MM = 1e-9  # a straight that is shorter than none by no more than this is none


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
        Riser and grip run side by side, or one of the two lengths is below 0: the message gives the window.
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
    low, high = shown_bounds(np.maximum(lowest, 1e-3), highest)  # a rise is above 0, whatever has room
    bar = {"bend": bends_deg[0], "outer": bends_deg[-1], "radius": radius_mm, "width": order.width_mm}
    bar |= {"low": low, "high": high, "rise": order.rise_mm}
    bends = "bends of {bend} deg" if len(bends_deg) == 1 else "bends of {bend} and {outer} deg"
    on = f"{bends} on a radius of {{radius:.1f}} mm"
    refuse_where(
        short & (np.maximum(lowest, 0.0) > highest),
        f"width must leave room for two arcs on each side, got {{width}} mm with {on}",
        remedy="choose a smaller bend, a tighter die or a wider bar",
        **bar,
    )
    wider = "choose a wider bar, which raises the highest rise, or another bend"
    for where, ends, remedy in (
        (order.rise_mm < lowest, "from {low} to", "choose a tighter die, which lowers the least rise, or another bend"),
        (lowest > 0.0, "from {low} to", wider), (True, "at most", wider),
    ):  # fmt: skip
        refuse_where(short & where, f"rise must be {ends} {{high}} mm with {on}, got {{rise}} mm", remedy=remedy, **bar)
