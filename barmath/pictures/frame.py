"""The picture that explains the frame: a bar to turn, with its axes, parts and angles named."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from barmath.pictures.bar import tube_trace
from barmath.pictures.look import in_space, on_paper
from barmath.pictures.palette import BEND, CAMERA, DIMENSION, FONT, GOOD, INK, MARK
from barmath.space.anatomy import Feature
from barmath.space.drawing import Drawing

_STYLE = {
    "right": (INK, 4, "solid"), "forward": (INK, 4, "solid"), "up": (INK, 4, "solid"),
    "inner bend": (BEND, 5, "solid"), "outer bend": (BEND, 5, "solid"), "roll": (MARK, 5, "solid"),
    "backsweep": (GOOD, 5, "solid"), "upsweep": (DIMENSION, 5, "solid"),
    "rise": (DIMENSION, 4, "dash"), "setback": (GOOD, 4, "dash"), "half width": (INK, 3, "dot"),
}  # fmt: skip
_SPAN = {"x": (-170.0, 530.0), "y": (-150.0, 160.0), "z": (-60.0, 170.0)}
"""What is shown, mm."""


def frame_figure(drawing: Drawing, features: dict[str, Feature]) -> go.Figure:
    """A bar in space with every feature drawn and named."""
    x, y, z = drawing.surface.reshape(-1, 3).astype(np.float32).T
    tube = tube_trace()
    tube.update(x=x, y=y, z=z)
    figure = go.Figure([tube, *_lines(features), _names(features)])
    eye = CAMERA | {"eye": {"x": 0.55, "y": -1.7, "z": 0.95}}
    scene = in_space(_SPAN, 2.9, camera=eye, dragmode="turntable")
    on_paper(figure, 520, (0, 0, 0, 0), uirevision="frame", scene=scene)
    return figure


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
