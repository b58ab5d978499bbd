"""What is written down of one bar, or of one test bend: plain values, any of which may be missing.

Settings are those of the usual sequence, both sides alike: the marks are the riser's ends on the straight tube.
Readings are those of `barmath.checking.bench_readings`, by their keys.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import fields

from barmath.checking.bench_readings import BY_KEY
from barmath.closed_forms.records import LEAST_BEND_DEG, Order
from barmath.fields import frozen, passing
from barmath.lengths import LONGEST_MM
from barmath.refusal import BendError, checked_choice, checked_day, checked_single, quoted, unknown

_LEAST = {"width": 0.0, "between_risers": 0.0}  # of a rise the S-shaped bar has one below 0
LONGEST_TEXT = 2000

READ_WRONG_DEG = 1.5
"""By how much both readings of a test bend may be off together: common practice, no source."""


_TYPED_DAY = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})", re.ASCII)


class Readings(Mapping[str, float]):
    """Readings by key, which nobody can change, and which can be compared, copied and pickled."""

    def __init__(self, readings: Mapping[str, float]) -> None:
        self._readings = dict(readings)

    def __getitem__(self, key: str) -> float:
        return self._readings[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._readings)

    def __len__(self) -> int:
        return len(self._readings)

    def __or__(self, more: Mapping[str, float]) -> dict[str, float]:
        return self._readings | dict(more)

    def __hash__(self) -> int:
        return hash(frozenset(self._readings.items()))

    def __repr__(self) -> str:
        return repr(self._readings)


def _checked_readings(readings: object) -> Readings:
    if not isinstance(readings, Mapping):
        raise BendError(f"readings must be values by name, got {quoted(readings)}: give a dict of name and value")
    found = {}
    for key, value in readings.items():
        if key not in BY_KEY:
            raise BendError(unknown("reading", key, tuple(BY_KEY)))
        kind = BY_KEY[key]
        found[key] = checked_single(kind.name.lower(), value, kind.unit, least=_LEAST.get(key, -2000.0), most=2000.0)
    return Readings({key: found[key] for key in BY_KEY if key in found and math.isfinite(found[key])})


def checked_text(name: str, value: object) -> str:
    """`value` as text that can be kept; raises BendError where it is none, too long, or has null characters."""
    if not isinstance(value, str):
        raise BendError(f"{name} must be text, got {quoted(value)}: put the {name} in quotes")
    if len(value) > LONGEST_TEXT:
        raise BendError(f"{name} must be at most {LONGEST_TEXT} letters long, got {len(value)}: shorten the {name}")
    if "\x00" in value:
        raise BendError(f"{name} must be text without null characters, got some: type it again")
    return value.encode("utf-8", "replace").decode()


def _checked_length(name: str, length_mm: object) -> float:
    return checked_single(name, length_mm, "mm", above=0.0, most=LONGEST_MM)


def _checked_angle(name: str, angle_deg: object, **bounds: float) -> float:
    return checked_single(name, angle_deg, "deg", most=180.0, **bounds)


def _checked_order(order: Order) -> Order:
    for part in fields(order):
        value = getattr(order, part.name)
        if value is not None and not isinstance(value, float):
            quantity = part.name.rsplit("_", 1)[0].replace("_", " ")
            raise BendError(
                f"order of a bar must be a single one, got an array as its {quantity}: give one order at a time"
            )
    return order


@frozen
class BentBar:
    """One bar as it was ordered, set, and read before any tweak.

    Parameters
    ----------
    name : str
        Such as "order 7".
    date : str
        YYYY-MM-DD.
    order : Order
        One order (no arrays).
    tube, die, batch : str
        Names, as in the shop's file; the batch is what a shop calls one delivery of tube.
    tube_diameter_mm, tube_wall_mm, die_radius_mm : numbers above 0
        So that a bar can still be understood when names have changed.
    inner_mark_mm, outer_mark_mm, tube_length_mm : numbers above 0, or None
        Marks from the middle, and the straight tube's length.
    inner_stop_deg, outer_stop_deg : numbers above 0, or None
        What the stop was set to.
    clamp_reading_deg : number or None
        What the angle finder showed at the outer bends.
    readings : mapping of key to number
        As read, mm or degrees; see `bench_readings.KINDS`.
    tweaks, notes, photo : str
        Free text, and the path of a photograph.
    piece : str
        Marks the piece of tube that it was made of: test bends with the same mark are its own bends.

    Raises
    ------
    BendError
        A value is not a number in its range. A text is too long, or not a text. The date is not a day.
    """

    name: str = passing(checked_text, "name")
    date: str = passing(checked_day)
    order: Order = passing(_checked_order)
    tube: str = passing(checked_text, "tube")
    die: str = passing(checked_text, "die")
    tube_diameter_mm: float = passing(_checked_length, "tube diameter")
    tube_wall_mm: float = passing(_checked_length, "tube wall")
    die_radius_mm: float = passing(_checked_length, "die radius")
    batch: str = passing(checked_text, "batch", default="")
    inner_mark_mm: float | None = passing(_checked_length, "inner mark", default=None)
    outer_mark_mm: float | None = passing(_checked_length, "outer mark", default=None)
    tube_length_mm: float | None = passing(_checked_length, "tube length", default=None)
    inner_stop_deg: float | None = passing(_checked_angle, "inner stop", least=LEAST_BEND_DEG, default=None)
    outer_stop_deg: float | None = passing(_checked_angle, "outer stop", least=LEAST_BEND_DEG, default=None)
    clamp_reading_deg: float | None = passing(_checked_angle, "clamp reading", least=-90.0, default=None)
    readings: Mapping[str, float] = passing(_checked_readings, default=Readings({}))
    tweaks: str = passing(checked_text, "tweaks", default="")
    notes: str = passing(checked_text, "notes", default="")
    photo: str = passing(checked_text, "photo", default="")
    piece: str = passing(checked_text, "piece", default="")


@frozen
class TestBend:
    """One bend made to learn how a tube springs back: what the stop was set to, and what the bend kept.

    `shift_mm`, where it was measured, is how far ahead of the line at the die's edge the bend begins. Ahead is toward
    the free end; minus where it begins behind it. Where it is a bend of a bar, `piece` is the bar's. `bend` says which
    bend it is, "inner" or "outer", and `side` on which side of the bar, "left" or "right".

    Raises
    ------
    BendError
        A field is outside its range, a text is no text, or the date is no day.
    """

    __test__ = False  # no test class, whatever its name looks like

    date: str = passing(checked_day)
    tube: str = passing(checked_text, "tube")
    die: str = passing(checked_text, "die")
    tube_diameter_mm: float = passing(_checked_length, "tube diameter")
    tube_wall_mm: float = passing(_checked_length, "tube wall")
    die_radius_mm: float = passing(_checked_length, "die radius")
    stop_deg: float = passing(_checked_angle, "stop", above=0.0)
    kept_deg: float = passing(_checked_angle, "angle kept", above=0.0)
    batch: str = passing(checked_text, "batch", default="")
    shift_mm: float | None = passing(
        checked_single, "shift of the bend", unit="mm", least=-50.0, most=50.0, default=None
    )
    notes: str = passing(checked_text, "notes", default="")
    piece: str = passing(checked_text, "piece", default="")
    bend: str = passing(checked_choice, "bend", choices=("", "inner", "outer"), default="")
    side: str = passing(checked_choice, "side", choices=("", "left", "right"), default="")

    def _check_together(self) -> None:
        if self.kept_deg > self.stop_deg + READ_WRONG_DEG:
            raise BendError(
                f"angle kept must be about the stop's {self.stop_deg:.1f} deg or less, got {self.kept_deg:.1f} deg: "
                "read both again, because no tube bends further by itself"
            )


def day_from_text(text: str) -> str:
    """A day as it may be typed, as YYYY-MM-DD: 2026-11-26, 26.11.2026, 26/11/2026 or 11/26/2026.

    Raises
    ------
    BendError
        It is not a day. It may be in March or in April, as 3/4/2026 may.

    Examples
    --------
    >>> from barmath.records import day_from_text
    >>> day_from_text("26.11.2026")
    '2026-11-26'
    """
    words = text.strip().partition("T")[0].removesuffix(" 00:00:00")
    match = _TYPED_DAY.fullmatch(words)
    if match is None:
        return checked_day(words)
    first, between, second, year = int(match[1]), match[2], int(match[3]), match[4]
    if between == "." or first > 12 or first == second:
        day, month = first, second
    elif second > 12:
        day, month = second, first
    else:
        raise BendError(
            f"date must be clear, got {quoted(text)}, which can mean two days: write {year}-{first:02d}-{second:02d} "
            f"or {year}-{second:02d}-{first:02d}"
        )
    return checked_day(f"{year}-{month:02d}-{day:02d}")
