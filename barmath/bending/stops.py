"""How many settings of the stop a bar takes, and how often it is moved. Also what the angle finder shows then.

With four equal bends the clamp reading is very nearly the backsweep. So shops set the angle finder to the sweep. With
inner and outer bends that differ it is not: sin reading = sin inner bend x sin roll.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.records import Recipe, check_single

ALIKE_DEG = 0.05
"""Two angles that differ by less look the same on a sheet. They are one setting of the stop."""

HABIT_DEG = 0.3
"""By how much the clamp reading may differ from the backsweep before it is said: an angle finder is read to 0.1 deg,
and a grip out by more is seen (common practice, no source)."""

ALL_BENDS, OUTER_BENDS = "all bends", "outer bends"

_TIMES = {0: "never", 1: "once", 2: "twice"}


def stop_moves(angles_deg: Sequence[float]) -> int:
    """How often the stop must be moved between bends to `angles_deg`, in the sequence in which they are made.

    Parameters
    ----------
    angles_deg : sequence of number
        The finished bends, or the settings of the stop.

    Examples
    --------
    >>> from barmath.bending import stop_moves
    >>> stop_moves([30.0, 30.0, 27.5, 27.5]), stop_moves([30.0, 27.5, 30.0, 27.5])
    (1, 3)
    """
    return sum(differ(one, other) for one, other in pairwise(angles_deg))


def differ(one_deg: float, other_deg: float) -> bool:
    """Whether two angles are two settings of the stop.

    Parameters
    ----------
    one_deg, other_deg : number

    Examples
    --------
    >>> from barmath.bending import differ
    >>> differ(30.0, 27.5), differ(30.0, 30.01)
    (True, False)
    """
    return bool(abs(one_deg - other_deg) >= ALIKE_DEG)


def moves_words(moves: int) -> str:
    """How often the stop is moved in words, for example "the stop is moved once".

    Examples
    --------
    >>> from barmath.bending import moves_words
    >>> moves_words(3)
    'the stop is moved 3 times'
    """
    return f"the stop is moved {_TIMES.get(moves, f'{moves} times')}"


def not_the_sweep(recipe: Recipe) -> str:
    """What to set the angle finder on the clamp flat to where it is not the backsweep; empty where the two are alike.

    Parameters
    ----------
    recipe : Recipe
        One bar.

    Raises
    ------
    BendError
        The recipe holds arrays: take one bar at a time.

    Examples
    --------
    >>> from barmath import Order, recipe_from_order
    >>> from barmath.bending import not_the_sweep
    >>> print(not_the_sweep(recipe_from_order(Order(90, 14, 800, None, 60, 170), 105.0, 30.0, 27.5)))
    set the angle finder on the clamp flat to 15.1 deg, not to the backsweep of 14.0 deg
    >>> not_the_sweep(recipe_from_order(Order(90, 14, 800, None, 60, 170), 105.0, 30.0))
    ''
    """
    check_single(recipe)
    reading, sweep = (
        abs(float(angle)) for angle in (clamp_reading_deg(recipe), shape_from_recipe(recipe).backsweep_deg)
    )
    if abs(reading - sweep) <= HABIT_DEG:
        return ""
    return f"set the angle finder on the clamp flat to {reading:.1f} deg, not to the backsweep of {sweep:.1f} deg"
