"""What a shop's own bends and bars say of its springback, line-up offset and effective radius, and how surely.

A bend set to t on the stop keeps t - (k t + t0): a share k, and a constant t0 from play in stop and hook. The bend
truly begins an offset o ahead of the line at the die's edge, toward the free end, and its finished radius is R. Test
bends tell k and t0, their measured shift o; bars tell all four at once, through the shape they came out in.

The theory is where it starts: k from the fully plastic moment, with the yield anywhere from 60 to 90 ksi, R from the
die and k. Each observation pulls as hard as its own uncertainty lets it, those far off the others less (Huber's loss).
With no data the theory stands; with one bar it moves a little; with many the data decide.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from barmath.as_bent import Array
from barmath.bar import LEAST_BEND_DEG, MOST_BEND_DEG, Recipe, check_single
from barmath.bent_bar import BentBar, TestBend
from barmath.die_calibration import UNSURE_CONSTANT_DEG, UNSURE_OFFSET_MM, YIELD_BAND_KSI, DieCalibration
from barmath.inspection import Estimate
from barmath.offsets import kept_deg, play_deg, riser_from_marks_mm, stop_setting_deg
from barmath.refusal import BendError, checked_single
from barmath.shape import RADIAN, shape_from_recipe
from barmath.stock import PSI, Tube
from barmath.tooling import Die, springback_from_tube

MEASURES = ("rise", "backsweep", "upsweep", "width", "between_risers")
"""What is compared of a bar, both sides taken together."""

PARTS = ("ratio", "constant_deg", "offset_mm", "radius_mm")

FAR_OFF = 3.5
"""Of its own standard deviations: a bar beyond it disagrees with the others."""

MOST_MORE = 10_000
LEAST_ERROR_DEG, MOST_STOP_DEG = 1e-9, 720.0
"""More bars than that are not worth asking for."""

_HUBER = 2.5
_REACH = 8.0  # how far, in what is not known beforehand, the answer may lie from the theory


@dataclass(frozen=True)
class Scatter:
    """Standard deviations of one bend or reading from the next, and of what is not known before the first.

    `bend_deg` of a bend at the same stop, `kept_deg` of reading what a test bend kept, `finder_deg` of the clamp
    reading, `mark_mm` of a mark, `sweep_deg` and `length_mm` of a reading on the finished bar, `shift_mm` of a measured
    shift. Before any data: `constant_deg`, `offset_mm`, and `radius_mm` off R_die/(1 - k).
    """

    bend_deg: float = 0.3
    kept_deg: float = 0.2
    finder_deg: float = 0.2
    mark_mm: float = 0.5
    sweep_deg: float = 0.2
    length_mm: float = 0.7
    shift_mm: float = 0.5
    constant_deg: float = UNSURE_CONSTANT_DEG
    offset_mm: float = UNSURE_OFFSET_MM
    radius_mm: float = 0.5


class Disagreement(NamedTuple):
    """A bar or bend that does not fit the others: its place among those given, its name, and by how much."""

    place: int
    name: str
    off: float


@dataclass(frozen=True)
class Calibration:
    """What was found, by the names in `PARTS`, with standard errors and their covariance (4, 4).

    `theory` is where it started from; `bends` and `bars` how many were used; `disagree` those that do not fit.
    `told_by_a_bar` (4, 4) is the information that one bar of their kind brings on average, nought where there is none.
    """

    estimates: dict[str, Estimate]
    theory: dict[str, Estimate]
    covariance: Array
    bends: int
    bars: int
    disagree: tuple[Disagreement, ...]
    scatter: Scatter
    told_by_a_bar: Array

    @property
    def ratio(self) -> Estimate:
        """Springback ratio k."""
        return self.estimates["ratio"]

    def kept_deg(self, stop_deg: float) -> Estimate:
        """What a bend set to `stop_deg` keeps, and the standard error of that; raises BendError where it is no stop."""
        stop_deg = checked_single("stop", stop_deg, "deg", least=-MOST_STOP_DEG, most=MOST_STOP_DEG)
        value = kept_deg(stop_deg, self.ratio.value, self.estimates["constant_deg"].value)
        pull = np.array([stop_deg, 1.0, 0.0, 0.0])
        return Estimate(value, float(np.sqrt(pull @ self.covariance @ pull)))

    def stop_deg(self, wanted_deg: float) -> Estimate:
        """What to set the stop to so that `wanted_deg` is kept; raises BendError where it is no bend."""
        wanted_deg = checked_single("wanted bend", wanted_deg, "deg", least=0.0, most=MOST_BEND_DEG)
        k = self.ratio.value
        stop = stop_setting_deg(wanted_deg / (1.0 - k), play_deg(self.estimates["constant_deg"].value, k))
        return Estimate(stop, self.kept_deg(stop).error / (1.0 - self.ratio.value))

    def for_shop(self, die: str, tube: str, date: str, batch: str = "") -> DieCalibration:
        """These values as they go into a shop's file."""
        value = {name: estimate.value for name, estimate in self.estimates.items()}
        return DieCalibration(
            die, tube, date, f"{self.bars} bars and {self.bends} test bends", value["ratio"], value["constant_deg"],
            value["offset_mm"], value["radius_mm"], self.kept_deg(25.0).error, self.estimates["offset_mm"].error, batch,
        )  # fmt: skip

    def bends_to_reach(self, error_deg: float, wanted_deg: float = 25.0) -> int:
        """How many more test bends would bring the standard error of a bend down to `error_deg`; 0 where it is there.

        Beyond the scatter of a single bend nothing helps; this is of the bend that the stop gives on average.
        """
        error = checked_single("standard error to reach", error_deg, "deg", least=LEAST_ERROR_DEG)
        now = self.kept_deg(self.stop_deg(wanted_deg).value).error
        if now <= error:
            return 0
        one = self.scatter.bend_deg**2 + self.scatter.kept_deg**2
        return int(np.ceil(one * (1.0 / error**2 - 1.0 / now**2)))

    def bars_to_reach(self, error_deg: float, wanted_deg: float = 25.0) -> int | None:
        """The same in bars like those used: None where there is none to go by, or no number of them would do."""
        error = checked_single("standard error to reach", error_deg, "deg", least=LEAST_ERROR_DEG)
        pull = np.array([self.stop_deg(wanted_deg).value, 1.0, 0.0, 0.0])
        if not self.told_by_a_bar.any():
            return None
        known = np.linalg.inv(self.covariance)

        def reached(more: float) -> bool:
            return bool(np.sqrt(pull @ np.linalg.solve(known + more * self.told_by_a_bar, pull)) <= error)

        if not reached(MOST_MORE):
            return None
        few, many = -1, MOST_MORE
        while many - few > 1:
            middle = (few + many) // 2
            few, many = (few, middle) if reached(middle) else (middle, many)
        return many


