"""How readings of one bar check each other: do they scatter as stated, which one does not fit, which error would show.

The tests are those of survey adjustment. Each reading leaves e beside the fitted bar, in its own uncertainties. Its
redundancy is r = 1 - (share of a reading in its own fit):

    global test             sum of e^2 against chi-squared, as many degrees of freedom as readings beyond what they show
    w-test of one reading   w = e / sqrt r, normal in a good fit; beyond 3.29 it does not fit (1 in 1000)
    smallest error shown    (3.29 + 0.84) / sqrt r uncertainties: found in 80 of 100 such bars

Source: W. Baarda, A Testing Procedure for Use in Geodetic Networks, Netherlands Geodetic Commission, 1968, with its
usual risks of 0.1 % and 20 % (from memory). If the global test fails, the errors are scaled by the root of sum of e^2
over its degrees of freedom: R. T. Birge, Physical Review 40, 207, 1932 (from memory).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from barmath.arrays import Array

FAR_OFF = 3.290527
"""Standard deviations beyond which a reading does not fit the others: one good reading in 1000."""

POWER = 0.841621
"""Standard deviations further, and the error is found in 80 of 100 bars."""

NOISY = 0.05
"""Share of good sets of readings that the global test takes for noisier than stated."""

ALIKE = 0.95
"""Readings with a w of this share of the worst one are as doubtful as it."""

LEAST_CHECKED = 1e-6
"""Redundancy below which no other reading checks a reading at all."""


class Checks(NamedTuple):
    """What the readings say of each other, arrays (m,), sorted as these.

    `off` the w of each; `shows` the smallest error it would show, in its own uncertainties (infinite where none would);
    `misfits` the places of those that do not fit, the worst first; `scale` what their uncertainties are to be
    multiplied by, 1 where they scatter as stated.
    """

    off: Array
    shows: Array
    misfits: tuple[int, ...]
    scale: float


def checks_of_fit(residuals: Array, pull: Array, known: Array, count: int | None = None) -> Checks:
    """How the readings of one fitted bar check each other.

    Parameters
    ----------
    residuals : array (m,)
        What the fitted bar shows less what was read, over the reading's uncertainty.
    pull : array (m, n)
        Slopes of the readings by the parts, over the same uncertainty.
    known : array (n, n)
        Information on the parts before any reading: the inverse of their covariance.
    count : int, optional
        How many of them, the first ones, can be read again and are answered for; all where not given.

    Returns
    -------
    Checks

    Examples
    --------
    Three readings of one number, good to 1 each; the third is 9 off.

    >>> found = checks_of_fit(np.array([3.0, 3.0, -6.0]), np.ones((3, 1)), np.array([[1e-9]]))
    >>> found.misfits, round(float(found.off[2]), 2), round(found.scale, 2)
    ((2,), -7.35, 5.2)
    """
    from scipy.stats import chi2  # here, because it takes longer to import than all of barmath

    redundancy = 1.0 - own_shares(pull, known)
    checked = redundancy > LEAST_CHECKED
    root = np.sqrt(np.maximum(redundancy, LEAST_CHECKED))
    off = np.where(checked, residuals / root, 0.0)
    shows = np.where(checked, (FAR_OFF + POWER) / root, np.inf)
    off, shows = off[:count], shows[:count]
    size = np.abs(off)
    worst = float(size.max())
    misfits = [int(place) for place in np.argsort(-size) if worst > FAR_OFF and size[place] > ALIKE * worst]
    # a direction of the parts counts as read where the readings are surer of it than the knowledge before them
    free = len(residuals) - int(np.sum(np.linalg.svd(pull @ _root(known), compute_uv=False) > 1.0))
    total = float(residuals @ residuals)
    chance = float(chi2.sf(total, free)) if free > 0 else 1.0
    scale = max(1.0, float(np.sqrt(total / free))) if chance < NOISY else 1.0
    return Checks(off, shows, tuple(misfits), scale)


def own_shares(pull: Array, known: Array) -> Array:
    """Share of each reading in its own fit, 0 to 1, shape (m,): a reading that nothing else checks has 1."""
    return np.einsum("ij,jk,ik->i", pull, np.linalg.inv(known + pull.T @ pull), pull)


def best_to_add(pull: Array, known: Array, others: Array) -> int | None:
    """Place among `others` of the reading that would best check the ones taken; None where none would help.

    It is the one after which the smallest errors shown, taken together on a log scale, are least.

    Parameters
    ----------
    pull : array (m, n)
        Of the readings taken, as in `checks_of_fit`.
    known : array (n, n)
    others : array (k, n)
        The same slopes of readings that were not taken; nan where the bar does not show one.
    """
    usable = [place for place, row in enumerate(others) if np.isfinite(row).all()]

    def unchecked(more: Array) -> float:
        shares = own_shares(np.concatenate([pull, more]), known)[: len(pull)]
        # rounded, so that of two sides that are alike the first one is taken
        return round(float(-np.log(np.maximum(1.0 - shares, LEAST_CHECKED)).sum()), 3)

    if not usable:
        return None
    return min(usable, key=lambda place: unchecked(others[place : place + 1]))


def without_reading(parts: Array, covariance: Array, residuals: Array, pull: Array, place: int) -> tuple[Array, Array]:
    """What the fit would be without one reading: parts and covariance, to first order (no new fit).

    With a the reading's row of `pull`, Q the covariance and r its redundancy: parts + Q a e / r, Q + Q a a' Q / r. This
    is the formula of Sherman and Morrison (from memory).
    """
    row = covariance @ pull[place]
    left = max(1.0 - float(pull[place] @ row), LEAST_CHECKED)
    return parts + row * (residuals[place] / left), covariance + np.outer(row, row) / left


def _root(known: Array) -> Array:
    # of the covariance before any reading
    return np.linalg.cholesky(np.linalg.inv(known))
