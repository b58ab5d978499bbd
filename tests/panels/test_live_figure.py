"""Figures of a notebook share one drawing program, send what was changed, and hear of clicks."""

import base64
import json

import ipywidgets as widgets
import numpy as np
import plotly.graph_objects as go
import pytest
from every_panel import page_sends

from barmath.panels.live import DrawingProgram, LiveFigure


def line(**options):
    lines = [go.Scatter(x=[0.0, 1.0], y=[0.0, 2.0], name=name) for name in ("one", "other")]
    return LiveFigure(lines, **options)


@pytest.fixture
def sent(monkeypatch):
    messages = []
    monkeypatch.setattr(LiveFigure, "send", lambda self, content, buffers=None: messages.append(content))
    return messages


def test_two_figures_ask_for_the_same_program_and_carry_none_themselves():
    one, other = line().get_state(), line().get_state()
    program = DrawingProgram.in_this_kernel()
    assert one["_program"] == other["_program"] == program.model_id
    assert "Plotly" in program.text
    assert len(json.dumps(one, default=str)) < len(program.text) / 100


def test_after_all_widgets_are_closed_the_next_figure_brings_the_program_again():
    before = line().get_state()["_program"]
    DrawingProgram.in_this_kernel().close()
    after = line().get_state()["_program"]
    assert after != before
    assert after in widgets.widget._instances


def test_a_page_opened_later_gets_what_changed_since():
    figure = line()
    figure.data[0].y = [0.0, 3.0]
    figure.layout.title.text = "changed"
    whole = figure.get_state()["_whole"]
    assert whole["data"][0]["y"] == [0.0, 3.0]
    assert whole["layout"]["title"]["text"] == "changed"
    assert whole["serial"] == 2


def test_one_batch_is_one_message_with_the_traces_that_changed(sent):
    figure = line()
    with figure.batch_update():
        figure.data[1].update(x=np.array([1.0, np.nan]), y=[0.0, float("nan")])
    (message,) = sent
    assert message["serial"] == 1
    assert "layout" not in message
    assert list(message["traces"]) == ["1"]
    x = message["traces"]["1"]["x"]
    np.testing.assert_array_equal(np.frombuffer(base64.b64decode(x["bdata"]), x["dtype"]), [1.0, np.nan])
    assert message["traces"]["1"]["y"] == [0.0, None]
    json.dumps(message, allow_nan=False)  # as a page reads it


def test_a_layout_that_changed_is_sent_without_traces(sent):
    figure = line()
    figure.layout.title.text = "changed"
    (message,) = sent
    assert message["traces"] == {}
    assert message["layout"]["title"]["text"] == "changed"


@pytest.mark.parametrize(
    "change",
    [lambda figure: figure.add_scatter(y=[1.0]), lambda figure: setattr(figure, "data", figure.data[:1])],
    ids=["a trace more", "a trace less"],
)
def test_a_figure_with_other_traces_is_sent_whole(sent, change):
    figure = line()
    change(figure)
    (message,) = sent
    assert len(message["whole"]["data"]) == len(figure.data) != 2


def test_a_page_that_missed_a_change_gets_the_whole_and_one_that_did_not_gets_nothing(sent):
    figure = line()
    figure.data[0].y = [0.0, 3.0]
    sent.clear()
    page_sends(figure, {"have": 1})
    assert sent == []
    page_sends(figure, {"have": 0})
    assert [message["whole"]["serial"] for message in sent] == [1]


def test_a_click_reaches_the_callbacks_of_its_trace_alone():
    figure, heard = line(), []
    for trace in figure.data:
        trace.on_click(lambda trace, points, _: heard.append((trace.name, points.xs, points.ys)))
    page_sends(figure, {"clicked": [{"trace": 1, "point": 1, "x": 1.0, "y": 2.0}]})
    assert heard == [("other", [1.0], [2.0])]
