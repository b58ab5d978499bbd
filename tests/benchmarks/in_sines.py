"""How long a few things take, each as a multiple of a million sines in the same run: for one tree of the project.

`PYTHONPATH=TREE .venv/bin/python tests/benchmarks/in_sines.py TREE` prints a line a thing. Run it in turn for this tree
and for an earlier one (`git archive COMMIT | tar -x -C FOLDER`). NOW_AND_BEFORE.md has the table.
"""

import importlib
import sys
import time
from pathlib import Path

import numpy as np

from barmath import Die, Order, Recipe, Tube, recipe_from_order, shape_from_recipe
from barmath.panels.order import OrderPanel
from barmath.planning.design_map import every_combination
from barmath.planning.ways import every_way
from barmath.shop.bender import Bender
from barmath.shop.tooling import springback_from_tube

MILLION, ROUNDS = 1_000_000, 12
TUBE, DIES = Tube(22.225, 1.651), [Die(radius) for radius in (101.6, 127.0, 152.4)]
SEVEN = Order(90, 14, 800, None, 60, 170)


def best_times(acts):
    """Least time of the processor for each act, all of them in turn."""
    taken = {name: [] for name in acts}
    for _ in range(ROUNDS):
        for name, act in acts.items():
            began = time.process_time()
            act()
            taken[name].append(time.process_time() - began)
    return {name: min(times) for name, times in taken.items()}


def named(module: str, *names: str):
    """What a module has by one of those names, the newest first."""
    found = importlib.import_module(module)
    return next(getattr(found, name) for name in names if hasattr(found, name))


def main(tree: str) -> None:
    draw, steps = np.random.default_rng(11).uniform, iter(range(10_000))
    recipes = Recipe(
        draw(40.0, 60.0, MILLION), draw(15.0, 40.0, MILLION), draw(60.0, 150.0, MILLION), draw(-50.0, 50.0, MILLION),
        draw(15.0, 40.0, MILLION), draw(150.0, 250.0, MILLION), draw(80.0, 170.0, MILLION), draw(-20.0, 20.0, MILLION),
    )  # fmt: skip
    orders = Order(draw(85.0, 100.0, MILLION), draw(5.0, 12.0, MILLION), draw(720.0, 820.0, MILLION))
    radius, bend = draw(80.0, 110.0, MILLION), draw(26.0, 30.0, MILLION)
    grid = Order(np.linspace(30, 150, 100)[:, None], np.linspace(0, 30, 100), 800, None, 60, 170)
    angles, bender = draw(0.0, 6.0, MILLION), Bender(table_below_mm=150.0, table_reach_mm=400.0)
    along_a_tube = named("barmath.space.centerline", "bends_from_recipe", "row_from_recipe")
    every_sequence = named("barmath.bending.sequences", "every_bend_sequence", "every_bend_order")
    bar = along_a_tube(Recipe(60.0, 30.0, 100.8, 28.9, 30.0, 184.0, 105.0)), springback_from_tube(TUBE, DIES[0])
    panel = OrderPanel(Path(tree) / "notebooks" / "demo" / "shop.toml")
    times = best_times({
        "a million sines": lambda: np.sin(angles),
        "shape_from_recipe, a million bars": lambda: shape_from_recipe(recipes),
        "recipe_from_order, a million orders": lambda: recipe_from_order(orders, radius, bend),
        "a map of 990 000 combinations": lambda: every_combination(grid, TUBE, DIES, np.linspace(10, 45, 33)),
        "every way of an order, and the best": lambda: every_way(SEVEN, TUBE, DIES).reason(0),
        "all 384 sequences of a bar": lambda: every_sequence(*bar, DIES[0], 22.225, bender),
        "an update of the order panel": lambda: setattr(panel.ordered.rise.slider, "value", 70 + next(steps) % 15),
    })  # fmt: skip
    for name, taken in times.items():
        print(f"{name}: {taken / times['a million sines']:.2f} ({1e3 * taken:.1f} ms)")


if __name__ == "__main__":
    main(sys.argv[1])
