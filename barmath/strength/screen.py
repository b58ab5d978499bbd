"""What a load does to a bar: moments along its true centre line, and the stresses they make in its sections.

A check on paper, never an approval. The bar is clamped at the stem's edges and loaded at 50 mm from its ends. The
stress is elastic; where it passes the tube's yield the elastic answer stops being valid. The fully plastic moment then
says how near the section is to folding. Brazed joints, notches, dents, corrosion and wear are left out; so is the
flattening of thin bends under the load (von Karman). It makes them give more and stresses them more.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.marks import Marks, marks_from_recipe
from barmath.closed_forms.records import Recipe, check_single
from barmath.crossbars.crossbar import Crossbar
from barmath.lengths import LONGEST_MM
from barmath.refusal import BendError, checked_single, plain, tenths
from barmath.shop.forming import OUT_OF_ROUND_LIMIT
from barmath.shop.stock import Material, Tube
from barmath.space.centerline import bar_points
from barmath.strength.bent_section import Section, bent_section, straight_section
from barmath.strength.load_cases import FROM_END_MM, LoadCase

STEM_WIDTH_MM = 40.0
"""Width of a stem's clamp where a shop gives none: common practice, no source."""

FATIGUE_WORDS = (
    "A fatigue load is not judged by first yield: a bar can crack far below it, from a notch, a joint or rust. Only a "
    "test to the standard can answer this."
)

MOST_TILT_DEG = 90.0  # a load that points along the ground
PLACES = ("in the clamp flat", "in the inner bend", "in the riser", "in the outer bend", "in the grip")
_PER_PIECE, _DECIMALS, _SHORTEST_MM = 12, 9, 0.5
"""Stations in each piece, the decimals by which two are apart, and the shortest member of a frame."""


@dataclass(frozen=True)
class LoadedSide:
    """What one side carries, at k stations from the stem's edge to the load.

    stations_mm (k,) along the centre line from the middle of the bar; points_mm (k, 3); moments_nm (k, 3) about the
    bend's binormal (in its plane), its normal (out of it) and the tube's own axis; piece (k,) number in `PLACES`;
    elastic_mpa (k,) largest equivalent stress if nothing yielded; plastic_mpa (k,) the yield stress at which the whole
    section would just yield. force_n (3,) at the last station; joint (6,) force in N and couple in N mm from a
    crossbar, and joint_mm where it acts, None without one.
    """

    stations_mm: Array
    points_mm: Array
    moments_nm: Array
    piece: NDArray[np.int64]
    elastic_mpa: Array
    plastic_mpa: Array
    force_n: Array
    joint: Array | None
    joint_mm: Array | None


