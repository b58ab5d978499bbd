"""What is asked before a bar is put into the record: readings far from the order, or a bar kept already. No widgets."""

from __future__ import annotations

import math

from barmath.checking.bench_readings import KINDS, Kind
from barmath.lengths import MM_PER_INCH, length_text
from barmath.records.bent_bar import BentBar
from barmath.records.record import Record
from barmath.records.record_entry import BAR, Entry, readable

ORDERED = {
    "rise_left": "rise_mm", "rise_right": "rise_mm", "backsweep_left": "backsweep_deg",
    "backsweep_right": "backsweep_deg", "width": "width_mm",
}  # fmt: skip
"""Readings that the order itself gives, and the field of the order."""

SLIPS = (
    ("a decimal point is missing", 0.1),
    ("it was read in inches", MM_PER_INCH),
    ("it was already in mm", 1.0 / MM_PER_INCH),
)
"""What is often the matter with a number, and by what the right one is had; common practice, no source."""


AS_TYPED = 0.051
"""How near two readings are that are the same but for rounding, mm or degrees."""


def doubts(bar: BentBar, unit: str = "mm") -> list[str]:
    """The questions to ask about a bar before it is kept, each with the likely right value.

    A reading is asked about where it is further from the order than `Kind.room`.
    """
    read = {kind: bar.readings[kind.key] for kind in KINDS if kind.key in ORDERED and kind.key in bar.readings}
    ordered = {kind: float(getattr(bar.order, ORDERED[kind.key])) for kind in read}
    return [
        _question(kind, value, ordered[kind], unit)
        for kind, value in read.items()
        if abs(value - ordered[kind]) > kind.room
    ]


def known_already(record: Record, bar: BentBar) -> list[str]:
    """What to ask where the record has a bar of that name with the same readings: kept twice, it would count twice."""
    same = [entry.number for entry in record.recent(BAR, bar.die, bar.tube) if _alike(entry, bar)]
    return [
        f"is it the bar of entry {number}, which has the same name and readings? If so, fetch entry {number} and "
        "correct it. Put this one in unchanged only if it is another bar"
        for number in same[-1:]
    ]


def _alike(entry: Entry, bar: BentBar) -> bool:
    (kept,) = readable([entry]) or (None,)
    if not isinstance(kept, BentBar) or kept.name != bar.name or not bar.readings:
        return False
    return all(abs(kept.readings.get(key, math.inf) - value) < AS_TYPED for key, value in bar.readings.items())


def _question(kind: Kind, value: float, ordered: float, unit: str) -> str:
    likely = [(slip, value * by) for slip, by in SLIPS if abs(value * by - ordered) <= kind.room]
    remedy = f" Perhaps {likely[0][0]}, and it is {_shown(kind, likely[0][1], unit)}." if likely else ""
    return (
        f"is {kind.name.lower()} really {_shown(kind, value, unit)}? The order says {_shown(kind, ordered, unit)}."
        f"{remedy} Correct the box, or put the bar in unchanged"
    )


def _shown(kind: Kind, value: float, unit: str) -> str:
    return length_text(value, unit) if kind.unit == "mm" else f"{value:.1f} deg"
