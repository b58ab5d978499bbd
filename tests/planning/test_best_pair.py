"""The pair of bends that leaves most, over a map of orders, and the map of bars with two stops."""

from dataclasses import replace

import numpy as np
import pytest
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import BendError, Die, Order, Recipe, Tube, shape_from_recipe
from barmath.planning import limits, pair_lines
from barmath.planning.best_pair import best_pair_deg, best_pair_with_setback_deg
from barmath.planning.candidates import BendPair, candidates, spare_mm
from barmath.planning.design_map import bar_map, grid_shape
from barmath.planning.rules import AT_MOST, REFUSES, RULES, Rule
from barmath.planning.ways import every_way
from barmath.shop.offsets import tools_from_die

TUBE, DIE, STOCK_MM = Tube(22.225, 1.651), Die(127.0), 1000.0
BENDS = np.arange(15.0, 40.1, 2.5)
RISES, SWEEPS = np.array([60.0, 80.0, 90.0, 100.0, 120.0]), np.array([0.0, 8.0, 14.0, 20.0])
ORDERS = Order(RISES[:, None], SWEEPS, 800.0, None, 60.0, 170.0)


def each_order():
    for place in np.ndindex(RISES.size, SWEEPS.size):
        yield place, replace(ORDERS, rise_mm=RISES[place[0]], backsweep_deg=SWEEPS[place[1]])


def test_no_way_of_the_table_leaves_more_than_the_best_pair():
    inner, outer = best_pair_deg(ORDERS, TUBE, DIE, BENDS, stock_length_mm=STOCK_MM)
    made = 0
    for place, order in each_order():
        ways = every_way(order, TUBE, [DIE], bends_deg=BENDS, stock_length_mm=STOCK_MM)
        spare = np.minimum(ways.straight_left_mm, ways.grip_left_mm)
        (row,) = np.flatnonzero((ways.inner_bend_deg == inner[place]) & (ways.outer_bend_deg == outer[place]))
        assert ways.feasible[row] == ways.feasible.any()
        if ways.feasible[row]:
            assert spare[row] == pytest.approx(spare[ways.feasible].max(), abs=LENGTH_MM)
        made += ways.feasible[row]
    assert 3 <= made < RISES.size * SWEEPS.size


def test_a_finer_step_leaves_no_less_and_makes_no_fewer():
    coarse, fine = (
        bar_map(ORDERS, TUBE, DIE, BendPair(inner, outer), stock_length_mm=STOCK_MM)
        for inner, outer in (
            best_pair_deg(ORDERS, TUBE, DIE, BENDS, step_deg=step, stock_length_mm=STOCK_MM) for step in (None, 0.5)
        )
    )
    assert (fine.feasible | ~coarse.feasible).all()
    assert (fine.spare_mm >= coarse.spare_mm)[coarse.feasible].all()
    assert fine.feasible.sum() >= coarse.feasible.sum()
    assert (fine.spare_mm > coarse.spare_mm + 1.0)[coarse.feasible].any()


ANYWHERE = np.arange(10.0, 45.1, 0.5)
GRIDS = {
    "rise and backsweep": replace(ORDERS, rise_mm=np.arange(20.0, 150.0, 12.0)[:, None],
                                  backsweep_deg=np.arange(0.0, 31.0, 3.0)),
    "rise and backsweep, upsweep ordered": replace(ORDERS, rise_mm=np.arange(20.0, 150.0, 26.0)[:, None],
                                                   backsweep_deg=np.arange(0.0, 31.0, 6.0), upsweep_deg=3.0),
    "width and controls": replace(ORDERS, rise_mm=85.0, backsweep_deg=14.0,
                                  width_mm=np.arange(640.0, 861.0, 20.0)[:, None],
                                  controls_mm=np.arange(120.0, 221.0, 20.0)),
    "one order": replace(ORDERS, rise_mm=90.0, backsweep_deg=14.0),
}  # fmt: skip


def every_half_degree(orders):
    """What every pair of every half degree leaves at most, tried one inner bend at a time; -inf where none does."""
    tools, outer = tools_from_die(TUBE, DIE), ANYWHERE.reshape(-1, 1, 1)
    tried = (candidates(orders, TUBE, tools, inner, STOCK_MM, outer_bend_deg=outer) for inner in ANYWHERE)
    most = np.max([np.where(bars.feasible, spare_mm(bars), -np.inf).max(axis=0) for bars in tried], axis=0)
    return most.reshape(grid_shape(orders, None))


LONGEST_STRAIGHT = Rule(
    "longest straight", "straight between bends", "mm", lambda bar: bar.straight_mm, lambda bar: 75.0, AT_MOST,
    REFUSES, "the room on this bench", "choose a larger bend", "too long a straight", "too long",
)  # fmt: skip


@pytest.mark.parametrize("name", GRIDS)
def test_a_new_limit_of_lengths_is_kept_by_the_best_pair_too(name, monkeypatch):
    before = every_half_degree(GRIDS[name])
    monkeypatch.setattr(limits, "RULES", (*RULES, LONGEST_STRAIGHT))
    assert (every_half_degree(GRIDS[name]) < before - 1.0).any()
    check_that_no_pair_leaves_more(GRIDS[name])


