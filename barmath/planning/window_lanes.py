"""What the picture of the rise windows is drawn from: a lane for each die and stop."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray


class WindowLanes(NamedTuple):
    """Rise windows to draw: one lane a die and stop, bottom to top, sorted as `die_names`.

    lane, lowest, highest : (k,) arrays; picked : place of the lane that is shown, or None.
    """

    die_names: Sequence[str]
    die_index: NDArray[np.intp]
    bend_deg: NDArray[np.float64]
    lowest_mm: NDArray[np.float64]
    highest_mm: NDArray[np.float64]
    picked: int | None
    ordered_mm: float
