"""The bench in space: the bender and the tube in it, with every motion as keyframes that the page plays by itself.

A `BenchPicture` keeps one plot of k3d and its objects; `show` puts a film into them. Colours are the project's palette.
"""

from __future__ import annotations

import k3d
import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.bending.bench_film import CLAMP, Film
from barmath.bending.bench_parts import (
    OPENING,
    STOP,
    WITH_HANDLE,
    Solid,
    finder_solids,
    parts_of_bender,
    ring_triangles,
    rod,
    sector_mm,
    sector_triangles,
)
from barmath.bending.bench_places import turn_about_z
from barmath.bending.failing import Failing
from barmath.pictures.palette import BAD, BEND, DIMENSION, GOOD, INK, PAPER, WARN
from barmath.shop.setup import Setup
from barmath.space.drawing import FACETS, PER_BEND

HEIGHT_PX = 560

BEHIND, ABOVE, ALONG = "from behind the hook", "from above", "along the tube"
EYES = {
    BEHIND: ((-760.0, -860.0, 600.0), (70.0, 10.0, -10.0), (0.0, 0.0, 1.0)),
    ABOVE: ((60.0, 20.0, 1500.0), (60.0, 20.0, 0.0), (0.0, 1.0, 0.0)),
    ALONG: ((-980.0, -30.0, 150.0), (0.0, 20.0, 0.0), (0.0, 0.0, 1.0)),
}
"""Where the eye is, what it looks at, and which way is up, for a die to the left; mirrored for one to the right."""

COLOURS = {
    "die": "#39434c", "pin": "#20272d", "edge mark": "#f4f6f8", "hook": "#4d6b86", "follower": "#4d6b86",
    "handle": "#59646e", "grip": "#20272d", "stop": BEND, "frame": "#8b96a0", "table": "#cfc4ae",
    "angle finder": INK, "display": "#dfeee6",
}  # fmt: skip
"""Quiet greys for the machine, so that the tube is what one sees."""

NAMES = "names"
"""The group of the labels that name parts."""

NAMED = ("die", "hook", "follower", "handle", "stop", "frame", "table")
_STEEL, _APART_S, _TICK_S = "#aeb8c1", 5e-4, 0.05
_LEFT_END, _RIGHT_END = DIMENSION, GOOD
_OPEN_MM, _AWAY = 34.0, np.diag([1e-4, 1e-4, 1e-4, 1.0])


