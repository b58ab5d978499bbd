"""What a builder accepts of a finished bar: the one home of these bounds, for the sheets, the panels and the advice.

A shop writes its own into its file, under [accepted].
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from barmath.fields import frozen, passing
from barmath.refusal import checked_single

LEAST_TOLERANCE = 0.001
"""Of whatever is accepted, in its own unit: no bench reads as finely."""

MOST_TWEAK_DEG = 5.0
"""By how much a bend may be opened or closed cold: common practice, no source."""

MOST_TWIST_DEG = 3.0
"""By how much the plane of a bend may be twisted cold: common practice, no source."""


def _checked_tolerance(name: str, value: object, unit: str) -> float:
    return checked_single(f"tolerance of the {name}", value, unit, least=LEAST_TOLERANCE)


@frozen
class Tolerance:
    """What a builder accepts; the usual values are common practice, no source.

    Parameters
    ----------
    sweep_deg : number
        Of backsweep and upsweep, each side to the order and the sides to each other.
    rise_mm : number
        Of each side's rise to the order, and of the sides to each other where they are compared.
    rock_mm : number
        Of both gaps on a flat table: under a riser, and under a grip.
    roll_deg : number
        Of the roll of each side. No hand turns a roll back, so a larger one is a bar to look at again.
    touch_share : number, above 0 and at most 1
        Share of `sweep_deg` from which a small tweak is worth while.
    heat_deg : number, at least 0
        By how much brazing heat may close a bend beside the joint. It is not promised.

    Raises
    ------
    BendError
        A field is no number or is outside its range.

    Examples
    --------
    >>> Tolerance().rise_mm
    3.0
    """

    sweep_deg: float = passing(_checked_tolerance, "sweep", unit="deg", default=1.0)
    rise_mm: float = passing(_checked_tolerance, "rise", unit="mm", default=3.0)
    rock_mm: float = passing(_checked_tolerance, "rock", unit="mm", default=2.0)
    roll_deg: float = passing(_checked_tolerance, "roll", unit="deg", default=3.0)
    touch_share: float = passing(
        checked_single, "share of the tolerance worth a touch", default=0.85, above=0.0, most=1.0
    )
    heat_deg: float = passing(checked_single, "closing by heat", default=0.5, unit="deg", least=0.0)

    @property
    def apart(self) -> Mapping[str, float]:
        """How far the two sides may be apart, by fields of `barmath.bending.error_budget.Apart`."""
        return MappingProxyType(
            {"backsweep_deg": self.sweep_deg, "upsweep_deg": self.sweep_deg, "rise_mm": self.rise_mm}
        )


USUAL = Tolerance()
"""The usual tolerance: common practice, no source."""
