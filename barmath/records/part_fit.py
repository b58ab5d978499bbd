"""The fit of springback, stop constant, line-up offset and radius to bars and bends, oldest first."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.records.by_settings import Made, Rows
from barmath.records.local_level import (
    Prior,
    Spread,
    covariance_whatever_the_spread,
    likeliest,
    solved,
    weights,
)

Places = NDArray[np.intp]

USUAL = Spread()
"""As much scatter as usual, and a springback that holds still."""

ROUNDS = 12
"""Of Gauss-Newton, at most: four do as a rule."""

_LONGEST_STEP = 3.0  # of what is not known beforehand, in one round
_SETTLED = 1e-3  # of a standard error
_LEAST_SHARE = 0.05  # of the theory's ratio: no tube bends further by itself


class PartFit(NamedTuple):
    """Parts (4,): k, t0, o and by how much the radius is more than R_die/(1 - k); `levels` (n,) of k by day, 0 at last.

    `rows`, `weight` and `prior` are what they were fitted to; `unlikely` is that of `local_level.likeliest`.
    """

    parts: Array
    levels: Array
    spread: Spread
    covariance: Array
    rows: Rows
    weight: Array
    prior: Prior
    unlikely: float


def fitted(
    made: Made, order: Places, start: Array, known: Array, first: PartFit | None = None, spread: Spread = USUAL
) -> PartFit:
    """The parts of least squares, with the likeliest spread: Gauss-Newton, rows, weights and spread again each time.

    Parameters
    ----------
    made : Made
        The entries.
    order : array of int (n,)
        Their places, oldest first.
    start, known : arrays (4,)
        The theory's parts, and how unsure each is: of k the share of itself.
    first : PartFit, optional
        Where to begin instead of at the theory.
    spread : Spread
        With a wander above 0 the level wanders.
    """
    parts, levels = (start, np.zeros(len(made))) if first is None else (first.parts, first.levels)
    back = np.argsort(order)
    for _ in range(ROUNDS):
        each = parts + levels[back][:, None] * np.array([1.0, 0.0, 0.0, 0.0])
        rows = made.rows(each)
        rows = Rows(rows.off[order], rows.slopes[order], rows.slips[order], rows.known[order])
        weight = weights(rows, spread)
        prior = _prior(parts, start, known)
        spread, unlikely = likeliest(rows, weight, prior, levels, spread, wanders=spread.wander > 0.0)
        found = solved(rows, weight, prior, levels, spread)
        most = _LONGEST_STEP * known * [start[0], 1.0, 1.0, 1.0]
        moved = np.clip(found.step, -most, most)
        fit = PartFit(parts, levels, spread, found.covariance, rows, weight, prior, unlikely)
        if np.all(np.abs(found.step) < _SETTLED * np.sqrt(np.diag(found.covariance))):
            break
        parts, levels = parts + moved, levels + found.levels
        parts[0] = max(parts[0], _LEAST_SHARE * start[0])
    if not len(made):
        return fit
    about = fit.rows, fit.weight, fit.prior, fit.levels, fit.spread
    return fit._replace(covariance=covariance_whatever_the_spread(*about))


def _prior(parts: Array, start: Array, known: Array) -> Prior:
    # the ratio as a factor of the theory's, because it is wrong by a share of itself
    off = (parts - start) / known
    off[0] = np.log(parts[0] / start[0]) / known[0]
    return Prior(off, np.diag(1.0 / (known * [parts[0], 1.0, 1.0, 1.0])))
