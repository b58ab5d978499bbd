"""The bench sheet: one printed page from which a bar can be bent and checked."""

from __future__ import annotations

from matplotlib.figure import Figure

from barmath.bending.steps import Step
from barmath.bending.stops import ALL_BENDS
from barmath.closed_forms.marks import marks_from_recipe
from barmath.paper.bench_data import BenchSheet
from barmath.paper.bench_parts import (
    FINISH_MM,
    FOOT_MM,
    SETTINGS_MM,
    draw_finish,
    draw_foot,
    draw_habits,
    draw_head,
    draw_settings,
    draw_watch,
    habits_height,
    habits_words,
    moves_of_stop,
    offset_words,
    watched,
)
from barmath.paper.bench_steps import SQUEEZE_MM, draw_steps, least_height
from barmath.paper.page import Page, largest_fitting
from barmath.paper.tube_strip import BEND, TubeStrip, draw_tube_strip
from barmath.paper.tube_strip import HEIGHT_MM as STRIP_MM

MARGIN_MM = 10.0


def bench_sheet(sheet: BenchSheet, page: str = "A4") -> Figure:
    """The sheet as a Matplotlib figure of true size; `page` is "A4" or "Letter"."""
    return bench_page(sheet, page).figure


def bench_sheet_pdf(sheet: BenchSheet, page: str = "A4") -> bytes:
    """The sheet as PDF; equal sheets give equal bytes."""
    return bench_page(sheet, page).pdf(f"Bench sheet: {sheet.name}")


def bench_sheet_png(sheet: BenchSheet, page: str = "A4", dpi: float = 110.0) -> bytes:
    """The sheet as a picture for the screen."""
    return bench_page(sheet, page).png(dpi)


def bench_page(sheet: BenchSheet, size: str = "A4") -> Page:
    """The sheet laid out on its page."""
    page = Page(size)
    x, width = MARGIN_MM, page.width - 2.0 * MARGIN_MM
    steps = sheet.steps
    finish = page.height - MARGIN_MM - FOOT_MM - FINISH_MM
    habits = habits_words(moves_of_stop(steps), offset_words(sheet), sheet.springback_words)
    y = draw_head(page, x, MARGIN_MM, width, sheet)
    fixed = SETTINGS_MM + STRIP_MM + habits_height(habits, width) + least_height(steps, sheet, width) - SQUEEZE_MM
    y = draw_watch(page, x, y, width, watched(sheet), finish - y - fixed)
    y = draw_settings(page, x, y, width, sheet, steps)
    draw_tube_strip(page, x, y, width, _strip(sheet, steps))
    foot = page.height - MARGIN_MM - FOOT_MM
    draw_foot(page, x, foot, width, sheet)
    page.text(x, page.height - 6.0, sheet.line, largest_fitting(sheet.line, width, (7.0, 6.5, 6.0)), within=width)
    draw_finish(page, x, finish, width, sheet)
    y = draw_habits(page, x, y + STRIP_MM, width, habits)
    draw_steps(page, x, y, width, finish - y, sheet, steps)
    return page


def _strip(sheet: BenchSheet, steps: tuple[Step, ...]) -> TubeStrip:
    mark = {(step.side, step.bend): step.mark_mm for step in steps}
    left, right = ((mark[side, "inner"], mark[side, "outer"]) for side in ("left", "right"))
    diameter = float(sheet.tube.outside_diameter_mm)
    stop = {step.bend: BEND if step.stop_for == ALL_BENDS else f"stop {step.stop_deg:.1f}°" for step in steps}
    return TubeStrip(marks_from_recipe(sheet.recipe), left, right, diameter, sheet.unit, stop["inner"], stop["outer"])
