"""A line that a reader draws: one point for each place, moved by slider, key or typing, and a chart that follows."""

from __future__ import annotations

import ipywidgets as widgets

from barmath.panels.entry import NumberRow
from barmath.pictures.drawn_line import drawn_line_svg
from barmath.practice.bets import Line, line_text

STEP = 1.0


class DrawnLine:
    """The rows of a line, its chart, and the line as one text.

    Attributes
    ----------
    box : VBox
        Chart and rows.
    """

    def __init__(self, line: Line) -> None:
        self.line, self.answered = line, False
        low, high = line.span
        self.rows = [
            NumberRow(f"At {line.place_words(place)}", low, low, high, STEP, length=line.height_unit == "mm")
            for place in range(len(line.places))
        ]
        self.chart = widgets.HTML()
        for row in self.rows:
            row.observe(self._draw, "value")
        self._draw()
        self.box = widgets.VBox([self.chart, *(row.widget for row in self.rows)])

    @property
    def value(self) -> str:
        """The heights as one text."""
        return line_text(tuple(row.value for row in self.rows))

    @value.setter
    def value(self, text: str) -> None:
        parts = text.split(";")
        for row, part in zip(self.rows, parts, strict=len(parts) == len(self.rows)):
            row.box.value = part.strip()

    @property
    def disabled(self) -> bool:
        """Whether the points can no longer be moved."""
        return self.rows[0].box.disabled

    @disabled.setter
    def disabled(self, disabled: bool) -> None:
        self.answered = disabled
        for row in self.rows:
            row.set_enabled(not disabled)
        self._draw()

    def _draw(self, _: dict | None = None) -> None:
        self.chart.value = drawn_line_svg(self.line, tuple(row.value for row in self.rows), self.answered)
