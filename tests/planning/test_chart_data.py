"""What a wall chart shows, against the functions that work out one bar at a time."""

from dataclasses import replace

import numpy as np
import pytest
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import (
    BendError,
    Die,
    Order,
    Recipe,
    Tube,
    clamp_reading_deg,
    marks_from_recipe,
    recipe_from_order,
    rise_window_mm,
    shape_from_recipe,
)
from barmath.planning.chart_data import (
    CHART_RISES_MM,
    CHART_SWEEPS_DEG,
    Chart,
    inner_marks_mm,
    reading_lines,
    rise_lines,
    settings_blocks,
)
from barmath.planning.rules import IN_A_CELL, IN_SHORT

TUBE = Tube(22.225, 1.4732)
BARS = {"width_mm": 780.0, "clamp_flat_mm": 50.0, "controls_mm": 180.0, "backsweep_deg": 10.0}
CHART = Chart(TUBE, Die(88.9, least_straight_mm=65, name="die 89"), **BARS)
HALF_AN_INCH_STEP_MM = 25.4 / 64
TABLE_RISE_MM = 0.5
TABLE_SWEEP_DEG = 0.05


def drawn(chart):
    return [line for line in rise_lines(chart) if not line.why_not]


def test_a_line_spans_the_rise_window_of_its_stop():
    for line in drawn(CHART):
        radius = CHART.springback.finished_radius_mm
        window = rise_window_mm(CHART.order(1), radius, line.bend_deg, CHART.die.least_straight_mm)
        assert (line.rise_mm[0], line.rise_mm[-1]) == pytest.approx(window, abs=LENGTH_MM)
        assert line.distance_mm[0] == pytest.approx(CHART.die.least_straight_mm, abs=1e-6)


def test_the_bar_read_off_a_line_has_the_rise_and_the_sweep():
    for line in drawn(CHART):
        for place in (0, 11, -1):
            recipe = recipe_from_order(
                CHART.order(line.rise_mm[place]), CHART.springback.finished_radius_mm, line.bend_deg
            )
            marks, shape = marks_from_recipe(recipe), shape_from_recipe(recipe)
            assert marks.outer_start_mm - marks.inner_end_mm == pytest.approx(line.distance_mm[place], abs=LENGTH_MM)
            assert marks.inner_end_mm == pytest.approx(line.inner_mark_mm, abs=LENGTH_MM)
            assert shape.rise_mm == pytest.approx(line.rise_mm[place], abs=LENGTH_MM)
            assert shape.backsweep_deg == pytest.approx(CHART.backsweep_deg, abs=ANGLE_DEG)


def test_lines_are_straight():
    for line in drawn(CHART):
        straight = np.interp(line.rise_mm, line.rise_mm[[0, -1]], line.distance_mm[[0, -1]])
        assert line.distance_mm == pytest.approx(straight, abs=1e-6)


def test_stops_have_the_springback_in():
    for line in rise_lines(CHART):
        assert line.stop_deg == pytest.approx(line.bend_deg / (1 - CHART.springback.ratio))


def test_a_line_up_offset_moves_both_marks_toward_each_other():
    moved = replace(CHART, die=Die(88.9, least_straight_mm=65, line_up_offset_mm=2))
    for line, other in zip(drawn(CHART), drawn(moved), strict=True):
        assert other.inner_mark_mm == pytest.approx(line.inner_mark_mm + 2)
        assert other.distance_mm == pytest.approx(line.distance_mm - 4)


def test_readings_are_those_of_a_bar_with_that_sweep():
    for bend, line in zip(CHART.bends_deg, reading_lines(CHART), strict=True):
        sweep, reading = line.backsweep_deg[16], line.reading_deg[16]
        recipe = recipe_from_order(Order(60, sweep, 780, controls_mm=0), CHART.springback.finished_radius_mm, bend)
        assert reading == pytest.approx(clamp_reading_deg(recipe), abs=ANGLE_DEG)


def test_a_reading_line_ends_at_the_most_sweep_its_bend_can_give():
    gentle = reading_lines(CHART)[0]
    assert CHART.bends_deg[0] == 15
    assert gentle.backsweep_deg[-1] < 16 < reading_lines(CHART)[-1].backsweep_deg[-1]


