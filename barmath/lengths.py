"""Lengths and angles as a shop types and reads them: 7/8 in, 3 1/2", 0.058 in, 22,5 or 22.2 mm."""

from __future__ import annotations

import math
import re
from fractions import Fraction

from barmath.refusal import BendError

MM_PER_INCH = 25.4
FINEST_INCH = Fraction(1, 32)
"""The finest division of an ordinary inch rule, to which inches are shown."""

LONGEST_MM = 100_000.0

_UNITS = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, "inches": MM_PER_INCH, '"': MM_PER_INCH}
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_LENGTH = re.compile(
    r"""(?P<sign>[-+]?)\s*
    (?: (?P<whole>\d+)(?:\s+|\s*-\s*) (?P<over>\d+)\s*/\s*(?P<under>\d+)   # 3 1/2, 3-1/2
      | (?P<top>\d+)\s*/\s*(?P<bottom>\d+)                                 # 7/8
      | (?P<decimal>\d+(?:[.,]\d*)?|[.,]\d+) )                             # 22, 22.2, 22,5
    \s*(?P<unit>mm|cm|inches|inch|in|")?\s*\.?""",
    re.VERBOSE | re.IGNORECASE | re.ASCII,
)
_ANGLE = re.compile(r"(?P<number>[-+]?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*(?:°|deg(?:rees?)?\.?)?", re.IGNORECASE | re.ASCII)


def length_mm(
    text: str | float, *, name: str = "length", default_unit: str = "mm", allow_negative: bool = False
) -> float:
    """A length as a shop writes it, in mm.

    Parameters
    ----------
    text : str or number
        `7/8 in`, `3 1/2"`, `0.058 in`, `22,5`, `22.2 mm`. A number without a unit is in `default_unit`.
    name : str
        What the length is, for the refusal.
    default_unit : "mm" or "in"
    allow_negative : bool

    Raises
    ------
    BendError
        Where the text is no single length: told with what was written and an example of what is right.
    """
    if default_unit not in ("mm", "in"):
        raise BendError(f'default unit must be "mm" or "in", got {default_unit!r:.20}')
    if isinstance(text, int | float) and not isinstance(text, bool):
        return _in_range(_finite(float(text), name, text) * _UNITS[default_unit], name, text, allow_negative)
    if not isinstance(text, str):
        raise _not_a_length(name, text)
    match = _LENGTH.fullmatch(_plain_text(text))
    if match is None:
        raise _not_a_length(name, text)
    value = _number(match, name, text) * (-1.0 if match["sign"] == "-" else 1.0)
    return _in_range(value * _UNITS[(match["unit"] or default_unit).lower()], name, text, allow_negative)


def angle_deg(text: str | float, *, name: str = "angle") -> float:
    """An angle as a shop writes it, `12`, `12,5` or `12 deg`, in degrees; raises BendError otherwise."""
    if isinstance(text, int | float) and not isinstance(text, bool):
        return _finite(float(text), name, text)
    match = _ANGLE.fullmatch(text.strip().replace("−", "-")) if isinstance(text, str) else None
    if match is None:
        raise BendError(f"{name} must be an angle such as 12, 12.5 or 12 deg, got {_short(text)}")
    return _finite(float(match["number"].replace(",", ".")), name, text)


def length_text(length: float, unit: str = "mm") -> str:
    """A length in mm as a shop reads it: `120.4 mm`, or inches to the nearest 1/32 such as `4 3/4 in`."""
    if unit == "mm":
        return f"{length + 0.0:.1f} mm".replace("-0.0 mm", "0.0 mm")
    if unit != "in":
        raise BendError(f'unit must be "mm" or "in", got {unit!r:.20}')
    steps = round(abs(length) / MM_PER_INCH / FINEST_INCH)
    whole, rest = divmod(steps * FINEST_INCH, 1)
    words = " ".join(part for part in (str(whole) if whole else "", str(rest) if rest else "") if part) or "0"
    return f"{'-' if length < 0 and steps else ''}{words} in"


def _plain_text(text: str) -> str:
    if len(text) > 40:
        return ""
    for quote in "″”“'′’":
        text = text.replace(quote * 2, '"') if quote in "'′’" else text.replace(quote, '"')
    for glyph, words in _VULGAR.items():
        text = re.sub(rf"(?<=\d)\s*-?\s*{glyph}", f" {words}", text).replace(glyph, words)
    return text.replace("−", "-").replace("\u00a0", " ").strip()


def _number(match: re.Match[str], name: str, text: str) -> float:
    if match["decimal"]:
        if "," in match["decimal"] and len(match["decimal"].split(",")[1]) == 3:
            raise BendError(
                f"{name} must not have a comma before three figures, which may mean thousands, got {_short(text)}: "
                "write 1234.5 or 1.234"
            )
        return _finite(float(match["decimal"].replace(",", ".")), name, text)
    over, under = int(match["over"] or match["top"]), int(match["under"] or match["bottom"])
    if under == 0:
        raise BendError(f"{name} must not be divided by 0, got {_short(text)}: write for example 7/8 in")
    return float(Fraction(over, under) + int(match["whole"] or 0))


def _in_range(value: float, name: str, text: object, allow_negative: bool) -> float:
    if value < 0.0 and not allow_negative:
        raise BendError(f"{name} must be at least 0, got {_short(text)}")
    if abs(value) > LONGEST_MM:
        raise BendError(f"{name} must be at most {LONGEST_MM / 1000:.0f} m, got {_short(text)}: check the unit")
    return round(value, 9) + 0.0  # spares 7/8 in the 22.224999999999998 of binary fractions


def _finite(value: float, name: str, text: object) -> float:
    if not math.isfinite(value):
        raise BendError(f"{name} must be a finite number, got {_short(text)}")
    return value


def _not_a_length(name: str, text: object) -> BendError:
    return BendError(f'{name} must be one length such as 22.2, 22.2 mm, 7/8 in or 3 1/2", got {_short(text)}')


def _short(text: object) -> str:
    words = repr(text) if isinstance(text, str) else str(text)
    return words if len(words) <= 40 else words[:36] + "...'"
