"""The best pair of stops for each rise, against the table of ways, one order at a time, and against bars bent so."""

from dataclasses import replace

import numpy as np
import pytest
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import BendError, Die, Recipe, Tube, clamp_reading_deg, marks_from_recipe, shape_from_recipe
from barmath.paper.wall_settings import TABLE_RISES_IN_MM, TABLE_RISES_MM
from barmath.planning.chart_data import CHART_RISES_IN_MM, CHART_RISES_MM, Chart
from barmath.planning.pair_chart import PAIR_RISES_IN_MM, PAIR_RISES_MM, pair_rows
from barmath.planning.rules import IN_SHORT
from barmath.planning.ways import every_way

STOPS = tuple(np.arange(10.0, 45.1, 2.5))
CHART = Chart(Tube(22.225, 1.651), Die(127.0, line_up_offset_mm=1.5), bends_deg=STOPS, stock_length_mm=1000.0)


@pytest.fixture(scope="module", params=[8.0, 14.0])
def rows(request):
    return pair_rows(replace(CHART, backsweep_deg=request.param))


def test_each_pair_is_the_first_of_the_ways_of_its_order(rows):
    for place, rise in enumerate(rows.rises_mm):
        order = rows.chart.order(rise)
        ways = every_way(order, CHART.tube, [CHART.die], bends_deg=STOPS, stock_length_mm=CHART.stock_length_mm)
        assert rows.made[place] == (ways.best is not None)
        if ways.best is not None:
            pair = ways.inner_bend_deg[ways.best], ways.outer_bend_deg[ways.best]
            assert (rows.inner_bend_deg[place], rows.outer_bend_deg[place]) == pair
            assert rows.outer_stop_deg[place] == ways.outer_stop_deg[ways.best]
            assert rows.cut_length_mm[place] == pytest.approx(ways.shape(ways.best).cut_length_mm, abs=LENGTH_MM)
        else:
            assert rows.why_not[place] in IN_SHORT.values()
            assert np.isnan(rows.outer_mark_mm[place])
    assert 5 < rows.made.sum() < rows.made.size
    assert 0 < rows.two_stops.sum() < rows.made.sum()


def bar_of(rows, place, outer_mark_mm, reading_deg):
    """The bar that comes of what a row says: stops, marks and finder, the ends cut to the width of the chart."""
    inner, outer = rows.inner_bend_deg[place], rows.outer_bend_deg[place]
    roll = np.degrees(np.arcsin(np.sin(np.radians(reading_deg)) / np.sin(np.radians(inner))))
    straight = outer_mark_mm - rows.inner_mark_mm[place] + 2.0 * float(CHART.die.line_up_offset_mm)
    recipe = Recipe(60.0, inner, straight, roll, outer, 0.0, CHART.springback.finished_radius_mm)
    short, longer = (shape_from_recipe(replace(recipe, grip_mm=grip)).width_mm for grip in (0.0, 1.0))
    return replace(recipe, grip_mm=(CHART.width_mm - short) / (longer - short))


def test_a_bar_bent_to_a_row_has_its_rise_and_sweep(rows):
    for place in np.flatnonzero(rows.made):
        recipe = bar_of(rows, place, rows.outer_mark_mm[place], rows.reading_deg[place])
        shape = shape_from_recipe(recipe)
        assert shape.rise_mm == pytest.approx(rows.rises_mm[place], abs=1e-6)
        assert shape.backsweep_deg == pytest.approx(rows.chart.backsweep_deg, abs=1e-6)
        assert -1e-6 < shape.upsweep_deg < 8.0 + 1e-6
        assert clamp_reading_deg(recipe) == pytest.approx(rows.reading_deg[place], abs=ANGLE_DEG)
        assert 2.0 * marks_from_recipe(recipe).end_mm == pytest.approx(rows.cut_length_mm[place], abs=1e-6)


def test_one_mm_more_of_rise_takes_the_outer_mark_as_far_out_as_it_says(rows):
    for place in np.flatnonzero(rows.made):
        recipe = bar_of(rows, place, rows.outer_mark_mm[place] + rows.more_mark_mm[place], rows.reading_deg[place])
        assert shape_from_recipe(recipe).rise_mm == pytest.approx(rows.rises_mm[place] + 1.0, abs=1e-6)


def test_with_one_stop_the_finder_is_set_to_the_sweep_and_with_two_mostly_not(rows):
    one = rows.made & ~rows.two_stops
    assert one.any()
    assert not rows.not_the_sweep[one].any()
    assert rows.not_the_sweep[rows.two_stops].mean() > 0.5


def test_neighbours_with_equal_stops_share_the_difference_of_their_marks():
    rows = pair_rows(replace(CHART, die=Die(101.6)), PAIR_RISES_MM)
    pairs = np.stack([rows.inner_bend_deg, rows.outer_bend_deg])
    alike = np.flatnonzero((pairs[:, 1:] == pairs[:, :-1]).all(axis=0))
    assert alike.size > 2
    steps = np.diff(rows.outer_mark_mm)[alike]
    assert steps == pytest.approx(5.0 * rows.more_mark_mm[alike], abs=LENGTH_MM)
    assert np.diff(rows.reading_deg)[alike] == pytest.approx(0.0, abs=ANGLE_DEG)


@pytest.mark.parametrize(("rises", "words"), [((), "at least one rise"), (("high",), "rise must be"), ((0.0,), "rise")])
def test_rises_of_nonsense_are_refused(rises, words):
    with pytest.raises(BendError, match=words):
        pair_rows(CHART, rises)


QUARTER_INCH_MM, FIVE_MM = 6.35, 5.0


@pytest.mark.parametrize(
    ("in_mm", "in_inches", "step_mm", "step_in_mm"),
    [
        (PAIR_RISES_MM, PAIR_RISES_IN_MM, FIVE_MM, QUARTER_INCH_MM),
        (TABLE_RISES_MM, TABLE_RISES_IN_MM, FIVE_MM, QUARTER_INCH_MM),
        (CHART_RISES_MM, CHART_RISES_IN_MM, 2.0 * FIVE_MM, 2.0 * QUARTER_INCH_MM),
    ],
)
def test_a_chart_in_inches_has_the_rises_of_one_in_mm(in_mm, in_inches, step_mm, step_in_mm):
    """Each goes in its own round steps, and their ends are less than one of those steps apart."""
    assert np.diff(in_mm) == pytest.approx(step_mm)
    assert np.diff(in_inches) == pytest.approx(step_in_mm)
    assert abs(in_mm[0] - in_inches[0]) < step_mm
    assert abs(in_mm[-1] - in_inches[-1]) < step_mm
