"""Lengths and angles as a shop types and reads them: 7/8 in, 3 1/8", 0.058 in, 22,5 or 22.2 mm."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from numbers import Real

from barmath.refusal import LARGEST, BendError, checked_choice, quoted

MM_PER_INCH = 25.4
FINEST_INCH = Fraction(1, 32)
"""The finest division of an ordinary inch rule, to which inches are shown."""

LONGEST_MM = 100_000.0
LONGEST_TEXT = 40

A_LENGTH = "type a number, for example 80, 80.5 mm or 3 1/8 in"
"""What to do if a length cannot be read."""

_UNITS = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, '"': MM_PER_INCH}
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SIGNS = {"″": '"', "”": '"', "“": '"', "′′": '"', "’’": '"', "''": '"', "−": "-", "–": "-", "⁄": "/"}
_LENGTH = re.compile(
    r"""(?P<sign>[-+]?)\s*
    (?: (?P<whole>\d+)(?:\s+|\s*-\s*) (?P<over>\d+)\s*/\s*(?P<under>\d+)   # 3 1/8, 3-1/8
      | (?P<top>\d+)\s*/\s*(?P<bottom>\d+)                                 # 7/8
      | (?P<decimal>\d+(?:[.,]\d*)?|[.,]\d+) )                             # 22, 22.2, 22,5
    (?:\s*(?P<unit>mm|cm|inches|inch|in|")\.?)?""",
    re.VERBOSE | re.IGNORECASE | re.ASCII,
)
_ANGLE = re.compile(
    r"(?P<sign>[-+]?)\s*(?P<decimal>\d+(?:[.,]\d*)?|[.,]\d+)\s*(?:[°º]|deg(?:rees?)?\.?)?", re.IGNORECASE | re.ASCII
)


def length_mm(
    text: str | float, *, name: str = "length", default_unit: str = "mm", allow_negative: bool = False
) -> float:
    """A length as a shop writes it, in mm.

    Parameters
    ----------
    text : str or number
        `7/8 in`, `3 1/8"`, `0.058 in`, `22,5`, `22.2 mm`. A number without a unit is in `default_unit`; a fraction
        without a unit is read only where that is the inch.
    name : str
        What the length is, for the refusal.
    default_unit : "mm" or "in"
    allow_negative : bool

    Raises
    ------
    BendError
        If the text is no single length. The message shows what was written, and an example of what is right.
    """
    checked_choice("default unit", default_unit, ("mm", "in"))
    number = _plain_number(text, name)
    if number is not None:
        return _in_range(number * _UNITS[default_unit], name, number, allow_negative)
    match = _LENGTH.fullmatch(_plain_text(text))
    if match is None:
        raise BendError(f"{name} must be one length, got {quoted(text)}: {A_LENGTH}")
    if match["decimal"]:
        value = _decimal(match, name, text)
    else:
        if not match["unit"] and default_unit == "mm":
            raise BendError(
                f"{name} must have a unit when it is a fraction, got {quoted(text)}: "
                f"write {match[0]} in, or a decimal number in mm"
            )
        value = _fraction(match, name, text)
    return _in_range(value * _UNITS[(match["unit"] or default_unit).lower()], name, text, allow_negative)


def angle_deg(text: str | float, *, name: str = "angle") -> float:
    """An angle as a shop writes it, `12`, `12,5`, `12°` or `12 deg`, in degrees; raises BendError otherwise."""
    number = _plain_number(text, name)
    if number is not None:
        return number
    match = _ANGLE.fullmatch(_plain_text(text))
    if match is None:
        raise BendError(f"{name} must be one angle, got {quoted(text)}: type a number, for example 12 or 12.5 deg")
    return _decimal(match, name, text) + 0.0


def length_text(length: float, unit: str = "mm") -> str:
    """A length in mm as a shop reads it: `120.4 mm`, or inches to the nearest 1/32 such as `4 3/4 in`.

    Raises BendError where the length is not one finite number, or the unit is not "mm" or "in".
    """
    checked_unit(unit)
    number = _plain_number(length, "length")
    if number is None:
        raise BendError(f"length must be one number in mm, got {quoted(length)}: type a number, without quotes")
    if unit == "mm":
        return f"{round(number, 1) + 0.0:.1f} mm"
    steps = round(abs(number) / MM_PER_INCH / FINEST_INCH)
    whole, rest = divmod(steps * FINEST_INCH, 1)
    words = " ".join(part for part in (str(whole) if whole else "", str(rest) if rest else "") if part) or "0"
    return f"{'-' if number < 0 and steps else ''}{words} in"


def checked_unit(unit: object) -> str:
    """`unit` where it is "mm" or "in"; raises BendError otherwise."""
    return checked_choice("unit", unit, ("mm", "in"))


def _plain_number(value: object, name: str) -> float | None:
    """`value` as a float where it is a number, None where it is anything else; raises BendError where it is none."""
    if not isinstance(value, Real) or isinstance(value, bool):
        return None
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not abs(number) <= LARGEST:
        raise BendError(f"{name} must be a finite number, got {number}: type a number, for example 80")
    return number


def in_unit(words: str, unit: str = "mm") -> str:
    """A sentence with its lengths in mm given in `unit`: "65.0 mm" as `2 9/16 in`, "from 41.2 to 86.8 mm" alike.

    It raises BendError for a unit that is neither "mm" nor "in".
    """
    if unit == "mm":
        return words
    both = re.sub(r"(-?\d+(?:\.\d+)?) to (-?\d+(?:\.\d+)?) mm\b", r"\1 mm to \2 mm", words)
    return re.sub(r"(-?\d+(?:\.\d+)?) mm\b", lambda found: length_text(float(found[1]), unit), both)


def _plain_text(text: object) -> str:
    """`text` in plain ASCII signs, one blank between words; nothing where it is no text or far too long."""
    if not isinstance(text, str) or len(text) > LONGEST_TEXT:
        return ""
    for typed, plain in _SIGNS.items():
        text = text.replace(typed, plain)
    for glyph, words in _VULGAR.items():
        text = text.replace(glyph, f" {words} ")
    return " ".join(text.split())


def _decimal(match: re.Match[str], name: str, text: object) -> float:
    whole, comma, rest = match["decimal"].partition(",")
    if comma and len(rest) == 3 and 0 < len(whole) < 4 and whole.strip("0"):
        raise BendError(
            f"{name} must not have a comma before three figures, which may mean thousands, got {quoted(text)}: "
            f"write {whole}{rest} or {whole}.{rest}"
        )
    return float(match["sign"] + match["decimal"].replace(",", "."))


def _fraction(match: re.Match[str], name: str, text: object) -> float:
    over, under = int(match["over"] or match["top"]), int(match["under"] or match["bottom"])
    if under == 0:
        raise BendError(f"{name} must not be divided by 0, got {quoted(text)}: write for example 7/8 in")
    if match["whole"] and over >= under:
        raise BendError(
            f'{name} must have a fraction below 1 after its whole number, got {quoted(text)}: write for example 3 1/8"'
        )
    value = float(Fraction(over, under) + int(match["whole"] or 0))
    return -value if match["sign"] == "-" else value


def _in_range(value: float, name: str, text: object, allow_negative: bool) -> float:
    if value < 0.0 and not allow_negative:
        raise BendError(f"{name} must be at least 0, got {quoted(text)}: type it without a minus")
    if abs(value) > LONGEST_MM:
        raise BendError(f"{name} must be at most {LONGEST_MM / 1000:.0f} m, got {quoted(text)}: check the unit")
    return round(value, 9) + 0.0  # spares 7/8 in the 22.224999999999998 of binary fractions
