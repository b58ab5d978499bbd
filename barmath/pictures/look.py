"""The look that figures share: white paper and letters, titles at the left, equal scales, outlines."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go

from barmath.arrays import Array
from barmath.pictures.palette import FONT, GRID, INK, PAPER

QUIET = {"gridcolor": GRID, "zeroline": False}
"""An axis with a faint grid."""

FIXED = {**QUIET, "fixedrange": True}
"""The same, without zoom."""


def on_paper(figure: go.Figure, height: int, margin: tuple[int, int, int, int], **layout: object) -> None:
    """Put a figure on white paper, without a legend unless `layout` asks for one.

    Parameters
    ----------
    figure : Figure
    height : int, pixels
    margin : four int, pixels
        Left, right, top and bottom.
    layout
        More of Plotly's layout. The page keeps what its user zoomed or turned while `uirevision` is the same name.
    """
    figure.update_layout({
        "height": height, "margin": dict(zip("lrtb", margin, strict=True)), "showlegend": False,
        "paper_bgcolor": PAPER, "plot_bgcolor": PAPER, "font": {"family": FONT, "size": 12, "color": INK}, **layout,
    })  # fmt: skip
    figure.update_xaxes(ticklabelstandoff=4)  # else the first number across touches the lowest one up


def round_end(reach: float) -> float:
    """Where an axis ends so that `reach`, a number above 0, is on it: a round number, at most a third farther.

    While a slider moves, such an axis rarely changes. So the page moves its lines and draws nothing else again.

    Examples
    --------
    >>> from barmath.pictures.look import round_end
    >>> [round_end(reach) for reach in (0.7, 12.0, 12.1, 430.0)]
    [0.8, 12.0, 15.0, 500.0]
    """
    tens = 10.0 ** np.floor(np.log10(reach))
    return float(next(step for step in _ROUND if step * tens >= reach * (1.0 - 1e-9)) * tens)


_ROUND = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


def titles_left(figure: go.Figure, *, size: int = 13) -> None:
    """Begin the titles of all parts of a figure at its left edge."""
    for title in figure.layout.annotations:
        title.update(x=0.0, xanchor="left", font={"size": size, "color": INK})


def equal_scales(
    figure: go.Figure, row: int, across: tuple[float, float], up: tuple[float, float], title: str, **axis: object
) -> None:
    """Give the first chart of a row fixed ranges and one scale both ways: a larger bar looks larger.

    A chart of the same range across has the scale of the first one. So both views show a bar in one size.
    """
    figure.update_xaxes(range=list(across), constrain="domain", row=row, col=1, **axis)
    own = next(figure.select_xaxes(row=row, col=1))
    name = own.plotly_name.replace("axis", "")
    first = next(figure.select_xaxes())
    if own is not first and own.range == first.range:
        own.scaleanchor = first.plotly_name.replace("axis", "")
    figure.update_yaxes(range=list(up), scaleanchor=name, title=title, row=row, col=1, **axis)


def outline(edges: Array) -> Array:
    """The closed line (2 m + 1, 2) round a tube, from its two edges (2, m, 2)."""
    return np.concatenate([edges[0], edges[1][::-1], edges[0][:1]])


def draw(trace: go.Scatter, points: Array) -> None:
    """Draw a trace along points (n, 2)."""
    trace.update(x=points[:, 0], y=points[:, 1])
