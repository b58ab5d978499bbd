"""An hour of use in a few minutes: the same random moves of a panel's controls again and again leave nothing behind.

The first round fills what is remembered on purpose. In the rounds after it the memory that Python holds may not grow,
and neither may the number of widgets: each of them is a part of the page that lives as long as the kernel.

    .venv/bin/python -m pytest tests/benchmarks/test_no_growth.py -s
"""

import gc
import os
import random
import time
import tracemalloc

import ipywidgets as widgets
import psutil
import pytest
from every_panel import PANELS, parts_of
from test_panel_controls import CONTROLS, move

MOVES, ROUNDS = 1000, 3
MOST_SECONDS = float(os.environ.get("BARMATH_SECONDS_A_ROUND", "20"))
"""Of a round, without the counting of memory; a panel that draws pages makes fewer moves in it."""

MOST_BYTES, CACHED_BYTES = 500.0, 200_000.0
"""A move may leave so much on average, such as entries of the record, and a round so much in caches that still fill.

An hour has some thousand moves: a few MB.
"""

TYPED = ["", "80", "12,5", "7/8 in", "order 7", "nan", "600", "24"]


def round_of_moves(panel, count: int, seconds: float = float("inf")) -> int:
    """Make up to `count` moves, the same ones each time, and give how many were made."""
    dice, began = random.Random(25), time.perf_counter()
    for number in range(count):
        if time.perf_counter() - began > seconds:
            return number
        controls = [part for part in parts_of(panel.box) if isinstance(part, CONTROLS)]
        move(dice.choice(controls), dice.choice(TYPED), dice.random())
    return count


def held() -> tuple[int, int]:
    """Bytes that Python holds, and live widgets."""
    gc.collect()
    return tracemalloc.get_traced_memory()[0], len(widgets.widget._instances)


@pytest.mark.parametrize("name", list(PANELS))
def test_use_leaves_nothing_behind(name, demo_copy, tmp_path):
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path)
    count = round_of_moves(panel, MOVES, MOST_SECONDS)
    tracemalloc.start(1)
    try:
        after = [(round_of_moves(panel, count), *held())[1:] for _ in range(ROUNDS)]
        resident = psutil.Process().memory_info().rss
    finally:
        tracemalloc.stop()
    (_, _), (before, widgets_before), (now, widgets_now) = after
    grown = (now - before) / count
    print(f"\n{name}: {count} moves a round, {grown:.0f} bytes a move, {widgets_now - widgets_before} widgets more, "
          f"{resident / 1e6:.0f} MB resident")  # fmt: skip
    assert now - before <= MOST_BYTES * count + CACHED_BYTES
    assert widgets_now <= widgets_before
