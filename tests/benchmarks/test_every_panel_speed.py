"""Every control of every panel moved once: how long its panel takes, against making that panel anew."""

import statistics
import time

import ipywidgets as widgets
import pytest
from every_panel import PANELS, parts_of

ROUNDS = 3


def seconds(act) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began


def moves(panel):
    """One move of each slider and chooser of a panel, and back."""
    for part in parts_of(panel.box):
        if isinstance(part, widgets.FloatSlider) and not part.disabled:
            step = part.step if part.value + part.step <= part.max else -part.step
            yield from (lambda part=part, to=part.value + off: setattr(part, "value", to) for off in (step, 0.0))
        elif isinstance(part, widgets.Dropdown) and len(part.options) > 1:
            yield from (
                lambda part=part, to=to: setattr(part, "index", to) for to in (len(part.options) - 1, part.index)
            )


@pytest.mark.parametrize("name", list(PANELS))
def test_an_update_of_a_panel_is_no_wait(name, demo_copy, tmp_path):
    shop_file = demo_copy / "shop.toml"
    anew = statistics.median(seconds(lambda: PANELS[name](shop_file, tmp_path)) for _ in range(ROUNDS))
    panel = PANELS[name](shop_file, tmp_path)
    times = sorted(seconds(move) for _ in range(ROUNDS) for move in list(moves(panel)))
    usual, slowest = statistics.median(times), times[int(0.95 * len(times))]
    print(f"\n{name}: update {1e3 * usual:.0f} ms, slowest twentieth {1e3 * slowest:.0f} ms, anew {1e3 * anew:.0f} ms")
    assert usual < anew
