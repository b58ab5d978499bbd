"""The bar that came of a mistake over the bar that was meant, from behind and from above; changed in place."""

from __future__ import annotations

import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.pictures.look import FIXED, draw, equal_scales, on_paper, outline, titles_left
from barmath.pictures.palette import BAD, INK, STRAIGHT
from barmath.space.drawing import Drawing

_ACROSS_MM, _UP_MM, _BACK_MM = (-470.0, 470.0), (-190.0, 260.0), (200.0, -160.0)
_VIEWS = ("front", "above")


def mistake_figure() -> go.Figure:
    """The figure with its traces and nothing in them."""
    figure = make_subplots(
        rows=2, cols=1, vertical_spacing=0.12, row_heights=[abs(b - a) for a, b in (_UP_MM, _BACK_MM)],
        subplot_titles=("From behind, as the rider sees it: dashed the bar meant, filled what came out",
                        "From above, forward is up"),
    )  # fmt: skip
    for row, (view, title, span) in enumerate((("front", "up, mm", _UP_MM), ("above", "back, mm", _BACK_MM)), 1):
        figure.add_traces(_traces(view), rows=[row] * 3, cols=[1] * 3)
        equal_scales(figure, row, _ACROSS_MM, span, title, **FIXED)
    figure.update_yaxes(dtick=100)
    on_paper(figure, 560, (60, 12, 28, 40), uirevision="mistake")
    titles_left(figure)
    return figure


def _traces(view: str) -> list[go.Scatter]:
    return [
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
    ]  # fmt: skip


def update_mistake(figure: go.Figure, meant: Drawing | None, came_out: Drawing | None) -> None:
    """Put both bars into the figure; None leaves one out."""
    traces = {trace.name: trace for trace in figure.data}
    for view in _VIEWS:
        for drawing, what in ((meant, "meant"), (came_out, "came out")):
            if drawing is None:
                traces[f"{view} {what}"].update(x=[], y=[])
            else:
                draw(traces[f"{view} {what}"], outline(getattr(drawing, view)))
