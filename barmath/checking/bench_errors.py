"""How far the tools at the bench are off from one bend to the next."""

from __future__ import annotations

from barmath.fields import frozen, passing
from barmath.refusal import checked_choice, checked_single

STOP, FINDER, MARK = "stop", "angle finder", "mark"
TOOLS = (STOP, FINDER, MARK)


@frozen
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

    Raises
    ------
    BendError
        An error is no number or is outside its range.
    """

    stop_deg: float = passing(checked_single, "error of the stop", unit="deg", least=0.0, most=10.0, default=0.3)
    finder_deg: float = passing(
        checked_single, "error of the angle finder", unit="deg", least=0.0, most=10.0, default=0.2
    )
    mark_mm: float = passing(checked_single, "error of a mark", unit="mm", least=0.0, most=50.0, default=0.5)

    def of(self, tool: str) -> float:
        """The error of one of `TOOLS`, degrees or mm. It raises BendError for another tool."""
        return {STOP: self.stop_deg, FINDER: self.finder_deg, MARK: self.mark_mm}[checked_choice("tool", tool, TOOLS)]


USUAL_ERRORS = BenchErrors()
"""The usual slips of a bench: common practice, no source."""
