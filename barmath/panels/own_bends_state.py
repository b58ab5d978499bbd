"""From the reader's own test bends, as typed, to what they say of tube and die: pure functions, no widgets."""

from __future__ import annotations

from collections.abc import Sequence

from barmath.lengths import angle_deg, length_mm
from barmath.panels.markup import table
from barmath.records.bent_bar import TestBend
from barmath.records.calibration import calibrate
from barmath.refusal import BendError, counted, quoted
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die

MOST_BENDS = 5
ASKED_DEG = (15.0, 30.0, 45.0)
"""Bends with the stop shown."""

_DAY = "2000-01-01"  # a day must be given, and no result depends on it


def bend_from_text(text: str, tube: Tube, die: Die) -> TestBend | None:
    """A test bend from its two or three numbers: on the stop, kept, and the shift where it was measured.

    None where nothing is typed. Raises BendError where it is something else.
    """
    parts = [part.strip() for part in text.split(";")]
    if parts == [""]:
        return None
    if not 2 <= len(parts) <= 3:
        raise BendError(
            f"a test bend must be two or three numbers, got {quoted(text)}: "
            "type stop, angle kept and shift with semicolons between, for example 30; 28.6; 1.4"
        )
    return TestBend(
        date=_DAY, tube=tube.name, die=die.name, tube_diameter_mm=float(tube.outside_diameter_mm),
        tube_wall_mm=float(tube.wall_mm), die_radius_mm=float(die.centerline_radius_mm),
        stop_deg=angle_deg(parts[0], name="stop"), kept_deg=angle_deg(parts[1], name="angle kept"),
        shift_mm=length_mm(parts[2], name="shift", allow_negative=True) if len(parts) == 3 else None,
    )  # fmt: skip


def own_bends_html(tube: Tube, die: Die, bends: Sequence[TestBend]) -> str:
    """The stop for some bends, by the theory and by the theory with these bends, and the line-up offset."""
    theory, found = calibrate(tube, die), calibrate(tube, die, list(bends))
    rows = []
    for bend in ASKED_DEG:
        both = (one.stop_deg(bend) for one in (theory, found))
        rows.append([f"stop for {bend:.0f} deg", *(f"{stop.value:.1f} ± {stop.error:.1f} deg" for stop in both)])
    offsets = (one.estimates["offset_mm"] for one in (theory, found))
    rows.append(["line-up offset", *(f"{offset.value:.1f} ± {offset.error:.1f} mm" for offset in offsets)])
    caption = f"{tube.name} on {die.name}: change by {counted(len(bends), 'test bend')}"
    return table(rows, ("what", "by theory", "with your bends"), words={0}, caption=caption)