def test_the_table_agrees_with_the_closed_form_cell_by_cell():
    for sweep, block in zip(CHART_SWEEPS_DEG, settings_blocks(CHART), strict=True):
        for row, rise in enumerate(block.rises_mm):
            for column, bend in enumerate(CHART.bends_deg):
                mark = block.outer_mark_mm[row, column]
                assert np.isnan(mark) == bool(block.why_not[row, column])
                if not np.isnan(mark):
                    order = CHART.order(rise, sweep)
                    recipe = recipe_from_order(order, CHART.springback.finished_radius_mm, bend)
                    assert marks_from_recipe(recipe).outer_start_mm == pytest.approx(mark, abs=1e-6)
                    assert clamp_reading_deg(recipe) == pytest.approx(block.reading_deg[column], abs=ANGLE_DEG)


def test_cells_without_a_bar_say_on_which_side_of_the_window_they_are():
    (block,) = settings_blocks(CHART, CHART_RISES_MM, [10])
    for row, rise in enumerate(block.rises_mm):
        for column, line in enumerate(rise_lines(CHART)):
            if block.why_not[row, column] == IN_A_CELL["straight"]:
                assert rise < line.rise_mm[0]
            if block.why_not[row, column] == IN_A_CELL["controls"]:
                assert rise > line.rise_mm[-1]


def test_a_builder_who_shares_evenly_between_printed_rises_errs_by_less_than_a_tenth():
    """Marks printed to 0.1 mm, read half way between two rises 10 mm apart."""
    (coarse,) = settings_blocks(CHART, [60, 70, 80, 90], [10])
    (fine,) = settings_blocks(CHART, [65, 75, 85], [10])
    printed = np.round(coarse.outer_mark_mm, 1)
    shared = (printed[:-1] + printed[1:]) / 2
    misses = np.abs(shared - fine.outer_mark_mm)
    assert np.isfinite(misses).sum() >= 3
    assert np.nanmax(misses) <= 0.05 + LENGTH_MM


@pytest.mark.parametrize("sweep", [9.0, 11.0, 13.0])
def test_a_builder_who_shares_evenly_between_printed_sweeps_errs_by_less_than_a_millimetre_of_rise(sweep):
    """Half way between two blocks 2 degrees apart: the bar bent to the mark so found misses its rise by under 1 mm."""
    below, between, above = settings_blocks(CHART, np.arange(50, 101, 5.0), [sweep - 1, sweep, sweep + 1])
    shared = (np.round(below.outer_mark_mm, 1) + np.round(above.outer_mark_mm, 1)) / 2
    worst = 0.0
    for column, line in enumerate(rise_lines(replace(CHART, backsweep_deg=sweep))):
        if not line.why_not:
            per_mark = np.ptp(line.rise_mm) / np.ptp(line.distance_mm)
            misses = per_mark * np.abs(shared - between.outer_mark_mm)[:, column]
            worst = max(worst, np.nanmax(misses, initial=0.0))
    assert 0.0 < worst < 1.0


def bent(chart, bend, inner, outer, reading):
    """The bar that comes of marks, a stop and a reading, its ends trimmed to the chart's width."""
    sine = np.sin(np.radians(reading)) / np.sin(np.radians(bend))
    recipe = Recipe(
        chart.clamp_flat_mm, bend, outer - inner, np.degrees(np.arcsin(sine)), bend, 0.0,
        chart.springback.finished_radius_mm,
    )  # fmt: skip
    short = shape_from_recipe(recipe).width_mm
    per_grip = shape_from_recipe(replace(recipe, grip_mm=1.0)).width_mm - short
    return shape_from_recipe(replace(recipe, grip_mm=(chart.width_mm - short) / per_grip))


