"""The bench in space: the bender and the tube in it, with every motion as keyframes that the page plays by itself.

A `BenchPicture` keeps one plot of k3d and its objects; `show` puts a film into them. Colours are the project's palette.
"""

from __future__ import annotations

import k3d
import numpy as np
from numpy.typing import NDArray

from barmath.bending.bench_film import CLAMP, Film
from barmath.bending.bench_parts import (
    OPENING,
    STOP,
    WITH_HANDLE,
    Solid,
    finder_solids,
    parts_of_bender,
    rod,
    sector_mm,
    sector_triangles,
)
from barmath.bending.bench_places import turn_about_z
from barmath.bending.failing import Failing
from barmath.pictures.bench_meshes import (
    AIR,
    AWAY,
    NOTHING,
    as_corners,
    box_html,
    corner_colours,
    html_label,
    html_text,
    moved,
    part_mesh,
    rgb,
    rod_from,
    time_key,
    tube_mesh,
    with_ends,
    words_html,
)
from barmath.pictures.eyes import BEHIND, FOV_DEG, camera_of, first_that_sees, rider_sees
from barmath.pictures.palette import BAD, BEND, DIMENSION, GOOD, INK, WARN
from barmath.shop.setup import Setup
from barmath.space.drawing import PER_BEND, PIECES, Drawing

HEIGHT_PX = 560

COLOURS = {
    "die": "#39434c", "pin": "#20272d", "edge mark": "#f4f6f8", "hook": "#4d6b86", "follower": "#4d6b86",
    "handle": "#59646e", "knob": "#20272d", "stop": BEND, "frame": "#8b96a0", "table": "#cfc4ae",
    "angle finder": INK, "display": "#dfeee6",
}  # fmt: skip
"""Quiet greys for the machine, so that the tube is what one sees."""

BENDS_DRAWN = ("first bend", "second bend", "third bend", "fourth bend")
"""The bends of the tube in the picture, from its left end."""

_BARS, _TO_THE_LETTER = ("bar", "ghost"), (1.08, 1.0, 1.0)
NAMES = "names"
"""The group of the labels that name parts."""

NAMED = ("die", "hook", "follower", "handle", "stop", "frame", "table")
_STEEL, _APART_S, _TICK_S = "#aeb8c1", 5e-4, 0.05
_LEFT_END, _RIGHT_END = DIMENSION, GOOD
_OPEN_MM = 34.0
LETTER_MM = 50.0
"""How far beyond its end of the tube a letter is."""

_ROOM_MM = (-900.0, -900.0, -500.0, 900.0, 900.0, 500.0)


