"""The bar in space: large and lit, in its stem, with its marks and the ghost of the bar that was shown before."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from time import monotonic

import k3d
import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.pictures.bench_meshes import as_corners, corner_colours, rgb, tube_mesh, with_ends, words_html
from barmath.pictures.palette import BEND, INK, MARK
from barmath.pictures.stage import CLAMP_MM, Stage
from barmath.space.drawing import FACETS, PIECES, Drawing, node_places

COLOURS = {"grip": "#3a454f", "bend": BEND, "riser": "#aeb8c1", "clamp flat": "#aeb8c1"}
NAMED = {"inner bend": 5, "outer bend": 7, "riser": 2}
"""The parts that are named on demand, and their place in `PIECES`."""

WITHIN = 0.97
"""How thick a bar is drawn that is see-through: where it is in one place with another bar, the other is seen."""

_REST_S, _HALF_MARK_MM = 1.5, 1.3


class BarPicture(Stage):
    """A bar in its stem.

    The ghost is the bar as it was before a slider began to move: the one shown when nothing had changed for a moment.
    The page takes it away when nothing has moved for a while. What has not moved is not sent again. Before there is
    one, a ghost of the bar itself is within it, where nobody sees it: the page makes ready to draw it.

    Parameters
    ----------
    clock : function
        Seconds that only grow.
    """

    clamp_mm = CLAMP_MM

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        super().__init__("bar")
        self.clock = clock
        self.bar: Drawing | None = None
        self._before: Drawing | None = None
        self._ghost: Drawing | None = None
        self._changed_s = -1e9
        self._named = False
        self._make()

    def show(self, bar: Drawing | None, words: dict[str, str]) -> None:
        """Put a bar, or nothing, into the picture; `words` are texts by the name of their label, such as "rise"."""
        now = self.clock()
        if now - self._changed_s > _REST_S:
            self._before = self.bar
        self._changed_s, self.bar = now, bar
        ghost = self._before if bar is not None and not _same(self._before, bar) else None
        if self._before is None:  # the ghost is within the bar, unseen: the page makes ready to draw it
            ghost = self._before = bar
        for name, thing in self.things.items():  # each once: a change is sent
            thing.visible = bar is not None and (self._seen(name) if name != "ghost" else ghost is not None)
        if ghost is not None and ghost is not self._ghost:
            self._ghost = ghost
            self.things["ghost"].vertices = as_corners(pieces(thinner(ghost)))
        if bar is not None:
            self._put(bar, words)
        self.plot.render()

    def seen_mm(self, bar: Drawing) -> Array:
        """Points (n, 3) that must be in the picture."""
        return bar.points

    def name_parts(self, wanted: bool) -> None:
        """Show or hide the names of the parts."""
        self._named = wanted
        for name in NAMED:
            self.things[name].visible = wanted and self.bar is not None
        if self.bar is not None:
            self._put_names(self.bar)
        self.plot.render()

    def _seen(self, name: str) -> bool:
        return self._named or name not in NAMED

    def _make(self) -> None:
        counts = piece_counts()
        self.add("tube", self._tube(counts))
        self.add("marks", tube_mesh("marks", [2] * 4, color=rgb(MARK)))
        self.add_stem()
        self.add("ghost", tube_mesh("ghost", counts, closed=True, color=rgb(INK), opacity=0.55))
        for name in ("rise", "backsweep", *NAMED):
            self.add_label(name)
        for name in NAMED:
            self.things[name].text = words_html(name)

    def _tube(self, counts: list[int]) -> k3d.objects.Mesh:
        return tube_mesh("tube", counts, closed=True, colors=piece_colours(counts))

    def _put(self, bar: Drawing, words: dict[str, str]) -> None:
        self._put_tube(bar)
        self.things["marks"].vertices = as_corners(_bands(bar.mark_rings))
        self.clamp(bar.tube_diameter_mm, self.clamp_mm)
        for name, place in (("rise", bar.nodes[-1]), ("backsweep", bar.nodes[:2].mean(0))):
            self.write(name, words.get(name, ""), place)
        if self._named:
            self._put_names(bar)

    def _put_tube(self, bar: Drawing) -> None:
        self.things["tube"].vertices = as_corners(pieces(bar.surface))

    def _put_names(self, bar: Drawing) -> None:
        for name, piece in NAMED.items():
            self.things[name].position = bar.nodes[piece : piece + 2].mean(0).astype(np.float32)


def _same(one: Drawing | None, other: Drawing) -> bool:
    return one is None or bool(np.allclose(one.points, other.points, atol=1e-6))


def piece_counts() -> list[int]:
    """How many rings each of `PIECES` has."""
    return [int(length) + 1 for length in np.diff(node_places())]


def piece_colours(counts: list[int]) -> NDArray[np.uint32]:
    """The colour of each corner of a closed tube with so many rings a piece."""
    return corner_colours([COLOURS[piece] for piece in PIECES], counts)


def pieces(rings: Array) -> Array:
    """The rings of a closed tube, piece by piece. In `rings` neighbours share one; here each has its own colour."""
    nodes = node_places()
    return with_ends(np.concatenate([rings[start : end + 1] for start, end in pairwise(nodes)]))


def thinner(bar: Drawing) -> Array:
    """The rings of a bar that is see-through."""
    middles = bar.points[:, None]
    return middles + WITHIN * (bar.surface - middles)


def _bands(rings: Array) -> Array:
    # a closed ring (k, facets + 1, 3) as two, a pencil's line apart
    around = rings[:, :-1]
    middle = around.mean(1, keepdims=True)
    across = np.cross(around[:, 0] - middle[:, 0], around[:, FACETS // 4] - middle[:, 0])
    across *= _HALF_MARK_MM / np.linalg.norm(across, axis=-1, keepdims=True)
    return np.stack([around - across[:, None], around + across[:, None]], 1)
