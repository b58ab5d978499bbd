"""What a stop setting keeps: the theory's band, the test bends, and what they say together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go

from barmath.pictures.palette import BEND, DIMENSION, FONT, GRID, INK, MARK, PAPER
from barmath.records.bent_bar import TestBend
from barmath.records.calibration import Calibration


def springback_figure(theory: Calibration, found: Calibration, bends: Sequence[TestBend]) -> go.Figure:
    """Degrees lost against degrees on the stop, with bands of one standard error, and each test bend."""
    stops = np.linspace(5.0, 60.0, 56)
    figure = go.Figure()
    for told, words, colour, fill in (
        (theory, "theory", BEND, "rgba(230,159,0,0.20)"),
        (found, "with the test bends", DIMENSION, "rgba(0,114,178,0.25)"),
    ):
        kept = [told.kept_deg(float(stop)) for stop in stops]
        lost, error = stops - [one.value for one in kept], np.array([one.error for one in kept])
        figure.add_trace(go.Scatter(
            name=f"{words}, one standard error", x=[*stops, *stops[::-1]], y=[*(lost + error), *(lost - error)[::-1]],
            fill="toself", fillcolor=fill, line={"width": 0}, hoverinfo="skip", showlegend=False,
        ))  # fmt: skip
        dash = "dash" if told is theory else "solid"
        figure.add_trace(go.Scatter(name=words, x=stops, y=lost, line={"color": colour, "width": 3, "dash": dash}))
    figure.add_trace(go.Scatter(
        name="test bends", x=[bend.stop_deg for bend in bends], y=[bend.stop_deg - bend.kept_deg for bend in bends],
        mode="markers", marker={"symbol": "x", "size": 11, "color": MARK},
    ))  # fmt: skip
    axis = {"gridcolor": GRID, "zeroline": False, "rangemode": "tozero"}
    figure.update_layout(
        height=380, margin={"l": 60, "r": 12, "t": 10, "b": 46}, paper_bgcolor=PAPER, plot_bgcolor=PAPER,
        font={"family": FONT, "size": 12, "color": INK}, legend={"x": 0.02, "y": 0.98},
        xaxis={"title": "on the stop, deg", **axis}, yaxis={"title": "springs back, deg", **axis},
    )  # fmt: skip
    return figure
