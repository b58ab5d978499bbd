"""How far the two sides of a bar may come out apart, from what stop, angle finder and marks may be off.

Both sides are bent one after the other, so their slips are independent and add up as the root of the sum of squares:

    apart^2 = sum over slips of (times sensitivity error)^2,   times = sqrt 2 for a slip that each side makes anew

A slip that both sides share, such as a stop that stands half a degree wrong all day, changes the bar but sets nothing
apart, and is no part of this.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

import numpy as np

from barmath.bar import Recipe, check_single
from barmath.refusal import BendError, checked_choice, checked_single
from barmath.sensitivity import (
    INNER_BEND,
    INNER_MARK,
    OUTER_BEND,
    OUTER_MARK,
    ROLL,
    STEM_ROLL,
    TUBE_END,
    Sensitivity,
    sensitivities_from_recipe,
)
from barmath.shape import RADIAN

STOP, FINDER, MARK = "stop", "angle finder", "mark"
TOOLS = (STOP, FINDER, MARK)

WITHIN = MappingProxyType({"backsweep_deg": 1.0, "upsweep_deg": 1.0, "rise_mm": 3.0})
"""How far apart the two sides may be, by fields of `Apart`: common practice, no source."""


@dataclass(frozen=True)
class BenchErrors:
    """How far off a tool may be from one bend to the next, plus or minus; what is the same for all bends not counted.

    Parameters
    ----------
    stop_deg : number, at least 0
        Between one bend and another at the same stop.
    finder_deg : number, at least 0
        Of one reading of the angle finder, with the play of tube and hook.
    mark_mm : number, at least 0
        Of one line, with its lining up at the die's edge.
    """

    stop_deg: float = 0.3
    finder_deg: float = 0.2
    mark_mm: float = 0.5

    def __post_init__(self) -> None:
        checked_single("error of the stop", self.stop_deg, "deg", least=0.0, most=10.0)
        checked_single("error of the angle finder", self.finder_deg, "deg", least=0.0, most=10.0)
        checked_single("error of a mark", self.mark_mm, "mm", least=0.0, most=50.0)

    def of(self, tool: str) -> float:
        """The error of one of `TOOLS`, degrees or mm; raises BendError for another tool."""
        return {STOP: self.stop_deg, FINDER: self.finder_deg, MARK: self.mark_mm}[checked_choice("tool", tool, TOOLS)]


_TELLS_NOTHING = 1e-6


class Apart(NamedTuple):
    """How far the two sides are apart in each measure."""

    rise_mm: float
    setback_mm: float
    backsweep_deg: float
    upsweep_deg: float


@dataclass(frozen=True)
class BudgetLine:
    """One slip: its name, the tool it comes from, and what a unit of that tool's error sets the sides apart."""

    name: str
    tool: str
    per_unit: Apart
    apart: Apart


@dataclass(frozen=True)
class ErrorBudget:
    """Every slip of a bar with `errors`, and how far all of them together set its sides apart."""

    errors: BenchErrors
    lines: tuple[BudgetLine, ...]
    total: Apart

    def greatest(self, measure: str) -> BudgetLine:
        """The slip that sets the sides most apart in `measure`, a field of `Apart`; raises BendError for another."""
        checked_choice("measure", measure, Apart._fields)
        return max(self.lines, key=lambda line: getattr(line.apart, measure))

    def keeps(self, within: Mapping[str, float] = WITHIN) -> bool:
        """Whether the two sides stay `within` what they may be apart."""
        return all(getattr(self.total, measure) <= goal for measure, goal in within.items())

    def most(self, tool: str, within: Mapping[str, float] = WITHIN) -> float:
        """Largest error of `tool` that keeps the two sides `within` what they may be apart, the others as they are.

        0 where the others use that up by themselves, infinite where the tool moves none of the measures. Raises
        BendError for a tool that is none of `TOOLS`.
        """
        checked_choice("tool", tool, TOOLS)
        allowed = np.inf
        for measure, goal in within.items():
            others = _sum_of_squares(getattr(line.apart, measure) for line in self.lines if line.tool != tool)
            slope = np.sqrt(
                _sum_of_squares(getattr(line.per_unit, measure) for line in self.lines if line.tool == tool)
            )
            if slope > 0.0:
                allowed = min(allowed, float(np.sqrt(max(goal**2 - others, 0.0)) / slope))
        return allowed


def error_budget(recipe: Recipe, errors: BenchErrors) -> ErrorBudget:
    """How far `errors` set the two sides of one bar apart, made in the usual order of bends.

    The roll is set by the clamp reading, so an inner bend that slips takes the roll with it:

        d(phi)/d(a) = -(d kappa/d a) / (d kappa/d phi)

    and the second inner bend is put in phase by levelling the arm bent first. The arm stands off the clamp axis by the
    inner bend a, so an error of its slope turns the two halves against each other by 1/sin a times as much.

    Parameters
    ----------
    recipe : Recipe
        One bar (no arrays).
    errors : BenchErrors

    Returns
    -------
    ErrorBudget

    Raises
    ------
    BendError
        Where the roll is 90 degrees and the clamp reading does not tell it.
    """
    check_single(recipe)
    slopes = sensitivities_from_recipe(recipe)
    per_reading = slopes[ROLL].clamp_reading_deg
    if abs(per_reading) < _TELLS_NOTHING:
        raise BendError(
            f"roll must be away from 90 deg, where the clamp reading does not tell it, got {recipe.roll_deg:.1f} deg: "
            "choose a larger bend or less sweep"
        )
    roll_per_inner = -slopes[INNER_BEND].clamp_reading_deg / per_reading
    arm = 1.0 / np.sin(recipe.inner_bend_deg * RADIAN)
    twice = np.sqrt(2.0)
    slips = (
        ("inner bends", STOP, _sum(_scaled(slopes[INNER_BEND], twice), _scaled(slopes[ROLL], twice * roll_per_inner))),
        ("outer bends", STOP, _scaled(slopes[OUTER_BEND], twice)),
        ("clamp reading", FINDER, _scaled(slopes[ROLL], twice / per_reading)),
        ("levelling of the bent arm", FINDER, _scaled(slopes[STEM_ROLL], arm)),
        ("inner marks", MARK, _scaled(slopes[INNER_MARK], twice)),
        ("outer marks", MARK, _scaled(slopes[OUTER_MARK], twice)),
        ("tube ends", MARK, _scaled(slopes[TUBE_END], twice)),
    )
    lines = tuple(
        BudgetLine(name, tool, per_unit, Apart(*(abs(slope) * errors.of(tool) for slope in per_unit)))
        for name, tool, per_unit in slips
    )
    columns = zip(*(line.apart for line in lines), strict=True)
    total = Apart(*(float(np.sqrt(_sum_of_squares(column))) for column in columns))
    return ErrorBudget(errors, lines, total)


def _scaled(slopes: Sensitivity, factor: float) -> Apart:
    return Apart(*(float(factor * getattr(slopes, measure)) for measure in Apart._fields))


def _sum(first: Apart, second: Apart) -> Apart:
    return Apart(*(one + other for one, other in zip(first, second, strict=True)))


def _sum_of_squares(numbers: Iterable[float]) -> float:
    return sum(number * number for number in numbers)
