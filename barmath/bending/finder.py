"""What an angle finder shows on a flat of the partly bent tube, and how the tube is then.

Draw a straight line along the tube before the first bend. A bend turns the tube toward one side of it and twists
nothing. So its plane is given by one angle: alpha, at which its centre is about the tube's axis from that line. Before
the bend the tube is turned about its axis, until the angle finder shows its reading r. The finder is on a flat that
leads off the tube. Let w be the unit vector along that flat toward the bender, in the tube's own axes. With h its part
square to the tube, and omega that part's angle about the axis,

    sin r = onward side h sin(omega - alpha),   alpha = omega - delta  or  omega - 180 + delta,
    delta = arcsin(onward side sin r / h)

where onward is 1 or -1 as the free end is the tube's right or left end. For a die to the left side is 1, for one to the
right -1. Of the two, the first has the flat lead off away from the die, the second toward the die. A flat that is off
by less than the reading cannot show it. This is our own geometry, without a source; the tests hold it against the tube
placed in the bender.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.bending.holds import Hold, Made, bend_name, check_hold, straight_name
from barmath.refusal import BendError, quoted, refuse_where
from barmath.shop.bender import Bender
from barmath.space.centerline import TubeBends, check_one_tube

LEADS_OFF = 1e-6
"""A flat that leads off the tube by less than this, mm a mm, is in line with it: there is nothing to read."""

_ROUNDING = 1e-9  # of the sine of a reading


class Flat(NamedTuple):
    """A straight piece of the partly bent tube that an angle finder can be laid on.

    `straight` is its place along the tube from the left end; where bends not yet made leave several in one line, they
    reach from there to `last`. `length_mm` what is straight of it, `past` how many bends are between it and the hook.
    `reading_deg` is what it shows when the tube is as planned, positive where it climbs toward the bender. `toward_die`
    says whether it leads off to the side of the die. `roll_per_reading` is by how many degrees the tube is turned wrong
    for a degree that the reading is wrong; infinite where the flat is at its steepest.
    """

    straight: int
    last: int
    length_mm: float
    past: int
    reading_deg: float
    toward_die: bool
    roll_per_reading: float


def flats_to_read(bends: TubeBends, hold: Hold, made: Made, bender: Bender = Bender()) -> tuple[Flat, ...]:
    """Every flat that an angle finder can be laid on before the bend of `hold`, once those `made` (n) are bent.

    The nearest to the hook comes first, counted in bends; of two alike the one that shows the roll best.

    Parameters
    ----------
    bends : TubeBends
        Of one tube.
    hold : Hold
        The bend about to be made.
    made : array (n,) of bool
        The bends made before.
    bender : Bender

    Raises
    ------
    BendError
        The bends are not one tube's, or lack that bend.

    Examples
    --------
    >>> from barmath import Die, Recipe, Springback
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.3, 105.0))
    >>> from barmath.bending import USUAL_HOLDS, flats_to_read, made_so_far
    >>> [round(flat.reading_deg, 1) for flat in flats_to_read(bends, USUAL_HOLDS[2], made_so_far(USUAL_HOLDS)[2])]
    [14.0, 24.7]
    """
    check_one_tube(bends)
    check_hold(hold, bends.bend_count)
    return flats_of_each(bends, hold, np.asarray(made)[None], bender)[0]


def flats_of_each(bends: TubeBends, hold: Hold, made: Made, bender: Bender) -> list[tuple[Flat, ...]]:
    """The same of many tubes (m), or of one after many sets of bends `made` (m, n); unchecked."""
    if not made.any():
        return [()] * len(made)  # all of each tube is in one line
    number, alpha = hold.number, np.cumsum(bends.rolls_deg, -1) * RADIAN
    towards, leads = _toward_bender(bends.bends_deg * RADIAN * made, alpha, number)
    cosine, sine = np.cos(alpha[..., number, None]), np.sin(alpha[..., number, None])
    # h sin(omega - alpha) of the formula; then whether the flat leads toward the bend's centre, where the die is
    slopes = hold.onward * bender.die_side * (towards[..., 2] * cosine - towards[..., 1] * sine)
    toward_die = towards[..., 1] * cosine + towards[..., 2] * sine < 0.0
    readings = np.arcsin(np.clip(slopes, -1.0, 1.0)) / RADIAN + 0.0
    steepness = np.sqrt(np.maximum(leads**2 - slopes**2, 0.0))
    rolls = np.full(slopes.shape, np.inf)
    np.divide(np.sqrt(np.maximum(1.0 - slopes**2, 0.0)), steepness, out=rolls, where=steepness > LEADS_OFF)
    arcs = bends.radii_mm * bends.bends_deg * RADIAN
    lengths = (np.broadcast_to(of, (len(made), of.shape[-1])).tolist() for of in (bends.straights_mm, arcs))
    every = zip(made.tolist(), *lengths, *(of.tolist() for of in (leads, readings, toward_die, rolls)), strict=True)
    return [_flats(hold, bender.finder_foot_mm or 0.0, *numbers) for numbers in every]


def _flats(
    hold: Hold, foot: float, made: list[bool], straights: list[float], arcs: list[float], leads: list[float],
    readings: list[float], toward_die: list[bool], rolls: list[float],
) -> tuple[Flat, ...]:  # fmt: skip
    # of one tube: the straights that no made bend breaks are one flat, with the arcs not yet made
    edges = [0, *(place + 1 for place, bent in enumerate(made) if bent), len(straights)]
    flats = []
    for first, last in pairwise(edges):
        length = sum(straights[first:last]) + sum(arcs[first : last - 1])
        if first <= hold.number < last or length < foot or leads[first] <= LEADS_OFF:
            continue
        past = sum(made[min(first, hold.number) : max(first, hold.number)])
        flats.append(Flat(first, last - 1, length, past, readings[first], toward_die[first], rolls[first]))
    return tuple(sorted(flats, key=lambda flat: (flat.past, round(flat.roll_per_reading, 6), flat.straight)))


class PlannedReading(NamedTuple):
    """What the angle finder must show before the bend of `hold`.

    `flat` is the straight that is read, its place along the tube from the left end. `reading_deg` is positive where
    that straight climbs toward the bender; `toward_die` says whether it leads off to the side of the die.
    """

    hold: Hold
    flat: int
    reading_deg: float
    toward_die: bool


def alpha_from_reading(
    planned: PlannedReading, slip_deg: Array, theta: Array, alpha: Array, bender: Bender, slack: float = 0.0
) -> Array:
    """Alpha (...), radians, of a bend on a tube turned until its flat shows what is planned.

    Parameters
    ----------
    planned : PlannedReading
    slip_deg : array (...)
        By how much the flat is steeper than the angle finder shows.
    theta, alpha : arrays (..., n), radians
        The bends made so far, theta 0 where not made.
    bender : Bender
    slack : number
        By how much, mm a mm, the flat may be off less than the reading asks for: the tube is then turned to the
        flat's steepest.

    Raises
    ------
    BendError
        The tube lacks that flat, the flat is in line with the tube, or it cannot show the reading.
    """
    (hold, flat, reading_deg, toward_die), count = planned, theta.shape[-1]
    if isinstance(flat, bool) or flat not in range(count + 1):
        raise BendError(
            f"flat to read must be one of the tube's {count + 1}, counted from 0, got {quoted(flat)}: "
            f"type a whole number from 0 to {count}"
        )
    towards, leads = _toward_bender(theta, alpha, hold.number)
    h, omega = leads[..., flat], np.arctan2(towards[..., flat, 2], towards[..., flat, 1])
    name, on = bend_name(hold.number, count), straight_name(flat, count)
    refuse_where(
        h <= LEADS_OFF,
        f"{on} must be at an angle to the tube in the hook, got it in line with the tube before the {name}",
        remedy="read another flat, because this one cannot show the roll",
    )
    most = np.arcsin(np.clip(h, 0.0, 1.0)) / RADIAN
    refuse_where(
        abs(np.sin(reading_deg * RADIAN)) > h + slack + _ROUNDING,
        f"reading on the {on} must be at most {{most:most}} deg, got {{reading}} deg before the {name}",
        remedy="set a smaller reading or read another flat, because this is its angle to the tube in the hook",
        most=most,
        reading=abs(reading_deg),
    )
    delta = np.arcsin(np.clip(hold.onward * bender.die_side * np.sin((reading_deg + slip_deg) * RADIAN) / h, -1.0, 1.0))
    return omega - np.pi + delta if toward_die else omega - delta


def _toward_bender(theta: Array, alpha: Array, number: int) -> tuple[Array, Array]:
    # unit vectors (..., n + 1, 3) along each straight toward the bender, in the axes of the tube at bend `number`;
    # then how far each leads off the tube. Bends of theta 0 are not made
    count, turns = theta.shape[-1], _turn(theta, alpha)
    axes = np.empty((*turns.shape[:-3], count + 1, 3, 3))
    axes[..., 0, :, :] = np.eye(3)
    for bend in range(count):
        np.matmul(axes[..., bend, :, :], turns[..., bend, :, :], out=axes[..., bend + 1, :, :])
    seen = axes[..., :, 0] @ axes[..., number, :, :]
    seen = np.where(np.arange(count + 1)[:, None] > number, -seen, seen)
    return seen, np.hypot(seen[..., 1], seen[..., 2])


def _turn(theta: Array, alpha: Array) -> Array:
    # rotation by theta that turns the tangent (1, 0, 0) toward (0, cos alpha, sin alpha)
    c, s, y, z = np.cos(theta), np.sin(theta), np.cos(alpha), np.sin(alpha)
    rows = (
        (c, -s * y, -s * z),
        (s * y, z * z + c * y * y, (c - 1.0) * y * z),
        (s * z, (c - 1.0) * y * z, y * y + c * z * z),
    )
    turn = np.empty((*np.broadcast_shapes(np.shape(theta), np.shape(alpha)), 3, 3))
    for across, line in enumerate(rows):
        for place, number in enumerate(line):
            turn[..., across, place] = number
    return turn
