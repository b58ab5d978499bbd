"""The list of ways and the picture of their windows: a few of hundreds of rows, in words and as lanes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barmath.lengths import length_text
from barmath.planning.rules import IN_A_CELL
from barmath.planning.ways import Ways
from barmath.planning.window_lanes import WindowLanes

WAYS_HEAD = "die        inner outer fits straight    grip"

MOST_LETTERS = 49
"""Of a line: so many are seen whole in the column of the order page, where the list scrolls too."""

FEW = 3
"""Ways of each die that are listed where not all are asked for."""


def listed_rows(ways: Ways, picked: int | None, *, every: bool = False) -> list[int]:
    """Row numbers of the list, the best first: the best few of each die and the picked one, or every row.

    What the bender cannot make comes after what it can.
    """
    few = {int(row) for place in range(len(ways.dies)) for row in np.flatnonzero(ways.die_index == place)[:FEW]}
    rows = np.arange(len(ways)) if every else np.array(sorted(few | ({picked} if picked is not None else set())))
    return [int(row) for row in rows[np.argsort(~ways.can_be_made(rows), kind="stable")]]


def way_labels(ways: Ways, rows: Sequence[int], unit: str) -> list[str]:
    """One line for each of the `rows`, in the columns of `WAYS_HEAD`; where a way does not fit, why in a few words.

    Lengths are in `unit`, which the list's title names. A line has at most `MOST_LETTERS`.
    """
    labels = []
    for row, made in zip(rows, ways.can_be_made(rows), strict=True):
        bends = f"{ways.inner_bend_deg[row]:>5.1f} {ways.outer_bend_deg[row]:>5.1f}"
        fits = _fits(ways, row, unit) if made else f"no   {_short_reason(ways, row)}"
        labels.append(f"{ways.die(row).name[:10]:<10} {bends} {fits}")
    return [label.replace(" ", "\u00a0") for label in labels]


def bends_words(ways: Ways, row: int) -> str:
    """The bends of a row in words."""
    inner, outer = ways.inner_bend_deg[row], ways.outer_bend_deg[row]
    if ways.two_stops[row]:
        return f"inner bends of {inner:.1f} deg, outer bends of {outer:.1f} deg"
    return f"four bends of {inner:.1f} deg"


def lanes_from_ways(ways: Ways, picked: int | None) -> WindowLanes:
    """A lane for each die and inner bend: the rises that one of its outer bends can make."""
    lowest, highest = ways.lowest_rise_mm, ways.highest_rise_mm
    open_ = lowest <= highest
    lanes, lane = np.unique(np.stack([ways.die_index, ways.inner_bend_deg]), axis=1, return_inverse=True)
    low, high = np.full(lanes.shape[1], np.inf), np.full(lanes.shape[1], -np.inf)
    np.minimum.at(low, lane[open_], lowest[open_])
    np.maximum.at(high, lane[open_], highest[open_])
    return WindowLanes(
        die_names=[die.name for die in ways.dies],
        die_index=lanes[0].astype(np.intp),
        bend_deg=lanes[1],
        lowest_mm=low,
        highest_mm=high,
        picked=None if picked is None else int(lane[picked]),
        ordered_mm=float(ways.order.rise_mm),
    )


def rises_nearest_first(ways: Ways) -> list[float]:
    """Rises that the limits of some way allow, in mm, the nearest to the ordered one first: in whole mm where one fits.

    The bender is not asked.
    """
    ordered = float(ways.order.rise_mm)
    lowest, highest = ways.lowest_rise_mm, ways.highest_rise_mm
    open_ = lowest <= highest
    low, high = lowest[open_], highest[open_]
    whole = np.clip(ordered, np.ceil(low), np.floor(high))
    rises = np.unique(np.where((low <= whole) & (whole <= high), whole, np.clip(ordered, low, high)))
    return [float(rise) for rise in rises[np.argsort(np.abs(rises - ordered), kind="stable")]]


def _fits(ways: Ways, row: int, unit: str) -> str:
    watch = " watch" if ways.warned[row] else ""
    left = (length_text(x[row], unit).removesuffix(f" {unit}") for x in (ways.straight_left_mm, ways.grip_left_mm))
    return "yes " + "".join(f"{length:>8}" for length in left) + watch


def _short_reason(ways: Ways, row: int) -> str:
    for limit in ways.limits:
        if limit.refuses and limit.broken[row]:
            return IN_A_CELL[limit.key]
    return "not in this sequence"
