"""A bar with its crossbar in space, the cope from the side, and the wrap beside it; one figure, changed in place."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.crossbars.crossbar import ENDS, STATIONS_DEG, Crossbar, unrolled_mm
from barmath.pictures.bar import tube_trace
from barmath.pictures.look import FIXED, SATIN, draw, in_space, on_paper, outline
from barmath.pictures.palette import DIMENSION, INK, MARK, SECOND, STRAIGHT
from barmath.space.drawing import Drawing

_SPAN = {"x": (-440.0, 440.0), "y": (-180.0, 60.0), "z": (-40.0, 140.0)}
_SIZE = 3.6


def crossbar_figure() -> go.Figure:
    """The figure with its traces and nothing in them."""
    figure = make_subplots(
        rows=2, cols=2, specs=[[{"type": "scene", "colspan": 2}, None], [{}, {}]], row_heights=[0.48, 0.52],
        vertical_spacing=0.09, horizontal_spacing=0.13,
        subplot_titles=("The bar with its crossbar (blue)", "Right joint from the rear",
                        "Wrap, right end; dashed: inside"),
    )  # fmt: skip
    figure.add_traces([tube_trace(), _crossbar_trace()])
    figure.add_traces(_joint_traces(), rows=[2] * 4, cols=[1, 1, 2, 2])
    scene = in_space(_SPAN, _SIZE, uirevision="crossbar")
    on_paper(figure, 720, (56, 12, 26, 44), uirevision="crossbar", dragmode="turntable", scene=scene)
    for col, across, up in ((1, "across", "up"), (2, "round the tube from the pencil line", "from the tip")):
        figure.update_xaxes(title=f"{across}, mm", row=2, col=col, **FIXED)
        figure.update_yaxes(title=f"{up}, mm", scaleanchor=("x", "x2")[col - 1], row=2, col=col, **FIXED)
    for title in figure.layout.annotations:  # the middle of each chart is where its title was: 0.217 is half of one
        title.update(xanchor="left", x=title.x - (0.5 if title.x == 0.5 else 0.217), font={"size": 13, "color": INK})
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


def update_crossbar(figure: go.Figure, bar: Drawing, fitted: Crossbar) -> None:
    """Put a bar (risers upright) and its crossbar into the figure."""
    traces = {trace.name: trace for trace in figure.data}
    for name, surface in (("tube", bar.surface.reshape(-1, 3)), ("crossbar", _surface(fitted))):
        x, y, z = surface.astype(np.float32).T
        traces[name].update(x=x, y=y, z=z)
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


def _crossbar_trace() -> go.Mesh3d:
    count = STATIONS_DEG.size - 1
    here = np.arange(count)
    after = (here + 1) % count
    i, j, k = (np.concatenate(pair) for pair in ((here, after), (after, after + count), (here + count, here + count)))
    return go.Mesh3d(
        name="crossbar", x=[], y=[], z=[], i=i, j=j, k=k, color=SECOND, flatshading=False, hoverinfo="skip",
        lighting=SATIN,
    )  # fmt: skip


def _surface(fitted: Crossbar) -> np.ndarray:
    # both rings of the crossbar's outside where it meets the bar, right and then left
    right = fitted.edge_mm()[:-1]
    return np.concatenate([right, right * [-1.0, 1.0, 1.0]])


def _side(fitted: Crossbar) -> np.ndarray:
    # the rear half of the right end seen from the rear, back to 130 mm from the joint
    edge = fitted.edge_mm()[:-1]
    edge = edge[edge[:, 1] <= fitted.joint_mm[1] + 1e-9][:, [0, 2]]
    edge = edge[np.argsort(edge[:, 1])]
    start = fitted.joint_mm[0] - 130.0
    return np.concatenate([edge, [[start, edge[-1, 1]], [start, edge[0, 1]]], edge[:1]])
