"""A bar under a load case: the moments along it, and its stress against the tube's yield."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import cycle

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.arrays import Array
from barmath.pictures.look import FIXED, QUIET, on_paper, round_end, titles_left
from barmath.pictures.palette import BEND, DIMENSION, MARK, SECOND, STRAIGHT, WARN
from barmath.strength.load_cases import SCREENED_ONLY
from barmath.strength.screen import LoadedBar

REACH_MM = 520.0
NOT_VALID = "above this line the elastic answer is not valid"
PLASTIC = "plastic all through at"


def strength_figure() -> go.Figure:
    """The figure with its traces and nothing in them."""
    figure = make_subplots(
        rows=2, cols=1, row_heights=[0.45, 0.55], vertical_spacing=0.15,
        subplot_titles=("Moments, N m", "Stress, MPa"),
    )  # fmt: skip
    _add_traces(figure)
    _lay_out(figure)
    return figure


def _line(name: str, colour: str, dash: str = "solid", **more: object) -> go.Scatter:
    return go.Scatter(
        name=name, x=[], y=[], mode="lines", line={"color": colour, "width": 2.4, "dash": dash},
        hovertemplate="%{x:.1f} mm: %{y:.0f}<extra>%{fullData.name}</extra>", **more,
    )  # fmt: skip


def _add_traces(figure: go.Figure) -> None:
    band = go.Scatter(
        name="yield band", x=[], y=[], mode="lines", fill="toself", hoverinfo="skip", line={"width": 0},
        fillcolor="rgba(154,103,0,0.22)",
    )  # fmt: skip
    of_moments = [_line("bending", DIMENSION), _line("twisting", BEND, "dash")]
    of_stress = [band, _line("elastic", MARK), _line(PLASTIC, STRAIGHT, "dash")]
    for row, traces in enumerate((of_moments, of_stress), 1):
        figure.add_traces(traces, rows=[row] * len(traces), cols=[1] * len(traces))


def _lay_out(figure: go.Figure) -> None:
    for row in (1, 2):
        figure.update_xaxes(range=[-REACH_MM, REACH_MM], row=row, col=1, **FIXED)
        figure.update_yaxes(row=row, col=1, **FIXED)
    figure.update_xaxes(title="along the tube from the middle, mm (left side negative)", matches="x", row=2, col=1)
    on_paper(figure, 612, (56, 12, 86, 44), uirevision="strength", title=_red_title(612), showlegend=None)
    titles_left(figure)
    _place_legends(figure)
    figure.add_annotation(
        name="not valid", text=NOT_VALID, x=-REACH_MM + 8.0, y=0.0, xanchor="left", yanchor="bottom", showarrow=False,
        font={"color": WARN, "size": 12}, row=2, col=1,
    )  # fmt: skip


def _place_legends(figure: go.Figure) -> None:
    # each row has its legend on the line of its title
    for trace in figure.data:
        trace.legend = trace.xaxis.replace("x", "legend")
    for number in ("", "2"):
        top = figure.layout[f"yaxis{number}"].domain[1]
        place = {"orientation": "h", "x": 1.0, "xanchor": "right", "y": top, "yanchor": "bottom"}
        figure.update_layout({f"legend{number}": place})


def update_strength(figure: go.Figure, bar: LoadedBar | None) -> None:
    """Put a loaded bar, or nothing, into the figure."""
    if bar is None:
        figure.update_traces(x=[], y=[])
        return
    traces = {trace.name: trace for trace in figure.data}
    low, high = bar.material.yield_low_mpa, bar.material.yield_high_mpa
    along = _both(-bar.left.stations_mm, bar.right.stations_mm)
    moments = np.concatenate([bar.left.moments_nm[::-1], bar.right.moments_nm])
    for name, values in (
        ("bending", np.hypot(moments[:, 0], moments[:, 1])),
        ("twisting", np.abs(moments[:, 2])),
        ("elastic", _both(bar.left.elastic_mpa, bar.right.elastic_mpa)),
        (PLASTIC, _both(bar.left.plastic_mpa, bar.right.plastic_mpa)),
    ):
        gap = bar.left.stations_mm.size  # no line through the stem
        traces[name].update(x=np.insert(along, gap, np.nan), y=np.insert(values, gap, np.nan))
    traces["yield band"].update(x=[-REACH_MM, REACH_MM, REACH_MM, -REACH_MM, -REACH_MM], y=[low, low, high, high, low])
    figure.layout.yaxis2.range = [0.0, round_end(1.05 * max(high, bar.elastic_mpa))]
    figure.layout.yaxis.range = [0.0, round_end(1.05 * max(10.0, float(np.linalg.norm(moments, axis=1).max())))]
    figure.update_annotations({"y": low}, selector={"name": "not valid"})


def widths_figure(widths_mm: Array, ratios: Array, names: Sequence[str], case_name: str) -> go.Figure:
    """Largest elastic stress over nominal yield against width, one line a tube: `ratios` (tubes, widths)."""
    figure = go.Figure()
    looks = zip((DIMENSION, BEND, STRAIGHT, SECOND, MARK), ("solid", "dash", "dot", "dashdot", "longdash"), strict=True)
    for name, line, (colour, dash) in zip(names, ratios, cycle(looks), strict=False):
        figure.add_trace(go.Scatter(
            name=name, x=widths_mm, y=line, mode="lines", line={"color": colour, "width": 3, "dash": dash},
            hovertemplate="%{x:.1f} mm: %{y:.2f}<extra>%{fullData.name}</extra>",
        ))  # fmt: skip
    figure.add_trace(go.Scatter(
        name=NOT_VALID, x=[float(np.min(widths_mm)), float(np.max(widths_mm))], y=[1.0, 1.0], mode="lines",
        line={"color": WARN, "width": 2, "dash": "dot"}, hoverinfo="skip",
    ))  # fmt: skip
    above = {"orientation": "h", "x": 0.0, "y": 1.0, "yanchor": "bottom"}
    on_paper(figure, 464, (60, 12, 136, 46), legend=above, title=_red_title(464), showlegend=None)
    figure.update_xaxes(title="width, mm", **QUIET)
    figure.update_yaxes(title=f"{case_name}: stress over first yield", **QUIET)
    return figure


def screened_title() -> str:
    """`SCREENED_ONLY` in two lines, to stand on a picture."""
    first, second = SCREENED_ONLY.split("; ")
    return f"<b>{first};</b><br><b>{second}</b>"


def _red_title(height_px: int) -> dict[str, object]:
    # with air above it: a title at the upper edge would touch what is above the chart
    place = {"x": 0.01, "y": 1.0 - 20.0 / height_px, "yref": "container", "yanchor": "top"}
    return {"text": screened_title(), "font": {"size": 13, "color": MARK}, **place}


def _both(left: Array, right: Array) -> Array:
    return np.concatenate([left[::-1], right])
