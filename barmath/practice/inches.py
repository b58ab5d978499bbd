"""Exercises with given lengths in inches: at the last level, half of some kinds."""

from __future__ import annotations

import re
from dataclasses import replace

from barmath.lengths import MM_PER_INCH
from barmath.practice.exercise import Exercise
from barmath.practice.scene import LEVELS, dice

KINDS_IN_INCHES = {"marks", "rise", "die", "slip", "cope", "hands"}
ANSWER = 'Lengths are in inches here. Answer in mm. For an answer in inches, write "in" after the number.'


def in_inches(made: Exercise) -> Exercise:
    """The exercise with what is given in inches, if its kind and level have inches and its seed draws them.

    Examples
    --------
    >>> from barmath.practice import exercise
    >>> exercise("rise", 1, 1).given[0].count(" in,")
    0
    """
    if made.kind not in KINDS_IN_INCHES or made.level < LEVELS[-1]:
        return made
    if dice(f"{made.kind} in inches", made.seed, made.level).random() < 0.5:
        return made
    return replace(made, given=(*(_inches(line) for line in made.given), ANSWER))


def _inches(line: str) -> str:
    return re.sub(r"(-?\d+(?:\.\d+)?) mm\b", lambda found: f"{float(found[1]) / MM_PER_INCH:.3f} in", line)
