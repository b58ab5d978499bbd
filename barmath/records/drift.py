"""When a springback began to differ: what each entry says by itself, day by day, and where that changes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np


class Course(NamedTuple):
    """The springback ratio that one entry gives by itself, and its standard error."""

    date: str
    ratio: float
    error: float


class Drift(NamedTuple):
    """The last `entries`, since the day `since`, spring back otherwise: ratios `before` and `after` that day."""

    since: str
    entries: int
    before: float
    after: float


def drift_of_course(course: Sequence[Course]) -> Drift:
    """The day on which a course of at least two entries changes most, and its mean before and after.

    The weights are 1/error^2, summed as I_j up to entry j. Deviations from the mean are summed as S_j. The likeliest
    place of a step is where S_j^2 / (I_j (I - I_j)) is largest: the peak of a cumulative-sum chart, each sum in its own
    standard deviations. NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.3 draws it so.

    Examples
    --------
    >>> low, high = (Course("2026-01-01", 0.02, 0.01), Course("2026-05-03", 0.04, 0.01))
    >>> drift_of_course([low, low, high, high]).since
    '2026-05-03'
    """
    ratio, error = (np.array([getattr(one, name) for one in course]) for name in ("ratio", "error"))
    sure = error**-2.0
    mean = np.average(ratio, weights=sure)
    summed, before = np.cumsum(sure * (ratio - mean))[:-1], np.cumsum(sure)[:-1]
    first = int(np.argmax(summed**2 / (before * (sure.sum() - before)))) + 1
    means = [float(np.average(ratio[part], weights=sure[part])) for part in (slice(first), slice(first, None))]
    return Drift(course[first].date, len(course) - first, *means)
