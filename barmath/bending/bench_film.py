"""Every motion of the tube through the bends, as keyframes: it is lifted, turned, pushed, rolled, clamped and swung.

A film is a series of moments. At each the tube has a shape in its own frame, from its left end. It also has a place in
the bender (frame of `barmath.bending.holds`). Between two moments shape and place go over evenly, so a page can show
any time between them without asking. Everything has a fixed number of points for a given number of bends.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import NamedTuple

import numpy as np

from barmath.arrays import RADIAN, Array
from barmath.bending.bench_places import Finder, finder_on, rings_of_tubes, turn, turn_about_x, turn_about_z
from barmath.bending.finder import Flat, flats_to_read
from barmath.bending.holds import Hold, Made, check_holds, made_so_far, partly_bent, placement_in_bender
from barmath.bending.swing import tubes_through_swing
from barmath.closed_forms.records import check_single
from barmath.refusal import checked_count, checked_single
from barmath.shop.bender import Bender
from barmath.shop.setup import Setup
from barmath.space.centerline import TubeBends, check_one_tube, nodes_of_bends

LIFT, TURN, PUSH, ROLL, CLAMP, SWING, SPRING = MOTIONS = (
    "lifted out",
    "turned end for end",
    "pushed to its mark",
    "rolled until the finder reads",
    "clamped",
    "swung to the stop",
    "sprung back",
)
"""The motions of one bend, first to last."""

SECONDS = {LIFT: 0.7, TURN: 1.4, PUSH: 1.6, ROLL: 2.0, CLAMP: 0.5, SWING: 1.8, SPRING: 0.8}
"""How long each takes in the film."""

LIFT_MM, PUSH_MM, ROLL_DEG = 190.0, 110.0, 65.0
"""How high the tube is lifted, how far it is then pushed to its mark, and how far rolled: so that each can be seen."""

_FEW, _SOME, _MANY = 3, 9, 13  # moments of a straight motion, of a turn, and of the tube that bends


class Moment(NamedTuple):
    """The tube and the bender at one time of the film.

    `shape` says which of the film's shapes the tube has, `place` (4, 4) carries that shape's own frame into the
    bender's. `angle_deg` is how far the handle has gone. `closed` 0 to 1 is how far hook and follower are closed.
    `finder` is where the angle finder is and what it shows; None if it is not on the tube.
    """

    time_s: float
    shape: int
    place: Array
    angle_deg: float
    closed: float
    finder: Finder | None


class Chapter(NamedTuple):
    """One motion of one bend: `step` from 0, one of `MOTIONS`, and its time."""

    step: int
    motion: str
    start_s: float
    end_s: float


@dataclass(frozen=True)
class Film:
    """A series of moments, its shapes (k, rings, facets, 3) with the marks on them (k, marks, facets, 3), its chapters.

    `made` (k, n) says which bends each shape has; `stops_deg` the angle on the stop of each step.
    """

    moments: tuple[Moment, ...]
    shapes_mm: Array
    marks_mm: Array
    made: Made
    chapters: tuple[Chapter, ...]
    stops_deg: tuple[float, ...]

    @property
    def length_s(self) -> float:
        """Its last time."""
        return self.moments[-1].time_s

    def chapter_at(self, time_s: float) -> Chapter:
        """The chapter that runs at a time."""
        return next((one for one in self.chapters if time_s < one.end_s), self.chapters[-1])

    def start_of(self, step: int, motion: str = SWING) -> float:
        """When a motion of a step begins; where the step has no such motion, when its first one does."""
        own = [one for one in self.chapters if one.step == step]
        return next((one for one in own if one.motion == motion), own[0]).start_s

    def end_of(self, step: int, motion: str = SPRING) -> float:
        """When a motion of a step has ended; where the step has no such motion, when its last one has."""
        own = [one for one in self.chapters if one.step == step]
        return next((one for one in own if one.motion == motion), own[-1]).end_s


def film_of_plan(
    bends: TubeBends,
    holds: tuple[Hold, ...],
    setup: Setup,
    marks_mm: tuple[float, ...] = (),
    *,
    only: int | None = None,
) -> Film:
    """The film of bending the tube of `bends`, in the sequence of `holds`.

    Parameters
    ----------
    bends : TubeBends
        One finished tube. Bends of 0 deg at its right end, which no hold makes, only keep the number of points.
    holds : tuple of Hold
    setup : Setup
    marks_mm : tuple of numbers, of pencil marks along the straight tube from its left end
    only : int or None
        The one step that is filmed, the bends before it finished; None: all of them.

    Raises
    ------
    BendError
        The bends are not one tube's, or a bend is missing or made twice. The plan has no step `only`.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, setup_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends, setup = bends_from_recipe(order_seven_recipe()), setup_from_tube(TUBE, DIE)
    >>> [chapter.motion for chapter in film_of_plan(bends, USUAL_HOLDS, setup, only=0).chapters]
    ['lifted out', 'pushed to its mark', 'clamped', 'swung to the stop', 'sprung back']
    """
    maker = _Maker(bends, holds, setup, marks_mm)
    for step in range(len(holds)) if only is None else [checked_count("step", only, least=0, most=len(holds) - 1)]:
        maker.bend(step)
    return maker.film()


def film_of_pull(
    bends: TubeBends, holds: tuple[Hold, ...], setup: Setup, marks_mm: tuple[float, ...] = (), *,
    read_on: int | None = None, moving: bool = True,
) -> Film:  # fmt: skip
    """The film of the last bend of `holds` alone, from where the tube is right; a still picture unless `moving`.

    Parameters
    ----------
    bends, holds, setup, marks_mm
        As in `film_of_plan`.
    read_on : int or None
        The straight that carries the angle finder.
    moving : bool
        False: a still picture.

    Raises
    ------
    BendError
        The bends are not one tube's, or a bend is missing or made twice. The tube has no straight `read_on`.

    Examples
    --------
    >>> from barmath.bending import USUAL_HOLDS
    >>> from barmath.shop import DIE, TUBE, order_seven_recipe, setup_from_tube
    >>> from barmath.space import bends_from_recipe
    >>> bends, setup = bends_from_recipe(order_seven_recipe()), setup_from_tube(TUBE, DIE)
    >>> [chapter.motion for chapter in film_of_pull(bends, USUAL_HOLDS, setup).chapters]
    ['clamped', 'swung to the stop', 'sprung back']
    """
    maker = _Maker(bends, holds, setup, marks_mm)
    step = len(holds) - 1
    if read_on is not None:
        maker.read_on = {step: checked_count("number of the flat to read", read_on, least=0, most=bends.bend_count)}
    (maker.pull if moving else maker.still)(step)
    return maker.film()


class _Ready(NamedTuple):
    # the tube as it must be for a bend, and how it is brought there: rolled away from it by `roll_deg` at first
    hold: Hold
    made: Made
    flat: Flat | None
    nodes_mm: Array
    shape: int
    place: Array
    roll_deg: float

    @property
    def waiting(self) -> Array:
        return _moved(-PUSH_MM, 0.0, 0.0) @ turn_about_x(self.roll_deg) @ self.place


class _Maker:
    # gathers moments; the tube's last place is where the next motion begins

    def __init__(self, bends: TubeBends, holds: tuple[Hold, ...], setup: Setup, marks_mm: tuple[float, ...]) -> None:
        check_one_tube(bends)
        check_single(setup.springback, setup.die, setup.bender)
        check_holds(holds, len(holds))
        self.bends, self.holds, self.setup = bends, holds, setup
        self.marks = tuple(checked_single("pencil mark", mark, "mm") for mark in marks_mm)
        self.read_on: dict[int, int] = {}
        self.time, self.moments, self.chapters = 0.0, [], []  # type: ignore[var-annotated]
        self.shapes, self.mark_rings, self.has, self.stops = [], [], [], []  # type: ignore[var-annotated]
        self.before: Hold | None = None

    def film(self) -> Film:
        shapes, marks, has = (np.concatenate(parts) for parts in (self.shapes, self.mark_rings, self.has))
        return Film(tuple(self.moments), shapes, marks, has, tuple(self.chapters), tuple(self.stops))

    def bend(self, step: int) -> None:
        """All motions of one bend."""
        ready = self._ready(step)
        self._bring(step, ready)
        waiting = ready.waiting
        self._go(step, PUSH, ready.shape, [_moved(PUSH_MM * u, 0.0, 0.0) @ waiting for u in _eased(_FEW)])
        if ready.flat is not None:
            places = [turn_about_x((1.0 - u) * ready.roll_deg) @ ready.place for u in _eased(_SOME)]
            self._go(step, ROLL, ready.shape, places, finders=[self._finder(ready, place) for place in places])
        self.pull(step, ready)

    def pull(self, step: int, ready: _Ready | None = None) -> None:
        """What is left of a bend once the tube is right: clamped, swung, sprung back."""
        ready = ready or self._ready(step)
        resting = self._finder(ready, ready.place)
        self._go(step, CLAMP, ready.shape, [ready.place] * 2, closed=[0.0, 1.0], finders=[resting] * 2)
        self._swing(step, ready)
        self.before = ready.hold

    def still(self, step: int) -> None:
        """The tube before a bend is made, and no motion."""
        ready = self._ready(step)
        self._go(step, CLAMP, ready.shape, [ready.place] * 2, finders=[self._finder(ready, ready.place)] * 2)

    def _ready(self, step: int) -> _Ready:
        hold, count = self.holds[step], self.bends.bend_count
        made = _made(self.holds, count)[step]
        tube = partly_bent(self.bends, made, np.full(count, hold.onward))
        self.stops.append(float(self.setup.springback.die_bend_deg(float(self.bends.bends_deg[hold.number]))))
        flats = flats_to_read(self.bends, hold, made, self.setup.bender) if made.any() else ()
        flat = next((one for one in flats if one.straight == self.read_on.get(step)), flats[0] if flats else None)
        way = 1.0 if flat is None or flat.reading_deg >= 0.0 else -1.0
        return _Ready(
            hold, made, flat, nodes_of_bends(tube).points_mm, self._shapes(_many([tube]), made[None])[0],
            _places(tube, hold, self.setup.bender), way * ROLL_DEG,
        )  # fmt: skip

    def _finder(self, ready: _Ready, place: Array) -> Finder | None:
        return None if ready.flat is None else finder_on(ready.nodes_mm, ready.flat, place, self.setup.tube_diameter_mm)

    def _bring(self, step: int, ready: _Ready) -> None:
        # up from where the tube is, then down beside the bender; turned end for end if the other end goes into the hook
        shape, waiting, lifted = ready.shape, ready.waiting, _moved(0.0, 0.0, LIFT_MM)
        if self.before is None:
            self._go(step, LIFT, shape, [lifted @ waiting] * 2)
        else:
            last = self.moments[-1]
            self._go(step, LIFT, shape, [_moved(0.0, 0.0, LIFT_MM * u) @ last.place for u in _eased(_FEW)])
            up = self.moments[-1].place
            ends = up
            if ready.hold.hooked != self.before.hooked:
                half = [turn_about_z(180.0 * u) @ up for u in _eased(_MANY)]
                self._go(step, TURN, shape, half)
                ends = half[-1]
            self._go(step, PUSH, shape, turn(ends, lifted @ waiting, _eased(_SOME)), share=0.6)
        self._go(step, PUSH, shape, [_moved(0.0, 0.0, LIFT_MM * (1.0 - u)) @ waiting for u in _eased(_FEW)], share=0.4)

    def _swing(self, step: int, ready: _Ready) -> None:
        hold, made, shares = ready.hold, ready.made, np.linspace(0.0, 1.0, _MANY)
        swung = tubes_through_swing(self.bends, made, hold, self.setup, shares)
        after = made | (np.arange(self.bends.bend_count) == hold.number)
        tubes = _many([*_each(swung), partly_bent(self.bends, after, np.full(self.bends.bend_count, hold.onward))])
        angles = [*(share * self.stops[-1] for share in shares), float(self.bends.bends_deg[hold.number])]
        shapes = self._shapes(tubes, np.where(np.arange(_MANY + 1)[:, None] > 0, after, made))
        places, nodes = _places(tubes, hold, self.setup.bender), nodes_of_bends(tubes).points_mm
        finders = [self._finder(ready._replace(nodes_mm=n), place) for n, place in zip(nodes, places, strict=True)]
        self._go(step, SWING, shapes[:-1], list(places[:-1]), angles=angles[:-1], closed=[1.0] * _MANY,
                 finders=finders[:-1])  # fmt: skip
        last = [-2, -1, -1]
        self._go(step, SPRING, [shapes[i] for i in last], [places[i] for i in last], angles=[angles[i] for i in last],
                 closed=[1.0, 1.0, 0.0], finders=[finders[i] for i in last])  # fmt: skip

    def _go(
        self, step: int, motion: str, shapes: int | list[int], places: list[Array], *,
        angles: list[float] | None = None, closed: list[float] | None = None,
        finders: list[Finder | None] | None = None, share: float = 1.0,
    ) -> None:  # fmt: skip
        # moments of one motion, evenly over its time; the first one is the last moment of the motion before
        count, start, length = len(places), self.time, SECONDS[motion] * share
        which = [shapes] * count if isinstance(shapes, int) else shapes
        for i in range(count):
            # a millisecond later, because two moments at one time have no in-between
            time = start + length * i / (count - 1) + (1e-3 if self.moments and i == 0 else 0.0)
            self.moments.append(Moment(
                time, which[i], places[i], angles[i] if angles else 0.0, closed[i] if closed else 0.0,
                finders[i] if finders else None,
            ))  # fmt: skip
        self.time = start + length
        if self.chapters and self.chapters[-1][:2] == (step, motion):
            start = self.chapters.pop().start_s
        self.chapters.append(Chapter(step, motion, start, self.time))

    def _shapes(self, tubes: TubeBends, made: Made) -> list[int]:
        surfaces, marks = rings_of_tubes(self.bends, tubes, self.setup.tube_diameter_mm, self.marks)
        start = sum(len(part) for part in self.shapes)
        self.shapes.append(surfaces)
        self.mark_rings.append(marks)
        self.has.append(made)
        return list(range(start, start + len(surfaces)))


def _places(tubes: TubeBends, hold: Hold, bender: Bender) -> Array:
    # (..., 4, 4), from the frame of each tube's left end into the bender's
    origin, axes = placement_in_bender(tubes, hold, bender)
    place = np.zeros((*origin.shape[:-1], 4, 4))
    place[..., :3, :3], place[..., :3, 3] = axes, -(axes @ origin[..., None])[..., 0]
    place[..., 3, 3] = 1.0
    return place


def _each(tubes: TubeBends) -> list[TubeBends]:
    return [
        TubeBends(*(getattr(tubes, part.name)[i] for part in fields(TubeBends))) for i in range(len(tubes.bends_deg))
    ]


def _many(tubes: list[TubeBends]) -> TubeBends:
    return TubeBends(*(np.stack([getattr(tube, part.name) for tube in tubes]) for part in fields(TubeBends)))


def _made(holds: tuple[Hold, ...], count: int) -> Made:
    # bends that no hold makes are never made
    made = np.zeros((len(holds) + 1, count), bool)
    made[:, : len(holds)] = made_so_far(holds)
    return made


def _eased(count: int) -> Array:
    # from 0 to 1, slowly at both ends
    return 0.5 - 0.5 * np.cos(np.linspace(0.0, 180.0, count) * RADIAN)


def _moved(x: float, y: float, z: float) -> Array:
    place = np.eye(4)
    place[:3, 3] = x, y, z
    return place
