"""The numbers in the prose of lesson 10, worked out again."""

from collections.abc import Iterator

import numpy as np
from conftest import ROOT
from planning.test_chart_data import TABLE_RISE_MM, TABLE_SWEEP_DEG

from barmath.closed_forms.forward import clamp_reading_deg
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.marks import marks_from_recipe
from barmath.planning.chart_data import Chart, rise_lines, settings_blocks
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.shop_file import shop_from_file

CHART = Chart(TUBE, DIE)
SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
ASKED_MM = 80


def said() -> Iterator[str]:
    lines = {line.bend_deg: line for line in rise_lines(CHART) if len(line.rise_mm)}
    gives = {bend: line for bend, line in lines.items() if line.rise_mm[0] <= ASKED_MM <= line.rise_mm[-1]}
    first, second = ((bend, np.interp(ASKED_MM, line.rise_mm, line.distance_mm)) for bend, line in gives.items())
    yield f"on the chart of {DIE.name}, which stops give a rise of {ASKED_MM} mm?"
    yield (
        f"Two of them do: {first[0]:.0f} degrees with a distance of about {first[1]:.0f} mm, and {second[0]:.0f} degrees "
        f"with about {second[1]:.0f} mm"
    )
    two = recipe_from_order(ORDER, order_seven_recipe().radius_mm, BEND_DEG, 27.5)
    yield (
        f"inner bends of {BEND_DEG:.0f} and outer bends of {two.outer_bend_deg} degrees the finder must read "
        f"{clamp_reading_deg(two):.1f} degrees for a sweep of {ORDER.backsweep_deg:.0f}"
    )
    low, middle, high = settings_blocks(CHART, rises_mm=[80, 90, 100], sweeps_deg=[12, 14, 16])
    off = np.abs((low.outer_mark_mm + high.outer_mark_mm) / 2 - middle.outer_mark_mm)
    yield "the blocks of 12 and 16 degrees is, for a sweep of 14"
    yield f"It is off by {np.nanmin(np.nanmax(off, axis=1)):.1f} to {np.nanmax(off):.1f} mm"
    gentle = lines[first[0]]
    grows = 10 * np.ptp(gentle.distance_mm) / np.ptp(gentle.rise_mm)
    yield f"A line of {first[0]:.0f} degrees climbs 10 mm while the distance of its marks grows by {grows:.0f}"
    yield f"misses its rise by less than {TABLE_RISE_MM} mm and its sweep by less than {TABLE_SWEEP_DEG} degrees"
    marks = marks_from_recipe(order_seven_recipe())
    yield f"order 7's rise of {ORDER.rise_mm:.0f} mm want at {BEND_DEG:.0f} degrees"
    yield (
        f"About {marks.outer_start_mm - marks.inner_end_mm:.0f} mm: the marks of 01 are at {marks.inner_end_mm:.1f} and "
        f"{marks.outer_start_mm:.1f} mm"
    )
    wide = [line for line in rise_lines(Chart(TUBE, SHOP.dies[2])) if len(line.rise_mm)]
    assert len(wide) < len(lines)  # "so few lines"


GIVEN = {
    "printed on the chart, held by test_wall_chart": ["measure the line of 100 mm at the foot"],
    "chosen for an exercise": ["Your print's line of 100 mm measures 97"],
}
