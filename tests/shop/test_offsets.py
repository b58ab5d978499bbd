"""Stop setting and pencil mark: the offsets of a die enter in one place, and everything that shows them asks it."""

import ast
from dataclasses import replace
from html import unescape
from pathlib import Path

import numpy as np
import pytest
from conftest import ROOT
from hypothesis import given
from hypothesis import strategies as st
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import BendError, Die, Order, Springback, Tube, marks_from_recipe, recipe_from_order, springback_from_tube
from barmath.bending.steps import bench_steps
from barmath.panels.calibration_state import calibration_html, stop_in_use_deg
from barmath.panels.map_bar import recipe_html
from barmath.panels.map_state import MapState, map_readout
from barmath.panels.order_state import OrderState, readout_from_state
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.panels.record_state import RecordState, typed_from_model
from barmath.planning.chart_data import Chart, rise_lines, settings_blocks, stop_deg
from barmath.planning.design_map import bar_map, every_combination
from barmath.planning.recipe_limits import limits_from_recipe
from barmath.planning.ways import every_way
from barmath.records.calibration import calibrate
from barmath.records.demo_record import demo_bars
from barmath.records.lookup import model_setting
from barmath.shop.die_calibration import DieCalibration
from barmath.shop.offsets import (
    bench_marks_mm,
    bend_from_stop_deg,
    constant_from_play_deg,
    edge_mark_mm,
    on_die_deg,
    play_deg,
    riser_from_marks_mm,
    stop_from_bend_deg,
    tangent_from_mark_mm,
)
from barmath.shop.shop_file import shop_from_file

DEMO_SHOP = ROOT / "notebooks" / "demo" / "shop.toml"
TUBE, ORDER, BEND = Tube(22.225, 1.4732), Order(78.0, 12.0, 780.0, controls_mm=180.0), 30.0
DIE = Die(88.9, largest_bend_deg=31.0, name="die 89")

dies = st.builds(
    Die,
    centerline_radius_mm=st.just(88.9),
    springback_ratio=st.floats(0.0, 0.2),
    stop_offset_deg=st.floats(-5.0, 5.0),
    line_up_offset_mm=st.floats(-10.0, 10.0),
)


# ---- there and back


@given(dies, st.floats(1.0, 89.0))
def test_a_stop_set_for_a_bend_keeps_that_bend(die, bend):
    springback = springback_from_tube(TUBE, die)
    stop = stop_from_bend_deg(bend, springback, die)
    assert on_die_deg(stop, die) == pytest.approx(bend / (1.0 - die.springback_ratio), abs=ANGLE_DEG)
    if stop > die.stop_offset_deg:
        assert bend_from_stop_deg(stop, springback, die) == pytest.approx(bend, abs=ANGLE_DEG)


def test_a_stop_by_hand():
    # 30 deg are to stay, a fifth springs back, the stop has a play of 1.5 deg: 30 / 0.8 + 1.5
    die = replace(DIE, springback_ratio=0.2, stop_offset_deg=1.5)
    assert stop_from_bend_deg(30.0, Springback(0.2, 88.9), die) == pytest.approx(39.0, abs=ANGLE_DEG)


@given(dies, st.floats(0.0, 500.0), st.sampled_from([-1.0, 1.0]))
def test_a_mark_and_its_tangent_point_lead_to_each_other(die, tangent, onward):
    mark = edge_mark_mm(tangent, onward, die)
    assert tangent_from_mark_mm(mark, onward, die) == pytest.approx(tangent, abs=LENGTH_MM)
    assert mark == pytest.approx(tangent - onward * die.line_up_offset_mm, abs=LENGTH_MM)


@given(dies)
def test_the_riser_is_between_the_two_marks_with_the_offsets_out(die):
    recipe = recipe_from_order(ORDER, springback_from_tube(TUBE, Die(88.9)).finished_radius_mm, BEND)
    marks = marks_from_recipe(recipe)
    riser = riser_from_marks_mm(*bench_marks_mm(recipe, die), die.line_up_offset_mm)
    assert riser == pytest.approx((marks.inner_end_mm, marks.outer_start_mm), abs=LENGTH_MM)


