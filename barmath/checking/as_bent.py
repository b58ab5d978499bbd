"""The bar as it came out, by its four bends, its two rolls and the twist between its risers.

The pencil marks, which are the two ends of each riser, keep their places: an inner bend that came out larger has
taken its arc out of the clamp flat. An outer one has taken it out of the grip. Each half is then the half bar of the
closed forms, in a frame of its own. The twist turns the halves against each other about the clamp axis, by half of it
each.

A pencil mark may have slipped itself: then the straights beside it are longer or shorter by as much. The slips of the
four marks may follow the seven parts, in `MARKS`; where they are not given, the marks are where they were to be.

Every vector comes with its exact derivatives: a `Jet` holds it and its slope by each part and mark. An inner bend turns
all beyond it about the start of its arc. An outer bend turns the grip about the end of its arc. A roll turns all beyond
the riser about the riser, and the twist each half about the clamp axis.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from barmath.arrays import RADIAN, Array
from barmath.checking.bench_errors import USUAL_ERRORS, BenchErrors
from barmath.closed_forms.headings import arc, leaned, quarter_turned, turned
from barmath.closed_forms.records import Recipe, check_single
from barmath.closed_forms.sensitivity import INNER_BEND, ROLL, sensitivities_from_recipe
from barmath.refusal import BendError, as_number, refuse_where
from barmath.space.centerline import TubeBends

Jet = NDArray[np.float64]
"""Shape (..., 12, 3) for a vector and (..., 12) for a number: the value, its slopes by the parts per radian and by the
marks per mm.
"""

PARTS = (
    "left outer bend", "left inner bend", "right inner bend", "right outer bend", "left roll", "right roll", "twist",
)  # fmt: skip
"""What may have come out otherwise than wanted, in degrees each, sorted so along a last axis of 7."""

MARKS = 4
"""How many pencil marks may be further out than wanted, in mm each: left inner, left outer, right inner, right outer.
They follow the parts along the same axis.
"""

LEAST_READING_SLOPE = 0.05
"""Of the clamp reading by the roll, and of the levelling by the twist: below it a slip is no longer small."""

UNKNOWNS = len(PARTS) + MARKS
"""How many numbers describe a bar with slipped marks."""

_IN_KERNEL = np.array([RADIAN] * len(PARTS) + [1.0] * MARKS)  # degrees and mm in, radians and mm inside
_RIGHT, _BACK, _UP = np.eye(3)


class Half(NamedTuple):
    """Jets of one half, (right, back, up) from the middle mark, with both risers leaning alike.

    `foot`, `top` the two ends of the riser; `start`, `end` those of the grip; `riser`, `grip` their directions outward.
    """

    foot: Jet
    top: Jet
    start: Jet
    end: Jet
    riser: Jet
    grip: Jet


def parts_of_recipe(recipe: Recipe) -> Array:
    """The parts of the bar that was wanted, shape (7,), degrees.

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.checking import parts_of_recipe
    >>> parts_of_recipe(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105)).tolist()
    [30.0, 30.0, 30.0, 30.0, 28.9, 28.9, 0.0]
    """
    check_single(recipe)
    a, b, phi = recipe.inner_bend_deg, recipe.outer_bend_deg, recipe.roll_deg
    return np.array([b, a, a, b, phi, phi, 0.0])


def covariance_of_slips(recipe: Recipe, errors: BenchErrors = USUAL_ERRORS) -> Array:
    """How the parts usually scatter, shape (7, 7), degrees squared: stop and angle finder at each bend.

    The roll is set by the clamp reading kappa. So it carries the finder's error and takes the inner bend's with it:
    d(roll) = (d(kappa) - (d kappa/d a) d(a)) / (d kappa/d roll). The twist is the finder's error on the bent arm, 1/sin
    a times as large. (`barmath.bending.spread` bends tubes on the screen for the same numbers.)

    Parameters
    ----------
    recipe : Recipe
        One bar (no arrays).
    errors : BenchErrors

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.checking import covariance_of_slips
    >>> covariance = covariance_of_slips(Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105))
    >>> (covariance.diagonal() ** 0.5).round(2).tolist()
    [0.3, 0.3, 0.3, 0.3, 0.53, 0.53, 0.4]
    """
    check_single(recipe)
    slopes = sensitivities_from_recipe(recipe)
    by_inner, by_roll = slopes[INNER_BEND].clamp_reading_deg, slopes[ROLL].clamp_reading_deg
    steep = np.copysign(max(abs(by_roll), LEAST_READING_SLOPE), by_roll)
    stop, finder = errors.stop_deg, errors.finder_deg
    a = recipe.inner_bend_deg * RADIAN
    once = np.zeros((len(PARTS), len(PARTS)))  # columns: what each of seven independent slips does to the parts
    np.fill_diagonal(once, [stop] * 4 + [finder / abs(steep)] * 2 + [finder / max(np.sin(a), LEAST_READING_SLOPE)])
    for inner, roll in ((1, 4), (2, 5)):
        once[roll, inner] = -stop * by_inner / steep
    return once @ once.T


def bends_from_parts(recipe: Recipe, parts_deg: ArrayLike) -> TubeBends:
    """The bars (...) that were to be `recipe` and came out with `parts_deg` (..., 7), or (..., 11) with slips of marks.

    Parameters
    ----------
    recipe : Recipe
    parts_deg : array (..., 7) or (..., 11)
        Sorted as `PARTS`, then as `MARKS`, mm.

    Raises
    ------
    BendError
        The parts are no numbers, or not 7 or 11 of them. A bend has taken more tube than there was.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.checking import parts_of_recipe, bends_from_parts
    >>> recipe = Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105)
    >>> bends_from_parts(recipe, parts_of_recipe(recipe)).straights_mm.tolist()
    [184.3, 100.8, 60.0, 100.8, 184.3]
    """
    parts = _checked(parts_deg)
    wanted = parts_of_recipe(recipe)
    bends, rolls, twist = parts[..., :4], parts[..., 4:6], parts[..., 6]
    more = recipe.radius_mm * (bends - wanted[:4]) * RADIAN
    inner, outer = parts[..., [7, 9]], parts[..., [8, 10]]
    risers = recipe.straight_mm + outer - inner
    grips = recipe.grip_mm - more[..., [0, 3]] - outer
    flat = recipe.clamp_flat_mm - more[..., 1] - more[..., 2] + inner.sum(-1)
    straights = np.stack([grips[..., 0], risers[..., 0], flat, risers[..., 1], grips[..., 1]], -1)
    refuse_where(
        straights.min() < 0.0, "bends must leave straight tube between them, got {short:.1f} mm too little",
        remedy="look at the readings again", short=-straights.min(),
    )  # fmt: skip
    # a part's roll of 0 undoes the bend before, a tube's goes on the same way: they differ by half a turn
    turns = np.stack([np.zeros_like(twist), rolls[..., 0] - 180.0, twist, 180.0 - rolls[..., 1]], -1)
    return TubeBends(straights, bends, turns, np.full(4, float(recipe.radius_mm)))


def halves_from_parts(recipe: Recipe, parts_deg: ArrayLike) -> tuple[Half, Half]:
    """Left and right half of bars (...) with `parts_deg` (..., 7) or (..., 11), each vector with its slopes.

    Parameters
    ----------
    recipe : Recipe
    parts_deg : array (..., 7) or (..., 11)
        Sorted as `PARTS`, then as `MARKS`, mm.

    Returns
    -------
    left, right : Half

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time. The parts are no numbers, or not 7 or 11 of them.

    Examples
    --------
    >>> from barmath import Recipe
    >>> from barmath.checking import halves_from_parts, parts_of_recipe
    >>> recipe = Recipe(60, 30, 100.8, 28.9, 30, 184.3, 105)
    >>> left, right = halves_from_parts(recipe, parts_of_recipe(recipe))
    >>> right.end[0].round(1).tolist()  # right, back, up
    [400.0, 51.3, 90.0]
    """
    parts = _checked(parts_deg) * _IN_KERNEL
    check_single(recipe)
    left = _half(recipe, parts, 1, 0, 4, -0.5, 7)
    right = _half(recipe, parts, 2, 3, 5, 0.5, 9)
    return Half(*(jet * [-1.0, 1.0, 1.0] for jet in left)), right


def _checked(parts_deg: ArrayLike) -> Array:
    # parts and slips of marks, these zero where they are not given
    parts = np.asarray(as_number("part", parts_deg, "deg"))
    if parts.shape[-1:] == (UNKNOWNS,):
        return parts
    if parts.shape[-1:] != (len(PARTS),):
        raise BendError(
            f"parts must have a last axis of {len(PARTS)}, got shape {parts.shape}: give one number for each part"
        )
    return np.concatenate([parts, np.zeros((*parts.shape[:-1], MARKS))], -1)


def _half(recipe: Recipe, parts: Array, inner: int, outer: int, roll: int, share: float, mark: int) -> Half:
    # `mark` the place of the slip of the inner mark; the outer one's follows it
    a, b, phi = (parts[..., part, None] for part in (inner, outer, roll))  # a last axis of one beside the vectors
    inner_off, outer_off = parts[..., mark, None], parts[..., mark + 1, None]
    twist = share * parts[..., 6, None, None]
    radius, s = float(recipe.radius_mm), recipe.straight_mm + outer_off - inner_off
    more_a, more_b = a - recipe.inner_bend_deg * RADIAN, b - recipe.outer_bend_deg * RADIAN
    c, g = 0.5 * recipe.clamp_flat_mm - radius * more_a + inner_off, recipe.grip_mm - radius * more_b - outer_off
    d1, square = turned(_RIGHT, _UP, a)
    toward, aside = turned(-square, _BACK, phi)  # at roll 0 the outer bend undoes the inner one
    d2, beyond = turned(d1, toward, b)
    flat_end = c * _RIGHT
    foot = flat_end + radius * arc(_RIGHT, _UP, a)
    top = foot + s * d1
    start = top + radius * arc(d1, toward, b)
    end = start + g * d2
    nothing = np.zeros_like(d1)
    off = (1.0 - np.cos(b)) * radius * aside

    def jet(
        value: Array, by_b: Array, by_phi: Array, pivot: Array, by_inner: Array = nothing, by_outer: Array = nothing
    ) -> Jet:
        slopes = np.zeros((*value.shape[:-1], 1 + UNKNOWNS, 3))
        slopes[..., 0, :] = value
        slopes[..., 1 + inner, :] = quarter_turned(value - pivot, _RIGHT, _UP)
        slopes[..., 1 + outer, :] = by_b
        slopes[..., 1 + roll, :] = by_phi
        slopes[..., 7, :] = share * quarter_turned(value, _UP, _BACK)
        slopes[..., 1 + mark, :] = by_inner
        slopes[..., 2 + mark, :] = by_outer
        return leaned(slopes, twist)

    sine = np.sin(b)
    return Half(
        foot=jet(foot, nothing, nothing, flat_end, _RIGHT),
        top=jet(top, nothing, nothing, flat_end, _RIGHT - d1, d1),
        start=jet(start, radius * d2, off, flat_end, _RIGHT - d1, d1),
        end=jet(end, g * beyond, off + g * sine * aside, flat_end, _RIGHT - d1, d1 - d2),
        riser=jet(d1, nothing, nothing, nothing),
        grip=jet(d2, beyond, sine * aside, nothing),
    )
