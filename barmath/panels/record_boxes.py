"""What can be typed of a bar in the panel of the record, box by box. No widgets."""

from __future__ import annotations

from typing import Any

from barmath.checking.bench_readings import KINDS
from barmath.lengths import angle_deg, length_mm
from barmath.panels.fetched import READ
from barmath.records.bent_bar import day_from_text
from barmath.refusal import BendError, quoted

LONGEST_NUMBER = 18
"""Digits of an entry's number: no record has as many entries."""

SETTINGS = (
    ("inner_mark_mm", "Inner mark"), ("outer_mark_mm", "Outer mark"), ("tube_length_mm", "Tube length"),
    ("inner_stop_deg", "Stop, inner"), ("outer_stop_deg", "Stop, outer"), ("clamp_reading_deg", "Clamp reading"),
)  # fmt: skip
TEXTS = (("name", "Name"), ("date", "Date"), ("batch", "Batch"), ("tweaks", "Tweaks"), ("notes", "Notes"),
         ("photo", "Photo, path"))  # fmt: skip


def check_typed(key: str, text: str, unit: str) -> Any:
    """The value that is typed in the box of that field or reading; raises BendError where it cannot be understood."""
    text, settings = text.strip(), dict(SETTINGS)
    kinds = {READ + kind.key: kind for kind in KINDS}
    if key == "date":
        return day_from_text(text)
    if not text:
        return None
    if key in settings:
        return _number(key.endswith("_mm"), text, settings[key].lower(), unit)
    if key in kinds:
        return _number(kinds[key].unit == "mm", text, kinds[key].name.lower(), unit)
    return text


def entry_number(typed: str) -> int | None:
    """The number of an entry as it is typed, None where nothing is; raises BendError where it is no number."""
    text = typed.strip()
    if not text:
        return None
    if not text.isdecimal() or len(text) > LONGEST_NUMBER:
        raise BendError(f"entry to correct must be a number, got {quoted(text)}: type it, for example 12")
    return int(text)


def _number(length: bool, text: str, words: str, unit: str) -> float:
    if length:
        return length_mm(text, name=words, default_unit=unit, allow_negative=True)
    return angle_deg(text, name=words)
