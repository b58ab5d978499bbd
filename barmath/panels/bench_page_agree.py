"""Whether what was read of a bend agrees with the other bends of its stop, said before the next bend. No widgets."""

from __future__ import annotations

from collections.abc import Sequence

from barmath.bending.steps import Step
from barmath.shop.tolerance import MOST_TWEAK_DEG


def agree_words(
    steps: Sequence[Step], read: Sequence[float | None], number: int, accepted_deg: float
) -> tuple[str, ...]:
    """What to look at before the next bend, and why; nothing where the readings agree.

    Bends that one stop made are alike, so their readings check each other. So a wrong reading, a moved stop or a
    bend short of its stop shows at once. The first bend of a stop is held against what is wanted. So is the larger one
    of two that differ: no bend is pulled up to one that is too large. This is common practice, no source.

    Parameters
    ----------
    steps : the four bends, first to last
    read : degrees, one for each step
        None where nothing was read.
    number : int
        Of the bend that was read last, from 1.
    accepted_deg : number
        By how much they may differ, degrees: what the shop accepts of a sweep.
    """
    step, kept = steps[number - 1], read[number - 1]
    if kept is None:
        return ()
    others = [
        (other.number, value)
        for other, value in zip(steps, read, strict=True)
        if value is not None and other is not step and abs(other.stop_deg - step.stop_deg) < _ONE_STOP_DEG
    ]
    apart = [(place, value) for place, value in others if abs(value - kept) > accepted_deg]
    if not apart and (others or abs(kept - step.bend_deg) <= accepted_deg):
        return ()
    pair = [*sorted(apart, key=lambda one: abs(one[1] - kept))[-1:], (number, kept)]
    largest, most = max(pair, key=lambda one: one[1])
    if most > step.bend_deg + accepted_deg:
        return (_too_large_words(step, largest, most, accepted_deg, [place for place, _ in pair if place != largest]),)
    if apart:
        (place, value), _ = pair
        return (
            f"bends {place} and {number} must agree within {accepted_deg:.1f} deg, because one stop made both, got "
            f"{value:.1f} and {kept:.1f} deg: read both again; if they remain apart, look whether "
            f"the stop is still at {step.stop_deg:.1f} deg and pull the smaller bend up to it",
        )
    return (
        f"bend {number} must be {step.bend_deg:.1f} deg within {accepted_deg:.1f} deg, got {kept:.1f} deg: read it "
        "again; if it remains so, pull it up to the stop again before the next bend",
    )


def _too_large_words(step: Step, number: int, got: float, accepted_deg: float, others: Sequence[int]) -> str:
    # a bend that is too large is no measure for its neighbour: pulled up to it, both would be wrong
    over = got - step.bend_deg
    undo = f"open the bend by {over:.1f} deg" if over <= MOST_TWEAK_DEG else "begin again with a new tube"
    leave = "".join(f", and do not pull bend {other} up to it" for other in others)
    return (
        f"bend {number} must be {step.bend_deg:.1f} deg within {accepted_deg:.1f} deg, got {got:.1f} deg: read it "
        f"again; if it remains so, set the stop to {step.stop_deg:.1f} deg again and {undo} before the next bend{leave}"
    )


_ONE_STOP_DEG = 1e-6
