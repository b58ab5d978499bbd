"""A finished bar in space: the bar as ordered in its stem, and over it the bar as it was measured."""

from __future__ import annotations

import numpy as np

from barmath.arrays import Array
from barmath.pictures.bar_in_space import piece_colours, piece_counts, pieces, thinner
from barmath.pictures.bench_meshes import as_corners, rgb, tube_mesh
from barmath.pictures.palette import BAD
from barmath.pictures.stage import Stage
from barmath.space.drawing import Drawing

ORDERED, MEASURED = NAMES = ("as ordered", "as measured")

_UNDER = np.array([0.0, 0.0, -75.0])
"""Where the name of the measured bar is from its left end, mm: clear of both bars."""


class CheckedPicture(Stage):
    """The ordered bar solid, the measured one red and see-through: red is seen only where the bar is off."""

    def __init__(self) -> None:
        super().__init__("checked bar")
        counts = piece_counts()
        self.add(ORDERED, tube_mesh(ORDERED, counts, closed=True, colors=piece_colours(counts)))
        self.add_stem()
        measured = tube_mesh(MEASURED, counts, closed=True, color=rgb(BAD), opacity=0.75)
        self.add(MEASURED, measured)  # after all that it is before
        for name in NAMES:
            self.add_label(f"name of the bar {name}")

    def show(self, ordered: Drawing | None, measured: Drawing | None) -> Array | None:
        """Put both bars, or the ordered one, or none into the picture: the points (n, 3) on their lines, or None."""
        for name, thing in self.things.items():  # each once: a change is sent
            thing.visible = (measured if name.endswith(MEASURED) else ordered) is not None
        seen = [bar.points for bar in (ordered, measured) if bar is not None]
        if ordered is not None:
            self.things[ORDERED].vertices = as_corners(pieces(ordered.surface))
            self.clamp(ordered.tube_diameter_mm)
            self.write(f"name of the bar {ORDERED}", ORDERED, ordered.nodes[-1])
        if measured is not None:
            self.things[MEASURED].vertices = as_corners(pieces(thinner(measured)))
            self.write(f"name of the bar {MEASURED}", MEASURED, measured.nodes[0] + _UNDER)
        self.plot.render()
        return np.concatenate(seen) if seen else None
