"""Refusals of a bar that has no room: riser and grip side by side, or a straight or a grip below 0."""

from __future__ import annotations

import numpy as np

from barmath.closed_forms.records import Order
from barmath.refusal import Number, refuse_where, told_bounds

_ROUNDING_MM = 1e-9
# a straight that is shorter than none by no more than this is none


def refuse_side_by_side(straight: Number, bend_deg: Number) -> None:
    """Raise BendError where the straight is infinite: no straight sets the rise."""
    refuse_where(
        np.isinf(straight),
        "riser and grip must not run side by side seen from the front, got that with a bend of {bend} deg",
        remedy="choose a larger bend or less sweep, so that a straight sets the rise",
        bend=bend_deg,
    )


def are_short(straight: Number, grip: Number) -> bool:
    """Whether a straight or a grip is below 0 anywhere."""
    return bool(np.min(straight, initial=0.0) < 0.0 or np.min(grip, initial=0.0) < 0.0)


def refuse_rise(
    order: Order, straight: Number, grip: Number, lowest: Number, highest: Number, radius_mm: Number, bend_deg: Number,
    outer_deg: tuple[Number, ...] = (),
) -> None:  # fmt: skip
    """Raise BendError where a straight or a grip is below 0: the sentence gives the window of rises that have room."""
    short = np.minimum(straight, grip) < -_ROUNDING_MM
    low, high = told_bounds(lowest, highest)
    bar = {"bend": bend_deg, "radius": radius_mm, "width": order.width_mm, "rise": order.rise_mm}
    bends = "bends of {bend} deg"
    if outer_deg:
        bends, bar["outer"] = "bends of {bend} and {outer} deg", outer_deg[0]
    refuse_where(
        short & (np.maximum(lowest, 0.0) > highest),
        f"width must leave room for two arcs either side, got {{width}} mm with {bends} on a radius of "
        "{radius:.1f} mm",
        remedy="choose a smaller bend, a tighter die or a wider bar",
        **bar,
    )
    for beyond, remedy in (
        (order.rise_mm < lowest, "choose a tighter die, which lowers the least rise, or another bend"),
        (order.rise_mm >= lowest, "choose a wider bar, which raises the highest rise, or another bend"),
    ):
        refuse_where(
            short & beyond,
            f"rise must be from {{low}} to {{high}} mm with {bends} on a radius of {{radius:.1f}} mm, got {{rise}} mm",
            remedy=remedy,
            low=low,
            high=high,
            **bar,
        )
