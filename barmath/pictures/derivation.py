"""Curves for the lesson on where the formulas come from. They take computed numbers and compute none."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import plotly.graph_objects as go
from numpy.typing import ArrayLike

from barmath.pictures.palette import BEND, DIMENSION, FAINT, FONT, GRID, INK, MARK, PAPER, STRAIGHT

_DASHES = ("solid", "dash", "dot", "dashdot", "longdash")
_COLOURS = (INK, DIMENSION, BEND, MARK, STRAIGHT)


def curves(across: ArrayLike, named: Mapping[str, ArrayLike], across_title: str, up_title: str) -> go.Figure:
    """Curves over one axis, each named at its end as well as in colour and dash; nan leaves a gap."""
    figure = go.Figure(layout=_layout())
    across = np.asarray(across, dtype=float)
    heights = np.array([np.asarray(values, dtype=float) for values in named.values()])
    for i, (name, values) in enumerate(zip(named, heights, strict=True)):
        last = np.flatnonzero(np.isfinite(values))[-1]
        figure.add_scatter(
            x=across, y=values, name=name, mode="lines",
            line={"color": _COLOURS[i % 5], "width": 2.5, "dash": _DASHES[i % 5]},
        )  # fmt: skip
        beside = across > across[last]
        beside &= across < across[last] + 0.25 * np.ptp(across)  # a name is as long as that
        others = np.delete(heights, i, axis=0)[:, beside] - values[last]
        crossed = np.nanmin(others, initial=np.inf) < 0.0 < np.nanmax(others, initial=-np.inf)
        side = {"xanchor": "right", "xshift": -6} if crossed else {"xanchor": "left", "xshift": 6}
        figure.add_annotation(x=across[last], y=values[last], text=name, showarrow=False, **side)
    figure.update_layout(showlegend=False, margin={"r": 110})
    figure.update_xaxes(title=across_title)
    figure.update_yaxes(title=up_title)
    return figure


def _layout(height: int = 380) -> go.Layout:
    axis = {"gridcolor": GRID, "zerolinecolor": FAINT, "linecolor": FAINT}
    return go.Layout(
        height=height,
        paper_bgcolor=PAPER,
        plot_bgcolor=PAPER,
        font={"family": FONT, "color": INK, "size": 14},
        margin={"l": 60, "r": 30, "t": 30, "b": 55},
        legend={"orientation": "h", "yanchor": "bottom", "y": 1.0, "x": 0.0},
        xaxis=axis,
        yaxis=axis,
    )