class BenchPicture:
    """One plot, and its objects by name in `things`; what is in it is the bender of the `setup` that was shown last."""

    def __init__(self) -> None:
        self.plot = k3d.plot(
            height=HEIGHT_PX, grid_visible=False, menu_visibility=False, camera_auto_fit=False, camera_fov=32.0,
            background_color=_rgb("#f7f9fb"), lighting=1.6, antialias=1,
            logarithmic_depth_buffer=False, camera_no_zoom=True, camera_no_pan=True,
            axes_helper=0.0, name="bench",
        )  # fmt: skip
        self.things: dict = {}
        self.setup: Setup | None = None
        self.named = False
        self.side = 1.0
        self._make_tube()
        self._make_labels()
        self.look(BEHIND)

    def look(self, where: str) -> None:
        """Move the eye: a key of `EYES`."""
        self.plot.camera = camera_of(where, self.side)

    def show(self, setup: Setup | None, film: Film | None, failing: dict[int, Failing] | None = None) -> None:
        """Put a film into the picture, or leave it empty; `failing` says by step what cannot be done."""
        for thing in self.things.values():
            if thing.group != NAMES:
                thing.visible = film is not None
        if film is None or setup is None:
            return
        if setup != self.setup:
            self._make_bender(setup)
        failing, times = failing or {}, [_key(moment.time_s) for moment in film.moments]
        self._show_tube(film, times)
        self._show_bender(setup, film, times, failing)
        self._show_finder(film, times)
        self._show_missing(film, failing)

    def name_parts(self, wanted: bool) -> None:
        """Show or hide the names of the parts."""
        self.named = wanted
        for thing in self.things.values():
            if thing.group == NAMES:
                thing.visible = wanted

    def _make_bender(self, setup: Setup) -> None:
        if self.setup is None or setup.bender.die_side != self.side:
            self.side = setup.bender.die_side
            self.look(BEHIND)
        self.setup, parts = setup, parts_of_bender(setup)
        for name in {*COLOURS} - {*parts, *finder_solids()}:
            if name in self.things:
                self.plot -= self.things.pop(name)
        for name, solid in (parts | finder_solids()).items():
            self._put(name, _mesh(solid, COLOURS[name], name))
            if name in NAMED:
                corners = solid.corners_mm
                at = corners[corners[:, 2] > corners[:, 2].max() - 1.0].mean(0)
                if name in ("table", "handle"):
                    at = corners[np.abs(corners[:, 1]).argmax()] * [1.0, 0.5, 1.0]
                label = _label(f"name of the {name}", INK)
                label.text, label.position, label.group = _words_html(name), at.astype(np.float32), NAMES
                label.visible = self.named
                self._put(f"name of the {name}", label)
        missing = rod(1.0, 0.5 * setup.tube_diameter_mm + 3.0)
        self._put("missing", _mesh(missing, BAD, "missing length", opacity=0.75))
        self._put("sweep", _mesh(Solid(sector_mm(setup, 1.0), sector_triangles()), WARN, "sweep", opacity=0.16))

    def _make_labels(self) -> None:
        self._put("what fails", _label("what fails", BAD))
        self._put("reading", _label("reading of the angle finder", INK))

    def _put(self, name: str, thing: k3d.objects.Drawable) -> None:
        if name in self.things:
            self.plot -= self.things[name]
        self.things[name] = thing
        self.plot += thing

    def _make_tube(self) -> None:
        counts = [2, 2, *[PER_BEND + 1, 2] * 4, 2]
        triangles = ring_triangles(counts, FACETS).astype(np.uint32)
        empty = np.zeros((sum(counts) * FACETS, 3), np.float32)
        tube = k3d.mesh(empty, triangles, colors=_colours(np.zeros(4, bool)), side="double", roughness=0.35,
                        metalness=0.25, name="tube")  # fmt: skip
        self._put("tube", tube)
        marks = np.zeros((8 * FACETS, 3), np.float32)
        triangles = ring_triangles([2] * 4, FACETS).astype(np.uint32)
        self._put("marks", k3d.mesh(marks, triangles, color=_rgb(INK), side="double", name="marks"))
        for letter, colour in (("L", _LEFT_END), ("R", _RIGHT_END)):
            self._put(
                letter, k3d.texture_text(letter, size=62.0, color=_rgb(colour), font_weight=800, name=f"end {letter}")
            )

    def _show_tube(self, film: Film, times: list[str]) -> None:
        tube, marks = self.things["tube"], self.things["marks"]
        which = [moment.shape for moment in film.moments]
        last = len(which) - 1
        turning = [i for i in range(len(which)) if i in (0, last) or not which[i - 1] == which[i] == which[i + 1]]
        tube.vertices = {times[i]: film.shapes_mm[which[i]].reshape(-1, 3).astype(np.float32) for i in turning}
        tube.colors = {times[i]: _colours(film.made[which[i]]) for i in turning}
        if film.marks_mm.shape[1]:
            marks.vertices = {times[i]: film.marks_mm[which[i]].reshape(-1, 3).astype(np.float32) for i in turning}
        places = {time: moment.place.astype(np.float32) for time, moment in zip(times, film.moments, strict=True)}
        tube.model_matrix = marks.model_matrix = places
        ends = film.shapes_mm[:, [0, -1]].mean(2)
        inner = film.shapes_mm[:, [1, -2]].mean(2)
        out = ends + 26.0 * (ends - inner) / np.maximum(np.linalg.norm(ends - inner, axis=-1, keepdims=True), 1e-9)
        for side, letter in ((0, "L"), (1, "R")):
            spots = {}
            for time, moment in zip(times, film.moments, strict=True):
                spots[time] = _moved(*(moment.place @ [*out[moment.shape, side], 1.0])[:3])
            self.things[letter].model_matrix = spots

    def _show_bender(self, setup: Setup, film: Film, times: list[str], failing: dict[int, Failing]) -> None:
        side = setup.bender.die_side
        x, y = 0.0, side * float(setup.die.centerline_radius_mm)
        moments = list(zip(times, film.moments, strict=True))
        round_with = {time: turn_about_z(side * now.angle_deg, x, y).astype(np.float32) for time, now in moments}
        opening = {time: _moved(0.0, 0.0, (1.0 - now.closed) * _OPEN_MM) for time, now in moments}
        steps = sorted({chapter.step for chapter in film.chapters})
        spans = {step: [c for c in film.chapters if c.step == step] for step in steps}
        at_stop, swept = {}, {}
        for step, stop in zip(steps, film.stops_deg, strict=True):
            sector = sector_mm(setup, stop).astype(np.float32)
            for time in (spans[step][0].start_s + _APART_S, spans[step][-1].end_s):
                at_stop[_key(time)] = turn_about_z(side * stop, x, y).astype(np.float32)
                swept[_key(time)] = sector
        self.things["sweep"].vertices = swept
        for name, solid in parts_of_bender(setup).items():
            thing = self.things[name]
            if solid.moves == WITH_HANDLE:
                thing.model_matrix = round_with
            elif solid.moves == OPENING:
                thing.model_matrix = opening
            elif solid.moves == STOP:
                thing.model_matrix = at_stop
            colours = {}
            for step in steps:
                red = step in failing and failing[step].part == name
                for time in (spans[step][0].start_s + _APART_S, spans[step][-1].end_s):
                    colours[_key(time)] = _rgb(BAD if red else COLOURS[name])
            thing.color = colours if len(set(colours.values())) > 1 else next(iter(colours.values()))

    def _show_finder(self, film: Film, times: list[str]) -> None:
        body = {}
        for time, moment in zip(times, film.moments, strict=True):
            body[time] = _AWAY.astype(np.float32) if moment.finder is None else moment.finder.place.astype(np.float32)
        for name in ("angle finder", "display"):
            self.things[name].model_matrix = body
        spots, words, seen = {}, {}, {}
        for now, then in zip(film.moments, film.moments[1:], strict=False):
            if now.finder is None or then.finder is None:
                seen[_key(now.time_s)] = seen[_key(then.time_s)] = False
                continue
            count = max(1, round((then.time_s - now.time_s) / _TICK_S))
            for share in np.linspace(0.0, 1.0, count + 1):
                key = _key(now.time_s + share * (then.time_s - now.time_s))
                reading = (1.0 - share) * now.finder.reading_deg + share * then.finder.reading_deg
                words[key] = _box_html(f"{abs(reading):.1f}\u00b0", INK, 22)
                one, other = (seat.place[:3, 3] + 40.0 * seat.place[:3, 2] for seat in (now.finder, then.finder))
                spots[key], seen[key] = ((1.0 - share) * one + share * other).astype(np.float32), True
        reading = self.things["reading"]
        reading.visible = seen if spots and len(set(seen.values())) > 1 else bool(spots)
        if spots:
            reading.position, reading.text = spots, words

    def _show_missing(self, film: Film, failing: dict[int, Failing]) -> None:
        label, rod = self.things["what fails"], self.things["missing"]
        label.visible = rod.visible = bool(failing)
        if not failing:
            return
        places, words, spots, seen = {"0.0": _AWAY}, {}, {}, {"0.0": False}
        for step, what in failing.items():
            if step not in {chapter.step for chapter in film.chapters}:
                continue
            start, end = film.start_of(step, CLAMP) + _APART_S, film.end_of(step) - _APART_S
            begin, finish = np.array(what.start_mm), np.array(what.end_mm)
            spot = (0.5 * (begin + finish) + [0.0, 0.0, 40.0]).astype(np.float32)
            for time, there in ((start - _APART_S, False), (start, True), (end, True), (end + _APART_S, False)):
                places[_key(time)] = _rod_from(begin, finish) if there else _AWAY
                words[_key(time)], spots[_key(time)] = _box_html(what.words, BAD, 16), spot
                seen[_key(time)] = there
        rod.model_matrix = {time: place.astype(np.float32) for time, place in places.items()}
        label.text, label.position, label.visible = words, spots, seen


