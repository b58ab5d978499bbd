"""A bar in its stem, with the hand and the sweeps as it turns there: what the picture of two bars is drawn from."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.rider.hands import Hand, grip_along
from barmath.space.drawing import Drawing

ROLLS_DEG = np.linspace(-30.0, 30.0, 61)
"""How far the bar is turned in its stem from where it is, for its sweeps."""


class Mounted(NamedTuple):
    """A bar in its stem: its drawing in the bar's own frame, and the middle of its clamp (forward, up) from the
    steering axis. Also the hand, the head angle, and the sweeps at `ROLLS_DEG` away from where it is: backsweep
    and upsweep (61,) each.
    """

    drawing: Drawing
    clamp: tuple[float, float]
    hand: Hand
    backsweep_deg: Array
    upsweep_deg: Array
    head_angle_deg: float

    @property
    def grip(self) -> Array:
        """Unit vector (3,) along the right grip, toward the bar's end: right, forward, up."""
        return np.asarray(grip_along(self.hand))

    @property
    def steering(self) -> tuple[float, float]:
        """Unit vector (forward, up) along the steering axis, upward: (-cos, sin) of the head angle."""
        theta = self.head_angle_deg * RADIAN
        return -float(np.cos(theta)), float(np.sin(theta))
