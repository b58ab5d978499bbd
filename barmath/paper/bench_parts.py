"""The parts of the bench sheet above and below the steps: head, settings, habits, what to measure, cautions, foot."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barmath.bending.steps import HABITS, Step
from barmath.bending.stops import moves_words, stop_moves
from barmath.closed_forms.forward import grips_level, risers_upright, shape_from_recipe
from barmath.closed_forms.records import Shape
from barmath.lengths import MM_PER_INCH, in_unit, length_text
from barmath.paper.bench_data import BenchSheet
from barmath.paper.letters import one_line
from barmath.paper.page import RULE, SOFT, TINT, Page, broken, largest_fitting, line_height, text_width
from barmath.paper.who import draw_who, short_name
from barmath.shop.cautions import BENDING, PLUGS, SCREEN, in_one
from barmath.shop.clamping import stem_roll_way
from barmath.shop.stock import Tube

SETTINGS_MM, FINISH_MM, FOOT_MM = 17.2, 45.0, 10.5

ALIKE = 0.05
"""Differences of mm or degrees that one decimal does not show."""

LEAST_WATCH_LINES, MOST_WATCH_LINES = 3, 5
"""Lines of warnings, as many as the other parts leave room for."""

INNER_STOP, OUTER_STOP = "Stop for INNER", "Stop for OUTER"
BIG, SMALL = 18.0, 6.8
NAME_SIZES = (20.0, 17.0, 14.0, 11.0)
_CAUTIONS_MM = 62.0
_LEAST_NAME_MM = 15.0


def watched(sheet: BenchSheet) -> list[str]:
    """What to watch: where the recipe does not measure what was ordered, and the warnings given."""
    missed = _missed(sheet)
    first = [f"this recipe does not measure what was ordered: {'; '.join(missed)}"] if missed else []
    habits = dict.fromkeys(step.habit for step in sheet.steps if step.habit)
    return [in_unit(words, sheet.unit) for words in (*first, *habits, *sheet.warnings)]


def outer_on_clamp_flat(steps: Sequence[Step]) -> bool:
    """Whether both outer bends are set by the angle finder on the clamp flat, to the same reading."""
    readings = [abs(step.reading_deg or 0.0) for step in steps if step.bend == "outer" and step.read_on == "clamp flat"]
    return len(readings) == 2 and abs(readings[0] - readings[1]) < ALIKE


def _missed(sheet: BenchSheet) -> list[str]:
    made, found = shape_from_recipe(sheet.recipe), []
    for name in ("rise_mm", "backsweep_deg", "upsweep_deg", "width_mm"):
        asked, got = getattr(sheet.order, name), getattr(made, name)
        if asked is not None and abs(asked - got) > ALIKE:
            quantity, unit = name.rsplit("_", 1)
            shown = sheet.length if unit == "mm" else _angle
            found.append(f"{quantity} {shown(asked)} ordered, {shown(got)} made")
    return found


def draw_head(page: Page, x: float, y: float, width: float, sheet: BenchSheet) -> float:
    """Name, what was ordered, tube, die and bender; returns where the next part begins."""
    column = x + 0.53 * width
    page.text(x, y + 2.4, "BENCH SHEET", 7.0, colour=SOFT)
    draw_who(page, x + 20.0, y + 2.4, column - x - 24.0, sheet.rider, sheet.wanted)
    _draw_name(page, x, y + 10.4, column - x - 4.0, sheet.name)
    order, tube, die = sheet.order, sheet.tube, sheet.die
    upsweep = "upsweep not ordered" if order.upsweep_deg is None else f"upsweep {order.upsweep_deg:.1f} deg"
    page.text(
        x, y + 15.2,
        f"Ordered: rise {sheet.length(order.rise_mm)}, backsweep {order.backsweep_deg:.1f} deg, {upsweep}, "
        f"width {sheet.length(order.width_mm)}; clamp flat {sheet.length(order.clamp_flat_mm)}, "
        f"room for controls {sheet.length(order.controls_mm)}",
        7.2, within=width,
    )  # fmt: skip
    radius, sprung = sheet.length(die.centerline_radius_mm), sheet.length(sheet.recipe.radius_mm)
    size = f"{tube_size(tube, sheet.unit)}, {tube.material.name}"
    rows = (
        ("Tube", tube.name, f": {size}" if tube.name else size),
        ("Die", die.name or "no name", f", radius {radius}, {sprung} after springback"),
        ("Bender", "", f"the free end comes round to the {sheet.bender.turns.upper()}"),
    )
    for number, (what, name, words) in enumerate(rows):
        row = y + 2.4 + 4.0 * number
        page.text(column, row, what, 7.5, colour=SOFT)
        _draw_named(page, column + 13.0, row, x + width - column - 13.0, name, words, bold=what != "Tube")
    page.line([(x, y + 17.4), (x + width, y + 17.4)], 0.5)
    return y + 17.4


def _draw_named(page: Page, x: float, y: float, room: float, name: str, words: str, *, bold: bool) -> None:
    # a name and what is to be known of it, as large as fits; the name gives way where both are too long
    name, words = one_line(name), one_line(words)
    points = largest_fitting(name + words, room, (7.5, 7.0, 6.5, 6.0), bold)
    left = max(room - text_width(words, points, bold), _LEAST_NAME_MM)
    page.text(x, y, short_name(name, left, points, bold) + words, points, bold=bold, within=room)


def _draw_name(page: Page, x: float, y: float, width: float, name: str) -> None:
    # as large as fits; a name too long even for the smallest size is cut
    name = one_line(name)
    page.text(x, y, name, largest_fitting(name, width, NAME_SIZES, bold=True), bold=True, within=width)


def draw_watch(page: Page, x: float, y: float, width: float, sentences: Sequence[str], height: float) -> float:
    """What to watch before cutting, in about `height` mm if there is anything; returns where the next part begins."""
    if not sentences:
        return y
    page.text(x, y + 4.0, "WATCH", SMALL, bold=True)
    fit = int((height - 2.4) // line_height(SMALL))
    lines = _watch_lines(sentences, width - 13.0, min(max(fit, LEAST_WATCH_LINES), MOST_WATCH_LINES))
    for number, line in enumerate(lines):
        page.text(x + 13.0, y + 4.0 + number * line_height(SMALL), line, SMALL)
    return y + 2.4 + len(lines) * line_height(SMALL)


def _watch_lines(sentences: Sequence[str], width: float, most: int) -> list[str]:
    # as many sentences as fit into `most` lines, and how many more there would be
    lines: list[str] = []
    for number, sentence in enumerate(sentences):
        broken_lines = broken(sentence, width, SMALL, most=2)
        last = number == len(sentences) - 1
        if len(lines) + len(broken_lines) > most - (not last):
            return [*lines, f"and {len(sentences) - number} more: see where the recipe was made"]
        lines += broken_lines
    return lines


def draw_settings(page: Page, x: float, y: float, width: float, sheet: BenchSheet, steps: Sequence[Step]) -> float:
    """Cut length, stop and angle finder as big numbers; returns where the next part begins."""
    cut = shape_from_recipe(sheet.recipe).cut_length_mm
    stops = _stop_settings(steps)
    each = width / (len(stops) + 2)
    settings = (
        ("Cut the tube to", sheet.length(cut), "ends square, file the edges"),
        *stops,
        _finder_setting(steps, each - 3.0),
    )
    for number, (what, value, note) in enumerate(settings):
        left = x + number * each
        if what.startswith(OUTER_STOP):
            page.box(left - 1.5, y + 5.6, text_width(value, BIG, bold=True) + 3.0, 7.2, edge=0.3, fill=TINT)
        page.text(left, y + 4.4, what, 7.2, colour=SOFT, within=each - 3.0)
        page.text(left, y + 11.6, value, largest_fitting(value, each - 3.0, (BIG, 14.0, 11.0), bold=True), bold=True)
        page.text(left, y + 15.2, note, 6.8, within=each - 3.0)
    page.line([(x, y + SETTINGS_MM), (x + width, y + SETTINGS_MM)], 0.25, colour=RULE)
    return y + SETTINGS_MM


def _stop_settings(steps: Sequence[Step]) -> tuple[tuple[str, str, str], ...]:
    # one setting for all bends, or one for inner and one for outer bends; each names its bends
    first = {step.stop_for: step for step in reversed(steps)}
    if len(first) == 1:
        (step,) = first.values()
        return (("Stop", f"{step.stop_deg:.1f}°", f"all four bends; {step.bend_deg:.1f} deg after springback"),)
    found = []
    for what in (INNER_STOP, OUTER_STOP):
        step = first[f"{what.split()[-1].lower()} bends"]
        numbers = " and ".join(str(one.number) for one in steps if one.stop_for == step.stop_for)
        found.append((f"{what} bends {numbers}", f"{step.stop_deg:.1f}°", f"{step.bend_deg:.1f} deg after springback"))
    return tuple(found)


def moves_of_stop(steps: Sequence[Step]) -> str:
    """How often the stop is moved in these steps, in words; empty where all bends have one stop."""
    moves = stop_moves([step.stop_deg for step in steps])
    return moves_words(moves) if moves else ""


def offset_words(sheet: BenchSheet) -> str:
    """That the marks allow for the die's line-up offset; empty where it has none."""
    offset = float(sheet.die.line_up_offset_mm)
    return f"the marks allow for the die's line-up offset of {sheet.length(offset)}" if offset else ""


