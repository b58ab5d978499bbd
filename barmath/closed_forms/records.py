"""What the rider orders, how the bar is made, and what it then measures: Order, Recipe and Shape.

All three are frozen records of millimetres and degrees. Every field is a number or a NumPy array, and arrays broadcast.
So one record may hold a million bars. Frame: x to the rider's right along the clamp axis, y forward, z up, origin in
the middle of the clamp flat. The right half is described; the left is its mirror image.
"""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import numpy as np

from barmath.fields import frozen, passing
from barmath.refusal import BendError, Number, as_number, check_shapes, checked, refuse_where

LEAST_BEND_DEG = 0.1
"""The finest step of an ordinary angle finder: nobody can find the plane of a smaller bend at the bench."""

MOST_BEND_DEG = 179.0
"""Beyond it the two legs of a bend run side by side and their corner is out of reach."""

_NO_PLANE = "choose a larger bend, because nobody can find the plane of this one at the bench"

WIDTH_RANGE_MM = (350.0, 1000.0)
"""Overall width of a handlebar: ISO 4210-2:2014, 4.7.1."""

STEEPEST_SWEEP_DEG = 85.0
"""The largest sweep either way that can be ordered."""

LEAST_UPSWEEP_DEG, MOST_UPSWEEP_DEG = 0.0, 8.0
"""Upsweep that riders accept where they order none: common practice, no source."""


def checked_bend(name: str, bend_deg: object) -> Number:
    """`bend_deg` as a number from 0.1 to 179 deg; it raises BendError for anything else.

    Parameters
    ----------
    name : str
        What a refusal calls it.
    bend_deg : number or array

    Examples
    --------
    >>> from barmath.closed_forms import checked_bend
    >>> checked_bend("inner bend", 30)
    30.0
    """
    return checked(
        name, bend_deg, "deg", least=LEAST_BEND_DEG, most=MOST_BEND_DEG, remedy=(_NO_PLANE, "split the bend into two")
    )


def checked_stop(bend_deg: object, name: str = "bend") -> Number:
    """`bend_deg` of a bar's bends as a number from 0.1 to below 90 deg; it raises BendError for anything else.

    Parameters
    ----------
    bend_deg : number or array
    name : str
        What a refusal calls it.

    Examples
    --------
    >>> from barmath.closed_forms import checked_stop
    >>> checked_stop(30)
    30.0
    """
    steep = "choose a smaller bend, because a steeper riser leans inward"
    return checked(name, bend_deg, "deg", least=LEAST_BEND_DEG, below=90.0, remedy=(_NO_PLANE, steep))


def checked_radius(radius_mm: object) -> Number:
    """`radius_mm` as a number above 0 mm; it raises BendError for anything else.

    Examples
    --------
    >>> from barmath.closed_forms import checked_radius
    >>> checked_radius(105)
    105.0
    """
    return checked("centre-line radius", radius_mm, "mm", above=0.0)


def checked_turn(name: str, turn_deg: object) -> Number:
    """`turn_deg` as a number from -180 to 180 deg; it raises BendError for anything else.

    Parameters
    ----------
    name : str
        What a refusal calls it.
    turn_deg : number or array

    Examples
    --------
    >>> from barmath.closed_forms import checked_turn
    >>> checked_turn("roll", -30)
    -30.0
    """
    remedy = "give the same turn as an angle from -180 to 180 deg"
    return checked(name, turn_deg, "deg", least=-180.0, most=180.0, remedy=remedy)


def _checked_sweep(name: str, sweep_deg: object) -> Number:
    remedy = "measure the sweep from the clamp axis, not from straight ahead"
    return checked(name, sweep_deg, "deg", least=-STEEPEST_SWEEP_DEG, most=STEEPEST_SWEEP_DEG, remedy=remedy)


