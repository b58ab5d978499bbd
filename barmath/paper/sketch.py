"""A sketch of the glossary on paper."""

from __future__ import annotations

import numpy as np

from barmath.glossary.sketch import Sketch
from barmath.paper.page import SOFT, TINT, Page

LETTERS_PT = 5.8
"""Letters of a name on a sketch that is not drawn larger."""

_INK: dict[str, tuple[float, tuple[float, ...]]] = {"line": (0.2, ()), "dash": (0.2, (1.2, 0.8)), "strong": (0.7, ())}


def draw_sketch(
    page: Page, corner: tuple[float, float], size: tuple[float, float], sketch: Sketch, larger: float = 1.0
) -> None:
    """Draw a sketch into a box of the page.

    Parameters
    ----------
    page : Page
    corner : (x, y)
        Upper left corner of the box, mm.
    size : (width, height)
        Of the box, mm.
    sketch : Sketch
    larger : float
        How many times larger its names are written.
    """
    (x, y), (width, height) = corner, size
    scale, shift = sketch.fitted(width, height, 2.5, 5.0)
    for stroke in sketch.strokes:
        points = _placed(scale * stroke.points + shift, x, y, height)
        if stroke.look == "tube":
            wide = max(scale * stroke.wide_mm, 0.5)
            page.line(points, wide + 0.3, colour=SOFT)
            page.line(points, wide, colour="0.85")
        elif stroke.look == "tool":
            page.shape(points, edge=0.2, fill=TINT)
        else:
            thick, dash = _INK[stroke.look]
            page.line(points, thick, dash=dash)
    for label in sketch.labels:
        room = 0.55 * larger * len(label.words)
        across, up = scale * np.asarray(label.at) + shift
        across = min(max(float(across), room + 0.8), width - room - 0.8)
        up = min(max(float(up), 2.0), height - 2.4)
        page.text(x + across, y + height - up + 0.8, label.words, LETTERS_PT * larger, align="center")


def _placed(points: np.ndarray, x: float, y: float, height: float) -> np.ndarray:
    return np.column_stack([x + points[:, 0], y + height - points[:, 1]])
