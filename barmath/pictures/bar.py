"""The bar in space, from the front and from above, and the rise windows of the dies: one figure, changed in place."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray
from plotly.subplots import make_subplots

from barmath.bar import Shape
from barmath.drawing import PIECES, Drawing, node_places, piece_of_interval, triangles
from barmath.pictures.palette import BEND, CAMERA, DIMENSION, FAINT, FONT, GRID, INK, MARK, PAPER, STRAIGHT

SPAN_MM = (-540.0, 540.0)
DEPTH_MM = (-230.0, 70.0)
HEIGHT_MM = (-50.0, 230.0)
VIEW_MM = (-540.0, 700.0)
GRIP = "#8d99a3"


class WindowLanes(NamedTuple):
    """Rise windows to draw: one lane a die and stop, bottom to top, in the order of `die_names`.

    lane, lowest, highest : (k,) arrays; picked : place of the lane that is shown, or None.
    """

    die_names: Sequence[str]
    die_index: NDArray[np.intp]
    bend_deg: NDArray[np.float64]
    lowest_mm: NDArray[np.float64]
    highest_mm: NDArray[np.float64]
    picked: int | None
    ordered_mm: float


def empty_figure(widget: bool = False) -> go.Figure:
    """The figure with all its traces and nothing in them; `widget` makes it a live FigureWidget."""
    figure = make_subplots(
        rows=4,
        cols=1,
        specs=[[{"type": "scene"}], [{}], [{}], [{}]],
        row_heights=[0.35, 0.2, 0.19, 0.26],
        vertical_spacing=0.06,
        subplot_titles=(
            "In space, as the rider sees it: bends orange, marks red",
            "From the front",
            "From above, forward is up",
            "Rise window of each die: one line a stop, smallest bend lowest; dashed: the rise ordered",
        ),
    )
    figure.add_traces(_space_traces())
    figure.add_traces(_view_traces("front"), rows=[2] * 4, cols=[1] * 4)
    figure.add_traces(_view_traces("above"), rows=[3] * 4, cols=[1] * 4)
    figure.add_traces(_window_traces(), rows=[4] * 4, cols=[1] * 4)
    _lay_out(figure)
    return go.FigureWidget(figure) if widget else figure


def update_bar(figure: go.Figure, drawing: Drawing | None, shape: Shape | None, shown: dict[str, str]) -> None:
    """Put a bar, or nothing, into the figure; `shown` holds the texts of its dimensions (rise, width, ...)."""
    traces = {trace.name: trace for trace in figure.data}
    if drawing is None or shape is None:
        for name in ("tube", "marks", *(f"{view} {part}" for view in ("front", "above") for part in _PARTS)):
            traces[name].update(x=[], y=[], **({"z": []} if name in ("tube", "marks") else {}))
            if name.endswith("dimensions"):
                traces[name].text = []
        return
    x, y, z = drawing.surface.reshape(-1, 3).astype(np.float32).T
    traces["tube"].update(x=x, y=y, z=z)
    ring = _broken(drawing.mark_rings).astype(np.float32)
    traces["marks"].update(x=ring[:, 0], y=ring[:, 1], z=ring[:, 2])
    for view, outline in (("front", drawing.front), ("above", drawing.above)):
        _update_view(traces, view, outline)
    _dimension(traces["front dimensions"], _front_dimensions(drawing), shown)
    _dimension(traces["above dimensions"], _above_dimensions(drawing), shown)


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
    figure.layout.yaxis3.update(tickvals=ticks, ticktext=list(lanes.die_names), range=[-0.15, top])


_PARTS = ("straights", "bends", "marks", "dimensions")


def tube_trace() -> go.Mesh3d:
    """The surface of a tube with nothing in it yet: bends told apart from straights, two triangles a facet."""
    i, j, k = triangles().T
    colours = {"bend": BEND, "grip": GRIP, "riser": STRAIGHT, "clamp flat": STRAIGHT}
    per_interval = len(i) // len(piece_of_interval())
    return go.Mesh3d(
        name="tube", x=[], y=[], z=[], i=i, j=j, k=k, flatshading=False, hoverinfo="skip",
        facecolor=[colours[piece] for piece in piece_of_interval() for _ in range(per_interval)],
        lighting={"ambient": 0.9, "diffuse": 0.55, "specular": 0.15, "roughness": 0.6, "fresnel": 0.05},
        lightposition={"x": -300, "y": -900, "z": 1200},
    )  # fmt: skip


def _space_traces() -> list[go.Mesh3d | go.Scatter3d]:
    line = {"color": MARK, "width": 6}
    return [tube_trace(), go.Scatter3d(name="marks", x=[], y=[], z=[], mode="lines", line=line, hoverinfo="skip")]


def _view_traces(view: str) -> list[go.Scatter]:
    def filled(part: str, colour: str) -> go.Scatter:
        return go.Scatter(
            name=f"{view} {part}", x=[], y=[], mode="lines", fill="toself", fillcolor=colour,
            line={"color": INK, "width": 0.8}, hoverinfo="skip",
        )  # fmt: skip

    return [
        filled("straights", "#b9c2c9"),
        filled("bends", BEND),
        go.Scatter(name=f"{view} marks", x=[], y=[], mode="lines", line={"color": MARK, "width": 3}, hoverinfo="skip"),
        go.Scatter(
            name=f"{view} dimensions", x=[], y=[], text=[], mode="lines+text", line={"color": DIMENSION, "width": 1.2},
            textfont={"color": DIMENSION, "size": 13}, hoverinfo="skip",
        ),
    ]  # fmt: skip


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
    plain = {"gridcolor": GRID, "zeroline": False, "linecolor": FAINT, "ticks": "outside", "tickcolor": FAINT}
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
    for row in (2, 3):
        figure.update_xaxes(range=VIEW_MM, constrain="domain", fixedrange=True, row=row, col=1, **plain)
    figure.update_yaxes(
        range=[-40, 160], scaleanchor="x", dtick=50, fixedrange=True, title="up, mm", row=2, col=1, **plain
    )
    figure.update_yaxes(
        range=[150, -45], scaleanchor="x2", dtick=50, fixedrange=True, title="back, mm", row=3, col=1, **plain
    )
    figure.update_xaxes(title="rise, risers as ordered, mm", range=[0, 200], fixedrange=True, row=4, col=1, **plain)
    figure.update_yaxes(fixedrange=True, row=4, col=1, **plain)
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


def _update_view(traces: dict, view: str, outline: NDArray) -> None:
    nodes = node_places()
    patches: dict[str, list[NDArray]] = {"straights": [], "bends": []}
    gap = np.full((1, 2), np.nan)
    for piece, start, end in zip(PIECES, nodes[:-1], nodes[1:], strict=True):
        ring = np.concatenate(
            [outline[0, start : end + 1], outline[1, start : end + 1][::-1], outline[0, start : start + 1], gap]
        )
        patches["bends" if piece == "bend" else "straights"].append(ring)
    for part, rings in patches.items():
        line = np.concatenate(rings)
        traces[f"{view} {part}"].update(x=line[:, 0], y=line[:, 1])
    marks = _broken(np.swapaxes(outline[:, nodes[[2, 3, 6, 7]]], 0, 1))
    traces[f"{view} marks"].update(x=marks[:, 0], y=marks[:, 1])


def _broken(lines: NDArray) -> NDArray:
    # lines (k, m, d) as one (k (m + 1), d) array with a gap of nan after each
    gap = np.full((len(lines), 1, lines.shape[2]), np.nan)
    return np.concatenate([lines, gap], 1).reshape(-1, lines.shape[2])


class _Dimension(NamedTuple):
    """A line, and a text with its place and which way it stands off it."""

    name: str
    line: list[tuple[float, float]]
    text_at: tuple[float, float]
    position: str


def _front_dimensions(drawing: Drawing) -> list[_Dimension]:
    (end, last), radius = drawing.nodes[[-1, -2]], drawing.tube_diameter_mm / 2.0
    beside, over = end[0] + 28.0, max(drawing.points[:, 2].max(), 0.0) + radius + 22.0
    middle = -(end[0] + last[0]) / 2.0
    return [
        _Dimension(
            "rise",
            [(30.0, 0.0), (beside, 0.0), (beside, end[2]), (end[0], end[2])],
            (beside, end[2] / 2.0),
            "middle right",
        ),
        _Dimension(
            "width", [(-end[0], end[2]), (-end[0], over), (end[0], over), (end[0], end[2])], (0.0, over), "top center"
        ),
        _Dimension(
            "upsweep", [(-last[0], last[2]), (-end[0], last[2])], (middle, last[2] - radius - 4.0), "bottom center"
        ),
    ]


def _above_dimensions(drawing: Drawing) -> list[_Dimension]:
    (end, last), radius = drawing.nodes[[-1, -2]], drawing.tube_diameter_mm / 2.0
    beside, middle = end[0] + 28.0, -(end[0] + last[0]) / 2.0
    return [
        _Dimension(
            "setback",
            [(30.0, 0.0), (beside, 0.0), (beside, -end[1]), (end[0], -end[1])],
            (beside, -end[1] / 2.0),
            "middle right",
        ),
        _Dimension(
            "backsweep", [(-last[0], -last[1]), (-end[0], -last[1])], (middle, -last[1] - radius - 4.0), "top center"
        ),
    ]


def _dimension(trace: go.Scatter, dimensions: list[_Dimension], shown: dict[str, str]) -> None:
    # all lines with a gap after each, then every text as a point of its own, in one trace
    points: list[tuple[float, float]] = []
    for dimension in dimensions:
        points += [*dimension.line, (np.nan, np.nan)]
    texts, positions = [""] * len(points), ["top center"] * len(points)
    for dimension in dimensions:
        points += [dimension.text_at, (np.nan, np.nan)]
        texts += [shown.get(dimension.name, ""), ""]
        positions += [dimension.position, "top center"]
    x, y = np.array(points).T
    trace.update(x=x, y=y, text=texts, textposition=positions)


def _lane_heights(lanes: WindowLanes) -> tuple[NDArray, list[float]]:
    steepest, gentlest = lanes.bend_deg.max(), lanes.bend_deg.min()
    within = (lanes.bend_deg - gentlest) / max(steepest - gentlest, 1e-9)
    return lanes.die_index + 0.1 + 0.7 * within, [place + 0.45 for place in range(len(lanes.die_names))]
