"""The cope of a crossbar as a wrap template at true scale: cut out, wrapped round the tube, marked along its edge.

Both ends are drawn on one sheet. Each wrap is as wide as the tube is round; its top mark, the line at station 0, goes
to the same pencil line along the tube, so that the two ends are clocked to each other. The left end is the mirror
image.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmath.crossbar import BRAZING, STATIONS_DEG, Crossbar
from barmath.lengths import length_text
from barmath.paper.page import RULE, SOFT, Page, largest_fitting, printable

MARGIN_MM = 12.0
GAP_MM = 10.0
BAND_MM = 18.0
"""Paper left behind the deepest point of the cope, to hold on by."""


@dataclass(frozen=True)
class CopeWrap:
    """A crossbar and the name of its bar; `unit` "mm" or "in"."""

    name: str
    bar: Crossbar
    unit: str = "mm"

    def __post_init__(self) -> None:
        length_text(0.0, self.unit)

    @property
    def around_mm(self) -> float:
        """How long the wrap is round the tube."""
        return float(np.pi * self.bar.branch.outside_diameter_mm)


def cope_wrap_pdf(wrap: CopeWrap, page: str = "A4") -> bytes:
    """The template as PDF; equal ones give equal bytes."""
    return _laid_out(wrap, page).pdf(f"Cope: {wrap.name}")


def cope_wrap_png(wrap: CopeWrap, page: str = "A4", dpi: float = 110.0) -> bytes:
    """The template as a picture for the screen."""
    return _laid_out(wrap, page).png(dpi)


def wrap_outline(bar: Crossbar, mirrored: bool) -> tuple[np.ndarray, np.ndarray]:
    """Edge of the wrap for the outer and the inner surface, each (73, 2) in mm: round the tube from the top mark, and
    along it from the tip.
    """
    around = STATIONS_DEG / 360.0 * np.pi * bar.branch.outside_diameter_mm
    deepest = float(bar.outside_mm.min())
    outside, inside = bar.outside_mm - deepest, bar.inside_mm - deepest
    if mirrored:
        outside, inside = outside[::-1], inside[::-1]
    return np.stack([around, outside], -1), np.stack([around, inside], -1)


def _laid_out(wrap: CopeWrap, size: str) -> Page:
    page = Page(size)
    x, width, bar = MARGIN_MM, page.width - 2.0 * MARGIN_MM, wrap.bar
    page.text(x, MARGIN_MM + 2.4, "COPE OF THE CROSSBAR", 7.0, colour=SOFT)
    name = printable(wrap.name)
    page.text(x, MARGIN_MM + 10.6, name, largest_fitting(name, width, (20.0, 16.0, 12.0), bold=True), bold=True,
              within=width)  # fmt: skip
    y = MARGIN_MM + 14.0
    page.line([(x, y), (x + width, y)], 0.5)
    y = _draw_numbers(page, x, y + 6.0, width, wrap)
    tall = float(np.ptp(bar.outside_mm)) + BAND_MM
    side_by_side = 2.0 * wrap.around_mm + GAP_MM <= width
    for number, words in enumerate(("right end", "left end")):
        left = x + number * (wrap.around_mm + GAP_MM) * side_by_side
        top = y + 10.0 + number * (tall + 16.0) * (not side_by_side)
        _draw_wrap(page, left, top, wrap, words, mirrored=number == 1)
    below = y + 14.0 + tall + (0.0 if side_by_side else tall + 16.0)
    _draw_how(page, x, below + 6.0, width, wrap)
    foot = page.height - MARGIN_MM
    page.check_line(x, foot - 4.0)
    page.text(x, foot - 0.4, "This line must be 100 mm long. If it is not, print again at 100 % (actual size).", 6.4)
    return page


def _draw_numbers(page: Page, x: float, y: float, width: float, wrap: CopeWrap) -> float:
    bar, mm = wrap.bar, lambda length: length_text(float(length), wrap.unit)
    each = width / 4.0
    shown = (
        ("Cut the crossbar to", mm(bar.cut_length_mm), f"{mm(bar.allowance_mm)} left on each end to file"),
        ("Between the tubes", mm(bar.between_mm), "along its axis"),
        ("Joint angle", f"{bar.angle_deg:.1f}°", "on a bend" if bar.on_bend else "on the straight"),
        ("Height", mm(bar.height_mm), "axis over clamp axis"),
    )
    for number, (what, value, note) in enumerate(shown):
        left = x + number * each
        page.text(left, y, what, 7.2, colour=SOFT)
        page.text(left, y + 6.6, value, 14.0, bold=True, within=each - 2.0)
        page.text(left, y + 10.2, note, 6.6, within=each - 2.0)
    tube = bar.branch
    sizes = (
        f"Crossbar {mm(tube.outside_diameter_mm)} x {mm(tube.wall_mm)} wall, on a bar of {mm(bar.header_diameter_mm)}. "
        f"Mass {bar.mass_g:.0f} g."
    )
    page.text(x, y + 15.4, sizes, 7.2)
    return y + 15.4


def _draw_wrap(page: Page, x: float, y: float, wrap: CopeWrap, words: str, *, mirrored: bool) -> None:
    outside, inside = wrap_outline(wrap.bar, mirrored)
    around, deep = wrap.around_mm, float(outside[:, 1].max())
    base = y + deep + BAND_MM
    page.text(x, y - 4.2, words, 8.5, bold=True)
    page.text(x + around, y - 4.2, "tip side", 6.2, align="right", colour=SOFT)
    edge = np.stack([x + outside[:, 0], y + outside[:, 1]], -1)
    page.shape(np.concatenate([edge, [[x + around, base], [x, base]]]), edge=0.25, fill="0.96")
    page.line(np.stack([x + inside[:, 0], y + inside[:, 1]], -1), 0.2, dash=(1.2, 0.8), colour="0.35")
    front, rear = ("front", "rear") if mirrored else ("rear", "front")
    for share, label in ((0.0, "top mark"), (0.25, front), (0.5, "180°"), (0.75, rear), (1.0, "top mark")):
        place = x + share * around
        start = y + float(np.interp(share * around, outside[:, 0], outside[:, 1]))
        page.line([(place, start), (place, base)], 0.15, dash=(2.0, 1.0), colour=RULE)
        if around > 45.0 or share in (0.0, 0.5):
            align = "left" if share < 0.2 else "right" if share > 0.9 else "center"
            if share < 1.0 or around > 45.0:
                page.text(place + (0.6 if share == 0.0 else -0.6 if share == 1.0 else 0.0), base - 1.6, label, 5.4,
                          align=align)  # fmt: skip


def _draw_how(page: Page, x: float, y: float, width: float, wrap: CopeWrap) -> None:
    bar = wrap.bar
    saw = " and ".join(f"{abs(cut.angle_deg):.0f}° off square" for cut in bar.saw_cuts)
    lines = [
        "Draw a straight line along the crossbar. Wrap each template round its end with both edges of the paper "
        "meeting on that line, printed side out, the tip side toward the end. The line is the top mark: it lies on the "
        "acute side of the joint, underneath when the crossbar is in place.",
        f"First cuts with the hacksaw: {saw}; they leave metal all round. Then file to the solid line.",
        f"The dashed line is the inner edge of the wall: file it back inside by up to {bar.file_back_mm:.1f} mm, so "
        "that the outer edge meets the bar without a gap.",
        *(words[:1].upper() + words[1:] + "." for words in bar.warnings()),
    ]
    for words in lines:
        y = page.paragraph(x, y, width, words, 7.4) + 0.9
    page.text(x, y + 2.4, "Before you braze", 8.0, bold=True)
    y += 6.4
    for words in BRAZING:
        y = page.paragraph(x, y, width, words, 6.8) + 0.5