def calibrate(
    tube: Tube, die: Die, bends: Sequence[TestBend] = (), bars: Sequence[BentBar] = (), scatter: Scatter = Scatter()
) -> Calibration:
    """Springback, line-up offset and finished radius of one tube (or one batch of it) on one die.

    Parameters
    ----------
    tube : Tube
        One tube (no arrays); its sizes give the theory.
    die : Die
        One die; its measured ratio, where it has one, is not used.
    bends, bars : sequences
        Made on this die from this tube. A bar counts where its marks, length, stops and clamp reading were noted, and
        one of its measures was read.
    scatter : Scatter

    Returns
    -------
    Calibration

    Raises
    ------
    BendError
        Where a bar or bend was made on a die of another radius.
    """
    from scipy.optimize import least_squares  # here, for it takes longer to import than all of barmath

    check_single(tube, die)
    _check_die(die, [*bends, *bars])
    start, spread = _theory(tube, die, scatter)
    stops, kept = (np.array([getattr(bend, name) for bend in bends]) for name in ("stop_deg", "kept_deg"))
    shifts = np.array([bend.shift_mm for bend in bends if bend.shift_mm is not None])
    told = [(place, _told(bar)) for place, bar in enumerate(bars)]
    usable = [(place, values) for place, values in told if values is not None]
    made = _Bars([bars[place] for place, _ in usable], [values for _, values in usable], start, scatter)
    bend_error = float(np.hypot(scatter.bend_deg, scatter.kept_deg))

    def residuals(parts: Array) -> Array:
        k, constant, offset, radius = parts
        known = np.array([k, constant, offset, start[3] + radius - float(die.centerline_radius_mm) / (1.0 - k)])
        return np.concatenate([
            (known - start) / spread,
            (kept_deg(stops, k, constant) - kept) / bend_error,
            (shifts - offset) / scatter.shift_mm,
            made.residuals(parts),
        ])  # fmt: skip

    reach = (start - _REACH * spread, start + _REACH * spread)
    found = least_squares(residuals, start, bounds=reach, loss="huber", f_scale=_HUBER, x_scale=spread)
    covariance = np.linalg.inv(found.jac.T @ found.jac)
    unsure = np.array([*spread[:3], np.hypot(spread[3], start[3] / (1.0 - start[0]) * spread[0])])
    errors = np.sqrt(np.diag(covariance))
    left = residuals(found.x)[4:]
    return Calibration(
        estimates={name: Estimate(float(v), float(e)) for name, v, e in zip(PARTS, found.x, errors, strict=True)},
        theory={name: Estimate(float(v), float(e)) for name, v, e in zip(PARTS, start, unsure, strict=True)},
        covariance=covariance,
        bends=len(bends),
        bars=len(usable),
        disagree=_disagree(left, bends, [place for place, _ in usable], bars, made.counts),
        scatter=scatter,
        told_by_a_bar=_information(found.jac[4 + len(bends) + len(shifts) :], len(usable)),
    )


