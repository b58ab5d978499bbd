"""The whole package agrees with itself on what can be made, and with which stop and marks.

Six hundred random shops, each with a random order, from a seed. What is held against each other: the table of ways, the
maps (one bar, and every combination), the limits of one recipe, the choice of a die, the windows, the wall charts and
their tables, the look-up, the steps at the bench and the bench sheet.
"""

import os
import shutil
import subprocess
import sys
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest
from conftest import ROOT
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import BendError, Die, Order, Tube, recipe_from_order, shape_from_recipe, springback_from_tube
from barmath.bending.steps import bench_steps
from barmath.paper.bench_data import BenchSheet
from barmath.planning.candidates import CAN_BE_MADE
from barmath.planning.chart_data import Chart, rise_lines, settings_blocks
from barmath.planning.design_map import bar_map, every_combination
from barmath.planning.die_choice import die_choice, makeable, window_curve
from barmath.planning.recipe_limits import limits_from_recipe, refusals, warnings
from barmath.planning.ways import UPRIGHT, every_way
from barmath.records.lookup import model_setting

SHOPS, BATCHES = 600, 10
SEED = 16


def random_case(rng: np.random.Generator) -> tuple[Order, Tube, list[Die], np.ndarray, float]:
    """A tube, one to three dies, three stops, a rack, and an order: most of it usual, some of it odd."""
    tube = Tube(rng.choice([22.2, 22.225, 25.4]), rng.uniform(0.7, 2.5))
    order = Order(
        rng.uniform(20.0, 120.0), rng.uniform(0.0, 22.0), rng.uniform(680.0, 840.0),
        rng.uniform(0.0, 6.0) if rng.random() < 0.3 else None, rng.uniform(40.0, 70.0), rng.uniform(110.0, 200.0),
    )  # fmt: skip
    dies = [
        Die(
            rng.uniform(6.0, 30.0) if rng.random() < 0.05 else rng.uniform(60.0, 170.0),
            least_straight_mm=rng.uniform(20.0, 80.0),
            line_up_offset_mm=rng.uniform(-6.0, 6.0),
            stop_offset_deg=rng.uniform(-3.0, 3.0),
            largest_bend_deg=rng.choice([24.0, 35.0, 90.0]),
            tube_diameter_mm=rng.choice([None, 22.2, 25.4], p=[0.5, 0.4, 0.1]),
            springback_ratio=rng.uniform(0.0, 0.12) if rng.random() < 0.5 else None,
            name=f"die {number}",
        )
        for number in range(rng.integers(1, 4))
    ]  # fmt: skip
    return order, tube, dies, np.sort(rng.uniform(8.0, 45.0, 3)), rng.choice([np.inf, 860.0, 780.0])


def check_one_bar(order, tube, die, bend, stock_mm, ways, row) -> None:
    """Everything that speaks of one bar on one die, against a row of the table of ways."""
    made, key = bool(ways.feasible[row]), binding_key(ways, row)
    one = bar_map(order, tube, die, bend, stock_length_mm=stock_mm)
    assert (one.keys[one.binding - 1] if one.binding else "") == key
    if key in ("radius", "springback"):
        return
    springback = springback_from_tube(tube, die)
    try:
        recipe = recipe_from_order(order, springback.finished_radius_mm, bend)
    except BendError:
        assert not made
        return
    limits = limits_from_recipe(recipe, order, tube, die, stock_mm)
    assert refusals(limits)[:1] == ([] if made else [ways.reason(row)])
    assert warnings(limits) == ways.warnings(row)
    assert model_setting(order, springback, die, bend).stop_deg == pytest.approx(ways.stop_deg[row], abs=ANGLE_DEG)
    if key == "stop":
        with pytest.raises(BendError, match=r": stop must be at most"):
            bench_steps(recipe, springback, die)
    if made:
        check_bench(order, tube, die, ways.recipe(row), float(ways.stop_deg[row]), one)


def check_bench(order, tube, die, recipe, stop_deg, one) -> None:
    """Steps and sheet of a bar that can be made, against the map and the look-up."""
    springback = springback_from_tube(tube, die)
    model = model_setting(order, springback, die, recipe.inner_bend_deg)
    steps = bench_steps(recipe, springback, die)
    told = [(step.stop_deg, step.mark_mm, step.reading_deg, step.do, step.check) for step in steps]
    sheet = BenchSheet("an order", order, recipe, tube, die).steps
    assert [(step.stop_deg, step.mark_mm, step.reading_deg, step.do, step.check) for step in sheet] == told
    marks = {"inner": float(one.marks_mm[0]), "outer": float(one.marks_mm[1])}
    assert (model.inner_mark_mm, model.outer_mark_mm) == pytest.approx(tuple(marks.values()), abs=LENGTH_MM)
    for step in steps:
        assert step.stop_deg == pytest.approx(stop_deg, abs=ANGLE_DEG)
        assert step.mark_mm == pytest.approx(marks[step.bend], abs=LENGTH_MM)
        if step.bend == "outer":
            assert abs(step.reading_deg) == pytest.approx(abs(float(one.clamp_reading_deg)), abs=ANGLE_DEG)
    assert model.clamp_reading_deg == pytest.approx(abs(float(one.clamp_reading_deg)), abs=ANGLE_DEG)


