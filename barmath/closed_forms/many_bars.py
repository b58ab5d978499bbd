"""What a million bars measure, with one pass over memory for all sums and products, where numba is installed.

NumPy goes through memory once for each of them. numba compiles `bar_ends.along_legs` into one loop. The results are
the same to the last bit. It is large, and its first call takes a second: so nothing needs it.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from importlib.util import find_spec

import numpy as np

from barmath.arrays import BLOCK, RADIAN, Array
from barmath.closed_forms.bar_ends import along_legs, refuse_square_grip, sine_and_cosine
from barmath.refusal import Number

MANY = 1_000_000
"""Bars from which a compiled loop is worth its first call."""


def measures_of_many(
    flat: Number, bend_a: Number, s: Number, roll: Number, bend_b: Number, g: Number, radius: Number
) -> tuple[Array, ...] | None:
    """Rise, backsweep, upsweep, width, setback and cut length of a million bars and more, risers upright.

    None where there are fewer, where their shapes do not broadcast, or where numba is not installed: see `in_blocks`.

    Raises
    ------
    BendError
        A grip is square to the clamp axis.

    Examples
    --------
    >>> measures_of_many(60, 30, 100.8, 28.9, 30, 184.3, 105) is None
    True
    """
    numbers = flat, bend_a, s, roll, bend_b, g, radius
    if max(map(np.size, numbers)) < MANY or (each := _compiled()) is None:
        return None
    try:
        arrays = np.broadcast_arrays(*numbers)
    except ValueError:
        return None
    lines = [np.ravel(one) for one in arrays]
    found = np.empty((6, arrays[0].size))
    kept = np.empty((8, BLOCK))  # for all blocks, for new memory would take longer than the sums
    for start in range(0, found.shape[1], BLOCK):
        block = slice(start, start + BLOCK)
        flats, bends_a, straights, rolls, bends_b, grips, radii = (line[block] for line in lines)
        half_a, half_b, tan_a, tan_b, tan_phi, right, grip_back, grip_up = kept[:, : flats.size]
        for angle, half, tangent in ((bends_a, half_a, tan_a), (bends_b, half_b, tan_b), (rolls, tan_phi, tan_phi)):
            np.tan(np.multiply(angle, 0.5 * RADIAN, out=half), out=tangent)
        up, backsweep, upsweep, width, back, cut = found[:, block]
        each(up, back, width, cut, right, grip_back, grip_up,
             flats, half_a, straights, half_b, grips, radii, tan_a, tan_b, tan_phi)  # fmt: skip
        refuse_square_grip(right)
        for sideways, sweep in ((grip_back, backsweep), (grip_up, upsweep)):
            np.multiply(np.arctan2(sideways, right, out=sweep), 1.0 / RADIAN, out=sweep)
    return tuple(found.reshape(6, *arrays[0].shape))


@cache
def _compiled() -> Callable[..., None] | None:
    if find_spec("numba") is None:
        return None
    from numba import njit
    from numba.extending import register_jitable

    for function in (sine_and_cosine, along_legs):
        register_jitable(function)
    return njit(cache=True, error_model="numpy")(_each)


def _each(
    up: Array, back: Array, width: Array, cut: Array, grip_right: Array, grip_back: Array, grip_up: Array,
    flat: Array, half_a: Array, s: Array, half_b: Array, g: Array, radius: Array,
    tan_a: Array, tan_b: Array, tan_phi: Array,
) -> None:  # fmt: skip
    for i in range(flat.size):
        up[i], back[i], width[i], cut[i], grip_right[i], grip_back[i], grip_up[i] = along_legs(
            flat[i], half_a[i], s[i], half_b[i], g[i], radius[i], tan_a[i], tan_b[i], tan_phi[i]
        )
