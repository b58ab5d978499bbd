"""A calibration as it stands in a shop's file: which die, tube and batch, when, from what, the values and their errors.

It is written there only when the builder says so, at the end of the file and below all that was there before, so that
taking it out again leaves the file as it was. Of several for one die and tube the last one counts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np

from barmath.bar import Recipe, check_single
from barmath.bent_bar import checked_day
from barmath.lengths import MM_PER_INCH
from barmath.offsets import play_deg
from barmath.refusal import BendError, checked_choice, checked_single, told
from barmath.sensitivity import INNER_BEND, INNER_MARK, OUTER_BEND, OUTER_MARK, ROLL, sensitivities_from_recipe
from barmath.stock import PSI, Tube
from barmath.tooling import Die, springback_from_tube

HEADING = "[[calibration]]"

YIELD_BAND_KSI = (60.0, 90.0)
"""Yield of the tube, taken as somewhere in this band: sources differ (see the tests of the published values)."""

UNSURE_CONSTANT_DEG, UNSURE_OFFSET_MM = 0.3, 2.0
"""How unsure the stop's constant and the line-up offset are before anything is measured: common practice, no source."""


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


class Unsure(NamedTuple):
    """Standard errors that springback and line-up leave on a finished bar, and where the springback comes from."""

    rise_mm: float
    backsweep_deg: float
    source: str


def unsure(recipe: Recipe, tube: Tube, die: Die, calibration: DieCalibration | None) -> Unsure:
    """How sure one recipe's rise and backsweep are, as far as springback and line-up offset go.

    All four bends are off by the same, the clamp reading stands as set, and both marks of a side move apart together:

        rise^2 = ((rise by inner bend + by outer bend + by the roll it takes with it) kept error)^2
                 + ((rise by outer mark - by inner mark) offset error)^2
    """
    check_single(recipe, tube, die)
    slopes = sensitivities_from_recipe(recipe)
    kept, offset = _errors(recipe, tube, die, calibration)
    per_reading = slopes[ROLL].clamp_reading_deg
    with_roll = 0.0 if abs(per_reading) < 1e-6 else -slopes[INNER_BEND].clamp_reading_deg / per_reading

    def error(measure: str) -> float:
        bends = sum(getattr(slopes[slip], measure) for slip in (INNER_BEND, OUTER_BEND))
        bends += with_roll * getattr(slopes[ROLL], measure)
        marks = getattr(slopes[OUTER_MARK], measure) - getattr(slopes[INNER_MARK], measure)
        return float(np.hypot(bends * kept, marks * offset))

    source = (
        "springback from theory, yield 60 to 90 ksi"
        if calibration is None
        else f"springback measured, {calibration.date}, {calibration.source}"
    )
    return Unsure(error("rise_mm"), error("backsweep_deg"), source)


def unsure_words(sure: Unsure, unit: str) -> str:
    """In words; `unit` "mm" or "in" is that of the rise. Raises BendError for another unit."""
    checked_choice("unit", unit, ("mm", "in"))
    rise = _at_least(sure.rise_mm, 0.1, "mm") if unit == "mm" else _at_least(sure.rise_mm / MM_PER_INCH, 0.01, "in")
    return f"{sure.source}: rise {rise}, backsweep {_at_least(sure.backsweep_deg, 0.1, 'deg')}"


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


def _errors(recipe: Recipe, tube: Tube, die: Die, calibration: DieCalibration | None) -> tuple[float, float]:
    if calibration is not None:
        return calibration.kept_error_deg, calibration.offset_error_mm
    low, high = (springback_from_tube(tube, die, ksi * 1e3 * PSI).ratio for ksi in YIELD_BAND_KSI)
    if die.springback_ratio is not None:  # measured once, but nobody noted how surely: a fifth of it
        return float(0.2 * die.springback_ratio * recipe.inner_bend_deg), UNSURE_OFFSET_MM
    bend = 0.5 * float(high - low) * float(recipe.inner_bend_deg)
    return float(np.hypot(bend, UNSURE_CONSTANT_DEG)), UNSURE_OFFSET_MM


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"')