class BenchPicture:
    """One plot, and its objects by name in `things`; what is in it is the bender of the `setup` that was shown last.

    A film changes some sixty things: k3d would draw after each, so it only draws when everything is in place.

    Parameters
    ----------
    height_px : int
        Of the plot.
    near : number above 0
        How far the eye is, as a share of what `EYES` says.
    """

    def __init__(self, height_px: int = HEIGHT_PX, near: float = 1.0) -> None:
        self.near = near
        self.plot = k3d.plot(
            height=height_px, grid_visible=False, menu_visibility=False, camera_auto_fit=False, camera_fov=FOV_DEG,
            background_color=rgb(AIR), lighting=1.6, antialias=1,
            logarithmic_depth_buffer=False, camera_no_zoom=True, camera_no_pan=True,
            axes_helper=0.0, grid=_ROOM_MM, grid_auto_fit=False, render_on_change=False, name="bench",
        )  # fmt: skip
        self.things: dict = {}
        self.setup: Setup | None = None
        self.named = False
        self.side = 1.0
        self._make_tube()
        self._make_labels()
        self.look(BEHIND)
        self.show(None, None)  # so that no name is seen before there is a bender

    def look(self, where: str) -> None:
        """Move the eye: a key of `EYES`."""
        self.plot.camera = camera_of(where, self.side, self.near)

    def look_at_both_ends(self, time_s: float) -> None:
        """Look from behind the hook, as near as both letters are in the picture at that time of the film."""
        ends = np.array([_place_at(self.things[letter].position, time_s) for letter in "LR"])
        cameras = [camera_of(BEHIND, self.side, near) for near in np.arange(self.near, 2.0, 0.05)]
        self.plot.camera = first_that_sees(ends, cameras)

    def show(self, setup: Setup | None, film: Film | None, failing: dict[int, Failing] | None = None) -> None:
        """Put a film into the picture, or leave it empty; `failing` says by step what cannot be done."""
        for name, thing in self.things.items():
            thing.visible = film is not None and name not in _BARS and (thing.group != NAMES or self.named)
        if film is not None and setup is not None:
            if setup != self.setup:
                self._make_bender(setup)
            failing, times = failing or {}, [time_key(moment.time_s) for moment in film.moments]
            self._show_tube(film, times)
            self._show_bender(setup, film, times, failing)
            self._show_finder(film, times)
            self._show_missing(film, failing)
        self.plot.render()

    def show_bars(self, bar: Drawing, ghost: Drawing) -> None:
        """Put a finished bar into the picture, and the ghost of the bar that was ordered; both in the bar's frame."""
        for thing in self.things.values():
            thing.visible = False
        for name, drawing, colour, opacity in (("bar", bar, BEND, 1.0), ("ghost", ghost, INK, 0.55)):
            mesh = tube_mesh(name, [len(drawing.surface)], closed=True, color=rgb(colour), opacity=opacity)
            mesh.vertices = as_corners(with_ends(drawing.surface))
            self._put(name, mesh)
        for side, letter in ((0, "L"), (-1, "R")):
            end = bar.points[side] * _TO_THE_LETTER
            self.things[letter].position = end.astype(np.float32)
            self.things[letter].visible = True
        self.plot.camera = rider_sees(np.concatenate([bar.points, ghost.points]) * _TO_THE_LETTER)
        self.plot.render()

    def name_parts(self, wanted: bool) -> None:
        """Show or hide the names of the parts."""
        self.named = wanted
        for thing in self.things.values():
            if thing.group == NAMES:
                thing.visible = wanted
        self.plot.render()

    def _make_bender(self, setup: Setup) -> None:
        if self.setup is None or setup.bender.die_side != self.side:
            self.side = setup.bender.die_side
            self.look(BEHIND)
            self._make_reading()
        self.setup, parts = setup, parts_of_bender(setup)
        for name in {*COLOURS} - {*parts, *finder_solids()}:
            self._take_out(name)
        for name, solid in (finder_solids() | parts).items():  # the table last: what hides it is drawn by then
            self._put(name, part_mesh(solid, COLOURS[name], name))
            if name in NAMED:
                corners = solid.corners_mm
                at = corners[corners[:, 2] > corners[:, 2].max() - 1.0].mean(0)
                if name in ("table", "handle", "frame"):  # at its rim, clear of what is above it
                    rim = corners[:, 1] if name == "handle" else corners[:, 0] + 0.4 * self.side * corners[:, 1]
                    at = corners[np.abs(rim).argmax() if name == "handle" else rim.argmin()]
                    at = at * [1.0, 0.5, 1.0] if name == "handle" else at
                label = html_label(f"name of the {name}")
                label.text, label.position, label.group = words_html(name), at.astype(np.float32), NAMES
                label.visible = self.named
                self._put(f"name of the {name}", label)
        missing = rod(1.0, 0.5 * setup.tube_diameter_mm + 3.0)
        self._put("missing", part_mesh(missing, BAD, "missing length", opacity=0.75))
        sweep = Solid(sector_mm(setup, 1.0), sector_triangles(self.side))
        self._put("sweep", part_mesh(sweep, WARN, "sweep"))

    def _make_labels(self) -> None:
        self._put("what fails", html_label("what fails"))
        self._make_reading()

    def _make_reading(self) -> None:
        # above the finder, on the side of the die: on the other side the tube goes on to its end and its letter
        self._put("reading", html_text("reading of the angle finder", "rb" if self.side > 0.0 else "lb"))

    def _put(self, name: str, thing: k3d.objects.Drawable) -> None:
        self._take_out(name)
        self.things[name] = thing
        self.plot += thing

    def _take_out(self, name: str) -> None:
        # closed too: the kernel and the page hold a thing until then, and every change of die brings twenty new ones
        if name in self.things:
            thing = self.things.pop(name)
            self.plot -= thing
            thing.layout.close()
            thing.close()

    def _make_tube(self) -> None:
        # each bend is a mesh of its own: k3d changes the colour of a mesh in place, but not those of its corners
        counts = [2] * (len(PIECES) // 2 + 3)
        colours = [_LEFT_END, *[_STEEL] * (len(counts) - 2), _RIGHT_END]
        self._put("tube", tube_mesh("tube", counts, closed=True, colors=corner_colours(colours, counts)))
        for name in BENDS_DRAWN:
            self._put(name, tube_mesh(name, [PER_BEND + 1], color=rgb(_STEEL)))
        self._put("marks", tube_mesh("marks", [2] * 4, color=rgb(INK)))
        for letter, colour in (("L", _LEFT_END), ("R", _RIGHT_END)):
            self._put(letter, html_text(f"end {letter}", "cc"))
            self.things[letter].text = box_html(letter, colour, 18)

    def _show_tube(self, film: Film, times: list[str]) -> None:
        tube, marks = self.things["tube"], self.things["marks"]
        which = [moment.shape for moment in film.moments]
        last = len(which) - 1
        turning = [i for i in range(len(which)) if i in (0, last) or not which[i - 1] == which[i] == which[i + 1]]
        places = {time: moment.place.astype(np.float32) for time, moment in zip(times, film.moments, strict=True)}
        bent = np.arange(film.shapes_mm.shape[1])
        bends = [(bent >= start) & (bent < start + PER_BEND + 1) for start in 4 + np.arange(4) * (PER_BEND + 3)]
        straight = ~np.any(bends, axis=0)
        tube.vertices = {times[i]: as_corners(with_ends(film.shapes_mm[which[i], straight])) for i in turning}
        for number, (name, rings) in enumerate(zip(BENDS_DRAWN, bends, strict=True)):
            bend, colours, before = self.things[name], {}, None
            bend.vertices = {times[i]: as_corners(film.shapes_mm[which[i], rings]) for i in turning}
            bend.model_matrix = places
            for i in turning:
                colour = rgb(BEND if film.made[which[i], number] else _STEEL)
                if before is not None and colour != before:
                    colours[time_key(film.moments[i].time_s - _APART_S)] = before
                colours[times[i]] = before = colour
            bend.color = colours if len(set(colours.values())) > 1 else before
        if film.marks_mm.shape[1]:
            marks.vertices = {times[i]: as_corners(film.marks_mm[which[i]]) for i in turning}
        tube.model_matrix = marks.model_matrix = places
        ends = film.shapes_mm[:, [0, -1]].mean(2)
        inner = film.shapes_mm[:, [1, -2]].mean(2)
        out = ends + LETTER_MM * (ends - inner) / np.maximum(np.linalg.norm(ends - inner, axis=-1, keepdims=True), 1e-9)
        for side, letter in ((0, "L"), (1, "R")):
            spots = {}
            for time, moment in zip(times, film.moments, strict=True):
                spots[time] = (moment.place @ [*out[moment.shape, side], 1.0])[:3].astype(np.float32)
            self.things[letter].position = spots

    def _show_bender(self, setup: Setup, film: Film, times: list[str], failing: dict[int, Failing]) -> None:
        side = setup.bender.die_side
        x, y = 0.0, side * float(setup.die.centerline_radius_mm)
        moments = list(zip(times, film.moments, strict=True))
        round_with = {time: turn_about_z(side * now.angle_deg, x, y).astype(np.float32) for time, now in moments}
        opening = {time: moved(0.0, 0.0, (1.0 - now.closed) * _OPEN_MM) for time, now in moments}
        steps = sorted({chapter.step for chapter in film.chapters})
        spans = {step: [c for c in film.chapters if c.step == step] for step in steps}
        at_stop, swept = {}, {}
        for step, stop in zip(steps, film.stops_deg, strict=True):
            sector = sector_mm(setup, stop).astype(np.float32)
            for time in (spans[step][0].start_s + _APART_S, spans[step][-1].end_s):
                at_stop[time_key(time)] = turn_about_z(side * stop, x, y).astype(np.float32)
                swept[time_key(time)] = sector
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
                    colours[time_key(time)] = rgb(BAD if red else COLOURS[name])
            thing.color = colours if len(set(colours.values())) > 1 else next(iter(colours.values()))

    def _show_finder(self, film: Film, times: list[str]) -> None:
        body = {}
        for time, moment in zip(times, film.moments, strict=True):
            body[time] = AWAY.astype(np.float32) if moment.finder is None else moment.finder.place.astype(np.float32)
        for name in ("angle finder", "display"):
            self.things[name].model_matrix = body
        spots, words = {}, {}
        for now, then in zip(film.moments, film.moments[1:], strict=False):
            count = max(1, round((then.time_s - now.time_s) / _TICK_S)) if now.finder and then.finder else 1
            for share in np.linspace(0.0, 1.0, count + 1):
                key = time_key(now.time_s + share * (then.time_s - now.time_s))
                if now.finder is None or then.finder is None:
                    words[key], spots[key] = NOTHING, self._inside_the_die()
                    continue
                reading = (1.0 - share) * now.finder.reading_deg + share * then.finder.reading_deg
                words[key] = box_html(f"{abs(reading):.1f}\u00b0", INK, 22)
                one, other = (seat.place[:3, 3] + 40.0 * seat.place[:3, 2] for seat in (now.finder, then.finder))
                spots[key] = ((1.0 - share) * one + share * other).astype(np.float32)
        self.things["reading"].position, self.things["reading"].text = spots, words

    def _inside_the_die(self) -> NDArray[np.float32]:
        # where an empty label is out of the way: k3d makes a label again each time it is shown or hidden
        radius = 0.0 if self.setup is None else float(self.setup.die.centerline_radius_mm)
        return np.array([0.0, self.side * radius, 0.0], np.float32)

    def _show_missing(self, film: Film, failing: dict[int, Failing]) -> None:
        label, rod = self.things["what fails"], self.things["missing"]
        label.visible = rod.visible = any(chapter.step in failing for chapter in film.chapters)
        if not rod.visible:
            return
        places, words, spots = {"0.0": AWAY}, {"0.0": NOTHING}, {"0.0": self._inside_the_die()}
        for step, what in failing.items():
            if step not in {chapter.step for chapter in film.chapters}:
                continue
            start, end = film.start_of(step, CLAMP) + _APART_S, film.end_of(step) - _APART_S
            begin, finish = np.array(what.start_mm), np.array(what.end_mm)
            spot = (0.5 * (begin + finish) + [0.0, 0.0, 40.0]).astype(np.float32)
            for time, there in ((start - _APART_S, False), (start, True), (end, True), (end + _APART_S, False)):
                places[time_key(time)] = rod_from(begin, finish) if there else AWAY
                words[time_key(time)] = box_html(what.words, BAD, 16) if there else NOTHING
                spots[time_key(time)] = spot if there else self._inside_the_die()
        rod.model_matrix = {time: place.astype(np.float32) for time, place in places.items()}
        label.text, label.position = words, spots


def _place_at(places: dict[str, NDArray[np.float32]], time_s: float) -> NDArray[np.float32]:
    # of what k3d moves from place to place, the last place that it has come to
    return places[max((key for key in places if float(key) <= time_s), key=float)]
