"""A calibration as it stands in a shop's file: which die, tube and batch, when, from what, the values and their errors.

It is written there only when the builder says so, at the end of the file and below all that was there before, so that
taking it out again leaves the file as it was. Of several for one die and tube the last one counts.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

from barmath.bar import Recipe, check_single
from barmath.bent_bar import checked_day
from barmath.error_budget import USUAL_ERRORS, BenchErrors, error_budget
from barmath.lengths import MM_PER_INCH
from barmath.offsets import play_deg
from barmath.refusal import BendError, checked_choice, checked_single, told
from barmath.sensitivity import INNER_BEND, INNER_MARK, OUTER_BEND, OUTER_MARK, ROLL, sensitivities_from_recipe
from barmath.stock import Tube
from barmath.tooling import Die, springback_from_tube

HEADING = "[[calibration]]"

YIELD_BAND_KSI = (60.0, 90.0)
"""Yield of the tube, taken as somewhere in this band: sources differ (see the tests of the published values)."""

UNSURE_RATIO = 0.5
"""By which share the theory's springback may be wrong, one standard deviation: common practice, no source."""

UNSURE_CONSTANT_DEG, UNSURE_OFFSET_MM = 0.3, 2.0
"""How unsure the stop's constant and the line-up offset are before anything is measured: common practice, no source."""


@dataclass(frozen=True)
class Beforehand:
    """How unsure springback, offset and radius are before anything is measured, as standard deviations.

    `ratio` is that of the logarithm of k over the theory's: a share of it, and 0.5 a factor of 1.6 either way. The
    theory is wrong by tens of per cent. `radius_mm` is off R_die/(1 - k). All are common practice, no source.
    """

    ratio: float = UNSURE_RATIO
    constant_deg: float = UNSURE_CONSTANT_DEG
    offset_mm: float = UNSURE_OFFSET_MM
    radius_mm: float = 0.5


@dataclass(frozen=True)
class DieCalibration:
    """Measured values of one tube (of one batch, or of any) on one die.

    Parameters
    ----------
    die, tube, batch : str
        Names; an empty batch stands for any.
    date : str
        YYYY-MM-DD.
    source : str
        What it rests on, such as "40 bars and 3 test bends".
    ratio : number in 0..1
        Springback ratio k.
    constant_deg : number
        What a bend loses besides, the same at every angle.
    offset_mm : number
        Line-up offset.
    radius_mm : number above 0
        Finished centre-line radius.
    kept_error_deg, offset_error_mm : numbers, at least 0
        Standard errors of what a bend of 25 degrees keeps, and of the offset.
    """

    die: str
    tube: str
    date: str
    source: str
    ratio: float
    constant_deg: float
    offset_mm: float
    radius_mm: float
    kept_error_deg: float
    offset_error_mm: float
    batch: str = ""

    def __post_init__(self) -> None:
        checked_day(self.date)
        for name in ("die", "tube", "source", "batch"):
            text = getattr(self, name)
            if not isinstance(text, str) or len(text) > 80 or any(ord(letter) < 32 for letter in text):
                raise BendError(f"{name} of a calibration must be a text of at most 80 letters, got {told(text)}")
        bounds = {
            "ratio": ("", 0.0, 0.5), "constant_deg": ("deg", -5.0, 5.0), "offset_mm": ("mm", -50.0, 50.0),
            "radius_mm": ("mm", 1.0, 1000.0), "kept_error_deg": ("deg", 0.0, 20.0),
            "offset_error_mm": ("mm", 0.0, 50.0),
        }  # fmt: skip
        for name, (unit, low, high) in bounds.items():
            words = f"{name.removesuffix('_mm').removesuffix('_deg').replace('_', ' ')} of the calibration"
            object.__setattr__(self, name, checked_single(words, getattr(self, name), unit, least=low, most=high))

    def on(self, die: Die) -> Die:
        """`die` with these values in place of its own."""
        return replace(
            die,
            centerline_radius_mm=self.radius_mm * (1.0 - self.ratio),
            springback_ratio=self.ratio,
            line_up_offset_mm=self.offset_mm,
            stop_offset_deg=play_deg(self.constant_deg, self.ratio),
        )

    def toml(self) -> str:
        """Its lines in a shop's file."""
        lines = [
            HEADING,
            f"# Written by the notebook on {self.date}. To go back, take these lines out again.",
            f'die = "{_escaped(self.die)}"',
            f'tube = "{_escaped(self.tube)}"',
            f'batch = "{_escaped(self.batch)}"',
            f'date = "{self.date}"',
            f'source = "{_escaped(self.source)}"',
            *(f"{name} = {getattr(self, name):.6g}" for name in NUMBERS),
        ]
        return "\n".join(lines) + "\n"


NUMBERS = ("ratio", "constant_deg", "offset_mm", "radius_mm", "kept_error_deg", "offset_error_mm")


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


