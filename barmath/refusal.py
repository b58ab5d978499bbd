"""How barmath refuses: `BendError`, and the checks every number passes on its way in.

A refusal is one sentence. It says what to do, then the quantity, its rule, and the value that broke it.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Sequence
from contextlib import suppress
from typing import Any, TypeAlias

import numpy as np

Number: TypeAlias = Any
"""What every field takes: a float or a float64 array; arrays broadcast. Which of the two it is, is known only when the
code runs. A type checker cannot follow a union of both through arithmetic, so the face checks it."""


LARGEST = 1e50
"""The largest number taken: the fourth power of a much larger one, as in a section property, is beyond any float."""

LONGEST_SHOWN = 40
"""Letters of what was given that a refusal shows."""

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)

_REFUSED = re.compile(
    r"""(?P<why> [^:;]+?\ must\ (?: (?<!\w)'[^']*' | "[^"]*" | :(?!\ ) | [^:] )*+ )
    (?: :\ (?P<remedy>.+) )?   # after a colon that is not in what was typed""",
    re.VERBOSE | re.DOTALL,
)

_RAGGED = "give each row as many numbers as the others"
_TOO_BIG = "check the number for a digit too many"

_NOTE = re.compile(r"; (?=[a-z])")

_SHOWN_SLACK = 1e-11
# steps by which a bound may miss a round number, from rounding, and still be written as that number


class BendError(ValueError):
    """What cannot be bent, in one sentence: what to do, then what the rule is and which value broke it.

    Attributes
    ----------
    why : str
        The sentence without what to do: the quantity, the rule, and the value with its unit.
    as_noted : str
        `why`, and after a colon what to do: the sentence from which another refusal is made.

    A refusal of something in a file says at its end where it is: `place` is the file's name and the line.

    Examples
    --------
    >>> fault = BendError("bend must be at least 6.0 deg, got 5.0 deg: choose a larger bend")
    >>> print(fault)
    Choose a larger bend: bend must be at least 6.0 deg, got 5.0 deg
    >>> fault.why
    'bend must be at least 6.0 deg, got 5.0 deg'
    >>> print(BendError("bend must be a number, got 'x': type a number", "shop.toml, line 3"))
    Type a number: bend must be a number, got 'x' (shop.toml, line 3)
    """

    def __init__(self, sentence: str = "", place: str = "") -> None:
        super().__init__(remedy_first(sentence) + (f" ({place})" if place else ""))
        found = _REFUSED.fullmatch(sentence)
        self.why, self.as_noted = found["why"] if found else sentence, sentence


def as_number(name: str, value: object, unit: str = "") -> Number:
    """`value` as a float, or as a float64 array of its own shape.

    Raises BendError for text, None, a truth value, a complex number, nan, infinity and numbers beyond 1e50.
    """
    return _measured(name, value, unit)[0]


def checked(
    name: str,
    value: object,
    unit: str = "",
    *,
    above: float | None = None,
    least: float | None = None,
    below: float | None = None,
    most: float | None = None,
    rule: str = "",
    remedy: str | tuple[str, str] = "",
) -> Number:
    """`value` as a number inside its bounds (`above` and `below` exclude the bound, `least` and `most` include it).

    Raises BendError: "NAME must be at least LEAST UNIT, RULE, got VALUE UNIT: REMEDY". A pair of remedies is for a
    value too small and for one too large. Without a remedy the sentence says which numbers can be typed.
    """
    too_small, too_large = (remedy, remedy) if isinstance(remedy, str) else remedy
    number, low, high = _measured(name, value, unit)
    if (
        (above is None or low > above)
        and (least is None or low >= least)
        and (below is None or high < below)
        and (most is None or high <= most)
    ):
        return number
    bad, bound, words, advice = next(
        (bad, bound, words, advice)
        for bad, bound, words, advice in (
            (lambda x: number <= x, above, "above", too_small),
            (lambda x: number < x, least, "at least", too_small),
            (lambda x: number >= x, below, "below", too_large),
            (lambda x: number > x, most, "at most", too_large),
        )
        if bound is not None and np.any(bad(bound))
    )
    must = f"{name} must be {words} {plain(bound)}{_space(unit)}{', ' + rule if rule else ''}"
    advice = advice or f"type a number {_between(unit, above, least, below, most)}"
    raise BendError(f"{must}, got {_offender(number, bad(bound), unit)}: {advice}")


def checked_single(
    name: str,
    value: object,
    unit: str = "",
    *,
    above: float | None = None,
    least: float | None = None,
    most: float | None = None,
) -> float:
    """`value` as one number inside its bounds, as `checked`; raises BendError for an array."""
    number = checked(name, value, unit, above=above, least=least, most=most)
    if isinstance(number, np.ndarray):
        raise BendError(f"{name} must be one number, got an array of shape {number.shape}: give one number at a time")
    return float(number)


