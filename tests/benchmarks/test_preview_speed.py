"""The preview of each sheet for the wall, against the sines of a million numbers in the same run."""

import time

import numpy as np
import pytest

from barmath.panels.charts import KINDS, ChartsPanel
from barmath.shop.shop_file import shop_from_file

REPEATS = 5
MOST_MILLION_SINES = 19.0
"""150 ms, where the sines of a million numbers take 8 ms."""


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