@pytest.mark.parametrize("sweep", [9.0, 11.0, 13.0])
def test_a_bar_bent_from_the_printed_table_misses_by_less_than_half_a_millimetre_and_a_twentieth_of_a_degree(sweep):
    """A sweep half way between two blocks, a rise in a row or half way between two; the differences shared evenly, each
    number as it is printed (0.1 mm, 0.1 degree). Bent so, the bar misses its rise and its backsweep by what is stated.
    """
    blocks = settings_blocks(CHART, sweeps_deg=[sweep - 1, sweep + 1])
    outer = sum(np.round(block.outer_mark_mm, 1) for block in blocks) / 2
    outer = np.concatenate([outer, (outer[:-1] + outer[1:]) / 2])
    reading = sum(np.round(block.reading_deg, 1) for block in blocks) / 2
    printed = blocks[0].rises_mm
    rises = np.concatenate([printed, (printed[:-1] + printed[1:]) / 2])
    shapes = [
        (rise, bent(CHART, bend, np.round(inner, 1), outer[row, column], reading[column]))
        for column, (bend, inner) in enumerate(zip(CHART.bends_deg, inner_marks_mm(CHART), strict=True))
        for row, rise in enumerate(rises)
        if np.isfinite(outer[row, column])
    ]
    assert len(shapes) >= 5
    assert 0.0 < max(abs(shape.rise_mm - rise) for rise, shape in shapes) < TABLE_RISE_MM
    assert 0.0 < max(abs(shape.backsweep_deg - sweep) for _, shape in shapes) < TABLE_SWEEP_DEG


def test_a_builder_with_an_inch_rule_errs_by_less_than_a_64th_of_an_inch_of_mark():
    (block,) = settings_blocks(CHART, [70], [10])
    marks = block.outer_mark_mm[np.isfinite(block.outer_mark_mm)]
    read = np.round(marks / 25.4 * 32) / 32 * 25.4
    assert np.abs(read - marks).max() <= HALF_AN_INCH_STEP_MM + LENGTH_MM


def test_a_die_with_no_window_says_so_on_every_line():
    chart = Chart(TUBE, Die(250.0, least_straight_mm=120), controls_mm=220)
    assert all(line.why_not for line in rise_lines(chart))
    assert all((block.why_not != "").all() for block in settings_blocks(chart))


@pytest.mark.parametrize("controls", [140.0, 180.0, 195.0, 205.0, 215.0, 240.0])
@pytest.mark.parametrize("sweep", [0.0, 10.0, 16.0])
def test_a_line_or_a_cell_says_no_room_just_where_no_rise_has_room_for_tooling_and_for_controls(controls, sweep):
    chart = replace(CHART, controls_mm=controls, backsweep_deg=sweep)
    (block,) = settings_blocks(chart, CHART_RISES_MM, [sweep])
    for column, line in enumerate(rise_lines(chart)):
        try:
            lowest, highest = rise_window_mm(
                chart.order(1), chart.springback.finished_radius_mm, line.bend_deg, chart.die.least_straight_mm
            )
        except BendError:  # the bend is too small for the sweep
            assert line.why_not == IN_SHORT["turn"]
            continue
        shut = lowest > highest or highest <= 0.0
        assert line.why_not == ("no room for tooling and controls" if shut else "")
        for rise, words in zip(CHART_RISES_MM, block.why_not[:, column], strict=True):
            low, high = rise < lowest, rise > highest
            said = "no room" if low and high else IN_A_CELL["straight"] if low else IN_A_CELL["controls"]
            assert words == (said if low or high else "")


def test_a_bend_beyond_the_stop_has_no_line():
    chart = Chart(TUBE, Die(88.9, largest_bend_deg=30))
    assert [line.bend_deg for line in rise_lines(chart) if line.why_not == IN_SHORT["stop"]] == [30, 35, 40]


def test_inner_marks_are_half_the_flat_and_the_arc():
    expected = 25 + CHART.springback.finished_radius_mm * np.radians(CHART.bends_deg)
    assert inner_marks_mm(CHART) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"width_mm": 300}, "width must be at least 350.0 mm"),
        ({"bends_deg": (25.0, 95.0)}, "bend must be below 90.0 deg"),
        ({"die": Die(11.0)}, "die radius must be above half the tube's diameter"),
        ({"backsweep_deg": "ten"}, "backsweep must be a number"),
    ],
)
def test_a_chart_of_nonsense_is_refused(fields, sentence):
    with pytest.raises(BendError, match=sentence):
        replace(CHART, **fields)
