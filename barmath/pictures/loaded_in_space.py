"""A bar under a load in space, coloured by its stress; and what the colours mean."""

from __future__ import annotations

import k3d
import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.pictures.bar_in_space import BarPicture
from barmath.pictures.bench_meshes import arrow_mesh, as_corners, tube_mesh, with_ends
from barmath.pictures.palette import BAD, BEND, DIMENSION, MARK, SECOND
from barmath.space.drawing import FACETS, Drawing
from barmath.strength.screen import LoadedBar, LoadedSide
from barmath.strength.stressed_tube import RINGS, StressedTube

BELOW, UNJUDGED = ("#e4e8eb", "#7d8992"), ("#dcebf5", DIMENSION)
"""Colours from no stress to the low end of the yield band. The second pair is for loads that yield does not judge."""

IN_BAND, ABOVE = (BEND, BEND), (BAD, BAD)
_STEPS = (BELOW, IN_BAND, ABOVE, UNJUDGED)
_ARROW_MM, _UNDER_MM, _NEARLY_ONE = 70.0, 55.0, 0.996


class LoadedPicture(BarPicture):
    """A bar in its stem under a load, without its marks.

    Attributes
    ----------
    loaded : LoadedBar
    stressed : StressedTube
        Its surface. Both are shown with the next bar.
    """

    loaded: LoadedBar | None = None
    stressed: StressedTube | None = None

    def load(self, loaded: LoadedBar | None, stressed: StressedTube | None) -> None:
        """Take what is shown with the next bar."""
        self.loaded, self.stressed = loaded, stressed
        if loaded is not None:
            self.clamp_mm = 2.0 * loaded.stem_half_mm

    def seen_mm(self, bar: Drawing) -> Array:
        """The same with the loads, (n, 3)."""
        sides = self.loaded.sides if self.loaded is not None else ()
        pushed = [side for _, side in sides if np.any(side.force_n)]
        tails = [side.points_mm[-1] - 1.2 * _ARROW_MM * side.force_n / np.linalg.norm(side.force_n) for side in pushed]
        return np.concatenate([super().seen_mm(bar), np.reshape(tails, (-1, 3))])

    def _make(self) -> None:
        super()._make()
        self.add_rod("crossbar", 1.0, SECOND)
        for name in ("right", "left"):
            self.add(f"{name} load", arrow_mesh(f"{name} load", MARK))
            self.add_label(f"words of the {name} load")
        self.add_label("most")

    def _tube(self, counts: list[int]) -> k3d.objects.Mesh:
        attribute = np.zeros((RINGS + 2) * FACETS, np.float32)
        looks = {"color_map": _colour_map(), "color_range": [0.0, float(len(_STEPS))]}
        return tube_mesh("tube", [RINGS], closed=True, attribute=attribute, **looks)

    def _seen(self, name: str) -> bool:
        if self.loaded is None or name in ("marks", "rise", "backsweep"):
            return False
        sides = dict(self.loaded.sides)
        if name.endswith("load"):
            side = sides[name.split()[-2]]
            pushed = bool(np.any(side.force_n))
            return pushed or (name.startswith("words") and bool(self.loaded.case.couple_nm))
        return super()._seen(name) and (name != "crossbar" or self.loaded.right.joint_mm is not None)

    def _put_tube(self, bar: Drawing) -> None:
        if self.loaded is None or self.stressed is None:
            return
        places = on_scale(self.loaded, self.stressed.stress_mpa)
        self.things["tube"].vertices = as_corners(with_ends(self.stressed.rings_mm))
        self.things["tube"].attribute = np.repeat(with_ends(places), FACETS).astype(np.float32)
        sides = dict(self.loaded.sides)
        for name, side in sides.items():
            self._put_load(name, side, 0.5 * bar.tube_diameter_mm)
        joints = [side.joint_mm for side in sides.values() if side.joint_mm is not None]
        if self.loaded.crossbar is not None and joints:
            radius = 0.5 * float(self.loaded.crossbar.branch.outside_diameter_mm)
            self.reach("crossbar", joints[0], joints[-1], radius)
        name, place = self.loaded.worst
        self.write("most", f"{self.loaded.elastic_mpa:.0f} MPa", sides[name].points_mm[place])

    def _put_load(self, name: str, side: LoadedSide, radius: float) -> None:
        at, size = side.points_mm[-1], float(np.linalg.norm(side.force_n))
        words = f"turned by {self.loaded.case.couple_nm:.0f} N m" if self.loaded is not None else ""
        if size:
            along = side.force_n / size
            tip, at, words = at - radius * along, at - (radius + _ARROW_MM) * along, f"{size:.0f} N"
            self.reach(f"{name} load", at, tip)
            at = at - [0.0, 0.0, _UNDER_MM if along[2] > 0.0 else 0.0]  # words are above their place
        self.write(f"words of the {name} load", words, at)


def on_scale(bar: LoadedBar, stress_mpa: Array) -> Array:
    """Where stresses are on the scale of colours: up to 1 below the yield band, to 2 in it, to 3 above it.

    Where yield judges nothing they are from 3 to 4.
    """
    low, high = bar.material.yield_low_mpa, bar.material.yield_high_mpa
    if bar.case.cycles > 1.0:  # yield says nothing of fatigue
        place = 3.02 + 0.98 * stress_mpa / max(bar.elastic_mpa, 1e-9)
    else:
        place = np.interp(stress_mpa, [0.0, low, high, 2.0 * high], [0.0, 1.0, 2.0, 2.98])
    return np.asarray(place)


def _colour_map() -> NDArray[np.float32]:
    # as k3d takes it: place, red, green and blue at both ends of each step; it drops the first of two at one place
    ends = [(start + _NEARLY_ONE * at, colour) for start, step in enumerate(_STEPS) for at, colour in enumerate(step)]
    parts = [[at / len(_STEPS), *(part / 255.0 for part in bytes.fromhex(colour[1:]))] for at, colour in ends]
    return np.array(parts, np.float32).ravel()
