"""The bar at the point of the map: its dimensions, its bends and its recipe in words."""

from __future__ import annotations

from dataclasses import dataclass

from barmath.closed_forms.forward import clamp_reading_deg
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Recipe, Shape
from barmath.lengths import length_text
from barmath.panels.markup import paragraph, table
from barmath.planning.design_map import BarMap
from barmath.shop.offsets import bench_marks_mm
from barmath.space.drawing import Drawing


@dataclass(frozen=True)
class ShownBar:
    """The bar at the point."""

    bars: BarMap
    recipe: Recipe
    shape: Shape
    drawing: Drawing


def dimensions(bar: ShownBar | None) -> dict[str, str]:
    """Texts of the dimensions in the views."""
    if bar is None:
        return {}
    shape = bar.shape
    return {
        "rise": f"rise {shape.rise_mm:.1f} mm",
        "width": f"width {shape.width_mm:.0f} mm",
        "upsweep": f"upsweep {shape.upsweep_deg:.1f} deg",
        "setback": f"setback {shape.setback_mm:.1f} mm",
        "backsweep": f"backsweep {shape.backsweep_deg:.1f} deg",
    }


def recipe_html(bar: ShownBar | None) -> str:
    """The numbers of the bar at the point, as a table."""
    if bar is None:
        return paragraph("No bar at this point: see the message.")
    recipe, die = bar.recipe, bar.bars.die
    inner, outer = bench_marks_mm(recipe, die)
    rows = (
        *_stop_rows(bar),
        ("Outer marks, from the middle", length_text(outer)),
        ("Inner marks, from the middle", length_text(inner)),
        ("Clamp reading, outer bends", f"{abs(float(clamp_reading_deg(recipe))):.1f} deg"),
        ("Straight, grip", f"{recipe.straight_mm:.1f} and {recipe.grip_mm:.1f} mm"),
        ("Cut length", length_text(2.0 * float(marks_from_recipe(recipe).end_mm))),
    )
    return table(rows, caption="The bar at the point")


def bends_words(recipe: Recipe) -> str:
    """The bends of a bar in words."""
    if recipe.inner_bend_deg == recipe.outer_bend_deg:
        return f"four bends of {recipe.inner_bend_deg:.1f} deg"
    return f"inner bends of {recipe.inner_bend_deg:.1f} deg, outer bends of {recipe.outer_bend_deg:.1f} deg"


def _stop_rows(bar: ShownBar) -> list[tuple[str, str]]:
    inner, outer = bar.recipe.inner_bend_deg, bar.recipe.outer_bend_deg
    stops = float(bar.bars.inner_stop_deg), float(bar.bars.outer_stop_deg)
    if inner == outer:
        return [("Stop, all four bends", f"{stops[0]:.1f} deg (springs back to {inner:.1f})")]
    return [
        ("Stop, inner bends", f"{stops[0]:.1f} deg (springs back to {inner:.1f})"),
        ("Stop, outer bends", f"{stops[1]:.1f} deg (springs back to {outer:.1f})"),
    ]
