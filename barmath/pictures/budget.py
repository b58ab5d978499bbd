"""How far each slip sets the two sides of a bar apart, and all of them together: a bar chart, changed in place.

The bars are standard deviations, so the goal is drawn where one measure alone keeps it in 95 of 100 bars.
"""

from __future__ import annotations

from collections.abc import Mapping

import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.bending.error_budget import ErrorBudget
from barmath.pictures.look import on_paper
from barmath.pictures.palette import BEND, DIMENSION, INK, MARK, STRAIGHT
from barmath.pictures.views import AXIS

ALL = "all together"
STEADY = 1.959964
"""A goal this many standard deviations wide is kept by 95 of 100 bars."""

_BARS = {
    "backsweep": ("backsweep_deg", DIMENSION, "", 1),
    "upsweep": ("upsweep_deg", BEND, "/", 1),
    "rise": ("rise_mm", STRAIGHT, "", 2),
}
"""Measure: its field in `Apart`, colour, hatching and column."""


def budget_figure() -> go.Figure:
    """Sweeps on the left, rise on the right: all traces, nothing in them."""
    titles = ("Sweeps apart, deg<br>Dashed: 95 of 100 bars keep it", "Rise apart, mm")
    figure = make_subplots(
        rows=1, cols=2, shared_yaxes=True, column_widths=[0.6, 0.4], horizontal_spacing=0.04, subplot_titles=titles
    )
    for name, (_, colour, hatch, column) in _BARS.items():
        figure.add_trace(_bar(name, colour, hatch), row=1, col=column)
    figure.update_layout(shapes=[_goal(column) for column in (1, 2)])
    on_paper(
        figure, 390, (170, 30, 48, 60), uirevision="budget", barmode="group", bargap=0.3,
        legend={"orientation": "h", "x": 0.0, "y": -0.1}, showlegend=None,
    )  # fmt: skip
    figure.update_xaxes(fixedrange=True, rangemode="tozero", **AXIS)
    figure.update_yaxes(fixedrange=True, autorange="reversed", **AXIS)
    for title, x in zip(figure.layout.annotations, (0.0, figure.layout.xaxis2.domain[0]), strict=True):
        title.update(x=x, xanchor="left", font={"size": 13, "color": INK})
    return figure


def _bar(name: str, colour: str, hatch: str) -> go.Bar:
    return go.Bar(
        name=name, x=[], y=[], orientation="h", textposition="outside", cliponaxis=False, hoverinfo="skip",
        marker={"color": colour, "line": {"color": INK, "width": 0.6}, "pattern": {"shape": hatch}},
    )  # fmt: skip


def _goal(column: int) -> go.layout.Shape:
    # behind the bars and their numbers
    return go.layout.Shape(
        name=f"goal {column}", type="line", layer="below", xref="x" if column == 1 else "x2", yref="paper", y0=0, y1=1,
        x0=0, x1=0, visible=False, line={"color": MARK, "width": 2, "dash": "dash"},
    )  # fmt: skip


def update_budget_figure(figure: go.Figure, budget: ErrorBudget | None, within: Mapping[str, float]) -> None:
    """Put a budget, or nothing, into the figure; `within` says what is allowed, by fields of `Apart`."""
    traces, goals = ({one.name: one for one in parts} for parts in (figure.data, figure.layout.shapes))
    names = [*(line.name for line in budget.lines), ALL] if budget else []
    longest = {1: 0.0, 2: 0.0}
    for name, (field, _, _, column) in _BARS.items():
        apart = [*(line.apart for line in budget.lines), budget.total] if budget else []
        lengths = [getattr(each, field) for each in apart]
        traces[name].update(x=lengths, y=names, text=[f"{length:.2f}" if length >= 0.005 else "" for length in lengths])
        goals[f"goal {column}"].update(x0=within[field] / STEADY, x1=within[field] / STEADY, visible=bool(names))
        longest[column] = max(longest[column], within[field] / STEADY, *lengths)
    for column, axis in ((1, figure.layout.xaxis), (2, figure.layout.xaxis2)):
        axis.range = [0.0, 1.15 * longest[column]]
