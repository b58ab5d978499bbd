"""An old bar and a new one in space, each in its stem. Collars show the middle of each hand."""

from __future__ import annotations

import numpy as np

from barmath.arrays import Array
from barmath.pictures.bar_in_space import WITHIN, piece_colours, piece_counts, pieces, thinner
from barmath.pictures.bench_meshes import as_corners, rgb, tube_mesh
from barmath.pictures.palette import DIMENSION
from barmath.pictures.stage import Stage
from barmath.pictures.two_bars import COLOURS, NAMES
from barmath.rider.mounted import Mounted

SIDES = ("left", "right")
_OLD, _NEW = NAMES
_HALF_COLLAR_MM, _PROUD_MM = 7.0, 2.5
_BELOW_MM, _ABOVE_MM, _SHORT_MM = 45.0, 30.0, 10.0
"""How far the steerer reaches below and above the stem, and where the stem ends before the clamp."""

_UNDER_MM = 75.0
"""How far the name of the lower bar is below its end: so the two names are apart."""


class TwoBarsPicture(Stage):
    """The old bar blue and see-through, the new one solid; collars where the hands are."""

    def __init__(self) -> None:
        super().__init__("two bars")
        counts = piece_counts()
        self.add(_NEW, tube_mesh(_NEW, counts, closed=True, colors=piece_colours(counts)))
        self.add_stem(_of(_NEW))
        for name, colour in zip(NAMES, COLOURS, strict=True):
            for side in SIDES:
                self.add_rod(_hand(name, side), 1.0, colour)
        old = tube_mesh(_OLD, counts, closed=True, color=rgb(DIMENSION), opacity=0.75)
        self.add(_OLD, old)  # after all that it is before
        self.add_stem(_of(_OLD), opacity=0.55, share=WITHIN)
        for name in NAMES:
            self.add_label(f"name of the {name}")

    def show(self, bars: tuple[Mounted | None, Mounted | None]) -> Array | None:
        """Put two bars, or one, or none into the picture: the points (n, 3) on their centre lines, or None."""
        there = next((bar for bar in bars if bar is not None), None)
        ends = [bar.drawing.nodes[-1][2] + bar.clamp[1] for bar in bars if bar is not None]
        under = _NEW if len(ends) == 2 and ends[1] < ends[0] else _OLD
        seen = []
        for name, bar in zip(NAMES, bars, strict=True):
            for thing in (name, f"name of the {name}", *(part + _of(name) for part in ("stem", "steerer", "clamp")),
                          *(_hand(name, side) for side in SIDES)):  # fmt: skip
                self.things[thing].visible = bar is not None
            if bar is not None and there is not None:
                clamp = np.array([0.0, *bar.clamp]) - np.array([0.0, *there.clamp])
                self._put(name, bar, clamp)
                end = bar.drawing.nodes[-1 if name == _NEW else 0] - [0.0, 0.0, _UNDER_MM * (name == under)]
                self.write(f"name of the {name}", name, end + clamp)
                seen.append(bar.drawing.points + clamp)
        self.plot.render()
        return np.concatenate(seen) if seen else None

    def _put(self, name: str, bar: Mounted, clamp: Array) -> None:
        drawing, axis = bar.drawing, clamp - np.array([0.0, *bar.clamp])
        share = WITHIN if name == _OLD else 1.0
        rings = thinner(drawing) if name == _OLD else drawing.surface
        self.things[name].vertices = as_corners(pieces(rings) + clamp)
        self.clamp(share * drawing.tube_diameter_mm, at=clamp, of=_of(name))
        up = np.array([0.0, *bar.steering])
        self.reach("steerer" + _of(name), axis - _BELOW_MM * up, axis + _ABOVE_MM * up)
        length = float(np.linalg.norm(axis - clamp))
        from_clamp = clamp + min(1.0, _SHORT_MM / max(length, 1e-9)) * (axis - clamp)
        self.reach("stem" + _of(name), from_clamp, axis)
        for side, sign in zip(SIDES, (-1.0, 1.0), strict=True):
            mirror = np.array([sign, 1.0, 1.0])
            at = axis + mirror * [bar.hand.out_mm, bar.hand.forward_mm, bar.hand.up_mm]
            along = share * _HALF_COLLAR_MM * mirror * bar.grip
            self.reach(_hand(name, side), at - along, at + along, share * (0.5 * drawing.tube_diameter_mm + _PROUD_MM))


def _of(name: str) -> str:
    return f" of the {name}"


def _hand(name: str, side: str) -> str:
    return f"{side} hand on the {name}"
