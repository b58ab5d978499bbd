"""The picture that explains the frame: a bar to turn, with its axes, parts and angles named."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from barmath.pictures.look import on_paper
from barmath.pictures.palette import BEND, CAMERA, DIMENSION, FONT, GOOD, INK, MARK, STRAIGHT
from barmath.space.anatomy import Feature
from barmath.space.drawing import Drawing, piece_of_interval, triangles

_STYLE = {
    "right": (INK, 4, "solid"), "forward": (INK, 4, "solid"), "up": (INK, 4, "solid"),
    "inner bend": (BEND, 5, "solid"), "outer bend": (BEND, 5, "solid"), "roll": (MARK, 5, "solid"),
    "backsweep": (GOOD, 5, "solid"), "upsweep": (DIMENSION, 5, "solid"),
    "rise": (DIMENSION, 4, "dash"), "setback": (GOOD, 4, "dash"), "half width": (INK, 3, "dot"),
}  # fmt: skip
_SPAN = {"x": (-170.0, 530.0), "y": (-150.0, 160.0), "z": (-60.0, 170.0)}
"""What is shown, mm."""

_SIZE = 2.9
"""How wide that is in Plotly's unit."""


def frame_figure(drawing: Drawing, features: dict[str, Feature]) -> go.Figure:
    """A bar in space with every feature drawn and named."""
    x, y, z = drawing.surface.reshape(-1, 3).astype(np.float32).T
    i, j, k = triangles().T
    tube = go.Mesh3d(
        name="tube", x=x, y=y, z=z, i=i, j=j, k=k, flatshading=False, hoverinfo="skip", facecolor=_tube_colours(),
        lighting={"ambient": 0.9, "diffuse": 0.55, "specular": 0.15, "roughness": 0.6, "fresnel": 0.05},
        lightposition={"x": -300, "y": -900, "z": 1200},
    )  # fmt: skip
    figure = go.Figure([tube, *_lines(features), _names(features)])
    wide = _SPAN["x"][1] - _SPAN["x"][0]
    scene = {
        "aspectmode": "manual", "camera": CAMERA | {"eye": {"x": 0.55, "y": -1.7, "z": 0.95}}, "dragmode": "turntable",
        "aspectratio": {axis: _SIZE * (high - low) / wide for axis, (low, high) in _SPAN.items()},
        **{f"{axis}axis": {"visible": False, "range": list(ends)} for axis, ends in _SPAN.items()},
    }  # fmt: skip
    on_paper(figure, 420, (0, 0, 0, 0), uirevision="frame", scene=scene)
    return figure


def _tube_colours() -> list[str]:
    # of each triangle, by the piece of the bar that it belongs to
    colours = {"bend": BEND, "grip": "#8d99a3", "riser": STRAIGHT, "clamp flat": STRAIGHT}
    pieces = piece_of_interval()
    return [colours[piece] for piece in pieces for _ in range(len(triangles()) // len(pieces))]


def _lines(features: dict[str, Feature]) -> list[go.Scatter3d]:
    return [
        go.Scatter3d(
            name=name, mode="lines", hoverinfo="name", line={"color": colour, "width": width, "dash": dash},
            **dict(zip("xyz", features[name].line.T, strict=True)),
        )
        for name, (colour, width, dash) in _STYLE.items()
    ]  # fmt: skip


def _names(features: dict[str, Feature]) -> go.Scatter3d:
    places = np.array([feature.label_at for feature in features.values()])
    return go.Scatter3d(
        name="names", mode="text", text=[feature.name for feature in features.values()], hoverinfo="skip",
        textfont={"color": INK, "size": 13, "family": FONT}, **dict(zip("xyz", places.T, strict=True)),
    )  # fmt: skip
