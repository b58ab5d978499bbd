"""The picture that explains the frame: a bar to turn, with its axes, parts and angles named."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from barmath.pictures.bar import tube_trace
from barmath.pictures.palette import BEND, CAMERA, DIMENSION, FONT, GOOD, INK, MARK, PAPER
from barmath.space.anatomy import Feature
from barmath.space.drawing import Drawing

_STYLE = {
    "right": (INK, 4, "solid"), "forward": (INK, 4, "solid"), "up": (INK, 4, "solid"),
    "inner bend": (BEND, 5, "solid"), "outer bend": (BEND, 5, "solid"), "roll": (MARK, 5, "solid"),
    "backsweep": (GOOD, 5, "solid"), "upsweep": (DIMENSION, 5, "solid"),
    "rise": (DIMENSION, 4, "dash"), "setback": (GOOD, 4, "dash"), "half width": (INK, 3, "dot"),
}  # fmt: skip


def frame_figure(drawing: Drawing, features: dict[str, Feature]) -> go.Figure:
    """A bar in space with every feature drawn and named."""
    x, y, z = drawing.surface.reshape(-1, 3).astype(np.float32).T
    tube = tube_trace()
    tube.update(x=x, y=y, z=z)
    lines = [
        go.Scatter3d(
            name=name, mode="lines", hoverinfo="name", line={"color": colour, "width": width, "dash": dash},
            **dict(zip("xyz", features[name].line.T, strict=True)),
        )
        for name, (colour, width, dash) in _STYLE.items()
    ]  # fmt: skip
    places = np.array([feature.label_at for feature in features.values()])
    names = go.Scatter3d(
        name="names", mode="text", text=[feature.name for feature in features.values()], hoverinfo="skip",
        textfont={"color": INK, "size": 13, "family": FONT}, **dict(zip("xyz", places.T, strict=True)),
    )  # fmt: skip
    figure = go.Figure([tube, *lines, names])
    low, high = np.array([-170.0, -150.0, -60.0]), np.array([530.0, 160.0, 170.0])
    span = high - low
    figure.update_layout(
        height=520, margin={"l": 0, "r": 0, "t": 0, "b": 0}, showlegend=False, paper_bgcolor=PAPER, uirevision="frame",
        scene={
            "aspectmode": "manual", "aspectratio": dict(zip("xyz", 2.9 * span / span[0], strict=True)),
            "camera": CAMERA | {"eye": {"x": 0.55, "y": -1.7, "z": 0.95}}, "dragmode": "turntable",
            **{f"{axis}axis": {"visible": False, "range": [low[i], high[i]]} for i, axis in enumerate("xyz")},
        },
    )  # fmt: skip
    return figure
