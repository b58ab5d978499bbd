"""A bar in its stem, with the hand and the sweeps as it rolls: what the picture of two bars is drawn from."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.rider.hands import Hand
from barmath.space.drawing import Drawing

ROLLS_DEG = np.linspace(-30.0, 30.0, 61)
"""How far the bar is rolled from where it is, for its sweeps."""


class Mounted(NamedTuple):
    """A bar in its stem: its drawing in the bar's own frame, and the middle of its clamp (forward, up) from the
    steering axis. Also the hand, and its sweeps at `ROLLS_DEG` away from where it is rolled: backsweep and upsweep
    (61,) each.
    """

    drawing: Drawing
    clamp: tuple[float, float]
    hand: Hand
    backsweep_deg: Array
    upsweep_deg: Array
