"""While a slider moves, a chart sends its lines alone, and each of them remains on its axes."""

import itertools

import numpy as np
import pytest
from every_panel import PANELS, parts_of

from barmath.panels.live import LiveFigure

FOLLOW = ("order", "map", "mistakes", "inspection", "strength", "two bars")
"""Panels that draw only their lines again; the others draw all of a chart, as its axes go with what it shows."""

KEYS = 12


def sliders_of(panel):
    entries = (getattr(part, "entry", None) for part in parts_of(panel.box))
    return [entry.slider for entry in entries if hasattr(entry, "slider")]


def of_lines(figure):
    return all(trace.type == "scatter" for trace in figure.data)


def axes_of(figure):
    return list(itertools.chain(figure.select_xaxes(), figure.select_yaxes()))


@pytest.mark.parametrize("name", FOLLOW)
def test_a_key_moves_lines_and_no_axis(name, demo_copy, tmp_path, monkeypatch):
    sent = []
    monkeypatch.setattr(LiveFigure, "send", lambda self, content, buffers=None: sent.append((self, content)))
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path)
    figures, moved = {}, 0
    for slider in sliders_of(panel)[:4]:
        sent.clear()
        for _ in range(KEYS):
            slider.value = min(slider.value + slider.step, slider.max)
        of_this_slider = [(figure, content) for figure, content in sent if of_lines(figure)]
        assert sum("layout" in content for _, content in of_this_slider) <= KEYS // 4
        figures |= {id(figure): figure for figure, _ in of_this_slider}
        moved += len(of_this_slider)
    assert moved >= KEYS
    assert all(axis.range for figure in figures.values() for axis in axes_of(figure))  # else the page draws all of it


@pytest.mark.parametrize("name", ["strength", "two bars"])
def test_no_line_leaves_axes_that_end_at_round_numbers(name, demo_copy, tmp_path):
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path)
    for slider in sliders_of(panel)[:4]:
        for share in (0.0, 0.3, 0.5, 0.7, 1.0, 0.4):
            slider.value = slider.min + share * (slider.max - slider.min)
            for trace in panel.figure.data:
                if trace.visible is False or not len(trace.y):
                    continue
                axis = panel.figure.layout[trace.yaxis.replace("y", "yaxis")]
                low, high = np.nanmin(trace.y), np.nanmax(trace.y)
                assert axis.range[0] <= low <= high <= axis.range[1], (slider.value, trace.name)
