"""How far the inner and the outer bend of the best pair differ, over the map of a die: a picture of its own."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from barmath.pictures.design_map import lay_out_map
from barmath.pictures.palette import BEND, DIMENSION, MARK, PAPER
from barmath.planning.map_picture import MapPicture, Point

PAIRS = "pairs"
MOST_DEG = 10.0
"""Differences beyond it have the colour of it."""

TITLE = (
    "<b>How far the two bends differ</b><br>Blue: inner bend larger. Orange: outer bend larger.<br>"
    "White: one stop. Grey: no pair makes it."
)
_HOVER = "inner bend %{text:.1f} deg, outer bend %{hovertext:.1f} deg<br>inner less outer %{z:.1f} deg<extra></extra>"


def pair_map_figure() -> go.Figure:
    """The picture with nothing in it: a field of differences, the point, and a scale of degrees."""
    figure = go.Figure([
        go.Heatmap(
            name=PAIRS, x=[0.0, 1.0, 0.0, 1.0], y=[0.0, 0.0, 1.0, 1.0], z=[0.0] * 4, zmin=-MOST_DEG, zmax=MOST_DEG,
            colorscale=[[0.0, BEND], [0.5, PAPER], [1.0, DIMENSION]], hoverongaps=False,
            colorbar={"title": {"text": "deg"}, "thickness": 14, "dtick": 2.5, "len": 0.9},
        ),
        go.Scatter(
            name="point of pairs", x=[], y=[], mode="markers", hoverinfo="skip", cliponaxis=False,
            marker={"size": 18, "color": MARK, "symbol": "cross-thin", "line": {"color": MARK, "width": 3}},
        ),
    ])  # fmt: skip
    lay_out_map(figure, TITLE, plot_bgcolor="#d3d6da", uirevision="pairs")
    return figure


def update_pair_map(figure: go.Figure, picture: MapPicture) -> None:
    """Put the differences of a map into the figure; places where no pair makes the bar are left open."""

    def made(field: np.ndarray) -> np.ndarray:
        return np.where(picture.made, field, np.nan).astype(np.float32).ravel()  # columns are sent as they are

    field = figure.data[0]
    across, up = (column.ravel() for column in np.broadcast_arrays(picture.x, picture.y[:, None]))
    field.update(x=across, y=up, z=made(picture.difference_deg), text=made(picture.bend_deg),
                 hovertext=made(picture.bend_deg - picture.difference_deg),
                 hovertemplate=f"{picture.place}<br>{_HOVER}")  # fmt: skip
    figure.layout.xaxis.update(title=picture.x_title, range=[picture.x[0], picture.x[-1]])
    figure.layout.yaxis.update(title=picture.y_title, range=[picture.y[0], picture.y[-1]])


def update_point_of_pairs(figure: go.Figure, point: Point | None) -> None:
    """Mark the point of the bar that is shown, where it is on the map."""
    there = point is not None and not point.outside
    figure.data[1].update(x=[point.x] if there and point else [], y=[point.y] if there and point else [])
