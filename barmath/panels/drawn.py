"""A line that a reader draws: on its chart with a pointer, or point by point by slider, key or typing."""

from __future__ import annotations

import ipywidgets as widgets

from barmath.panels.drawn_chart import DrawnChart
from barmath.panels.entry import NumberRow
from barmath.pictures.drawn_line import drawn_line_places, drawn_line_svg
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
        self.line, self.answered, self._pointed = line, False, False
        low, high = line.span
        self.rows = [
            NumberRow(f"At {line.place_words(place)}", low, low, high, STEP, length=line.height_unit == "mm")
            for place in range(len(line.places))
        ]
        across, ends = drawn_line_places(line)
        self.chart = DrawnChart(across=across, ends=ends, span=[low, high])
        for row in self.rows:
            row.observe(self._draw, "value")
        self._draw()
        self.chart.observe(self._drawn_on, "heights")
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
        self.chart.drawable = not disabled
        for row in self.rows:
            row.set_enabled(not disabled)
        self._draw()

    def _drawn_on(self, change: dict) -> None:
        # all points first: each of them alone would show the page a line of before
        if self.answered or self._pointed:
            return
        self._pointed = True
        low, high = self.line.span
        for row, height in zip(self.rows, change["new"], strict=False):
            if row.value != height:
                row.refused = ""
                row.value = min(max(height, low), high)
        self._pointed = False
        self._draw()

    def _draw(self, _: dict | None = None) -> None:
        if self._pointed:
            return
        heights = tuple(row.value for row in self.rows)
        self.chart.value = drawn_line_svg(self.line, heights, self.answered)
        self.chart.heights = list(heights)
