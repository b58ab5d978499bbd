"""What a finished bar is judged by, how far off it is, and how likely it is good enough.

Judged are both backsweeps, upsweeps and rises, and the sweeps from side to side. So are both gaps on a flat table, and
both rolls. Readings have errors, so a bound is drawn in by what is uncertain: a bar is surely within if its chance of
it is at least `SURE`. It is surely out if the chance of one measure is at most 1 - `SURE`. Otherwise neither is
shown. Source of this rule, known as guard bands: ISO 14253-1, decision rules for conformity with specifications, which
takes 95 % (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import Array
from barmath.checking.as_bent import PARTS, parts_of_recipe
from barmath.checking.bench_readings import BY_KEY, readings_of_parts, wanted_readings
from barmath.closed_forms.records import Order, Recipe
from barmath.shop.tolerance import Tolerance

Truths = NDArray[np.bool_]

SURE = 0.95
"""Chance from which a bar is said to be within: ISO 14253-1 (from memory)."""

_KEYS = ("backsweep_left", "backsweep_right", "upsweep_left", "upsweep_right", "rise_left", "rise_right",
         "risers_gap", "grips_gap")  # fmt: skip

NAMES = ("left backsweep", "right backsweep", "left upsweep", "right upsweep", "left rise", "right rise",
         "gap under a riser", "gap under a grip", "backsweep", "upsweep", "left roll", "right roll")  # fmt: skip
"""What is judged; "backsweep" and "upsweep" alone are from side to side."""

_ROLLS = [PARTS.index("left roll"), PARTS.index("right roll")]
SWEEPS = np.array([name.endswith("sweep") for name in NAMES])
READ_BY = (*((key,) for key in _KEYS), _KEYS[:2], _KEYS[2:4], ("upsweep_left",), ("upsweep_right",))
"""Which readings say most of each, by the keys of `bench_readings.KINDS`."""


@dataclass(frozen=True)
class Judged:
    """Bars (...) against the order: arrays (..., 12), sorted as `NAMES`.

    `off` how far each measure is off, degrees or mm; `error` its standard error; `bound` (12,) what is accepted,
    infinite where the bar does not show the measure at all.
    """

    off: Array
    error: Array
    bound: Array

    @property
    def within(self) -> Array:
        """Chance of each measure to be within its bound, 0 to 1."""
        return _between(self, -self.bound, self.bound)

    @property
    def out_one_way(self) -> Array:
        """Chance of each measure to be out on the side it seems to be out on, 0 to 1: small where little is known."""
        return _between(
            self, np.where(self.off > 0.0, self.bound, -np.inf), np.where(self.off > 0.0, np.inf, -self.bound)
        )

    @property
    def chance(self) -> Array:
        """Chance (...) of all measures to be within, at the least: 1 less the chances of each to be out."""
        return np.maximum(1.0 - (1.0 - self.within).sum(-1), 0.0)

    @property
    def worst(self) -> Array:
        """The largest share (...) of its bound that a measure takes up; above 1 it is out as read."""
        return np.abs(self.off / self.bound).max(-1)

    def harm(self, moved: Judged) -> Array:
        """Chance (...) that a tweak to `moved` puts a measure out that was within, at the most: all chances added.

        A gap that turns over is less sure on its other side; the larger of both errors counts.
        """
        step = moved.off - self.off
        unsure = replace(self, error=np.maximum(self.error, moved.error))
        low = np.clip(self.bound - step, -self.bound, self.bound)  # above it a move up puts it out
        high = np.clip(-self.bound - step, -self.bound, self.bound)
        return np.where(step > 0.0, _between(unsure, low, self.bound), _between(unsure, -self.bound, high)).sum(-1)


def judged(recipe: Recipe, order: Order, tolerance: Tolerance, parts_deg: Array, covariance: Array) -> Judged:
    """How far bars with `parts_deg` (..., 7) are off what `order` wants, with `covariance` (7, 7) of the parts.

    Where slips of the marks follow the parts, as in `readings_of_parts`, it is 11 of each. The upsweeps, the gaps and
    the rolls are wanted as `recipe` has them.
    """
    values, slopes = readings_of_parts(recipe, parts_deg, _KEYS)
    wanted = wanted_readings(recipe, _KEYS)
    unseen = np.isnan(wanted)
    wanted[:2], wanted[4:6] = order.backsweep_deg, order.rise_mm
    off = values - wanted
    apart = [[1, 0], [3, 2]]  # right less left, by their places in `_KEYS`
    given = slopes.shape[-1]
    rolls = np.broadcast_to(np.eye(given)[_ROLLS], (*off.shape[:-1], 2, given))
    off = np.concatenate([
        off, *(off[..., [one]] - off[..., [other]] for one, other in apart),
        parts_deg[..., _ROLLS] - parts_of_recipe(recipe)[_ROLLS],
    ], -1)  # fmt: skip
    slopes = np.concatenate([
        slopes, *(slopes[..., [one], :] - slopes[..., [other], :] for one, other in apart), rolls,
    ], -2)  # fmt: skip
    error = np.sqrt(np.einsum("...ij,jk,...ik->...i", slopes, covariance, slopes))
    t = tolerance
    bound = np.array([t.sweep_deg] * 4 + [t.rise_mm] * 2 + [t.rock_mm] * 2 + [t.sweep_deg] * 2 + [t.roll_deg] * 2)
    bound[: len(_KEYS)][unseen] = np.inf
    # no chance may divide by an error of nothing, or of nan: what is not shown is surely within its endless bound
    return Judged(np.where(np.isfinite(bound), off, 0.0), np.fmax(error, 1e-9), bound)


def slopes_of_goals(recipe: Recipe, parts_deg: Array) -> Array:
    """By how much each part moves what is judged, (12, 7), per degree; 0 where the bar does not show it."""
    slopes = readings_of_parts(recipe, parts_deg, _KEYS)[1][:, : len(PARTS)]
    rows = np.concatenate([slopes, [slopes[1] - slopes[0], slopes[3] - slopes[2]], np.eye(len(PARTS))[_ROLLS]])
    return np.nan_to_num(rows)


def unit_of(name: str) -> str:
    """The unit of one of `NAMES`: "deg" or "mm"."""
    return "deg" if name.endswith(("sweep", "roll")) else "mm"


def readings_for(places: Truths) -> tuple[str, ...]:
    """Keys of the readings that say most of the goals at `places`, a truth value each (12,), in the sheet's order."""
    asked = {key for place in np.flatnonzero(places) for key in READ_BY[place]}
    return tuple(key for key in BY_KEY if key in asked)


def _between(judged: Judged, low: Array, high: Array) -> Array:
    from scipy.special import ndtr  # here, because it takes longer to import than all of barmath

    return ndtr((high - judged.off) / judged.error) - ndtr((low - judged.off) / judged.error)
