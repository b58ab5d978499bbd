"""Pictures for the lesson on where the formulas come from. All take computed points in mm and compute none."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import plotly.graph_objects as go
from numpy.typing import ArrayLike, NDArray

from barmath.pictures.palette import BEND, CAMERA, DIMENSION, FAINT, FONT, GRID, INK, MARK, PAPER, STRAIGHT

Points = NDArray[np.float64] | Sequence[NDArray[np.float64]]
"""Points of shape (n, 3), or n points of three numbers: right, back, up in mm."""

Pieces = Sequence[tuple[bool, NDArray[np.float64]]]
"""Straights and bends in a row: whether it is a bend, and its points."""

_DASHES = ("solid", "dash", "dot", "dashdot", "longdash")
_COLOURS = (INK, DIMENSION, BEND, MARK, STRAIGHT)


def front_view(
    pieces: Pieces,
    polygon: NDArray[np.float64],
    marked: Mapping[str, NDArray[np.float64]],
    helpers: Sequence[Points] = (),
    across_title: str = "right, mm",
) -> go.Figure:
    """A tube seen from where its second number does not show, with its polygon of corners dashed and points named.

    Parameters
    ----------
    pieces : straights and bends, points of shape (n, 3): right, back, up
    polygon : points of shape (m, 3)
    marked : name -> point
    helpers : thin dotted lines, points of shape (k, 3) each
    across_title : what the first number counts, where it is not right
    """
    figure = go.Figure(layout=_layout())
    figure.add_scatter(
        x=polygon[:, 0], y=polygon[:, 2], name="by way of the corners", mode="lines", line=_line(DIMENSION, 2, "dash")
    )
    for is_bend, points in pieces:
        figure.add_scatter(x=points[:, 0], y=points[:, 2], mode="lines", **_piece_style(is_bend, figure))
    for line in helpers:
        right, _, up = np.asarray(line, dtype=float).T
        figure.add_scatter(x=right, y=up, mode="lines", line=_line(MARK, 1.5, "dot"), showlegend=False)
    places = np.array([np.asarray(point, dtype=float) for point in marked.values()])
    figure.add_scatter(
        x=places[:, 0], y=places[:, 2], text=list(marked), mode="markers+text", textposition="bottom right",
        marker={"color": INK, "size": 8}, showlegend=False, cliponaxis=False,
    )  # fmt: skip
    figure.update_xaxes(title=across_title, constrain="domain")
    figure.update_yaxes(title="up, mm", scaleanchor="x", scaleratio=1)
    return figure


def half_bar(
    pieces: Pieces,
    polygon: NDArray[np.float64],
    marked: Mapping[str, NDArray[np.float64]],
    arrows: Mapping[str, tuple[NDArray[np.float64], NDArray[np.float64]]],
) -> go.Figure:
    """The half bar in space, to turn: centre line, polygon of corners, named points and directions.

    Parameters
    ----------
    pieces : straights and bends, points of shape (n, 3): right, back, up
    polygon : points of shape (m, 3)
    marked : name -> point
    arrows : name -> (tail, tip)
    """
    figure = go.Figure(layout=_layout(height=460))
    figure.add_scatter3d(
        **_in_frame(polygon), name="by way of the corners", mode="lines", line=_line(DIMENSION, 3, "dash")
    )
    for is_bend, points in pieces:
        figure.add_scatter3d(**_in_frame(points), mode="lines", **_piece_style(is_bend, figure))
    figure.add_scatter3d(
        **_in_frame(list(marked.values())), text=list(marked), mode="markers+text", textposition="bottom center",
        marker={"color": INK, "size": 4}, showlegend=False,
    )  # fmt: skip
    for name, ends in arrows.items():
        figure.add_scatter3d(
            **_in_frame(ends), text=["", name], mode="lines+markers+text", textposition="top center",
            line={"color": MARK, "width": 5}, marker={"color": MARK, "size": [0, 5]}, textfont={"color": MARK},
            showlegend=False,
        )  # fmt: skip
    figure.update_layout(
        scene=_scene(np.concatenate([points for _, points in pieces])), margin={"l": 0, "r": 0, "b": 0}
    )
    return figure


def curves(across: ArrayLike, named: Mapping[str, ArrayLike], across_title: str, up_title: str) -> go.Figure:
    """Curves over one axis, each named at its end as well as in colour and dash; nan leaves a gap."""
    figure = go.Figure(layout=_layout())
    across = np.asarray(across, dtype=float)
    heights = np.array([np.asarray(values, dtype=float) for values in named.values()])
    for i, (name, values) in enumerate(zip(named, heights, strict=True)):
        last = np.flatnonzero(np.isfinite(values))[-1]
        figure.add_scatter(
            x=across, y=values, name=name, mode="lines", line=_line(_COLOURS[i % 5], 2.5, _DASHES[i % 5])
        )
        beside = across > across[last]
        beside &= across < across[last] + 0.25 * np.ptp(across)  # a name is as long as that
        others = np.delete(heights, i, axis=0)[:, beside] - values[last]
        crossed = np.nanmin(others, initial=np.inf) < 0.0 < np.nanmax(others, initial=-np.inf)
        side = {"xanchor": "right", "xshift": -6} if crossed else {"xanchor": "left", "xshift": 6}
        figure.add_annotation(x=across[last], y=values[last], text=name, showarrow=False, **side)
    figure.update_layout(showlegend=False, margin={"r": 110})
    figure.update_xaxes(title=across_title)
    figure.update_yaxes(title=up_title)
    return figure


def _layout(height: int = 380) -> go.Layout:
    axis = {"gridcolor": GRID, "zerolinecolor": FAINT, "linecolor": FAINT}
    return go.Layout(
        height=height,
        paper_bgcolor=PAPER,
        plot_bgcolor=PAPER,
        font={"family": FONT, "color": INK, "size": 14},
        margin={"l": 60, "r": 30, "t": 30, "b": 55},
        legend={"orientation": "h", "yanchor": "bottom", "y": 1.0, "x": 0.0},
        xaxis=axis,
        yaxis=axis,
    )


def _scene(points: NDArray[np.float64]) -> dict[str, object]:
    # equal scale on all axes, with room for arrows, and large enough to fill the picture
    axis = {"backgroundcolor": PAPER, "gridcolor": GRID, "zerolinecolor": FAINT, "tickfont": {"size": 11}}
    ends = [np.array([values.min() - 25.0, values.max() + 25.0]) for values in _in_frame(points).values()]
    spans = np.array([np.ptp(end) for end in ends])
    return {
        "camera": CAMERA,
        "aspectmode": "manual",
        "aspectratio": dict(zip("xyz", 2.9 * spans / spans.max(), strict=True)),
        "xaxis": {**axis, "title": "right, mm", "range": ends[0], "dtick": 100},
        "yaxis": {**axis, "title": "forward, mm", "range": ends[1], "dtick": 50},
        "zaxis": {**axis, "title": "up, mm", "range": ends[2], "dtick": 50},
    }


def _piece_style(is_bend: bool, figure: go.Figure) -> dict[str, object]:
    name = "bend" if is_bend else "straight"
    shown = all(trace.name != name for trace in figure.data)
    return {"name": name, "showlegend": shown, "line": _line(BEND if is_bend else STRAIGHT, 8 if is_bend else 6)}


def _line(colour: str, width: float, dash: str = "solid") -> dict[str, object]:
    return {"color": colour, "width": width, "dash": dash}


def _in_frame(points: Points) -> dict[str, NDArray[np.float64]]:
    # drawn with y forward, so that the frame is right-handed
    right, back, up = np.asarray(points, dtype=float).T
    return {"x": right, "y": -back, "z": up}
