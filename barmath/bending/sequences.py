"""Every sequence in which a tube can be bent on one bender, either end in the hook: ranked, with reasons.

What a step meets depends only on the bend, the end in the hook and which bends were made before. So a bar of four bends
has 64 stations to look at, and its 384 sequences are walks through them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise, permutations, product

import numpy as np

from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold, bend_name, check_holds
from barmath.bending.settings import stop_for_bend_deg
from barmath.bending.stations import (
    HELD,
    ROUNDING,
    Station,
    every_station,
    failures_of,
    stations_of,
)
from barmath.bending.stops import moves_words, stop_moves
from barmath.refusal import BendError
from barmath.shop.bender import Bender
from barmath.shop.setup import Setup
from barmath.shop.tooling import Die, Springback
from barmath.space.centerline import TubeBends

MOST_BENDS = 5
"""A tube of more bends has too many sequences to be ranked: 46 080 for six."""

FLAT_SHOWS_NOTHING = 1000.0
"""Twice the degrees of roll for a degree misread from which a reading is as good as none: all beyond it ranks alike."""

ROOM_ENOUGH_MM = 50.0
"""Clearance above which more of it does not count in the ranking: our choice, no source."""


@dataclass(frozen=True)
class BendSequence:
    """One sequence of the bends of a tube, with what each step meets."""

    stations: tuple[Station, ...]
    count: int

    @property
    def holds(self) -> tuple[Hold, ...]:
        """Which bend, and which end in the hook, step by step."""
        return tuple(station.hold for station in self.stations)

    @property
    def fits(self) -> bool:
        """Whether the bender can make the tube in this sequence."""
        return all(station.fits for station in self.stations)

    @cached_property
    def roll_per_reading(self) -> float:
        """Root of the sum of squares of the degrees of roll that a degree of reading turns each step wrong."""
        return float(np.sqrt(sum(s.flat.roll_per_reading**2 for s in self.stations if s.flat)))

    @cached_property
    def least_clearance_mm(self) -> float:
        """The nearest that an arm comes to anything; infinite where nothing can be in the way."""
        return min(min(station.clearance_mm.values()) for station in self.stations)

    @cached_property
    def least_straight_mm(self) -> float:
        """Least spare straight in hook and follower."""
        return min(min(station.spare[need] for need in HELD if need in station.spare) for station in self.stations)

    @property
    def turns_end_for_end(self) -> int:
        """How often the tube must be turned end for end between two bends."""
        hooked = [hold.hooked for hold in self.holds]
        return sum(one != other for one, other in pairwise(hooked))

    @property
    def stop_moves(self) -> int:
        """How often the stop must be moved between two bends; 0 where all bends are equal."""
        return stop_moves([station.bend_deg for station in self.stations])

    def reason(self) -> str:
        """Why it fails, each step that does in turn; or what it leaves beyond its needs."""
        failures = [
            f"at step {step}, {bend_name(station.hold.number, self.count)}, {failure}"
            for step, station in enumerate(self.stations, 1)
            for failure in failures_of(station, self.count)
        ]
        if failures:
            return "; ".join(failures)
        near = self.least_clearance_mm
        clear = "no arm near anything" if near == np.inf else f"arms clear by {near:.0f} mm"
        return (
            f"straight {self.least_straight_mm:.0f} mm longer than needed, {clear}, "
            f"one degree misread rolls the tube by {self._worst_roll():.1f} deg at most"
            + (f", {moves_words(self.stop_moves)}" if self.stop_moves else "")
        )

    def _worst_roll(self) -> float:
        return max((station.flat.roll_per_reading for station in self.stations if station.flat), default=0.0)


def every_bend_sequence(
    bends: TubeBends, springback: Springback, die: Die, tube_diameter_mm: float, bender: Bender
) -> tuple[BendSequence, ...]:
    """All sequences of one tube's `bends` and both ends in the hook at each step, the best first.

    Those that fit come first. Among them the readings that show the roll best come first (in halves of a degree). Then
    follow the arms that keep furthest away (up to 50 mm), then the fewest turns end for end. After these come the
    fewest moves of the stop, then the most straight left. Last come those that keep longest to the usual sequence.
    Of the others those come first that miss the fewest needs, then those that lack the least straight.

    Parameters
    ----------
    bends : TubeBends
        Of one tube, at most `MOST_BENDS`.
    springback : Springback
    die : Die
    tube_diameter_mm : number
    bender : Bender

    Raises
    ------
    BendError
        The tube has no bend or more than `MOST_BENDS`, or the stop would be beyond the die's largest bend.

    Examples
    --------
    >>> from barmath import Die, Recipe, Springback
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.3, 105.0))
    >>> from barmath import Bender
    >>> from barmath.bending import every_bend_sequence
    >>> len(every_bend_sequence(bends, Springback(0.032, 101.6), Die(101.6), 22.225, Bender()))
    384
    """
    count = bends.bend_count
    if not 1 <= count <= MOST_BENDS:
        raise BendError(
            f"a tube must have 1 to {MOST_BENDS} bends for all its sequences to be ranked, got {count}: "
            "name one sequence"
        )
    stations = every_station(bends, Setup(tube_diameter_mm, die, springback, bender))
    sequences = []
    for numbers in permutations(range(count)):
        for hooks in product((LEFT, RIGHT), repeat=count):
            before, walk = 0, []
            for number, hooked in zip(numbers, hooks, strict=True):
                walk.append(stations[number, hooked, before])
                before |= 1 << number
            sequences.append(BendSequence(tuple(walk), count))
    return tuple(sorted(sequences, key=_rank))


def bend_sequence(bends: TubeBends, holds: tuple[Hold, ...], setup: Setup) -> BendSequence:
    """One sequence of a tube of any number of bends, with what each step meets.

    Parameters
    ----------
    bends : TubeBends
        Of one tube.
    holds : tuple of Hold
        Each bend once, in the sequence.
    setup : Setup

    Raises
    ------
    BendError
        The holds do not make each bend once, or the stop would be beyond the die's largest bend.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS, bend_sequence
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, setup_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends = bends_from_recipe(order_seven_recipe())
    >>> bend_sequence(bends, USUAL_HOLDS, setup_from_tube(TUBE, DIE)).fits
    True
    """
    check_holds(holds, bends.bend_count)
    made, walk = np.zeros(bends.bend_count, bool), []
    for hold in holds:
        stop_for_bend_deg(bends, hold, setup.springback, setup.die)  # refuses what the stop cannot be set to
        walk += stations_of(bends, hold, made[None], setup)
        made[hold.number] = True
    return BendSequence(tuple(walk), bends.bend_count)


def bend_sequence_of_each(
    tubes: TubeBends, holds: tuple[Hold, ...], setups: Sequence[Setup]
) -> tuple[BendSequence, ...]:
    """One sequence of each of many tubes at once, each with its own springback and die: see `bend_sequence`.

    Parameters
    ----------
    tubes : TubeBends of many tubes (m)
    holds : tuple of Hold
    setups : sequence of m Setup
        One for each tube; they share tube diameter and bender.

    Raises
    ------
    BendError
        The holds do not make each bend once.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.bending import USUAL_HOLDS, bend_sequence_of_each
    >>> from barmath.shop import DIE, TUBE, setup_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> tubes = bends_from_recipe(Recipe(60.0, 30.0, [80.0, 90.0], 28.9, 30.0, 200.0, 105.0))
    >>> setup = setup_from_tube(TUBE, DIE)
    >>> [sequence.fits for sequence in bend_sequence_of_each(tubes, USUAL_HOLDS, [setup, setup])]
    [True, True]
    """
    check_holds(holds, tubes.bend_count)
    dies = [setup.die for setup in setups]
    radius = np.array([die.centerline_radius_mm for die in dies])
    spring = Springback(np.array([setup.springback.ratio for setup in setups]), radius)
    half = 0.5 * setups[0].tube_diameter_mm
    depth = np.array([half if die.groove_depth_mm is None else die.groove_depth_mm for die in dies])
    rim = np.array([2.0 * half if die.rim_height_mm is None else die.rim_height_mm for die in dies])
    least = np.array([die.least_straight_mm for die in dies])
    each_die = Die(radius, least, groove_depth_mm=depth, rim_height_mm=rim)  # type: ignore[arg-type]
    each = replace(setups[0], die=each_die, springback=spring)
    made, steps = np.zeros(tubes.bend_count, bool), []
    for hold in holds:
        steps.append(stations_of(tubes, hold, made, each))
        made[hold.number] = True
    return tuple(BendSequence(walk, tubes.bend_count) for walk in zip(*steps, strict=True))


def _rank(sequence: BendSequence) -> tuple[float, ...]:
    # rounded to what a bench can see, so that no digit that nobody sees decides before the next reason
    missed = [(need, spare) for s in sequence.stations for need, spare in s.spare.items() if spare < -ROUNDING]
    return (
        len(missed),
        -sum(spare for need, spare in missed if need in HELD),
        round(min(2.0 * sequence.roll_per_reading, FLAT_SHOWS_NOTHING)),
        -round(min(max(sequence.least_clearance_mm, 0.0), ROOM_ENOUGH_MM)),
        sequence.turns_end_for_end,
        sequence.stop_moves,
        -round(sequence.least_straight_mm),
        *(hold != usual for hold, usual in zip(sequence.holds, USUAL_HOLDS, strict=False)),
    )
