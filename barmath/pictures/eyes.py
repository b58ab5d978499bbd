"""Where the eye is in a picture of the bench, and what it sees from there."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

FOV_DEG = 32.0
MOST_ACROSS, MOST_UP = 1.1, 0.88
"""How far from the middle a letter may be, in half heights: it must be seen in the narrowest picture too."""

BEHIND, ABOVE, ALONG = "from behind the hook", "from above", "along the tube"
EYES = {
    BEHIND: ((-1080.0, -980.0, 590.0), (-85.0, 65.0, -145.0), (0.0, 0.0, 1.0)),
    ABOVE: ((-30.0, 30.0, 1800.0), (-30.0, 30.0, 0.0), (0.0, 1.0, 0.0)),
    ALONG: ((-1065.0, -115.0, 235.0), (15.0, -60.0, 70.0), (0.0, 0.0, 1.0)),
}
"""Where the eye is, what it looks at, and which way is up, for a die to the left; mirrored for one to the right."""

_RIDERS_EYE, _RIDER_LOOKS_AT = np.array([-330.0, -1500.0, 560.0]), np.array([0.0, 0.0, 40.0])
_FARTHER = np.arange(1.0, 3.0, 0.05)
"""How many times as far the eye goes, until all is in the picture."""


def camera_of(where: str, side: float, near: float = 1.0) -> list[float]:
    """Eye, target and way up of a view of `EYES`, as k3d takes them, for a die on that `side`."""
    mirror = np.array([1.0, side, 1.0])
    eye, target, up = (np.array(part) for part in EYES[where])
    eye = target + near * (eye - target)
    return [float(value) for value in (*(eye * mirror), *(target * mirror), *up)]


def rider_sees(points_mm: NDArray[np.float64]) -> list[float]:
    """A view from where the rider sits, as near as all `points_mm` (n, 3) of a bar are in the picture."""
    eyes = (_RIDER_LOOKS_AT + far * (_RIDERS_EYE - _RIDER_LOOKS_AT) for far in _FARTHER)
    up = (0.0, 0.0, 1.0)
    return first_that_sees(points_mm, [[float(one) for one in (*eye, *_RIDER_LOOKS_AT, *up)] for eye in eyes])


def first_that_sees(points_mm: NDArray[np.float64], cameras: Sequence[list[float]]) -> list[float]:
    """The first of `cameras` with all `points_mm` (n, 3) in its picture, else the last one."""
    limits = (MOST_ACROSS, MOST_UP)
    fits = (one for one in cameras if np.all(np.abs(in_the_picture(points_mm, one)) < limits))
    return next(fits, cameras[-1])


def in_the_picture(points_mm: NDArray[np.float64], camera: list[float]) -> NDArray[np.float64]:
    """Points (n, 3) as the eye sees them, across and up (n, 2): the picture reaches up to 1 and down to -1."""
    eye, target, up = np.array(camera).reshape(3, 3)
    ahead = (target - eye) / np.linalg.norm(target - eye)
    right = np.cross(ahead, up) / np.linalg.norm(np.cross(ahead, up))
    from_eye = points_mm - eye
    seen = from_eye @ np.array([right, np.cross(right, ahead)]).T
    return seen / (from_eye @ ahead)[:, None] / np.tan(np.radians(FOV_DEG / 2.0))
