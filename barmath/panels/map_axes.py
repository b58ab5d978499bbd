"""What may be along the axes of the map: its span, its steps, and what a row takes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmath.arrays import Array


@dataclass(frozen=True)
class Quantity:
    """One thing that may be along an axis: what the map spans and in what steps, and what a row takes."""

    name: str
    unit: str
    low: float
    high: float
    step: float
    row_low: float
    row_high: float
    row_step: float

    @property
    def field(self) -> str:
        """Its name in `MapState`."""
        return f"{self.name}_{self.unit}"

    @property
    def values(self) -> Array:
        """What the map spans."""
        return np.arange(self.low, self.high + 0.5 * self.step, self.step)


QUANTITIES = {
    quantity.name: quantity
    for quantity in (
        Quantity("rise", "mm", 20.0, 160.0, 2.0, 5.0, 250.0, 1.0),
        Quantity("backsweep", "deg", 0.0, 30.0, 0.5, -10.0, 45.0, 0.5),
        Quantity("upsweep", "deg", -4.0, 12.0, 0.25, -10.0, 20.0, 0.25),
        Quantity("width", "mm", 600.0, 900.0, 5.0, 350.0, 1000.0, 5.0),
        Quantity("setback", "mm", 0.0, 120.0, 2.0, -50.0, 200.0, 1.0),
    )
}

AXES = {
    "rise against backsweep": ("backsweep", "rise"),
    "rise against width": ("width", "rise"),
    "rise against upsweep": ("upsweep", "rise"),
    "rise against setback": ("setback", "rise"),
    "backsweep against width": ("width", "backsweep"),
    "backsweep against upsweep": ("upsweep", "backsweep"),
}
"""Pairs of axes, (across, up)."""
