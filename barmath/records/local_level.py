"""Four parts and a level that may wander, fitted to independent rows; how likely a scatter and a wandering are.

The model is the local level of structural time series (source: Harvey, Forecasting, Structural Time Series Models and
the Kalman Filter, 1989, chapter 2; from memory). The first part of entry i is x + w_i. Here w_i is a random walk that
ends at the last entry with w = 0. So x is what holds now. A wandering of 0 is plain least squares with a prior.

Rows far off weigh less (Huber's weights). When the scatter is worked out, they count as far off as `HUBER` at most.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

import numpy as np

from barmath.arrays import Array
from barmath.records.by_settings import Rows

HUBER = 2.5
"""Of its own standard deviations: beyond it a row weighs less."""


class Prior(NamedTuple):
    """What is known before the first entry, about the parts as they are: `off` (4,) in its own standard deviations,
    and `slopes` (4, 4) of that by the parts.
    """

    off: Array
    slopes: Array


@dataclass(frozen=True)
class Spread:
    """Slips and misreadings as multiples of the usual ones, and the variance by which the level wanders an entry."""

    slips: float = 1.0
    readings: float = 1.0
    wander: float = 0.0

    def variances(self, rows: Rows) -> Array:
        """Of each row, (n, 7)."""
        return self.slips**2 * rows.slips + self.readings**2


class Solved(NamedTuple):
    """The step of the parts (4,) and of the levels (n,), and the parts' covariance (4, 4). The last is -2 log of the
    likelihood of the rows, with parts and levels integrated out (a constant left out).
    """

    step: Array
    levels: Array
    covariance: Array
    unlikely: float


def weights(rows: Rows, spread: Spread) -> Array:
    """Huber's weights of rows (n, 7), 1 within `HUBER` standard deviations."""
    far = np.abs(rows.off) / np.sqrt(spread.variances(rows))
    return HUBER / np.maximum(far, HUBER)


def information(rows: Rows, weight: Array, spread: Spread) -> tuple[Array, Array]:
    """The information (n, 4, 4) that each entry brings on the parts, and its pull on them (n, 4)."""
    sure = np.where(rows.known, weight, 0.0) / spread.variances(rows)
    weighed = rows.slopes * sure[..., None]
    return np.einsum("nik,nil->nkl", weighed, rows.slopes), np.einsum("nik,ni->nk", weighed, rows.off)


def solved(rows: Rows, weight: Array, prior: Prior, levels: Array, spread: Spread) -> Solved:
    """One step of least squares for the parts and the levels, and how unlikely `spread` makes the rows.

    Parameters
    ----------
    rows : Rows (n)
        About the parts and levels as they are.
    weight : array (n, 7)
    prior : Prior
    levels : array (n,)
        As they are; the last one is 0.
    spread : Spread
    """
    from scipy.linalg import cho_solve_banded, cholesky_banded  # here: it takes longer to import than all of barmath

    each, pulls = information(rows, weight, spread)
    known = prior.slopes.T @ prior.slopes
    whole, pull = known + each.sum(0), prior.slopes.T @ prior.off + pulls.sum(0)
    variances = spread.variances(rows)
    unlikely = float(np.sum(np.where(rows.known, np.log(variances) + weight * rows.off**2 / variances, 0.0)))
    unlikely += float(prior.off @ prior.off) - _log_det(known)
    steps = np.zeros_like(levels)
    wanders = spread.wander > 0.0 and len(levels) > 1
    if wanders:
        # the levels but the last, which is 0, hang together in a chain: their information is a band of three
        count = len(levels) - 1
        chain = np.stack([np.full(count, -1.0), np.full(count, 2.0)]) / spread.wander
        chain[0, 0], chain[1, 0] = 0.0, 1.0 / spread.wander
        jumps = np.diff(levels) / spread.wander
        drawn = pulls[:-1, 0] + np.append(0.0, jumps[:-1]) - jumps
        unlikely += float(np.diff(levels) @ jumps) + count * np.log(spread.wander)
        chain[1] += each[:-1, 0, 0]
        banded = cholesky_banded(chain)
        shared = each[:-1, 0, :]
        answer = cho_solve_banded((banded, False), np.column_stack([shared, drawn]))
        whole, pull = whole - shared.T @ answer[:, :4], pull - shared.T @ answer[:, 4]
        unlikely += 2.0 * float(np.sum(np.log(banded[1]))) - float(drawn @ answer[:, 4])
    covariance = np.linalg.inv(whole)
    step = -covariance @ pull
    if wanders:
        steps[:-1] = -answer[:, 4] - answer[:, :4] @ step
    unlikely += _log_det(whole) - float(pull @ covariance @ pull)
    return Solved(step, steps, covariance, unlikely)


