"""A sketch of the glossary as SVG, and the glossary as a page of them."""

from __future__ import annotations

from html import escape

import numpy as np

from barmath.glossary.sketch import Sketch, Stroke
from barmath.glossary.terms import GROUPS, Term
from barmath.pictures.palette import DIMENSION, FAINT, FONT, GRID, INK, PAPER, STRAIGHT

WIDTH, HEIGHT = 230.0, 120.0
_LETTERS = 11.0

_STYLE = {
    "tool": f'fill="{GRID}" stroke="{STRAIGHT}" stroke-width="1"',
    "line": f'fill="none" stroke="{INK}" stroke-width="1"',
    "dash": f'fill="none" stroke="{INK}" stroke-width="1" stroke-dasharray="5 3"',
    "strong": f'fill="none" stroke="{DIMENSION}" stroke-width="3"',
}


_COLUMNS = "repeat(auto-fill, minmax(min(268px, 100%), 1fr))"
"""As many cards beside each other as there is room for; together they are as wide as the page."""


def sketch_svg(
    sketch: Sketch, words: str, width: float = WIDTH, height: float = HEIGHT, letters: float = _LETTERS
) -> str:
    """An SVG element of `width` by `height`; `words` is what a screen reader says."""
    scale, shift = sketch.fitted(width, height, 8.0, 10.0)
    drawn = [_stroke(one, scale, shift, height) for one in sketch.strokes]
    half_letter = 3.2 * letters / _LETTERS
    for label in sketch.labels:
        x, y = scale * np.asarray(label.at) + shift
        x = min(max(x, half_letter * len(label.words)), width - half_letter * len(label.words))
        y = min(max(y, 8.0), height - 6.0)
        drawn.append(
            f'<text x="{x:.1f}" y="{height - y + 4.0:.1f}" text-anchor="middle" font-size="{letters}" '
            f'paint-order="stroke" stroke="{PAPER}" stroke-width="3" fill="{INK}">{escape(label.words)}</text>'
        )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" width="{width:.0f}" '
        f'height="{height:.0f}" role="img" aria-label="{escape(words)}" font-family="{escape(FONT)}" '
        f'style="background: {PAPER}; max-width: 100%">{"".join(drawn)}</svg>'
    )


def glossary_html() -> str:
    """Every term with its sketch, meaning and lesson, in groups, as HTML that needs no scripts."""
    return "".join(
        f'<h3>{escape(group)}</h3><div style="display: grid; gap: 12px; grid-template-columns: {_COLUMNS}">'
        f"{''.join(_card(term) for term in terms)}</div>"
        for group, terms in GROUPS.items()
    )


def _card(term: Term) -> str:
    said = f"Sketch: {term.name}. {term.meaning}"
    return (
        f'<div style="border: 1px solid {FAINT}; border-radius: 4px; padding: 8px; background: {PAPER}; color: {INK}">'
        f'<div style="text-align: center">{sketch_svg(term.sketch(), said)}</div><div><b>{escape(term.name)}</b></div>'
        f'<div>{escape(term.meaning)} <span style="white-space: nowrap">(lesson {term.lesson})</span></div></div>'
    )


def _stroke(stroke: Stroke, scale: float, shift: np.ndarray, height: float) -> str:
    points = scale * stroke.points + shift
    path = " ".join(f"{x:.1f},{height - y:.1f}" for x, y in points)
    if stroke.look == "tube":
        width = max(scale * stroke.wide_mm, 1.5)
        edge = f'<polyline points="{path}" fill="none" stroke="{STRAIGHT}" stroke-width="{width + 1.4:.1f}"/>'
        return edge + f'<polyline points="{path}" fill="none" stroke="{FAINT}" stroke-width="{width:.1f}"/>'
    return f'<polyline points="{path}" {_STYLE[stroke.look]}/>'
