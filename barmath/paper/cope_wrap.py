"""The cope of a crossbar as a wrap template at true scale: cut out, wrapped round the tube, marked along its edge.

Both ends are drawn on one sheet, as they look from outside the tube. Each wrap is as wide as the tube is round; its two
edges meet on one pencil line along the tube. So the two ends are clocked to each other. The left end is the mirror
image of the right one.
"""

from __future__ import annotations

import numpy as np

from barmath.crossbars.crossbar import ENDS, Crossbar, facing, unrolled_mm
from barmath.fields import frozen, passing
from barmath.lengths import checked_unit, in_unit, length_text
from barmath.paper.letters import one_line
from barmath.paper.page import RULE, SOFT, Page, largest_fitting
from barmath.refusal import BendError
from barmath.shop.cautions import BRAZING, EDGES

MARGIN_MM = 12.0
GAP_MM = 10.0
BAND_MM = 18.0
"""Paper left behind the deepest point of the cope, to hold on by."""


@frozen
class CopeWrap:
    """A crossbar and the name of its bar; `unit` "mm" or "in"."""

    name: str
    bar: Crossbar
    unit: str = passing(checked_unit, default="mm")

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


def _laid_out(wrap: CopeWrap, size: str) -> Page:
    page = Page(size)
    x, width, bar = MARGIN_MM, page.width - 2.0 * MARGIN_MM, wrap.bar
    page.text(x, MARGIN_MM + 2.4, "COPE OF THE CROSSBAR", 7.0, colour=SOFT)
    name = one_line(wrap.name)
    page.text(x, MARGIN_MM + 10.6, name, largest_fitting(name, width, (20.0, 16.0, 12.0), bold=True), bold=True,
              within=width)  # fmt: skip
    y = MARGIN_MM + 14.0
    page.line([(x, y), (x + width, y)], 0.5)
    y = _draw_numbers(page, x, y + 6.0, width, wrap)
    tall = float(np.ptp(bar.outside_mm)) + BAND_MM
    side_by_side = 2.0 * wrap.around_mm + GAP_MM <= width
    for number, end in enumerate(ENDS):
        left = x + number * (wrap.around_mm + GAP_MM) * side_by_side
        top = y + 10.0 + number * (tall + 16.0) * (not side_by_side)
        _draw_wrap(page, left, top, wrap, end)
    below = y + 14.0 + tall + (0.0 if side_by_side else tall + 16.0)
    lowest = _draw_how(page, x, below + 6.0, width, wrap)
    foot = page.height - MARGIN_MM
    if lowest > foot - 7.0:
        raise BendError(
            f"templates must leave room for their words on {size}, got a cope {float(np.ptp(bar.outside_mm)):.0f} mm "
            "long: print on a longer sheet, choose a thinner crossbar or a steeper place"
        )
    page.text(x, foot - 0.4, page.check_line(x, foot - 4.0, wrap.unit), 6.4)
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


def _draw_wrap(page: Page, x: float, y: float, wrap: CopeWrap, end: str) -> None:
    bar, around = wrap.bar, wrap.around_mm
    outside, inside = (edge + np.array([x, y]) for edge in unrolled_mm(bar, end))
    base = float(outside[:, 1].max()) + BAND_MM
    page.text(x, y - 4.2, end, 8.5, bold=True)
    page.text(x + around, y - 4.2, "tip side", 6.2, align="right", colour=SOFT)
    page.shape(np.concatenate([outside, [[x + around, base], [x, base]]]), edge=0.25, fill="0.96")
    page.line(inside, 0.2, dash=(1.2, 0.8), colour="0.35")
    for quarter in range(5):
        place = x + 0.25 * quarter * around
        start = float(np.interp(place, outside[:, 0], outside[:, 1]))
        page.line([(place, start), (place, base)], 0.15, dash=(2.0, 1.0), colour=RULE)
    for share in (0.25, 0.75):
        page.text(x + share * around + 0.6, base - 5.0, facing(bar, end, share), 5.4)
    page.text(x + 2.4, base - 1.0, "pencil line", 5.4, turned=90.0)
    if around > 45.0:
        page.text(x + around - 0.8, base - 1.0, "pencil line", 5.4, turned=90.0)


def _draw_how(page: Page, x: float, y: float, width: float, wrap: CopeWrap) -> float:
    bar = wrap.bar
    saw = ", then ".join(f"{abs(cut.angle_deg):.0f}° off square ({bar.longer_side(cut)})" for cut in bar.saw_cuts)
    allowance = length_text(bar.allowance_mm, wrap.unit)
    between = length_text(bar.cut_length_mm - 2.0 * bar.allowance_mm, wrap.unit)
    lines = [
        "Draw a straight line along the crossbar with a pencil. Wrap each template round its own end, printed side out."
        " Both edges of the paper meet on that line, and the tip side points to the end of the tube. Set the tip "
        f"of each template {allowance} from the end: the tips are then {between} apart.",
        "The pencil line is on the acute side of the joint: with the risers upright it is "
        f"{bar.pencil_line()}. Check: on both ends the paper says which side faces the front and which the rear.",
        f"Make the first cuts with the hacksaw: {saw}. They leave metal all round. File it off to the solid line.",
        "The dashed line is the inner edge of the wall. File it back inside by up to "
        f"{length_text(bar.file_back_mm, wrap.unit)}, so that the outer edge meets the bar without a gap.",
        *(in_unit(f"{words[:1].upper()}{words[1:]}.", wrap.unit) for words in bar.warnings()),
    ]
    for words in lines:
        y = page.paragraph(x, y, width, words, 7.4) + 0.9
    page.text(x, y + 2.4, "Before you saw and braze", 8.0, bold=True)
    y += 6.4
    for words in (EDGES, *BRAZING):
        y = page.paragraph(x, y, width, words, 6.8) + 0.5
    return y