def _information(slopes: Array, bars: int) -> Array:
    return slopes.T @ slopes / bars if bars else np.zeros((len(PARTS), len(PARTS)))


def predicted_and_read(bars: Sequence[BentBar], found: Calibration) -> tuple[Array, Array, list[int]]:
    """What bars should measure by their settings and `found`, and what was read: (m, 5) each, in `MEASURES`, nan where
    not read; and the places among `bars` of the m that have their settings and a reading.
    """
    told = [(place, _told(bar)) for place, bar in enumerate(bars)]
    usable = [(place, values) for place, values in told if values is not None]
    parts = np.array([found.estimates[name].value for name in PARTS])
    made = _Bars([bars[place] for place, _ in usable], [values for _, values in usable], parts, found.scatter)
    return made.shown(parts), made.told, [place for place, _ in usable]


class _Bars:
    """Bars as arrays: settings, what was read, and the matrices that make what was read equally sure and unrelated."""

    def __init__(self, bars: Sequence[BentBar], told: Sequence[Array], start: Array, scatter: Scatter) -> None:
        names = ("inner_mark_mm", "outer_mark_mm", "tube_length_mm", "inner_stop_deg", "outer_stop_deg",
                 "clamp_reading_deg")  # fmt: skip
        self.set = np.array([[getattr(bar, name) for name in names] for bar in bars]).reshape(len(bars), 6).T
        self.told = np.array(told).reshape(len(bars), len(MEASURES))
        self.counts = (~np.isnan(self.told)).sum(-1)
        self.whiten = self._whitening(start, scatter) if bars else []

    def shown(self, parts: Array, slips: Array | None = None) -> Array:
        """What bars of these settings measure, (bars, measures); `slips` (6,) are added to the settings."""
        k, constant, offset, radius = parts
        inner, outer, length, inner_stop, outer_stop, reading = self.set + (0.0 if slips is None else slips[:, None])
        a, b = (np.maximum(kept_deg(stop, k, constant), LEAST_BEND_DEG) for stop in (inner_stop, outer_stop))
        sine = np.clip(np.sin(reading * RADIAN) / np.sin(a * RADIAN), -0.999, 0.999)
        riser_start, riser_end = riser_from_marks_mm(inner, outer, offset)
        flat = 2.0 * (riser_start - radius * a * RADIAN)
        grip = 0.5 * length - riser_end - radius * b * RADIAN
        flat, riser, grip = (np.maximum(length, 0.0) for length in (flat, riser_end - riser_start, grip))
        shape = shape_from_recipe(Recipe(flat, a, riser, np.arcsin(sine) / RADIAN, b, grip, radius))
        between = flat + 2.0 * (radius * np.sin(a * RADIAN) + riser * np.cos(a * RADIAN))
        return np.stack([shape.rise_mm, shape.backsweep_deg, shape.upsweep_deg, shape.width_mm, between], -1)

    def residuals(self, parts: Array) -> Array:
        """What was read less what should be, whitened; one row of numbers a bar, end to end."""
        if not len(self.whiten):
            return np.empty(0)
        off = self.shown(parts) - self.told
        return np.concatenate([
            whiten @ row[~np.isnan(row)] for whiten, row in zip(self.whiten, off, strict=True)
        ])  # fmt: skip

    def _whitening(self, start: Array, scatter: Scatter) -> list[Array]:
        # a bar's slips move its measures together: both sides' slips, halved by taking the sides together
        once = np.array([scatter.mark_mm, scatter.mark_mm, 2.0 * scatter.mark_mm, scatter.bend_deg, scatter.bend_deg,
                         scatter.finder_deg]) / np.sqrt(2.0)  # fmt: skip
        step = 1e-4
        slopes = np.stack([(self.shown(start, step * axis) - self.shown(start, -step * axis)) / (2.0 * step)
                           for axis in np.eye(6)], -1)  # fmt: skip
        read = np.array([scatter.length_mm, scatter.sweep_deg, scatter.sweep_deg]) / np.sqrt(2.0)
        reading = np.array([*read, scatter.length_mm, scatter.length_mm])
        found = []
        for slope, row in zip(slopes, self.told, strict=True):
            known = ~np.isnan(row)
            pull = (slope * once)[known]
            covariance = pull @ pull.T + np.diag(reading[known] ** 2)
            found.append(np.linalg.inv(np.linalg.cholesky(covariance)))
        return found


