"""A book on a table, turned twice in one sequence and in the other: the picture that turns do not commute."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.arrays import Array
from barmath.pictures.look import on_paper
from barmath.pictures.palette import BEND, INK, PAPER, SECOND

_SIZE = np.array([3.0, 4.2, 0.7])
_FACES = np.array([
    [0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4], [1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6],
    [3, 0, 4], [3, 4, 7],
])  # fmt: skip
_COLOURS = ["#b9c2c9"] * 2 + [SECOND] * 2 + [PAPER] * 2 + [PAPER] * 2 + [PAPER] * 2 + [BEND] * 2
"""Back cover grey, front cover blue, pages white, spine orange."""

_EDGES = np.array([[0, 1], [1, 2], [2, 3], [3, 0], [4, 5], [5, 6], [6, 7], [7, 4], [0, 4], [1, 5], [2, 6], [3, 7]])
_STROKES = {
    "T": [[(0.0, 1.0), (1.0, 1.0)], [(0.5, 1.0), (0.5, 0.0)]],
    "I": [[(0.5, 1.0), (0.5, 0.0)]],
    "L": [[(0.0, 1.0), (0.0, 0.0)], [(0.0, 0.0), (1.0, 0.0)]],
    "E": [[(0.0, 1.0), (0.0, 0.0)], [(0.0, 1.0), (1.0, 1.0)], [(0.0, 0.5), (0.8, 0.5)], [(0.0, 0.0), (1.0, 0.0)]],
}
_TITLE = np.array([
    [(-1.15 + 0.5 * place + 0.32 * x, 0.9 + 0.55 * y, 0.5 * _SIZE[2] + 0.03) for x, y in stroke]
    for place, letter in enumerate("TITLE") for stroke in _STROKES[letter]
])  # fmt: skip
"""The word on the front cover, in strokes on it and turn with it, (strokes, 2, 3)."""


def _broken(strokes: Array) -> Array:
    # (strokes, 2, 3) as one line that lifts its pen between them
    return np.concatenate([strokes, np.full((len(strokes), 1, 3), np.nan)], axis=1).reshape(-1, 3)


_CORNERS = np.array([[x, y, z] for z in (-0.5, 0.5) for x, y in ((-0.5, -0.5), (0.5, -0.5), (0.5, 0.5), (-0.5, 0.5))])


def book_figure(steps: dict[str, Array]) -> go.Figure:
    """Books side by side, each turned by one of `steps`: what is written over it, and its rotation (3, 3)."""
    figure = make_subplots(rows=1, cols=len(steps), specs=[[{"type": "scene"}] * len(steps)], horizontal_spacing=0.01,
                           subplot_titles=list(steps))  # fmt: skip
    for column, rotation in enumerate(steps.values(), 1):
        figure.add_traces(_book(rotation), rows=[1] * 3, cols=[column] * 3)
    hidden = {"visible": False, "range": [-2.8, 2.8]}
    figure.update_scenes(
        xaxis=hidden, yaxis=hidden, zaxis=hidden, aspectmode="cube", dragmode="turntable",
        camera={"eye": {"x": 0.9, "y": -1.5, "z": 1.0}, "projection": {"type": "orthographic"}},
    )  # fmt: skip
    on_paper(figure, 300, (0, 0, 28, 0))
    return figure


def _book(rotation: Array) -> list[go.Mesh3d | go.Scatter3d]:
    x, y, z = rotation @ (_CORNERS * _SIZE).T
    i, j, k = _FACES.T
    faces = go.Mesh3d(x=x, y=y, z=z, i=i, j=j, k=k, facecolor=_COLOURS, flatshading=True, hoverinfo="skip")
    lines = []
    for strokes, width in ((_CORNERS[_EDGES] * _SIZE, 3), (_TITLE, 4)):
        x, y, z = _broken(strokes @ rotation.T).T
        line = {"color": INK, "width": width}
        lines.append(go.Scatter3d(x=x, y=y, z=z, mode="lines", line=line, hoverinfo="skip"))
    return [faces, *lines]