def _finder_setting(steps: Sequence[Step], room: float = np.inf) -> tuple[str, str, str]:
    # one big number where both outer bends are set by the clamp flat, else each reading with its step
    outer = [step for step in steps if step.bend == "outer"]
    if outer_on_clamp_flat(steps):
        reading = abs(outer[0].reading_deg or 0.0)
        slopes = _slopes(outer)
        both = f"{slopes}: both outer bends"
        note = both if text_width(both, 6.8) <= room else slopes
        return "Angle finder on the clamp flat", f"{reading:.1f}°", note
    flats = [step for step in steps if step.reading_deg is not None]
    values = " ".join(f"{abs(step.reading_deg or 0.0):.1f}°" for step in flats)
    return "Angle finder", values, f"for bends {', '.join(str(step.number) for step in flats)}, each on its flat"


def _slopes(outer: Sequence[Step]) -> str:
    # how the clamp flat runs away from the bender for both outer bends, first to last
    first, second = ((step.reading_deg or 0.0) for step in outer)
    if abs(first) < ALIKE:
        return "level"
    ways = ["downhill" if reading > 0.0 else "uphill" for reading in (first, second)]
    return ways[0] if ways[0] == ways[1] else f"first {ways[0]}, then {ways[1]}"


def habits_words(*also: str) -> str:
    """The small habits that make a bar come out, and what `also` is to be known."""
    return " ".join((*HABITS, *(f"{one[:1].upper()}{one[1:]}." for one in also if one)))


