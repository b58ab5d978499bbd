"""The four bends on the bench sheet: a list to tick with big numbers, and pictures of the bar in the bender."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from barmath.bending.steps import Step
from barmath.bending.stops import ALL_BENDS, OUTER_BENDS
from barmath.paper.bench_data import BenchSheet
from barmath.paper.bender_view import Field, draw_flat, draw_from_above, to_one_scale
from barmath.paper.page import RULE, SOFT, TINT, Page, broken, largest_fitting, line_height, text_width

ABOVE_MM, FLAT_MM, GAP_MM = 52.0, 27.0, 2.0
"""Widths of the picture from above and of the one square to the flat, and the gap beside each."""

PICTURE_MM = 26.0
"""Least height of a picture."""

SQUEEZE_MM = 6.0
"""By how much the four bends together may be lower than their words would like: smaller type takes it up."""

NUMBERS, WORDS, SMALLER = (14.0, 12.5, 11.0, 9.5), 6.9, (6.6, 6.3)
_TICK, _NUMBER_START, _NUMBER_END, _WORDS_START = 0.2, 4.8, 33.0, 35.0
_TITLE_MM, _CLEAR_MM = 5.6, 0.6


class Line(NamedTuple):
    """One line to tick: a big number (or nothing), what it is for, and whether the number is framed."""

    number: str
    words: str
    framed: bool = False


def draw_steps(
    page: Page, x: float, y: float, width: float, height: float, sheet: BenchSheet, steps: Sequence[Step]
) -> None:
    """The four bends below each other; each gets the height its words need and a like share of what is left."""
    words = _words_wide(width)
    pictures = x + words + GAP_MM
    room = height - len(steps) * _CLEAR_MM
    size = next((one for one in (WORDS, *SMALLER) if least_height(steps, sheet, width, one) <= room), SMALLER[-1])
    needed = [height_needed(step, sheet, words, size) for step in steps]
    share = (height - sum(needed)) / len(steps)
    heights = [tall + share for tall in needed]
    tops = [y + sum(heights[:number]) for number in range(len(steps))]
    die_radius, diameter = float(sheet.die.centerline_radius_mm), float(sheet.tube.outside_diameter_mm)
    fields = to_one_scale(
        [Field(pictures, top + 0.5, ABOVE_MM, tall - 1.0) for top, tall in zip(tops, heights, strict=True)],
        [step.pose for step in steps],
        die_radius,
    )
    for step, field, top, tall in zip(steps, fields, tops, heights, strict=True):
        page.line([(x, top), (x + width, top)], 0.25, colour=RULE)
        _draw_words(page, x, top, words, tall, step, sheet, size)
        draw_from_above(page, field, step.pose, die_radius, diameter, named=step.number == 1)
        beside = Field(pictures + ABOVE_MM + GAP_MM, top + 1.5, FLAT_MM, tall - 3.0)
        if step.reading_deg is None:
            _draw_legend(page, beside)
        else:
            _draw_reading(page, beside, step, diameter)


def least_height(steps: Sequence[Step], sheet: BenchSheet, width: float, size: float = WORDS) -> float:
    """Least height of all four bends in a field `width` mm wide, mm; `size` of their words in points."""
    return sum(height_needed(step, sheet, _words_wide(width), size) for step in steps)


def height_needed(step: Step, sheet: BenchSheet, width: float, size: float = WORDS) -> float:
    """Least height of a step with words `width` mm wide, mm; `size` of its words in points."""
    return max(_TITLE_MM + sum(_heights(lines_of(step, sheet), width, size)) + 1.0, PICTURE_MM)


def lines_of(step: Step, sheet: BenchSheet) -> list[Line]:
    """What is to be ticked for one bend."""
    mark, from_end = sheet.length(step.mark_mm), sheet.length(step.mark_from_end_mm)
    reading = "" if step.reading_deg is None else f"{abs(step.reading_deg):.1f}°"
    return [
        Line(mark, f"{step.mark_name} to the die's edge, from the middle; {from_end} from the {step.side} end"),
        Line(reading, f"{'angle finder: ' if reading else ''}{step.lie}"),
        Line(
            f"{step.stop_deg:.1f}°",
            f"{_stop_words(step)} ({step.bend_deg:.1f} deg after springback), free end to the {sheet.bender.turns}",
            step.stop_for == OUTER_BENDS,
        ),
        Line("", step.measure),
    ]


def _words_wide(width: float) -> float:
    return width - ABOVE_MM - FLAT_MM - 2.0 * GAP_MM


def _stop_words(step: Step) -> str:
    if step.stop_for == ALL_BENDS:
        return "on the stop"
    return f"{'move to ' if step.moves_stop else ''}{step.bend.upper()} stop"


def _draw_words(
    page: Page, x: float, y: float, width: float, height: float, step: Step, sheet: BenchSheet, points: float
) -> None:
    page.text(x, y + 4.6, f"{step.title}", 10.5, bold=True)
    page.text(x + width, y + 4.6, step.hold, WORDS, bold=True, align="right")
    lines = lines_of(step, sheet)
    needed = _heights(lines, width, points)
    gap = (height - _TITLE_MM - sum(needed)) / (len(lines) + 0.4)
    top = y + _TITLE_MM + 0.7 * gap
    for line, tall in zip(lines, needed, strict=True):
        page.box(x + _TICK, top + 0.2, 3.4, 3.4, edge=0.3)
        if line.number:
            size = largest_fitting(line.number, _NUMBER_END - _NUMBER_START, NUMBERS, bold=True)
            if line.framed:
                wide = text_width(line.number, size, bold=True) + 1.4
                page.box(x + _NUMBER_END + 0.7 - wide, top - 0.7, wide, 5.4, edge=0.3, fill=TINT)
            page.text(x + _NUMBER_END, top + 3.9, line.number, size, bold=True, align="right")
        else:
            page.text(
                x + _NUMBER_END, top + 2.6, "check" if line is lines[-1] else "roll", WORDS, align="right", colour=SOFT
            )
        page.paragraph(x + _WORDS_START, top + 2.6, width - _WORDS_START, line.words, points)
        top += tall + gap


def _heights(lines: Sequence[Line], width: float, size: float) -> list[float]:
    room = width - _WORDS_START
    return [max(len(broken(line.words, room, size)) * line_height(size), 4.6) for line in lines]


def _draw_reading(page: Page, field: Field, step: Step, diameter: float) -> None:
    draw_flat(page, field, step.pose, step.read_straight, diameter)
    page.text(
        field.x + field.width - 1.0,
        field.y + 5.2,
        f"{abs(step.reading_deg or 0.0):.1f}°",
        11.0,
        bold=True,
        align="right",
    )
    page.text(field.x + 1.0, field.y + 3.0, step.read_on, 6.0)
    below = field.y + field.height - 1.2
    for words, align in ((f"← {step.read_side[0].upper()} end", "left"), ("bender →", "right")):
        wide = text_width(words, 5.5) + 0.6
        left = field.x + 0.7 if align == "left" else field.x + field.width - 0.7 - wide
        page.box(left, below - 2.0, wide, 2.6, edge=0.0, fill="white").set_zorder(2.5)  # hides the tube behind them
        page.text(left + (0.3 if align == "left" else wide - 0.3), below, words, 5.5, align=align, colour=SOFT)


def _draw_legend(page: Page, field: Field) -> None:
    notes = (
        "From above: solid before the bend, dashed after it.",
        "In the frames: square to the flat, angle finder on it.",
    )
    y = field.y + 3.0
    for note in notes:
        y = page.paragraph(field.x + 1.0, y, field.width - 1.0, note, 6.0) + 0.8
