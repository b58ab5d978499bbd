"""Which way comes first: a table of bars, sorted as an experienced builder would pick them."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from barmath.planning.candidates import Candidates, left_mm, spare_mm
from barmath.planning.limits import Limit, Window
from barmath.planning.rules import SAME_BEND_DEG
from barmath.refusal import Number

ENOUGH_SPARE_MM = 10.0
"""Spare straight and grip beyond which a builder would rather have a gentler die: common practice, no source."""

ROUND_DEG = 5.0
"""Stops on whole multiples of it are easy to set: common practice, no source."""


def _end(place: int, bars: Candidates) -> Number:
    return bars.window[place]


class Ranked:
    """The bars of several `Candidates` in one table, the best first: what a column is taken from.

    Bars that no limit refuses come first: those with the fewest warnings, those with enough straight and grip, the
    gentlest die, one stop setting before two. Then come round numbers, and then whatever leaves most. The others
    follow, nearest miss first.
    """

    def __init__(self, parts: list[Candidates]) -> None:
        self.parts = parts
        self.allowed = self._column(lambda bars: bars.feasible)
        self.warned = self._column(lambda bars: bars.warned)
        self.rank = self._rank()
        self.allowed, self.warned = self.allowed[self.rank], self.warned[self.rank]

    def column(self, of: Callable[[Candidates], Number]) -> NDArray:
        """One number of each bar, the best bar first."""
        return self._column(of)[self.rank]

    def limits(self) -> tuple[Limit, ...]:
        """Every limit of each bar, the best bar first."""
        window = self.window()
        return tuple(self._limit(place, limit, window) for place, limit in enumerate(self.parts[0].limits))

    def window(self) -> Window:
        """The rises that would do for each bar."""
        return Window(*(self.column(partial(_end, place)) for place in range(len(Window._fields))))

    def _column(self, of: Callable[[Candidates], Number]) -> NDArray:
        columns = [_flat(of(part), part.shape) for part in self.parts]
        return columns[0] if len(columns) == 1 else np.concatenate(columns)

    def _limit(self, place: int, limit: Limit, window: Window) -> Limit:
        return replace(
            limit,
            value=self.column(lambda bars: bars.limits[place].value),
            bound=self.column(lambda bars: bars.limits[place].bound),
            no_bar=limit.no_bar is not False and self.column(lambda bars: bars.limits[place].no_bar),
            window=window if any(bars.limits[place].window for bars in self.parts) else None,
            which=self.column(lambda bars: bars.limits[place].which) if limit.pair else 0,
        )

    def _rank(self) -> NDArray:
        spare, radius = self._column(spare_mm), self._column(lambda bars: bars.radius_mm)
        no_bar = self._column(lambda bars: np.isnan(bars.straight_mm))
        inner, outer = self._column(lambda bars: bars.inner_bend_deg), self._column(lambda bars: bars.outer_bend_deg)
        odd = np.any([np.abs(bend / ROUND_DEG - np.round(bend / ROUND_DEG)) > 1e-9 for bend in (inner, outer)], axis=0)
        return np.lexsort((  # the last one counts most
            -np.where(no_bar, -np.inf, np.where(self.allowed, spare, self._column(left_mm))),
            self.allowed & odd,
            self.allowed & (np.abs(inner - outer) > SAME_BEND_DEG),
            np.where(self.allowed, -radius, 0.0),
            self.allowed & (spare < ENOUGH_SPARE_MM),
            np.where(self.allowed, self.warned, 0),
            ~self.allowed,
        ))  # fmt: skip


def _flat(number: Number, shape: tuple[int, ...]) -> NDArray:
    # quicker than broadcasting where it is one number or has the shape already: ways are worked out at every move
    array = np.asarray(number)
    if array.shape == shape:
        return array.ravel()
    return np.full(math.prod(shape), array) if array.ndim == 0 else np.broadcast_to(array, shape).ravel()
