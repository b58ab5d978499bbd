"""What a shop's own bends and bars say of its springback, line-up offset and effective radius, and how surely.

A bend set to t on the stop keeps t - (k t + t0): a share k, and a constant t0 from play in stop and hook. The bend
begins an offset o ahead of the line at the die's edge, toward the free end. Its finished radius is R. Test bends give k
and t0, their measured shift gives o; bars give all four at once, through the shape they came out in.

The theory is where it starts: k from the fully plastic moment, which is wrong by tens of per cent, R from the die and
k. Each entry pulls as hard as its own uncertainty lets it, those far off the others less (Huber's weights). How much
the shop's bends and readings scatter is estimated from its own entries; how unsure that is makes the errors larger.
Where its springback wanders, newer entries count more (`barmath.records.local_level`).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.checking.inspection import Estimate
from barmath.closed_forms.records import MOST_BEND_DEG, check_single
from barmath.records.bent_bar import BentBar, TestBend
from barmath.records.by_settings import Made, Scatter, measures_of_settings, read_of_bar, settings_of_bar
from barmath.records.drift import Course, Drift, drift_of_course
from barmath.records.local_level import Spread, information, likeliest
from barmath.records.part_fit import USUAL, PartFit, Places, fitted
from barmath.refusal import BendError, checked_single, counted
from barmath.shop.die_calibration import YIELD_BAND_KSI, Beforehand, DieCalibration
from barmath.shop.offsets import kept_deg, play_deg, stop_setting_deg
from barmath.shop.stock import PSI, Tube
from barmath.shop.tooling import Die, springback_from_tube

PARTS = ("ratio", "constant_deg", "offset_mm", "radius_mm")

FAR_OFF = 3.5
"""Of its own standard deviations: a bar beyond it disagrees with the others."""

MOST_MORE = 10_000
"""More bars than that are not worth asking for."""

LEAST_ERROR_DEG, MOST_STOP_DEG = 1e-9, 720.0

USUAL_STOP_DEG = 25.0
"""What the stop is often set to: where bends are compared."""

LEAST_ENTRIES = 8
"""Fewer entries than that show no drift."""

NOTICED = 5.4
"""Twice the logarithm of how many times likelier a wandering springback must be: by chance once in a hundred shops.

Half of a chi-square with one degree of freedom, the variance being zero at its bound (Chernoff 1954; from memory).
"""


class Disagreement(NamedTuple):
    """A bar or bend that does not fit the others: its place among those given, its name, and by how much."""

    place: int
    name: str
    off: float


@dataclass(frozen=True)
class Calibration:
    """What was found, by the names in `PARTS`, with standard errors and their covariance (4, 4).

    `theory` is where it started from, `theory_band` the springback ratio of a tube of 60 and of 90 ksi; `bends` and
    `bars` how many were used; `disagree` those that do not fit. `scatter` is that of the shop's own entries, `spread`
    how many times the usual. `drift` is what changed, or None.
    `brought_by_a_bar` (4, 4) is the information that one bar of their kind brings on average, 0 without one. Of
    `one_sided` of the bars something was read on one side only.
    """

    estimates: dict[str, Estimate]
    theory: dict[str, Estimate]
    covariance: Array
    bends: int
    bars: int
    disagree: tuple[Disagreement, ...]
    scatter: Scatter
    brought_by_a_bar: Array
    spread: Spread = USUAL
    theory_band: tuple[float, float] = (0.0, 1.0)
    drift: Drift | None = None
    one_sided: int = 0

    @property
    def ratio(self) -> Estimate:
        """Springback ratio k."""
        return self.estimates["ratio"]

    @property
    def lost(self) -> tuple[Estimate, Estimate]:
        """What a bend of 25 degrees on the stop springs back, degrees: by the theory, and as found."""
        theory, kept = USUAL_STOP_DEG * self.theory["ratio"].value, self.kept_deg(USUAL_STOP_DEG)
        return Estimate(theory, USUAL_STOP_DEG * self.theory["ratio"].error), Estimate(
            USUAL_STOP_DEG - kept.value, kept.error
        )

    @property
    def disagrees_with_theory(self) -> bool:
        """Whether that is further from the theory than a tube of 60 or 90 ksi, a stop's play and two errors."""
        theory, found = self.lost
        low, high = (USUAL_STOP_DEG * ratio for ratio in self.theory_band)
        beyond = max(found.value - max(high, theory.value), min(low, theory.value) - found.value)
        return beyond > self.theory["constant_deg"].error + 2.0 * found.error

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
        """These values as they go into a shop's file; raises BendError where no bar and no test bend is behind them."""
        if not self.bars + self.bends:
            raise BendError(
                "put a test bend or a bar into the record first: a calibration needs at least one of this tube on "
                "this die"
            )
        value, error = (
            {name: getattr(estimate, one) for name, estimate in self.estimates.items()} for one in ("value", "error")
        )
        source = f"{counted(self.bars, 'bar')} and {counted(self.bends, 'test bend')}"
        return DieCalibration(
            die, tube, date, source, value["ratio"], value["constant_deg"],
            value["offset_mm"], value["radius_mm"], self.kept_deg(USUAL_STOP_DEG).error, error["offset_mm"], batch,
        )  # fmt: skip

    def bends_to_reach(self, error_deg: float, wanted_deg: float = 25.0) -> int:
        """How many more test bends would bring the standard error of a bend down to `error_deg`; 0 where it is there.

        Beyond the scatter of a single bend nothing helps; this is of the bend that the stop gives on average. It raises
        BendError for an error that nobody can reach.
        """
        error = checked_single("standard error to reach", error_deg, "deg", least=LEAST_ERROR_DEG)
        now = self.kept_deg(self.stop_deg(wanted_deg).value).error
        if now <= error:
            return 0
        one = self.scatter.bend_deg**2 + self.scatter.kept_deg**2
        return int(np.ceil(one * (1.0 / error**2 - 1.0 / now**2)))

    def bars_to_reach(self, error_deg: float, wanted_deg: float = 25.0) -> int | None:
        """The same in bars like those used: None if there is none to go by, or no number of them would do.

        It raises BendError as `bends_to_reach` does.
        """
        error = checked_single("standard error to reach", error_deg, "deg", least=LEAST_ERROR_DEG)
        pull = np.array([self.stop_deg(wanted_deg).value, 1.0, 0.0, 0.0])
        if not self.brought_by_a_bar.any():
            return None
        known = np.linalg.inv(self.covariance)

        def reached(more: float) -> bool:
            return bool(np.sqrt(pull @ np.linalg.solve(known + more * self.brought_by_a_bar, pull)) <= error)

        if not reached(MOST_MORE):
            return None
        return bisect_left(range(MOST_MORE), True, key=reached)