def checked_count(name: str, value: object, *, least: int, most: int) -> int:
    """`value` as a whole number inside its bounds; raises BendError for anything else, a truth value included."""
    number = checked_single(name, value)
    if not number % 1.0 and least <= number <= most:
        return int(number)
    must = f"at least {least}" if number < least else f"at most {most}" if number > most else "a whole number"
    got = plain(number).removesuffix(".0")
    raise BendError(f"{name} must be {must}, got {got}: type a whole number from {least} to {most}")


def checked_choice(name: str, value: object, choices: Sequence[str]) -> str:
    """`value` where it is one of the words to choose from; raises BendError with all of them otherwise."""
    if isinstance(value, str) and value in choices:
        return value
    raise BendError(unknown(name, value, [f'"{choice}"' for choice in choices]))


def unknown(name: str, value: object, choices: Sequence[str]) -> str:
    """The refusal of a `value` that is none of the `choices`: what can be chosen, then what was given.

    Examples
    --------
    >>> raise BendError(unknown("side", "up", ["left", "right"]))
    Traceback (most recent call last):
        ...
    barmath.refusal.BendError: Choose left or right: side must be one of these, got 'up'
    """
    *first, last = choices
    words = f"{', '.join(first)} or {last}" if first else last
    return f"{name} must be one of these, got {quoted(value)}: choose {words}"


def checked_day(text: object) -> str:
    """`text` as a day YYYY-MM-DD; raises BendError otherwise."""
    if isinstance(text, str) and _DAY.fullmatch(text):
        with suppress(ValueError):
            return datetime.date.fromisoformat(text).isoformat()
    raise BendError(f"date must be a day, got {quoted(text)}: type the day as in 2026-03-14")


def refuse_where(bad: object, sentence: str, *, remedy: str = "", **values: object) -> None:
    """Raise BendError with `sentence` where any element of `bad` is true.

    {names} in it are filled with the `values` of the first such element. Its place is given when there are several.
    The value of {name} is shown in full, as somebody gave it, that of {name:.1f} in tenths. With {name:least} or
    {name:most} a computed bound is rounded inward, so that it is not refused itself.
    """
    flags = np.asarray(bad)
    if not flags.any():
        return
    place = tuple(int(i) for i in np.argwhere(flags)[0])
    here = {name: _Quoted(np.broadcast_to(np.asarray(value), flags.shape)[place]) for name, value in values.items()}
    where = "" if flags.ndim == 0 else f" (element {', '.join(map(str, place))} of {flags.shape})"
    raise BendError(sentence.format(**here) + where + (f": {remedy}" if remedy else ""))


def check_shapes(what: str, *values: object) -> tuple[int, ...]:
    """The shape that `values` broadcast to; raises BendError where they do not."""
    shapes = [value.shape for value in values if isinstance(value, np.ndarray)]
    try:
        return np.broadcast_shapes(*shapes)
    except ValueError:
        *first, last = map(str, dict.fromkeys(shapes))
        shown = f"{', '.join(first)} and {last}"
        raise BendError(
            f"{what} must have arrays that fit together, got shapes {shown}: give one number, or one for each bar"
        ) from None


def remedy_first(sentence: str) -> str:
    """A refusal as a panel shows it: what to do, then why. Any other sentence is returned unchanged.

    Examples
    --------
    >>> remedy_first("bend must be at least 6.0 deg, got 5.0 deg: choose a larger bend")
    'Choose a larger bend: bend must be at least 6.0 deg, got 5.0 deg'
    """
    found = _REFUSED.fullmatch(sentence)
    if found is None or not found["remedy"]:
        return sentence
    to_do, *note = _NOTE.split(found["remedy"], maxsplit=1)  # a note on the remedy comes last
    return f"{to_do[:1].upper()}{to_do[1:]}: {'; '.join((found['why'], *note))}"


def shown_bounds(lowest: Number, highest: Number, decimals: int = 1) -> tuple[Number, Number]:
    """Bounds as a refusal shows them: rounded inward, so that the bound shown is not refused itself.

    Rounded to `decimals`, or to three where nothing would be left between them.
    """
    (low, high), (fine_low, fine_high) = (_inward(lowest, highest, 10.0**places) for places in (decimals, 3))
    return np.where(low > high, fine_low, low), np.where(low > high, fine_high, high)


