"""Rise against die: windows over the bend, what fills the half width, what a tight bend costs, which die to buy."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.arrays import Array
from barmath.pictures.palette import (
    BAD,
    BEND,
    DIMENSION,
    FAINT,
    FONT,
    GOOD,
    GRID,
    INK,
    MARK,
    PAPER,
    SECOND,
    STRAIGHT,
    as_written,
)
from barmath.planning.die_choice import PIECES, DieChoice, HalfBar, WindowCurve
from barmath.shop.forming import OUT_OF_ROUND_LIMIT, RADIUS_IN_DIAMETERS, WALL_BEFORE_BENDING, Forming

MOST_DIES = 6
LEAST_LETTERS = 11
"""Smallest type of the words in a piece of a half bar; a piece too small for them has none."""

_DASH = (0.25, 0.48)
"""Where a line through a half bar is drawn above and below its words, as shares of its row."""

RADIUS_SPAN_MM = (30.0, 225.0)
_DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")
_LINES = (DIMENSION, GOOD, "#cc79a7", STRAIGHT, SECOND, "#7f5f00")
_FILLS = ("rgba(0,114,178,.16)", "rgba(0,112,79,.16)", "rgba(204,121,167,.18)", "rgba(91,103,112,.18)",
          "rgba(86,180,233,.18)", "rgba(127,95,0,.16)")  # fmt: skip
_TYPED_FILL = "rgba(230,159,0,.30)"
_PIECE_COLOURS = {
    "half clamp flat": "#8d99a3",
    "inner arc": BEND,
    "straight": "#b9c2c9",
    "outer arc": BEND,
    "grip": "#d7dde1",
}


ALONE, ADDED = "this die alone", "added to the shop's dies"
_COSTS = {
    "inside wall thickens by": (DIMENSION, "dash", 2),
    "outside wall thins by": (DIMENSION, "solid", 2.5),
    "outside wall thins by, rule of thumb": (STRAIGHT, "dot", 2),
    "outside stretches by": (BAD, "dashdot", 2),
    "wall to add before bending": (GOOD, "solid", 2),
    "elongation of a test piece": (BAD, "dot", 1.2),
    "out of round allowed": (INK, "longdash", 1.5),
}
"""What a bend costs, with colour, dash and width of its line."""


BANDS = (
    ("below 3 D: no published wall", 0.0, 3.0, "rgba(179,38,30,.16)"),
    ("3 to 4 D: may dimple without a mandrel", 3.0, 4.0, "rgba(230,159,0,.20)"),
    ("4 to 5 D: tight, try it on scrap", 4.0, 5.0, "rgba(230,159,0,.08)"),
    ("5 D and more", 5.0, 99.0, "rgba(0,112,79,.07)"),
)
"""Bands of radius over diameter: 3 D ends the table of B31.1, 5 D begins its limit for out-of-round; 4 D is common
practice, no source."""


def windows_figure() -> go.Figure:
    """Rise windows over the bend above, the half width below: all traces, nothing in them."""
    titles = ("Rise that each die can give, for each bend", "What fills the half width, for this bend and rise")
    figure = make_subplots(rows=2, cols=1, row_heights=[0.6, 0.4], vertical_spacing=0.13, subplot_titles=titles)
    looks = [*zip(_LINES, _FILLS, _DASHES, strict=True), (BEND, _TYPED_FILL, "solid")]
    windows = [
        _line(f"window {place}", colour, dash, 2, "%{x:.1f} deg: %{y:.1f} mm", fill="toself", fillcolor=fill)
        for place, (colour, fill, dash) in enumerate(looks)
    ]
    chosen = [_line("rise ordered", MARK, "dash", 1.5), _line("bend chosen", MARK, "dot", 1.5)]
    _add(figure, 1, *windows, *chosen, _texts("names"))
    bars = [_piece_bar(piece, colour) for piece, colour in _PIECE_COLOURS.items()]
    _add(figure, 2, *bars, _line("controls", MARK, "solid", 2), _texts("remarks"))
    _plain(figure, 760)
    figure.update_layout(barmode="stack")
    figure.update_xaxes(title="bend, deg", range=[8, 66], row=1, col=1)
    figure.update_yaxes(title="rise, mm", range=[20, 180], row=1, col=1)
    across = "across from the middle, mm; dashed: where the room for controls must begin"
    figure.update_xaxes(title=across, range=[0, 620], row=2, col=1)
    return figure


def update_windows_figure(
    figure: go.Figure,
    curves: Sequence[tuple[str, WindowCurve | None]],
    typed: tuple[str, WindowCurve | None],
    rise_mm: float,
    bend_deg: float,
    halves: Sequence[HalfBar],
    controls_begin_mm: Sequence[float],
) -> None:
    """Put windows and half bars into the figure; a die without any window is named at the foot of the chart."""
    traces = {trace.name: trace for trace in figure.data}
    names: list[tuple[float, float, str]] = []
    shown = [*list(curves)[:MOST_DIES], *[("", None)] * (MOST_DIES - len(curves)), typed]
    empty = 0
    for place, (name, curve) in enumerate(shown):
        trace = traces[f"window {place}"]
        if curve is None or not curve.open.any():
            trace.update(x=[], y=[])
            if name:
                names.append((9.0, 27.0 + 9.0 * empty, f"{as_written(name)}: no window at any bend"))
                empty += 1
            continue
        bend, low, high = (column[curve.open] for column in (curve.bend_deg, curve.lowest_mm, curve.highest_mm))
        trace.update(x=np.concatenate([bend, bend[::-1], bend[:1]]), y=np.concatenate([low, high[::-1], low[:1]]))
        names.append((bend[-1], (low[-1] + high[-1]) / 2.0, f" {as_written(name)}"))
    traces["names"].update(x=[n[0] for n in names], y=[n[1] for n in names], text=[n[2] for n in names])
    traces["rise ordered"].update(x=[8, 66], y=[rise_mm, rise_mm])
    traces["bend chosen"].update(x=[bend_deg, bend_deg], y=[20, 180])
    places = list(range(len(halves)))
    for piece in PIECES:
        lengths = [half.pieces[piece] if half.pieces else 0.0 for half in halves]
        shown_in = [f"{piece} {length:.0f}" if length > 60 else "" for length in lengths]
        traces[piece].update(x=lengths, y=places, text=shown_in)
    ends = [sum(half.pieces.values()) + 4.0 if half.pieces else 2.0 for half in halves]
    traces["remarks"].update(x=ends, y=places, text=[half.remark for half in halves])
    begins = [(x, place) for place, x in enumerate(controls_begin_mm) if np.isfinite(x)]
    dashes = [(x, place + side * end) for x, place in begins for side in (-1, 1) for end in (*_DASH, np.nan)]
    lines = np.array(dashes).reshape(-1, 2)
    traces["controls"].update(x=lines[:, 0], y=lines[:, 1])
    figure.layout.yaxis2.update(
        tickvals=places, ticktext=[as_written(half.name) for half in halves], range=[-0.6, len(halves) - 0.4]
    )


def choice_figure() -> go.Figure:
    """What a tight bend costs above, the share of the orders a die makes below: all traces, nothing in them."""
    titles = ("What a bend costs the tube, against die radius", "Share of the orders a die can make")
    figure = make_subplots(rows=2, cols=1, row_heights=[0.5, 0.5], vertical_spacing=0.15, subplot_titles=titles)
    costs = [_line(name, *look, "%{y:.1f} %") for name, look in _COSTS.items()]
    rows = go.Scatter(
        name="rows of B31.1", x=[], y=[], mode="markers", marker={"color": GOOD, "size": 9, "symbol": "diamond"},
        hovertemplate="B31.1: %{y:.0f} %<extra></extra>",
    )  # fmt: skip
    bands = [_line(name, FAINT, "solid", 0, fill="toself", fillcolor=fill) for name, _, _, fill in BANDS]
    _add(figure, 1, *bands, *costs, rows, _line("radius 1", MARK, "dot", 2), _texts("band names"))
    dies = go.Scatter(
        name="shop's dies", x=[], y=[], text=[], mode="markers+text", textposition="bottom center", hoverinfo="skip",
        marker={"color": INK, "size": 10, "symbol": "triangle-up"},
    )  # fmt: skip
    shares = [
        _line(ALONE, DIMENSION, "solid", 3, "%{x:.0f} mm: %{y:.0f} %"),
        _line(ADDED, BEND, "dash", 3, "%{y:.0f} %"),
    ]
    _add(figure, 2, *shares, _line("radius 2", MARK, "dot", 2), dies)
    _plain(figure, 820)
    for row in (1, 2):
        figure.update_xaxes(title="die radius, mm", range=RADIUS_SPAN_MM, row=row, col=1)
    figure.update_yaxes(title="per cent", range=[0, 40], row=1, col=1)
    figure.update_yaxes(title="per cent of the orders", range=[-14, 106], row=2, col=1)
    figure.update_layout(showlegend=True, legend={"orientation": "h", "y": -0.13, "x": 0.0, "font": {"size": 12}})
    for trace in figure.data:
        trace.showlegend = trace.name in (*_COSTS, ALONE, ADDED, "rows of B31.1")
    return figure


def update_choice_figure(
    figure: go.Figure,
    radii_mm: Array,
    forming: Forming,
    diameter_mm: float,
    elongation_percent: float,
    choice: DieChoice,
    owned: Sequence[tuple[str, float]],
    radius_mm: float,
) -> None:
    """Put the costs (over `radii_mm`) and the shares into the figure; `owned` are the shop's dies and their radii."""
    traces = {trace.name: trace for trace in figure.data}
    percent = (
        forming.index_inside - 1.0,
        1.0 - forming.index_outside,
        1.0 - forming.rule_of_thumb_wall,
        forming.outer_stretch,
        forming.wall_before_bending - 1.0,
        np.full(radii_mm.shape, elongation_percent / 100.0),
        np.where(forming.radius_in_diameters >= 5.0, OUT_OF_ROUND_LIMIT, np.nan),
    )
    for name, share in zip(_COSTS, percent, strict=True):
        traces[name].update(x=radii_mm, y=100.0 * share)
    rows = np.array(RADIUS_IN_DIAMETERS) * diameter_mm
    traces["rows of B31.1"].update(x=rows, y=100 * (np.array(WALL_BEFORE_BENDING) - 1))
    edges = [(max(low * diameter_mm, RADIUS_SPAN_MM[0]), min(high * diameter_mm, RADIUS_SPAN_MM[1]))
             for _, low, high, _ in BANDS]  # fmt: skip
    for (name, *_), (low, high) in zip(BANDS, edges, strict=True):
        traces[name].update(x=[low, high, high, low, low], y=[0, 0, 40, 40, 0])
    traces["band names"].update(
        x=[low for low, _ in edges],
        y=[38.0 - 3.0 * place for place in range(len(BANDS))],
        text=[f" {name}" for name, *_ in BANDS],
    )
    traces[ALONE].update(x=choice.radii_mm, y=100 * choice.share_alone)
    traces[ADDED].update(x=choice.radii_mm, y=100 * choice.share_added)
    traces["shop's dies"].update(x=[r for _, r in owned], y=[-3.0] * len(owned), text=[as_written(n) for n, _ in owned])
    traces["radius 1"].update(x=[radius_mm] * 2, y=[0, 40])
    traces["radius 2"].update(x=[radius_mm] * 2, y=[-14, 106])


