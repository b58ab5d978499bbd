"""The cut list: which pieces to saw from which bars, so that as little tube as possible is bought."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from barmath.planning.cut_patterns import FITS_MM, Kind, Plan, least_plan
from barmath.refusal import BendError, Number, checked_single, plain, quoted, tenths

SHORTEST_MM, LONGEST_MM = 1.0, 100_000.0
"""The shortest and the longest piece or bar that is taken. Less is thinner than a saw cut, and more is ten times what a
mill delivers: both are slips of the unit."""

MOST_PIECES = 2000
"""Pieces, and bars in the rack, that one cut list takes."""

SECONDS = 4.0
"""How long to look for the least."""


@dataclass(frozen=True)
class CutBar:
    """One bar and what is cut from it, the longest piece first; `bought` where it is not from the rack."""

    stock_mm: float
    cuts_mm: tuple[float, ...]
    left_mm: float
    bought: bool


@dataclass(frozen=True)
class CutList:
    """All bars to cut, those from the rack first; how much is bought, and how much of it may be too much.

    `gap_mm` is 0 where no other list buys less. Where time ran out, no list buys less than `bought_mm` - `gap_mm`.
    """

    bars: tuple[CutBar, ...]
    bought_mm: float
    gap_mm: float

    @property
    def to_buy(self) -> dict[float, int]:
        """How many bars of each stock length to buy, the longest first."""
        return dict(sorted(Counter(bar.stock_mm for bar in self.bars if bar.bought).items(), reverse=True))

    @property
    def gap(self) -> str:
        """A note if the least is not proven, else nothing."""
        if not self.gap_mm:
            return ""
        return (
            f"Look once more before you buy: time ran out, and up to {tenths(self.gap_mm)} mm less may do. "
            "No list buys less than that."
        )


def cut_list(
    lengths_mm: Sequence[float] | Number,
    stock_mm: Sequence[float] | Number,
    *,
    kerf_mm: float,
    offcuts_mm: Sequence[float] | Number = (),
    seconds: float = SECONDS,
) -> CutList:
    """Which pieces to cut from which bars, so that the total length of the bars bought is least.

    Offcuts cost nothing, and each can be used once. The saw takes `kerf_mm` between two pieces. After the last piece it
    takes as much of the kerf as there is: the last piece may end exactly with the bar, or the cut may run out at its
    end. So n pieces need their lengths and n - 1 kerfs. What is left is the bar less the lengths and n kerfs, and 0 if
    that is less than nothing. The ends of bars are taken as square and good.

    Parameters
    ----------
    lengths_mm : sequence of number, 1 mm to 100 m
        The pieces, each as often as needed.
    stock_mm : number or sequence of number, 1 mm to 100 m
        The lengths of the bars that can be bought, as many of each as are needed.
    kerf_mm : number, 0 to 20 mm
        What the saw takes away in one cut.
    offcuts_mm : sequence of number, 1 mm to 100 m
        The bars in the rack, each one by itself.
    seconds : number above 0
        How long to look. Sixty pieces take a second or two; where time runs out, `gap_mm` says how much is open.

    Returns
    -------
    CutList

    Raises
    ------
    BendError
        There is no piece or no stock length, or a piece fits no bar. A number is outside its range.

    Notes
    -----
    An integer programme over patterns, solved by HiGHS; see `cut_patterns`.

    Examples
    --------
    >>> from barmath.planning import cut_list
    >>> plan = cut_list([850, 850, 910, 230], [2000, 3000], kerf_mm=2, offcuts_mm=[1200])
    >>> plan.bought_mm, [(bar.stock_mm, bar.cuts_mm, bar.left_mm) for bar in plan.bars]
    (2000.0, [(1200.0, (910.0, 230.0), 56.0), (2000.0, (850.0, 850.0), 296.0)])
    """
    pieces = _lengths("piece", "pieces", lengths_mm, "type the length of each piece")
    stock = sorted(set(_lengths("stock length", "stock lengths", stock_mm, "type one that you can buy")), reverse=True)
    rack = _lengths("offcut", "offcuts", offcuts_mm, "")
    kerf = checked_single("saw kerf", kerf_mm, "mm", least=0.0, most=20.0)
    time_s = checked_single("time to search", seconds, "s", above=0.0, most=3600.0)
    longest, bar = max(pieces), max([*stock, *rack])
    if longest > bar + FITS_MM:
        raise BendError(
            f"piece must be at most as long as the longest bar, {plain(bar)} mm, got {tenths(longest, bar)} mm: "
            "add a stock length or an offcut that is long enough"
        )
    wanted, spare = Counter(pieces), Counter(rack)
    kinds = [Kind(length, 0.0, spare[length]) for length in sorted(spare)]
    kinds += [Kind(length, length) for length in stock]
    if longest > stock[0]:  # only offcuts take it: a bar that nobody sells shows where they do not suffice
        kinds.append(Kind(longest, 10.0 * (sum(pieces) + len(pieces) * stock[0])))
    plan = least_plan(list(wanted), list(wanted.values()), kinds, kerf, time_s)
    return _listed(plan, list(wanted), kinds, len(spare) + len(stock), kerf)


def _listed(plan: Plan, lengths: Sequence[float], kinds: Sequence[Kind], sold: int, kerf: float) -> CutList:
    bars = []
    for pattern in plan.patterns:
        kind = kinds[pattern.kind]
        cuts = sorted((at for at, n in zip(lengths, pattern.counts, strict=True) for _ in range(n)), reverse=True)
        if pattern.kind >= sold:
            raise BendError(
                f"each piece must fit a stock length or an offcut of its own, got one of {tenths(cuts[0])} mm that "
                "fits none: add a stock length that is long enough"
            )
        left = max(kind.length_mm - math.fsum(cuts) - len(cuts) * kerf, 0.0)
        bars.append(CutBar(kind.length_mm, tuple(cuts), left if left > FITS_MM else 0.0, kind.count is None))
    bars.sort(key=lambda bar: (bar.bought, -bar.stock_mm, bar.left_mm, [-cut for cut in bar.cuts_mm]))
    gap = plan.cost_mm - plan.bound_mm
    return CutList(tuple(bars), math.fsum(bar.stock_mm for bar in bars if bar.bought), gap if gap > FITS_MM else 0.0)


def _lengths(one: str, many: str, given: object, remedy: str) -> list[float]:
    # one number, or some in a row of any kind
    if isinstance(given, str) or not isinstance(given, Iterable) or getattr(given, "ndim", 1) == 0:
        given = [given]
    lengths = list(given)
    if remedy and not lengths:
        raise BendError(f"{many} must be at least one, got none: {remedy}")
    if len(lengths) > MOST_PIECES:
        raise BendError(f"{many} must be at most {MOST_PIECES}, got {len(lengths)}: make two lists")
    return [_length(one, length) for length in lengths]


def _length(one: str, length: object) -> float:
    if isinstance(length, str):
        raise BendError(f"{one} must be a number in mm, got {quoted(length)}: type a number, for example 850")
    return checked_single(one, length, "mm", least=SHORTEST_MM, most=LONGEST_MM)
