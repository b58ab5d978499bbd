"""Which pieces to cut from which bars so that least is bought: an integer programme over patterns, solved by HiGHS.

A pattern is what one bar is cut into. There are far too many to write down, so they are made as they are needed: the
linear programme over a few patterns says what each piece is worth. The pattern that is worth most joins them, until
none is worth more than its bar costs (column generation: P. C. Gilmore and R. E. Gomory, "A linear programming approach
to the cutting-stock problem", Operations Research 9, 1961, from memory). Then HiGHS chooses whole numbers of patterns.
If its choice costs more than what the linear programme proves, every pattern of a better plan is made. HiGHS then
chooses once more: a pattern that alone adds more than C above the proven bound is in no plan that costs less than C.
"""

from __future__ import annotations

import operator
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import count

import numpy as np

from barmath.arrays import Array
from barmath.planning.bar_filling import Pieces, most_worth, patterns_worth

FITS_MM = 1e-6
"""By how much sums of lengths may be off from rounding."""

INFEASIBLE = 2
"""Status of HiGHS in SciPy if there is no plan of these patterns."""

MOST_SUMS = 20_000
"""Sums of stock lengths that are looked at."""

MOST_PATTERNS = 20_000
"""Patterns that are tried for a better plan; with more the gap is left open."""

STEPS_ENOUGH = 1000
"""Steps of a search for a pattern that is worth more than its bar."""


@dataclass(frozen=True)
class Kind:
    """Bars of one length: what one costs, and how many there are (None: as many as are wanted)."""

    length_mm: float
    cost_mm: float
    count: int | None = None


@dataclass(frozen=True)
class Pattern:
    """What one bar of the kind with number `kind` is cut into: how many pieces of each length."""

    kind: int
    counts: tuple[int, ...]


@dataclass(frozen=True)
class Plan:
    """Patterns, one for each bar to cut, what they cost, and what every plan costs at least."""

    patterns: tuple[Pattern, ...]
    cost_mm: float
    bound_mm: float


@dataclass(frozen=True)
class _Prices:
    # what each piece and one more bar of each kind are worth; no pattern is worth more than its bar
    pieces: Array
    bars: Array
    bound_mm: float


def least_plan(
    lengths_mm: Sequence[float], wanted: Sequence[int], kinds: Sequence[Kind], kerf_mm: float, seconds: float
) -> Plan:
    """The plan that costs least, or after `seconds` the best one found and what was proven until then.

    Parameters
    ----------
    lengths_mm : sequence of number above 0, each once
    wanted : how many pieces there must be of each length
    kinds : sequence of Kind, of which one has no end and takes each piece
    kerf_mm : number, 0 or more
        Between two pieces of a bar.
    seconds : number above 0
    """
    return _Programme(lengths_mm, wanted, kinds, kerf_mm).plan(seconds)


