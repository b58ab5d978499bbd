"""Figures of a notebook share one drawing program, and each is small beside it."""

import json

import ipywidgets as widgets
import plotly.graph_objects as go

from barmath.panels.live import DrawingProgram, LiveFigure


def line(**options):
    return LiveFigure([go.Scatter(x=[0.0, 1.0], y=[0.0, 2.0])], **options)


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


def test_a_page_opened_later_is_told_what_changed_since():
    figure = line()
    figure.data[0].y = [0.0, 3.0]
    figure.layout.title.text = "changed"
    state = figure.get_state()
    assert list(state["_widget_data"][0]["y"]) == [0.0, 3.0]
    assert state["_widget_layout"]["title"]["text"] == "changed"
