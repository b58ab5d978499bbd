"""The numbers in the prose of lesson 10, worked out again."""

from collections.abc import Iterator

import numpy as np
from conftest import ROOT
from planning.test_chart_data import TABLE_RISE_MM, TABLE_SWEEP_DEG

from barmath.planning.chart_data import Chart, rise_lines
from barmath.planning.pair_chart import pair_rows
from barmath.planning.rules import IN_SHORT
from barmath.shop.order_seven import DIE, TUBE
from barmath.shop.shop_file import shop_from_file

CHART = Chart(TUBE, DIE)
SHOP = shop_from_file(ROOT / "notebooks" / "demo" / "shop.toml")
ASKED_MM = 80


def said() -> Iterator[str]:
    lines = {line.bend_deg: line for line in rise_lines(CHART) if len(line.rise_mm)}
    gives = {bend: line for bend, line in lines.items() if line.rise_mm[0] <= ASKED_MM <= line.rise_mm[-1]}
    assert tuple(gives) == (25.0, 30.0)
    yield f"On the chart of {DIE.name}, which stops give a rise of {ASKED_MM} mm?"
    rises = np.arange(60.0, 116.0, 5.0)
    rows = pair_rows(Chart(TUBE, SHOP.dies[1], bends_deg=SHOP.stop_bends_deg), rises)
    one = rises[rows.made & ~rows.two_stops]
    assert rows.why_not[-2] == IN_SHORT["straight"]
    yield (
        f"One stop makes rises of {one.min():.0f} to {one.max():.0f} mm on {SHOP.dies[1].name}. Two stops go on up to "
        f"{rises[rows.made].max():.0f} mm; at {rises[-2]:.0f} mm no pair leaves enough straight to hold"
    )
    yield "the blocks of 12 and 16 degrees, for a sweep of 14"
    yield f"misses its rise by less than {TABLE_RISE_MM} mm and its sweep by less than {TABLE_SWEEP_DEG} degrees"


GIVEN = {
    "an example of a mistake": ["do not read a bar of 12 degrees from a page of 10"],
    "printed on the chart, held by test_wall_chart": ["measure the line of 100 mm at the foot"],
}
