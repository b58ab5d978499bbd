"""A calibration in a shop's file: which die, tube and batch, when, from what, the values and their errors.

It is written there only when the builder says so. It goes to the end of the file, below all that was there before. So
the file is as it was if it is taken out again. Of several for one die and tube the last one counts.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from barmath.fields import frozen, passing
from barmath.refusal import BendError, checked_day, checked_single, quoted
from barmath.shop.offsets import play_deg
from barmath.shop.tooling import Die

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


def _checked_text(name: str, text: object) -> str:
    if not isinstance(text, str) or len(text) > 80 or any(ord(letter) < 32 for letter in text):
        raise BendError(
            f"{name} of a calibration must be a text of at most 80 letters, got {quoted(text)}: "
            "type a shorter text on one line"
        )
    return text


@frozen
class DieCalibration:
    """Measured values of one tube (of one batch, or of any) on one die.

    Parameters
    ----------
    die, tube, batch : str
        Names; an empty batch means any.
    date : str
        YYYY-MM-DD.
    source : str
        What it rests on, such as "40 bars and 3 test bends".
    ratio : number in 0..0.5
        Springback ratio k.
    constant_deg : number in -5..5
        What a bend loses besides, the same at every angle.
    offset_mm : number in -50..50
        Line-up offset.
    radius_mm : number in 1..1000
        Finished centre-line radius.
    kept_error_deg, offset_error_mm : numbers in 0..20 and 0..50
        Standard errors of what a bend of 25 degrees keeps, and of the offset.

    Raises
    ------
    BendError
        A text is longer than 80 letters, the date is no day, or a number is outside its range.
    """

    die: str = passing(_checked_text, "die")
    tube: str = passing(_checked_text, "tube")
    date: str = passing(checked_day)
    source: str = passing(_checked_text, "source")
    ratio: float = passing(checked_single, "ratio of the calibration", least=0.0, most=0.5)
    constant_deg: float = passing(checked_single, "constant of the calibration", unit="deg", least=-5.0, most=5.0)
    offset_mm: float = passing(checked_single, "offset of the calibration", unit="mm", least=-50.0, most=50.0)
    radius_mm: float = passing(checked_single, "radius of the calibration", unit="mm", least=1.0, most=1000.0)
    kept_error_deg: float = passing(checked_single, "error of the kept angle", unit="deg", least=0.0, most=20.0)
    offset_error_mm: float = passing(checked_single, "error of the offset", unit="mm", least=0.0, most=50.0)
    batch: str = passing(_checked_text, "batch", default="")

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


def with_calibration(text: str, calibration: DieCalibration) -> str:
    """A shop's file with one more calibration at its end.

    Parameters
    ----------
    text : str
        The present text of the file.
    calibration : DieCalibration

    Examples
    --------
    >>> from barmath.shop import DieCalibration, with_calibration
    >>> calibration = DieCalibration("die 102", "7/8 x 0.065", "2026-11-01", "5 bars", 0.032, 0.2, 1.1, 105, 0.1, 0.2)
    >>> with_calibration("# my shop", calibration).splitlines()[2]
    '[[calibration]]'
    """
    return f"{text.rstrip()}\n\n{calibration.toml()}"


def without_last_calibration(text: str) -> str:
    """A shop's file without its last calibration.

    Raises
    ------
    BendError
        The text does not end with a calibration.

    Examples
    --------
    >>> from barmath.shop import DieCalibration, with_calibration, without_last_calibration
    >>> calibration = DieCalibration("die 102", "7/8 x 0.065", "2026-11-01", "5 bars", 0.032, 0.2, 1.1, 105, 0.1, 0.2)
    >>> without_last_calibration(with_calibration("# my shop", calibration)).strip()
    '# my shop'
    """
    before, heading, after = text.rpartition(f"\n{HEADING}\n")
    if not heading or "\n[" in after:
        raise BendError(
            "the shop's file must end with the calibration to delete, got something else: edit the file by hand"
        )
    return before.rstrip() + "\n"


def _escaped(text: str) -> str:
    return text.replace("\\", "\\\\").replace('"', '\\"')
