"""The electricians' offset table read off the drawn wall charts: a bar without sweep is a flat offset."""

import math
from functools import cache

import numpy as np
import pytest

from barmath import Die, Tube
from barmath.paper.wall_chart import wall_chart
from barmath.planning.chart_data import Chart

TABLE = {10.0: 6.0, 15.0: 3.9, 22.5: 2.6, 30.0: 2.0, 45.0: 1.4, 60.0: 1.2}
"""Offset multiplier by bend: "Mathematics of the Offset Bend", a table in guides for electricians; seen as several
trade pages quote it, without author or page. The row of 10 degrees is printed 4.2 % high; the others are rounded."""

SHRINK = {10.0: 1 / 16, 15.0: 1 / 8, 22.5: 3 / 16, 30.0: 1 / 4, 45.0: 3 / 8, 60.0: 1 / 2}
"""Shrink per unit of offset: the same table, seen the same way; every row is rounded down."""


def chart_of(bend):
    die = Die(60.0, least_straight_mm=20.0, springback_ratio=0.0)
    return Chart(Tube(22.225, 1.4732), die, width_mm=1000.0, controls_mm=0.0, backsweep_deg=0.0, bends_deg=(bend,))


@cache
def rise_and_distance(bend):
    return wall_chart(chart_of(bend)).rise.drawn(f"rise {bend:g}")


@pytest.mark.parametrize("bend", TABLE)
def test_the_slope_of_a_drawn_line_is_the_offset_multiplier(bend):
    """Along a line, distance of the marks grows by csc(bend) per unit of rise: the multiplier."""
    distance, rise = rise_and_distance(bend)
    multiplier = np.ptp(distance) / np.ptp(rise)
    assert multiplier == pytest.approx(1 / math.sin(math.radians(bend)), rel=1e-6)
    assert multiplier == pytest.approx(TABLE[bend], rel=0.045 if bend == 10 else 0.04)


@pytest.mark.parametrize("bend", SHRINK)
def test_shrink_read_off_a_drawn_line_is_at_least_the_printed_one(bend):
    """What a bar gets shorter per unit of rise: distance grown less the run it covers, 1/sin - 1/tan = tan(bend/2)."""
    distance, rise = rise_and_distance(bend)
    run = np.ptp(rise) / math.tan(math.radians(bend))
    shrink = (np.ptp(distance) - run) / np.ptp(rise)
    assert SHRINK[bend] <= shrink < SHRINK[bend] + 0.08
