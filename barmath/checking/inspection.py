"""The most likely angles of a finished bar, from a few readings: least squares with a prior, and what they leave open.

The bar is described by the seven parts of `barmath.checking.as_bent`. Each reading pulls at them by its slopes over its
uncertainty; the bar that was wanted pulls too, but weakly, by `PRIOR_TIMES` the usual slips of a bench. So the fit
always has an answer. If the readings have not made a part's uncertainty much smaller, the part is said to be unknown:
what is shown rests on readings and not on hope. The readings check each other by `barmath.checking.reading_checks`.

The pencil marks are not where they were to be either: their slips are four more unknowns. That each was made with the
usual error of a mark counts as one more reading of it.

Least squares with prior knowledge of the unknowns is textbook adjustment: A. Tarantola, Inverse Problem Theory, 2005,
chapter 3 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.checking.as_bent import MARKS, PARTS, UNKNOWNS, bends_from_parts, covariance_of_slips, parts_of_recipe
from barmath.checking.bench_errors import USUAL_ERRORS
from barmath.checking.bench_readings import BY_KEY, Reading, check_plausible, readings_of_parts
from barmath.checking.reading_checks import FAR_OFF, POWER, Checks, best_to_add, checks_of_fit, without_reading
from barmath.closed_forms.records import Recipe, check_single
from barmath.refusal import BendError, checked_choice, checked_single
from barmath.space.two_sides import TwoSides, two_sides_from_bends

FEWEST_READINGS = 4
"""Fewer say too little of seven unknown angles to be worth a fit."""

PRIOR_TIMES = 8.0
"""Usual slips of a bench that the wanted bar is trusted to: wide, so that a real fault is found at its full size. Our
choice, no source."""

KNOWN_SHARE = 0.3
"""Share of what was uncertain before the readings; what they leave more uncertain is unknown. Our choice, no source."""

TURNED_OVER = 2.0
"""How many times larger an error of a gap under a grip must be where it turns the gap over.

