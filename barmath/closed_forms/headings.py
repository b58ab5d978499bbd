"""A heading that turns: the one rule behind every bend and roll, on bare vectors and unchecked.

A walk along a tube has a heading. In a bend it also has a direction square to the heading, toward which the tube turns.
After a turn by theta

    heading' = heading cos(theta) + toward sin(theta),   toward' = toward cos(theta) - heading sin(theta).

Both are unit vectors (..., 3); `theta` is in radians and has a last axis of one, or is a number.
`barmath.derivation.forward` says the same in letters.
"""

from __future__ import annotations

import numpy as np

from barmath.arrays import Array


def turned(heading: Array, toward: Array, theta: Array) -> tuple[Array, Array]:
    """`heading` and `toward`, (..., 3) each, after a turn by `theta` in their plane."""
    cosine, sine = np.cos(theta), np.sin(theta)
    return cosine * heading + sine * toward, cosine * toward - sine * heading


def arc(heading: Array, toward: Array, theta: Array) -> Array:
    """From the start of an arc of radius 1 to its end, (..., 3): sin(theta) heading + (1 - cos(theta)) toward."""
    return np.sin(theta) * heading + (1.0 - np.cos(theta)) * toward


def quarter_turned(vectors: Array, heading: Array, toward: Array) -> Array:
    """What a turn from `heading` toward `toward`, (3,) each, does to `vectors` (..., 3), per radian."""
    return (vectors @ heading)[..., None] * toward - (vectors @ toward)[..., None] * heading


def leaned(vectors: Array, psi: Array) -> Array:
    """`vectors` (..., 3) as (right, back, up), after a turn by `psi` about the clamp axis, from up toward back."""
    right, back, up = vectors[..., 0:1], vectors[..., 1:2], vectors[..., 2:3]
    cosine, sine = np.cos(psi), np.sin(psi)
    return np.concatenate(np.broadcast_arrays(right, back * cosine + up * sine, up * cosine - back * sine), -1)


def framed(*columns: Array) -> Array:
    """Vectors (..., 3) side by side, as the columns of (..., 3, k)."""
    # NumPy's stack takes several times as long on arrays as short as these
    frame = np.empty((*np.broadcast_shapes(*(column.shape for column in columns)), len(columns)))
    for place, column in enumerate(columns):
        frame[..., place] = column
    return frame
