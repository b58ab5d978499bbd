"""What a stop setting keeps: the theory's band, the test bends, and what they say together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from barmath.pictures.look import QUIET, on_paper
from barmath.pictures.palette import BEND, DIMENSION, MARK
from barmath.records.bent_bar import TestBend
from barmath.records.calibration import Calibration


def springback_figure(theory: Calibration, found: Calibration, bends: Sequence[TestBend]) -> go.Figure:
    """Degrees lost against degrees on the stop, with bands of one standard error, and each test bend."""
    figure = go.Figure([
        *_band_and_line(theory, "theory", BEND, "rgba(230,159,0,0.20)", "dash"),
        *_band_and_line(found, "with the test bends", DIMENSION, "rgba(0,114,178,0.25)", "solid"),
        go.Scatter(
            name="test bends", x=[bend.stop_deg for bend in bends],
            y=[bend.stop_deg - bend.kept_deg for bend in bends], mode="markers",
            marker={"symbol": "x", "size": 11, "color": MARK},
        ),
    ])  # fmt: skip
    on_paper(figure, 380, (60, 12, 10, 46), legend={"x": 0.02, "y": 0.98}, showlegend=None)
    figure.update_xaxes(title="on the stop, deg", rangemode="tozero", **QUIET)
    figure.update_yaxes(title="springs back, deg", rangemode="tozero", **QUIET)
    return figure


def _band_and_line(by: Calibration, words: str, colour: str, fill: str, dash: str) -> list[go.Scatter]:
    stops = np.linspace(5.0, 60.0, 56)
    kept = [by.kept_deg(float(stop)) for stop in stops]
    lost, error = stops - [one.value for one in kept], np.array([one.error for one in kept])
    band = go.Scatter(
        name=f"{words}, one standard error", x=[*stops, *stops[::-1]], y=[*(lost + error), *(lost - error)[::-1]],
        fill="toself", fillcolor=fill, line={"width": 0}, hoverinfo="skip", showlegend=False,
    )  # fmt: skip
    return [band, go.Scatter(name=words, x=stops, y=lost, line={"color": colour, "width": 3, "dash": dash})]
