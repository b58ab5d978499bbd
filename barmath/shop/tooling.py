"""The die, what it needs of a tube, and how far a bent tube springs back."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmath.fields import frozen, passing
from barmath.refusal import BendError, Number, check_shapes, checked, refuse_where
from barmath.shop.stock import Tube

MOST_SPRINGBACK = 0.999
"""Share k beyond which hardly any bend remains; at 1 the tube springs back straight."""

USUAL_BENDS_DEG = tuple(np.arange(10.0, 45.1, 2.5))
"""Stop settings tried where the shop names none: every 2.5 degrees, as finished angles."""


@frozen
class Die:
    """A bending die on the shop's rotary-draw bender.

    Parameters
    ----------
    centerline_radius_mm : number or array, above 0
        Radius of the groove's centre line; the finished tube, once sprung back, has a little more.
    least_straight_mm : number or array, at least 0
        Shortest straight that hook and follower can hold next to a bend.
    line_up_offset_mm : number or array, -500..500
        How far the true tangent point is ahead of the reference edge, toward the free end; measured once.
    largest_bend_deg : number or array, above 0, at most 180
        Furthest setting of the stop.
    stop_offset_deg : number or array, -10..10
        How much further the stop must be set than the tube is bent on the die: play of stop and hook.
    tube_diameter_mm : number, or None
        The tube its groove is cut for; None where it was not noted.
    groove_depth_mm : number above 0, or None
        From the rim of the die in to the bottom of its groove; None: half the tube.
    rim_height_mm : number above 0, or None
        From the middle of the tube in the groove up to the upper face of the rim; None: one tube diameter.
    springback_ratio : number in 0..1, or None
        k measured by the shop: angle kept = (1 - k) angle on the die. None: worked out from the tube.
    name : str

    Raises
    ------
    BendError
        A field is no number or is outside its range.
    """

    centerline_radius_mm: Number = passing(checked, "die radius", unit="mm", above=0.0)
    least_straight_mm: Number = passing(checked, "least straight", unit="mm", least=0.0, default=65.0)
    line_up_offset_mm: Number = passing(checked, "line-up offset", unit="mm", least=-500.0, most=500.0, default=0.0)
    largest_bend_deg: Number = passing(checked, "largest bend", unit="deg", above=0.0, most=180.0, default=90.0)
    tube_diameter_mm: float | None = passing(checked, "tube diameter of the die", unit="mm", above=0.0, default=None)
    springback_ratio: Number | None = passing(checked, "springback ratio", least=0.0, below=1.0, default=None)
    name: str = ""
    stop_offset_deg: Number = passing(checked, "stop offset", unit="deg", least=-10.0, most=10.0, default=0.0)
    groove_depth_mm: float | None = passing(checked, "groove depth of the die", unit="mm", above=0.0, default=None)
    rim_height_mm: float | None = passing(checked, "rim height of the die", unit="mm", above=0.0, default=None)

    def as_bent(self, radius_mm: float, bend_deg: float, stop_deg: float) -> Die:
        """The die as it was for a bar that is begun or bent: by its finished radius, one of its bends, and its stop.

        Raises BendError where the bar is tighter than the die.
        """
        longer = radius_mm / float(self.centerline_radius_mm)
        if longer < 1.0:
            raise BendError(
                f"die radius of {self.name} must be at most the {radius_mm:.1f} mm that the bar was bent to, "
                f"got {self.centerline_radius_mm:.1f} mm: put the die that it was bent on into the shop's file"
            )
        return replace(self, springback_ratio=1.0 - 1.0 / longer, stop_offset_deg=stop_deg - bend_deg * longer)


@frozen
class Springback:
    """How a tube opens when it leaves the die: 1/R_die - 1/R = M/(E I), so with k = M R_die/(E I)

        R = R_die/(1 - k),   finished angle = (1 - k) angle on the die,

    and the length of the arc does not change. Derived in `barmath.derivation.springback`.

    Raises
    ------
    BendError
        The ratio is not in 0..1, or the die's radius is not above 0 mm.
    """

    ratio: Number = passing(
        checked,
        "springback ratio",
        least=0.0,
        below=1.0,
        remedy=(
            "measure it again, because no tube bends further by itself",
            "choose a tighter die or a softer tube, or no bend would remain",
        ),
    )
    die_radius_mm: Number = passing(checked, "die radius", unit="mm", above=0.0)

    @property
    def finished_radius_mm(self) -> Number:
        """Centre-line radius once sprung back, mm."""
        return self.die_radius_mm / (1.0 - self.ratio)

    def die_bend_deg(self, finished_deg: Number) -> Number:
        """Angle to bend to on the die so that `finished_deg` remains. It raises BendError outside 0..180 deg."""
        finished = checked("bend", finished_deg, "deg", least=0.0, most=180.0)
        check_shapes("bend and springback", finished, self.ratio)
        return finished / (1.0 - self.ratio)

    def finished_bend_deg(self, die_deg: Number) -> Number:
        """Angle that remains of `die_deg` on the die, degrees. It raises BendError below 0."""
        bend = checked("bend on the die", die_deg, "deg", least=0.0)
        check_shapes("bend and springback", bend, self.ratio)
        return bend * (1.0 - self.ratio)


def springback_from_tube(tube: Tube, die: Die, yield_mpa: Number | None = None) -> Springback:
    """Springback of `tube` on `die`: the ratio the shop has measured, or else the theory's.

    The theory takes the fully plastic moment M = yield (D^3 - d^3)/6 and elastic unloading, k = M R_die/(E I). It is
    derived in `barmath.derivation.springback`. The elastic core changes M by less than 0.03 %. Expect the bench to
    differ by tens of per cent of k (common practice, no source), so measure.

    Parameters
    ----------
    tube : Tube
    die : Die
    yield_mpa : number or array, optional
        Yield stress instead of the material's nominal one; with it the theory is used even where the die has a
        measured ratio.

    Returns
    -------
    Springback

    Raises
    ------
    BendError
        The die's radius is no more than the tube's own, or the tube would spring back straight.

    Examples
    --------
    >>> from barmath.shop import Die, Tube, springback_from_tube
    >>> springback = springback_from_tube(Tube(22.225, 1.651), Die(101.6))
    >>> print(f"{springback.ratio:.4f}, {springback.finished_radius_mm:.1f} mm")
    0.0324, 105.0 mm
    """
    check_die_takes_tube(tube, die)
    if die.springback_ratio is not None and yield_mpa is None:
        return Springback(die.springback_ratio, die.centerline_radius_mm)
    per_mm = springback_per_mm(tube, yield_mpa)
    check_shapes("tube, die and yield", per_mm, die.centerline_radius_mm)
    return Springback(per_mm * die.centerline_radius_mm, die.centerline_radius_mm)


def springback_per_mm(tube: Tube, yield_mpa: Number | None = None) -> Number:
    """Springback ratio by theory for each millimetre of the die's radius, M/(E I); unchecked, as no die is known."""
    return tube.plastic_moment_nm(yield_mpa) * 1e3 / (tube.material.elastic_modulus_mpa * tube.second_moment_mm4)


def check_die_takes_tube(tube: Tube, die: Die) -> None:
    """Raise BendError where the die's centre-line radius is no more than the tube's radius.

    Parameters
    ----------
    tube : Tube
    die : Die

    Examples
    --------
    >>> from barmath.shop import Die, Tube, check_die_takes_tube
    >>> check_die_takes_tube(Tube(22.225, 1.651), Die(101.6))  # it does: nothing is raised
    """
    check_shapes("tube and die", tube.outside_diameter_mm, tube.wall_mm, die.centerline_radius_mm)
    refuse_where(
        np.asarray(die.centerline_radius_mm) <= np.asarray(tube.outside_diameter_mm) / 2.0,
        "die radius must be above half the tube's diameter of {diameter} mm, got {radius} mm",
        remedy="measure the radius to the tube's centre line",
        diameter=tube.outside_diameter_mm,
        radius=die.centerline_radius_mm,
    )
