"""An old bar and a new one from behind and above, the way of the right hand, and the sweeps."""

from __future__ import annotations

import numpy as np
import plotly.graph_objects as go
from plotly.subplots import make_subplots

from barmath.arrays import Array
from barmath.pictures.look import FIXED, equal_scales, on_paper, outline, round_end
from barmath.pictures.palette import BEND, DIMENSION, INK
from barmath.rider.mounted import ROLLS_DEG, Mounted

COLOURS = (DIMENSION, BEND)
DASHES = ("solid", "dash")
SYMBOLS = ("circle", "diamond")
NAMES = ("old bar", "new bar")
LEAST_REACH_MM = 20.0
"""How much of the room round the old hand is shown at least."""

_ACROSS = (-540.0, 540.0)
_VIEWS = ("front", "above", "side")


def two_bars_figure() -> go.Figure:
    """The figure with its traces and nothing in them."""
    figure = make_subplots(
        rows=3, cols=2, row_heights=[0.25, 0.29, 0.46], vertical_spacing=0.1, horizontal_spacing=0.12,
        specs=[[{"colspan": 2}, None], [{"colspan": 2}, None], [{}, {}]],
        subplot_titles=("From behind", "From above", "How the right hand moves, from its side",
                        "Thick: backsweep, thin: upsweep, deg"),
    )  # fmt: skip
    for number in range(2):
        for view, place in zip(_VIEWS, ((1, 1), (2, 1), (3, 1)), strict=True):
            for trace in _view_traces(view, number):
                figure.add_trace(trace, row=place[0], col=place[1])
        figure.add_traces(_sweeps(number), rows=[3] * 3, cols=[2] * 3)
    figure.add_trace(_move(), row=3, col=1)
    _lay_out(figure)
    return figure


def update_two_bars(figure: go.Figure, bars: tuple[Mounted | None, Mounted | None]) -> None:
    """Put two bars, or one, or none into the figure."""
    traces = {trace.name: trace for trace in figure.data}
    for name, bar in zip(NAMES, bars, strict=True):
        own = {what.removeprefix(name).strip(): trace for what, trace in traces.items() if what.startswith(name)}
        if bar is not None:
            _show_bar(own, bar)
        for trace in own.values() if bar is None else ():
            trace.visible = False
    sweeps = [each for bar in bars if bar is not None for each in (bar.backsweep_deg, bar.upsweep_deg)]
    if sweeps:
        figure.update_yaxes(range=_whole_tens(np.concatenate(sweeps)), row=3, col=2)
    _show_move(figure, traces, bars)


def _whole_tens(values: Array) -> list[float]:
    # a range for values that changes rarely
    return [10.0 * float(np.floor(values.min() / 10.0 - 0.1)), 10.0 * float(np.ceil(values.max() / 10.0 + 0.1))]


def _show_bar(traces: dict, bar: Mounted) -> None:
    (forward, up), hand = bar.clamp, bar.hand
    front, above = outline(bar.drawing.front), outline(bar.drawing.above)
    _show(traces["front"], front[:, 0], front[:, 1] + up)
    _show(traces["above"], above[:, 0], forward - above[:, 1])  # the drawing counts back, the picture forward
    out, ahead, high = float(hand.out_mm), float(hand.forward_mm), float(hand.up_mm)
    _show(traces["front hand"], [-out, out], [high, high])
    _show(traces["above hand"], [-out, out], [ahead, ahead])
    _show(traces["backsweep"], ROLLS_DEG, bar.backsweep_deg)
    _show(traces["upsweep"], ROLLS_DEG, bar.upsweep_deg)
    _show(traces["now"], [0.0, 0.0], [float(hand.backsweep_deg), float(hand.upsweep_deg)])


def _show(trace: go.Scatter, x: object, y: object) -> None:
    trace.update(x=x, y=y, visible=True)