def _rod_from(begin: Array, end: Array) -> Array:
    # carries a rod of 1 mm along x to reach from one place to another
    along = end - begin
    length = float(np.linalg.norm(along))
    if length < 1e-6:
        return _AWAY
    x = along / length
    y = np.cross(x, [0.0, 0.0, 1.0] if abs(x[2]) < 0.9 else [1.0, 0.0, 0.0])
    y = y / np.linalg.norm(y)
    place = np.eye(4)
    place[:3, 0], place[:3, 1], place[:3, 2], place[:3, 3] = along, y, np.cross(x, y), begin
    return place


def camera_of(where: str, side: float) -> list[float]:
    """Eye, target and way up of a view of `EYES`, as k3d takes them, for a die on that `side`."""
    mirror = np.array([1.0, side, 1.0])
    eye, target, up = (np.array(part) for part in EYES[where])
    return [float(value) for value in (*(eye * mirror), *(target * mirror), *up)]


def _mesh(solid: Solid, colour: str, name: str, opacity: float = 1.0) -> k3d.objects.Mesh:
    return k3d.mesh(
        solid.corners_mm.astype(np.float32), solid.triangles.astype(np.uint32), color=_rgb(colour), name=name,
        side="double", flat_shading=solid.flat, roughness=0.6, metalness=0.1, opacity=opacity,
    )  # fmt: skip


