"""What is read on a finished bar with angle finder, rule and flat table, and what a bar would show.

Each reading is a number with its exact slopes by the parts and marks of `barmath.checking.as_bent`. So a fit knows
which part moves which reading, and by how much.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from barmath.arrays import RADIAN, Array
from barmath.checking.as_bent import MARKS, PARTS, Half, Jet, halves_from_parts, parts_of_recipe
from barmath.closed_forms.records import Recipe
from barmath.fields import frozen, keep, passing
from barmath.lengths import MM_PER_INCH
from barmath.refusal import BendError, checked_choice, checked_count, checked_single, plain, unknown


@dataclass(frozen=True)
class Kind:
    """One kind of reading.

    `unit` "mm" or "deg"; `error` its usual uncertainty (one standard deviation; common practice, no source); `how` how
    it is taken; `room` by how much it may be off what was wanted. Beyond that it is taken for a slip of the pen.
    """

    key: str
    name: str
    unit: str
    error: float
    room: float
    how: str


_UPRIGHT = "Clamp the bar by its flat, risers upright. If they lean, one leans forward as far as the other leans back."

KINDS = (
    Kind("backsweep_left", "Backsweep left", "deg", 0.2, 15.0,
         f"{_UPRIGHT} Read the angle between grip and clamp flat, seen from above."),
    Kind("backsweep_right", "Backsweep right", "deg", 0.2, 15.0, "Do the same on the right."),
    Kind("upsweep_left", "Upsweep left", "deg", 0.2, 15.0,
         f"{_UPRIGHT} Lay the angle finder along the grip and read it from the front."),
    Kind("upsweep_right", "Upsweep right", "deg", 0.2, 15.0, "Do the same on the right."),
    Kind("rise_left", "Rise left", "mm", 0.7, 40.0,
         f"{_UPRIGHT} Measure from the middle of the clamp flat up to the middle of the bar's end."),
    Kind("rise_right", "Rise right", "mm", 0.7, 40.0, "Do the same on the right."),
    Kind("rise_on_grips", "Gap under the flat", "mm", 0.5, 40.0,
         "Put the bar upside down on a flat table. Press both ends and both grips' inner ends down as far as they go. "
         "Read the gap under the middle of the clamp flat: the rise with grips level."),
    Kind("grips_gap", "Gap under a grip", "mm", 0.3, 40.0,
         "Put the bar upside down on the table. Hold the left grip flat and let the right one down until it touches. "
         "If its end touches, read the gap under its inner end: plus. If its inner end touches, read the gap under its "
         "end: minus."),
    Kind("risers_gap", "Gap under a riser", "mm", 0.3, 40.0,
         "Put the bar front down on the table and hold the clamp flat down. One riser is off the table: hold the other "
         "one flat. Read the gap under the outer end of the riser that is off. The right one counts plus, the left "
         "one minus."),
    Kind("between_risers", "Between the risers", "mm", 0.5, 40.0,
         "Measure at the outer marks, from outside to outside. Take off one diameter."),
    Kind("width", "Width", "mm", 1.0, 60.0, "Measure from the middle of one end to the middle of the other."),
)  # fmt: skip
"""Every reading that can be taken, sorted as on the check sheet."""

MOST_TIMES = 20
"""Times that one reading is taken at most."""

LEAST_ERROR, MOST_ERROR = 1e-3, 1e3
"""Uncertainties of a reading that can be meant, mm or degrees."""

BY_KEY = {kind.key: kind for kind in KINDS}

_PER_UNIT = np.array([RADIAN] * len(PARTS) + [1.0] * MARKS)  # of slopes as a jet has them


def _known_key(key: str) -> str:
    if key not in BY_KEY:
        raise BendError(unknown("reading", key, tuple(BY_KEY)))
    return key


@frozen
class Reading:
    """One reading taken: its key, value and uncertainty (one standard deviation; the usual one where not given).

    `times` is how often it was read, the bar taken up and put down again in between; `value` is then the mean, and
    `error` still that of one reading.

    Raises
    ------
    BendError
        The key is none of `BY_KEY`, or a number is outside its range.
    """

    key: str = passing(_known_key)
    value: float
    error: float | None = None
    times: int = 1

    def _check_together(self) -> None:
        name, unit = self.kind.name.lower(), self.kind.unit
        error = self.kind.error if self.error is None else self.error
        keep(
            self,
            value=checked_single(name, self.value, unit),
            error=checked_single(f"uncertainty of the {name}", error, unit, least=LEAST_ERROR, most=MOST_ERROR),
            times=checked_count(f"times that the {name} was read", self.times, least=1, most=MOST_TIMES),
        )

    @property
    def mean_error(self) -> float:
        """Uncertainty of the mean of all the times it was read."""
        assert self.error is not None
        return self.error / float(np.sqrt(self.times))

    @property
    def kind(self) -> Kind:
        """What kind of reading it is."""
        return BY_KEY[self.key]


def readings_of_parts(recipe: Recipe, parts_deg: ArrayLike, keys: tuple[str, ...]) -> tuple[Array, Array]:
    """What bars (...) with `parts_deg` show, and by how much each part, and each mark that is given, moves it.

    Parameters
    ----------
    recipe : Recipe
        The bar that was wanted; its marks and radius count.
    parts_deg : array (..., 7), or (..., 11) with the slips of the marks behind, mm
    keys : tuple of m keys

    Returns
    -------
    values (..., m) in mm or degrees, and slopes (..., m, 7) per degree, or (..., m, 11) with those per mm of the marks;
    nan where a bar does not show it: without any sweep both grips are in one line, and there is no laying the bar on
    them

    Raises
    ------
    BendError
        A key is none of `BY_KEY`, or the parts are no numbers.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.checking import parts_of_recipe, readings_of_parts
    >>> recipe = Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105)
    >>> values, slopes = readings_of_parts(recipe, parts_of_recipe(recipe), ("rise_left", "width"))
    >>> values.round(1).tolist(), slopes.shape
    ([90.0, 800.0], (2, 7))
    """
    for key in keys:
        checked_choice("key of a reading", key, tuple(BY_KEY))
    left, right = halves_from_parts(recipe, parts_deg)
    with np.errstate(invalid="ignore", divide="ignore"):  # both grips in one line: no plane to lay them on
        jets = np.stack([_SHOWN[key](left, right) for key in keys], -2)
    given = np.shape(parts_deg)[-1]
    return jets[..., 0], (jets[..., 1:] * _PER_UNIT)[..., :given]


def wanted_readings(recipe: Recipe, keys: tuple[str, ...] = tuple(BY_KEY)) -> Array:
    """What the bar that was wanted shows, shape (m,).

    Parameters
    ----------
    recipe : Recipe
    keys : tuple of m keys

    Raises
    ------
    BendError
        A key is none of `BY_KEY`, or the recipe holds arrays.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.checking import wanted_readings
    >>> wanted_readings(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105), ("rise_left", "width")).round(1).tolist()
    [90.0, 800.0]
    """
    return readings_of_parts(recipe, parts_of_recipe(recipe), keys)[0]


def check_plausible(readings: Iterable[Reading], recipe: Recipe) -> None:
    """Raise BendError if a reading is so far off what was wanted that somebody must have written it wrong.

    Parameters
    ----------
    readings : sequence of Reading
    recipe : Recipe

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.checking import Reading, check_plausible
    >>> check_plausible([Reading("rise_left", 91)], Recipe(60, 30, 100.8, 28.9, 30, 184.3,
    ...     105))  # near enough: nothing is raised
    """
    wanted = dict(zip(BY_KEY, wanted_readings(recipe), strict=True))
    for reading in readings:
        _check_plausible(reading, float(wanted[reading.key]))


def _check_plausible(reading: Reading, wanted: float) -> None:
    kind = reading.kind
    if np.isnan(wanted):
        raise BendError(
            f"{kind.name.lower()} must be left out, got {plain(reading.value)} {kind.unit}: leave it out, because "
            "the grips of this bar are in one line, so that it cannot rest on them"
        )
    off = abs(reading.value - wanted)
    if off <= kind.room:
        return
    if kind.unit == "mm" and abs(reading.value * MM_PER_INCH - wanted) <= kind.room / 2.0:
        remedy = f"if it was read in inches, type {plain(reading.value)} in"
    elif abs(reading.value + wanted) <= kind.room / 2.0:
        remedy = "look at its sign"
    elif kind.unit == "deg" and abs(abs(reading.value - 90.0) - abs(wanted)) <= kind.room / 2.0:
        remedy = "measure it from the direction of the clamp flat, not from square to it"
    else:
        remedy = "read it again, or check that this is the bar of this order"
    raise BendError(
        f"{kind.name.lower()} must be within {plain(kind.room)} {kind.unit} of the {wanted:.1f} {kind.unit} wanted, "
        f"got {plain(reading.value)} {kind.unit}: {remedy}"
    )


# ---- numbers with their slopes


def _times(u: Jet, v: Jet) -> Jet:
    # scalar product of two vectors with their slopes
    value = (u[..., :1, :] * v[..., :1, :]).sum(-1)
    slopes = (u[..., 1:, :] * v[..., :1, :] + u[..., :1, :] * v[..., 1:, :]).sum(-1)
    return np.concatenate([value, slopes], -1)


def _across(u: Jet, v: Jet) -> Jet:
    value = _cross(u[..., :1, :], v[..., :1, :])
    slopes = _cross(u[..., 1:, :], v[..., :1, :]) + _cross(u[..., :1, :], v[..., 1:, :])
    return np.concatenate([value, slopes], -2)


def _cross(u: Array, v: Array) -> Array:
    # as np.cross, a few times faster on short arrays
    (a, b, c), (x, y, z) = (tuple(w[..., i] for i in range(3)) for w in (u, v))
    return np.stack([b * z - c * y, c * x - a * z, a * y - b * x], -1)


def _over(one: Jet, other: Jet) -> Jet:
    value = one[..., :1] / other[..., :1]
    return np.concatenate([value, (one[..., 1:] - value * other[..., 1:]) / other[..., :1]], -1)


def _root(square: Jet) -> Jet:
    value = np.sqrt(square[..., :1])
    return np.concatenate([value, 0.5 * square[..., 1:] / value], -1)


def _angle(opposite: Jet, adjacent: Jet) -> Jet:
    # degrees, with slopes per radian of a part
    y, x = opposite[..., :1], adjacent[..., :1]
    slopes = (x * opposite[..., 1:] - y * adjacent[..., 1:]) / (x * x + y * y)
    return np.concatenate([np.arctan2(y, x), slopes], -1) / RADIAN


def _off_plane(point: Jet, origin: Jet, one: Jet, other: Jet) -> Jet:
    # distance of a point from the plane through `origin` along two directions, to the side of their cross product
    normal = _across(one, other)
    return _over(_times(point - origin, normal), _root(_times(normal, normal)))


_Shown = Callable[[Half, Half], Jet]


def _sweep(side: int, component: int) -> _Shown:
    def shown(left: Half, right: Half) -> Jet:
        grip = (left, right)[side].grip
        outward = grip[..., 0] * (1.0 if side else -1.0)
        return _angle(grip[..., component], outward)

    return shown


def _rise_on_grips(left: Half, right: Half) -> Jet:
    # the table touches both ends and the middle between the grips' inner ends; the flat's middle is the origin
    between = 0.5 * (left.start + right.start)
    across, inward = right.end - left.end, between - 0.5 * (left.end + right.end)
    middle = np.zeros_like(between)
    return _under(middle, left.end, across, inward)


def _grips_gap(left: Half, right: Half) -> Jet:
    # upside down: what is off the table is on the lower side of the bar's own plane. If the inner end would be
    # below the table, it touches: then the gap is under the outer end
    along = left.start - left.end
    under_inner = _under(right.start, left.end, along, right.end - left.end)
    under_end = -_under(right.end, left.end, along, right.start - left.end)
    return np.where(under_inner[..., :1] >= 0.0, under_inner, under_end)


def _under(point: Jet, origin: Jet, one: Jet, other: Jet) -> Jet:
    # how far a point is on the lower side of a plane. With the grips swept forward the directions' product turns over
    upward = np.sign(_cross(one[..., :1, :], other[..., :1, :])[..., 2])
    return -upward * _off_plane(point, origin, one, other)


def _risers_gap(left: Half, right: Half) -> Jet:
    # front down: what is off is further back. Where that is the left riser, the right one is held
    along = np.zeros_like(left.riser)
    along[..., 0, 0] = 1.0
    under_right = -_off_plane(right.top, left.foot, along, left.riser)
    under_left = _off_plane(left.top, right.foot, -along, -right.riser)
    return np.where(under_right[..., :1] >= 0.0, under_right, under_left)


_SHOWN: dict[str, _Shown] = {
    "backsweep_left": _sweep(0, 1),
    "backsweep_right": _sweep(1, 1),
    "upsweep_left": _sweep(0, 2),
    "upsweep_right": _sweep(1, 2),
    "rise_left": lambda left, right: left.end[..., 2],
    "rise_right": lambda left, right: right.end[..., 2],
    "rise_on_grips": _rise_on_grips,
    "grips_gap": _grips_gap,
    "risers_gap": _risers_gap,
    "between_risers": lambda left, right: right.top[..., 0] - left.top[..., 0],
    "width": lambda left, right: right.end[..., 0] - left.end[..., 0],
}
