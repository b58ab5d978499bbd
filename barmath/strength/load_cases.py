"""The loads that the standard for bicycles puts on a handlebar, each with the source of its value.

They are used here to check a bar on paper. The test itself is made on a machine, on a finished bar in its stem.
"""

from __future__ import annotations

from barmath.fields import frozen, passing
from barmath.refusal import BendError, checked_single

SCREENED_ONLY = (
    "Checked on paper only: test to the standard; licensed practice and local rules decide. Never ride on a number."
)
"""Written on every view of what a bar might bear."""

MOUNTAIN_ONLY = "The loads are those of a mountain bike only: other bicycles have tests of their own."
"""Written beside it."""

FROM_END_MM = 50.0
"""The loads act this far from the end of the bar: ISO 4210-5, 4.3 and 4.9 (read in TBIS 4210-5:2016)."""

MOST_SET_MM = 15.0
"""Permanent set allowed at the load in the lateral test, without a crack: TBIS 15194:2019, 4.3.6.6.1; ISO 4210-2,
4.7.6.2, from memory. Nothing here works out a permanent set."""

MOST_FORCE_N = 20_000.0  # far above any load of the standard
MOST_COUPLE_NM = 2_000.0  # likewise


def _checked_load(name: str, load: object, unit: str, most: float) -> float:
    return checked_single(name, load, unit, least=-most, most=most)


@frozen
class LoadCase:
    """Loads on the two sides of a bar.

    Parameters
    ----------
    name : str
    right_n, left_n : number, -20000..20000
        Force at 50 mm from the right and from the left end of the bar, positive downward. A tilted load is along the
        tilt.
    couple_nm : number, -2000..2000
        Turning about the clamp axis that each side carries besides, N m.
    cycles : number, at least 1
        How often the test repeats it; 1 for a load that is put on once.
    source : str
        Where the values come from, and whether they were seen.

    Raises
    ------
    BendError
        A load is not a number in its range. Nothing is loaded.
    """

    name: str
    right_n: float = passing(_checked_load, "force on the right", unit="N", most=MOST_FORCE_N, default=0.0)
    left_n: float = passing(_checked_load, "force on the left", unit="N", most=MOST_FORCE_N, default=0.0)
    couple_nm: float = passing(
        _checked_load, "turning moment about the clamp axis", unit="N m", most=MOST_COUPLE_NM, default=0.0
    )
    cycles: float = passing(checked_single, "cycles", least=1.0, default=1.0)
    source: str = ""

    def _check_together(self) -> None:
        if not (self.right_n or self.left_n or self.couple_nm):
            raise BendError("a load case must load the bar, got no force and no turning: give one of them")


LATERAL = LoadCase(
    "lateral bending",
    right_n=1000.0,
    source="ISO 4210-5 4.3, table 2, mountain bicycle: 1000 N on one side, held 1 min (read in TBIS 4210-5:2016); its "
    "direction from memory",
)
TORSION = LoadCase(
    "turning in the stem",
    couple_nm=40.0,
    source="ISO 4210-5 4.5, table 4, mountain bicycle: 80 N m between bar and stem (read in TBIS 4210-5:2016); shared "
    "by the two sides as a pure couple, from memory",
)
FATIGUE_OUT_OF_PHASE = LoadCase(
    "fatigue, out of phase",
    right_n=270.0,
    left_n=-270.0,
    cycles=100_000.0,
    source="ISO 4210-5 4.9, mountain bicycle: 100 000 cycles, one side down while the other goes up (method read in "
    "TBIS 4210-5:2016); 270 N from memory",
)
FATIGUE_IN_PHASE = LoadCase(
    "fatigue, in phase",
    right_n=450.0,
    left_n=450.0,
    cycles=100_000.0,
    source="ISO 4210-5 4.9, mountain bicycle: 100 000 cycles, both sides together (method read in TBIS 4210-5:2016); "
    "450 N from memory",
)
LOAD_CASES = (LATERAL, TORSION, FATIGUE_OUT_OF_PHASE, FATIGUE_IN_PHASE)
"""The load cases of ISO 4210-5 for a mountain bicycle."""
