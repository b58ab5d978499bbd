"""One update of the order panel against building its figure anew, and its milliseconds for the record."""

import statistics
import time
from pathlib import Path

from barmath.panels.live import LiveFigure
from barmath.panels.order import OrderPanel
from barmath.panels.order_state import dimensions_from_readout, drawing_from_readout, lanes_from_readout
from barmath.pictures.bar import empty_figure, update_windows
from barmath.pictures.bar_in_space import BarPicture
from barmath.pictures.views import update_views

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"


def test_an_update_costs_at_most_a_quarter_of_rebuilding_the_figure():
    panel = OrderPanel(DEMO)

    def rebuild() -> None:
        figure = LiveFigure(empty_figure())
        drawing, words = drawing_from_readout(panel.readout), dimensions_from_readout(panel.readout, "mm")
        BarPicture().show(drawing, words)
        update_views(figure, drawing, words)
        update_windows(figure, lanes_from_readout(panel.readout))

    updates, rebuilds = [], []
    for step in range(60):
        updates.append(_seconds(lambda value=70 + step % 15: setattr(panel.ordered.rise.slider, "value", value)))
        if step % 6 == 0:
            rebuilds.append(_seconds(rebuild))
    update, anew = statistics.median(updates), statistics.median(rebuilds)
    print(f"\norder panel: update {1e3 * update:.1f} ms, rebuilding {1e3 * anew:.1f} ms, ratio {update / anew:.3f}")
    assert update <= 0.25 * anew


def _seconds(act) -> float:
    began = time.perf_counter()
    act()
    return time.perf_counter() - began
