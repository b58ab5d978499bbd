"""Whether what was read of a bend agrees with the other bends of its stop, said before the next bend. No widgets."""

from __future__ import annotations

from collections.abc import Sequence

from barmath.bending.steps import Step


def agree_words(
    steps: Sequence[Step], read: Sequence[float | None], number: int, accepted_deg: float
) -> tuple[str, ...]:
    """What to look at before the next bend, and why; nothing where the readings agree.

    Bends that one stop made are alike, so their readings check each other. So a wrong reading, a moved stop or a
    bend short of its stop shows at once. The first bend of a stop is held against what is wanted. This is common
    practice, no source.

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
    if apart:
        place, value = max(apart, key=lambda one: abs(one[1] - kept))
        return (
            f"bends {place} and {number} must agree within {accepted_deg:.1f} deg, because one stop made both, got "
            f"{value:.1f} and {kept:.1f} deg: read both again; if they remain apart, look whether "
            "the stop has moved and pull the smaller bend up to it",
        )
    if others or abs(kept - step.bend_deg) <= accepted_deg:
        return ()
    remedy = "pull it up to the stop again" if kept < step.bend_deg else "look whether the stop has moved"
    return (
        f"bend {number} must be {step.bend_deg:.1f} deg within {accepted_deg:.1f} deg, got {kept:.1f} deg: read it "
        f"again; if it remains so, {remedy} before the next bend",
    )


_ONE_STOP_DEG = 1e-6
