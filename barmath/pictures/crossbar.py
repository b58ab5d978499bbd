"""The cope of a crossbar from the side, and its wrap beside it: one figure, changed in place."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.crossbars.crossbar import ENDS, Crossbar, unrolled_mm
from barmath.pictures.look import FIXED, draw, on_paper, outline
from barmath.pictures.palette import DIMENSION, INK, MARK, STRAIGHT
from barmath.space.drawing import Drawing


def crossbar_figure() -> go.Figure:
    """The figure with its traces and nothing in them."""
    titles = "Right joint from the rear", "Wrap, right end; dashed: inside"
    figure = make_subplots(rows=1, cols=2, horizontal_spacing=0.13, subplot_titles=titles)
    figure.add_traces(_joint_traces(), rows=[1] * 4, cols=[1, 1, 2, 2])
    on_paper(figure, 400, (56, 12, 26, 44), uirevision="crossbar")
    for col, across, up in ((1, "across", "up"), (2, "round the tube from the pencil line", "from the tip")):
        figure.update_xaxes(title={"text": f"{across}, mm", "font": {"size": 12}}, row=1, col=col, **FIXED)
        figure.update_yaxes(title=f"{up}, mm", scaleanchor=("x", "x2")[col - 1], row=1, col=col, **FIXED)
    for title in figure.layout.annotations:  # its middle is that of its chart: 0.217 is half of one
        title.update(xanchor="left", x=title.x - 0.217, font={"size": 13, "color": INK})
    return figure


def _joint_traces() -> list[go.Scatter]:
    # the joint from the rear, and the wrap beside it
    def line(name: str, colour: str, width: float, dash: str = "solid", fill: str | None = None) -> go.Scatter:
        return go.Scatter(
            name=name, x=[], y=[], mode="lines", hoverinfo="skip", line={"color": colour, "width": width, "dash": dash},
            fill="toself" if fill else None, fillcolor=fill,
        )  # fmt: skip

    return [
        line("bar side", STRAIGHT, 1.5, fill="rgba(91,103,112,0.35)"),
        line("crossbar side", DIMENSION, 1.5, fill="rgba(86,180,233,0.55)"),
        line("wrap", INK, 2.0, fill="rgba(86,180,233,0.25)"),
        line("wrap inside", MARK, 1.5, "dash"),
    ]


def update_crossbar(figure: go.Figure, bar: Drawing | None, fitted: Crossbar | None) -> None:
    """Put the joint of a bar (risers upright) and its crossbar into the figure, or nothing."""
    traces = {trace.name: trace for trace in figure.data}
    if bar is None or fitted is None:
        for trace in figure.data:
            trace.update(x=[], y=[])
        return
    outside, inside = unrolled_mm(fitted, ENDS[0])
    wide, deep = float(outside[-1, 0]), float(outside[:, 1].max()) + 12.0
    draw(traces["bar side"], outline(bar.front))
    draw(traces["crossbar side"], _side(fitted))
    draw(traces["wrap"], np.concatenate([outside, [[wide, deep], [0.0, deep]], outside[:1]]))
    draw(traces["wrap inside"], inside)
    joint, reach = fitted.joint_mm, max(45.0, float(fitted.outside_mm.max()) + 15.0)
    figure.layout.xaxis.range = [joint[0] - reach - 10.0, joint[0] + 0.6 * reach]
    figure.layout.yaxis.range = [joint[2] - 0.8 * reach, joint[2] + 0.8 * reach]
    figure.layout.xaxis2.range = [-3.0, wide + 3.0]
    figure.layout.yaxis2.range = [deep + 3.0, -4.0]


def _side(fitted: Crossbar) -> np.ndarray:
    # the rear half of the right end seen from the rear, back to 130 mm from the joint
    edge = fitted.edge_mm()[:-1]
    edge = edge[edge[:, 1] <= fitted.joint_mm[1] + 1e-9][:, [0, 2]]
    edge = edge[np.argsort(edge[:, 1])]
    start = fitted.joint_mm[0] - 130.0
    return np.concatenate([edge, [[start, edge[-1, 1]], [start, edge[0, 1]]], edge[:1]])
