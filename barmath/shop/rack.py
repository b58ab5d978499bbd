"""What there is of a tube in the rack, and what can be bought of it."""

from __future__ import annotations

from collections.abc import Sequence

from barmath.fields import frozen, passing
from barmath.lengths import LONGEST_MM
from barmath.refusal import BendError, checked_single, quoted

USUAL_KERF_MM = 2.0
"""What a hacksaw or a band saw takes away in one cut: common practice, no source."""


def _checked_lengths(name: str, lengths: object) -> tuple[float, ...]:
    if isinstance(lengths, str) or not isinstance(lengths, Sequence):
        raise BendError(f"{name} must be lengths in a row, got {quoted(lengths)}: type them as in [400, 650]")
    return tuple(checked_single(name, length, "mm", above=0.0, most=LONGEST_MM) for length in lengths)


@frozen
class Rack:
    """The bars of one tube.

    Parameters
    ----------
    tube : str
        The tube's name in the shop's file.
    buy_mm : sequence of number above 0, mm
        The lengths that can be bought, one at least.
    offcuts_mm : sequence of number above 0, mm
        What is in the rack, each piece by itself.
    price_a_metre : number, 0 or more, or None
        In the shop's own money.

    Raises
    ------
    BendError
        A value is outside its range, or no length can be bought.
    """

    tube: str
    buy_mm: tuple[float, ...] = passing(_checked_lengths, "length to buy")
    offcuts_mm: tuple[float, ...] = passing(_checked_lengths, "offcut", default=())
    price_a_metre: float | None = passing(checked_single, "price a metre", least=0.0, default=None)

    def _check_together(self) -> None:
        if not self.buy_mm:
            raise BendError("lengths to buy must be at least one, got none: write one that you can buy")
