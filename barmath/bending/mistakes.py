"""The usual mistakes at the bender: what bar comes out, how it shows on the bench, and whether it can be saved.

A mistake changes what is set at one step, or at all of them; the steps after it are done by the book on the tube as it
is then. What it shows, and whether it can be saved, is worked out from the bar and not from the mistake.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.bending.finder import flats_to_read
from barmath.bending.holds import BENDS, OTHER_BEND, Hold, bend_name, check_holds, made_so_far, straight_name
from barmath.bending.settings import Setting, Slips, bends_from_settings, settings_from_bends
from barmath.bending.stops import differ
from barmath.refusal import BendError, Number, checked_single, quoted
from barmath.shop.setup import Setup
from barmath.shop.tolerance import MOST_TWEAK_DEG, MOST_TWIST_DEG
from barmath.space.centerline import TubeBends, check_one_tube, cut_length_mm, nodes_of_bends
from barmath.space.two_sides import TwoSides, two_sides_from_bends

SLACK_DEG = 3.0
"""By how much a tube may roll as the hook takes up its slack: common practice, no source."""

SHOWS_DEG, SHOWS_MM = 0.5, 2.0
"""Differences below which nobody would see a thing on the bench: common practice, no source."""


@dataclass(frozen=True)
class Mistake:
    """One kind of mistake.

    `whole` is True where it runs through all steps; else it is made at one step. `needs_reading` is True where that
    step must have something to read.
    """

    key: str
    title: str
    what: str
    whole: bool = False
    needs_reading: bool = False


FLIPPED, WRONG_FLAT, SIGN, WRONG_MARK, NO_SPRINGBACK, SLACK, SWAPPED = MISTAKES = (
    Mistake(
        "flipped",
        "Flipped the wrong way",
        "the flat leads to the other side, and its reading is right",
        False,
        True,
    ),
    Mistake("wrong flat", "Read on the wrong flat", "the right reading, but on another flat", False, True),
    Mistake("sign", "Sign of the reading", "the flat climbs where it should fall", False, True),
    Mistake("wrong mark", "Wrong end of the arc at the die", "the bend begins where it should end"),
    Mistake("no springback", "Springback forgotten", "each stop set to the angle that is wanted", True),
    Mistake("slack", "Read before the slack was taken up", "the hook rolls the tube after the reading", False, True),
    Mistake("swapped", "Inner and outer stop swapped", "each stop set to the angle of the other bend", True),
)


class Outcome(NamedTuple):
    """What came of a mistake.

    `bends` is the bar that comes out, `sides` what each side measures. `shows` says
    how it is seen on the bench, each in a sentence; empty where nothing can be seen. `saved` says whether it can be
    saved, `how` in what way or why not.
    """

    bends: TubeBends
    sides: TwoSides
    shows: tuple[str, ...]
    saved: bool
    how: str


def outcome_of_mistake(
    mistake: Mistake,
    step: int,
    bends: TubeBends,
    holds: tuple[Hold, ...],
    setup: Setup,
    *,
    stem_roll_deg: Number = 0.0,
    slack_deg: float = SLACK_DEG,
) -> Outcome:
    """The bar that comes of `mistake`, made at `step` (from 0) of bending the bar `bends` in the sequence of `holds`.

    Parameters
    ----------
    mistake : Mistake
        One of `MISTAKES`.
    step : int
        From 0.
    bends : TubeBends
        Of the bar that is meant.
    holds : tuple of Hold
        The sequence in which it is bent.
    setup : Setup
    stem_roll_deg : number
        With which the bar is measured.
    slack_deg : number
        By how much the hook rolls the tube after the reading, where that is the mistake.

    Raises
    ------
    BendError
        The step has nothing that this mistake could go wrong with, or the plan has fewer steps.

    Examples
    --------
    >>> from barmath import Die, Recipe, Springback
    >>> from barmath.shop import Setup
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.0, 105.0))
    >>> from barmath.bending import MISTAKES, USUAL_HOLDS, outcome_of_mistake
    >>> setup = Setup(22.225, Die(101.6), Springback(0.032, 101.6))
    >>> outcome_of_mistake(MISTAKES[3], 0, bends, USUAL_HOLDS, setup).saved
    False
    """
    check_one_tube(bends)
    check_holds(holds, bends.bend_count)
    tools = setup.springback, setup.die, setup.bender
    settings = settings_from_bends(bends, holds, *tools)
    roll = checked_single("stem roll", stem_roll_deg, "deg")
    if not isinstance(step, int) or isinstance(step, bool) or step not in range(len(holds)):
        raise BendError(
            f"step must be one of the plan's {len(holds)}, counted from 0, got {quoted(step)}: "
            f"type a whole number from 0 to {len(holds) - 1}"
        )
    if mistake.needs_reading and settings[step].read_on is None:
        raise BendError(
            f"{mistake.title.lower()} must be made at a step with a reading, got step {step + 1}, where the tube is "
            "still straight: choose a later step"
        )
    if mistake is SWAPPED and not any(differ(settings[0].stop_deg, one.stop_deg) for one in settings):
        raise BendError(
            "inner and outer bends must differ for their stops to be swapped, got one stop of "
            f"{settings[step].stop_deg:.1f} deg for all: choose another outer bend"
        )
    wrong = _CHANGED[mistake.key](settings, step, bends, setup)
    slack_deg = checked_single("slack", slack_deg, "deg")
    slips = Slips(roll_deg=np.where(np.arange(len(holds)) == step, slack_deg, 0.0)) if mistake is SLACK else Slips()
    out = bends_from_settings(wrong, float(cut_length_mm(bends)), *tools, slips)
    sides = two_sides_from_bends(out, roll)
    saved, how = _saved(out, bends)
    shows = shows_on_the_bench(out, bends, sides, two_sides_from_bends(bends, roll))
    return Outcome(out, sides, shows, saved, how)


_Change = Callable[[tuple[Setting, ...], int, TubeBends, Setup], tuple[Setting, ...]]


def _at(settings: tuple[Setting, ...], step: int, **changed: object) -> tuple[Setting, ...]:
    return (*settings[:step], replace(settings[step], **changed), *settings[step + 1 :])  # type: ignore[arg-type]


def _flipped(settings: tuple[Setting, ...], step: int, bends: TubeBends, setup: Setup) -> tuple[Setting, ...]:
    return _at(settings, step, toward_die=not settings[step].toward_die)


def _on_another_flat(settings: tuple[Setting, ...], step: int, bends: TubeBends, setup: Setup) -> tuple[Setting, ...]:
    holds = tuple(setting.hold for setting in settings)
    flats = flats_to_read(bends, holds[step], made_so_far(holds)[step], setup.bender)
    others = [flat for flat in flats if flat.straight != settings[step].read_on]
    if not others:
        raise BendError(
            f"a reading on the wrong flat must have a second flat, got step {step + 1} with only the "
            f"{straight_name(settings[step].read_on or 0, bends.bend_count)}: choose a later step"
        )
    return _at(settings, step, read_on=others[0].straight, toward_die=others[0].toward_die)


def _sign_turned(settings: tuple[Setting, ...], step: int, bends: TubeBends, setup: Setup) -> tuple[Setting, ...]:
    return _at(settings, step, reading_deg=-settings[step].reading_deg)


def _other_mark(settings: tuple[Setting, ...], step: int, bends: TubeBends, setup: Setup) -> tuple[Setting, ...]:
    hold = settings[step].hold
    arc = float((bends.radii_mm * bends.bends_deg)[hold.number] * RADIAN)
    return _at(settings, step, mark_mm=settings[step].mark_mm + hold.onward * arc)


def _without_springback(
    settings: tuple[Setting, ...], step: int, bends: TubeBends, setup: Setup
) -> tuple[Setting, ...]:
    return tuple(replace(one, stop_deg=float(setup.springback.finished_bend_deg(one.stop_deg))) for one in settings)


def _as_they_were(settings: tuple[Setting, ...], step: int, bends: TubeBends, setup: Setup) -> tuple[Setting, ...]:
    return settings


def _stops_swapped(settings: tuple[Setting, ...], step: int, bends: TubeBends, setup: Setup) -> tuple[Setting, ...]:
    stop = {setting.hold.number: setting.stop_deg for setting in settings}
    return tuple(replace(setting, stop_deg=stop[OTHER_BEND[setting.hold.number]]) for setting in settings)


_CHANGED: dict[str, _Change] = {
    FLIPPED.key: _flipped,
    WRONG_FLAT.key: _on_another_flat,
    SIGN.key: _sign_turned,
    WRONG_MARK.key: _other_mark,
    NO_SPRINGBACK.key: _without_springback,
    SLACK.key: _as_they_were,
    SWAPPED.key: _stops_swapped,
}


def shows_on_the_bench(
    out: TubeBends, wanted: TubeBends, sides: TwoSides, meant: TwoSides | None = None
) -> tuple[str, ...]:
    """How the bar `out` is seen not to be the one `wanted`, each in a sentence; `sides` are what `out` measures.

    `meant` is what `wanted` measures; without it, with risers upright.

    Parameters
    ----------
    out, wanted : TubeBends
        Of the bar that came out, and of the one that was meant.
    sides : TwoSides
        What `out` measures.
    meant : TwoSides or None
        What `wanted` measures; None: with risers upright.

    Raises
    ------
    BendError
        A bar is not one tube of four bends.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.space import bends_from_recipe, two_sides_from_bends
    >>> bends = bends_from_recipe(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.0, 105.0))
    >>> shows_on_the_bench(bends, bends, two_sides_from_bends(bends))
    ()
    """
    meant = two_sides_from_bends(wanted) if meant is None else meant
    said = []
    rock = rock_of_risers_mm(out)
    if abs(sides.twist_deg) > 90.0:
        said.append("one riser stands up and the other hangs down")
    elif rock > SHOWS_MM:
        said.append(
            f"with both risers laid on a flat table, the bar rocks: the fourth point is {rock:.0f} mm above the table"
        )
    left, right = sides.backsweep_deg
    if left * right < 0.0 and min(abs(left), abs(right)) > SHOWS_DEG:
        said.append(
            "one grip sweeps to the rear and the other to the front: "
            f"backsweep {left:.1f} deg left and {right:.1f} deg right"
        )
    else:
        said += _measured("backsweep", sides.backsweep_deg, meant.backsweep_deg, "deg", SHOWS_DEG)
    said += _measured("upsweep", sides.upsweep_deg, meant.upsweep_deg, "deg", SHOWS_DEG)
    said += _measured("rise", sides.rise_mm, meant.rise_mm, "mm", SHOWS_MM)
    said += _measured("half width", sides.half_width_mm, meant.half_width_mm, "mm", SHOWS_MM)
    for number in range(len(BENDS)):
        off = float(out.bends_deg[number] - wanted.bends_deg[number])
        if abs(off) > SHOWS_DEG:
            said.append(f"the {bend_name(number)} reads {out.bends_deg[number]:.1f} deg, {_more_or_less(off, 'deg')}")
    for number in (1, 2, 3):
        off = float(out.straights_mm[number] - wanted.straights_mm[number])
        if abs(off) > SHOWS_MM:
            said.append(
                f"the {straight_name(number)} is {out.straights_mm[number]:.0f} mm straight, {_more_or_less(off, 'mm')}"
            )
    return tuple(said)


def _saved(out: TubeBends, wanted: TubeBends) -> tuple[bool, str]:
    angles = np.abs(out.bends_deg - wanted.bends_deg)
    rolls = (out.rolls_deg - wanted.rolls_deg)[1:]
    rolls = np.abs(rolls - 360.0 * np.round(rolls / 360.0)).round(9)  # a whole turn is no turn; 151.1 - 148.1 is 3
    moved = np.abs(_places_mm(out) - _places_mm(wanted))
    if moved.max() > SHOWS_MM:
        return False, (
            f"a bend cannot be moved along the tube, and one is {moved.max():.0f} mm off its place. It may still "
            "make another bar, if the other side is bent to match"
        )
    if rolls.max() > MOST_TWIST_DEG:
        return False, (
            f"the plane of a bend is {rolls.max():.0f} deg out. At most {MOST_TWIST_DEG:.0f} deg can be twisted "
            "cold (common practice, no source)"
        )
    if angles.max() > MOST_TWEAK_DEG:
        return False, (
            f"a bend is {angles.max():.1f} deg off. At most {MOST_TWEAK_DEG:.0f} deg can be tweaked cold "
            "(common practice, no source)"
        )
    how = []
    if angles.max() > SHOWS_DEG:
        how.append(f"tweak its bends by up to {angles.max():.1f} deg")
    if rolls.max() > SHOWS_DEG:
        how.append(f"take out a twist of {rolls.max():.1f} deg between two bends")
    return True, " and ".join(how) or "the bar is the one that was meant"


def _places_mm(bends: TubeBends) -> Array:
    # the middle of each arc along the straight tube
    arcs = bends.radii_mm * bends.bends_deg * RADIAN
    return np.cumsum(bends.straights_mm[:-1] + arcs) - 0.5 * arcs


def rock_of_risers_mm(bends: TubeBends) -> float:
    """How far one riser's outer end is off the plane through the clamp flat and the other riser, mm: what a bar rocks
    by when both risers should be on a flat table.

    Raises
    ------
    BendError
        The bends are not one bar's four.

    Examples
    --------
    >>> from barmath import Die, Recipe, Springback
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.3, 105.0))
    >>> from barmath.bending import rock_of_risers_mm
    >>> round(rock_of_risers_mm(bends), 6)
    0.0
    """
    check_one_tube(bends)
    if bends.bend_count != len(BENDS):
        raise BendError(f"a bar must have {len(BENDS)} bends, got {bends.bend_count}: give a whole bar")
    nodes = nodes_of_bends(bends).points_mm
    left_top, left_foot, right_foot, right_top = nodes[2], nodes[4], nodes[5], nodes[7]
    normal = np.cross(right_foot - left_foot, right_top - right_foot)
    size = float(np.linalg.norm(normal))
    return float(abs((left_top - left_foot) @ normal) / size) if size > 0.0 else 0.0


def _measured(what: str, sides: Array, meant: Array, unit: str, shows: float) -> list[str]:
    # where the sides differ, both; where they are alike and off, the two together
    left, right = sides
    if abs(left - right) > shows:
        return [f"{what} {left:.1f} {unit} left and {right:.1f} {unit} right"]
    if np.abs(sides - meant).max() > shows:
        return [f"{what} {np.mean(sides):.1f} {unit} on both sides, where {np.mean(meant):.1f} {unit} was meant"]
    return []


def _more_or_less(off: float, unit: str) -> str:
    figures = f"{abs(off):.1f}" if unit == "deg" else f"{abs(off):.0f}"
    return f"{figures} {unit} too {'much' if off > 0.0 else 'little'}"
