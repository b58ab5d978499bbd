"""Where the names of lines go so that they cover no line and not each other."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

STEP_MM = 1.0
FARTHEST_MM = 40.0


def clear_shifts(
    ends: ArrayLike, size: tuple[float, float], lines: Sequence[NDArray[np.float64]], top: float, bottom: float
) -> list[float]:
    """How far down (or up, negative) each label must move from its line's end to be free; the nearest place wins.

    Parameters
    ----------
    ends : (m, 2)
        Where the middle of each label's left side is if nothing is in the way, mm on the page, y downward.
    size : pair of float
        Width and height of every label, mm.
    lines : sequence of (n, 2)
        What must not be covered: each line as points closer together than a label is high.
    top, bottom : float
        The band the labels must stay in, mm on the page.

    Returns
    -------
    list of float
        One shift a label, mm; 0 where no place within `FARTHEST_MM` is free.
    """
    half = 0.5 * size[1]
    points = np.concatenate([np.asarray(line, float) for line in lines]) if lines else np.empty((0, 2))
    steps = np.arange(STEP_MM, FARTHEST_MM + STEP_MM, STEP_MM)
    candidates = np.concatenate([[0.0], np.stack([-steps, steps], -1).ravel()])
    taken: list[tuple[float, float]] = []
    shifts = []
    for across, down in np.asarray(ends, float):
        beside = points[(points[:, 0] > across) & (points[:, 0] < across + size[0]), 1]
        others = [y for x, y in taken if abs(x - across) < size[0]]
        shift = 0.0
        for candidate in candidates:
            y = down + candidate
            inside = top + half <= y <= bottom - half
            if inside and not np.any(np.abs(beside - y) < half) and all(abs(other - y) >= size[1] for other in others):
                shift = float(candidate)
                break
        taken.append((across, down + shift))
        shifts.append(shift)
    return shifts