@dataclass(frozen=True)
class LoadedBar:
    """A bar under one load case: its two sides, and where it is stressed most."""

    case: LoadCase
    right: LoadedSide
    left: LoadedSide
    material: Material
    stem_half_mm: float
    crossbar: Crossbar | None = None

    @property
    def sides(self) -> tuple[tuple[str, LoadedSide], ...]:
        """Both sides with their names."""
        return ("right", self.right), ("left", self.left)

    @property
    def elastic_mpa(self) -> float:
        """Largest elastic stress anywhere."""
        return max(float(side.elastic_mpa.max()) for _, side in self.sides)

    @property
    def plastic_mpa(self) -> float:
        """Yield stress at which some section would just yield all through."""
        return max(float(side.plastic_mpa.max()) for _, side in self.sides)

    @property
    def worst(self) -> tuple[str, int]:
        """Side and number of the station with the largest elastic stress."""
        name, side = max(self.sides, key=lambda pair: float(pair[1].elastic_mpa.max()))
        return name, int(side.elastic_mpa.argmax())

    @property
    def elastic_holds(self) -> bool:
        """Whether the elastic answer is valid over the whole yield band."""
        return self.elastic_mpa <= self.material.yield_low_mpa

    def words(self) -> tuple[str, ...]:
        """What the strength check says, in sentences."""
        name, place = self.worst
        side = getattr(self, name)
        low, nominal, high = (self.material.yield_low_mpa, self.material.yield_mpa, self.material.yield_high_mpa)
        where = "at the stem's edge" if place == 0 else PLACES[side.piece[place]]
        stress, plastic = self.elastic_mpa, self.plastic_mpa
        first = (
            f"The largest elastic stress is {stress:.0f} MPa, on the {name} side {where}: "
            f"{stress / nominal:.2f} times first yield at {nominal:.0f} MPa "
            f"({stress / high:.2f} to {stress / low:.2f} over the band of {low:.0f} to {high:.0f} MPa)."
        )
        second = (
            f"The section that is nearest to folding carries {plastic / nominal:.2f} of its fully plastic moment "
            f"({plastic / high:.2f} to {plastic / low:.2f} over the band)."
        )
        return (first, second, self._judged(), *self._crossbar_words())

    def _judged(self) -> str:
        # never milder than the truth: without a crossbar nothing else takes over from a section that folds
        low, high = self.material.yield_low_mpa, self.material.yield_high_mpa
        if self.case.cycles > 1.0:
            return FATIGUE_WORDS
        if self.elastic_holds:
            return "No section reaches the low end of the yield band, so the elastic answer is valid here."
        if self.plastic_mpa > low:
            which = "Every tube" if self.plastic_mpa > high else "Weak tubes"
            if self.crossbar is None:
                fold = "folds" if self.plastic_mpa > high else "fold"
                rest = "" if self.plastic_mpa > high else " In the others the elastic answer is not valid either."
                return f"{which} of this band {fold}: a section is loaded above its fully plastic moment.{rest}"
            reach = "reaches" if self.plastic_mpa > high else "reach"
            return (
                f"{which} of this band {reach} the fully plastic moment: a section turns like a hinge. Only a "
                "test can say what the crossbar then still holds."
            )
        if self.elastic_mpa <= high:
            return "Some tubes of this band yield here: for them the elastic answer stops being valid."
        return (
            "Every tube of this band yields here: the elastic answer stops being valid, the bar remains bent, and "
            "only a test says how much."
        )

    def _crossbar_words(self) -> tuple[str, ...]:
        if self.right.joint is None:
            return ()
        along = abs(float(self.right.joint[0]))
        return (
            f"The crossbar carries {along:.0f} N along itself, and its stress is {self.crossbar_mpa:.0f} MPa. Its "
            "brazed joints must carry that too, and they are not checked here.",
        )

    @property
    def crossbar_mpa(self) -> float:
        """Largest elastic stress along the crossbar, at its ends, by pull and bending; 0 without one."""
        joints = [side.joint for _, side in self.sides if side.joint is not None]
        if self.crossbar is None or not joints:
            return 0.0
        branch = self.crossbar.branch
        return max(
            abs(float(joint[0])) / float(branch.area_mm2)
            + float(np.hypot(joint[4], joint[5])) / float(branch.section_modulus_mm3)
            for joint in joints
        )