def test_an_offset_of_the_stop_may_not_eat_up_the_bend():
    with pytest.raises(BendError, match=r": stop must be above 2\.0 deg, the stop's own play, got 1\.0 deg"):
        bend_from_stop_deg(1.0, Springback(0.05, 88.9), replace(DIE, stop_offset_deg=2.0))


# ---- everything that says whether the stop reaches says the same


@pytest.mark.parametrize(
    ("offset", "makes"),
    [(1.5, False), (0.0, True), (-1.5, True)],
    ids=["beyond the stop", "within it", "well within it"],
)
@pytest.mark.parametrize("ratio", [None, 0.02, 0.05])
def test_ways_maps_limits_charts_and_steps_agree_on_the_furthest_stop(offset, makes, ratio):
    die = replace(DIE, stop_offset_deg=offset, springback_ratio=ratio)
    springback = springback_from_tube(TUBE, die)
    stop = BEND / (1.0 - springback.ratio) + offset
    makes = stop <= 31.0
    recipe = recipe_from_order(ORDER, springback.finished_radius_mm, BEND)
    limit = next(one for one in limits_from_recipe(recipe, ORDER, TUBE, die) if one.key == "stop")
    assert limit.value == pytest.approx(stop, abs=ANGLE_DEG)
    assert bool(limit.broken) == (not makes)
    ways = every_way(ORDER, TUBE, [die], bends_deg=[BEND])
    assert bool(ways.feasible[0]) == makes
    assert ways.stop_deg[0] == pytest.approx(stop, abs=ANGLE_DEG)
    assert (bar_map(ORDER, TUBE, die, BEND).binding == 0) == makes
    assert (every_combination(ORDER, TUBE, [die], [BEND]).binding.item() == 0) == makes
    chart = Chart(TUBE, die, backsweep_deg=12.0, bends_deg=(BEND,))
    (line,) = rise_lines(chart)
    assert line.stop_deg == pytest.approx(stop, abs=ANGLE_DEG)
    assert (not line.why_not) == makes
    (block,) = settings_blocks(chart, [78.0], [12.0])
    assert np.isfinite(block.outer_mark_mm.item()) == makes
    if makes:
        steps = bench_steps(recipe, springback, die)
        assert [step.stop_deg for step in steps] == pytest.approx([stop] * 4, abs=ANGLE_DEG)
    else:
        with pytest.raises(BendError) as refusal:
            bench_steps(recipe, springback, die)
        assert ways.reason(0) == limit.sentence()
        assert refusal.value.why.startswith(ways.reason(0).partition(":")[0])
    assert model_setting(ORDER, springback, die, BEND).stop_deg == pytest.approx(stop, abs=ANGLE_DEG)


@pytest.mark.parametrize("bend", [25.0, 27.5, 30.0])
@pytest.mark.parametrize("offset", [-9.0, -1.5, 0.0, 1.5, 9.0])
@pytest.mark.parametrize("largest", [25.0, 28.0, 31.0, 40.0])
def test_the_readout_of_an_order_is_never_raised(offset, largest, bend):
    shop = shop_from_file(DEMO_SHOP)
    dies = tuple(replace(die, stop_offset_deg=offset, largest_bend_deg=largest) for die in shop.dies)
    readout = readout_from_state(replace(shop, dies=dies), OrderState(bend_deg=bend))
    assert (readout.bar is None) == bool(readout.refusal)


# ---- one bend has one stop, on every panel and every sheet


def calibrated_shop():
    """The demo shop with a calibration of its first tube on its first die: springback, play and offset."""
    shop = shop_from_file(DEMO_SHOP)
    tube, die = shop.tubes[0], shop.dies[0]
    found = DieCalibration(die.name, tube.name, "2026-11-02", "3 test bends", 0.05, 0.6, 2.5, 94.0, 0.1, 0.5)
    return replace(shop, calibrations=(found,)), found


