"""A hand on a slider waits for the bar in space: every panel sends it before its charts and before what takes long."""

from pathlib import Path

import ipywidgets as widgets
import pytest
from k3d.plot import Plot

from barmath.panels import two_bars
from barmath.panels.inspection import InspectionPanel
from barmath.panels.live import LiveFigure
from barmath.panels.map import MapPanel
from barmath.panels.strength import StrengthPanel
from barmath.panels.two_bars import TwoBarsPanel
from barmath.shop.shop_file import shop_from_file

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"

PICTURE, CHART, LONG = "picture", "chart", "what takes long"


def rise(panel):
    return next(
        part.entry.slider
        for part in widgets_in(panel.box)
        if getattr(part, "entry", None) is not None and part.entry.label == "Rise"
    )


def widgets_in(box):
    yield box
    for child in getattr(box, "children", ()):
        yield from widgets_in(child)


@pytest.fixture
def sent(monkeypatch):
    done, send = [], widgets.Widget._send

    def note(widget, message, buffers=None):
        if isinstance(widget, Plot | LiveFigure):
            done.append(CHART if isinstance(widget, LiveFigure) else PICTURE)
        return send(widget, message, buffers)

    monkeypatch.setattr(widgets.Widget, "_send", note)
    return done


@pytest.mark.parametrize("kind", [InspectionPanel, MapPanel, TwoBarsPanel, StrengthPanel])
def test_the_bar_in_space_is_sent_before_the_charts(kind, sent):
    slider = rise(kind(shop_from_file(DEMO)))
    sent.clear()
    slider.value += slider.step
    assert sent[0] == PICTURE
    assert CHART in sent


def test_two_bars_and_their_charts_are_sent_before_the_bars_of_the_same_hands_are_worked_out(sent, monkeypatch):
    worked_out = two_bars.with_same_hands
    slider = rise(TwoBarsPanel(shop_from_file(DEMO)))
    monkeypatch.setattr(two_bars, "with_same_hands", lambda *given: (sent.append(LONG), worked_out(*given))[1])
    sent.clear()
    slider.value += slider.step
    assert sent[:3] == [PICTURE, CHART, LONG]