@frozen
class Order:
    """What a rider orders.

    Parameters
    ----------
    rise_mm : number or array, above 0
        Height of the bar-end centre above the clamp axis, as the bar is clamped in the stem.
    backsweep_deg : number or array, inside -85..85
        Angle of the grip to the clamp axis seen from above, positive rearward.
    width_mm : number or array, 350..1000
        From bar-end centre to bar-end centre (limits: ISO 4210-2:2014, 4.7.1).
    upsweep_deg : number or array inside -85..85, or None
        The same angle seen from the front. None: the risers are upright and the upsweep results from the bends.
    clamp_flat_mm : number or array, above 0
        Straight in the middle that the stem clamps. The usual 50 mm take a clamp 40 mm wide, with 5 mm on each side
        (common practice, no source).
    controls_mm : number or array, at least 0
        Straight wanted at each end for hand and controls. The usual 200 mm take 130 mm for the hand and 70 mm of brake
        lever and shifter (common practice, no source).
    least_upsweep_deg, most_upsweep_deg : number or array, inside -85..85
        Upsweep that the rider accepts where none is ordered. The usual 0 to 8 degrees are common practice, no source.

    Raises
    ------
    BendError
        A field is not a finite number or is outside its range. The least upsweep is above the most, or shapes do not
        broadcast.
    """

    rise_mm: Number = passing(
        checked, "rise", unit="mm", above=0.0, remedy="give a rise, because without one there is no riser to bend"
    )
    backsweep_deg: Number = passing(_checked_sweep, "backsweep")
    width_mm: Number = passing(
        checked,
        "width",
        unit="mm",
        least=WIDTH_RANGE_MM[0],
        most=WIDTH_RANGE_MM[1],
        rule="the range of ISO 4210-2 4.7.1",
        remedy="order a width from 350 to 1000 mm",
    )
    upsweep_deg: Number | None = passing(_checked_sweep, "upsweep", default=None)
    clamp_flat_mm: Number = passing(checked, "clamp flat", unit="mm", above=0.0, default=50.0)
    controls_mm: Number = passing(checked, "room for controls", unit="mm", least=0.0, default=200.0)
    least_upsweep_deg: Number = passing(_checked_sweep, "least upsweep", default=LEAST_UPSWEEP_DEG)
    most_upsweep_deg: Number = passing(_checked_sweep, "most upsweep", default=MOST_UPSWEEP_DEG)

    def _check_together(self) -> None:
        check_shapes("the order", *(value for value in vars(self).values() if isinstance(value, np.ndarray)))
        refuse_where(
            np.greater(self.least_upsweep_deg, self.most_upsweep_deg),
            "least upsweep must be at most {most} deg, the most upsweep that is accepted, got {least} deg",
            remedy="swap the two",
            least=self.least_upsweep_deg,
            most=self.most_upsweep_deg,
        )


@frozen
class Recipe:
    """How a bar is made: its straights, its bends and the turn between their planes, as finished.

    Parameters
    ----------
    clamp_flat_mm : number or array, at least 0
        Straight between the two inner bends.
    inner_bend_deg, outer_bend_deg : number or array, 0.1..179
        Angle that each bend keeps once the tube has sprung back.
    straight_mm : number or array, at least 0
        Straight of the riser, between the arcs.
    roll_deg : number or array, -180..180
        Turn of the tube about the riser's axis between the two bends: at 0 the outer bend undoes the inner one,
        positive sweeps the grip back.
    grip_mm : number or array, at least 0
        Straight of the grip.
    radius_mm : number or array, above 0
        Finished centre-line radius of all bends.
    stem_roll_deg : number or array, -180..180
        Turn of the finished bar in the stem about the clamp axis: 0 = risers upright, positive carries their tops
        rearward.

    Raises
    ------
    BendError
        A field is not a finite number or is outside its range, or shapes do not broadcast.
    """

    clamp_flat_mm: Number = passing(checked, "clamp flat", unit="mm", least=0.0)
    inner_bend_deg: Number = passing(checked_bend, "inner bend")
    straight_mm: Number = passing(checked, "straight between bends", unit="mm", least=0.0)
    roll_deg: Number = passing(checked_turn, "roll between bends")
    outer_bend_deg: Number = passing(checked_bend, "outer bend")
    grip_mm: Number = passing(checked, "grip straight", unit="mm", least=0.0)
    radius_mm: Number = passing(checked_radius)
    stem_roll_deg: Number = passing(checked_turn, "stem roll", default=0.0)


@frozen
class Shape:
    """What a bar measures, clamped in its stem.

    `rise_mm`, `setback_mm`: height of the bar-end centre above the clamp axis, and how far it is behind it.
    `backsweep_deg`, `upsweep_deg`: angle of the grip to the clamp axis seen from above and from the front.
    `width_mm`: bar-end centre to bar-end centre. `cut_length_mm`: straight tube that makes the bar. It raises BendError
    if a bar end is on the other side of the middle.
    """

    rise_mm: Number = passing(as_number, "rise", unit="mm")
    backsweep_deg: Number = passing(checked_turn, "backsweep")
    upsweep_deg: Number = passing(checked_turn, "upsweep")
    width_mm: Number = passing(
        checked,
        "width",
        unit="mm",
        above=0.0,
        rule="with each bar end on its own side",
        remedy="choose smaller bends or a longer clamp flat",
    )
    setback_mm: Number = passing(as_number, "setback", unit="mm")
    cut_length_mm: Number = passing(checked, "cut length", unit="mm", above=0.0)


def check_single(*records: Any) -> None:
    """Raise BendError where a record (order, tube, die) holds an array: here it must be one bar's.

    Examples
    --------
    >>> from barmath import Order
    >>> from barmath.closed_forms import check_single
    >>> check_single(Order(90, 14, 800, None, 60, 170))  # one order: nothing is raised
    """
    for record in records:
        for field in fields(record):
            value = getattr(record, field.name)
            if isinstance(value, np.ndarray):
                what, quantity = type(record).__name__.lower(), field.name.rsplit("_", 1)[0].replace("_", " ")
                raise BendError(
                    f"{what} must be a single one, got an array of shape {value.shape} as its {quantity}: "
                    f"give one {what} at a time"
                )
