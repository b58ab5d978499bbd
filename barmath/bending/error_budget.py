"""How far apart the two sides of a bar may come out, from errors of stop, angle finder and marks.

Every error here is one standard deviation: two bends in three are off by less, 19 in 20 by less than twice as much.
Both sides are bent one after the other. So their slips are independent and add up as the root of the sum of squares:

    apart^2 = sum over slips of (times sensitivity error)^2,   times = sqrt 2 for a slip that each side makes for itself

This is the law of propagation of uncertainty of ISO/IEC Guide 98-3, 5.1.2 (from memory).
Some slips are shared by both sides, such as a stop that is half a degree wrong all day. They change the bar but set
nothing apart, and are no part of this. Inner and outer bends may have a setting each. In the usual sequence the stop is
moved once, between the inner and the outer bends. So both sides share both settings.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN
from barmath.checking.bench_errors import FINDER, MARK, STOP, TOOLS, BenchErrors
from barmath.closed_forms.records import Recipe, check_single
from barmath.closed_forms.sensitivity import (
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
from barmath.refusal import BendError, checked_choice
from barmath.shop.tolerance import USUAL

LEVELLING = "levelling of the bent arm"

WITHIN = USUAL.apart
"""How far apart the two sides may be, by fields of `Apart`."""

KEPT_SHARE = 0.95
"""Share of bars that must keep the goal before a shop is said to keep it: our choice, no source."""

DRAWS = 10_000
"""Bars drawn at random for a share: it is then good to about 2 in 1000 where 95 in 100 bars keep the goal."""

SHOWS_NOTHING = 1e-6
"""Degrees of clamp reading for a degree of roll below which the reading does not show the roll."""


class Apart(NamedTuple):
    """How far the two sides are apart in each measure."""

    rise_mm: float
    setback_mm: float
    backsweep_deg: float
    upsweep_deg: float


@dataclass(frozen=True)
class BudgetLine:
    """One slip: its name, the tool it comes from, and what a unit of that tool's error sets the sides apart.

    `apart` is one standard deviation, as is the tool's error.
    """

    name: str
    tool: str
    per_unit: Apart
    apart: Apart


@dataclass(frozen=True)
class ErrorBudget:
    """Every slip of a bar with `errors`, and how far all of them together set its sides apart: standard deviations."""

    errors: BenchErrors
    lines: tuple[BudgetLine, ...]
    total: Apart

    def greatest(self, measure: str) -> BudgetLine:
        """The slip that sets the sides most apart in `measure`, a field of `Apart`. It raises BendError for another."""
        checked_choice("measure", measure, Apart._fields)
        return max(self.lines, key=lambda line: getattr(line.apart, measure))

    @property
    def of_a_side(self) -> Apart:
        """How far one side comes out off what was wanted by these slips, standard deviations.

        Between two sides a slip that each makes for itself counts sqrt 2 times; the levelling turns each half by half.
        """
        shares = [0.5 if line.name == LEVELLING else np.sqrt(0.5) for line in self.lines]
        columns = zip(*(line.apart for line in self.lines), strict=True)
        return Apart(*(float(np.linalg.norm(np.multiply(column, shares))) for column in columns))

    def share(self, within: Mapping[str, float] = WITHIN) -> float:
        """Share of bars, 0 to 1, with sides that are `within` what they may be apart in every measure at once.

        The slips are independent and normal; one slip moves several measures, so bars are drawn and counted.
        """
        every = {tool: self.errors.of(tool) for tool in TOOLS}
        return _share(_drawn(self.lines, within, every), within)

    def keeps(self, within: Mapping[str, float] = WITHIN) -> bool:
        """Whether at least `KEPT_SHARE` of all bars have their sides `within` what they may be apart."""
        return self.share(within) >= KEPT_SHARE

    def most(self, tool: str, within: Mapping[str, float] = WITHIN) -> float:
        """Largest error of `tool` at which the shop still keeps `within`, the other tools as they are.

        0 where the others use that up by themselves, infinite where the tool moves none of the measures. Raises
        BendError for a tool that is none of `TOOLS`.
        """
        checked_choice("tool", tool, TOOLS)
        slips = [line.per_unit for line in self.lines if line.tool == tool]
        steep = {measure: np.sqrt(_sum_of_squares(getattr(slip, measure) for slip in slips)) for measure in within}
        bounds = [goal / steep[measure] for measure, goal in within.items() if steep[measure] > 0.0]
        if not bounds:
            return np.inf
        unit = _drawn(self.lines, within, {tool: 1.0})
        others = _drawn(self.lines, within, {other: self.errors.of(other) for other in TOOLS if other != tool})
        least, most = 0.0, min(bounds)  # at `most` a third of all bars are out by this tool alone
        if _share(others, within) < KEPT_SHARE:
            return 0.0
        # halved by hand: the share is a staircase of whole bars. A root finder may end on the step that is too high
        while most - least > 1e-4 * min(bounds):
            middle = 0.5 * (least + most)
            least, most = (middle, most) if _share(others + middle * unit, within) >= KEPT_SHARE else (least, middle)
        return float(least)


@lru_cache(maxsize=1)
def _luck(slips: int) -> NDArray[np.float64]:
    # the same bars for every budget, so that budgets are compared by what they are
    return np.random.default_rng(1).standard_normal((DRAWS, slips))


def _drawn(
    lines: tuple[BudgetLine, ...], within: Mapping[str, float], errors: Mapping[str, float]
) -> NDArray[np.float64]:
    # how far apart the sides of each drawn bar are, (bars, measures), with these errors of the tools
    slopes = np.array([[getattr(line.per_unit, measure) for measure in within] for line in lines])
    return _luck(len(lines)) @ (slopes * [[errors.get(line.tool, 0.0)] for line in lines])


def _share(apart: NDArray[np.float64], within: Mapping[str, float]) -> float:
    return float((np.abs(apart) <= np.array(list(within.values()))).all(-1).mean())


def error_budget(recipe: Recipe, errors: BenchErrors) -> ErrorBudget:
    """How far `errors` set the two sides of one bar apart, made in the usual sequence of bends.

    The roll is set by the clamp reading, so an inner bend that slips takes the roll with it:

        d(phi)/d(a) = -(d kappa/d a) / (d kappa/d phi)    (both in `barmath.derivation.sensitivity`)

    and the second inner bend is brought into the plane of the first by levelling the arm bent first. The arm is off the
    clamp axis by the inner bend a. So an error of its slope turns the two halves against each other by 1/sin a times as
    much.

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
        The recipe holds arrays: take one bar at a time. The roll is 90 degrees, where the clamp reading does not show
        it.

    Examples
    --------
    >>> from barmath import Recipe
    >>> recipe = Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.3, 105.0)
    >>> from barmath.bending import error_budget
    >>> from barmath.checking import BenchErrors
    >>> print(f"{error_budget(recipe, BenchErrors()).total.rise_mm:.1f} mm of rise apart")
    2.8 mm of rise apart
    """
    check_single(recipe)
    slopes = sensitivities_from_recipe(recipe)
    per_reading = slopes[ROLL].clamp_reading_deg
    if abs(per_reading) < SHOWS_NOTHING:
        raise BendError(
            f"roll must not be near 90 deg, where the clamp reading does not show it, got {recipe.roll_deg:.1f} deg: "
            "choose a larger bend or less sweep"
        )
    roll_per_inner = -slopes[INNER_BEND].clamp_reading_deg / per_reading
    arm = 1.0 / np.sin(recipe.inner_bend_deg * RADIAN)
    twice = np.sqrt(2.0)
    slips = (
        ("inner bends", STOP, _sum(_scaled(slopes[INNER_BEND], twice), _scaled(slopes[ROLL], twice * roll_per_inner))),
        ("outer bends", STOP, _scaled(slopes[OUTER_BEND], twice)),
        ("clamp reading", FINDER, _scaled(slopes[ROLL], twice / per_reading)),
        (LEVELLING, FINDER, _scaled(slopes[STEM_ROLL], arm)),
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
