"""Facts of the trade, as builders tell them: common practice, no source. Each is held against the closed forms, with
the reading of the fact under which it comes true.
"""

from dataclasses import replace

import numpy as np
import pytest

from barmath import (
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
from barmath.bending.spread import ProcessErrors
from barmath.checking.bench_errors import USUAL_ERRORS
from barmath.checking.bench_readings import BY_KEY
from barmath.planning.recipe_limits import limits_from_recipe, warnings
from barmath.records.by_settings import Scatter
from barmath.shop.forming import forming_from_bend
from barmath.strength.screen import STEM_WIDTH_MM

TUBE, DIE_RADIUS = Tube(22.2, 1.47), 88.9


def four_bends_of_25(straight_mm, radius_mm=DIE_RADIUS, width_mm=800.0) -> Recipe:
    """Four equal bends of 25 set with a clamp reading of 12, with the grip that makes the width."""
    roll = np.degrees(np.arcsin(np.sin(np.radians(12.0)) / np.sin(np.radians(25.0))))
    bar = Recipe(50.0, 25.0, straight_mm, float(roll), 25.0, 0.0, radius_mm)
    width = shape_from_recipe(bar).width_mm
    wider = shape_from_recipe(replace(bar, grip_mm=1.0)).width_mm - width
    return replace(bar, grip_mm=(width_mm - width) / wider)


def test_four_equal_bends_of_25_set_at_12_sweep_back_by_about_12():
    """Common practice, no source: set the angle finder to the sweep."""
    recipe = four_bends_of_25(120.0)
    assert clamp_reading_deg(recipe) == pytest.approx(12.0, abs=1e-9)
    assert shape_from_recipe(recipe).backsweep_deg == pytest.approx(12.0, abs=0.05)


@pytest.mark.parametrize("radius_mm", [88.9, 91.5], ids=["as on the die", "sprung back"])
def test_120_between_the_bends_rises_by_77_to_80(radius_mm):
    """Common practice, no source. True if the 120 mm lie between the arcs, the rise is that of the bar end with the
    risers upright, and the bar is 800 wide: 78.
    """
    rise = shape_from_recipe(four_bends_of_25(120.0, radius_mm)).rise_mm
    assert 77.0 < rise < 80.0
    assert rise == pytest.approx(78.0, abs=0.5)


def test_the_same_120_from_mark_to_mark_would_rise_by_63_5_only():
    """The other reading of the same fact, 120 mm from the start of one bend to the start of the next, does not give it:
    either it is not what builders mean, or their bench differs.
    """
    arc = DIE_RADIUS * np.radians(25.0)
    recipe = four_bends_of_25(120.0 - arc)
    marks = marks_from_recipe(recipe)
    assert marks.outer_start_mm - marks.inner_start_mm == pytest.approx(120.0)
    assert shape_from_recipe(recipe).rise_mm == pytest.approx(63.5, abs=0.1)


def test_the_order_for_that_rise_gives_the_120_back():
    order = Order(shape_from_recipe(four_bends_of_25(120.0)).rise_mm, 12.0, 800.0)
    assert recipe_from_order(order, DIE_RADIUS, 25.0).straight_mm == pytest.approx(120.0, abs=0.2)


@pytest.mark.parametrize("width_mm", [780.0, 800.0])
def test_on_a_165_die_a_rise_under_60_is_hard_to_reach(width_mm):
    """Common practice, no source. With 12 of sweep and 200 mm for the controls, bends from 22.5 up cannot reach it and
    smaller ones only just, while on an 89 mm die there is room at almost any stop.
    """
    order, bends = Order(60.0, 12.0, width_mm, controls_mm=200.0), np.arange(15.0, 30.1, 2.5)
    (lowest, highest), (low_89, high_89) = (
        rise_window_mm(order, radius, bends, 65.0) for radius in (165.1, DIE_RADIUS)
    )
    assert (lowest[bends >= 22.5] > 60.0).all()
    room_below_60 = np.minimum(highest, 60.0) - lowest
    assert room_below_60.max() < 6.0
    assert ((np.minimum(high_89, 60.0) - low_89)[bends <= 22.5] > 6.0).all()


def test_22_2_by_1_47_on_an_88_9_die_is_about_as_tight_as_goes_without_dimples():
    """Common practice, no source: four times the tube's diameter is where the warning begins."""
    order = Order(78.0, 12.0, 780.0, controls_mm=150.0)
    recipe = recipe_from_order(order, DIE_RADIUS, 27.5)
    assert warnings(limits_from_recipe(recipe, order, TUBE, Die(DIE_RADIUS))) == []
    assert "dimple" in warnings(limits_from_recipe(recipe, order, TUBE, Die(DIE_RADIUS - 1.0)))[0]


def test_25_mm_of_clamp_flat_either_side_of_the_middle_are_usual():
    """Common practice, no source: what an order has unless told otherwise."""
    marks = marks_from_recipe(recipe_from_order(Order(78.0, 12.0, 780.0), DIE_RADIUS, 27.5))
    assert marks.inner_start_mm == 25.0


@pytest.mark.parametrize(("radius_in", "thinning"), [(4.0, 0.0986), (6.0, 0.0680)])
def test_the_outer_wall_thins_by_the_rule_of_thumb(radius_in, thinning):
    """Common practice, no source: t R/(R + D/2) is left of a wall t, here for a tube of 7/8 in."""
    forming = forming_from_bend(Tube(22.225, 1.651), radius_in * 25.4)
    assert 1.0 - forming.rule_of_thumb_wall == pytest.approx(thinning, abs=5e-5)


def test_the_usual_clamp_flat_takes_a_stem_and_the_usual_straight_a_grip_and_its_controls():
    """A clamp 40 mm wide with 5 mm on each side; a grip of 130 mm and 70 mm of controls: common practice, no source."""
    usual = Order(90.0, 14.0, 800.0)
    assert usual.clamp_flat_mm == STEM_WIDTH_MM + 2 * 5
    assert usual.controls_mm == 130 + 70


def test_one_bench_has_the_same_errors_in_every_room():
    slips, scatter = USUAL_ERRORS, Scatter()
    assert (scatter.bend_deg, scatter.finder_deg, scatter.mark_mm) == (slips.stop_deg, slips.finder_deg, slips.mark_mm)
    assert {BY_KEY[f"{sweep}_{side}"].error for sweep in ("backsweep", "upsweep") for side in ("left", "right")} == {
        slips.finder_deg
    }
    # what is measured on a finished bar is read alike, and a shift is read between two pencil lines
    assert (scatter.sweep_deg, scatter.length_mm) == (BY_KEY["backsweep_left"].error, BY_KEY["rise_left"].error)
    assert (scatter.kept_deg, scatter.shift_mm) == (slips.finder_deg, slips.mark_mm)
    process = ProcessErrors()
    assert (process.stop_deg, process.finder_deg, process.mark_mm) == (slips.stop_deg, slips.finder_deg, slips.mark_mm)
