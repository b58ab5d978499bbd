"""A tube in the bender: in space, and from above with the area it sweeps. One figure, changed in place."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.bending.bender_scene import AROUND, DIE_RINGS, BenderScene
from barmath.pictures.bar import tube_colours, tube_trace
from barmath.pictures.palette import BAD, DIMENSION, FONT, GRID, INK, MARK, PAPER, STRAIGHT, WARN

REACH_MM = 560.0
HEIGHT_MM = (-250.0, 250.0)
SIZE = 3.1
"""Of the scene against Plotly's own, so that the tube fills the picture."""

ABOVE_MM = (-300.0, 420.0)
CAMERA = {
    "eye": {"x": -1.05, "y": -1.25, "z": 0.75},
    "up": {"x": 0.0, "y": 0.0, "z": 1.0},
    "center": {"x": 0.0, "y": 0.0, "z": -0.1},
    "projection": {"type": "orthographic"},
}
"""Seen from behind the hook and to the right of it."""

_BOX = np.array([
    [0, 1, 2], [0, 2, 3], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4], [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6],
    [3, 0, 4], [3, 4, 7],
])  # fmt: skip
_IN_SPACE = "In space: die grey, hook dark, follower blue; the dial is the angle finder"
_CANNOT = "This bender cannot do this plan: the bar is drawn in red"
_IMPOSSIBLE = "Nothing to draw: this plan is not possible"


def bending_figure() -> go.Figure:
    """The figure with all its traces and nothing in them."""
    figure = make_subplots(
        rows=2, cols=1, specs=[[{"type": "scene"}], [{}]], row_heights=[0.6, 0.4], vertical_spacing=0.06,
        subplot_titles=(
            _IN_SPACE,
            "From above: tube, die, and (shaded) all that the moving side sweeps",
        ),
    )  # fmt: skip
    figure.add_traces(_space_traces())
    plan = _plan_traces()
    figure.add_traces(plan, rows=[2] * len(plan), cols=[1] * len(plan))
    figure.update_layout(
        height=730, margin={"l": 56, "r": 12, "t": 26, "b": 40}, showlegend=False, paper_bgcolor=PAPER,
        plot_bgcolor=PAPER, font={"family": FONT, "size": 12, "color": INK}, uirevision="bending", dragmode="turntable",
        scene={
            "aspectmode": "manual", "camera": CAMERA, "uirevision": "bending",
            "aspectratio": {"x": SIZE, "y": SIZE, "z": SIZE * (HEIGHT_MM[1] - HEIGHT_MM[0]) / (2.0 * REACH_MM)},
            **{f"{axis}axis": _hidden(span) for axis, span in zip("xyz", (*[(-REACH_MM, REACH_MM)] * 2, HEIGHT_MM),
                                                                    strict=True)},
        },
    )  # fmt: skip
    axis = {"gridcolor": GRID, "zeroline": False, "fixedrange": True}
    figure.update_xaxes(
        title="along the tube from the hook, mm", range=[-REACH_MM, REACH_MM], constrain="domain", row=2, col=1, **axis
    )
    figure.update_yaxes(
        title="to the left, mm", range=list(ABOVE_MM), scaleanchor="x", scaleratio=1.0, row=2, col=1, **axis
    )
    for title in figure.layout.annotations:
        title.update(x=0.0, xanchor="left", font={"size": 13, "color": INK})
    return figure


def update_bending(figure: go.Figure, scene: BenderScene | None, reading: str, *, fits: bool = True) -> None:
    """Put one moment of one bend into the figure, or nothing where `scene` is None.

    `reading` is written beside the angle finder, "" for nothing. Where the plan does not fit, the bar is red.
    """
    traces = {trace.name: trace for trace in figure.data}
    title = figure.layout.annotations[0]
    title.text = _IMPOSSIBLE if scene is None else _IN_SPACE if fits else _CANNOT
    title.font.color = INK if fits and scene is not None else BAD
    if scene is None:
        for trace in traces.values():
            trace.update({axis: [] for axis in ("x", "y", "z") if axis in trace})
        return
    traces["tube"].facecolor = tube_colours() if fits else [BAD] * len(tube_colours())
    traces["tube from above"].line.color = INK if fits else BAD
    _mesh(traces["tube"], scene.surface_mm.reshape(-1, 3))
    _mesh(traces["die"], _drum(scene.die_mm))
    _mesh(traces["hook"], scene.hook_mm)
    _mesh(traces["follower"], scene.follower_mm)
    for name, rim in (("table", scene.table_mm), ("frame", scene.frame_mm)):
        if rim is None:
            traces[name].update(visible=False)
        else:
            _mesh(traces[name], np.concatenate([rim, rim.mean(0, keepdims=True)]))
    handle = scene.handle_mm
    _line3(traces["handle"], np.empty((0, 3)) if handle is None else _cut_to_view(handle))
    finder = np.empty((0, 3)) if scene.finder_mm is None else scene.finder_mm
    _line3(traces["angle finder"], finder)
    at = scene.finder_mm[1:] if scene.finder_mm is not None and reading else np.empty((0, 3))
    _line3(traces["reading"], at)
    traces["reading"].update(text=[reading] * len(at))
    _line3(traces["ends"], scene.ends_mm)
    traces["swept"].update(**_closed(scene.outline_mm))
    traces["tube from above"].update(x=scene.points_mm[:, 0], y=scene.points_mm[:, 1])
    traces["die from above"].update(**_closed(scene.die_mm[0, :, :2]))
    traces["hook from above"].update(**_closed(scene.hook_mm[:4, :2]))
    traces["follower from above"].update(**_closed(scene.follower_mm[:4, :2]))
    traces["ends from above"].update(x=scene.ends_mm[:, 0], y=scene.ends_mm[:, 1])
    low, high = ABOVE_MM if scene.die_mm[0, :, 1].mean() > 0.0 else (-ABOVE_MM[1], -ABOVE_MM[0])
    figure.layout.yaxis.range = [low, high]