def unsure(
    recipe: Recipe,
    tube: Tube,
    die: Die,
    calibration: DieCalibration | None,
    errors: BenchErrors = USUAL_ERRORS,
) -> Unsure:
    """How sure rise and backsweep of one side of a bar are: springback, line-up offset, and the slips of the bench.

    The bends of a bar are off alike by the springback, the clamp reading stands as set, and both marks of a side move
    apart together by the offset; the slips of the bench are new at each bend (`barmath.error_budget`):

        rise^2 = ((rise by inner bend + by outer bend + by the roll it takes with it) kept error)^2
                 + ((rise by outer mark - by inner mark) offset error)^2 + (slips at the bench)^2

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
    """
    check_single(recipe, tube, die)
    slopes = sensitivities_from_recipe(recipe)
    kept, offset = _errors(recipe, tube, die, calibration)
    per_reading = slopes[ROLL].clamp_reading_deg
    with_roll = 0.0 if abs(per_reading) < 1e-6 else -slopes[INNER_BEND].clamp_reading_deg / per_reading

    def by_bends(measure: str) -> float:
        bends = sum(getattr(slopes[slip], measure) for slip in (INNER_BEND, OUTER_BEND))
        return float(abs(bends + with_roll * getattr(slopes[ROLL], measure)))

    def by_offset(measure: str) -> float:
        return float(abs(getattr(slopes[OUTER_MARK], measure) - getattr(slopes[INNER_MARK], measure)))

    causes = [Cause(name, by_bends("rise_mm") * error, by_bends("backsweep_deg") * error) for name, error in kept]
    causes.append(Cause("line-up offset", by_offset("rise_mm") * offset, by_offset("backsweep_deg") * offset))
    if abs(per_reading) >= 1e-6:  # at a roll of 90 deg the clamp reading does not set the roll: no budget
        side = error_budget(recipe, errors).of_a_side
        causes.append(Cause(BENCH, side.rise_mm, side.backsweep_deg))
    if calibration is not None:
        source = f"springback measured, {calibration.date}, {calibration.source}"
    elif die.springback_ratio is not None:
        source = "springback as in the shop's file, where nobody noted how sure it is"
    else:
        source = "springback from theory, give or take half of it"
    rise, backsweep = (math.hypot(*(getattr(cause, name) for cause in causes)) for name in Cause._fields[1:])
    return Unsure(rise, backsweep, source, tuple(causes))


def unsure_words(sure: Unsure, unit: str) -> str:
    """In a sentence, the bar's own total first; `unit` "mm" or "in" is that of the rise, else it raises BendError."""
    total, *causes = unsure_rows(sure, unit)
    by_cause = ", ".join(f"{name} {rise}" for name, rise, _ in causes)
    return f"{sure.source}: rise {total[1]}, backsweep {total[2]} (standard errors); the rise by cause: {by_cause}"


def unsure_rows(sure: Unsure, unit: str) -> tuple[tuple[str, str, str], ...]:
    """Rows of words: this bar's total, then one row a cause, each with its rise and its backsweep.

    `unit` "mm" or "in" is that of the rise. Raises BendError for another unit.
    """
    checked_choice("unit", unit, ("mm", "in"))
    rows = []
    for error in (Cause("this bar in all", sure.rise_mm, sure.backsweep_deg), *sure.causes):
        mm = unit == "mm"
        rise = _at_least(error.rise_mm, 0.1, "mm") if mm else _at_least(error.rise_mm / MM_PER_INCH, 0.01, "in")
        rows.append((error.name, rise, _at_least(error.backsweep_deg, 0.1, "deg")))
    return tuple(rows)


def _at_least(error: float, finest: float, unit: str) -> str:
    # nothing is sure to nothing: what rounds to 0 is told as less than the finest step shown
    figures = 1 if finest >= 0.1 else 2
    return f"± {error:.{figures}f} {unit}" if error >= finest else f"± under {finest:.{figures}f} {unit}"


def with_calibration(text: str, calibration: DieCalibration) -> str:
    """A shop's file with one more calibration at its end."""
    return f"{text.rstrip()}\n\n{calibration.toml()}"


def without_last_calibration(text: str) -> str:
    """A shop's file without its last calibration; raises BendError where it has none at its end."""
    before, heading, after = text.rpartition(f"\n{HEADING}\n")
    if not heading or "\n[" in after:
        raise BendError(
            "the shop's file must end with a calibration to take one out, got something else: edit it by hand"
        )
    return before.rstrip() + "\n"


def _errors(
    recipe: Recipe, tube: Tube, die: Die, calibration: DieCalibration | None
) -> tuple[list[tuple[str, float]], float]:
    # what may be wrong with what a bend keeps, degrees by cause; and with the line-up offset, mm
    if calibration is not None:
        return [("springback as calibrated", calibration.kept_error_deg)], calibration.offset_error_mm
    if die.springback_ratio is not None:  # measured once, but nobody noted how surely: a fifth of it
        fifth = float(0.2 * die.springback_ratio * recipe.inner_bend_deg)
        return [("springback as measured once", fifth)], UNSURE_OFFSET_MM
    by_theory = UNSURE_RATIO * float(springback_from_tube(tube, die).ratio) * float(recipe.inner_bend_deg)
    return [("springback by theory", by_theory), ("constant of the stop", UNSURE_CONSTANT_DEG)], UNSURE_OFFSET_MM


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"')
