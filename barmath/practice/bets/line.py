"""A line that a reader draws on a chart, and how it is judged against the true one."""

from __future__ import annotations

from dataclasses import dataclass

from barmath.lengths import angle_deg
from barmath.refusal import BendError


@dataclass(frozen=True)
class Line:
    """A line over some places, one height at each.

    Parameters
    ----------
    places : tuple of numbers
        Where a height is asked, from the left.
    place_name, place_unit : str
        What is along the chart, such as "bend" and "deg".
    height_name, height_unit : str
        What is up the chart.
    answer : tuple of numbers
        The true height at each place.
    near : number
        A drawn line is right if it is at most so far from the answer at each place.
    span : two numbers
        Lowest and highest end of the chart. A line that nobody has drawn yet is along its lower end.
    habits : tuple of (heights, str)
        Lines that come from a habit, and the habit in words that follow "the usual mistake: ".
    """

    places: tuple[float, ...]
    place_name: str
    place_unit: str
    height_name: str
    height_unit: str
    answer: tuple[float, ...]
    near: float
    span: tuple[float, float]
    habits: tuple[tuple[tuple[float, ...], str], ...] = ()

    def place_words(self, place: int) -> str:
        """A place in words: `30 deg`."""
        return f"{self.places[place]:g} {self.place_unit}"


def line_text(heights: tuple[float, ...]) -> str:
    """The heights of a line as one text.

    Examples
    --------
    >>> from barmath.practice.bets.line import line_text
    >>> line_text((60.0, 65.5))
    '60; 65.5'
    """
    return "; ".join(f"{height:.6g}" for height in heights)


def line_from_text(line: Line, text: str) -> tuple[float, ...]:
    """The heights in a text.

    Raises
    ------
    BendError
        If there is not one number for each place, from the lower to the upper end of the chart.
    """
    low, high = line.span
    heights = tuple(angle_deg(part.strip()[:20], name=line.height_name) for part in text.split(";"))
    if len(heights) != len(line.places) or not all(low <= height <= high for height in heights):
        raise BendError(
            f"{line.height_name} must be given at {len(line.places)} places, each from {low:g} to {high:g} "
            f"{line.height_unit}: move each point"
        )
    return heights


def judged(line: Line, text: str) -> tuple[bool, bool, str]:
    """Whether a drawn line counts, whether it is right, and what is said of it."""
    try:
        drawn = line_from_text(line, text)
    except BendError:
        return False, False, f"Move each point to a height from {line.span[0]:g} to {line.span[1]:g} first, then bet."
    if all(height == line.span[0] for height in drawn):
        return False, False, "Draw a line first: move each point to the height that you expect, then bet."
    off = [own - true for own, true in zip(drawn, line.answer, strict=True)]
    place = max(range(len(off)), key=lambda one: abs(off[one]))
    if abs(off[place]) <= line.near:
        return True, True, f"Right: your line is within {line.near:g} {line.height_unit} of the answer everywhere."
    side = "high" if off[place] > 0.0 else "low"
    nearly = "Nearly. " if abs(off[place]) <= 2.0 * line.near else ""
    words = (
        f"{nearly}Your line is too {side} by up to {abs(off[place]):.0f} {line.height_unit}, at "
        f"{line.place_words(place)}."
    )
    return True, False, words + _habit(line, drawn)


def _habit(line: Line, drawn: tuple[float, ...]) -> str:
    def apart(other: tuple[float, ...]) -> float:
        return max(abs(one - two) for one, two in zip(drawn, other, strict=True))

    near = [(apart(heights), words) for heights, words in line.habits if apart(heights) <= line.near]
    if not near or min(near)[0] >= apart(line.answer):
        return ""
    return f" The usual mistake: {min(near)[1]}."
