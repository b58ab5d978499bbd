"""Whether a bender can make a bar in one sequence of bends: worked out when somebody asks, and remembered."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from barmath.bending.holds import Hold
from barmath.bending.sequences import bend_sequence_of_each
from barmath.closed_forms.records import Recipe
from barmath.shop.bender import Bender
from barmath.shop.setup import setup_from_tube
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die
from barmath.space.centerline import bends_from_recipe


@dataclass(frozen=True)
class Verdicts:
    """What a bender says of the rows of a table; if there is no bender, none is asked.

    `fails` holds the answers so far: by row why it cannot be made, "" where it can.
    """

    bender: Bender | None
    holds: tuple[Hold, ...]
    tube: Tube
    fails: dict[int, str] = field(default_factory=dict)

    def ask(self, rows: Sequence[int], recipes: Callable[[list[int]], Recipe], die: Callable[[int], Die]) -> None:
        """Ask of those `rows` that were not asked of before, all at once."""
        new = [row for row in dict.fromkeys(rows) if row not in self.fails]
        if self.bender is None or not new:
            return
        bars = bends_from_recipe(recipes(new))
        setups = [setup_from_tube(self.tube, die(row), self.bender) for row in new]
        sequences = bend_sequence_of_each(bars, self.holds, setups)
        self.fails.update({row: "" if one.fits else one.reason() for row, one in zip(new, sequences, strict=True)})
