"""The crossbar: its length, its ends and their copes."""

from barmath.crossbars.cope import cope_ordinates_mm
from barmath.crossbars.crossbar import ENDS, STATIONS_DEG, Crossbar, crossbar, facing, level_and_square, unrolled_mm
from barmath.crossbars.curved_cope import check_branch, right_half

__all__ = [
    "ENDS",
    "STATIONS_DEG",
    "Crossbar",
    "check_branch",
    "cope_ordinates_mm",
    "crossbar",
    "facing",
    "level_and_square",
    "right_half",
    "unrolled_mm",
]