def likeliest(
    rows: Rows, weight: Array, prior: Prior, levels: Array, first: Spread, *, wanders: bool
) -> tuple[Spread, float]:
    """The likeliest spread of rows, looked for from `first` on, and how unlikely it leaves them (see `solved`).

    The factor by which slips and readings scatter more than usual is known beforehand to about 1.5 times. With few
    entries the usual scatter holds. This is restricted maximum likelihood, the parts and levels being integrated out.
    """
    from scipy.optimize import minimize

    if not len(levels):
        return first, 0.0

    def spread(sought: Array) -> Spread:
        return _spread(sought, float(np.exp(2.0 * np.clip(sought[2], *_WANDERS))) if wanders else 0.0)

    def unlikely(sought: Array) -> float:
        return _held(sought) + solved(rows, weight**2, prior, levels, spread(sought)).unlikely

    start = [np.log(first.slips), np.log(first.readings)]
    if wanders:
        start.append(0.5 * np.log(first.wander) if first.wander else np.log(_FIRST_WANDER))
    corners = np.array(start) + np.vstack([np.zeros(len(start)), 0.3 * np.eye(len(start))])
    options = {"xatol": 0.02, "fatol": 0.02, "maxfev": 150, "initial_simplex": corners}
    found = minimize(unlikely, start, method="Nelder-Mead", options=options)
    return spread(found.x), float(found.fun)


def covariance_whatever_the_spread(rows: Rows, weight: Array, prior: Prior, levels: Array, best: Spread) -> Array:
    """Covariance (4, 4) of the parts about those found, over all spreads by how likely each is.

    The likeliest spread of a few entries is too small as often as too large. If it is too small, one is too sure. So
    both of its factors are integrated out: mean of the covariance plus mean square of the step. Each factor has the
    three nodes of Gauss and Hermite about the likeliest. The normal distribution is the one that is as curved there
    (Laplace). Each node counts by how likely it truly is. Source: Gelman and others, Bayesian Data Analysis, chapter
    13; from memory. This is what Student's t does for one mean.

    Parameters
    ----------
    rows, weight, prior, levels
        As in `solved`.
    best : Spread
        The likeliest; its wander is taken as found.
    """
    middle = np.log([best.slips, best.readings])

    def unlikely_and_square(sought: Array) -> tuple[float, Array]:
        spread = _spread(sought, best.wander)
        found = solved(rows, weight, prior, levels, spread)
        return _held(sought) + solved(rows, weight**2, prior, levels, spread).unlikely, (
            found.covariance + np.outer(found.step, found.step)
        )

    at = np.array([[unlikely_and_square(middle + _BESIDE * np.array([slips, readings]))[0] for readings in (-1, 0, 1)]
                   for slips in (-1, 0, 1)])  # fmt: skip
    cross = (at[0, 0] - at[0, 2] - at[2, 0] + at[2, 2]) / 4.0
    by_slips, by_readings = at[0, 1] - 2.0 * at[1, 1] + at[2, 1], at[1, 0] - 2.0 * at[1, 1] + at[1, 2]
    curved = np.array([[by_slips, cross], [cross, by_readings]]) / (2.0 * _BESIDE**2)  # of half of it
    size, axes = np.linalg.eigh(curved)
    steps = axes / np.sqrt(np.maximum(size, FACTOR_KNOWN**-2))
    nodes, shares = np.polynomial.hermite_e.hermegauss(3)
    shares_squares = []
    for (x, one), (y, other) in product(zip(nodes, shares, strict=True), repeat=2):
        above, square = unlikely_and_square(middle + steps @ [x, y])
        shares_squares.append((one * other * np.exp(0.5 * (x * x + y * y - above + at[1, 1])), square))
    total = sum(share for share, _ in shares_squares)
    return np.asarray(sum(share * square for share, square in shares_squares) / total)


def _spread(sought: Array, wander: float) -> Spread:
    slips, readings = np.exp(np.clip(sought[:2], -3.0, 3.0))
    return Spread(float(slips), float(readings), wander)


def _held(sought: Array) -> float:
    # what is known beforehand of both factors, as -2 log of its likelihood
    return float(np.sum((sought[:2] / FACTOR_KNOWN) ** 2))


FACTOR_KNOWN = 0.4
"""Standard deviation of the logarithm of a shop's scatter over the usual one: common practice, no source."""

_WANDERS = (np.log(1e-6), np.log(0.03))  # of k, an entry
_FIRST_WANDER = 5e-4
_BESIDE = 0.1  # of the logarithm of a factor, to find how curved its likelihood is


def _log_det(matrix: Array) -> float:
    return float(np.linalg.slogdet(matrix)[1])
