"""The rider's page: the bar in three views with what it will measure, the old bar beside it, and room to agree."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from barmath.arrays import Array
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.crossbars.crossbar import Crossbar
from barmath.fields import frozen, passing
from barmath.lengths import MM_PER_INCH, checked_unit, length_text
from barmath.paper.full_view import Plan, View, dimension, draw_view, upright_dimension
from barmath.paper.letters import one_line
from barmath.paper.page import RULE, SOFT, Page, largest_fitting, text_width
from barmath.paper.side_view import WORDS, draw_side, draw_side_dashed, side_path_mm
from barmath.paper.who import draw_who
from barmath.shop.cautions import RIDING, in_one
from barmath.shop.stock import Tube

MARGIN_MM = 14.0
SIDE_MM = 24.0
"""Room beside a view for its dimension and its letter."""

ABOVE_MM, BELOW_MM = 17.0, 10.0
ROW_MM = 5.6
VALUES_MM = (52.0, 92.0, 132.0)
"""Where the columns of values begin: this bar, the old bar, and what changes."""

MOST_VIEWS_MM = 128.0


@frozen
class RiderPage:
    """One bar as its rider sees it (no arrays).

    Parameters
    ----------
    name : str
        Such as "order 7"; anything a user may type.
    recipe : Recipe
    tube : Tube
    crossbar : Crossbar or None
    old : Recipe or None
        The bar that the rider has now.
    unit : "mm" or "in"
    rider : str
        As in the order book; empty for a bar of no order.
    wanted : str or None
        The day it is wanted, as in the order book.
    """

    name: str
    recipe: Recipe
    tube: Tube
    crossbar: Crossbar | None = None
    old: Recipe | None = None
    unit: str = passing(checked_unit, default="mm")
    rider: str = ""
    wanted: str | None = None


def rider_pdf(rider: RiderPage, size: str = "A4") -> bytes:
    """The page as PDF; equal pages give equal bytes."""
    return rider_page(rider, size).pdf(f"For the rider: {rider.name}")


def rider_png(rider: RiderPage, size: str = "A4", dpi: float = 110.0) -> bytes:
    """The page as a picture for a message."""
    return rider_page(rider, size).png(dpi)


def rider_page(rider: RiderPage, size: str = "A4") -> Page:
    """The page laid out."""
    page = Page(size)
    x, width = MARGIN_MM, page.width - 2.0 * MARGIN_MM
    page.text(x, MARGIN_MM + 2.4, "YOUR BAR", 7.0, colour=SOFT)
    draw_who(page, x + 18.0, MARGIN_MM + 2.4, width - 18.0, rider.rider, rider.wanted)
    name = one_line(rider.name)
    fit = largest_fitting(name, width, (20.0, 16.0, 12.0), bold=True)
    page.text(x, MARGIN_MM + 10.6, name, fit, bold=True, within=width)
    y = _draw_views(page, MARGIN_MM + 14.0, rider)
    y = _draw_values(page, x, y + 6.0, width, rider)
    y = page.paragraph(x, y + 9.0, width, in_one(*RIDING), 7.5)
    _draw_agreed(page, x, y + 6.0, width)
    return page


def rider_rows(rider: RiderPage) -> list[tuple[str, str, str, str]]:
    """What is measured: its name, this bar's, the old bar's, and the change; nothing if there is no old bar."""
    new, old = shape_from_recipe(rider.recipe), None if rider.old is None else shape_from_recipe(rider.old)

    def mm(length: float) -> str:
        return length_text(float(length), rider.unit)

    def deg(angle: float) -> str:
        return f"{round(float(angle), 1) + 0.0:.1f}°"

    def row(name: str, value: float, was: float | None, said: Callable[[float], str]) -> tuple[str, str, str, str]:
        if was is None:
            return name, said(value), "", ""
        step = MM_PER_INCH / 32.0 if said is mm and rider.unit == "in" else 0.1  # the change of what is shown
        steps = round(value / step) - round(was / step)
        return name, said(value), said(was), _signed(said, steps * step) if steps else "the same"

    rows = [
        row(name, float(getattr(new, field)), None if old is None else float(getattr(old, field)), said)
        for name, field, said in (
            ("Rise, as clamped", "rise_mm", mm), ("Backsweep", "backsweep_deg", deg), ("Upsweep", "upsweep_deg", deg),
            ("Width", "width_mm", mm), ("Setback of the bar ends", "setback_mm", mm),
        )
    ]  # fmt: skip
    flat = None if rider.old is None else float(rider.old.clamp_flat_mm)
    rows.append(row("Clamp flat", float(rider.recipe.clamp_flat_mm), flat, mm))
    rows.append(("Tube", mm(rider.tube.outside_diameter_mm), "", ""))
    fitted = rider.crossbar
    mass = float(rider.tube.mass_g(new.cut_length_mm))
    if fitted is None:
        rows.append(("Crossbar", "none", "", ""))
        rows.append(("Mass, bare bar", f"{mass:.0f} g", "", ""))
    else:
        height = f"{mm(fitted.branch.outside_diameter_mm)}, {mm(fitted.height_mm)} over the clamp"
        rows.append(("Crossbar", height, "", ""))
        rows.append(("Mass with crossbar, bare", f"{mass + fitted.mass_g:.0f} g", "", ""))
    return rows


def _signed(said: Callable[[float], str], change: float) -> str:
    return f"{said(abs(change))} {'more' if change > 0.0 else 'less'}"


def _draw_views(page: Page, y: float, rider: RiderPage) -> float:
    diameter = float(rider.tube.outside_diameter_mm)
    views = Plan.of(rider.recipe, diameter, rider.crossbar, rider.unit).views[:2]
    others = () if rider.old is None else Plan.of(rider.old, diameter, None, rider.unit).views[:2]
    paths = [side_path_mm(one) for one in (rider.recipe, rider.old) if one is not None]
    reach = max(float(np.abs(view.edges[..., 0]).max()) for view in (*views, *others))
    both = [[view, *others[number : number + 1]] for number, view in enumerate(views)]
    side = np.concatenate(paths)[:, 1]
    tall = sum(_lowest(bars) - _highest(bars) for bars in both) + float(np.ptp(side)) + diameter
    room = MOST_VIEWS_MM - 3 * (ABOVE_MM + BELOW_MM)
    scale = min((page.width / 2.0 - MARGIN_MM - SIDE_MM + 6.0) / reach, room / tall)
    middle = page.width / 2.0
    for bars in both:
        small, *old = (_scaled(bar, scale) for bar in bars)
        top = y + ABOVE_MM - _highest([small, *old])
        dashed = [bar.edges_at(middle, top) for bar in old]
        for edges in dashed:
            page.line(np.concatenate([edges[0], edges[1][::-1], edges[0][:1]]), 0.2, dash=(1.2, 0.8), colour=SOFT)
        draw_view(page, small, middle, top, dashed)
        y = top + _lowest([small, *old]) + BELOW_MM
    left = min(middle - reach * scale, page.width - MARGIN_MM - text_width(WORDS, 8.0, bold=True))
    page.text(left, y + ABOVE_MM - 13.0, WORDS, 8.0, bold=True)
    y = _draw_side_view(page, y + ABOVE_MM, [path * scale for path in paths], scale * diameter, rider) + BELOW_MM
    if others:
        page.text(middle, y, "dashed: the bar that you have now", 7.5, align="center", colour=SOFT)
        y += 3.0
    return y


def _draw_side_view(page: Page, y: float, paths: list[Array], diameter: float, rider: RiderPage) -> float:
    # with its highest place at y; returns its lowest
    shape, (path, *old), every = shape_from_recipe(rider.recipe), paths, np.concatenate(paths)
    at = page.width / 2.0, y + 0.5 * diameter - float(every[:, 1].min())
    draw_side(page, path, diameter, at)
    for other in old:
        draw_side_dashed(page, other, diameter, at)
    back, up = at[0] + float(path[-1, 0]), at[1] + float(path[-1, 1])
    setback, rise = (length_text(float(length), rider.unit) for length in (shape.setback_mm, shape.rise_mm))
    words = f"setback {setback}"
    dimension(page, (back, y - 4.0), (at[0], y - 4.0), words, min(back, at[0]) - 3.0 - text_width(words, 7.5))
    beside = max(diameter, float(every[:, 0].max()) + 0.5 * diameter) + 6.0
    upright_dimension(page, at[0] + beside, (at[1], up), f"rise {rise}")
    return at[1] + float(every[:, 1].max()) + 0.5 * diameter


def _highest(bars: Sequence[View]) -> float:
    return min(bar.highest for bar in bars)


def _lowest(bars: Sequence[View]) -> float:
    return max(float(bar.edges[..., 1].max()) for bar in bars)


def _scaled(view: View, scale: float) -> View:
    # the words keep their size, and the notes of the workshop are left out
    crossbar = None if view.crossbar is None else view.crossbar * scale
    return replace(view, edges=view.edges * scale, crossbar=crossbar, notes=())


def _draw_values(page: Page, x: float, y: float, width: float, rider: RiderPage) -> float:
    if rider.old is not None:
        for place, words in zip(VALUES_MM, ("this bar", "now", "change"), strict=True):
            page.text(x + place, y, words, 7.5, colour=SOFT)
    for name, *values in rider_rows(rider):
        y += ROW_MM
        page.text(x, y, name, 9.0)
        for place, end, words in zip(VALUES_MM, (*VALUES_MM[1:], width), values, strict=True):
            room = (width if not any(values[1:]) else end) - place
            page.text(x + place, y, words, 9.5, bold=place == VALUES_MM[0], within=room - 1.0)
        page.line([(x, y + 1.6), (x + width, y + 1.6)], 0.1, colour=RULE)
    return y


def _draw_agreed(page: Page, x: float, y: float, width: float) -> None:
    height = 22.0
    page.box(x, y, width, height, edge=0.3)
    page.text(x + 4.0, y + 6.0, "Agreed: build the bar of this page", 9.0, bold=True)
    for left, words, long in ((4.0, "Name", 80.0), (90.0, "Signed", 45.0), (141.0, "Date", width - 145.0)):
        page.line([(x + left, y + 16.0), (x + left + long, y + 16.0)], 0.2)
        page.text(x + left, y + 19.6, words, 7.0, colour=SOFT)