def _space_traces() -> list[go.Mesh3d | go.Scatter3d]:
    drum = [[k, (k + 1) % AROUND, DIE_RINGS * AROUND] for k in range(AROUND)]
    for ring in range(0, (DIE_RINGS - 1) * AROUND, AROUND):
        for k in range(AROUND):
            here, beside = ring + k, ring + (k + 1) % AROUND
            drum += [[here, beside, here + AROUND], [beside, beside + AROUND, here + AROUND]]
    disc = [[k, (k + 1) % AROUND, AROUND] for k in range(AROUND)]
    return [
        tube_trace(),
        _solid("die", np.array(drum), "#aab4bc", 0.9),
        _solid("hook", _BOX, INK, 1.0),
        _solid("follower", _BOX, DIMENSION, 1.0),
        _solid("table", np.array(disc), "#d9c7a3", 0.35),
        _solid("frame", np.array(disc), STRAIGHT, 0.5),
        _line("handle", STRAIGHT, 7),
        _line("angle finder", MARK, 5),
        go.Scatter3d(
            name="reading", x=[], y=[], z=[], text=[], mode="markers+text", textposition="top center",
            textfont={"size": 15, "color": INK}, hoverinfo="skip",
            marker={"size": 7, "color": PAPER, "line": {"width": 3, "color": MARK}},
        ),
        go.Scatter3d(
            name="ends", x=[], y=[], z=[], text=["<b>L</b>", "<b>R</b>"], mode="text", hoverinfo="skip",
            textfont={"size": 16, "color": INK},
        ),
    ]  # fmt: skip


def _plan_traces() -> list[go.Scatter]:
    def line(name: str, colour: str, width: float, fill: str | None = None) -> go.Scatter:
        return go.Scatter(
            name=name, x=[], y=[], mode="lines", hoverinfo="skip", line={"color": colour, "width": width},
            fill="toself" if fill else None, fillcolor=fill,
        )  # fmt: skip

    return [
        line("swept", WARN, 1, "rgba(230,159,0,0.18)"),
        line("die from above", STRAIGHT, 1, "rgba(170,180,188,0.6)"),
        line("tube from above", INK, 7),
        line("hook from above", INK, 1, "rgba(31,41,51,0.8)"),
        line("follower from above", DIMENSION, 1, "rgba(0,114,178,0.8)"),
        go.Scatter(
            name="ends from above", x=[], y=[], text=["<b>L</b>", "<b>R</b>"], mode="text", textposition="top center",
            textfont={"size": 15, "color": INK}, hoverinfo="skip",
        ),
    ]  # fmt: skip


def _solid(name: str, triangles: np.ndarray, colour: str, opacity: float) -> go.Mesh3d:
    i, j, k = triangles.T
    return go.Mesh3d(
        name=name, x=[], y=[], z=[], i=i, j=j, k=k, color=colour, opacity=opacity, flatshading=True, hoverinfo="skip",
        lighting={"ambient": 0.85, "diffuse": 0.5, "specular": 0.05},
    )  # fmt: skip


def _line(name: str, colour: str, width: float) -> go.Scatter3d:
    return go.Scatter3d(
        name=name, x=[], y=[], z=[], mode="lines", hoverinfo="skip", line={"color": colour, "width": width}
    )


def _mesh(trace: go.Mesh3d, points: np.ndarray) -> None:
    x, y, z = points.astype(np.float32).T
    trace.update(x=x, y=y, z=z, visible=True)


def _line3(trace: go.Scatter3d, points: np.ndarray) -> None:
    x, y, z = points.reshape(-1, 3).astype(np.float32).T
    trace.update(x=x, y=y, z=z)


def _drum(rings: np.ndarray) -> np.ndarray:
    return np.concatenate([rings.reshape(-1, 3), rings[0].mean(0, keepdims=True)])


def _cut_to_view(handle: np.ndarray) -> np.ndarray:
    # as much of the handle as the picture has room for
    start, along = handle[0], handle[1] - handle[0]
    room = np.where(along == 0.0, np.inf, (np.sign(along) * REACH_MM - start) / np.where(along == 0.0, 1.0, along))
    return np.stack([start, start + along * min(1.0, float(room[:2].min()))])


def _closed(points: np.ndarray) -> dict[str, np.ndarray]:
    ring = np.concatenate([points, points[:1]])
    return {"x": ring[:, 0], "y": ring[:, 1]}


def _hidden(span: tuple[float, float]) -> dict:
    return {"visible": False, "range": list(span), "showbackground": False}
