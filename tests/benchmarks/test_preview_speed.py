"""The preview of each sheet for the wall, against the sines of a million numbers in the same run."""

import time

import numpy as np
import pytest
from nightly import NIGHTLY

from barmath.panels.charts import KINDS, ChartsPanel
from barmath.panels.class_sheets import ClassSheetPanel
from barmath.practice import KINDS as EXERCISES
from barmath.practice import LEVELS
from barmath.practice.class_seeds import class_exercises
from barmath.shop.shop_file import shop_from_file

REPEATS = 5
MOST_MILLION_SINES = 19.0
"""150 ms, where the sines of a million numbers take 8 ms."""

SLOWEST = ("pair", "finder", "direction", "faulty bend", "slip")
"""The exercises that take longest to draw for a class; the night has all of them."""


def seconds(act) -> float:
    """Processor time: a page is drawn by one core, and other work on the machine does not count."""
    began = time.process_time()
    act()
    return time.process_time() - began


@pytest.mark.parametrize("kind", KINDS)
def test_a_preview_is_no_wait(kind, demo_copy, tmp_path):
    panel = ChartsPanel(shop_from_file(demo_copy / "shop.toml"), tmp_path)
    panel.kind.value = kind
    numbers = np.random.default_rng(1).uniform(0.1, 0.8, 1_000_000)
    rounds = [(seconds(panel.refresh), seconds(lambda: np.sin(numbers))) for _ in range(REPEATS)]
    drawn, sines = (min(column) for column in zip(*rounds, strict=True))
    print(f"\n{kind}: {1e3 * drawn:.0f} ms, {drawn / sines:.1f} times a million sines ({1e3 * sines:.1f} ms)")
    assert drawn <= MOST_MILLION_SINES * sines


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("kind", [kind.name for kind in EXERCISES] if NIGHTLY else SLOWEST)
def test_the_first_preview_of_a_class_is_no_wait(kind, level, tmp_path):
    """A new class: nothing of it is kept from an earlier preview."""
    panel = ClassSheetPanel(tmp_path)
    panel.kind.value, panel.level.value = kind, level
    numbers = np.random.default_rng(1).uniform(0.1, 0.8, 1_000_000)

    def first():
        class_exercises.cache_clear()
        panel.refresh()

    rounds = [(seconds(first), seconds(lambda: np.sin(numbers))) for _ in range(REPEATS)]
    drawn, sines = (min(column) for column in zip(*rounds, strict=True))
    print(f"\n{kind}, level {level}: {1e3 * drawn:.0f} ms, {drawn / sines:.1f} times a million sines")
    assert drawn <= MOST_MILLION_SINES * sines
