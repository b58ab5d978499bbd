"""What is written down of one bar, or of one test bend: plain values, any of which may be missing.

Settings are those of the usual order, both sides alike: the marks are the riser's ends as marked on the straight tube.
Readings are those of `barmath.checking.bench_readings`, by their keys.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields

from barmath.checking.bench_readings import BY_KEY
from barmath.closed_forms.records import LEAST_BEND_DEG, Order
from barmath.lengths import LONGEST_MM
from barmath.refusal import BendError, checked_day, checked_single, told

LONGEST_TEXT = 2000

READ_WRONG_DEG = 1.5
"""By how much both readings of a test bend may be off together: common practice, no source."""


_TYPED_DAY = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})", re.ASCII)

_LENGTHS = ("tube_diameter_mm", "tube_wall_mm", "die_radius_mm")
_SETTINGS = ("inner_mark_mm", "outer_mark_mm", "tube_length_mm")
_ANGLES = ("inner_stop_deg", "outer_stop_deg", "clamp_reading_deg")
_TEXTS = ("name", "tube", "die", "batch", "tweaks", "notes", "photo")


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


@dataclass(frozen=True)
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

    Raises
    ------
    BendError
        Where a value is no number in its range, a text is too long or no text, or the date is no day.
    """

    name: str
    date: str
    order: Order
    tube: str
    die: str
    tube_diameter_mm: float
    tube_wall_mm: float
    die_radius_mm: float
    batch: str = ""
    inner_mark_mm: float | None = None
    outer_mark_mm: float | None = None
    tube_length_mm: float | None = None
    inner_stop_deg: float | None = None
    outer_stop_deg: float | None = None
    clamp_reading_deg: float | None = None
    readings: Mapping[str, float] = field(default_factory=dict)
    tweaks: str = ""
    notes: str = ""
    photo: str = ""

    def __post_init__(self) -> None:
        for name in _TEXTS:
            _set(self, name, checked_text(name, getattr(self, name)))
        _set(self, "date", checked_day(self.date))
        for name in _LENGTHS:
            _set(self, name, checked_single(_words(name), getattr(self, name), "mm", above=0.0, most=LONGEST_MM))
        for name in _SETTINGS:
            if getattr(self, name) is not None:
                _set(self, name, checked_single(_words(name), getattr(self, name), "mm", above=0.0, most=LONGEST_MM))
        for name in _ANGLES:
            if getattr(self, name) is not None:
                low = {"least": -90.0} if name == "clamp_reading_deg" else {"least": LEAST_BEND_DEG}
                _set(self, name, checked_single(_words(name), getattr(self, name), "deg", most=180.0, **low))
        _set(self, "readings", Readings(_checked_readings(self.readings)))
        for part in fields(self.order):
            value = getattr(self.order, part.name)
            if value is not None and not isinstance(value, float):
                raise BendError(f"order of a bar must be a single one, got an array as its {_words(part.name)}")


@dataclass(frozen=True)
class TestBend:
    """One bend made to learn how a tube springs back: what the stop was set to, and what stayed.

    `shift_mm`, where it was measured, is how far ahead of the line at the die's edge, toward the free end, the bend
    truly begins; minus where it begins behind it.
    """

    __test__ = False  # no test class, whatever its name looks like

    date: str
    tube: str
    die: str
    tube_diameter_mm: float
    tube_wall_mm: float
    die_radius_mm: float
    stop_deg: float
    kept_deg: float
    batch: str = ""
    shift_mm: float | None = None
    notes: str = ""

    def __post_init__(self) -> None:
        for name in ("tube", "die", "batch", "notes"):
            _set(self, name, checked_text(name, getattr(self, name)))
        _set(self, "date", checked_day(self.date))
        for name in _LENGTHS:
            _set(self, name, checked_single(_words(name), getattr(self, name), "mm", above=0.0, most=LONGEST_MM))
        _set(self, "stop_deg", checked_single("stop", self.stop_deg, "deg", above=0.0, most=180.0))
        _set(self, "kept_deg", checked_single("angle kept", self.kept_deg, "deg", above=0.0, most=180.0))
        if self.kept_deg > self.stop_deg + READ_WRONG_DEG:
            raise BendError(
                f"angle kept must be about the stop's {self.stop_deg:.1f} deg at most, for no tube bends on by itself, "
                f"got {self.kept_deg:.1f} deg: read both again"
            )
        if self.shift_mm is not None:
            _set(self, "shift_mm", checked_single("shift of the bend", self.shift_mm, "mm", least=-50.0, most=50.0))


def day_from_text(text: str) -> str:
    """A day as it may be typed, as YYYY-MM-DD: 2026-11-26, 26.11.2026, 26/11/2026 or 11/26/2026.

    Raises BendError where it is no day, or where 3/4/2026 may be in March or in April.
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
            f"date must be clear, got {told(text)}, which can mean two days: write {year}-{first:02d}-{second:02d} or "
            f"{year}-{second:02d}-{first:02d}"
        )
    return checked_day(f"{year}-{month:02d}-{day:02d}")


def _checked_readings(readings: object) -> dict[str, float]:
    if not isinstance(readings, Mapping):
        raise BendError(f"readings must be values by name, got {told(readings)}")
    found = {}
    for key, value in readings.items():
        if key not in BY_KEY:
            raise BendError(f"reading must be one of {', '.join(BY_KEY)}, got {told(key)}")
        kind = BY_KEY[key]
        found[key] = checked_single(kind.name.lower(), value, kind.unit, least=-2000.0, most=2000.0)
    return {key: found[key] for key in BY_KEY if key in found and math.isfinite(found[key])}


def checked_text(name: str, value: object) -> str:
    """`value` as text that can be kept; raises BendError where it is none, too long, or has null characters."""
    if not isinstance(value, str):
        raise BendError(f"{_words(name)} must be text, got {told(value)}")
    if len(value) > LONGEST_TEXT:
        raise BendError(f"{_words(name)} must be at most {LONGEST_TEXT} letters long, got {len(value)}: shorten it")
    if "\x00" in value:
        raise BendError(f"{_words(name)} must be text without null characters, got some: type it again")
    return value.encode("utf-8", "replace").decode()


def _words(name: str) -> str:
    return name.removesuffix("_mm").removesuffix("_deg").replace("_", " ")


def _set(record: object, name: str, value: object) -> None:
    object.__setattr__(record, name, value)
