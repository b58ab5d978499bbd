"""How far the tools at the bench are off from one bend to the next."""

from __future__ import annotations

from dataclasses import dataclass

from barmath.refusal import checked_choice, checked_single

STOP, FINDER, MARK = "stop", "angle finder", "mark"
TOOLS = (STOP, FINDER, MARK)


@dataclass(frozen=True)
class BenchErrors:
    """How far off a tool is from one bend to the next, one standard deviation; what all bends share is not counted.

    Parameters
    ----------
    stop_deg : number, at least 0
        Between one bend and another at the same stop.
    finder_deg : number, at least 0
        Of one reading of the angle finder, with the play of tube and hook.
    mark_mm : number, at least 0
        Of one line, with its lining up at the die's edge.
    """

    stop_deg: float = 0.3
    finder_deg: float = 0.2
    mark_mm: float = 0.5

    def __post_init__(self) -> None:
        checked_single("error of the stop", self.stop_deg, "deg", least=0.0, most=10.0)
        checked_single("error of the angle finder", self.finder_deg, "deg", least=0.0, most=10.0)
        checked_single("error of a mark", self.mark_mm, "mm", least=0.0, most=50.0)

    def of(self, tool: str) -> float:
        """The error of one of `TOOLS`, degrees or mm; raises BendError for another tool."""
        return {STOP: self.stop_deg, FINDER: self.finder_deg, MARK: self.mark_mm}[checked_choice("tool", tool, TOOLS)]


USUAL_ERRORS = BenchErrors()
"""The usual slips of a bench: common practice, no source."""
