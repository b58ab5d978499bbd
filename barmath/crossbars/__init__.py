"""The crossbar: its length, and the copes of its ends."""

from barmath.crossbars.cope import cope_ordinates_mm

__all__ = ["cope_ordinates_mm"]
