"""A bar under a load case: where it is stressed, the moments along it, and its stress against the tube's yield."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import cycle

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.arrays import Array
from barmath.pictures.look import FIXED, QUIET, draw, on_paper, titles_left
from barmath.pictures.palette import BAD, BEND, DIMENSION, FAINT, INK, MARK, SECOND, STRAIGHT, WARN
from barmath.strength.load_cases import SCREENED_ONLY
from barmath.strength.screen import LoadedBar

REACH_MM = 520.0
LEVELS = (
    ("below yield", STRAIGHT, "circle"),
    ("in the yield band", WARN, "diamond"),
    ("above yield", BAD, "x"),
)
NOT_VALID = "above: the elastic answer stops being valid"
PLASTIC = "plastic all through at"


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
    of_bar = [*_bar_traces(), _load_trace()]
    band = go.Scatter(
        name="yield band", x=[], y=[], mode="lines", fill="toself", hoverinfo="skip", line={"width": 0},
        fillcolor="rgba(154,103,0,0.22)",
    )  # fmt: skip
    of_moments = [_line("bending", DIMENSION), _line("twisting", BEND, "dash")]
    of_stress = [band, _line("elastic", MARK), _line(PLASTIC, STRAIGHT, "dash")]
    for row, traces in enumerate((of_bar, of_moments, of_stress), 1):
        figure.add_traces(traces, rows=[row] * len(traces), cols=[1] * len(traces))


def _bar_traces() -> list[go.Scatter]:
    def solid(name: str, colour: str, width: float) -> go.Scatter:
        line = {"color": colour, "width": width}
        return go.Scatter(name=name, x=[], y=[], mode="lines", line=line, hoverinfo="skip", showlegend=False)

    levels = [
        go.Scatter(name=name, x=[], y=[], mode="markers", marker={"color": colour, "symbol": symbol, "size": 9},
                   hoverinfo="skip")
        for name, colour, symbol in (*LEVELS, ("not judged", STRAIGHT, "circle-open"))
    ]  # fmt: skip
    centre = _line("centre line", FAINT, showlegend=False)
    return [centre, solid("stem", INK, 9), solid("crossbar", DIMENSION, 4), *levels]


def _load_trace() -> go.Scatter:
    return go.Scatter(
        name="load", x=[], y=[], text=[], mode="lines+markers+text", line={"color": MARK, "width": 2.5},
        marker={"symbol": "arrow", "size": 13, "angleref": "previous", "color": MARK}, hoverinfo="skip",
        textposition="top center", textfont={"color": MARK, "size": 13}, showlegend=False,
    )  # fmt: skip


def _lay_out(figure: go.Figure) -> None:
    for row in (1, 2, 3):
        figure.update_xaxes(range=[-REACH_MM, REACH_MM], row=row, col=1, **FIXED)
        figure.update_yaxes(row=row, col=1, **FIXED)
    figure.update_xaxes(title="along the tube from the middle, mm (left side negative)", row=3, col=1)
    figure.update_yaxes(range=[-50, 205], scaleanchor="x", row=1, col=1)
    title = {"text": screened_title(), "font": {"size": 13, "color": MARK}, "x": 0.01, "y": 0.985, "yanchor": "top"}
    on_paper(figure, 820, (56, 12, 74, 44), uirevision="strength", title=title, showlegend=None)
    titles_left(figure)
    _place_legends(figure)
    figure.add_annotation(
        name="not valid", text=NOT_VALID, x=-REACH_MM + 8.0, y=0.0, xanchor="left", yanchor="bottom", showarrow=False,
        font={"color": WARN, "size": 12}, row=3, col=1,
    )  # fmt: skip


def _place_legends(figure: go.Figure) -> None:
    # each row has its legend on the line of its title
    for trace in figure.data:
        trace.legend = trace.xaxis.replace("x", "legend")
    for number in ("", "2", "3"):
        top = figure.layout[f"yaxis{number}"].domain[1]
        place = {"orientation": "h", "x": 1.0, "xanchor": "right", "y": top, "yanchor": "bottom"}
        figure.update_layout({f"legend{number}": place})


def update_strength(figure: go.Figure, bar: LoadedBar) -> None:
    """Put a loaded bar into the figure."""
    traces = {trace.name: trace for trace in figure.data}
    low, high = bar.material.yield_low_mpa, bar.material.yield_high_mpa
    _update_bar(traces, bar, low, high)
    _update_load(traces["load"], bar)
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
    figure.layout.yaxis3.range = [0.0, 1.15 * max(high, bar.elastic_mpa)]
    figure.layout.yaxis2.range = [0.0, 1.1 * max(10.0, float(np.linalg.norm(moments, axis=1).max()))]
    figure.update_annotations({"y": low}, selector={"name": "not valid"})


def _update_bar(traces: dict, bar: LoadedBar, low: float, high: float) -> None:
    points = np.concatenate([bar.left.points_mm[::-1], bar.right.points_mm])[:, [0, 2]]
    draw(traces["centre line"], points)
    traces["stem"].update(x=[-bar.stem_half_mm, bar.stem_half_mm], y=[0.0, 0.0])
    joints = [side.joint_mm for _, side in bar.sides if side.joint_mm is not None]
    traces["crossbar"].update(x=[joint[0] for joint in joints], y=[joint[2] for joint in joints])
    level = np.digitize(_both(bar.left.elastic_mpa, bar.right.elastic_mpa), [low, high])
    judged = bar.case.cycles <= 1.0  # yield says nothing of fatigue
    draw(traces["not judged"], points[:0] if judged else points)
    for number, (name, _, _) in enumerate(LEVELS):
        draw(traces[name], points[(level == number) & judged])


def widths_figure(widths_mm: Array, ratios: Array, names: Sequence[str], case_name: str) -> go.Figure:
    """Largest elastic stress over nominal yield against width, one line a tube: `ratios` (tubes, widths)."""
    figure = go.Figure()
    looks = zip((DIMENSION, BEND, STRAIGHT, SECOND, MARK), ("solid", "dash", "dot", "dashdot", "longdash"), strict=True)
    for name, line, (colour, dash) in zip(names, ratios, cycle(looks), strict=False):
        figure.add_trace(go.Scatter(
            name=name, x=widths_mm, y=line, mode="lines", line={"color": colour, "width": 3, "dash": dash},
            hovertemplate="%{x:.1f} mm: %{y:.2f}<extra>%{fullData.name}</extra>",
        ))  # fmt: skip
    title = {"text": screened_title(), "font": {"size": 13, "color": MARK}, "x": 0.01}
    on_paper(figure, 400, (60, 12, 62, 46), legend={"x": 0.02, "y": 0.98}, title=title, showlegend=None)
    figure.update_xaxes(title="width, mm", **QUIET)
    figure.update_yaxes(title=f"{case_name}: stress over first yield", **QUIET)
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