@pytest.mark.parametrize("name", GRIDS)
def test_with_a_stop_that_can_be_set_anywhere_no_pair_leaves_more(name):
    check_that_no_pair_leaves_more(GRIDS[name])


def check_that_no_pair_leaves_more(orders):
    most = every_half_degree(orders)
    pair = best_pair_deg(orders, TUBE, DIE, ANYWHERE, stock_length_mm=STOCK_MM)
    found = bar_map(orders, TUBE, DIE, pair, stock_length_mm=STOCK_MM)
    made = np.isfinite(most)
    assert np.array_equal(found.feasible, made)
    np.testing.assert_allclose(found.spare_mm[made], most[made], atol=LENGTH_MM)
    assert made.any()


def test_with_more_sweeps_than_are_compared_it_makes_what_any_pair_makes(monkeypatch):
    monkeypatch.setattr(pair_lines, "MOST_SWEEPS", 1)
    most = every_half_degree(GRIDS["rise and backsweep"])
    pair = best_pair_deg(GRIDS["rise and backsweep"], TUBE, DIE, ANYWHERE, stock_length_mm=STOCK_MM)
    found = bar_map(GRIDS["rise and backsweep"], TUBE, DIE, pair, stock_length_mm=STOCK_MM)
    made = np.isfinite(most)
    assert np.array_equal(found.feasible, made)
    assert np.mean(found.spare_mm[made] > most[made] - LENGTH_MM) > 0.8


def test_as_many_sweeps_as_the_bound_says_are_still_compared_pair_by_pair(monkeypatch):
    orders, tools = GRIDS["rise and backsweep"], tools_from_die(TUBE, DIE)
    shape = grid_shape(orders, None)
    sweeps = len(np.unique(orders.backsweep_deg))
    for bound, compared in ((sweeps, True), (sweeps - 1, False)):
        monkeypatch.setattr(pair_lines, "MOST_SWEEPS", bound)
        pair = pair_lines.best_of_every_pair(orders, TUBE, tools, BENDS, STOCK_MM, shape)
        assert (pair is not None) == compared


@pytest.mark.parametrize("upsweep", [None, 3.0])
def test_the_bars_of_a_map_with_two_stops_measure_what_it_says(upsweep):
    orders = replace(ORDERS, upsweep_deg=upsweep)
    inner, outer = best_pair_deg(orders, TUBE, DIE, BENDS)
    bars = bar_map(orders, TUBE, DIE, BendPair(inner, outer))
    places = np.argwhere(bars.feasible & (bars.difference_deg != 0.0))
    assert len(places) > 2
    for place in map(tuple, places):
        recipe = bars.recipe(place)
        assert isinstance(recipe, Recipe)
        shape = shape_from_recipe(recipe)
        assert shape.rise_mm == pytest.approx(RISES[place[0]], abs=LENGTH_MM)
        assert shape.setback_mm == pytest.approx(bars.setback_mm[place], abs=LENGTH_MM)
        assert shape.backsweep_deg == pytest.approx(bars.backsweep_deg[place], abs=ANGLE_DEG)
        assert shape.upsweep_deg == pytest.approx(bars.full(bars.upsweep_deg)[place], abs=ANGLE_DEG)
        assert recipe.inner_bend_deg - recipe.outer_bend_deg == bars.difference_deg[place]


def test_a_bar_of_two_bends_with_a_setback_has_that_setback():
    order = Order(80.0, 0.0, 800.0, None, 60.0, 150.0)
    bars = bar_map(order, TUBE, DIE, BendPair(27.5, 25.0), setback_mm=45.0)
    shape = shape_from_recipe(bars.recipe())
    assert (shape.setback_mm, shape.rise_mm) == pytest.approx((45.0, 80.0), abs=LENGTH_MM)
    assert shape.width_mm == pytest.approx(800.0, abs=LENGTH_MM)


@pytest.mark.parametrize("rise", [70.0, 90.0, 110.0])
def test_no_pair_leaves_more_on_a_bar_with_a_setback_than_the_best_one(rise):
    order, setbacks = Order(rise, 0.0, 800.0, None, 60.0, 170.0), np.array([30.0, 60.0])
    found = best_pair_with_setback_deg(order, TUBE, DIE, BENDS, setbacks, stock_length_mm=STOCK_MM)
    for place, setback in enumerate(setbacks):
        inner, outer = np.repeat(BENDS, BENDS.size), np.tile(BENDS, BENDS.size)
        bars = bar_map(order, TUBE, DIE, BendPair(inner, outer), setback_mm=setback, stock_length_mm=STOCK_MM)
        best = bar_map(
            order, TUBE, DIE, BendPair(found.inner_deg[place], found.outer_deg[place]), setback_mm=setback,
            stock_length_mm=STOCK_MM,
        )  # fmt: skip
        assert best.feasible == bars.feasible.any()
        if best.feasible:
            assert best.spare_mm == pytest.approx(bars.spare_mm[bars.feasible].max(), abs=LENGTH_MM)


@pytest.mark.parametrize(
    ("bends", "die", "words"),
    [([], DIE, "there must be at least one stop"), ([25.0], Die(10.0), "die radius must be above")],
)
def test_without_a_pair_to_try_it_says_so(bends, die, words):
    with pytest.raises(BendError, match=words):
        best_pair_deg(ORDERS, TUBE, die, bends)