def habits_height(words: str, width: float) -> float:
    """How much of the page the habits take, mm."""
    return 2.2 + len(broken(words, width, SMALL)) * line_height(SMALL)


def draw_habits(page: Page, x: float, y: float, width: float, words: str) -> float:
    """The habits, over the whole width; returns where the next part begins."""
    page.paragraph(x, y + 3.0, width, words, SMALL)
    return y + habits_height(words, width)


def draw_finish(page: Page, x: float, y: float, width: float, sheet: BenchSheet) -> None:
    """What the finished bar must measure, and the cautions beside it."""
    page.line([(x, y), (x + width, y)], 0.5)
    _draw_measures(page, x, y + 4.6, width - _CAUTIONS_MM - 5.0, sheet)
    left, y = x + width - _CAUTIONS_MM, y + 4.6
    page.text(left, y, "Before you bend or ride", 8.5, bold=True)
    y += 4.0
    page.paragraph(left, y, _CAUTIONS_MM, in_one(*BENDING, SCREEN, PLUGS), 6.2)


def draw_foot(page: Page, x: float, y: float, width: float, sheet: BenchSheet) -> None:
    """A line to check the printer with, and room to sign."""
    page.line([(x, y), (x + width, y)], 0.25, colour=RULE)
    page.text(x, y + 9.6, page.check_line(x, y + 6.0, sheet.unit), 6.4)
    for left, words, long in ((112.0, "Bent by", 30.0), (150.0, "Date", width - 150.0)):
        page.line([(x + left, y + 7.4), (x + left + long, y + 7.4)], 0.2)
        page.text(x + left, y + 10.6, words, 6.4, colour=SOFT)


