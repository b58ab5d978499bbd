"""Arrays: their type, degrees to radians, and long formulas a block at a time, in the processor's cache."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from barmath.refusal import Number, check_shapes

Array = NDArray[np.float64]
"""An array of numbers."""

RADIAN = np.pi / 180.0
"""Radians in a degree."""

BLOCK = 12_000
"""Elements in a block. Its arrays have 96 kB and remain in the cache; NumPy's own cost of a step is small beside it.
With larger ones the C library of Linux may give memory back, and ask for it again, in each block."""


def in_blocks(kernel: Callable[..., tuple[Number, ...]], *values: Number) -> tuple[Number, ...]:
    """`kernel(*values)` over broadcast arrays, computed in blocks of 12 000 elements.

    Parameters
    ----------
    kernel : elementwise function of numbers or arrays, returning a tuple of them
    values : numbers or arrays that broadcast; a number remains a number inside the kernel

    Returns
    -------
    tuple of floats (all values scalar) or of arrays of the broadcast shape

    Raises
    ------
    BendError
        Where the shapes do not broadcast.
    """
    shape = check_shapes("these numbers", *values)
    size = int(np.prod(shape, dtype=np.int64))
    if not shape:
        return tuple(float(result) for result in kernel(*values))
    if size <= BLOCK:
        return tuple(np.broadcast_to(result, shape).copy() for result in kernel(*values))
    flat = [value if np.ndim(value) == 0 else np.broadcast_to(value, shape).reshape(-1) for value in values]
    results: np.ndarray = np.empty(0)
    for start in range(0, size, BLOCK):
        block = slice(start, start + BLOCK)
        parts = kernel(*(value if np.ndim(value) == 0 else value[block] for value in flat))
        if not start:
            results = np.empty((len(parts), size))  # in one piece, for the system hands out large pieces faster
        for result, part in zip(results, parts, strict=True):
            result[block] = part
    return tuple(results.reshape(-1, *shape))


def picked(values: Array, pieces: NDArray[np.int64], own_axes: int = 0) -> Array:
    """Those `values` (..., k, and axes of their own) that belong to `pieces` (..., m): shape (..., m, own axes)."""
    lead, own = pieces.shape[:-1], values.shape[values.ndim - own_axes :]
    count = values.shape[values.ndim - 1 - own_axes]
    rows = np.broadcast_to(values, (*lead, count, *own)).reshape(-1, *own)
    first = count * np.arange(math.prod(lead)).reshape(*lead, 1)
    return rows.take(first + pieces, axis=0)  # several times as fast as NumPy's take_along_axis
