"""A bar under a load case: where it is stressed, the moments along it, and its stress against the tube's yield."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.arrays import Array
from barmath.pictures.palette import BAD, BEND, DIMENSION, FAINT, FONT, GOOD, GRID, INK, MARK, PAPER, STRAIGHT, WARN
from barmath.strength.load_cases import SCREENED_ONLY
from barmath.strength.screen import LoadedBar

REACH_MM = 520.0
LEVELS = (
    ("below yield", GOOD, "circle"),
    ("in the yield band", WARN, "diamond"),
    ("above yield", BAD, "x"),
)
NOT_VALID = "above: the elastic answer stops being valid"


def strength_figure() -> go.Figure:
    """The figure with its traces and nothing in them."""
    figure = make_subplots(
        rows=3, cols=1, row_heights=[0.3, 0.32, 0.38], vertical_spacing=0.115,
        subplot_titles=("From the rear", "Moments, N m", "Stress, MPa"),
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
    bar = [
        go.Scatter(name=name, x=[], y=[], mode="markers", marker={"color": colour, "symbol": symbol, "size": 9},
                   hoverinfo="skip")
        for name, colour, symbol in (*LEVELS, ("not judged", STRAIGHT, "circle-open"))
    ]  # fmt: skip
    figure.add_traces(
        [
            _line("centre line", FAINT, showlegend=False),
            go.Scatter(name="stem", x=[], y=[], mode="lines", line={"color": INK, "width": 9}, hoverinfo="skip",
                       showlegend=False),
            go.Scatter(name="crossbar", x=[], y=[], mode="lines", line={"color": DIMENSION, "width": 4},
                       hoverinfo="skip", showlegend=False),
            *bar,
            go.Scatter(
                name="load", x=[], y=[], text=[], mode="lines+markers+text", line={"color": MARK, "width": 2.5},
                marker={"symbol": "arrow", "size": 13, "angleref": "previous", "color": MARK}, hoverinfo="skip",
                textposition="top center", textfont={"color": MARK, "size": 13}, showlegend=False,
            ),
        ],
        rows=[1] * 8, cols=[1] * 8,
    )  # fmt: skip
    figure.add_traces([_line("bending", DIMENSION), _line("twisting", BEND, "dash")], rows=[2, 2], cols=[1, 1])
    figure.add_traces(
        [
            go.Scatter(name="yield band", x=[], y=[], mode="lines", fill="toself", hoverinfo="skip",
                       line={"width": 0}, fillcolor="rgba(154,103,0,0.22)"),
            _line("elastic", MARK),
            _line("plastic all through at", STRAIGHT, "dash"),
        ],
        rows=[3] * 3, cols=[1] * 3,
    )  # fmt: skip


def _lay_out(figure: go.Figure) -> None:
    axis = {"gridcolor": GRID, "zeroline": False, "fixedrange": True}
    for row in (1, 2, 3):
        figure.update_xaxes(range=[-REACH_MM, REACH_MM], row=row, col=1, **axis)
        figure.update_yaxes(row=row, col=1, **axis)
    figure.update_xaxes(title="along the tube from the middle, mm (left side negative)", row=3, col=1)
    figure.update_yaxes(range=[-50, 205], scaleanchor="x", row=1, col=1)
    figure.update_layout(
        height=820, margin={"l": 56, "r": 12, "t": 74, "b": 44}, paper_bgcolor=PAPER, plot_bgcolor=PAPER,
        font={"family": FONT, "size": 12, "color": INK}, uirevision="strength",
        title={"text": screened_title(), "font": {"size": 13, "color": MARK}, "x": 0.01, "y": 0.985,
               "yanchor": "top"},
    )  # fmt: skip
    for title in figure.layout.annotations:
        title.update(x=0.0, xanchor="left", font={"size": 13, "color": INK})
    for trace in figure.data:  # each row has its legend on the line of its title
        trace.legend = trace.xaxis.replace("x", "legend")
    for number in ("", "2", "3"):
        top = figure.layout[f"yaxis{number}"].domain[1]
        place = {"orientation": "h", "x": 1.0, "xanchor": "right", "y": top, "yanchor": "bottom"}
        figure.update_layout({f"legend{number}": place})
    figure.add_annotation(
        name="not valid", text=NOT_VALID, x=-REACH_MM + 8.0, y=0.0, xanchor="left", yanchor="bottom", showarrow=False,
        font={"color": WARN, "size": 12}, row=3, col=1,
    )  # fmt: skip


def update_strength(figure: go.Figure, bar: LoadedBar) -> None:
    """Put a loaded bar into the figure."""
    traces = {trace.name: trace for trace in figure.data}
    along = _both(-bar.left.stations_mm, bar.right.stations_mm)
    elastic = _both(bar.left.elastic_mpa, bar.right.elastic_mpa)
    points = np.concatenate([bar.left.points_mm[::-1], bar.right.points_mm])
    traces["centre line"].update(x=points[:, 0], y=points[:, 2])
    traces["stem"].update(x=[-bar.stem_half_mm, bar.stem_half_mm], y=[0.0, 0.0])
    joints = [side.joint_mm for _, side in bar.sides if side.joint_mm is not None]
    traces["crossbar"].update(x=[joint[0] for joint in joints], y=[joint[2] for joint in joints])
    low, high = bar.material.yield_low_mpa, bar.material.yield_high_mpa
    level = np.digitize(elastic, [low, high])
    judged = bar.case.cycles <= 1.0  # yield says nothing of fatigue
    traces["not judged"].update(x=[] if judged else points[:, 0], y=[] if judged else points[:, 2])
    for number, (name, _, _) in enumerate(LEVELS):
        here = (level == number) & judged
        traces[name].update(x=points[here, 0], y=points[here, 2])
    _update_load(traces["load"], bar)
    moments = np.concatenate([bar.left.moments_nm[::-1], bar.right.moments_nm])
    gap = bar.left.stations_mm.size
    traces["bending"].update(
        x=np.insert(along, gap, np.nan), y=np.insert(np.hypot(moments[:, 0], moments[:, 1]), gap, np.nan)
    )
    traces["twisting"].update(x=np.insert(along, gap, np.nan), y=np.insert(np.abs(moments[:, 2]), gap, np.nan))
    traces["elastic"].update(x=np.insert(along, gap, np.nan), y=np.insert(elastic, gap, np.nan))
    plastic = _both(bar.left.plastic_mpa, bar.right.plastic_mpa)
    name = "plastic all through at"
    traces[name].update(x=np.insert(along, gap, np.nan), y=np.insert(plastic, gap, np.nan))
    traces["yield band"].update(x=[-REACH_MM, REACH_MM, REACH_MM, -REACH_MM, -REACH_MM], y=[low, low, high, high, low])
    figure.layout.yaxis3.range = [0.0, 1.15 * max(high, bar.elastic_mpa)]
    figure.layout.yaxis2.range = [0.0, 1.1 * max(10.0, float(np.linalg.norm(moments, axis=1).max()))]
    figure.update_annotations({"y": low}, selector={"name": "not valid"})


def widths_figure(widths_mm: Array, ratios: Array, names: Sequence[str], case_name: str) -> go.Figure:
    """Largest elastic stress over nominal yield against width, one line a tube: `ratios` (tubes, widths)."""
    figure = go.Figure()
    dashes = ("solid", "dash", "dot", "dashdot", "longdash")
    for number, (name, line) in enumerate(zip(names, ratios, strict=True)):
        colour = (DIMENSION, BEND, STRAIGHT, GOOD, MARK)[number % 5]
        figure.add_trace(go.Scatter(
            name=name, x=widths_mm, y=line, mode="lines",
            line={"color": colour, "width": 3, "dash": dashes[number % 5]},
            hovertemplate="%{x:.1f} mm: %{y:.2f}<extra>%{fullData.name}</extra>",
        ))  # fmt: skip
    axis = {"gridcolor": GRID, "zeroline": False}
    figure.update_layout(
        height=400, margin={"l": 60, "r": 12, "t": 62, "b": 46}, paper_bgcolor=PAPER, plot_bgcolor=PAPER,
        font={"family": FONT, "size": 12, "color": INK}, legend={"x": 0.02, "y": 0.98},
        title={"text": screened_title(), "font": {"size": 13, "color": MARK}, "x": 0.01},
        xaxis={"title": "width, mm", **axis}, yaxis={"title": f"{case_name}: stress over first yield", **axis},
    )  # fmt: skip
    figure.add_hline(y=1.0, line={"color": WARN, "dash": "dot"}, annotation_text=NOT_VALID,
                     annotation_font={"color": WARN}, annotation_position="bottom right")  # fmt: skip
    return figure


def screened_title() -> str:
    """`SCREENED_ONLY` in two lines, to stand on a picture."""
    first, second = SCREENED_ONLY.split("; ")
    return f"<b>{first};</b><br><b>{second}</b>"


def _update_load(trace: go.Scatter, bar: LoadedBar) -> None:
    x: list[float | None] = []
    y: list[float | None] = []
    text: list[str] = []
    for _, side in bar.sides:
        size = float(np.linalg.norm(side.force_n))
        if size:
            tip = side.points_mm[-1]
            tail = tip - 85.0 * side.force_n / size
            x += [tail[0], tip[0], None]
            y += [tail[2], tip[2], None]
            text += [f"{size:.0f} N", "", ""]
        elif bar.case.couple_nm:
            tip = side.points_mm[-1]
            x += [tip[0], None]
            y += [tip[2] + 30.0, None]
            text += [f"{bar.case.couple_nm:.0f} N m about the clamp axis", ""]
    trace.update(x=x, y=y, text=text)


def _both(left: Array, right: Array) -> Array:
    return np.concatenate([left[::-1], right])
