"""The record in two charts: predicted against measured rise, and how far bars missed their order over time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import plotly.graph_objects as go
from numpy.typing import ArrayLike
from plotly.subplots import make_subplots

from barmath.lengths import MM_PER_INCH
from barmath.pictures.look import QUIET, on_paper, titles_left
from barmath.pictures.palette import BEND, DIMENSION, GRID, STRAIGHT, as_written

FEW_DAYS, DAY_MS = 5, 86_400_000.0
"""Days that are at most so many apart have a tick each; a day as Plotly counts time."""


def record_figure() -> go.Figure:
    """The figure with its traces and nothing in them."""
    figure = make_subplots(
        rows=2, cols=1, vertical_spacing=0.16, row_heights=[0.55, 0.45],
        subplot_titles=("Rise: by the settings against as read", "Read less ordered, bar by bar"),
    )  # fmt: skip
    line = {"color": STRAIGHT, "width": 1, "dash": "dash"}
    alike = go.Scatter(name="alike", x=[], y=[], mode="lines", line=line, hoverinfo="skip", showlegend=False)
    rises = [alike, _marks("by the theory", BEND, "circle-open"), _marks("calibrated", DIMENSION, "x")]
    misses = [_marks("rise, mm", DIMENSION, "circle"), _marks("backsweep, deg", BEND, "diamond")]
    for row, traces in enumerate((rises, misses), 1):
        figure.add_traces(traces, rows=[row] * len(traces), cols=[1] * len(traces))
    figure.update_xaxes(title="by the settings, mm", row=1, col=1, **QUIET)
    figure.update_yaxes(title="as read, mm", row=1, col=1, **QUIET)
    figure.update_xaxes(title="day", tickformat="%-d %b\n%Y", tickangle=0, nticks=6, row=2, col=1, **QUIET)
    figure.update_yaxes(row=2, col=1, gridcolor=GRID, zeroline=True, zerolinecolor=STRAIGHT)
    below = {"orientation": "h", "y": -0.15}
    on_paper(figure, 660, (60, 12, 28, 44), legend=below, uirevision="record", showlegend=None)
    titles_left(figure)
    return figure


def update_record(
    figure: go.Figure,
    read: ArrayLike,
    theory: ArrayLike,
    calibrated: ArrayLike,
    days: Sequence[str],
    missed_rise: ArrayLike,
    missed_sweep: ArrayLike,
    names: Sequence[str],
    unit: str = "mm",
) -> None:
    """Put the bars into the figure: rises (m,) as read, by the theory and calibrated; (n,) misses by day, nan where not
    read; `names` (n,) of the bars in the second chart. With `unit` "in" a missed rise is in 1/32 in.
    """
    traces = {trace.name: trace for trace in figure.data}
    as_read = np.asarray(read, float)
    for name, values in (("by the theory", theory), ("calibrated", calibrated)):
        traces[name].update(x=np.asarray(values, float), y=as_read)
    both = np.concatenate([as_read, np.asarray(theory, float)])
    both = both[np.isfinite(both)]
    ends = [float(both.min()) - 2.0, float(both.max()) + 2.0] if both.size else []
    traces["alike"].update(x=ends, y=ends)
    rise = np.asarray(missed_rise, float) if unit == "mm" else np.asarray(missed_rise, float) / (MM_PER_INCH / 32.0)
    words = [as_written(name) for name in names]
    rises, sweeps = figure.data[-2:]
    rises.update(name="rise, mm" if unit == "mm" else "rise, 1/32 in", x=list(days), y=rise, text=words)
    sweeps.update(x=list(days), y=np.asarray(missed_sweep, float), text=words)
    figure.layout.xaxis2.update(_days_axis(days))


def _days_axis(days: Sequence[str]) -> dict[str, object]:
    # a tick a day where there are few: Plotly would show hours, and thousandths of a second of one day
    dates = [date.fromisoformat(day[:10]) for day in days]
    if not dates or (max(dates) - min(dates)).days > FEW_DAYS:
        return {"autorange": True, "dtick": None}
    span = min(dates) - timedelta(1), max(dates) + timedelta(1)
    return {"range": [day.isoformat() for day in span], "dtick": DAY_MS}


def _marks(name: str, colour: str, symbol: str) -> go.Scatter:
    return go.Scatter(
        name=name, x=[], y=[], mode="markers", marker={"color": colour, "symbol": symbol, "size": 9},
        hovertemplate="%{x}: %{y:.1f}<extra>%{fullData.name}</extra>",
    )  # fmt: skip
