"""A map of a million combinations against the bare trigonometric calls on arrays of a million, in one run.

Three yardsticks, the loosest first. What a bar takes written plainly: sine and cosine of the bend, tangent of the
sweep, arctangent of the roll. The fewest calls known for it: the tangent of the half bend, that of the sweep, the
arctangent. And those same calls only for the pairs of bend and sweep that differ, for rise and die change no angle.
"""

import statistics
import time
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path

import numpy as np

from barmath import Die, Order, Tube
from barmath.panels.map import MapPanel
from barmath.planning.best_pair import best_pair_deg
from barmath.planning.design_map import every_combination
from barmath.shop.shop_file import shop_from_file

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"

REPEATS = 15
MOST_TIMES_THE_BARE_CALLS = 2.0
MOST_TIMES_THE_LISTED_STOPS = 4.5
REDRAW_S = 0.1

TUBE = Tube(22.225, 1.4732)
DIES = [Die(radius, least_straight_mm=65) for radius in (60.0, 88.9, 114.3, 165.1)]
BENDS, SWEEPS, RISES = np.linspace(10, 45, 25), np.linspace(0, 30, 100), np.linspace(30, 150, 100)
ORDERS = Order(RISES[:, None], SWEEPS, 780, controls_mm=180)


def test_a_map_of_a_million_takes_at_most_twice_the_bare_trigonometry():
    a, beta = (np.random.default_rng(7).uniform(0.1, 0.8, 1_000_000) for _ in range(2))
    pair_a, pair_beta = (angle[: BENDS.size * SWEEPS.size] for angle in (a, beta))
    seconds = best_of_each(
        lambda: every_combination(ORDERS, TUBE, DIES, BENDS, stock_length_mm=1000),
        lambda: (np.sin(a), np.cos(a), np.tan(beta), np.arctan2(a, beta)),
        lambda: (np.tan(0.5 * a), np.tan(beta), np.arctan2(a, beta)),
        lambda: (np.tan(0.5 * pair_a), np.tan(pair_beta), np.arctan2(pair_a, pair_beta)),
    )
    mapped, plain, fewest, pairs = seconds
    assert len(DIES) * BENDS.size * ORDERS.rise_mm.size * SWEEPS.size == 1_000_000
    print(
        f"\nmap of a million: {1e3 * mapped:.1f} ms; {mapped / plain:.2f} times the plain calls "
        f"({1e3 * plain:.1f} ms), "
        f"{mapped / fewest:.1f} times the fewest ({1e3 * fewest:.1f} ms), "
        f"{mapped / pairs:.0f} times those for each pair once ({1e6 * pairs:.0f} us)"
    )
    assert mapped <= MOST_TIMES_THE_BARE_CALLS * plain


def test_the_map_panel_redraws_within_a_tenth_of_a_second():
    panel = MapPanel(shop_from_file(DEMO))

    def slide(name: str, values: Iterable[float]) -> float:
        row = panel.quantities[name]
        return statistics.median(_seconds(lambda value=value: setattr(row.slider, "value", value)) for value in values)

    new_map, point = slide("width", range(700, 800, 5)), slide("rise", range(70, 90))
    print(f"\nmap panel, kernel side: a new map {1e3 * new_map:.0f} ms, another point {1e3 * point:.0f} ms")
    assert max(new_map, point) <= REDRAW_S


def test_the_best_pair_of_a_stop_that_can_be_set_anywhere_takes_a_few_times_that_of_listed_stops():
    orders = Order(np.arange(20.0, 161.0, 2.0)[:, None], np.arange(0.0, 30.1, 0.5), 800, None, 60, 170)
    listed, anywhere = (
        partial(best_pair_deg, orders, TUBE, DIES[2], np.arange(10.0, 45.1, step), stock_length_mm=1000.0)
        for step in (2.5, 0.5)
    )
    few, every = best_of_each(listed, anywhere)
    print(f"\nbest pair: {1e3 * few:.0f} ms with 15 stops, {1e3 * every:.0f} ms with 71, {every / few:.2f} times")
    assert every <= MOST_TIMES_THE_LISTED_STOPS * few


def best_of_each(*acts: Callable[[], object]) -> list[float]:
    """Least seconds of each act, all of them in turn so that a slow moment hits all alike."""
    rounds = [[_seconds(act) for act in acts] for _ in range(REPEATS)]
    return [min(column) for column in zip(*rounds, strict=True)]


def _seconds(act: Callable[[], object]) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began