def test_every_panel_shows_the_same_stop_and_marks_for_one_bar():
    shop, found = calibrated_shop()
    tube, die = shop.tubes[0], shop.dies[0]
    ordered = OrderedBar(bend_deg=25.0, die=die.name, rise_mm=70.0, controls_mm=150.0)
    state = OrderState(**{name: getattr(ordered, name) for name in ("rise_mm", "controls_mm")}, die=die.name,
                       bend_deg=25.0)  # fmt: skip
    stop = (25.0 + 0.6) / 0.95
    readout = readout_from_state(shop, state)
    assert [step.stop_deg for step in readout.bar.steps] == pytest.approx([stop] * 4, abs=ANGLE_DEG)
    record = RecordState(bar=ordered)
    assert float(typed_from_model(shop, record)["inner_stop_deg"]) == pytest.approx(stop, abs=0.051)
    assert stop_in_use_deg(shop, record, 25.0) == pytest.approx(stop, abs=ANGLE_DEG)
    at_map = MapState(die=die.name, bend_deg=25.0, rise_mm=70.0, backsweep_deg=12.0, width_mm=780.0, controls_mm=150.0)
    assert f"{stop:.1f} deg (springs back to 25.0)" in recipe_html(map_readout(shop, at_map).bar)
    assert stop_deg(Chart(tube, shop.die_for(tube, die.name)), 25.0) == pytest.approx(stop, abs=ANGLE_DEG)
    assert found.date in readout.bar.unsure.source


def test_a_calibration_that_is_not_in_the_file_says_from_when_its_stop_counts():
    shop = shop_from_file(DEMO_SHOP)
    found, state = calibrate(shop.tubes[0], shop.dies[0]), RecordState()
    in_use = stop_in_use_deg(shop, state, state.bar.bend_deg)
    later = calibrate(shop.tubes[0], shop.dies[0], [], demo_bars(shop.tubes[0], shop.dies[0]))
    assert ", as in the shop's file" in unescape(calibration_html(found, shop, state))
    words = unescape(calibration_html(later, shop, state))
    assert f"the shop's file sets the stop to {in_use:.1f} deg, here and on every sheet" in words
    assert f"once these values are in the file it will be {later.stop_deg(state.bar.bend_deg).value:.1f}" in words


@given(st.floats(-5.0, 5.0), st.floats(0.0, 0.5))
def test_play_and_constant_undo_each_other(constant, ratio):
    assert constant_from_play_deg(play_deg(constant, ratio), ratio) == pytest.approx(constant)


# ---- one home


OFFSETS = ("stop_offset_deg", "line_up_offset_mm")
HOME = "offsets.py"


def reckoned_with(path: Path) -> list[int]:
    """Lines of a module that add, subtract or compare an offset of a die by themselves."""
    return [
        node.lineno
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.BinOp | ast.UnaryOp | ast.Compare)
        for inner in _outside_of_calls(node)
        if isinstance(inner, ast.Attribute) and inner.attr in OFFSETS
    ]


def _outside_of_calls(node: ast.AST):
    # what is handed to a function is that function's business; float(...) is none
    for child in ast.iter_child_nodes(node):
        if isinstance(child, ast.Call) and ast.unparse(child.func) not in ("float", "np.asarray"):
            continue
        yield child
        yield from _outside_of_calls(child)


@pytest.mark.parametrize(
    "line",
    ["x + die.stop_offset_deg", "-die.stop_offset_deg", "2.0 * float(a.line_up_offset_mm)"],
)
def test_a_module_that_works_with_an_offset_is_found(tmp_path, line):
    path = tmp_path / "module.py"
    path.write_text(f"y = {line}\n", encoding="utf-8")
    assert reckoned_with(path) == [1]


def test_no_other_module_works_with_the_offsets_of_a_die():
    modules = [path for path in sorted((ROOT / "barmath").rglob("*.py")) if path.name != HOME]
    assert not {path.name: lines for path in modules if (lines := reckoned_with(path))}