def check_charts(order, tube, die, bends, stock_mm, made) -> None:
    """Windows, lines and table of one die against which of its bends make the order: `made` (bends,)."""
    curve = window_curve(order, tube, die, bends, stock_mm)
    assert ((curve.lowest_mm <= order.rise_mm) & (order.rise_mm <= curve.highest_mm)).tolist() == made.tolist()
    if order.upsweep_deg is not None:
        return  # charts are of bars with upright risers
    chart = Chart(
        tube, die, order.width_mm, order.clamp_flat_mm, order.controls_mm, order.backsweep_deg, tuple(bends), stock_mm
    )
    lines = rise_lines(chart)
    on_line = [not line.why_not and line.rise_mm[0] <= order.rise_mm <= line.rise_mm[-1] for line in lines]
    assert on_line == made.tolist()
    (block,) = settings_blocks(chart, [order.rise_mm], [order.backsweep_deg])
    assert np.isfinite(block.outer_mark_mm[0]).tolist() == made.tolist()
    assert (block.why_not[0] == "").tolist() == made.tolist()
    for line, bend, mark in zip(lines, bends, block.outer_mark_mm[0], strict=True):
        bars = bar_map(order, tube, die, float(bend))
        assert line.stop_deg == pytest.approx(float(bars.inner_stop_deg), abs=ANGLE_DEG)
        if np.isfinite(mark):
            assert mark == pytest.approx(float(bars.marks_mm[1]), abs=LENGTH_MM)
            distance = np.interp(order.rise_mm, line.rise_mm, line.distance_mm)
            assert line.inner_mark_mm + distance == pytest.approx(mark, abs=1e-6)


def check_one_pair(order, tube, die, stock_mm, ways, row) -> None:
    """The limits of one recipe with two stops, and its steps, against a row of the table of ways."""
    made, key = bool(ways.feasible[row]), binding_key(ways, row)
    assert made == (key == "")
    if key in ("radius", "springback"):
        return
    springback = springback_from_tube(tube, die)
    bends = float(ways.inner_bend_deg[row]), float(ways.outer_bend_deg[row])
    try:
        recipe = recipe_from_order(order, springback.finished_radius_mm, *bends)
    except BendError:
        assert not made
        return
    limits = limits_from_recipe(recipe, order, tube, die, stock_mm)
    assert refusals(limits)[:1] == ([] if made else [ways.reason(row)])
    assert warnings(limits) == ways.warnings(row)
    if not made:
        return
    shape = shape_from_recipe(ways.recipe(row))
    measures = [shape.rise_mm, shape.backsweep_deg, shape.width_mm]
    assert measures == pytest.approx([order.rise_mm, order.backsweep_deg, order.width_mm], abs=LENGTH_MM)
    least, most = (order.least_upsweep_deg, order.most_upsweep_deg) if order.upsweep_deg is None else (
        order.upsweep_deg, order.upsweep_deg
    )  # fmt: skip
    assert least - ANGLE_DEG <= shape.upsweep_deg <= most + ANGLE_DEG
    stops = {"inner": ways.inner_stop_deg[row], "outer": ways.outer_stop_deg[row]}
    for step in bench_steps(recipe, springback, die):
        assert step.stop_deg == pytest.approx(stops[step.bend], abs=ANGLE_DEG)