def _theory(tube: Tube, die: Die, scatter: Scatter) -> tuple[Array, Array]:
    low, high = (springback_from_tube(tube, die, ksi * 1e3 * PSI).ratio for ksi in YIELD_BAND_KSI)
    k = float(springback_from_tube(tube, die, tube.material.yield_mpa).ratio)
    radius = float(die.centerline_radius_mm) / (1.0 - k)
    start = np.array([k, 0.0, float(die.line_up_offset_mm), radius])
    return start, np.array([0.5 * float(high - low), scatter.constant_deg, scatter.offset_mm, scatter.radius_mm])


def _told(bar: BentBar) -> Array | None:
    # the measures of a bar, both sides together; None where its settings or every measure is missing
    settings = (bar.inner_mark_mm, bar.outer_mark_mm, bar.tube_length_mm, bar.inner_stop_deg, bar.outer_stop_deg)
    if None in settings or bar.clamp_reading_deg is None:
        return None
    values = []
    for measure in MEASURES:
        sides = [bar.readings[key] for key in (measure, f"{measure}_left", f"{measure}_right") if key in bar.readings]
        values.append(float(np.mean(sides)) if sides else np.nan)
    return None if np.all(np.isnan(values)) else np.array(values)


def _disagree(
    left: Array, bends: Sequence[TestBend], places: Sequence[int], bars: Sequence[BentBar], counts: Array
) -> tuple[Disagreement, ...]:
    found = [
        Disagreement(place, f"test bend of {bend.date} to {bend.stop_deg:.1f} deg", float(off))
        for place, (bend, off) in enumerate(zip(bends, left[: len(bends)], strict=True))
        if abs(off) > FAR_OFF
    ]
    start = len(left) - int(np.sum(counts))
    for place, count in zip(places, counts, strict=True):
        worst = float(np.max(np.abs(left[start : start + count])))
        if worst > FAR_OFF:
            found.append(Disagreement(place, bars[place].name, worst))
        start += count
    return tuple(found)


def _check_die(die: Die, made: Sequence[TestBend | BentBar]) -> None:
    for one in made:
        if abs(one.die_radius_mm - float(die.centerline_radius_mm)) > 0.5:
            raise BendError(
                f"die radius must be the {die.centerline_radius_mm:.1f} mm of the die calibrated, got "
                f"{one.die_radius_mm:.1f} mm in an entry of {one.date}: leave that entry out"
            )
