"""The list of ways and the picture of their windows: a few of hundreds of rows, in words and as lanes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barmath.lengths import length_text
from barmath.panels.pick_rows import Head, Row
from barmath.planning.rules import IN_A_CELL
from barmath.planning.ways import Ways
from barmath.planning.window_lanes import WindowLanes

WAYS_HEADS = (
    Head("Die"), Head("Inner", number=True), Head("Outer", number=True), Head("Fits"), Head("Straight", number=True),
    Head("Grip", number=True),
)  # fmt: skip
"""Heads of the table: the bends are in degrees, straight and grip are how much is left over."""

YES, WATCH, NO = "yes", "yes, watch", "no"

FEW = 3
"""Ways of each die that are listed where not all are asked for."""


def listed_rows(ways: Ways, picked: int | None, *, every: bool = False) -> list[int]:
    """Row numbers of the list, the best first: the best few of each die and the picked one, or every row.

    What the bender cannot make comes after what it can.
    """
    few = {int(row) for place in range(len(ways.dies)) for row in np.flatnonzero(ways.die_index == place)[:FEW]}
    rows = np.arange(len(ways)) if every else np.array(sorted(few | ({picked} if picked is not None else set())))
    return [int(row) for row in rows[np.argsort(~ways.can_be_made(rows), kind="stable")]]


def way_rows(ways: Ways, rows: Sequence[int], unit: str) -> list[Row]:
    """A row of the table for each of the `rows`, with the heads of `WAYS_HEADS`; for one that does not fit, why.

    Lengths are in `unit`, which the title of the table names.
    """
    shown = []
    for row, made in zip(rows, ways.can_be_made(rows), strict=True):
        name, bends = ways.die(row).name, (float(ways.inner_bend_deg[row]), float(ways.outer_bend_deg[row]))
        left = float(ways.straight_left_mm[row]), float(ways.grip_left_mm[row])
        if made:
            fits = WATCH if ways.warned[row] else YES
            words = tuple(length_text(length, unit).removesuffix(f" {unit}") for length in left)
            end: tuple[tuple, tuple] = ((fits, *words), (fits, *left))
        else:
            end = ((NO, _short_reason(ways, row), None), (NO, None, None))
        degrees = tuple(f"{bend:.1f}" for bend in bends)
        shown.append(Row(row, (name, *degrees, *end[0]), (name, *bends, *end[1]), bad=not made))
    return shown


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


def _short_reason(ways: Ways, row: int) -> str:
    for limit in ways.limits:
        if limit.refuses and limit.broken[row]:
            return IN_A_CELL[limit.key]
    return "not in this sequence"
