"""The true views of a bar, from behind and from above, with dimensions: traces of any figure, changed in place."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray
from plotly.subplots import make_subplots

from barmath.pictures.look import equal_scales, on_paper, titles_left
from barmath.pictures.palette import BEND, DIMENSION, FAINT, GRID, INK, MARK
from barmath.space.drawing import PIECES, Drawing, node_places

VIEWS = ("front", "above")
VIEW_MM = (-540.0, 700.0)
TITLES = "From behind, as the rider sees it", "From above, forward is up"
_PARTS = ("straights", "bends", "marks", "dimensions")
AXIS = {"gridcolor": GRID, "zeroline": False, "linecolor": FAINT, "ticks": "outside", "tickcolor": FAINT}


def views_figure() -> go.Figure:
    """Both views, one above the other, with nothing in them; also the widest bar has room for its dimensions."""
    figure = make_subplots(rows=2, cols=1, subplot_titles=TITLES, vertical_spacing=0.2)
    for row, view in enumerate(VIEWS, start=1):
        figure.add_traces(view_traces(view), rows=[row] * 4, cols=[1] * 4)
    on_paper(figure, 330, (64, 12, 26, 26), uirevision="views")
    lay_out_views(figure, front_row=1, above_row=2, across=(-600.0, 640.0))
    figure.update_xaxes(domain=[0.0, 0.84])  # a dimension of a wide bar is written beyond the end of its axis
    figure.update_xaxes(showticklabels=False, row=1, col=1)
    titles_left(figure)
    return figure


def view_traces(view: str) -> list[go.Scatter]:
    """The four traces of one of `VIEWS`, empty."""

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
            textfont={"color": DIMENSION, "size": 13}, hoverinfo="skip", cliponaxis=False,
        ),
    ]  # fmt: skip


def lay_out_views(figure: go.Figure, front_row: int, above_row: int, across: tuple[float, float] = VIEW_MM) -> None:
    """Equal scales and fixed ranges, so that a larger bar looks larger."""
    for row, title, span in ((front_row, "up, mm", (-40, 160)), (above_row, "back, mm", (150, -45))):
        equal_scales(figure, row, across, span, title, fixedrange=True, **AXIS)
        figure.update_yaxes(dtick=50, row=row, col=1)


def update_views(figure: go.Figure, drawing: Drawing | None, shown: dict[str, str]) -> None:
    """Put a bar, or nothing, into the views; `shown` holds the texts of its dimensions (rise, width, ...)."""
    traces = {trace.name: trace for trace in figure.data}
    if drawing is None:
        for name in (f"{view} {part}" for view in VIEWS for part in _PARTS):
            traces[name].update(x=[], y=[])
            if name.endswith("dimensions"):
                traces[name].text = []
        return
    for view, outline in zip(VIEWS, (drawing.front, drawing.above), strict=True):
        _update_view(traces, view, outline)
    _dimension(traces["front dimensions"], _front_dimensions(drawing), shown)
    _dimension(traces["above dimensions"], _above_dimensions(drawing), shown)


def broken(lines: NDArray) -> NDArray:
    """Lines (k, m, d) as one (k (m + 1), d) array with a gap of nan after each."""
    gap = np.full((len(lines), 1, lines.shape[2]), np.nan)
    return np.concatenate([lines, gap], 1).reshape(-1, lines.shape[2])


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
    marks = broken(np.swapaxes(outline[:, nodes[[2, 3, 6, 7]]], 0, 1))
    traces[f"{view} marks"].update(x=marks[:, 0], y=marks[:, 1])


class _Dimension(NamedTuple):
    """A line, and a text with its place and which way it is moved from it."""

    name: str
    line: list[tuple[float, float]]
    text_at: tuple[float, float]
    position: str


def _front_dimensions(drawing: Drawing) -> list[_Dimension]:
    (end, last), radius = drawing.nodes[[-1, -2]], drawing.tube_diameter_mm / 2.0
    beside, over = end[0] + 28.0, max(drawing.points[:, 2].max(), 0.0) + radius + 22.0
    return [
        _Dimension(
            "rise",
            [(30.0, 0.0), (beside, 0.0), (beside, end[2]), (end[0], end[2])],
            (beside + 10.0, end[2] / 2.0),
            "middle right",
        ),
        _Dimension(
            "width", [(-end[0], end[2]), (-end[0], over), (end[0], over), (end[0], end[2])], (0.0, over), "top center"
        ),
        _Dimension(
            "upsweep", [(-last[0], last[2]), (-end[0], last[2])], (-last[0], last[2] - radius - 4.0), "bottom left"
        ),
    ]


def _above_dimensions(drawing: Drawing) -> list[_Dimension]:
    (end, last), radius = drawing.nodes[[-1, -2]], drawing.tube_diameter_mm / 2.0
    beside, middle = end[0] + 28.0, -(end[0] + last[0]) / 2.0
    return [
        _Dimension(
            "setback",
            [(30.0, 0.0), (beside, 0.0), (beside, -end[1]), (end[0], -end[1])],
            (beside + 10.0, -end[1] / 2.0),
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
