"""What a bend is made with: the die on the bender, and what the tube does on that die."""

from __future__ import annotations

from barmath.fields import frozen, passing
from barmath.refusal import checked_single
from barmath.shop.bender import Bender
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, Springback, springback_from_tube


@frozen
class Setup:
    """A die on a bender, with a tube laid in: what everything that looks at a bend being made needs to know.

    Of the tube only two things matter at the bender: how thick it is, and how far it springs back.

    Parameters
    ----------
    tube_diameter_mm : number, above 0
        Outside diameter.
    die : Die
    springback : Springback
        Of the tube on the die.
    bender : Bender

    Raises
    ------
    BendError
        The tube's diameter is not one number above 0.
    """

    tube_diameter_mm: float = passing(checked_single, "tube diameter", unit="mm", above=0.0)
    die: Die
    springback: Springback
    bender: Bender = Bender()


def setup_from_tube(tube: Tube, die: Die, bender: Bender = Bender()) -> Setup:
    """`tube` on `die` in `bender`, with the springback that `springback_from_tube` gives.

    Parameters
    ----------
    tube : Tube
        Single, no arrays.
    die : Die
    bender : Bender

    Raises
    ------
    BendError
        The tube holds arrays, or the die's radius is no more than the tube's own. The tube would spring back straight.

    Examples
    --------
    >>> from barmath.shop import Die, Tube, setup_from_tube
    >>> setup = setup_from_tube(Tube(22.225, 1.651), Die(101.6))
    >>> print(f"{setup.tube_diameter_mm} mm tube, {setup.springback.finished_radius_mm:.1f} mm radius once sprung back")
    22.225 mm tube, 105.0 mm radius once sprung back
    """
    return Setup(tube.outside_diameter_mm, die, springback_from_tube(tube, die), bender)
