"""Plans that a shop may settle on: the sequence of the four bends, what the hook holds, and what riser each needs."""

from __future__ import annotations

from types import MappingProxyType

from barmath.bending.holds import BENDS, LEFT, RIGHT, USUAL_HOLDS, Hold, check_holds
from barmath.shop.bender import Bender
from barmath.shop.tooling import Die

USUAL = "inner bends first, risers in the hook"
GRIPS = "inner bends first, then grips in the hook"

PLANS = MappingProxyType({
    USUAL: USUAL_HOLDS,
    GRIPS: (Hold(2, RIGHT), Hold(1, LEFT), Hold(3, RIGHT), Hold(0, LEFT)),
    "outer bends first, risers in the hook": (Hold(3, LEFT), Hold(0, RIGHT), Hold(2, RIGHT), Hold(1, LEFT)),
    "outer bends first from the grips": (Hold(3, RIGHT), Hold(0, LEFT), Hold(2, RIGHT), Hold(1, LEFT)),
    "one side after the other": (Hold(2, RIGHT), Hold(3, LEFT), Hold(1, LEFT), Hold(0, RIGHT)),
})  # fmt: skip
"""Plans by name; the same on both sides, so that both sides have the same marks."""

_RISERS = {1: (0, 1), 3: (2, 3)}  # the straights that are risers, and the bends at their two ends


def least_riser_mm(holds: tuple[Hold, ...], bender: Bender, die: Die) -> float:
    """Shortest riser, mm, with which `holds` leave hook and follower their straights.

    Once one end of a riser is bent, the bend at its other end asks for length: the hook's need if the hook holds that
    riser, else the follower's.

    Parameters
    ----------
    holds : tuple of Hold
        One for each bend of a bar.
    bender : Bender
    die : Die
        What the hook needs, where the bender does not say.

    Raises
    ------
    BendError
        A bend is missing or made twice.

    Examples
    --------
    >>> from barmath import Bender, Die
    >>> from barmath.bending import USUAL_HOLDS, least_riser_mm
    >>> least_riser_mm(USUAL_HOLDS, Bender(hook_mm=65.0), Die(101.6))
    65.0
    """
    check_holds(holds, len(BENDS))
    made: set[int] = set()
    needs = [0.0]
    for hold in holds:
        for riser, (left, right) in _RISERS.items():
            if hold.number in (left, right) and (left if hold.number == right else right) in made:
                in_hook = hold.number + (hold.hooked == RIGHT) == riser
                needs.append(bender.hook_needs_mm(die) if in_hook else bender.follower_mm or 0.0)
        made.add(hold.number)
    return max(needs)
