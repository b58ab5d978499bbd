"""What a bar measures by its settings, and how much slips at the bench and errors of reading scatter it.

If both sides of a bar were read, they are taken together. If only one side was read, its slips count and those of the
other side do not. Four parts say how a shop bends: the springback ratio k, the constant t0 of the
stop and the line-up offset o. The fourth is by how much the finished radius is more than R_die/(1 - k).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from barmath.arrays import RADIAN, Array
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import LEAST_BEND_DEG, Recipe
from barmath.records.bent_bar import BentBar, TestBend
from barmath.refusal import Number
from barmath.shop.offsets import kept_deg, riser_from_marks_mm

MEASURES = ("rise", "backsweep", "upsweep", "width", "between_risers")
"""What is compared of a bar, both sides taken together."""

SETTINGS = (
    "inner_mark_mm", "outer_mark_mm", "tube_length_mm", "inner_stop_deg", "outer_stop_deg", "clamp_reading_deg",
)  # fmt: skip

BENDS = ("inner", "outer")
"""Bends of a bar, what each kept: read where a bar's own bends were read as they were made."""

SIDES = {"left": -1, "right": 1}
"""Of a bar, and the sign of each."""

_TWO_SIDED = 3  # of the measures: the first ones have a left and a right value

_COLUMNS = len(MEASURES) + len(BENDS)
_STEP = np.array([1e-6, 1e-4, 1e-4, 1e-4])  # of the four parts, to find slopes
_SLIP = 1e-4  # mm or degrees, to find slopes
_STOPS = [SETTINGS.index(f"{bend}_stop_deg") for bend in BENDS]
_SLIPS = [place for place, name in enumerate(SETTINGS) if name != "tube_length_mm"]  # a cut tube is as long as noted


@dataclass(frozen=True)
class Scatter:
    """Standard deviations of one bend or reading from the next.

    Slips at the bench: `bend_deg` of a bend at the same stop, `finder_deg` of the clamp reading, `mark_mm` of a mark.
    The length noted is that of the cut tube, so it has no slip of its own.
    Errors of reading: `kept_deg` of what a test bend kept, `shift_mm` of its shift, `sweep_deg` and `length_mm` on the
    finished bar. All are common practice, no source.
    """

    bend_deg: float = 0.3
    kept_deg: float = 0.2
    finder_deg: float = 0.2
    mark_mm: float = 0.5
    sweep_deg: float = 0.2
    length_mm: float = 0.7
    shift_mm: float = 0.5

    def scaled(self, slips: float, readings: float) -> Scatter:
        """The scatter of a bench that slips so many times as much, and reads so many times as badly."""
        return Scatter(
            slips * self.bend_deg, readings * self.kept_deg, slips * self.finder_deg, slips * self.mark_mm,
            readings * self.sweep_deg, readings * self.length_mm, readings * self.shift_mm,
        )  # fmt: skip


def measures_of_settings(
    settings: Array, ratio: Number, constant_deg: Number, offset_mm: Number, radius_mm: Number
) -> Array:
    """What bars of these settings measure, (n, 5) in `MEASURES`, mm and degrees.

    Parameters
    ----------
    settings : array (6, n)
        Sorted as `SETTINGS`, mm and degrees.
    ratio, constant_deg, offset_mm, radius_mm : arrays (n,) or numbers
        Of the bender that makes them: k, t0, o and the finished radius. A bend set to t keeps t - (k t + t0).
    """
    inner, outer, length, inner_stop, outer_stop, reading = settings
    a, b = (np.maximum(kept_deg(stop, ratio, constant_deg), LEAST_BEND_DEG) for stop in (inner_stop, outer_stop))
    sine = np.clip(np.sin(reading * RADIAN) / np.sin(a * RADIAN), -0.999, 0.999)
    riser_start, riser_end = riser_from_marks_mm(inner, outer, offset_mm)
    flat = 2.0 * (riser_start - radius_mm * a * RADIAN)
    grip = 0.5 * length - riser_end - radius_mm * b * RADIAN
    flat, riser, grip = (np.maximum(part, 0.0) for part in (flat, riser_end - riser_start, grip))
    shape = shape_from_recipe(Recipe(flat, a, riser, np.arcsin(sine) / RADIAN, b, grip, radius_mm + 0.0 * flat))
    between = flat + 2.0 * (radius_mm * np.sin(a * RADIAN) + riser * np.cos(a * RADIAN))
    return np.stack([shape.rise_mm, shape.backsweep_deg, shape.upsweep_deg, shape.width_mm, between], -1)


def settings_of_bar(bar: BentBar) -> Array | None:
    """The settings of a bar, (6,), sorted as `SETTINGS`; None where one of them was not noted."""
    values = [getattr(bar, name) for name in SETTINGS]
    return None if None in values else np.array(values, float)


