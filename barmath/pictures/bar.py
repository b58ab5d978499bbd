"""The bar from behind and from above, and the rise windows of the dies: one figure, changed in place."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray
from plotly.subplots import make_subplots

from barmath.pictures.look import draw, on_paper, titles_left
from barmath.pictures.palette import BEND, DIMENSION, INK, STRAIGHT, as_written
from barmath.pictures.views import AXIS, TITLES, VIEWS, broken, lay_out_views, view_traces
from barmath.planning.window_lanes import WindowLanes


def empty_figure() -> go.Figure:
    """The figure with all its traces and nothing in them."""
    figure = make_subplots(
        rows=3,
        cols=1,
        row_heights=[0.304, 0.296, 0.4],
        vertical_spacing=0.095,
        subplot_titles=(
            *TITLES,
            "Rise windows: a line for each stop, smallest bend lowest; dashed: the order",
        ),
    )
    for row, view in enumerate(VIEWS, start=1):
        figure.add_traces(view_traces(view), rows=[row] * 4, cols=[1] * 4)
    figure.add_traces(_window_traces(), rows=[3] * 4, cols=[1] * 4)
    _lay_out(figure)
    return figure


def update_windows(figure: go.Figure, lanes: WindowLanes) -> None:
    """Put the rise windows of the dies into the figure."""
    traces = {trace.name: trace for trace in figure.data}
    height, ticks = _lane_heights(lanes)
    open_ = lanes.lowest_mm <= lanes.highest_mm
    ends = np.stack([np.stack([edge[open_], height[open_]], 1) for edge in (lanes.lowest_mm, lanes.highest_mm)], 1)
    draw(traces["windows"], broken(ends))
    traces["windows"].update(
        customdata=np.repeat(lanes.bend_deg[open_], 3),
        hovertemplate="%{customdata:.1f} deg: %{x:.1f} mm<extra></extra>",
    )
    picked = [] if lanes.picked is None or not open_[lanes.picked] else [lanes.picked]
    x = [edge[i] for i in picked for edge in (lanes.lowest_mm, lanes.highest_mm)]
    traces["window picked"].update(x=x, y=[height[i] for i in picked for _ in range(2)])
    top = float(len(lanes.die_names))
    traces["rise ordered"].update(x=[lanes.ordered_mm] * 2, y=[-0.1, top])
    _name_closed(traces["windows none"], lanes, open_)
    names = [as_written(name) for name in lanes.die_names]
    figure.layout.yaxis3.update(tickvals=ticks, ticktext=names, range=[-0.15, top])


def _name_closed(trace: go.Scatter, lanes: WindowLanes, open_: NDArray) -> None:
    dies = range(len(lanes.die_names))
    closed = [place + 0.45 for place in dies if not (open_ & (lanes.die_index == place)).any()]
    words = "no stop setting leaves a window for this width, sweep and room for controls"
    trace.update(x=[lanes.ordered_mm] * len(closed), y=closed, text=[words] * len(closed))


def _window_traces() -> list[go.Scatter]:
    return [
        go.Scatter(name="windows", x=[], y=[], mode="lines", line={"color": STRAIGHT, "width": 2}),
        go.Scatter(
            name="window picked", x=[], y=[], mode="lines+markers", line={"color": BEND, "width": 5}, hoverinfo="skip",
            marker={"symbol": "line-ns", "size": 12, "line": {"width": 3, "color": BEND}},
        ),
        go.Scatter(
            name="rise ordered", x=[], y=[], mode="lines", line={"color": DIMENSION, "width": 2, "dash": "dash"},
            hoverinfo="skip",
        ),
        go.Scatter(
            name="windows none", x=[], y=[], text=[], mode="text", textfont={"color": INK, "size": 12}, hoverinfo="skip"
        ),
    ]  # fmt: skip


def _lay_out(figure: go.Figure) -> None:
    on_paper(figure, 600, (64, 12, 26, 36), uirevision="bar")
    lay_out_views(figure, front_row=1, above_row=2)
    rise = "rise, clamped as ordered, mm"
    figure.update_xaxes(title=rise, range=[0, 200], fixedrange=True, row=3, col=1, **AXIS)
    figure.update_yaxes(fixedrange=True, row=3, col=1, **AXIS)
    titles_left(figure)


def _lane_heights(lanes: WindowLanes) -> tuple[NDArray, list[float]]:
    steepest, gentlest = lanes.bend_deg.max(), lanes.bend_deg.min()
    within = (lanes.bend_deg - gentlest) / max(steepest - gentlest, 1e-9)
    return lanes.die_index + 0.1 + 0.7 * within, [place + 0.45 for place in range(len(lanes.die_names))]
