"""How sure rise and backsweep of a bar are before it is bent: one line a cause, and the total."""

from __future__ import annotations

import math
from typing import NamedTuple

from barmath.bending.error_budget import SHOWS_NOTHING, error_budget
from barmath.checking.bench_errors import USUAL_ERRORS, BenchErrors
from barmath.closed_forms.records import Recipe, check_single
from barmath.closed_forms.sensitivity import (
    INNER_BEND,
    INNER_MARK,
    OUTER_BEND,
    OUTER_MARK,
    ROLL,
    sensitivities_from_recipe,
)
from barmath.lengths import MM_PER_INCH
from barmath.refusal import checked_choice
from barmath.shop.die_calibration import UNSURE_CONSTANT_DEG, UNSURE_OFFSET_MM, UNSURE_RATIO, DieCalibration
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, springback_from_tube


class Cause(NamedTuple):
    """One cause: its name, and the standard errors of rise and backsweep that it alone leaves on a bar."""

    name: str
    rise_mm: float
    backsweep_deg: float


class Unsure(NamedTuple):
    """How far one side of a bar may come out off, by one standard error: in all, and cause by cause.

    `source` says where the springback comes from.
    """

    rise_mm: float
    backsweep_deg: float
    source: str
    causes: tuple[Cause, ...]


BENCH = "slips at the bench"

UNSURE_ONCE = 0.2
"""Share by which a springback may be wrong that was measured once, one standard error: common practice, no source."""


def unsure(
    recipe: Recipe,
    tube: Tube,
    die: Die,
    calibration: DieCalibration | None,
    errors: BenchErrors = USUAL_ERRORS,
) -> Unsure:
    """How sure rise and backsweep of one side of a bar are: springback, line-up offset, and the slips of the bench.

    The bends of a bar are off alike by the springback, and the clamp reading is as set. Both marks of a side move apart
    together by the offset; the slips of the bench are new at each bend (`barmath.bending.error_budget`):

        rise^2 = ((rise by inner bend + by outer bend + by the roll it takes with it) kept error)^2
                 + ((rise by outer mark - by inner mark) offset error)^2 + (slips at the bench)^2

    This is the law of propagation of uncertainty of ISO/IEC Guide 98-3, 5.1.2 (from memory).

    Parameters
    ----------
    recipe : Recipe
        One bar (no arrays).
    tube : Tube
    die : Die
    calibration : DieCalibration or None
        None where the springback comes from theory, or was measured once without saying how surely.
    errors : BenchErrors

    Returns
    -------
    Unsure
        Standard errors, mm and degrees; the total is the root of the sum of squares of the causes.

    Raises
    ------
    BendError
        Recipe, tube or die hold arrays: take one bar at a time.

    Examples
    --------
    >>> from barmath.bending import unsure
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe
    >>> sure = unsure(order_seven_recipe(), TUBE, DIE, None)
    >>> print(f"rise {sure.rise_mm:.1f} mm, backsweep {sure.backsweep_deg:.1f} deg")
    rise 3.2 mm, backsweep 0.3 deg
    """
    check_single(recipe, tube, die)
    slopes = sensitivities_from_recipe(recipe)
    kept, offset = _errors(recipe, tube, die, calibration)
    per_reading = slopes[ROLL].clamp_reading_deg
    with_roll = 0.0 if abs(per_reading) < SHOWS_NOTHING else -slopes[INNER_BEND].clamp_reading_deg / per_reading

    def by_bends(measure: str) -> float:
        bends = sum(getattr(slopes[slip], measure) for slip in (INNER_BEND, OUTER_BEND))
        return float(abs(bends + with_roll * getattr(slopes[ROLL], measure)))

    def by_offset(measure: str) -> float:
        return float(abs(getattr(slopes[OUTER_MARK], measure) - getattr(slopes[INNER_MARK], measure)))

    causes = [Cause(name, by_bends("rise_mm") * error, by_bends("backsweep_deg") * error) for name, error in kept]
    causes.append(Cause("line-up offset", by_offset("rise_mm") * offset, by_offset("backsweep_deg") * offset))
    if abs(per_reading) >= SHOWS_NOTHING:  # at a roll of 90 deg the clamp reading does not set the roll: no budget
        side = error_budget(recipe, errors).of_a_side
        causes.append(Cause(BENCH, side.rise_mm, side.backsweep_deg))
    if calibration is not None:
        source = f"springback measured, {calibration.date}, {calibration.source}"
    elif die.springback_ratio is not None:
        source = "springback as in the shop's file, where nobody noted how sure it is"
    else:
        source = "springback from theory: it may be half more, or half less"
    rise, backsweep = (math.hypot(*(getattr(cause, name) for cause in causes)) for name in Cause._fields[1:])
    return Unsure(rise, backsweep, source, tuple(causes))


