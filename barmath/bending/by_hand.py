"""A bar bent by your own hands: pull after pull, each set as you like, and what habit led to what came out.

A pull says which end is in the hook and which line is at the die's edge. It also says how the tube is rolled and what
the stop is set to. Nothing says which bend of the bar it is meant to be: that is its place among the others along the
tube.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN
from barmath.bending.finder import flats_to_read
from barmath.bending.holds import BENDS, LEFT, OTHER_BEND, Hold, bend_name, made_so_far
from barmath.bending.settings import Setting, bends_from_settings, settings_from_bends, tangent_points_mm
from barmath.refusal import BendError, plain
from barmath.shop.offsets import on_die_deg, tangent_from_mark_mm
from barmath.shop.setup import Setup
from barmath.space.centerline import TubeBends, check_one_tube

ALIKE_DEG, ALIKE_MM = 0.3, 1.0
"""Differences of a setting below which it is as it should be: what one can read on finder, stop and rule."""


class Pull(NamedTuple):
    """One bend set by hand.

    `hooked` is the end in the hook. `mark_mm` is the line at the die's edge, along the straight tube from its left end;
    `stop_deg` the stop. `read_on` is the straight piece of the tube on which the angle finder is, counted from 0 at the
    left end; None: nothing to read. `reading_deg` is what it shows, positive where that piece climbs toward the bender;
    `toward_die` whether it leads off to the side of the die.
    """

    hooked: str
    mark_mm: float
    stop_deg: float
    read_on: int | None = None
    reading_deg: float = 0.0
    toward_die: bool = False

    @property
    def onward(self) -> float:
        """Where the free end is: 1 toward the tube's right end, -1 toward its left end."""
        return 1.0 if self.hooked == LEFT else -1.0


class HandBent(NamedTuple):
    """What came of pulls: the tube after them, and each pull as the setting of its bend."""

    bends: TubeBends
    settings: tuple[Setting, ...]

    @property
    def holds(self) -> tuple[Hold, ...]:
        """The bends in the sequence in which they were made."""
        return tuple(setting.hold for setting in self.settings)


def bent_by_hand(pulls: Sequence[Pull], length_mm: float, setup: Setup) -> HandBent:
    """The tube that comes out of `pulls`, one or more. Each is done on the tube as the pulls before it made it.

    Parameters
    ----------
    pulls : sequence of Pull
        One or more, in the sequence in which they are made.
    length_mm : number
        Of the straight tube.
    setup : Setup

    Raises
    ------
    BendError
        There is no pull, a reading is larger than its flat can show, or bends run into each other.

    Examples
    --------
    >>> from barmath import Die, Springback
    >>> from barmath.shop import Setup
    >>> setup = Setup(22.225, Die(101.6), Springback(0.032, 101.6))
    >>> bent_by_hand([Pull("left", 300.0, 31.0)], 800.0, setup).bends.bends_deg.round(2)
    array([30.01])
    """
    if not pulls:
        raise BendError("a bar bent by hand must have at least one pull, got none: pull once")
    settings = _settings(pulls, setup)
    return HandBent(bends_from_settings(settings, length_mm, setup.springback, setup.die, setup.bender), settings)


def pulls_from_settings(settings: Sequence[Setting]) -> tuple[Pull, ...]:
    """The pulls by which a hand does what `settings` say.

    Examples
    --------
    >>> from barmath.bending.settings import Setting
    >>> pulls_from_settings([Setting(Hold(2, "right"), 485.0, 31.0, None)])[0].mark_mm
    485.0
    """
    made: list[int] = []
    pulls = []
    for setting in settings:
        flat = setting.read_on
        piece = None if flat is None else sum(number < flat for number in made)
        pulls.append(
            Pull(setting.hold.hooked, setting.mark_mm, setting.stop_deg, piece, setting.reading_deg, setting.toward_die)
        )
        made.append(setting.hold.number)
    return tuple(pulls)


def habits_of_pulls(pulls: Sequence[Pull], bends: TubeBends, setup: Setup) -> tuple[str, ...]:
    """What was set otherwise than the bar `bends` asks for, and the habit that leads there, each in a sentence.

    Empty where everything was set as it should be. The pulls may be in any sequence, with either end in the hook.

    Parameters
    ----------
    pulls : sequence of Pull
        One for each bend.
    bends : TubeBends
        Of the bar that was asked for.
    setup : Setup

    Raises
    ------
    BendError
        There are not as many pulls as bends, or the bar cannot be made by those holds.

    Examples
    --------
    >>> from barmath import Die, Recipe, Springback
    >>> from barmath.bending import USUAL_HOLDS
    >>> from barmath.shop import Setup
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.0, 105.0))
    >>> setup = Setup(22.225, Die(101.6), Springback(0.032, 101.6))
    >>> right = settings_from_bends(bends, USUAL_HOLDS, setup.springback, setup.die, setup.bender)
    >>> habits_of_pulls(pulls_from_settings(right), bends, setup)
    ()
    """
    if len(pulls) != bends.bend_count:
        raise BendError(f"a bar of {bends.bend_count} bends must have as many pulls, got {len(pulls)}: pull again")
    settings = _settings(pulls, setup)
    holds = tuple(setting.hold for setting in settings)
    wanted = settings_from_bends(bends, holds, setup.springback, setup.die, setup.bender)
    made, said = made_so_far(holds), []
    stops = {one.hold.number: one.stop_deg for one in wanted}
    for step, (got, right) in enumerate(zip(settings, wanted, strict=True)):
        where = f"pull {step + 1}, {bend_name(got.hold.number, bends.bend_count)}"
        for words in (
            _mark_habit(got, right, bends, setup),
            _roll_habit(got, right, flats_to_read(bends, got.hold, made[step], setup.bender)),
            _stop_habit(got, right, stops, setup),
        ):
            if words:
                said.append(f"{where}: {words}")
    return tuple(said)