@pytest.mark.parametrize("batch", range(BATCHES))
def test_a_row_with_two_stops_is_refused_warned_of_and_made_as_its_recipe_alone(batch):
    rng, seen = np.random.default_rng((SEED, 2, batch)), Counter()
    for _ in range(SHOPS // BATCHES // 3):
        order, tube, dies, bends, stock_mm = random_case(rng)
        ways = every_way(order, tube, dies, bends_deg=bends, clamped=(UPRIGHT,), stock_length_mm=stock_mm)
        assert len(ways) == len(dies) * bends.size**2
        for row in np.flatnonzero(ways.two_stops):
            check_one_pair(order, tube, dies[ways.die_index[row]], stock_mm, ways, row)
            seen[binding_key(ways, row)] += 1
    assert min(seen[key] for key in ("upsweep", "droop", "straight", "controls")) >= 1, seen


def binding_key(ways, row) -> str:
    return next((limit.key for limit in ways.limits if limit.refuses and limit.broken[row]), "")


@pytest.mark.parametrize("batch", range(BATCHES))
def test_ways_maps_limits_choice_charts_look_up_steps_and_sheets_agree(batch):
    rng, seen = np.random.default_rng((SEED, batch)), Counter()
    for _ in range(SHOPS // BATCHES):
        order, tube, dies, bends, stock_mm = random_case(rng)
        shop = {"bends_deg": bends, "clamped": (UPRIGHT,), "stock_length_mm": stock_mm}
        ways = every_way(order, tube, dies, **shop, equal_only=True)
        every = every_combination(order, tube, dies, bends, stock_length_mm=stock_mm)
        made = np.zeros((len(dies), bends.size), bool)
        for row in range(len(ways)):
            number, place = ways.die_index[row], int(np.flatnonzero(bends == ways.bend_deg[row])[0])
            code, key = every.binding[number, place], binding_key(ways, row)
            assert (every.keys[code - 1] if code != CAN_BE_MADE else "") == key
            assert every.warned[number, place] == ways.warned[row]
            assert (key == "") == ways.feasible[row]
            made[number, place] = ways.feasible[row]
            check_one_bar(order, tube, dies[number], float(ways.bend_deg[row]), stock_mm, ways, row)
            seen[key] += 1
        assert makeable([order], tube, dies, bends, stock_mm)[0].tolist() == made.any(axis=1).tolist()
        choice = die_choice([order], tube, dies, [90.0], bends, 50.0, stock_mm)
        assert choice.share_now == float(made.any())
        for number, die in enumerate(dies):
            if die.centerline_radius_mm > tube.outside_diameter_mm / 2.0:
                check_charts(order, tube, die, bends, stock_mm, made[number])
    assert min(seen[key] for key in ("", "turn", "stop", "groove", "straight", "controls")) >= 5, seen


def test_a_limit_that_only_one_of_them_knew_would_be_noticed():
    order, tube, die = Order(78.0, 12.0, 780.0, controls_mm=180.0), Tube(22.225, 1.4732), Die(88.9)
    ways = every_way(order, tube, [die], bends_deg=[30.0])
    assert ways.feasible[0]
    with pytest.raises(AssertionError):
        check_one_bar(order, tube, replace(die, largest_bend_deg=20.0), 30.0, np.inf, ways, 0)
    with pytest.raises(AssertionError):
        check_charts(order, tube, replace(die, largest_bend_deg=20.0), np.array([30.0]), np.inf, np.array([True]))


ONE_MORE_RULE = """    Rule(
        "lead", "lead", "mm", lambda bar: bar.order.rise_mm, lambda bar: 60.0, AT_MOST, REFUSES,
        "an invented rule", "order less rise", "too much lead", "lead",
    ),
)  # fmt: skip
"""
ASKED_EVERYWHERE = """
from barmath import Die, Order, Tube
from barmath.planning.chart_data import Chart, rise_lines, settings_blocks
from barmath.planning.design_map import bar_map, every_combination
from barmath.planning.die_choice import makeable, window_curve
from barmath.planning.ways import every_way

order, tube, die = Order(78.0, 12.0, 780.0, controls_mm=180.0), Tube(22.225, 1.4732), Die(88.9)
assert every_way(order, tube, [die], bends_deg=[30.0]).reason(0).startswith("lead must be at most 60.0 mm")
maps = every_combination(order, tube, [die], [30.0]), bar_map(order, tube, die, 30.0)
assert [found.keys[found.binding.item() - 1] for found in maps] == ["lead", "lead"]
assert not makeable([order], tube, [die], [30.0]).any()
assert abs(window_curve(order, tube, die, [27.5]).highest_mm.item() - 60.0) < 1e-9
chart = Chart(tube, die, 780.0, 50.0, 150.0, 12.0, (25.0,))
assert abs(rise_lines(chart)[0].rise_mm[-1] - 60.0) < 1e-9
assert settings_blocks(chart, [70.0], [12.0])[0].why_not.item() == "lead"
"""


def test_a_rule_that_is_added_to_the_list_is_known_everywhere(tmp_path):
    """One more entry in `RULES` of a copy of the package, and nothing else."""
    shutil.copytree(ROOT / "barmath", tmp_path / "barmath", ignore=shutil.ignore_patterns("__pycache__"))
    rules = tmp_path / "barmath" / "planning" / "rules.py"
    before, end, after = rules.read_text(encoding="utf-8").partition(')  # fmt: skip\n"""Every limit,')
    assert end
    one_more = ONE_MORE_RULE + end.removeprefix(")  # fmt: skip\n")
    rules.write_text(before + one_more + after, encoding="utf-8")
    subprocess.run(
        [sys.executable, "-c", ASKED_EVERYWHERE],
        cwd=tmp_path,
        check=True,
        env=os.environ | {"PYTHONPATH": str(tmp_path)},
    )
