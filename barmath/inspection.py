"""The most likely angles of a finished bar, from a few readings: a weighted least-squares fit, and what it cannot tell.

The bar is told by the seven parts of `barmath.as_bent`. Each reading pulls at them by its slopes over its uncertainty.
Directions in which the parts could wander by more than `VAGUE_DEG` without the readings showing it are left as wanted
and said to be unknown, so that the fit is never surer than its readings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from barmath.as_bent import PARTS, Array, parts_of_recipe, row_from_parts
from barmath.bar import Recipe, check_single
from barmath.bench_readings import BY_KEY, Reading, check_plausible, readings_of_parts
from barmath.refusal import BendError, checked_single
from barmath.two_sides import TwoSides, two_sides_from_row

FEWEST_READINGS = 4
"""Fewer tell too little of seven unknown angles to be worth a fit."""

VAGUE_DEG = 3.0
"""Uncertainty of a combination of angles beyond which the readings do not tell it."""

UNKNOWN_SHARE = 0.1
"""Share of a part in what the readings do not tell, beyond which the part itself is said to be unknown."""

MISFIT = 3.5
"""Of how many of its own standard deviations a reading must be off the others to be told as not fitting them."""


class Estimate(NamedTuple):
    """A value and its standard error (infinite where the readings do not tell it)."""

    value: float
    error: float


@dataclass(frozen=True)
class Inspection:
    """What the readings say of a bar.

    `parts` by the names in `PARTS`, degrees; `measures` by the keys of `bench_readings.KINDS`, what the bar most likely
    measures in all of them, read or not. `off` by key: how far each reading is off what the fitted bar would show, in
    its own standard deviations, the fit's share taken out; `misfits` those beyond `MISFIT`. `untold` says in words what
    the readings do not tell. `parts_deg` (7,) and `covariance` (7, 7) hold the same as numbers.
    """

    recipe: Recipe
    readings: tuple[Reading, ...]
    parts: dict[str, Estimate]
    measures: dict[str, Estimate]
    off: dict[str, float]
    misfits: tuple[str, ...]
    untold: tuple[str, ...]
    parts_deg: Array
    covariance: Array

    @property
    def sides(self) -> TwoSides:
        """What each side of the fitted bar measures."""
        return two_sides_from_row(row_from_parts(self.recipe, self.parts_deg))


def inspect(recipe: Recipe, readings: Sequence[Reading]) -> Inspection:
    """Fit the bar that was to be `recipe` to what was read on it.

    Parameters
    ----------
    recipe : Recipe
        One bar (no arrays), risers upright; its marks and its finished radius count.
    readings : sequence of Reading
        At least `FEWEST_READINGS`, each kind once.

    Returns
    -------
    Inspection

    Raises
    ------
    BendError
        Where there are too few readings, one is given twice, or one is so far off that it must be a slip of the pen.
    """
    from scipy.optimize import least_squares  # here, for it takes longer to import than all of barmath

    check_single(recipe)
    taken = _checked(recipe, readings)
    keys = tuple(reading.key for reading in taken)
    read = np.array([reading.value for reading in taken])
    weight = 1.0 / np.array([reading.error for reading in taken])
    wanted = parts_of_recipe(recipe)
    told, lost = _told_and_lost(weight[:, None] * readings_of_parts(recipe, wanted, keys)[1])

    @lru_cache(maxsize=1)  # the solver asks for both at the same place, one after the other
    def shown(place: bytes) -> tuple[Array, Array]:
        values, slopes = readings_of_parts(recipe, wanted + told @ np.frombuffer(place), keys)
        return weight * (values - read), weight[:, None] * (slopes @ told)

    found = least_squares(
        lambda steps: shown(steps.tobytes())[0], np.zeros(told.shape[1]), lambda steps: shown(steps.tobytes())[1],
        method="lm", xtol=1e-8, ftol=1e-8,
    )  # fmt: skip
    parts = wanted + told @ found.x
    inner = np.linalg.inv(found.jac.T @ found.jac)
    covariance = told @ inner @ told.T
    unknown = (lost**2).sum(-1) > UNKNOWN_SHARE
    errors = np.where(unknown, np.inf, np.sqrt(np.maximum(np.diag(covariance), 0.0)))
    off = _off(found.fun, found.jac, inner)
    return Inspection(
        recipe=recipe,
        readings=taken,
        parts={name: Estimate(float(v), float(e)) for name, v, e in zip(PARTS, parts, errors, strict=True)},
        measures=_measures(recipe, parts, covariance, lost),
        off={key: float(value) for key, value in zip(keys, off, strict=True)},
        misfits=tuple(key for key, value in zip(keys, off, strict=True) if abs(value) > MISFIT),
        untold=_untold(lost, unknown),
        parts_deg=parts,
        covariance=covariance,
    )


def _checked(recipe: Recipe, readings: Sequence[Reading]) -> tuple[Reading, ...]:
    checked_single("grip of the bar", recipe.grip_mm, "mm", above=0.0)
    given = {reading.key: reading for reading in readings}
    if len(given) < len(readings):
        twice = next(r.kind.name.lower() for k, r in enumerate(readings) if r.key in {x.key for x in readings[:k]})
        raise BendError(f"each reading must be given once, got {twice} twice: keep the better one")
    if len(given) < FEWEST_READINGS:
        raise BendError(
            f"a fit must have at least {FEWEST_READINGS} readings, got {len(given)}: "
            "both backsweeps and both rises are a good beginning"
        )
    check_plausible(given.values(), recipe)
    return tuple(given[key] for key in BY_KEY if key in given)


def _told_and_lost(pull: Array) -> tuple[Array, Array]:
    # orthogonal combinations of the parts, as columns (7, k) and (7, 7 - k): told by the readings, and not
    _, strength, ways = np.linalg.svd(pull)
    strength = np.append(strength, np.zeros(len(PARTS) - len(strength)))
    known = strength > 1.0 / VAGUE_DEG
    return ways[known].T, ways[~known].T


def _off(residuals: Array, pull: Array, inner: Array) -> Array:
    # each residual over the standard deviation it would have in a good fit; 0 where the fit follows it wholly
    left = 1.0 - np.einsum("ij,jk,ik->i", pull, inner, pull)
    return np.where(left > 1e-6, residuals / np.sqrt(np.maximum(left, 1e-6)), 0.0)


def _measures(recipe: Recipe, parts: Array, covariance: Array, lost: Array) -> dict[str, Estimate]:
    values, slopes = readings_of_parts(recipe, parts, tuple(BY_KEY))
    spread = np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", slopes, covariance, slopes), 0.0))
    blind = np.isnan(values)
    blind |= np.linalg.norm(slopes @ lost, axis=-1) * VAGUE_DEG > 3.0 * np.array([k.error for k in BY_KEY.values()])
    return {
        key: Estimate(float(value), float(np.inf if dark else error))
        for key, value, error, dark in zip(BY_KEY, values, spread, blind, strict=True)
    }


def _untold(lost: Array, unknown: Array) -> tuple[str, ...]:
    names = [name for name, dark in zip(PARTS, unknown, strict=True) if dark]
    if not names:
        return ()
    listed = ", ".join(names[:-1]) + (" and " if len(names) > 1 else "") + names[-1]
    said = [f"these readings do not tell the {listed} by {'themselves' if len(names) > 1 else 'itself'}"]
    pairs = (("left inner bend", "left outer bend"), ("right inner bend", "right outer bend"))
    said += [
        f"nor do they tell whether the {one} or the {other} is off"
        for one, other in pairs
        if one in names and other in names
    ]
    return tuple(said)
