"""The design space of a die as a map, with one point of it: one figure, changed in place."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.pictures.line_numbers import LineNumber, line_numbers
from barmath.pictures.look import on_paper
from barmath.pictures.palette import DIMENSION, INK, MARK, PAPER, as_written
from barmath.pictures.views import AXIS
from barmath.planning.map_picture import LINES, MapPicture, Point
from barmath.planning.rules import REFUSING

MADE, KEPT_OUT = "can be made", "cannot be made"
BARS = (MADE, KEPT_OUT)
"""The two traces with words and clicks: every place of the map is in one of them."""

GREEN = "#e6f4ed"
_HOVER = {
    MADE: "inner bend %{text:.1f} deg, outer mark %{z:.1f} mm<br>%{hovertext:.1f} mm longer than needed<extra></extra>",
    KEPT_OUT: "cannot be made: click to see why<extra></extra>",
}

_OF_TOOLS = "#dcdcd2"
_COLOURS = {
    "turn": "#d3d6da",
    "roll": "#d3d6da",
    "apart": "#d3d6da",
    "upsweep": "#e3d5ef",
    "droop": "#e3d5ef",
    "straight": "#fbdca3",
    "controls": "#c4def2",
    "stock": "#f0cfe2",
}
_SHADES = {key: _COLOURS.get(key, _OF_TOOLS) for key in REFUSING}
"""Colour of the orders that a limit keeps out, first the limit that is met first."""

CLEAR = "rgba(0,0,0,0)"
FAR = 1e3
NOTHING = {"x": [0.0, 1.0, 0.0, 1.0], "y": [0.0, 0.0, 1.0, 1.0], "z": [-FAR] * 4}
"""A field to begin with."""
_ENDS = {"turn": "dot", "roll": "dot", "stock": "dash"}
"""Dash of the edge of what a limit keeps out, solid where none is named."""


def map_figure() -> go.Figure:
    """The map with all its traces, and nothing in them."""
    figure = go.Figure(_map_traces())
    lay_out_map(figure, " ", uirevision="map", hovermode="closest")
    return figure


def lay_out_map(figure: go.Figure, title: str, **layout: object) -> None:
    """Give a map the size of every map, and axes that nobody drags. Its title, above it, has at most three lines."""
    on_paper(figure, 460, (64, 12, 62, 56), hoverlabel={"align": "left", "bgcolor": PAPER}, **layout)
    figure.add_annotation(
        text=title, x=0.0, xref="paper", xanchor="left", y=1.0, yref="paper", yanchor="bottom", showarrow=False,
        align="left", font={"size": 13, "color": INK},
    )  # fmt: skip
    figure.update_xaxes(fixedrange=True, title_standoff=2, **AXIS)
    figure.update_yaxes(fixedrange=True, **AXIS)


def update_map(figure: go.Figure, picture: MapPicture | None, why_not: str = "") -> None:
    """Put a map into the figure, or say in its place why there is none."""
    traces = {trace.name: trace for trace in figure.data}
    fields = [trace for trace in figure.data if trace.type in ("heatmap", "contour")]
    if picture is None:
        for trace in fields:
            trace.visible = False
        middle = [sum(axis.range or (0, 1)) / 2.0 for axis in (figure.layout.xaxis, figure.layout.yaxis)]
        traces["names"].update(x=middle[:1], y=middle[1:], text=[why_not])
        _say(figure, "No map")
        return
    for trace in fields:
        trace.visible = trace.name not in LINES or (picture.lines is not None and trace.name == picture.lines[0])
    across, up = (column.ravel() for column in np.broadcast_arrays(picture.x, picture.y[:, None]))
    if not (np.array_equal(fields[0].x, across) and np.array_equal(fields[0].y, up)):
        for trace in fields:
            trace.update(x=across, y=up)
    for part, field in (("z", picture.outer_mark_mm), ("text", picture.bend_deg), ("hovertext", picture.spare)):
        traces[MADE][part] = _sent(np.where(picture.made, field, np.nan))
    traces[KEPT_OUT].z = _sent(np.where(picture.made, np.nan, 0.0))
    for name in BARS:
        traces[name].hovertemplate = f"{picture.place}<br>{_HOVER[name]}"
    for key in _SHADES:
        beyond = np.nan_to_num(-picture.margins[key], nan=FAR)  # the library paints what is above a level
        traces[key].z = _sent(beyond)
    traces["long enough"].z = _sent(np.nan_to_num(picture.spare - picture.enough_spare, nan=-FAR))
    if picture.lines is not None:
        traces[picture.lines[0]].z = _sent(picture.lines[1])
    x, y, words = zip(*picture.names, strict=True) if picture.names else ((), (), ())
    traces["names"].update(x=x, y=y, text=[*map(region_name, words)])
    figure.layout.xaxis.update(title=picture.x_title, range=[picture.x[0], picture.x[-1]])
    figure.layout.yaxis.update(title=picture.y_title, range=[picture.y[0], picture.y[-1]])
    words = (f"<b>{as_written(picture.title)}</b>", *map(as_written, picture.key))
    _say(figure, "<br>".join(words), _numbers(picture))


def update_point(figure: go.Figure, point: Point | None) -> None:
    """Mark the point of the map with the bar that is shown; outside the map an arrow at its edge points there."""
    trace = next(trace for trace in figure.data if trace.name == "point")
    if point is None:
        trace.update(x=[], y=[])
        return
    symbol = f"triangle-{point.outside}" if point.outside else "cross-thin"
    trace.update(x=[point.x], y=[point.y])
    trace.marker.symbol = symbol


def _map_traces() -> list[go.Heatmap | go.Contour | go.Scatter]:
    bars = [
        go.Heatmap(**NOTHING, name=name, colorscale=[[0, colour], [1, colour]], showscale=False, hoverongaps=False)
        for name, colour in ((MADE, GREEN), (KEPT_OUT, PAPER))
    ]
    lines = [  # a trace each: a change of levels in one trace of a live figure unsettles the levels of the others
        go.Contour(
            **NOTHING, name=name, autocontour=False, showscale=False, hoverinfo="skip", visible=False,
            connectgaps=False,
            contours={"coloring": "none", "start": first, "end": last, "size": step},
            line={"color": DIMENSION, "width": 1.4},
        )
        for name, (first, last, step) in LINES.items()
    ]  # fmt: skip
    spare = go.Contour(
        **NOTHING, name="long enough", autocontour=False, showscale=False, hoverinfo="skip",
        contours={"coloring": "none", "start": 0.0, "end": 0.0, "size": 1.0},
        line={"color": INK, "width": 1.2, "dash": "dash"},
    )  # fmt: skip
    shades = [_shade(key) for key in reversed(_SHADES)]  # painted over each other: the limit met first is seen
    names = go.Scatter(
        name="names", x=[], y=[], text=[], mode="text", hoverinfo="skip", textfont={"color": INK, "size": 13}
    )
    point = go.Scatter(
        name="point", x=[], y=[], mode="markers", hoverinfo="skip", cliponaxis=False,
        marker={"size": 18, "color": MARK, "symbol": "cross-thin", "line": {"color": MARK, "width": 3}},
    )  # fmt: skip
    return [*bars, spare, *shades, *lines, names, point]


def _shade(key: str) -> go.Contour:
    return go.Contour(
        **NOTHING, name=key, autocontour=False, showscale=False, hoverinfo="skip", zauto=False, zmin=-1.0, zmax=1.0,
        colorscale=[[0, CLEAR], [0.5, CLEAR], [0.5, _SHADES[key]], [1, _SHADES[key]]],
        contours={"coloring": "fill", "start": 0.0, "end": 0.0, "size": 2.0},
        line={"color": INK, "width": 1.6, "dash": _ENDS.get(key, "solid")},
    )  # fmt: skip


def _say(figure: go.Figure, title: str, numbers: Sequence[LineNumber] = ()) -> None:
    above = go.layout.Annotation(figure.layout.annotations[0])
    above.text = title
    figure.layout.annotations = [above, *map(_on_line, numbers)]


def _numbers(picture: MapPicture) -> list[LineNumber]:
    if picture.lines is None:
        return []
    name, field = picture.lines
    first, last, step = LINES[name]
    places = [(x, y) for x, y, _ in picture.names]
    return line_numbers(picture.x, picture.y, field, np.arange(first, last + step, step), places)


def _on_line(number: LineNumber) -> go.layout.Annotation:
    # on the colour of what can be made, so that the line has a gap for it
    return go.layout.Annotation(
        x=number.x, y=number.y, text=f"{number.value:g}", showarrow=False, font={"color": DIMENSION, "size": 12},
        bgcolor=GREEN, borderpad=0,
    )  # fmt: skip


def _sent(field: Array) -> NDArray[np.float32]:
    # as a column beside x and y, because the library sends columns unchanged and writes anything else out as text
    return np.clip(field, -FAR, FAR).astype(np.float32).ravel()


def region_name(words: str) -> str:
    """`words` as they stand on the map, a few to a line."""
    lines = [""]
    for word in words.split():
        if len(f"{lines[-1]} {word}") > 10:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return "<br>".join(lines)