def plain(value: object) -> str:
    """A number as a bench reads it: at most three decimals and no trailing zeros, one decimal at least."""
    number = float(value) + 0.0  # type: ignore[arg-type]  # no minus before a zero
    if not math.isfinite(number) or abs(number) >= 1e7 or 0 < abs(number) < 5e-4:
        return f"{number:.3g}"
    text = f"{number:.3f}".rstrip("0")
    return text + "0" if text.endswith(".") else text


def counted(count: int, thing: str) -> str:
    """A count with its noun, in the plural by an s where it is not one.

    Examples
    --------
    >>> counted(1, "test bend"), counted(3, "bar"), counted(0, "row")
    ('1 test bend', '3 bars', '0 rows')
    """
    return f"{count} {thing}{'' if count == 1 else 's'}"


def tenths(value: object, bound: object = 0.0) -> str:
    """A computed length or angle as a bench reads it: one decimal, more only where it would look like its `bound`.

    Examples
    --------
    >>> tenths(59.894, 60.0), tenths(59.96, 60.0)
    ('59.9', '59.96')
    """
    number = float(value)  # type: ignore[arg-type]
    short = round(number, 1)
    return plain(number if short == round(float(bound), 1) else short)  # type: ignore[arg-type]


class _Quoted(float):
    """A number in a refusal, as the sentence asks for it: in full, in tenths, or as a bound."""

    def __format__(self, asked: str) -> str:
        if asked == "least":
            return plain(shown_bounds(self, math.inf)[0])
        if asked == "most":
            return plain(shown_bounds(-math.inf, self)[1])
        return tenths(self) if asked else plain(self)


def quoted(value: object) -> str:
    """What was given, as a refusal shows it: on one line, in quotes where it is text, and cut where it is long."""
    if isinstance(value, str):
        return repr(value if len(value) <= LONGEST_SHOWN else value[:LONGEST_SHOWN] + "...")
    text = " ".join(repr(value).split())
    return text if len(text) <= LONGEST_SHOWN else text[: LONGEST_SHOWN - 3] + "..."


def _inward(lowest: Number, highest: Number, scale: float) -> tuple[Number, Number]:
    return np.ceil(lowest * scale - _SHOWN_SLACK) / scale, np.floor(highest * scale + _SHOWN_SLACK) / scale


def _measured(name: str, value: object, unit: str) -> tuple[Number, float, float]:
    # the number with its smallest and its largest element, so that a long array is read twice and no more
    if type(value) is float and -LARGEST <= value <= LARGEST:
        return value, value, value
    try:
        array = np.asarray(value)
    except ValueError:
        raise BendError(
            f"{name} must be a number or rows of numbers, got rows of different lengths: {_RAGGED}"
        ) from None
    if isinstance(value, np.ndarray) and type(value) is not np.ndarray and np.ma.is_masked(value):  # loads numpy.ma
        raise BendError(f"{name} must be a number{_in(unit)}, got an array with masked elements: leave those out")
    if array.dtype.kind not in "iuf":
        raise BendError(f"{name} must be a number{_in(unit)}, got {quoted(value)}: type a number, without quotes")
    array = array.astype(np.float64, copy=False)
    if not array.size:
        return array, math.inf, -math.inf
    low, high = float(array.min()), float(array.max())
    if not (math.isfinite(low) and math.isfinite(high)):
        bad = _offender(array, ~np.isfinite(array), unit)
        raise BendError(f"{name} must be a finite number{_in(unit)}, got {bad}: type a number{_in(unit)}")
    if max(-low, high) > LARGEST:
        far = np.abs(array) > LARGEST
        raise BendError(f"{name} must be at most {LARGEST:.0e} in size, got {_offender(array, far, unit)}: {_TOO_BIG}")
    return (float(array) if array.ndim == 0 else array), low, high


def _offender(number: Number, bad: object, unit: str) -> str:
    flags, array = np.asarray(bad), np.asarray(number)
    if array.ndim == 0:
        return plain(array) + _space(unit)
    place = tuple(int(i) for i in np.argwhere(flags)[0])
    return f"{plain(array[place])}{_space(unit)} (element {', '.join(map(str, place))} of {array.shape})"


def _between(unit: str, above: float | None, least: float | None, below: float | None, most: float | None) -> str:
    # the numbers inside these bounds, in words
    least = None if above is not None else least
    if least is not None and most is not None:
        return f"from {plain(least)} to {plain(most)}{_space(unit)}"
    if least is not None and below is None:
        return f"from {plain(least)}{_space(unit)} up"
    bounds = (("above", above), ("from", least), ("below", below), ("up to", most))
    return " and ".join(f"{word} {plain(bound)}{_space(unit)}" for word, bound in bounds if bound is not None)


def _space(unit: str) -> str:
    return f" {unit}" if unit else ""


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""
