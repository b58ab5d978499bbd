"""The check sheet: which readings to take on a finished bar, what each should be, and room to write them down."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from barmath.checking.bench_readings import KINDS, Kind, wanted_readings
from barmath.closed_forms.forward import risers_upright
from barmath.closed_forms.records import Recipe
from barmath.fields import frozen, passing
from barmath.lengths import checked_unit, length_text
from barmath.paper.letters import one_line
from barmath.paper.page import RULE, SOFT, TINT, Page, broken, largest_fitting, line_height
from barmath.shop.cautions import CHECKING, in_one
from barmath.shop.tolerance import USUAL, Tolerance
from barmath.space.drawing import drawing_from_recipe

MARGIN_MM = 12.0
VIEWS_MM = 62.0
WORDS = 7.4
_NAME_MM, _WANTED_MM, _BLANK_MM = 36.0, 22.0, 26.0
_UNDER_MM, _APART_MM = 4.0, 4.0  # from a view to its words, and from there to the next view

NOT_SHOWN = "Leave it out. The grips of this bar are in one line, so that it cannot rest on them."


@frozen
class CheckSheet:
    """One bar to be checked (no arrays), its tube and the builder's tolerance; `unit` "mm" or "in"."""

    name: str
    recipe: Recipe
    tube_diameter_mm: float
    tolerance: Tolerance = USUAL
    unit: str = passing(checked_unit, default="mm")

    def shown(self, kind: Kind, value: float) -> str:
        """A value of that kind in the sheet's unit; "none" where the bar does not show it."""
        if np.isnan(value):
            return "none"
        return f"{round(value, 1) + 0.0:.1f}°" if kind.unit == "deg" else length_text(value, self.unit)


def check_sheet(sheet: CheckSheet, page: str = "A4") -> Figure:
    """The sheet as a Matplotlib figure of true size; `page` is "A4" or "Letter"."""
    return _laid_out(sheet, page).figure


def check_sheet_pdf(sheet: CheckSheet, page: str = "A4") -> bytes:
    """The sheet as PDF; equal sheets give equal bytes."""
    return _laid_out(sheet, page).pdf(f"Check sheet: {sheet.name}")


def check_sheet_png(sheet: CheckSheet, page: str = "A4", dpi: float = 110.0) -> bytes:
    """The sheet as a picture for the screen."""
    return _laid_out(sheet, page).png(dpi)


def _laid_out(sheet: CheckSheet, size: str) -> Page:
    page = Page(size)
    x, width = MARGIN_MM, page.width - 2.0 * MARGIN_MM
    page.text(x, MARGIN_MM + 2.4, "CHECK SHEET", 7.0, colour=SOFT)
    name = one_line(sheet.name)
    page.text(x, MARGIN_MM + 10.6, name, largest_fitting(name, width, (20.0, 16.0, 12.0), bold=True), bold=True,
              within=width)  # fmt: skip
    y = MARGIN_MM + 14.0
    page.line([(x, y), (x + width, y)], 0.5)
    _draw_views(page, x, y + 2.0, width, sheet)
    y = _draw_readings(page, x, y + VIEWS_MM, width, sheet)
    _draw_end(page, x, y + 3.0, width, sheet)
    return page


def _draw_views(page: Page, x: float, y: float, width: float, sheet: CheckSheet) -> None:
    # risers upright as the readings are taken, one view below the other, as large as their room lets them be
    drawing = drawing_from_recipe(risers_upright(sheet.recipe), sheet.tube_diameter_mm)
    rings = [
        np.concatenate([edges[0], edges[1][::-1]]) * [1.0, up]
        for edges, up in ((drawing.front, -1.0), (drawing.above, 1.0))
    ]
    reach = max(float(np.abs(ring[:, 0]).max()) for ring in rings) + 30.0
    room = VIEWS_MM - 8.0 - len(rings) * (_UNDER_MM + _APART_MM)
    scale = min(width / (2.0 * reach), room / sum(float(np.ptp(ring[:, 1])) for ring in rings))
    middle = x + width / 2.0
    for ring, words in zip(rings, ("from behind, clamped, risers upright", "from above"), strict=True):
        places = ring * scale - [0.0, scale * float(ring[:, 1].min())] + [middle, y]
        page.shape(places, edge=0.25, fill=TINT)
        bottom = float(places[:, 1].max())
        if ring is rings[0]:
            for side, letter in ((-1.0, "L"), (1.0, "R")):
                place = middle + side * (reach - 12.0) * scale
                page.text(place, y + 0.5 * (bottom - y), letter, 11.0, bold=True, align="center")
        page.text(middle, bottom + _UNDER_MM, words, 6.4, align="center", colour=SOFT)
        y = bottom + _UNDER_MM + _APART_MM


def _draw_readings(page: Page, x: float, y: float, width: float, sheet: CheckSheet) -> float:
    columns = (x, x + _NAME_MM, x + _NAME_MM + _WANTED_MM, x + _NAME_MM + _WANTED_MM + _BLANK_MM)
    for place, words in zip(columns, ("reading", "wanted", "read", "how to take it"), strict=True):
        page.text(place, y, words, 6.6, colour=SOFT)
    y += 1.6
    room = width - (columns[3] - x)
    for kind, value in zip(KINDS, wanted_readings(sheet.recipe), strict=True):
        how = NOT_SHOWN if np.isnan(value) else kind.how
        lines = broken(how, room, WORDS)
        tall = max(10.4, len(lines) * line_height(WORDS) + 3.0)
        page.line([(x, y), (x + width, y)], 0.15, colour=RULE)
        page.text(columns[0], y + 5.4, kind.name, 8.5, bold=True, within=_NAME_MM - 1.0)
        page.text(columns[1], y + 5.4, sheet.shown(kind, float(value)), 9.0)
        if not np.isnan(value):
            page.box(columns[2], y + 1.2, _BLANK_MM - 4.0, tall - 2.4, edge=0.2)
        page.paragraph(columns[3], y + 4.0, room, how, WORDS)
        y += tall
    page.line([(x, y), (x + width, y)], 0.15, colour=RULE)
    return y


def _draw_end(page: Page, x: float, y: float, width: float, sheet: CheckSheet) -> None:
    t = sheet.tolerance
    rise, rock = length_text(t.rise_mm, sheet.unit), length_text(t.rock_mm, sheet.unit)
    words = (
        f"Accepted here: backsweep and upsweep within {t.sweep_deg:.1f}° of the order and from side to side, rise "
        f"within {rise}, both gaps within {rock}, each roll within {t.roll_deg:.1f}°. Take all readings you can, at "
        "least both backsweeps and both rises: the more readings, the better they check each other. Is a reading "
        "further off? Take it a second time. Put the numbers into the notebook: it says which bend to tweak and by how "
        "much, or to leave the bar alone."
    )
    y = page.paragraph(x, y + 3.0, width, words, 7.4) + 1.2
    y = page.paragraph(x, y, width, in_one(*CHECKING), 6.8)
    foot = page.height - MARGIN_MM
    page.text(x, foot - 1.4, page.check_line(x, foot - 5.0, sheet.unit), 6.4)
    for left, words, long in ((112.0, "Read by", 30.0), (150.0, "Date", width - 150.0)):
        page.line([(x + left, foot - 4.0), (x + left + long, foot - 4.0)], 0.2)
        page.text(x + left, foot - 0.8, words, 6.4, colour=SOFT)
