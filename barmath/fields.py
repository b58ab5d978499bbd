"""Frozen records with fields that carry their own checks, in the line where the field is written.

    @frozen
    class Stem:
        length_mm: Number = passing(checked, "length of the stem", unit="mm", least=0.0, most=200.0)

They are the standard library's dataclasses and not attrs classes. `dataclasses.replace`, `fields` and `astuple` refuse
attrs classes, and lessons and outside callers use all three.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, dataclass, field, fields
from typing import Any, TypeVar, dataclass_transform

import numpy as np

from barmath.refusal import Number, check_shapes

T = TypeVar("T")


def passing(check: Callable[..., Any], *words: object, default: Any = MISSING, **bounds: object) -> Any:
    """A field of a `frozen` class that keeps what `check(*words, value, **bounds)` returns.

    Parameters
    ----------
    check : function
        It returns the value to keep, and raises BendError if the value is refused. See `barmath.refusal`.
    words : such as the field's name in a refusal
    default : the value where none is given
        Where it is None, None is kept without a check.
    bounds : what `check` takes by name, such as `unit="mm", above=0.0`

    Examples
    --------
    >>> from barmath.refusal import checked
    >>> @frozen
    ... class Slope:
    ...     angle_deg: float = passing(checked, "slope", unit="deg", most=90.0)
    >>> Slope(120)
    Traceback (most recent call last):
        ...
    barmath.refusal.BendError: Type a number up to 90.0 deg: slope must be at most 90.0 deg, got 120.0 deg
    """

    def checked_value(value: object) -> object:
        return check(*words, value, **bounds)

    return field(default=default, metadata={"check": checked_value})


@dataclass_transform(frozen_default=True, field_specifiers=(passing, field))
def frozen(cls: type[T]) -> type[T]:
    """`cls` as a frozen dataclass that passes each value through its field's check as the record is made.

    Arrays are copied, so that a caller can go on changing theirs. Then `_check_together` runs: what the fields must
    be to each other. A class without one of its own refuses arrays of shapes that do not broadcast.
    """
    checks: list[tuple[str, Callable[[object], object], bool]] = []

    def check_fields(self: Any) -> None:
        for name, check, may_be_none in checks:
            given = getattr(self, name)
            if given is not None or not may_be_none:
                value = own(check(given))
                if value is not given:
                    object.__setattr__(self, name, value)
        self._check_together()

    made: Any = cls
    made.__post_init__ = check_fields
    if not hasattr(cls, "_check_together"):
        made._check_together = _check_shapes
    made = dataclass(frozen=True)(cls)
    checks += [
        (one.name, one.metadata["check"], one.default is None) for one in fields(made) if "check" in one.metadata
    ]
    return made


def keep(record: object, **values: Any) -> None:
    """Set fields of a frozen record while it is made, as values that nobody else can change: see `own`."""
    for name, value in values.items():
        object.__setattr__(record, name, own(value))


def own(value: Any) -> Any:
    """`value`, an array as a copy that nobody can change; an array that nobody can change already unchanged."""
    if isinstance(value, np.ndarray) and not _is_fixed(value):
        return fixed(value.copy())
    return value


def fixed(value: Number) -> Number:
    """`value` itself; an array that was just made, and what it looks at, cannot be changed by anybody any more."""
    part: Any = value
    while isinstance(part, np.ndarray):
        part.flags.writeable = False
        part = part.base
    return value


def _is_fixed(value: Any) -> bool:
    while isinstance(value, np.ndarray) and not value.flags.writeable:
        value = value.base  # a view is fixed where what it looks at is
    return value is None


def _check_shapes(record: object) -> None:
    arrays = [value for value in vars(record).values() if isinstance(value, np.ndarray)]
    if arrays:
        check_shapes(f"the {type(record).__name__.lower()}", *arrays)