def unsure_words(sure: Unsure, unit: str) -> str:
    """How sure a bar is in one sentence, its own total first.

    Parameters
    ----------
    sure : Unsure
    unit : "mm" or "in"
        Of the rise.

    Raises
    ------
    BendError
        The unit is neither.

    Examples
    --------
    >>> from barmath.bending import unsure, unsure_words
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe
    >>> unsure_words(unsure(order_seven_recipe(), TUBE, DIE, None), "mm").partition(" (")[0]
    'springback from theory: it may be half more, or half less: rise ± 3.2 mm, backsweep ± 0.3 deg'
    """
    total, *causes = unsure_rows(sure, unit)
    by_cause = ", ".join(f"{name} {rise}" for name, rise, _ in causes)
    return f"{sure.source}: rise {total[1]}, backsweep {total[2]} (standard errors); the rise by cause: {by_cause}"


def unsure_rows(sure: Unsure, unit: str) -> tuple[tuple[str, str, str], ...]:
    """Rows of words: this bar's total, then one line a cause, each with its rise and its backsweep.

    Parameters
    ----------
    sure : Unsure
    unit : "mm" or "in"
        Of the rise.

    Raises
    ------
    BendError
        The unit is neither.

    Examples
    --------
    >>> from barmath.bending import unsure, unsure_rows
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe
    >>> unsure_rows(unsure(order_seven_recipe(), TUBE, DIE, None), "mm")[0]
    ('this bar in all', '± 3.2 mm', '± 0.3 deg')
    """
    checked_choice("unit", unit, ("mm", "in"))
    rows = []
    for error in (Cause("this bar in all", sure.rise_mm, sure.backsweep_deg), *sure.causes):
        mm = unit == "mm"
        rise = _at_least(error.rise_mm, 0.1, "mm") if mm else _at_least(error.rise_mm / MM_PER_INCH, 0.01, "in")
        rows.append((error.name, rise, _at_least(error.backsweep_deg, 0.1, "deg")))
    return tuple(rows)


def _at_least(error: float, finest: float, unit: str) -> str:
    # nothing is sure to nothing: what rounds to 0 is given as less than the finest step shown
    figures = 1 if finest >= 0.1 else 2
    return f"± {error:.{figures}f} {unit}" if error >= finest else f"± under {finest:.{figures}f} {unit}"


def _errors(
    recipe: Recipe, tube: Tube, die: Die, calibration: DieCalibration | None
) -> tuple[list[tuple[str, float]], float]:
    # what may be wrong with what a bend keeps, degrees by cause; and with the line-up offset, mm
    if calibration is not None:
        return [("springback as calibrated", calibration.kept_error_deg)], calibration.offset_error_mm
    if die.springback_ratio is not None:
        once = float(UNSURE_ONCE * die.springback_ratio * recipe.inner_bend_deg)
        return [("springback as measured once", once)], UNSURE_OFFSET_MM
    by_theory = UNSURE_RATIO * float(springback_from_tube(tube, die).ratio) * float(recipe.inner_bend_deg)
    return [("springback by theory", by_theory), ("constant of the stop", UNSURE_CONSTANT_DEG)], UNSURE_OFFSET_MM
