"""Two bars in one array are answered like each of them alone, for each number of each call that takes several."""

from dataclasses import fields, is_dataclass

import numpy as np
import pytest
from faces import FACES

from barmath import BendError

ANOTHER = {"first_yield_by_width", "every_bend_that_keeps", "cut_list", "TubeBends"}
"""Calls with lists of their own: widths of a study, bends to try, lengths in stock, bends along one tube."""


def _numbers(answer, path=()):
    # every number of an answer with its place in it
    if is_dataclass(answer) and not isinstance(answer, type):
        for field in fields(answer):
            yield from _numbers(getattr(answer, field.name), (*path, field.name))
    elif isinstance(answer, dict):
        for key, part in answer.items():
            yield from _numbers(part, (*path, key))
    elif isinstance(answer, tuple | list):
        for place, part in enumerate(answer):
            yield from _numbers(part, (*path, place))
    elif isinstance(answer, float | int | np.ndarray | np.generic):
        numbers = np.asarray(answer)
        if numbers.dtype.kind in "fi":
            yield path, numbers


def _is_alone(among, place, alone):
    # what does not depend on the number has no axis of its own; else the axis is the first or the last one
    parts = [among] if among.ndim == alone.ndim else []
    for axis in (0, -1):
        if among.ndim and among.shape[axis] == 2:
            parts.append(np.take(among, place, axis))
    return any(
        part.ndim <= alone.ndim and np.allclose(part, alone, rtol=1e-9, atol=1e-9, equal_nan=True) for part in parts
    )


@pytest.mark.parametrize("face", [face for face in FACES if face.name not in ANOTHER], ids=lambda face: face.name)
def test_each_of_two_is_answered_like_one_alone(face):
    for path, value in face.leaves(deep=False):
        if isinstance(value, float):
            both = (value, 1.004 * value if value else 0.5)
            try:
                many = dict(_numbers(face.run({path: np.array(both)})))
                alone = [dict(_numbers(face.run({path: one}))) for one in both]
            except BendError:
                continue
            for place, one in enumerate(alone):
                assert many.keys() == one.keys()
                assert [key for key in one if not _is_alone(many[key], place, one[key])] == [], (path, place)
