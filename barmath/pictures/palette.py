"""One palette and one camera for every picture.

The colours are Okabe and Ito's, which colour-blind people can tell apart; what a colour means is always said by a
shape, a dash or a word as well.
"""

from html import escape

INK = "#1f2933"
FAINT = "#c9d1d9"
GRID = "#e8ecef"
STRAIGHT = "#5b6770"
BEND = "#e69f00"
MARK = "#b3261e"
DIMENSION = "#0072b2"
GOOD = "#00704f"
WARN = "#9a6700"
BAD = "#b3261e"
SECOND = "#56b4e9"
PAPER = "#ffffff"

FONT = "system-ui, -apple-system, 'Segoe UI', 'DejaVu Sans', sans-serif"

CAMERA = {
    "eye": {"x": -0.4, "y": -1.8, "z": 0.8},
    "up": {"x": 0.0, "y": 0.0, "z": 1.0},
    "center": {"x": 0.0, "y": 0.0, "z": 0.0},
    "projection": {"type": "orthographic"},
}
"""Seen as the rider sees the bar: from behind, a little from above and the left."""


def as_written(words: str) -> str:
    """What a user named, as a text of a figure: Plotly would take its angle brackets for tags."""
    return escape(words, quote=False)