def _draw_measures(page: Page, x: float, y: float, width: float, sheet: BenchSheet) -> None:
    page.text(x, y, "The finished bar must measure", 8.5, bold=True)
    clamped, ordered = _as_clamped(sheet)
    rows = _measures(sheet, [shape for _, shape, _ in clamped], [roll for _, _, roll in clamped])
    name, tolerance, blank = 17.0, 22.0, 12.0
    each = (width - name - tolerance - 2.0 * blank) / len(clamped)
    made = "as in the recipe" if _missed(sheet) else "as ordered"
    size = 9.0 if len(clamped) == 2 else 8.0
    tall, top = 4.7, y + 6.4
    for number, (words, _, _) in enumerate(clamped):
        left = x + name + number * each
        if number == ordered:
            page.box(left, y + 1.4, each, 6.8 + tall * len(rows), edge=0.0, fill=TINT)
        page.text(left + each - 1.0, y + 4.4, words, 6.6, bold=number == ordered, align="right")
        page.text(left + each - 1.0, y + 7.0, made if number == ordered else "", 5.8, align="right")
    page.text(x + name + len(clamped) * each + 2.0, y + 4.4, "tolerance", 6.6, colour=SOFT)
    for number, words in enumerate(("left", "right")):
        page.text(x + width - (1.5 - number) * blank, y + 4.4, words, 6.6, align="center", colour=SOFT)
    page.text(x + width - blank, y, "measured", 6.6, align="center", colour=SOFT)
    for number, (words, values, allowed) in enumerate(rows):
        base = top + tall * number + 4.6
        page.line([(x, base - 3.8), (x + width, base - 3.8)], 0.15, colour=RULE)
        page.text(x, base, words, 7.2)
        for column, value in enumerate(values):
            page.text(x + name + (column + 1) * each - 1.0, base, value, size, bold=column == ordered, align="right")
        page.text(x + name + len(clamped) * each + 2.0, base, allowed, 6.4)
    for number in range(3):
        left = x + width - number * blank
        page.line([(left, top + 0.8), (left, top + 0.8 + tall * len(rows))], 0.15, colour=RULE)
    page.line([(x, top + 0.8 + tall * len(rows)), (x + width, top + 0.8 + tall * len(rows))], 0.15, colour=RULE)
    page.text(
        x,
        top + 4.0 + tall * len(rows),
        "Rise and setback to the centres of the bar ends. Tolerances: common practice, no source.",
        6.0,
    )


def _as_clamped(sheet: BenchSheet) -> tuple[list[tuple[str, Shape, float]], int]:
    # how the bar may be in the stem, each with its shape and stem roll; then which of them was ordered
    level = grips_level(sheet.recipe)
    ways = [("risers upright", risers_upright(sheet.recipe)), ("grips level", level)]
    roll = float(sheet.recipe.stem_roll_deg)
    alike = [number for number, (_, recipe) in enumerate(ways) if abs(float(recipe.stem_roll_deg) - roll) < ALIKE]
    if not alike:
        ways.append(("in the stem", sheet.recipe))
    clamped = [(words, shape_from_recipe(recipe), float(recipe.stem_roll_deg)) for words, recipe in ways]
    return clamped, alike[0] if alike else 2


def _measures(sheet: BenchSheet, shapes: list[Shape], rolls: list[float]) -> list[tuple[str, list[str], str]]:
    sides = f"L to R within {sheet.accepted.sweep_deg:g}°"
    return [
        ("Rise", [sheet.length(shape.rise_mm) for shape in shapes], f"± {_about(sheet.accepted.rise_mm, sheet.unit)}"),
        ("Backsweep", [_angle(shape.backsweep_deg) for shape in shapes], sides),
        ("Upsweep", [_angle(shape.upsweep_deg) for shape in shapes], sides),
        ("Setback", [sheet.length(shape.setback_mm) for shape in shapes], ""),
        ("Width", [sheet.length(shape.width_mm) for shape in shapes], ""),
        ("Stem roll", [_signed(roll) for roll in rolls], "+ is rearward"),
    ]


def _signed(roll_deg: float) -> str:
    return f"{roll_deg:+.1f}°" if stem_roll_way(roll_deg) else "0.0°"


def _angle(angle_deg: float) -> str:
    return f"{round(float(angle_deg), 1) + 0.0:.1f}°"  # without the sign of a negative zero


def tube_size(tube: Tube, unit: str) -> str:
    """Diameter and wall to the hundredth of a millimetre, or to the thousandth of an inch."""
    diameter, wall = tube.outside_diameter_mm, tube.wall_mm
    if unit == "mm":
        return f"{diameter:.2f} x {wall:.2f} mm"
    return f"{diameter / MM_PER_INCH:.3f} x {wall / MM_PER_INCH:.3f} in"


def _about(length: float, unit: str) -> str:
    return f"{length:g} mm" if unit == "mm" else length_text(length, unit)
