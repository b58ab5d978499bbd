"""The bender: to which side it bends, what it must hold, and what of it and its stand can touch the tube."""

from __future__ import annotations

from barmath.fields import frozen, passing
from barmath.refusal import BendError, Number, checked_choice, checked_single
from barmath.shop.tooling import Die

MEASURES = {
    "hook": "Straight tube behind the tangent point that the hook needs. Take a scrap with one bend. Close the "
    "hook nearer and nearer to the bend, until it no longer closes on straight tube.",
    "follower": "Straight tube ahead of a finished bend that the follower needs. Bend a scrap twice, closer and "
    "closer, until the follower climbs on the bend made first.",
    "finder_foot": "Length of the angle finder's foot: on a shorter flat it has nothing to sit on.",
    "table_below": "From the middle of the tube in the groove straight down to the top of the table.",
    "table_reach": "From the die's pivot to the table's far edge, over which an arm may come.",
    "floor_below": "From the middle of the tube in the groove straight down to the floor.",
    "frame_below": "From the middle of the tube in the groove down to the top of the frame that carries the die.",
    "frame_reach": "From the die's pivot to the frame's farthest corner, the hook's arm not counted.",
    "handle_reach": "From the die's pivot to the end of the handle.",
}
"""How each length of a `Bender` is measured, by its name without the unit: common practice, no source."""


def _checked_length(name: str, length_mm: object) -> float:
    return checked_single(name, length_mm, "mm", above=0.0)


@frozen
class Bender:
    """A rotary-draw hand bender, by a few lengths that a shop can measure; `MEASURES` says how.

    A length that is None has not been measured: what it decides is not checked.

    Parameters
    ----------
    turns : "left" or "right"
        To which side the free end of the tube comes round. It is seen from above by somebody who looks along the tube
        from the hook toward the free end.
    hook_mm : number or None, at least 0
        Straight tube needed behind the tangent point. None: what the die asks for as its least straight.
    follower_mm : number or None, at least 0
        Straight tube needed ahead of the finished bend.
    finder_foot_mm : number or None, above 0
        Shortest flat that the angle finder sits on.
    table_below_mm, table_reach_mm : numbers or None, above 0
        Top of the table below the tube's middle, and how far it reaches from the die's pivot.
    floor_below_mm : number or None, above 0
        Floor below the tube's middle.
    frame_below_mm, frame_reach_mm : numbers or None, above 0
        Top of the frame below the tube's middle, and how far it reaches from the die's pivot.
    handle_reach_mm : number or None, above 0
        End of the handle from the die's pivot; it needs room to be walked round.

    Raises
    ------
    BendError
        A field is no number or is outside its range. A height is given without its reach, or a reach without its
        height.
    """

    turns: str = passing(checked_choice, "side to which the bender turns", choices=("left", "right"), default="left")
    hook_mm: float | None = passing(checked_single, "straight tube for the hook", unit="mm", least=0.0, default=None)
    follower_mm: float | None = passing(
        checked_single, "straight tube for the follower", unit="mm", least=0.0, default=None
    )
    finder_foot_mm: float | None = passing(_checked_length, "foot of the angle finder", default=None)
    table_below_mm: float | None = passing(_checked_length, "distance to the table below", default=None)
    table_reach_mm: float | None = passing(_checked_length, "reach of the table", default=None)
    floor_below_mm: float | None = passing(_checked_length, "distance to the floor below", default=None)
    frame_below_mm: float | None = passing(_checked_length, "distance to the frame below", default=None)
    frame_reach_mm: float | None = passing(_checked_length, "reach of the frame", default=None)
    handle_reach_mm: float | None = passing(_checked_length, "reach of the handle", default=None)

    def _check_together(self) -> None:
        for what in ("table", "frame"):
            below, reach = getattr(self, f"{what}_below_mm"), getattr(self, f"{what}_reach_mm")
            if (below is None) != (reach is None):
                there, missing = ("reach", "below") if below is None else ("below", "reach")
                raise BendError(
                    f"{what} must have both {what}_below and {what}_reach, got only {what}_{there}: "
                    f"measure {what}_{missing} too, or leave both out"
                )

    @property
    def die_side(self) -> float:
        """Side of the die: 1 to the left of the tube, -1 to the right."""
        return 1.0 if self.turns == "left" else -1.0

    def hook_needs_mm(self, die: Die) -> Number:
        """Straight tube that the hook needs behind the tangent point on `die`, mm."""
        return die.least_straight_mm if self.hook_mm is None else self.hook_mm