def _view_traces(view: str, number: int) -> list[go.Scatter]:
    name, colour, dash = NAMES[number], COLOURS[number], DASHES[number]
    outline = [
        go.Scatter(name=f"{name} {view}", x=[], y=[], mode="lines", hoverinfo="skip", showlegend=False,
                   line={"color": colour, "width": 2.2, "dash": dash})
    ]  # fmt: skip
    return [
        *(outline if view != "side" else []),
        go.Scatter(name=f"{name} {view} hand", x=[], y=[], mode="markers", hoverinfo="skip", showlegend=False,
                   marker={"color": colour, "symbol": SYMBOLS[number], "size": 13, "line": {"color": INK, "width": 1}}),
    ]  # fmt: skip


def _move() -> go.Scatter:
    marker = {"symbol": "arrow", "angleref": "previous", "size": 16, "color": INK}
    return go.Scatter(name="move of the hand", x=[], y=[], mode="lines+markers", hoverinfo="skip", showlegend=False,
                      line={"color": INK, "width": 3}, marker=marker)  # fmt: skip


def _show_move(figure: go.Figure, traces: dict, bars: tuple[Mounted | None, Mounted | None]) -> None:
    # the right hand seen from its side, from where it is on the old bar
    old, new = bars
    if old is None or new is None:
        for name in ("move of the hand", *(f"{name} side hand" for name in NAMES)):
            traces[name].visible = False
        return
    ahead, up = (float(getattr(new.hand, part)) - float(getattr(old.hand, part)) for part in ("forward_mm", "up_mm"))
    _show(traces[f"{NAMES[0]} side hand"], [0.0], [0.0])
    _show(traces[f"{NAMES[1]} side hand"], [ahead], [up])
    _show(traces["move of the hand"], [0.0, ahead], [0.0, up])
    reach = round_end(max(LEAST_REACH_MM, 1.2 * abs(ahead), 1.2 * abs(up)))
    figure.update_xaxes(range=[-reach, reach], row=3, col=1)
    figure.update_yaxes(range=[-reach, reach], row=3, col=1)


def _sweeps(number: int) -> list[go.Scatter]:
    name, colour = NAMES[number], COLOURS[number]

    def line(what: str, width: float) -> go.Scatter:
        return go.Scatter(
            name=f"{name} {what}", x=[], y=[], mode="lines", line={"color": colour, "width": width,
            "dash": DASHES[number]}, hovertemplate="turned %{x:.0f} deg: %{y:.1f}<extra>%{fullData.name}</extra>",
            showlegend=False,
        )  # fmt: skip

    now = go.Scatter(name=f"{name} now", x=[], y=[], mode="markers", hoverinfo="skip", showlegend=False,
                     marker={"color": colour, "symbol": SYMBOLS[number], "size": 11})  # fmt: skip
    return [line("backsweep", 3.2), line("upsweep", 1.4), now]


def _lay_out(figure: go.Figure) -> None:
    key = "<b>old bar</b> blue, full lines, round hands; <b>new bar</b> orange, dashed, diamond hands"
    title = {"text": key, "font": {"size": 13}, "x": 0.01, "y": 0.99, "yanchor": "top"}
    on_paper(figure, 760, (50, 12, 50, 44), uirevision="two bars", title=title)
    equal_scales(figure, 1, _ACROSS, (-40, 200), "up, mm", **FIXED)
    equal_scales(figure, 2, _ACROSS, (-160, 120), "forward, mm", **FIXED)
    equal_scales(figure, 3, (-20, 20), (-20, 20), "up, mm", **FIXED)
    for row in (1, 2):
        figure.update_xaxes(title={"text": "across, mm", "standoff": 2}, row=row, col=1)
    figure.update_xaxes(title="back (left) or forward (right), mm", row=3, col=1)
    figure.update_xaxes(range=[-30, 30], title="more stem roll, deg (plus: rearward)", row=3, col=2, **FIXED)
    figure.update_yaxes(range=[0, 20], row=3, col=2, **FIXED)
    for title in figure.layout.annotations:
        title.update(yshift=8, xanchor="left", x=0.0 if title.x <= 0.5 else 0.56, font={"size": 13, "color": INK})
