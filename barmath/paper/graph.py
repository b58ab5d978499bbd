"""A graph on a page: a frame in mm, a scale from numbers to places, axes in mm and inches, lines with names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.lines import Line2D
from numpy.typing import ArrayLike, NDArray

from barmath.lengths import MM_PER_INCH
from barmath.paper.page import RULE, Page, text_width

DASHES = ((), (3.2, 1.4), (1.0, 1.0), (5.0, 1.2, 1.0, 1.2), (1.8, 1.8), (7.0, 1.6))
"""Lines that differ in black and white, mm on and off."""

BELOW = 0.5
"""Drawing order of what words wipe out behind them."""


@dataclass(frozen=True)
class Graph:
    """A frame on a page and the numbers at its edges.

    Parameters
    ----------
    page : Page
    left, top, width, height : float
        The frame, mm on the page.
    x_range, y_range : pair of float
        The numbers at its left and right, and at its lower and upper edge.
    scale : float
        Size of type and lines, 1 on A4.
    """

    page: Page
    left: float
    top: float
    width: float
    height: float
    x_range: tuple[float, float]
    y_range: tuple[float, float]
    scale: float = 1.0

    def to_page(self, x: ArrayLike, y: ArrayLike) -> NDArray[np.float64]:
        """Places (m, 2) on the page of numbers x and y."""
        (x0, x1), (y0, y1) = self.x_range, self.y_range
        across = self.left + (np.asarray(x, float) - x0) / (x1 - x0) * self.width
        down = self.top + (y1 - np.asarray(y, float)) / (y1 - y0) * self.height
        return np.stack(np.broadcast_arrays(across, down), -1)

    def from_page(self, places: ArrayLike) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Numbers x and y at places (m, 2) on the page: what a reader with a ruler reads off."""
        across, down = np.asarray(places, float).T
        (x0, x1), (y0, y1) = self.x_range, self.y_range
        return x0 + (across - self.left) / self.width * (x1 - x0), y1 - (down - self.top) / self.height * (y1 - y0)

    def curve(self, name: str, x: ArrayLike, y: ArrayLike, dash: tuple[float, ...] = (), width: float = 0.9) -> Line2D:
        """A line through numbers; `name` finds it again as `line.get_gid()`."""
        self.page.line(self.to_page(x, y), width * self.scale, dash=tuple(d * self.scale for d in dash))
        drawn = self.page.axes.lines[-1]
        drawn.set_gid(name)
        return drawn

    def drawn(self, name: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """The numbers of the line of that name, read back off the page."""
        (line,) = [line for line in self.page.axes.lines if line.get_gid() == name]
        return self.from_page(np.stack([line.get_xdata(), line.get_ydata()], -1))

    def words(self, x: float, y: float, words: str, size: float, *, bold: bool = False, align: str = "left") -> None:
        """Text with a baseline that starts, ends or is centred at numbers (x, y), with the grid wiped out behind it."""
        ((across, down),) = self.to_page([x], [y])
        size *= self.scale
        width = text_width(words, size, bold)
        left = across - {"left": 0.0, "center": 0.5, "right": 1.0}[align] * width
        self.page.box(left, down - 0.3 * size, width, 0.38 * size, edge=0.0, fill="white")
        self.page.text(across, down, words, size, bold=bold, align=align)

    def frame(self) -> None:
        """The frame itself."""
        self.page.box(self.left, self.top, self.width, self.height, edge=0.35 * self.scale)

    def grid(self, x_steps: Sequence[float], y_steps: Sequence[float]) -> None:
        """Thin lines at numbers, below all else."""
        ends = [([x, x], self.y_range) for x in x_steps] + [(self.x_range, [y, y]) for y in y_steps]
        for x_end, y_end in ends:
            self.page.line(self.to_page(x_end, y_end), 0.12 * self.scale, colour=RULE)
            self.page.axes.lines[-1].set_zorder(BELOW)

    def numbers_below(self, steps: Sequence[float], size: float, title: str) -> None:
        """Numbers along the lower edge, and what they are."""
        size *= self.scale
        for x in steps:
            ((across, _),) = self.to_page([x], [self.y_range[0]])
            self.page.text(across, self.bottom + 0.45 * size, f"{x:g}", size, align="center")
        self.page.text(self.left + self.width / 2.0, self.bottom + size, title, size, align="center")

    def numbers_left(self, steps: Sequence[float], size: float, title: str) -> None:
        """Numbers along the left edge, and what they are, written upward."""
        size *= self.scale
        for y in steps:
            ((edge, down),) = self.to_page([self.x_range[0]], [y])
            self.page.text(edge - 1.5 * self.scale, down + 0.12 * size, f"{y:g}", size, align="right")
        beside = self.left - 3.0 * self.scale - max(text_width(f"{y:g}", size) for y in steps)
        self.page.text(beside, self.top + self.height / 2.0, title, size, align="center", turned=90.0)

    def inches_above(self, size: float, title: str, step: float = 0.5) -> None:
        """Ticks in inches along the upper edge of a graph in mm."""
        size *= self.scale
        above = self.top - 1.9 * self.scale
        for inch in _inches(self.x_range, step):
            ((across, edge),) = self.to_page([inch * MM_PER_INCH], [self.y_range[1]])
            self._tick(across, edge, 0.0, -1.2)
            self.page.text(across, above, f"{inch:g}", size, align="center")
        self.page.text(self.left + self.width, above - 0.42 * size, title, size, align="right")

    def inches_right(self, size: float, title: str, step: float = 0.5) -> None:
        """Ticks in inches along the right edge of a graph in mm."""
        size *= self.scale
        edge = self.left + self.width
        for inch in _inches(self.y_range, step):
            ((_, down),) = self.to_page([self.x_range[1]], [inch * MM_PER_INCH])
            self._tick(edge, down, 1.2, 0.0)
            self.page.text(edge + 1.8 * self.scale, down + 0.12 * size, f"{inch:g}", size)
        beside = edge + 10.8 * self.scale
        self.page.text(beside, self.top + self.height / 2.0, title, size, align="center", turned=90.0)

    @property
    def bottom(self) -> float:
        """The lower edge, mm on the page."""
        return self.top + self.height

    def _tick(self, x: float, y: float, across: float, down: float) -> None:
        self.page.line([(x, y), (x + across * self.scale, y + down * self.scale)], 0.2 * self.scale)


def round_steps(span: tuple[float, float], step: float) -> list[float]:
    """Multiples of `step` inside `span`."""
    first = int(np.ceil(span[0] / step - 1e-9))
    last = int(np.floor(span[1] / step + 1e-9))
    return [step * number for number in range(first, last + 1)]


def _inches(span: tuple[float, float], step: float) -> list[float]:
    return round_steps((span[0] / MM_PER_INCH, span[1] / MM_PER_INCH), step)
