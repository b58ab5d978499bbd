"""One update of the order panel against building its figure again, and its milliseconds for the record."""

import statistics
import time
from pathlib import Path

import numpy as np

from barmath.panels.live import LiveFigure
from barmath.panels.order import OrderPanel
from barmath.panels.order_state import lanes_from_readout, way_from_state
from barmath.pictures.bar import empty_figure, update_windows
from barmath.pictures.bar_in_space import BarPicture
from barmath.pictures.views import update_views

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"


def test_an_update_costs_at_most_a_third_of_rebuilding_the_figure():
    panel = OrderPanel(DEMO)

    def rebuild() -> None:
        figure = LiveFigure(empty_figure())
        picked = way_from_state(panel.shop, panel.state)
        drawing, words = picked.drawing(), picked.dimensions("mm")
        BarPicture().show(drawing, words)
        update_views(figure, drawing, words)
        update_windows(figure, lanes_from_readout(panel.readout))

    updates, rebuilds = [], []
    for step in range(40):
        updates.append(_seconds(lambda value=70 + step % 15: setattr(panel.ordered.rise.slider, "value", value)))
        if step % 6 == 0:
            rebuilds.append(_seconds(rebuild))
    update, anew = statistics.median(updates), statistics.median(rebuilds)
    print(f"\norder panel: update {1e3 * update:.1f} ms, rebuilding {1e3 * anew:.1f} ms, ratio {update / anew:.3f}")
    assert update <= 0.35 * anew  # the figure has no scene in space any more, so that it is built sooner


def test_an_update_costs_at_most_four_and_a_half_times_a_million_sines():
    panel, angles = OrderPanel(DEMO), np.linspace(0.0, 1.0, 1_000_000)
    updates, sines = [], []
    for step in range(40):
        updates.append(_seconds(lambda value=70 + step % 15: setattr(panel.ordered.rise.slider, "value", value)))
        sines.append(_seconds(lambda: np.sin(angles)))
    update, sine = statistics.median(updates), statistics.median(sines)
    print(
        f"\norder panel: update {1e3 * update:.1f} ms, a million sines {1e3 * sine:.1f} ms, ratio {update / sine:.2f}"
    )
    assert update <= 4.5 * sine


def _seconds(act) -> float:
    # the processor's own time: what else the machine does is no part of it
    began = time.thread_time()
    act()
    return time.thread_time() - began