def read_of_bar(bar: BentBar) -> Array:
    """What was read of a bar, (5,) in `MEASURES`, both sides taken together; nan where it was not read."""
    values = []
    for measure in MEASURES:
        sides = [bar.readings[key] for key in (measure, f"{measure}_left", f"{measure}_right") if key in bar.readings]
        values.append(float(np.mean(sides)) if sides else np.nan)
    return np.array(values)


def sides_of_bar(bar: BentBar) -> Array:
    """Which side of a bar was read, (5,) in `MEASURES`: -1 the left one only, 1 the right one, else 0."""
    return np.array(
        [sum(sign for side, sign in SIDES.items() if f"{measure}_{side}" in bar.readings) for measure in MEASURES],
        float,
    )


class Rows(NamedTuple):
    """Numbers that were read, made independent of each other: entries (n), rows (7) each.

    `off` (n, 7) is expected less read, `slopes` (n, 7, 4) its slopes by the four parts, both in usual errors of
    reading; `slips` (n, 7) the variance that slips add, in the same; `known` (n, 7) is False where nothing was read.
    """

    off: Array
    slopes: Array
    slips: Array
    known: NDArray[np.bool_]


class Made:
    """Test bends and bars as arrays, bends first; a bar that lacks a setting or every reading is left out.

    A test bend that is a bend of one of these bars is no entry of its own: what it kept is one more measure of the bar.
    The same slip has moved both.

    Attributes
    ----------
    alone, places : list of int
        Which of the bends and which of the bars are in it.
    one_sided : int
        Of how many of these bars something was read on one side only.
    """

    def __init__(
        self, bends: Sequence[TestBend], bars: Sequence[BentBar], die_radius_mm: float, start: Array, scatter: Scatter
    ) -> None:
        self.die_radius_mm = die_radius_mm
        noted = [(place, settings_of_bar(bar), read_of_bar(bar)) for place, bar in enumerate(bars)]
        usable = [(place, given, read) for place, given, read in noted
                  if given is not None and not np.all(np.isnan(read))]  # fmt: skip
        self.places = [place for place, _, _ in usable]
        pieces = {bars[place].piece for place in self.places} - {""}
        self.alone = [place for place, bend in enumerate(bends) if not (bend.bend and bend.piece in pieces)]
        alone = [bends[place] for place in self.alone]
        self.stops = np.array([bend.stop_deg for bend in alone])
        self.settings = np.array([given for _, given, _ in usable]).reshape(-1, len(SETTINGS)).T
        of_bends = np.full((len(alone), _COLUMNS), np.nan)
        kept = [[bend.kept_deg, np.nan if bend.shift_mm is None else bend.shift_mm] for bend in alone]
        of_bends[:, :2] = np.array(kept).reshape(-1, 2)
        own = _own_bends(bends, [bars[place].piece for place in self.places])
        of_bars = np.concatenate([np.array([row for _, _, row in usable]).reshape(-1, len(MEASURES)), own.kept], -1)
        sides = np.array([sides_of_bar(bars[place]) for place in self.places]).reshape(-1, len(MEASURES))
        sides = np.concatenate([sides, own.side], -1)
        self.one_sided = int(np.sum(np.any((sides != 0.0) | (own.unknown.any(-1, keepdims=True)), -1)))
        self.read = np.concatenate([of_bends, of_bars])
        self.known = ~np.isnan(self.read)
        self._make_independent(start, scatter, sides, own)

    def __len__(self) -> int:
        return len(self.read)

    def expected(self, parts: Array, slips: Array | None = None) -> Array:
        """What each entry should measure, (n, 7); `parts` (4,) or (n, 4), `slips` (6,) are added to bars' settings."""
        k, constant, offset, more = np.broadcast_to(parts, (len(self), 4)).T
        bends = len(self.stops)
        of_bends = np.zeros((bends, _COLUMNS))
        of_bends[:, 0] = kept_deg(self.stops, k[:bends], constant[:bends])
        of_bends[:, 1] = offset[:bends]
        if not self.settings.size:
            return of_bends
        radius = self.die_radius_mm / (1.0 - k) + more
        settings = self.settings + (0.0 if slips is None else slips[:, None])
        bars = measures_of_settings(settings, *(part[bends:] for part in (k, constant, offset, radius)))
        own = np.stack([kept_deg(settings[place], k[bends:], constant[bends:]) for place in _STOPS], -1)
        return np.concatenate([of_bends, np.concatenate([bars, own], -1)])

    def rows(self, parts: Array) -> Rows:
        """The entries as independent rows about `parts` (4,) or (n, 4)."""
        off = np.where(self.known, self.expected(parts) - np.where(self.known, self.read, 0.0), 0.0)
        slopes = np.stack(
            [(self.expected(parts + h) - self.expected(parts - h)) / (2.0 * h.sum()) for h in np.diag(_STEP)], -1
        )
        slopes = np.where(self.known[..., None], slopes, 0.0)
        turned = np.einsum("nij,nj->ni", self._turn, off), np.einsum("nij,njk->nik", self._turn, slopes)
        return Rows(*turned, self._slips, self._independent)

    def _make_independent(self, start: Array, scatter: Scatter, sides: Array, own: OwnBends) -> None:
        # slips move a bar's measures together. In units of the errors of reading D, the covariance of the slips S has
        # axes U: rows turned into them are independent, each with variance (slips' share) + 1
        bends = len(self.stops)
        once = np.array([scatter.mark_mm, scatter.mark_mm, scatter.bend_deg, scatter.bend_deg,
                         scatter.finder_deg]) / np.sqrt(2.0)  # fmt: skip
        slopes = np.stack([(self.expected(start, h) - self.expected(start, -h)) / (2.0 * _SLIP)
                           for h in _SLIP * np.eye(len(SETTINGS))[_SLIPS]], -1) * once  # fmt: skip
        slopes[:bends, 0, 0] = scatter.bend_deg
        error = np.tile([scatter.length_mm, scatter.sweep_deg, scatter.sweep_deg, scatter.length_mm, scatter.length_mm,
                         *[scatter.kept_deg] * 2], (len(self), 1))  # fmt: skip
        error[bends:, :_TWO_SIDED] /= np.where(sides[:, :_TWO_SIDED] == 0.0, np.sqrt(2.0), 1.0)
        error[bends:, -2:] /= np.sqrt(np.maximum(own.times, 1.0))
        error[:bends, :2] = scatter.kept_deg, scatter.shift_mm
        # each side slips by the mean of both, and by half their difference: one up, the other down
        apart = np.zeros_like(slopes)
        apart[bends:] = slopes[bends:] * sides[..., None]
        one_side = np.zeros((len(self), _COLUMNS, len(BENDS)))  # of a bend it is not known which
        one_side[bends:, [-2, -1], [0, 1]] = own.unknown * scatter.bend_deg / np.sqrt(2.0)
        slopes = np.concatenate([slopes, apart, one_side], -1)
        pull = np.where(self.known[..., None], slopes / error[..., None], 0.0)
        share, axes = np.linalg.eigh(
            pull @ np.swapaxes(pull, -1, -2) - np.where(self.known, 0.0, 1.0)[..., None] * np.eye(_COLUMNS)
        )
        # what was not read has a share of -1: its axis holds nothing
        self._independent = share > -0.5
        self._slips = np.where(self._independent, np.maximum(share, 0.0), 0.0)
        self._turn = np.swapaxes(axes, -1, -2) / error[:, None, :]
        self._turn = np.where(self._independent[..., None], self._turn, 0.0)


