"""A tube bent step by step, as it comes out: any number of bends, in any sequence, either end of the tube in the hook.

Every bend is given by three numbers. The first is where its arc starts along the straight tube, the second how far it
turns. The third is the angle alpha about the tube's axis at which its centre is (`barmath.bending.finder`). None of the
three depends on the sequence of the bends: the sequence decides only what can be held, read and swung.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.bending.finder import Flat, PlannedReading, alpha_from_reading, flats_to_read
from barmath.bending.holds import RIGHT, Hold, bend_name, check_hold, check_holds, made_so_far
from barmath.closed_forms.records import check_single
from barmath.fields import frozen, passing
from barmath.refusal import BendError, Number, as_number, check_shapes, checked_single, plain, refuse_where, tenths
from barmath.shop.bender import Bender
from barmath.shop.offsets import BEYOND_THE_STOP, edge_mark_mm, on_die_deg, stop_from_bend_deg, tangent_from_mark_mm
from barmath.shop.tooling import Die, Springback
from barmath.space.centerline import TubeBends, check_one_tube

BY_SLIPS = 0.05
"""How much less steep than its reading slips may leave a flat, mm a mm. Beyond that the plan itself is wrong."""

_ROUNDING = 1e-9  # degrees and mm: what is beyond a bound by less is at it


@dataclass(frozen=True)
class Setting:
    """What the builder sets for one bend of a tube.

    Parameters
    ----------
    hold : Hold
    mark_mm : number
        The line that goes to the die's edge, along the straight tube from its left end.
    stop_deg : number, above 0
    read_on : int or None
        The straight on which the angle finder is, from the left end; None: nothing to read, any roll will do.
    reading_deg : number
        What it must show, positive where that straight climbs toward the bender.
    toward_die : bool
        Whether that straight leads off to the side of the die.
    """

    hold: Hold
    mark_mm: float
    stop_deg: float
    read_on: int | None
    reading_deg: float = 0.0
    toward_die: bool = False


@frozen
class Slips:
    """What goes wrong at each step; every field a number or an array (..., steps), and arrays broadcast.

    `mark_mm` moves the line toward the tube's right end. `stop_deg` adds to the angle on the die, `reading_deg` to what
    the angle finder shows. `roll_deg` turns the tube after it was read (seen from the hook, against the clock).
    `springback` adds to the ratio k.

    Raises
    ------
    BendError
        A slip is no number, or the shapes do not broadcast.
    """

    mark_mm: Number = passing(as_number, "slip of the mark", unit="mm", default=0.0)
    stop_deg: Number = passing(as_number, "slip of the stop", unit="deg", default=0.0)
    reading_deg: Number = passing(as_number, "slip of the reading", unit="deg", default=0.0)
    roll_deg: Number = passing(as_number, "slip of the roll", unit="deg", default=0.0)
    springback: Number = passing(as_number, "slip of the springback", default=0.0)


class _Tube(NamedTuple):
    # what is bent so far, a last axis of n bends each: start of the arc, its length, bend and alpha in radians, radius
    start: Array
    arc: Array
    theta: Array
    alpha: Array
    radius: Array


def settings_from_bends(
    bends: TubeBends, holds: tuple[Hold, ...], springback: Springback, die: Die, bender: Bender = Bender()
) -> tuple[Setting, ...]:
    """What to set so that `bends` comes out, bent in the sequence of `holds`.

    Each reading is taken on the flat nearest to the hook, counted in bends; of two alike, on the one that shows the
    roll best. It must be long enough for the angle finder's foot.

    Parameters
    ----------
    bends : TubeBends
        One finished tube (no leading axes) of the radius that `springback` keeps.
    holds : tuple of Hold
    springback : Springback
    die : Die
    bender : Bender

    Returns
    -------
    tuple of Setting

    Raises
    ------
    BendError
        A bend is missing or made twice, or the stop would be beyond the die's largest bend. There is no flat for the
        angle finder.

    Examples
    --------
    >>> from barmath import Die, Recipe, Springback
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.3, 105.0))
    >>> from barmath.bending import USUAL_HOLDS, settings_from_bends
    >>> settings = settings_from_bends(bends, USUAL_HOLDS, Springback(0.032, 101.6), Die(101.6))
    >>> [round(setting.mark_mm, 1) for setting in settings]
    [510.0, 340.1, 610.8, 239.3]
    """
    return tuple(setting for setting, _ in settings_and_flats(bends, holds, springback, die, bender))


def settings_and_flats(
    bends: TubeBends, holds: tuple[Hold, ...], springback: Springback, die: Die, bender: Bender
) -> list[tuple[Setting, Flat | None]]:
    """The same with the flat that is read at each step; None where all of the tube is in one line."""
    check_holds(holds, bends.bend_count)
    made = made_so_far(holds)
    settings = []
    for step, hold in enumerate(holds):
        name, stop = bend_name(hold.number, bends.bend_count), stop_for_bend_deg(bends, hold, springback, die)
        flats = flats_to_read(bends, hold, made[step], bender)
        if step and not flats:
            raise BendError(
                f"the {name} must have a flat of at least {plain(bender.finder_foot_mm or 0.0)} mm for the angle "
                f"finder, got none after {_spoken(holds[:step], bends)}: make another bend first, because a flat must "
                "be at an angle to the tube in the hook"
            )
        flat = flats[0] if flats else None
        setting = Setting(
            hold,
            float(edge_mark_mm(tangent_points_mm(bends, hold), hold.onward, die)),
            stop,
            flat.straight if flat else None,
            flat.reading_deg if flat else 0.0,
            bool(flat and flat.toward_die),
        )
        settings.append((setting, flat))
    return settings


def bends_from_settings(
    settings: tuple[Setting, ...],
    length_mm: float,
    springback: Springback,
    die: Die,
    bender: Bender = Bender(),
    slips: Slips = Slips(),
) -> TubeBends:
    """The tube that comes out of `settings`, each step done on the tube as the steps before it left it.

    Parameters
    ----------
    settings : tuple of Setting
        In the sequence in which they are done.
    length_mm : number
        Of the straight tube.
    springback : Springback
        What the tube truly does.
    die : Die
        With its true line-up offset.
    bender : Bender
    slips : Slips
        Their leading axes (...) are tubes of their own. Where slips leave the flat too little slope for its reading,
        the tube is turned to its steepest.

    Returns
    -------
    TubeBends (...)
        Its first roll is 0.

    Raises
    ------
    BendError
        A bend is missing or made twice, or bends run into each other. A reading is larger than its flat can show.

    Examples
    --------
    >>> from barmath import Die, Recipe, Springback
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.3, 105.0))
    >>> from barmath.bending import USUAL_HOLDS, bends_from_settings, settings_from_bends
    >>> springback, die = Springback(0.032, 101.6), Die(101.6)
    >>> settings = settings_from_bends(bends, USUAL_HOLDS, springback, die)
    >>> bends_from_settings(settings, 850.0, springback, die).bends_deg.round(6)
    array([30., 30., 30., 30.])
    """
    count = len(settings)
    check_single(springback, die)
    length = checked_single("length of the tube", length_mm, "mm", above=0.0)
    check_holds(tuple(setting.hold for setting in settings), count)
    every = [getattr(slips, field.name) for field in fields(slips)]
    check_shapes("the slips and the steps", np.zeros(count), *every)
    lead = np.broadcast_shapes(*map(np.shape, every))
    mark, stop, reading, roll, k = (np.broadcast_to(slip, (*lead[:-1], count)) for slip in every)
    tube = _Tube(*(np.zeros((*lead[:-1], count)) for _ in _Tube._fields))
    slack = BY_SLIPS if lead else 0.0
    for step, setting in enumerate(settings):
        number, onward = setting.hold.number, setting.hold.onward
        ratio = springback.ratio + k[..., step]
        on_die = on_die_deg(setting.stop_deg + stop[..., step], die) * RADIAN
        refuse_where(
            (ratio >= 1.0) | (on_die <= 0.0), "slips must leave a bend to make, got a stop of {stop:.1f} deg",
            stop=on_die / RADIAN, remedy="choose a smaller slip of the stop",
        )  # fmt: skip
        tangent = tangent_from_mark_mm(setting.mark_mm + mark[..., step], onward, die)
        tube.arc[..., number] = die.centerline_radius_mm * on_die
        tube.start[..., number] = tangent - np.where(onward > 0.0, 0.0, tube.arc[..., number])
        tube.radius[..., number] = die.centerline_radius_mm / (1.0 - ratio)
        if setting.read_on is not None:
            planned = PlannedReading(setting.hold, setting.read_on, setting.reading_deg, setting.toward_die)
            slip = reading[..., step]
            tube.alpha[..., number] = alpha_from_reading(planned, slip, tube.theta, tube.alpha, bender, slack)
        tube.alpha[..., number] -= onward * roll[..., step] * RADIAN
        tube.theta[..., number] = on_die * (1.0 - ratio)  # last, because until now the bend is not made
    return _bends_from_tube(tube, length)


def stop_for_bend_deg(bends: TubeBends, hold: Hold, springback: Springback, die: Die) -> float:
    """What the stop is set to for the bend of `hold`, of one tube.

    Parameters
    ----------
    bends : TubeBends
        Of one tube.
    hold : Hold
    springback : Springback
    die : Die

    Raises
    ------
    BendError
        The stop would be beyond the die's largest bend, or the tube lacks that bend.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, stop_for_bend_deg
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, springback_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(order_seven_recipe())
    >>> print(f"{stop_for_bend_deg(bends, USUAL_HOLDS[0], springback_from_tube(TUBE, DIE), DIE):.1f} deg")
    31.0 deg
    """
    check_one_tube(bends)
    check_single(springback, die)
    check_hold(hold, bends.bend_count)
    stop = float(stop_from_bend_deg(float(bends.bends_deg[hold.number]), springback, die))
    if stop > die.largest_bend_deg + _ROUNDING:
        raise BendError(
            f"stop must be at most {plain(die.largest_bend_deg)} deg, {BEYOND_THE_STOP}, got "
            f"{tenths(stop, die.largest_bend_deg)} deg for the {bend_name(hold.number, bends.bend_count)}: "
            "choose a smaller bend"
        )
    return stop


def tangent_points_mm(bends: TubeBends, hold: Hold) -> Array:
    """Where the bend of `hold` starts to be made, along the straight tube from its left end: shape (...).

    Parameters
    ----------
    bends : TubeBends
        Of tubes (...).
    hold : Hold

    Raises
    ------
    BendError
        The tube lacks that bend.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, tangent_points_mm
    >>> from barmath.shop import order_seven_recipe
    >>> from barmath.space import bends_from_recipe
    >>> print(f"{tangent_points_mm(bends_from_recipe(order_seven_recipe()), USUAL_HOLDS[0]):.1f} mm")
    510.1 mm
    """
    check_hold(hold, bends.bend_count)
    arcs = bends.radii_mm * bends.bends_deg * RADIAN
    start = bends.straights_mm[..., : hold.number + 1].sum(-1) + arcs[..., : hold.number].sum(-1)
    return start + (arcs[..., hold.number] if hold.hooked == RIGHT else 0.0)


def _bends_from_tube(tube: _Tube, length_mm: float) -> TubeBends:
    edges = np.zeros((*tube.start.shape[:-1], 2 * tube.start.shape[-1] + 2))
    edges[..., 1:-1:2], edges[..., 2:-1:2], edges[..., -1] = tube.start, tube.start + tube.arc, length_mm
    straights = np.diff(edges, axis=-1)[..., 0::2]
    beyond = -straights[..., [0, -1]].min()
    refuse_where(
        beyond > _ROUNDING,
        "bends must be on the tube, got one that goes {beyond:.1f} mm beyond its end",
        remedy="set its mark further from that end",
        beyond=beyond,
    )
    refuse_where(
        straights.min() < -_ROUNDING,
        "bends must leave straight tube between them, got an overlap of {overlap:.1f} mm",
        remedy="move the marks apart",
        overlap=-straights.min(),
    )
    rolls = np.diff(tube.alpha, axis=-1, prepend=tube.alpha[..., :1]) / RADIAN
    rolls = rolls - 360.0 * np.round(rolls / 360.0)
    return TubeBends(np.maximum(straights, 0.0), tube.theta / RADIAN, rolls, tube.radius)


def _spoken(holds: tuple[Hold, ...], bends: TubeBends) -> str:
    return "the " + " and the ".join(bend_name(hold.number, bends.bend_count) for hold in holds)