def calibrate(
    tube: Tube,
    die: Die,
    bends: Sequence[TestBend] = (),
    bars: Sequence[BentBar] = (),
    scatter: Scatter = Scatter(),
    beforehand: Beforehand = Beforehand(),
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
        one of its measures was read. A bend of such a bar counts with it, as one more measure: the same `piece`. What
        was read on one side only counts for that side.
    scatter : Scatter
        The usual one; by how much the shop's own differs is estimated.
    beforehand : Beforehand
        How unsure the theory is.

    Returns
    -------
    Calibration

    Raises
    ------
    BendError
        A bar or bend was made on a die of another radius.

    Examples
    --------
    >>> from barmath import Die, Tube
    >>> from barmath.records import TestBend, calibrate
    >>> bend = TestBend("2026-11-01", "our tube", "our die", 22.225, 1.651, 101.6, stop_deg=30.0, kept_deg=29.2)
    >>> print(f"springback {calibrate(Tube(22.225, 1.651), Die(101.6), bends=[bend]).ratio.value:.3f}")
    springback 0.030
    """
    check_single(tube, die)
    _check_die(die, [*bends, *bars])
    low, ratio, high = (
        float(springback_from_tube(tube, die, strength).ratio)
        for strength in (YIELD_BAND_KSI[0] * 1e3 * PSI, tube.material.yield_mpa, YIELD_BAND_KSI[1] * 1e3 * PSI)
    )
    start = np.array([ratio, 0.0, float(die.line_up_offset_mm), 0.0])
    known = np.array([beforehand.ratio, beforehand.constant_deg, beforehand.offset_mm, beforehand.radius_mm])
    made = Made(bends, bars, float(die.centerline_radius_mm), start, scatter)
    days = [bends[place].date for place in made.alone] + [bars[place].date for place in made.places]
    order = np.argsort(np.array(days, str), kind="stable")
    found = fitted(made, order, start, known)
    moving, unlikely = likeliest(found.rows, found.weight, found.prior, found.levels, found.spread, wanders=True)
    drifts = len(made) >= LEAST_ENTRIES and found.unlikely - unlikely > NOTICED
    if drifts:
        found = fitted(made, order, start, known, found, moving)
    covariance = found.covariance + np.diag([found.spread.wander, 0.0, 0.0, 0.0])  # the next bar is a step further
    value, covariance = _in_parts(found.parts, covariance, die)
    theory, unsure = _in_parts(start, np.diag((known * [ratio, 1.0, 1.0, 1.0]) ** 2), die)
    return Calibration(
        estimates=_estimates(value, covariance),
        theory=_estimates(theory, unsure),
        covariance=covariance,
        bends=len(bends),
        bars=len(made.places),
        disagree=_disagree(found, order, bends, bars, made),
        scatter=scatter.scaled(found.spread.slips, found.spread.readings),
        brought_by_a_bar=_brought_by_a_bar(found, order >= len(made.alone), die),
        spread=found.spread,
        theory_band=(low, high),
        drift=drift_of_course(_course(found, [days[place] for place in order])) if drifts else None,
        one_sided=made.one_sided,
    )


def _in_parts(parts: Array, covariance: Array, die: Die) -> tuple[Array, Array]:
    # as PARTS has them: with the radius itself
    turn, radius = _to_parts(parts, die)
    return np.append(parts[:3], radius), turn @ covariance @ turn.T


def _to_parts(parts: Array, die: Die) -> tuple[Array, float]:
    radius = float(die.centerline_radius_mm) / (1.0 - parts[0])
    turn = np.eye(4)
    turn[3, 0] = radius / (1.0 - parts[0])
    return turn, radius + parts[3]


def _estimates(value: Array, covariance: Array) -> dict[str, Estimate]:
    error = np.sqrt(np.diag(covariance))
    return {name: Estimate(float(v), float(e)) for name, v, e in zip(PARTS, value, error, strict=True)}


def _brought_by_a_bar(found: PartFit, is_bar: NDArray[np.bool_], die: Die) -> Array:
    each, _ = information(found.rows, found.weight, found.spread)
    if not is_bar.any():
        return np.zeros((len(PARTS), len(PARTS)))
    back = np.linalg.inv(_to_parts(found.parts, die)[0])
    return back.T @ each[is_bar].mean(0) @ back


def _course(found: PartFit, days: Sequence[str]) -> tuple[Course, ...]:
    # what each entry says of k by itself, with the other parts as found
    each, pulls = information(found.rows, found.weight, found.spread)
    courses = []
    for day, level, info, pull in zip(days, found.levels, each[:, 0, 0], pulls[:, 0], strict=True):
        if info > 0.0:
            ratio = float(found.parts[0] + level)
            courses.append(Course(day, ratio - float(pull / info), float(info**-0.5)))
    return tuple(courses)


def predicted_and_read(bars: Sequence[BentBar], found: Calibration) -> tuple[Array, Array, list[int]]:
    """What bars should measure by their settings and `found`, and what was read: (m, 5) each, in `MEASURES`, nan where
    not read; and the places among `bars` of the m that have their settings and a reading.

    Parameters
    ----------
    bars : sequence of BentBar
    found : Calibration

    Returns
    -------
    predicted, read : arrays (m, 5)
    places : list of m int

    Examples
    --------
    >>> from barmath.records import calibrate, demo_bars, demo_bends, predicted_and_read
    >>> from barmath.shop import DIE, TUBE
    >>> bars, bends = demo_bars(TUBE, DIE, count=3), demo_bends(TUBE, DIE)
    >>> predicted, read, places = predicted_and_read(bars, calibrate(TUBE, DIE, bends=bends))
    >>> predicted.shape, read.shape, places
    ((3, 5), (3, 5), [0, 1, 2])
    """
    noted = [(place, settings_of_bar(bar), read_of_bar(bar)) for place, bar in enumerate(bars)]
    usable = [(place, given, read) for place, given, read in noted
              if given is not None and not np.all(np.isnan(read))]  # fmt: skip
    given = np.array([one for _, one, _ in usable]).reshape(-1, 6).T
    read = np.array([one for _, _, one in usable]).reshape(-1, 5)
    predicted = measures_of_settings(given, *(np.array(found.estimates[name].value) for name in PARTS))
    return predicted.reshape(-1, 5), read, [place for place, _, _ in usable]


def _disagree(
    found: PartFit, order: Places, bends: Sequence[TestBend], bars: Sequence[BentBar], made: Made
) -> tuple[Disagreement, ...]:
    far = np.abs(found.rows.off) / np.sqrt(found.spread.variances(found.rows))
    named = []
    for place, off in sorted(zip(order.tolist(), far.max(-1).tolist(), strict=True)):
        if off > FAR_OFF and place < len(made.alone):
            bend = bends[made.alone[place]]
            named.append(Disagreement(made.alone[place], f"test bend of {bend.date} to {bend.stop_deg:.1f} deg", off))
        elif off > FAR_OFF:
            at = made.places[place - len(made.alone)]
            named.append(Disagreement(at, bars[at].name, off))
    return tuple(named)


def _check_die(die: Die, made: Sequence[TestBend | BentBar]) -> None:
    for one in made:
        if abs(one.die_radius_mm - float(die.centerline_radius_mm)) > 0.5:
            raise BendError(
                f"die radius must be the {die.centerline_radius_mm:.1f} mm of the die calibrated, got "
                f"{one.die_radius_mm:.1f} mm in an entry of {one.date}: leave that entry out"
            )
