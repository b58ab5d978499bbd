"""The bench sheet: one printed page from which a bar can be bent and checked."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.figure import Figure

from barmath.bar import Order, Recipe
from barmath.bender import Bender
from barmath.lengths import length_text
from barmath.lying import USUAL_HOLDS, Hold
from barmath.marks import marks_from_recipe
from barmath.paper.bench_parts import (
    FINISH_MM,
    FOOT_MM,
    draw_finish,
    draw_foot,
    draw_habits,
    draw_head,
    draw_settings,
    draw_watch,
    watched,
)
from barmath.paper.bench_steps import draw_steps
from barmath.paper.page import Page
from barmath.paper.tube_strip import HEIGHT_MM as STRIP_MM
from barmath.paper.tube_strip import TubeStrip, draw_tube_strip
from barmath.refusal import BendError
from barmath.sequence import Step, bench_steps
from barmath.stock import Tube
from barmath.tooling import Die, springback_from_tube

MARGIN_MM = 10.0
RADIUS_ALIKE_MM = 0.05


@dataclass(frozen=True)
class BenchSheet:
    """One bar to be bent (no arrays), and all that its sheet tells.

    Parameters
    ----------
    name : str
        Such as "order 7"; anything a user may type.
    order : Order
    recipe : Recipe
    tube : Tube
    die : Die
    bender : Bender
    warnings : tuple of str
        What the limits and the clamping warn of.
    unit : "mm" or "in"
    holds : tuple of four Hold
        The order of the bends, and which end of the tube is in the hook for each.
    springback_words : str
        Where the springback comes from, and how sure rise and backsweep are by it.

    Raises
    ------
    BendError
        Where the recipe was not made for this tube on this die (its radius is another), or the unit is unknown.
    """

    name: str
    order: Order
    recipe: Recipe
    tube: Tube
    die: Die
    bender: Bender = Bender()
    warnings: tuple[str, ...] = ()
    unit: str = "mm"
    holds: tuple[Hold, ...] = USUAL_HOLDS
    springback_words: str = ""

    def __post_init__(self) -> None:
        length_text(0.0, self.unit)
        finished = springback_from_tube(self.tube, self.die).finished_radius_mm
        if np.any(np.abs(finished - self.recipe.radius_mm) > RADIUS_ALIKE_MM):
            raise BendError(
                f"finished radius must be {finished:.1f} mm, what this tube keeps on this die, "
                f"got {np.max(self.recipe.radius_mm):.1f} mm: work the recipe out for the die that will be used"
            )

    @property
    def steps(self) -> tuple[Step, ...]:
        """The four bends in their order."""
        springback = springback_from_tube(self.tube, self.die)
        return bench_steps(self.recipe, springback, self.die, self.bender, self.unit, self.holds)

    def length(self, mm: float) -> str:
        """A length in the sheet's unit."""
        return length_text(float(mm), self.unit)


def bench_sheet(sheet: BenchSheet, page: str = "A4") -> Figure:
    """The sheet as a Matplotlib figure of true size; `page` is "A4" or "Letter"."""
    return _laid_out(sheet, page).figure


def bench_sheet_pdf(sheet: BenchSheet, page: str = "A4") -> bytes:
    """The sheet as PDF; equal sheets give equal bytes."""
    return _laid_out(sheet, page).pdf(f"Bench sheet: {sheet.name}")


def bench_sheet_png(sheet: BenchSheet, page: str = "A4", dpi: float = 110.0) -> bytes:
    """The sheet as a picture for the screen."""
    return _laid_out(sheet, page).png(dpi)


def _laid_out(sheet: BenchSheet, size: str) -> Page:
    page = Page(size)
    x, width = MARGIN_MM, page.width - 2.0 * MARGIN_MM
    steps = sheet.steps
    y = draw_head(page, x, MARGIN_MM, width, sheet)
    y = draw_watch(page, x, y, width, watched(sheet))
    y = draw_settings(page, x, y, width, sheet, steps)
    draw_tube_strip(page, x, y, width, _strip(sheet, steps))
    foot = page.height - MARGIN_MM - FOOT_MM
    draw_foot(page, x, foot, width, sheet)
    finish = foot - FINISH_MM
    draw_finish(page, x, finish, width, sheet)
    y = draw_habits(page, x, y + STRIP_MM, width, sheet.springback_words)
    draw_steps(page, x, y, width, finish - y, sheet, steps)
    return page


def _strip(sheet: BenchSheet, steps: tuple[Step, ...]) -> TubeStrip:
    mark = {(step.side, step.bend): step.mark_mm for step in steps}
    left, right = ((mark[side, "inner"], mark[side, "outer"]) for side in ("left", "right"))
    offset, diameter = float(sheet.die.line_up_offset_mm), float(sheet.tube.outside_diameter_mm)
    return TubeStrip(marks_from_recipe(sheet.recipe), left, right, offset, diameter, sheet.unit)
