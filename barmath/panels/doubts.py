"""What is asked about before a bar is put into the record: readings far from the order. No widgets."""

from __future__ import annotations

from barmath.checking.bench_readings import KINDS, Kind
from barmath.lengths import MM_PER_INCH, length_text
from barmath.records.bent_bar import BentBar

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


def _question(kind: Kind, value: float, ordered: float, unit: str) -> str:
    likely = [(slip, value * by) for slip, by in SLIPS if abs(value * by - ordered) <= kind.room]
    remedy = f" Perhaps {likely[0][0]}, and it is {_shown(kind, likely[0][1], unit)}." if likely else ""
    return (
        f"is {kind.name.lower()} really {_shown(kind, value, unit)}? The order says {_shown(kind, ordered, unit)}."
        f"{remedy} Correct the box, or put the bar in unchanged"
    )


def _shown(kind: Kind, value: float, unit: str) -> str:
    return length_text(value, unit) if kind.unit == "mm" else f"{value:.1f} deg"