class _Programme:
    def __init__(
        self,
        lengths: Sequence[float],
        wanted: Sequence[int],
        kinds: Sequence[Kind],
        kerf: float,
        patterns: Iterable[Pattern] = (),
    ) -> None:
        from scipy import optimize  # here, before the clock starts: its import takes long on a busy machine

        self.solvers = optimize
        self.lengths, self.wanted, self.kinds, self.kerf = lengths, tuple(wanted), tuple(kinds), kerf
        self.widths = [length + kerf for length in lengths]
        self.rooms = [kind.length_mm + kerf + FITS_MM for kind in kinds]
        self.limited = [place for place, kind in enumerate(kinds) if kind.count is not None]
        self.counts = np.array([kinds[place].count for place in self.limited], float)
        self.patterns = dict.fromkeys([*patterns, *self.first_fit(), *self.alone()])

    def plan(self, seconds: float) -> Plan:
        now = time.monotonic()  # each of the four stages may take the time up to its share
        chosen, prices = self.trimmed(self.first_fit()), self.by_length()
        if self.below(prices, chosen):
            prices = max(prices, self.prices(now + 0.3 * seconds), key=lambda some: some.bound_mm)
            chosen = min(chosen, self.dive(now + 0.6 * seconds), key=self.cost)
        if self.below(prices, chosen):
            found, _ = self.whole(list(self.patterns), now + 0.8 * seconds)
            chosen = min(chosen, found or chosen, key=self.cost)
        below = self.below(prices, chosen)
        better = self.within(prices, max(below) - prices.bound_mm, now + 0.9 * seconds) if below else None
        if better is not None:
            found, proven = self.whole(better, now + seconds)
            chosen = min(chosen, found or chosen, key=self.cost)
            below = [] if proven else self.below(prices, chosen)
        cost = self.cost(chosen)
        return Plan(tuple(chosen), cost, min(below, default=cost))

    def dive(self, until: float) -> list[Pattern]:
        # bar by bar the pattern that the linear programme uses most, and the programme again for what is left
        here, chosen = self, []
        with suppress(TimeoutError):
            while any(here.wanted):
                here.make_patterns(until)
                self.patterns.update(here.patterns)
                used = here.relaxed()[2]
                most = list(here.patterns)[int(np.argmax(used))]
                chosen += here.trimmed([most] * max(1, int(used.max() + FITS_MM)))
                here = self.after(chosen)
        chosen += here.trimmed(here.first_fit())
        self.patterns.update(dict.fromkeys(chosen))
        return chosen

    def after(self, chosen: Sequence[Pattern]) -> _Programme:
        # what is left to do once these bars are cut
        used, cut = Counter(pattern.kind for pattern in chosen), np.sum([pattern.counts for pattern in chosen], axis=0)
        left = tuple((np.array(self.wanted) - cut).tolist())
        kinds = [
            kind if kind.count is None else replace(kind, count=kind.count - used[place])
            for place, kind in enumerate(self.kinds)
        ]
        fit = [one for one in self.patterns if all(map(operator.le, one.counts, left))]
        return _Programme(self.lengths, left, kinds, self.kerf, fit)

    def cost(self, patterns: Sequence[Pattern]) -> float:
        return sum(self.kinds[pattern.kind].cost_mm for pattern in patterns)

    def below(self, prices: _Prices, plan: Sequence[Pattern]) -> list[float]:
        # sums that bars can cost, from the bound up to less than the plan; only the two ends if there are too many
        least, below = prices.bound_mm - FITS_MM, self.cost(plan) - FITS_MM
        costs = [kind.cost_mm for kind in self.kinds if kind.count is None]
        known, new = {0.0}, {0.0}
        while new:
            new = {round(old + cost, 6) for old in new for cost in costs if old + cost < below} - known
            known |= new
            if len(known) > MOST_SUMS:
                return [least, below]
        return [total for total in known if least <= total < below]

    def trimmed(self, patterns: Sequence[Pattern]) -> list[Pattern]:
        # without pieces that nobody wants, and without bars from which nothing is cut
        left, kept = list(self.wanted), []
        for pattern in patterns:
            counts = tuple(map(min, pattern.counts, left))
            left = [had - taken for had, taken in zip(left, counts, strict=True)]
            if any(counts):
                kept.append(Pattern(pattern.kind, counts))
        return kept

    def alone(self) -> Iterator[Pattern]:
        for kind, room in enumerate(self.rooms):
            for place, width in enumerate(self.widths if self.kinds[kind].count is None else ()):
                fit = min(self.wanted[place], int(room / width))
                if fit:
                    yield Pattern(kind, tuple(fit if place == at else 0 for at in range(len(self.widths))))

    def first_fit(self) -> list[Pattern]:
        # one kind of bar after the other, each bar filled with the longest pieces that go in
        left, chosen = list(self.wanted), []
        by_length = sorted(range(len(left)), key=lambda place: -self.widths[place])
        for kind, room in enumerate(self.rooms):
            for number in count():
                if number == self.kinds[kind].count:
                    break
                here, counts = room, [0] * len(left)
                for place in by_length:
                    counts[place] = min(left[place], int(here / self.widths[place]))
                    here -= counts[place] * self.widths[place]
                if not any(counts):
                    break
                left = [had - taken for had, taken in zip(left, counts, strict=True)]
                chosen.append(Pattern(kind, tuple(counts)))
        return chosen

    def by_length(self) -> _Prices:
        # each piece is worth its length, and no bar can hold more than its own
        return self.lowered(np.array(self.widths), np.array(self.rooms))

    def prices(self, until: float) -> _Prices:
        pieces = self.make_patterns(until)
        return self.lowered(pieces, most_worth(pieces, Pieces(self.widths, self.wanted), self.rooms))

    def make_patterns(self, until: float) -> Array:
        # column generation, until a short search finds no pattern that is worth more than its bar, or time runs out
        while True:
            pieces, bars, _ = self.relaxed()
            before = len(self.patterns)
            with suppress(TimeoutError):
                for kind, bar in enumerate(self.kinds):
                    least = bar.cost_mm + bars[kind] + FITS_MM
                    found = [*self.fill(pieces, kind, least, until, STEPS_ENOUGH)][-1:]
                    self.patterns.update(dict.fromkeys(Pattern(kind, counts) for counts in found))
            if len(self.patterns) == before or time.monotonic() > until:
                return pieces

    def relaxed(self) -> tuple[Array, Array, Array]:
        # the linear programme: what each piece and one more bar of each kind are worth, and how often patterns are used
        cost, pieces, bars = self.columns(list(self.patterns))
        limits = np.concatenate([-np.array(self.wanted, float), self.counts])
        answer = self.solvers.linprog(cost, A_ub=np.vstack([-pieces, bars]), b_ub=limits, method="highs")
        if answer.status:
            raise TimeoutError
        worth = np.maximum(-answer.ineqlin.marginals, 0.0)
        all_bars = np.zeros(len(self.kinds))
        all_bars[self.limited] = worth[len(self.wanted) :]
        return worth[: len(self.wanted)], all_bars, answer.x

    def fill(
        self, pieces: Array, kind: int, least: float, until: float, enough: int | None = None
    ) -> Iterator[tuple[int, ...]]:
        if self.kinds[kind].count == 0:
            return iter(())
        return patterns_worth(pieces.tolist(), Pieces(self.widths, self.wanted), self.rooms[kind], least, until, enough)

    def lowered(self, pieces: Array, worth: Array) -> _Prices:
        costs = np.array([kind.cost_mm for kind in self.kinds])
        endless = np.array([kind.count is None for kind in self.kinds])
        down = min(1.0, *(costs[endless] / np.maximum(worth[endless], FITS_MM)).tolist())
        bars = np.where(endless, 0.0, np.maximum(down * worth - costs, 0.0))
        bound = down * float(pieces @ self.wanted) - float(bars[self.limited] @ self.counts)
        return _Prices(down * pieces, bars, bound)

    def within(self, prices: _Prices, more_mm: float, until: float) -> list[Pattern] | None:
        # every pattern that adds no more than this to the bound; None where there are too many of them
        found: list[Pattern] = []
        with suppress(TimeoutError):
            for kind, bar in enumerate(self.kinds):
                least = bar.cost_mm + prices.bars[kind] - more_mm - 2.0 * FITS_MM
                for counts in self.fill(prices.pieces, kind, least, until):
                    found.append(Pattern(kind, counts))
                    if len(found) > MOST_PATTERNS:
                        return None
            return found
        return None

    def whole(self, patterns: list[Pattern], until: float) -> tuple[list[Pattern] | None, bool]:
        # the cheapest plan of these patterns, None where none was found, and whether none of them is better
        if not patterns:
            return None, True
        cost, pieces, bars = self.columns(patterns)
        answer = self.solvers.milp(
            cost,
            integrality=np.ones(len(patterns)),
            bounds=self.solvers.Bounds(0.0, np.inf),
            constraints=[self.solvers.LinearConstraint(pieces, lb=self.wanted)]
            + ([self.solvers.LinearConstraint(bars, ub=self.counts)] if self.limited else []),
            options={"time_limit": max(until - time.monotonic(), 0.05), "mip_rel_gap": 0.0},
        )
        if answer.x is None:
            return None, answer.status == INFEASIBLE
        numbers = np.round(answer.x).astype(int)
        plan = [pattern for pattern, number in zip(patterns, numbers, strict=True) for _ in range(number)]
        return self.trimmed(plan), answer.status == 0

    def columns(self, patterns: Sequence[Pattern]) -> tuple[Array, Array, Array]:
        kinds = np.array([pattern.kind for pattern in patterns])
        cost = np.array([kind.cost_mm for kind in self.kinds])[kinds]
        pieces = np.array([pattern.counts for pattern in patterns], float).T
        return cost, pieces, (kinds == np.array(self.limited, int)[:, None]).astype(float)