def _settings(pulls: Sequence[Pull], setup: Setup) -> tuple[Setting, ...]:
    # each bend's number is its place along the tube; of pieces read it is the first straight of the finished tube
    starts = []
    for pull in pulls:
        arc = setup.die.centerline_radius_mm * float(on_die_deg(pull.stop_deg, setup.die)) * RADIAN
        tangent = float(tangent_from_mark_mm(pull.mark_mm, pull.onward, setup.die))
        starts.append(tangent - (0.0 if pull.onward > 0.0 else arc))
    numbers = [int(number) for number in np.argsort(np.argsort(starts, kind="stable"), kind="stable")]
    settings = []
    for step, pull in enumerate(pulls):
        edges = [0, *(number + 1 for number in sorted(numbers[:step]))]
        straight = None
        if pull.read_on is not None:
            if pull.read_on not in range(len(edges)):
                raise BendError(
                    f"piece to read must be one of the tube's {len(edges)}, counted from 0, got {plain(pull.read_on)}: "
                    f"type a whole number from 0 to {len(edges) - 1}"
                )
            straight = edges[pull.read_on]
        settings.append(
            Setting(Hold(numbers[step], pull.hooked), pull.mark_mm, pull.stop_deg, straight, pull.reading_deg,
                    pull.toward_die)
        )  # fmt: skip
    return tuple(settings)


def _mark_habit(got: Setting, right: Setting, bends: TubeBends, setup: Setup) -> str:
    off = got.mark_mm - right.mark_mm
    if abs(off) <= ALIKE_MM:
        return ""
    arc = float((bends.radii_mm * bends.bends_deg)[got.hold.number]) * RADIAN
    if abs(off - got.hold.onward * arc) <= ALIKE_MM:
        return "the wrong end of the arc was at the die, so the bend begins where it should end"
    lines = [float(tangent_points_mm(bends, Hold(number, got.hold.hooked))) for number in range(bends.bend_count)]
    nearest = min(range(len(lines)), key=lambda number: abs(lines[number] - got.mark_mm))
    if nearest != got.hold.number and abs(lines[nearest] - got.mark_mm) <= ALIKE_MM:
        return f"the mark of the {bend_name(nearest, bends.bend_count)} was at the die"
    return f"the mark was {abs(off):.0f} mm off, to the {'right' if off > 0.0 else 'left'}"


def _roll_habit(got: Setting, right: Setting, flats: tuple) -> str:
    if right.read_on is None:
        return ""
    if got.read_on is None:
        return "nothing was read, so the roll was a guess"
    own = next((flat for flat in flats if flat.straight <= got.read_on <= flat.last), None)
    if own is None:
        return "the finder was on a flat that shows nothing"
    side, same = got.toward_die == own.toward_die, abs(got.reading_deg - own.reading_deg) <= ALIKE_DEG
    if same and side:
        return ""
    if own.straight != right.read_on and abs(got.reading_deg - right.reading_deg) <= ALIKE_DEG:
        return "the reading was right, but the finder was on the wrong flat"
    if same:
        return "the tube was flipped: the reading was right, and the flat led to the wrong side"
    turned = abs(got.reading_deg + own.reading_deg) <= ALIKE_DEG
    words = "the sign of the reading was wrong: the flat climbed where it should fall, or the other way round"
    return (
        (words if turned else f"the finder showed {abs(got.reading_deg):.1f} instead of {abs(own.reading_deg):.1f} deg")
        + ("" if side else ", and the flat led to the wrong side")
    )  # fmt: skip


def _stop_habit(got: Setting, right: Setting, stops: dict[int, float], setup: Setup) -> str:
    off = got.stop_deg - right.stop_deg
    if abs(off) <= ALIKE_DEG:
        return ""
    finished = float(setup.springback.finished_bend_deg(right.stop_deg))
    if abs(got.stop_deg - finished) <= ALIKE_DEG:
        return "the stop was set to the angle that is wanted, and springback was forgotten"
    other = OTHER_BEND.get(got.hold.number) if len(stops) == len(BENDS) else None
    if other is not None and abs(got.stop_deg - stops[other]) <= ALIKE_DEG:
        return "the stop of the other bend was set: inner and outer stop were swapped"
    return f"the stop was {abs(off):.1f} deg too {'high' if off > 0.0 else 'low'}"


def padded(bends: TubeBends, count: int = len(BENDS)) -> TubeBends:
    """The same tube with bends of 0 deg at its right end, so that it has `count` of them.

    Parameters
    ----------
    bends : TubeBends
        Of one tube.
    count : int
        Bends that it has then.

    Raises
    ------
    BendError
        The bends are not one tube's.

    Examples
    --------
    >>> padded(TubeBends([100.0, 200.0], [30.0], [0.0], [105.0])).bends_deg.tolist()
    [30.0, 0.0, 0.0, 0.0]
    """
    check_one_tube(bends)
    more = max(count - bends.bend_count, 0)
    nothing = np.zeros(more)
    return TubeBends(
        np.append(bends.straights_mm, nothing), np.append(bends.bends_deg, nothing),
        np.append(bends.rolls_deg, nothing), np.append(bends.radii_mm, np.full(more, bends.radii_mm[-1])),
    )  # fmt: skip
