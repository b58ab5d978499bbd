"""The bar in space, from behind and from above, and the rise windows of the dies: one figure, changed in place."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray
from plotly.subplots import make_subplots

from barmath.closed_forms.records import Shape
from barmath.pictures.palette import BEND, CAMERA, DIMENSION, FONT, GRID, INK, MARK, PAPER, STRAIGHT, as_written
from barmath.pictures.views import AXIS, VIEWS, broken, lay_out_views, update_views, view_traces
from barmath.planning.window_lanes import WindowLanes
from barmath.space.drawing import Drawing, piece_of_interval, triangles

SPAN_MM = (-540.0, 540.0)
DEPTH_MM = (-230.0, 70.0)
HEIGHT_MM = (-50.0, 230.0)
GRIP = "#8d99a3"


def empty_figure() -> go.Figure:
    """The figure with all its traces and nothing in them."""
    figure = make_subplots(
        rows=4,
        cols=1,
        specs=[[{"type": "scene"}], [{}], [{}], [{}]],
        row_heights=[0.35, 0.2, 0.19, 0.26],
        vertical_spacing=0.06,
        subplot_titles=(
            "In space, as the rider sees it: bends orange, marks red",
            "From behind, as the rider sees it",
            "From above, forward is up",
            "Rise windows: a line for each stop, smallest bend lowest; dashed: the order",
        ),
    )
    figure.add_traces(_space_traces())
    for row, view in enumerate(VIEWS, start=2):
        figure.add_traces(view_traces(view), rows=[row] * 4, cols=[1] * 4)
    figure.add_traces(_window_traces(), rows=[4] * 4, cols=[1] * 4)
    _lay_out(figure)
    return figure


def update_bar(figure: go.Figure, drawing: Drawing | None, shape: Shape | None, shown: dict[str, str]) -> None:
    """Put a bar, or nothing, into the figure; `shown` holds the texts of its dimensions (rise, width, ...)."""
    bar = drawing if shape is not None else None
    update_views(figure, bar, shown)
    traces = {trace.name: trace for trace in figure.data}
    if bar is None:
        for name in ("tube", "marks"):  # hidden as well: in a scene of empty traces Plotly's drawing breaks off
            traces[name].update(x=[], y=[], z=[], visible=False)
        return
    x, y, z = bar.surface.reshape(-1, 3).astype(np.float32).T
    traces["tube"].update(x=x, y=y, z=z, visible=True)
    ring = broken(bar.mark_rings).astype(np.float32)
    traces["marks"].update(x=ring[:, 0], y=ring[:, 1], z=ring[:, 2], visible=True)


def update_windows(figure: go.Figure, lanes: WindowLanes) -> None:
    """Put the rise windows of the dies into the figure."""
    traces = {trace.name: trace for trace in figure.data}
    height, ticks = _lane_heights(lanes)
    open_ = lanes.lowest_mm <= lanes.highest_mm
    lines = np.full((int(open_.sum()), 3, 2), np.nan)
    lines[:, 0], lines[:, 1] = (
        np.stack([edge[open_], height[open_]], 1) for edge in (lanes.lowest_mm, lanes.highest_mm)
    )
    flat = lines.reshape(-1, 2)
    traces["windows"].update(
        x=flat[:, 0],
        y=flat[:, 1],
        customdata=np.repeat(lanes.bend_deg[open_], 3),
        hovertemplate="%{customdata:.1f} deg: %{x:.1f} mm<extra></extra>",
    )
    if lanes.picked is not None and open_[lanes.picked]:
        i = lanes.picked
        traces["window picked"].update(x=[lanes.lowest_mm[i], lanes.highest_mm[i]], y=[height[i], height[i]])
    else:
        traces["window picked"].update(x=[], y=[])
    top = float(len(lanes.die_names))
    traces["rise ordered"].update(x=[lanes.ordered_mm] * 2, y=[-0.1, top])
    closed = [place for place, name in enumerate(lanes.die_names) if not (open_ & (lanes.die_index == place)).any()]
    traces["windows none"].update(
        x=[lanes.ordered_mm] * len(closed),
        y=[place + 0.45 for place in closed],
        text=["no stop setting leaves a window for this width, sweep and room for controls"] * len(closed),
    )
    figure.layout.yaxis3.update(
        tickvals=ticks, ticktext=[as_written(name) for name in lanes.die_names], range=[-0.15, top]
    )


def tube_trace() -> go.Mesh3d:
    """The surface of a tube with nothing in it yet: bends and straights in two colours, two triangles a facet."""
    i, j, k = triangles().T
    return go.Mesh3d(
        name="tube", x=[], y=[], z=[], i=i, j=j, k=k, flatshading=False, hoverinfo="skip",
        facecolor=tube_colours(),
        lighting={"ambient": 0.9, "diffuse": 0.55, "specular": 0.15, "roughness": 0.6, "fresnel": 0.05},
        lightposition={"x": -300, "y": -900, "z": 1200},
    )  # fmt: skip


def tube_colours() -> list[str]:
    """The colour of each triangle of a tube's surface, by the piece of the bar it belongs to."""
    colours = {"bend": BEND, "grip": GRIP, "riser": STRAIGHT, "clamp flat": STRAIGHT}
    pieces = piece_of_interval()
    return [colours[piece] for piece in pieces for _ in range(len(triangles()) // len(pieces))]


def _space_traces() -> list[go.Mesh3d | go.Scatter3d]:
    line = {"color": MARK, "width": 6}
    return [tube_trace(), go.Scatter3d(name="marks", x=[], y=[], z=[], mode="lines", line=line, hoverinfo="skip")]


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
    figure.update_layout(
        height=930, margin={"l": 64, "r": 12, "t": 26, "b": 36}, showlegend=False,
        paper_bgcolor=PAPER, plot_bgcolor=PAPER, font={"family": FONT, "size": 12, "color": INK},
        uirevision="bar", dragmode="turntable",
        scene={
            "aspectmode": "manual", "aspectratio": _proportion(), "camera": CAMERA, "uirevision": "bar",
            "xaxis": _space_axis(SPAN_MM), "yaxis": _space_axis(DEPTH_MM),
            "zaxis": _space_axis(HEIGHT_MM),
        },
    )  # fmt: skip
    lay_out_views(figure, front_row=2, above_row=3)
    rise = "rise as the bar is ordered to stand, mm"
    figure.update_xaxes(title=rise, range=[0, 200], fixedrange=True, row=4, col=1, **AXIS)
    figure.update_yaxes(fixedrange=True, row=4, col=1, **AXIS)
    for title in figure.layout.annotations:
        title.update(x=0.0, xanchor="left", font={"size": 13, "color": INK})


def _space_axis(span: tuple[float, float]) -> dict:
    return {
        "title": "",
        "range": span,
        "gridcolor": GRID,
        "showbackground": False,
        "zeroline": False,
        "nticks": 5,
        "tickfont": {"size": 10},
    }


def _proportion() -> dict[str, float]:
    lengths = [high - low for low, high in (SPAN_MM, DEPTH_MM, HEIGHT_MM)]
    return dict(zip("xyz", (3.9 * length / lengths[0] for length in lengths), strict=True))


def _lane_heights(lanes: WindowLanes) -> tuple[NDArray, list[float]]:
    steepest, gentlest = lanes.bend_deg.max(), lanes.bend_deg.min()
    within = (lanes.bend_deg - gentlest) / max(steepest - gentlest, 1e-9)
    return lanes.die_index + 0.1 + 0.7 * within, [place + 0.45 for place in range(len(lanes.die_names))]
