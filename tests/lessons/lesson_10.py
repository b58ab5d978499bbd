"""The numbers in the prose of lesson 10, worked out again."""

from collections.abc import Iterator

from conftest import ROOT
from planning.test_chart_data import TABLE_RISE_MM, TABLE_SWEEP_DEG

from barmath.closed_forms.forward import clamp_reading_deg
from barmath.closed_forms.inverse import recipe_from_order
from barmath.planning.chart_data import Chart, rise_lines
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE, order_seven_recipe
from barmath.shop.shop_file import shop_from_file

CHART = Chart(TUBE, DIE)
SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
ASKED_MM = 80


def said() -> Iterator[str]:
    lines = {line.bend_deg: line for line in rise_lines(CHART) if len(line.rise_mm)}
    gives = {bend: line for bend, line in lines.items() if line.rise_mm[0] <= ASKED_MM <= line.rise_mm[-1]}
    assert tuple(gives) == (25.0, 30.0)
    yield f"On the chart of {DIE.name}, which stops give a rise of {ASKED_MM} mm?"
    two = recipe_from_order(ORDER, order_seven_recipe().radius_mm, BEND_DEG, 27.5)
    yield (
        f"inner bends of {BEND_DEG:.0f} and outer bends of {two.outer_bend_deg} degrees the finder must read "
        f"{clamp_reading_deg(two):.1f} degrees for a sweep of {ORDER.backsweep_deg:.0f}"
    )
    yield "the blocks of 12 and 16 degrees, for a sweep of 14"
    yield f"misses its rise by less than {TABLE_RISE_MM} mm and its sweep by less than {TABLE_SWEEP_DEG} degrees"


GIVEN = {
    "printed on the chart, held by test_wall_chart": ["measure the line of 100 mm at the foot"],
}