def loaded_bar(
    recipe: Recipe,
    tube: Tube,
    case: LoadCase,
    crossbar: Crossbar | None = None,
    stem_width_mm: float = STEM_WIDTH_MM,
    tilt_deg: float = 0.0,
    out_of_round: float = OUT_OF_ROUND_LIMIT,
) -> LoadedBar:
    """One `recipe` (no arrays) of `tube` under a load case, clamped with its stem roll.

    Parameters
    ----------
    recipe, tube, case : Recipe, Tube, LoadCase
    crossbar : Crossbar or None
        Fitted to the same recipe.
    stem_width_mm : number, above 0
        Width of the stem's clamp; at most the clamp flat.
    tilt_deg : number, -90..90
        Of the loads from straight down, positive toward the front.
    out_of_round : number, 0..0.3
        (D_max - D_min)/D of the bends; the usual value is the most that ASME B31.1 allows.

    Raises
    ------
    BendError
        The stem is wider than the clamp flat. The load would act on a bend. A value is outside its range.

    Examples
    --------
    >>> from barmath import Recipe
    >>> recipe = Recipe(50.0, 25.0, 75.0, 31.0, 25.0, 227.0, 90.0)
    >>> from barmath import Tube
    >>> from barmath.strength import LATERAL, loaded_bar
    >>> print(f"{loaded_bar(recipe, Tube(22.225, 1.651), LATERAL).elastic_mpa:.0f} MPa")
    652 MPa
    """
    check_single(recipe, tube)
    marks = marks_from_recipe(recipe)
    checked_single("half the tube's length", marks.end_mm, "mm", most=LONGEST_MM)
    flat = checked_single("out of round", out_of_round)  # one number, because its section is kept; its bounds are there
    stem = checked_single("width of the stem", stem_width_mm, "mm", above=0.0)
    tilt = checked_single("tilt of the load", tilt_deg, "deg", least=-MOST_TILT_DEG, most=MOST_TILT_DEG) * RADIAN
    _check_room(recipe, stem)
    sections = straight_section(tube), _bent(tube, float(recipe.radius_mm), flat)
    along = _along(marks, 0.5 * stem, crossbar)
    down = np.array([0.0, np.sin(tilt), -np.cos(tilt)])
    loads = [np.concatenate([force * down, [1e3 * case.couple_nm, 0.0, 0.0]]) for force in (case.right_n, case.left_n)]
    sides = _both_sides(recipe, float(marks.end_mm), along.stations)
    joints: tuple[Array | None, Array | None] = (None, None)
    if crossbar is not None:
        joints = _joints(sides, along, crossbar, loads, tube, sections[1])
    right, left = (
        _loaded(points, frames, along, load, joint, sections)
        for (points, frames), load, joint in zip(sides, loads, joints, strict=True)
    )
    return LoadedBar(case, right, left, tube.material, 0.5 * stem, crossbar)


def _check_room(recipe: Recipe, stem: float) -> None:
    if stem > recipe.clamp_flat_mm:
        raise BendError(
            f"width of the stem must be at most the clamp flat of {plain(recipe.clamp_flat_mm)} mm, got {plain(stem)} "
            "mm: choose a longer clamp flat or a narrower stem"
        )
    if recipe.grip_mm < FROM_END_MM:
        raise BendError(
            f"grip must be at least {plain(FROM_END_MM)} mm long, where the standard puts its load, got "
            f"{tenths(recipe.grip_mm, FROM_END_MM)} mm: choose a bar with longer grips"
        )


class _Along(NamedTuple):
    """Stations (k,) of one side, the piece that each is on, where pieces end, and the crossbar's place among them."""

    stations: Array
    piece: NDArray[np.int64]
    edges: list[float]
    joint: int | None


def _along(marks: Marks, start: float, crossbar: Crossbar | None) -> _Along:
    ends = (marks.inner_start_mm, marks.inner_end_mm, marks.outer_start_mm, marks.outer_end_mm)
    edges = [round(float(end), _DECIMALS) for end in (*ends, marks.end_mm - FROM_END_MM)]
    stations = _stations(start, edges, [] if crossbar is None else [crossbar.station_mm])
    piece = np.searchsorted(edges[:-1], stations, side="left")
    piece[np.isin(stations, [edges[0], edges[2]])] += 1  # where a bend begins its section counts, as where it ends
    joint = None if crossbar is None else int(np.argmin(np.abs(stations - crossbar.station_mm)))
    return _Along(stations, piece, edges, joint)


@lru_cache(maxsize=64)
def _bent(tube: Tube, radius_mm: float, out_of_round: float) -> Section:
    return bent_section(tube, radius_mm, out_of_round)


def _stations(start: float, edges: list[float], extra: list[float]) -> Array:
    corners = [start, *edges]
    parts = [np.linspace(a, b, _PER_PIECE + 1) for a, b in pairwise(corners)]
    return np.unique(np.round(np.concatenate([*parts, extra]), _DECIMALS))


