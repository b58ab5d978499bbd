"""What a bench sheet is about: one bar to be bent, on one die of the shop."""

from __future__ import annotations

import numpy as np

from barmath.bending.holds import USUAL_HOLDS, Hold
from barmath.bending.recipe_text import line_of_bar
from barmath.bending.steps import Step, bench_steps
from barmath.closed_forms.records import Order, Recipe
from barmath.fields import frozen, passing
from barmath.lengths import checked_unit, length_text
from barmath.refusal import BendError
from barmath.shop.bender import Bender
from barmath.shop.stock import Tube
from barmath.shop.tolerance import USUAL, Tolerance
from barmath.shop.tooling import Die, springback_from_tube

RADIUS_ALIKE_MM = 0.05
"""How far a recipe's radius may be from what its tube keeps on its die."""


@frozen
class BenchSheet:
    """One bar to be bent (no arrays), and all that its sheet tells.

    Parameters
    ----------
    name : str
        Such as "order 7"; anything a user may type.
    order : Order
    recipe : Recipe
    tube : Tube
    die : Die
    bender : Bender
    warnings : tuple of str
        What the limits and the clamping warn of.
    unit : "mm" or "in"
    holds : tuple of four Hold
        The sequence of the bends, and which end of the tube is in the hook for each.
    springback_words : str
        Where the springback comes from, and how sure rise and backsweep are by it.
    accepted : Tolerance
        What the shop accepts of the finished bar.
    number : whole number
        Of the order, 0 for a bar of no order: it is in the line at the sheet's lower edge.
    rider : str
        As in the order book; empty for a bar of no order.
    wanted : str or None
        The day it is wanted, as in the order book.

    Raises
    ------
    BendError
        The recipe was made for another radius than that of this tube on this die. The unit is unknown.
    """

    name: str
    order: Order
    recipe: Recipe
    tube: Tube
    die: Die
    bender: Bender = Bender()
    warnings: tuple[str, ...] = ()
    unit: str = passing(checked_unit, default="mm")
    holds: tuple[Hold, ...] = USUAL_HOLDS
    springback_words: str = ""
    accepted: Tolerance = USUAL
    number: int = 0
    rider: str = ""
    wanted: str | None = None

    def _check_together(self) -> None:
        finished = springback_from_tube(self.tube, self.die).finished_radius_mm
        if np.any(np.abs(finished - self.recipe.radius_mm) > RADIUS_ALIKE_MM):
            raise BendError(
                f"finished radius must be {finished:.1f} mm, what this tube keeps on this die, "
                f"got {np.max(self.recipe.radius_mm):.1f} mm: work the recipe out for the die that will be used"
            )

    @property
    def steps(self) -> tuple[Step, ...]:
        """The four bends, first to last."""
        springback = springback_from_tube(self.tube, self.die)
        return bench_steps(self.recipe, springback, self.die, self.bender, self.unit, self.holds)

    @property
    def line(self) -> str:
        """The recipe as one line that can be typed back in."""
        return line_of_bar(self.number, self.tube, self.die, self.recipe)

    def length(self, mm: float) -> str:
        """A length in the sheet's unit."""
        return length_text(float(mm), self.unit)