def _label(name: str, colour: str) -> k3d.objects.Label:
    return k3d.label(
        _NOTHING,
        position=[0.0, 0.0, 0.0],
        is_html=True,
        label_box=False,
        mode="local",
        max_length=0.3,
        color=_rgb(colour),
        name=name,
    )


def _box_html(words: str, colour: str, size_px: int) -> str:
    return (
        f'<span style="font: 700 {size_px}px/1.2 {_FONT}; color: {colour}; background: {PAPER}; padding: 1px 7px; '
        f'border: 2px solid {colour}; border-radius: 6px; white-space: nowrap; font-variant-numeric: tabular-nums">'
        f"{words}</span>"
    )


def _words_html(words: str) -> str:
    return f'<span style="font: 600 14px {_FONT}; background: {PAPER}; padding: 0 4px; color: {INK}">{words}</span>'


_FONT = "system-ui, sans-serif"
_NOTHING = "<span></span>"  # k3d writes words of its own for an empty label


def _colours(made: Array) -> Array:
    # one colour a corner of the tube: painted ends, steel, and finished bends
    pieces = [_LEFT_END, _STEEL]
    for one in made:
        pieces += [BEND if one else _STEEL, _STEEL]
    counts = [2, 2, *[PER_BEND + 1, 2] * len(made), 2]
    shown = [np.full(count * FACETS, _rgb(piece), np.uint32)
             for piece, count in zip([*pieces, _RIGHT_END], counts, strict=True)]  # fmt: skip
    return np.concatenate(shown)


def _moved(x: float, y: float, z: float) -> NDArray[np.float32]:
    place = np.eye(4, dtype=np.float32)
    place[:3, 3] = x, y, z
    return place


def _key(time_s: float) -> str:
    return f"{time_s:.4f}"


def _rgb(colour: str) -> int:
    return int(colour[1:], 16)
