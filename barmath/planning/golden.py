"""Where a function of one hump is highest, for many of them at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from barmath.arrays import Array

SECTIONS = 11
"""Each leaves 0.618 of what is between; eleven leave 0.01 of two degrees."""


def highest_between(function: Callable[[Array], Array], low: Array, high: Array) -> Array:
    """Places between `low` and `high`, elementwise, where `function` is highest, by golden section.

    Each place is found to 1/150 of the way between them. If a function has several humps, one of them is found. J.
    Kiefer, Proceedings of the American Mathematical Society 4, 1953 (from memory).
    """
    # by hand: `scipy.optimize.elementwise.find_minimum` must start from three places with the best in the middle. Here
    # the best place is often `low` or `high`
    golden = (np.sqrt(5.0) - 1.0) / 2.0
    left, right = high - golden * (high - low), low + golden * (high - low)
    at_left, at_right = function(left), function(right)
    for _ in range(SECTIONS):
        rises = at_left < at_right
        low, high = np.where(rises, left, low), np.where(rises, high, right)
        new = np.where(rises, low + golden * (high - low), high - golden * (high - low))
        left, right = np.where(rises, right, new), np.where(rises, new, left)
        at_new = function(new)
        at_left, at_right = np.where(rises, at_right, at_new), np.where(rises, at_new, at_left)
    return 0.5 * (low + high)