def _both_sides(recipe: Recipe, half: float, stations: Array) -> list[tuple[Array, Array]]:
    # points and frames of the right side (tangent outward, normal to the bend's inside, binormal), and mirrored in x
    points, frames = bar_points(recipe, half + stations)
    mirror = np.array([-1.0, 1.0, 1.0])
    return [(points, frames), (points * mirror, frames * mirror[:, None] * [1.0, 1.0, -1.0])]


def _joints(
    sides: list[tuple[Array, Array]], along: _Along, crossbar: Crossbar, loads: list[Array], tube: Tube, bend: Section
) -> tuple[Array, Array]:
    from barmath.strength.braced import (  # the library of finite elements, only where it is needed
        Chain,
        crossbar_on_risers,
    )

    stations, edges, joint = along.stations, along.edges, along.joint or 0
    wanted = np.unique([*range(0, stations.size, 2), *np.searchsorted(stations, edges), joint])
    keep = _apart(wanted, stations, joint)
    middles = 0.5 * (stations[keep][1:] + stations[keep][:-1])
    bent = np.searchsorted(edges, middles) % 2 == 1  # straight, bend, straight, bend, grip
    right, left = (
        Chain(points[keep], bent, int(np.searchsorted(keep, joint)), load)
        for (points, _), load in zip(sides, loads, strict=True)
    )
    return crossbar_on_risers(right, left, tube, bend, crossbar.branch)


def _apart(places: NDArray[np.intp], stations: Array, joint: int) -> NDArray[np.intp]:
    # a piece of frame much shorter than the others is stiffer than a float can tell: the ends and the joint stay
    kept = [int(places[0])]
    fixed = {int(places[-1]), joint}
    for place in map(int, places[1:]):
        if stations[place] - stations[kept[-1]] < _SHORTEST_MM:
            if place not in fixed:
                continue
            if kept[-1] not in fixed and len(kept) > 1:
                kept.pop()
        kept.append(place)
    return np.array(kept)


def _loaded(
    points: Array, frames: Array, along: _Along, load: Array, joint: Array | None, sections: tuple[Section, Section]
) -> LoadedSide:
    force = np.broadcast_to(load[:3], points.shape)
    moment = load[3:] + np.cross(points[-1] - points, force)
    place = None
    if joint is not None and along.joint is not None:
        place = points[along.joint]
        inboard = (np.arange(along.stations.size) <= along.joint)[:, None]
        force = force + np.where(inboard, joint[:3], 0.0)
        moment = moment + np.where(inboard, joint[3:] + np.cross(place - points, joint[:3]), 0.0)
    torsion, out_of_plane, in_plane = np.einsum("kij,ki->jk", frames, moment)
    pull = np.einsum("ki,ki->k", frames[:, :, 0], force)
    moments = np.stack([in_plane, out_of_plane, torsion], -1)
    elastic, plastic = _stresses(sections, moments, pull, along.piece % 2 == 1)
    return LoadedSide(along.stations, points, 1e-3 * moments, along.piece, elastic, plastic, load[:3], joint, place)


def _stresses(
    sections: tuple[Section, Section], moments: Array, pull: Array, bent: NDArray[np.bool_]
) -> tuple[Array, Array]:
    # where a bend ends both sections meet: the one that is stressed more counts
    beside = np.pad(~bent, 1)
    edge = bent & (beside[:-2] | beside[2:])
    elastic, plastic = np.zeros(pull.size), np.zeros(pull.size)
    for section, here in zip(sections, (~bent | edge, bent), strict=True):
        in_plane, out_of_plane, torsion = moments[here].T
        elastic[here] = np.maximum(elastic[here], section.stress_mpa(in_plane, out_of_plane, torsion, pull[here]))
        plastic[here] = np.maximum(plastic[here], section.plastic_mpa(in_plane, out_of_plane, torsion))
    return elastic, plastic
