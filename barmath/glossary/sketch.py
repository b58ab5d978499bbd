"""A sketch: lines and names in one plane, in mm, that paper and screen can draw alike."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from barmath.arrays import Array
from barmath.refusal import BendError

LOOKS = ("tube", "tool", "line", "dash", "strong")
"""How a stroke is drawn. A tube has its true width, and a tool is a closed shape. A line is thin, a dash is broken.
What the term names is strong: it is thick."""


class Stroke(NamedTuple):
    """A line through points (k, 2), mm, x to the right and y up; `wide_mm` is the width of a tube."""

    points: Array
    look: str = "line"
    wide_mm: float = 0.0


class Label(NamedTuple):
    """Words with their middle at (x, y), mm."""

    words: str
    at: tuple[float, float]


class Sketch(NamedTuple):
    """What is drawn for one term. Sketches of an equal `room_mm` (width, height) are drawn in one scale."""

    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...] = ()
    room_mm: tuple[float, float] = (0.0, 0.0)

    def box_mm(self) -> tuple[Array, Array]:
        """The lower left and the upper right corner, (2,) each, of strokes with their width and the names' middles."""
        names = [np.asarray(label.at, float) for label in self.labels]
        low = np.min([*(s.points.min(axis=0) - s.wide_mm / 2.0 for s in self.strokes), *names], axis=0)
        high = np.max([*(s.points.max(axis=0) + s.wide_mm / 2.0 for s in self.strokes), *names], axis=0)
        return low, high

    def fitted(self, width: float, height: float, aside: float, above: float) -> tuple[float, Array]:
        """Scale and shift that put the sketch into the middle of a box, with room for names at its rim.

        Parameters
        ----------
        width, height : float
            Of the box, in the drawing's own unit.
        aside, above : float
            Room to leave free at the left and right, and above and below.

        Returns
        -------
        float, array of shape (2,)
            A point p of the sketch is at `scale * p + shift`, y still up.
        """
        low, high = self.box_mm()
        size = np.maximum(np.maximum(high - low, self.room_mm), 1e-9)
        scale = float(min((width - 2.0 * aside) / size[0], (height - 2.0 * above) / size[1]))
        if not scale > 0.0:
            raise BendError(
                f"box must leave room beside the names, got {width:.4g} by {height:.4g}: choose a larger box"
            )
        return scale, np.array([width, height]) / 2.0 - scale * (low + high) / 2.0


def line(points: Iterable[ArrayLike], look: str = "line", wide_mm: float = 0.0) -> Stroke:
    """A stroke through points (k, 2)."""
    return Stroke(np.array([np.asarray(point, float) for point in points]), look, wide_mm)


def measure(start: ArrayLike, end: ArrayLike, tick: float = 8.0) -> tuple[Stroke, ...]:
    """What a term measures between two places: a thick line with a tick across each end."""
    a, b = np.asarray(start, float), np.asarray(end, float)
    along = (b - a) / max(float(np.linalg.norm(b - a)), 1e-9)
    across = tick * np.array([-along[1], along[0]])
    return (line([a, b], "strong"), line([a - across, a + across]), line([b - across, b + across]))


def arc(centre: ArrayLike, radius: float, first_deg: float, last_deg: float, look: str = "strong") -> Stroke:
    """Part of a circle, from one angle to another, counted from x toward y."""
    angle = np.radians(np.linspace(first_deg, last_deg, 48))
    return line(np.asarray(centre, float) + radius * np.column_stack([np.cos(angle), np.sin(angle)]), look)


def angle_between(
    corner: ArrayLike, first_deg: float, last_deg: float, reach: float, leg: float = 1.25
) -> tuple[Stroke, ...]:
    """An angle: its thick arc and two thin legs."""
    at = np.asarray(corner, float)
    legs = [
        line([at, at + leg * reach * np.array([np.cos(np.radians(turn)), np.sin(np.radians(turn))])], "dash")
        for turn in (first_deg, last_deg)
    ]
    return (arc(corner, reach, first_deg, last_deg), *legs)


def block(left: float, low: float, right: float, high: float) -> Stroke:
    """A tool as a rectangle."""
    return line([(left, low), (right, low), (right, high), (left, high), (left, low)], "tool")


def disc(centre: ArrayLike, radius: float, look: str = "tool") -> Stroke:
    """A whole circle."""
    return arc(centre, radius, 0.0, 360.0, look)


def bend(start: ArrayLike, heading_deg: float, radius: float, turn_deg: float, count: int = 40) -> tuple[Array, float]:
    """Points (count, 2) of an arc that begins at `start`, to the left for a turn above 0, and its last heading."""
    side = 1.0 if turn_deg >= 0.0 else -1.0
    first = np.radians(heading_deg)
    centre = np.asarray(start, float) + side * radius * np.array([-np.sin(first), np.cos(first)])
    turned = first + np.radians(np.linspace(0.0, turn_deg, count))
    points = centre + side * radius * np.column_stack([np.sin(turned), -np.cos(turned)])
    return points, heading_deg + turn_deg


def onward(start: ArrayLike, heading_deg: float, length: float) -> Array:
    """Where a straight of `length` ends, (2,)."""
    turn = np.radians(heading_deg)
    return np.asarray(start, float) + length * np.array([np.cos(turn), np.sin(turn)])