class OwnBends(NamedTuple):
    """What bars' own bends kept, (m, 2) each in `BENDS`: the mean, nan where none was read, and of how many it is.

    `side` is -1 or 1 where it is of the left or the right one only. `unknown` says that it is of one of them, and it
    is not known of which.
    """

    kept: Array
    times: Array
    side: Array
    unknown: NDArray[np.bool_]


def _own_bends(bends: Sequence[TestBend], pieces: Sequence[str]) -> OwnBends:
    read: dict[tuple[str, str], list[TestBend]] = {}
    for bend in bends:
        if bend.piece and bend.bend:
            read.setdefault((bend.piece, bend.bend), []).append(bend)
    found = np.array([[_of_both_sides(read.get((piece, name), [])) for name in BENDS] for piece in pieces])
    kept, times, side, unknown = np.moveaxis(found.reshape(-1, len(BENDS), 4), -1, 0)
    return OwnBends(kept, times, side, unknown > 0.0)


def _of_both_sides(bends: Sequence[TestBend]) -> tuple[float, float, float, float]:
    # one row of OwnBends. Of two bends without a side each is taken for one, as a bar has two of them
    if not bends:
        return np.nan, 0.0, 0.0, 0.0
    sides = {side: [bend.kept_deg for bend in bends if bend.side == side] for side in {bend.side for bend in bends}}
    if "" in sides:
        kept = [bend.kept_deg for bend in bends]
        return float(np.mean(kept)), float(len(kept)), 0.0, float(len(kept) == 1)
    means = [float(np.mean(kept)) for kept in sides.values()]
    times = len(sides) ** 2 / sum(1.0 / len(kept) for kept in sides.values())
    return float(np.mean(means)), times, float(sum(SIDES[side] for side in sides)), 0.0