On simulated bars it is then found in 90 of 100, in 26 to 62 without.
"""


class Estimate(NamedTuple):
    """A value and its standard error (infinite where the readings leave it unknown)."""

    value: float
    error: float


@dataclass(frozen=True)
class Inspection:
    """What the readings say of a bar.

    `parts` by the names in `PARTS`, degrees; `measures` by the keys of `bench_readings.KINDS`, what the bar most likely
    measures in all of them, read or not. `off` by key: how far each reading is off what the fitted bar would show, in
    its own standard deviations. The fit's share is taken out; `misfits` those that do not fit, the worst first. `shows`
    by key: the smallest error of a reading that the others would show, mm or degrees; infinite if none would. This is
    to first order. It is `TURNED_OVER` times as much for a gap under a grip that turns over by it. `scale` is the
    factor of all errors, above 1 where good readings would hardly scatter as much as these. `not_shown` has
    in words what the readings leave unknown. `add` names the reading that would check them best (None where all were
    taken). `fitted` (11,) and `fitted_covariance` (11, 11) hold parts, and slips of marks, as numbers; `residuals` (m +
    4,) is what was left of each reading and then of each mark, `pull` (m + 4, 11) its slopes, both over the
    uncertainties.
    """

    recipe: Recipe
    readings: tuple[Reading, ...]
    parts: dict[str, Estimate]
    measures: dict[str, Estimate]
    off: dict[str, float]
    misfits: tuple[str, ...]
    shows: dict[str, float]
    scale: float
    not_shown: tuple[str, ...]
    add: str | None
    fitted: Array
    fitted_covariance: Array
    residuals: Array
    pull: Array

    @property
    def parts_deg(self) -> Array:
        """The parts as numbers, (7,)."""
        return self.fitted[: len(PARTS)]

    @property
    def covariance(self) -> Array:
        """Of the parts, (7, 7), degrees squared."""
        return self.fitted_covariance[: len(PARTS), : len(PARTS)]

    @property
    def sides(self) -> TwoSides:
        """What each side of the fitted bar measures."""
        return two_sides_from_bends(bends_from_parts(self.recipe, self.fitted))

    @property
    def agree(self) -> bool:
        """Whether the readings fit each other, each by itself and all together."""
        return not self.misfits and self.scale == 1.0

    def without(self, key: str) -> tuple[Array, Array]:
        """`fitted` and its covariance as they would be without one reading. It raises BendError for one not taken."""
        keys = tuple(reading.key for reading in self.readings)
        place = keys.index(checked_choice("key of a reading", key, keys))
        once = self.fitted_covariance / self.scale**2
        fitted, once = without_reading(self.fitted, once, self.residuals, self.pull, place)
        return fitted, once * self.scale**2


def inspect(recipe: Recipe, readings: Sequence[Reading]) -> Inspection:
    """The most likely angles of the bar that was to be `recipe`, from what was read on it.

    Parameters
    ----------
    recipe : Recipe
        One bar (no arrays), risers upright; its finished radius is taken as made, its marks with their usual slips.
    readings : sequence of Reading
        At least `FEWEST_READINGS`, each kind once.

    Returns
    -------
    Inspection

    Raises
    ------
    BendError
        There are too few readings, or one is given twice. One is so far off that somebody must have written it wrong.

    Examples
    --------
    >>> from barmath.checking import Reading, inspect, wanted_readings
    >>> from barmath.shop import order_seven_recipe
    >>> recipe = order_seven_recipe()
    >>> keys = ("backsweep_left", "backsweep_right", "rise_left", "rise_right")
    >>> readings = map(Reading, keys, wanted_readings(recipe, keys))
    >>> found = inspect(recipe, list(readings))
    >>> print(f"{found.parts['left roll'].value:.1f} deg")
    28.9 deg
    """
    from scipy.linalg import block_diag  # here, because it takes longer to import than all of barmath
    from scipy.optimize import least_squares

    check_single(recipe)
    taken = _checked(recipe, readings)
    keys = tuple(reading.key for reading in taken)
    read = np.array([reading.value for reading in taken])
    weight = 1.0 / np.array([reading.mean_error for reading in taken])
    wanted = np.append(parts_of_recipe(recipe), np.zeros(MARKS))
    usual = block_diag(covariance_of_slips(recipe), USUAL_ERRORS.mark_mm**2 * np.eye(MARKS))
    known: Array = np.asarray(np.linalg.inv(PRIOR_TIMES**2 * usual), dtype=np.float64)
    trust = np.linalg.cholesky(known).T  # its rows are readings that say what is known before any is taken
    of_marks = np.eye(UNKNOWNS)[len(PARTS) :] / USUAL_ERRORS.mark_mm
    before: Array = np.asarray(np.linalg.inv(known + of_marks.T @ of_marks), dtype=np.float64)  # any reading

    @lru_cache(maxsize=1)  # the solver asks for both at the same place, one after the other
    def shown(place: bytes) -> tuple[Array, Array]:
        step = np.frombuffer(place)
        values, slopes = readings_of_parts(recipe, wanted + step, keys)
        off = np.concatenate([weight * (values - read), of_marks @ step, trust @ step])
        return off, np.concatenate([weight[:, None] * slopes, of_marks, trust])

    found = least_squares(
        lambda steps: shown(steps.tobytes())[0], np.zeros(UNKNOWNS), lambda steps: shown(steps.tobytes())[1],
        method="lm", xtol=1e-8, ftol=1e-8,
    )  # fmt: skip
    fitted = wanted + found.x
    observed = len(keys) + MARKS
    residuals, pull = found.fun[:observed], found.jac[:observed]
    checks = checks_of_fit(residuals, pull, known, len(keys))
    covariance = checks.scale**2 * np.linalg.inv(found.jac.T @ found.jac)
    errors = _or_unknown(np.eye(UNKNOWNS), covariance, before)[: len(PARTS)]
    return Inspection(
        recipe=recipe,
        readings=taken,
        parts={name: Estimate(float(v), float(e)) for name, v, e in zip(PARTS, fitted, errors, strict=False)},
        measures=_measures(recipe, fitted, covariance, before),
        off=dict(zip(keys, map(float, checks.off), strict=True)),
        misfits=tuple(keys[place] for place in checks.misfits),
        shows=_shows(taken, checks, float(readings_of_parts(recipe, fitted, ("grips_gap",))[0][0])),
        scale=checks.scale,
        not_shown=_not_shown(errors),
        add=_add(recipe, fitted, keys, pull, known),
        fitted=fitted,
        fitted_covariance=covariance,
        residuals=residuals,
        pull=pull,
    )


def _checked(recipe: Recipe, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    checked_single("grip of the bar", recipe.grip_mm, "mm", above=0.0)
    given = {reading.key: reading for reading in readings}
    if len(given) < len(readings):
        twice = next(r.kind.name.lower() for k, r in enumerate(readings) if r.key in {x.key for x in readings[:k]})
        raise BendError(f"each reading must be given once, got {twice} twice: give their mean once, with times=2")
    if len(given) < FEWEST_READINGS:
        raise BendError(
            f"a fit must have at least {FEWEST_READINGS} readings, got {len(given)}: "
            "begin with both backsweeps and both rises"
        )
    check_plausible(given.values(), recipe)
    return tuple(given[key] for key in BY_KEY if key in given)


def _or_unknown(slopes: Array, covariance: Array, before: Array) -> Array:
    # standard errors of what moves with the parts by `slopes` (m, 7); infinite where the readings say little of it
    now, then = (np.sqrt(np.einsum("ij,jk,ik->i", slopes, each, slopes)) for each in (covariance, before))
    return np.where(now <= KNOWN_SHARE * then, now, np.inf)


def _shows(taken: tuple[Reading, ...], checks: Checks, grips_gap: float) -> dict[str, float]:
    # of a reading taken more than once the two values check each other besides
    found = {}
    for reading, share in zip(taken, checks.shows, strict=True):
        by_others = float(share * reading.mean_error) * reading.times
        by_itself = np.inf if reading.times == 1 else (FAR_OFF + POWER) * np.sqrt(2.0) * float(reading.error or 0.0)
        if reading.key == "grips_gap" and abs(grips_gap) < by_others:
            by_others *= TURNED_OVER
        found[reading.key] = min(by_others, float(by_itself))
    return found


def _add(recipe: Recipe, parts: Array, keys: tuple[str, ...], pull: Array, known: Array) -> str | None:
    left = tuple(key for key in BY_KEY if key not in keys)
    if not left:
        return None
    slopes = readings_of_parts(recipe, parts, left)[1]
    place = best_to_add(pull, known, slopes / np.array([[BY_KEY[key].error] for key in left]))
    return None if place is None else left[place]


def _measures(recipe: Recipe, parts: Array, covariance: Array, before: Array) -> dict[str, Estimate]:
    values, slopes = readings_of_parts(recipe, parts, tuple(BY_KEY))
    errors = np.where(np.isnan(values), np.inf, _or_unknown(np.nan_to_num(slopes), covariance, before))
    return {key: Estimate(float(v), float(e)) for key, v, e in zip(BY_KEY, values, errors, strict=True)}


def _not_shown(errors: Array) -> tuple[str, ...]:
    names = [name for name, error in zip(PARTS, errors, strict=True) if np.isinf(error)]
    if not names:
        return ()
    listed = ", ".join(names[:-1]) + (" and " if len(names) > 1 else "") + names[-1]
    said = [f"these readings do not show the {listed} by {'themselves' if len(names) > 1 else 'itself'}"]
    if len(names) == len(PARTS):
        said = ["these readings do not show any bend, roll or twist by itself"]
    pairs = (("left inner bend", "left outer bend"), ("right inner bend", "right outer bend"))
    said += [
        f"they do not show whether the {one} or the {other} is off"
        for one, other in pairs
        if one in names and other in names
    ]
    return tuple(said)
