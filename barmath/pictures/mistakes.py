"""The bar that came of a mistake over the bar that was meant, from behind and from above; changed in place."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.pictures.palette import BAD, FONT, GRID, INK, PAPER, STRAIGHT
from barmath.space.drawing import Drawing

_ACROSS_MM, _UP_MM, _BACK_MM = (-470.0, 470.0), (-190.0, 260.0), (200.0, -160.0)
_VIEWS = ("front", "above")


def mistake_figure() -> go.Figure:
    """The figure with its traces and nothing in them."""
    figure = make_subplots(
        rows=2, cols=1, vertical_spacing=0.12,
        subplot_titles=("From behind, as the rider sees it: dashed the bar meant, filled what came out",
                        "From above, forward is up"),
    )  # fmt: skip
    for row, view in enumerate(_VIEWS, 1):
        figure.add_traces(
            [
                go.Scatter(
                    name=f"{view} meant", x=[], y=[], mode="lines", hoverinfo="skip",
                    line={"color": STRAIGHT, "width": 2, "dash": "dash"},
                ),
                go.Scatter(
                    name=f"{view} came out", x=[], y=[], mode="lines", hoverinfo="skip",
                    line={"color": BAD, "width": 1.5}, fill="toself", fillcolor="rgba(179,38,30,0.18)",
                ),
                go.Scatter(
                    name=f"{view} ends", x=[_ACROSS_MM[0] + 20.0, _ACROSS_MM[1] - 20.0], y=[0.0, 0.0],
                    text=["<b>L</b>", "<b>R</b>"], mode="text", hoverinfo="skip", textfont={"size": 15, "color": INK},
                ),
            ],
            rows=[row] * 3, cols=[1] * 3,
        )  # fmt: skip
    figure.update_layout(
        height=560, margin={"l": 60, "r": 12, "t": 28, "b": 40}, showlegend=False, paper_bgcolor=PAPER,
        plot_bgcolor=PAPER, font={"family": FONT, "size": 12, "color": INK}, uirevision="mistake",
    )  # fmt: skip
    for row, title, span in ((1, "up, mm", _UP_MM), (2, "back, mm", _BACK_MM)):
        axis = {"gridcolor": GRID, "zeroline": False, "fixedrange": True, "row": row, "col": 1}
        figure.update_xaxes(range=list(_ACROSS_MM), constrain="domain", **axis)
        across = next(figure.select_xaxes(row=row, col=1)).plotly_name.replace("axis", "")
        figure.update_yaxes(range=list(span), scaleanchor=across, title=title, dtick=100, **axis)
    for title in figure.layout.annotations:
        title.update(x=0.0, xanchor="left", font={"size": 13, "color": INK})
    return figure


def update_mistake(figure: go.Figure, meant: Drawing | None, came_out: Drawing | None) -> None:
    """Put both bars into the figure; None leaves one out."""
    traces = {trace.name: trace for trace in figure.data}
    for view in _VIEWS:
        for drawing, what in ((meant, "meant"), (came_out, "came out")):
            if drawing is None:
                traces[f"{view} {what}"].update(x=[], y=[])
                continue
            edges = getattr(drawing, view)
            ring = np.concatenate([edges[0], edges[1][::-1], edges[0][:1]])
            traces[f"{view} {what}"].update(x=ring[:, 0], y=ring[:, 1])