def _line(name: str, colour: str, dash: str, width: float, hover: str = "", **look: object) -> go.Scatter:
    shown = {"hovertemplate": f"{hover}<extra>{name}</extra>"} if hover else {"hoverinfo": "skip"}
    line = {"color": colour, "dash": dash, "width": width}
    return go.Scatter(name=name, x=[], y=[], mode="lines", line=line, **shown, **look)


def _texts(name: str) -> go.Scatter:
    return go.Scatter(name=name, x=[], y=[], text=[], mode="text", textposition="middle right", hoverinfo="skip")


def _piece_bar(piece: str, colour: str) -> go.Bar:
    return go.Bar(
        name=piece, x=[], y=[], orientation="h", text=[], textposition="inside", insidetextanchor="middle",
        marker={"color": colour, "line": {"color": INK, "width": 0.6}},
        hovertemplate=piece + ": %{x:.0f} mm<extra></extra>",
    )  # fmt: skip


def _add(figure: go.Figure, row: int, *traces: go.Scatter | go.Bar) -> None:
    figure.add_traces(list(traces), rows=[row] * len(traces), cols=[1] * len(traces))


def _plain(figure: go.Figure, height: int) -> None:
    axis = {
        "gridcolor": GRID,
        "zeroline": False,
        "linecolor": FAINT,
        "ticks": "outside",
        "tickcolor": FAINT,
        "fixedrange": True,
    }
    figure.update_layout(
        height=height, margin={"l": 64, "r": 12, "t": 30, "b": 40}, showlegend=False, paper_bgcolor=PAPER,
        plot_bgcolor=PAPER, font={"family": FONT, "size": 12, "color": INK}, uirevision="dies",
        uniformtext={"minsize": LEAST_LETTERS, "mode": "hide"},
    )  # fmt: skip
    figure.update_xaxes(**axis)
    figure.update_yaxes(**axis)
    for title in figure.layout.annotations:
        title.update(x=0.0, xanchor="left", font={"size": 14, "color": INK})
