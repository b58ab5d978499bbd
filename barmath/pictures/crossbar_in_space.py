"""A bar in space with its crossbar, in its place or lifted out so that its copes are seen."""

from __future__ import annotations

import numpy as np

from barmath.arrays import Array
from barmath.crossbars.crossbar import STATIONS_DEG, Crossbar
from barmath.pictures.bar_in_space import BarPicture
from barmath.pictures.bench_meshes import as_corners, moved, rgb, ring_mesh
from barmath.pictures.palette import SECOND
from barmath.space.drawing import Drawing

OF_CROSSBAR = ("crossbar", "cut", "joint")
"""The crossbar and its two labels, the length to cut and the angle at the right joint."""

LIFTED_MM = 70.0
_OVER_MM, _BESIDE_JOINT_MM = 14.0, (80.0, 0.0, -95.0)


class CrossbarPicture(BarPicture):
    """A bar with its crossbar.

    Attributes
    ----------
    fitted : Crossbar or None
        Shown with the next bar.
    """

    fitted: Crossbar | None = None
    _lifted_mm = 0.0

    def lift(self, wanted: bool) -> None:
        """Lift the crossbar out, or put it back."""
        self._lifted_mm = LIFTED_MM if wanted else 0.0
        self.things["crossbar"].model_matrix = moved(0.0, 0.0, self._lifted_mm)
        if self.fitted is not None:
            self.things["cut"].position = self._over(self.fitted).astype(np.float32)
        self.plot.render()

    def _make(self) -> None:
        super()._make()
        self.add("crossbar", ring_mesh("crossbar", [2] * 4, STATIONS_DEG.size - 1, color=rgb(SECOND)))
        for name in OF_CROSSBAR[1:]:
            self.add_label(name)

    def _seen(self, name: str) -> bool:
        return super()._seen(name) and (self.fitted is not None or name not in OF_CROSSBAR)

    def _put(self, bar: Drawing, words: dict[str, str]) -> None:
        super()._put(bar, words)
        if self.fitted is None:
            return
        self.things["crossbar"].vertices = as_corners(surface_mm(self.fitted))
        joint = self.fitted.joint_mm
        self.write("cut", words.get("cut", ""), self._over(self.fitted))
        self.write("joint", words.get("joint", ""), joint + _BESIDE_JOINT_MM)

    def _over(self, fitted: Crossbar) -> Array:
        _, forward, up = fitted.joint_mm
        return np.array([0.0, forward, up + self._lifted_mm + _OVER_MM])


def surface_mm(fitted: Crossbar) -> Array:
    """Rings (8, 144, 3) of a crossbar's surface, two each: outside, left edge, inside, right edge."""
    outer, inner = (fitted.edge_mm(inside=inside)[:-1] for inside in (False, True))
    right, left = (outer, inner), tuple(edge * [-1.0, 1.0, 1.0] for edge in (outer, inner))
    return np.stack([right[0], left[0], left[0], left[1], left[1], right[1], right[1], right[0]])
