"""The axes of a figure in millimetres or in inches: the data stay in mm, only the numbers beside the axes changes."""

from __future__ import annotations

import re

import numpy as np
import plotly.graph_objects as go

from barmath.lengths import MM_PER_INCH, length_text

MOST_TICKS = 9
STEPS_IN = (0.25, 0.5, 1.0, 2.0, 4.0, 5.0, 10.0, 20.0, 50.0)

HOVER_MM = "%{x:.1f} mm"
"""A length under the pointer, as a picture asks for it."""

_HOVER_IN = "%{hovertext}"
_LENGTH = re.compile(r", (mm|in)\b")


def axes_in(figure: go.Figure, unit: str) -> None:
    """Label every flat axis of lengths in `unit`, "mm" or "in", and what is shown under the pointer alike.

    An axis shows lengths where its title names one, as in "rise, mm". So does an axis that has its scale or its range.
    Call it once the data are in the figure, because they set the range of an axis without its own.
    """
    with figure.batch_update():
        _label(figure, unit)
        _point(figure, unit)


def _label(figure: go.Figure, unit: str) -> None:
    axes = {axis.plotly_name.replace("axis", ""): axis for axis in (*figure.select_xaxes(), *figure.select_yaxes())}
    for name in _of_lengths(axes):
        axis = axes[name]
        if axis.title.text:
            axis.title.text = _LENGTH.sub(f", {unit}", axis.title.text)
        ticks = None if unit == "mm" else _ticks(_span(figure, name[0], axis))
        if ticks is not None:
            axis.update(tickmode="array", tickvals=list(ticks * MM_PER_INCH), ticktext=[f"{t:g}" for t in ticks])
        elif axis.tickmode == "array":
            axis.update(tickmode=None, tickvals=None, ticktext=None)


def _of_lengths(axes: dict[str, go.layout.XAxis | go.layout.YAxis]) -> set[str]:
    """The names of the axes that show lengths, from all axes of a figure by name."""
    named = {name for name, axis in axes.items() if _LENGTH.search(axis.title.text or "")}
    ties = [{name, other} for name, axis in axes.items() for other in (axis.scaleanchor, axis.matches) if other]
    return named.union(*(tie for tie in ties if tie & named))


def _point(figure: go.Figure, unit: str) -> None:
    # the length under the pointer: the data are in mm and a template cannot divide
    for trace in figure.data:
        template = (getattr(trace, "hovertemplate", None) or "").replace(_HOVER_IN, HOVER_MM)
        if HOVER_MM not in template:
            continue
        if unit == "mm":
            trace.update(hovertext=None, hovertemplate=template)
            continue
        words = [length_text(float(x), unit) if np.isfinite(x) else "" for x in np.asarray(trace.x, float)]
        trace.update(hovertext=words, hovertemplate=template.replace(HOVER_MM, _HOVER_IN))


def _span(figure: go.Figure, which: str, axis: go.layout.XAxis | go.layout.YAxis) -> tuple[float, float] | None:
    if axis.range and None not in axis.range:
        return min(axis.range), max(axis.range)
    name = which + axis.plotly_name.removeprefix(f"{which}axis")
    on_it = (trace for trace in figure.data if f"{which}axis" in trace and (trace[f"{which}axis"] or which) == name)
    values = [np.asarray(trace[which], float).ravel() for trace in on_it if trace[which] is not None]
    known = np.concatenate([np.empty(0), *values])
    known = known[np.isfinite(known)]
    return (float(known.min()), float(known.max())) if known.size else None


def _ticks(span: tuple[float, float] | None) -> np.ndarray | None:
    if span is None:
        return None
    low, high = (end / MM_PER_INCH for end in span)
    step = next((step for step in STEPS_IN if high - low <= MOST_TICKS * step), STEPS_IN[-1])
    return np.arange(np.ceil(low / step), np.floor(high / step) + 1.0) * step + 0.0  # no -0
