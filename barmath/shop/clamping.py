"""How the bar is clamped: tube against stem and controls, clamp flat against the stem's width."""

from __future__ import annotations

from dataclasses import dataclass

from barmath.closed_forms.records import check_single
from barmath.refusal import Number, check_shapes, checked, checked_single, plain
from barmath.shop.stock import Tube

STEM_CLAMPS_MM = (22.2, 25.4, 31.8, 35.0)
"""Bar diameters that stems clamp: sizes in common use (ISO 6699 and JIS D 9412; clauses from memory)."""

GRIP_DIAMETER_MM = 22.2
"""Bar diameter that rubber grips, levers and shifters are made for: common use, as above."""

SLIP_FIT_MM = 0.15
"""Difference that still counts as the same size (22.2 against 7/8 in = 22.225): common practice, no source."""

_UPRIGHT_DEG = 0.05
"""Stem rolls below it show as 0.0."""


@dataclass(frozen=True)
class StemFit:
    """How a tube sits in one size of stem clamp."""

    clamp_mm: float
    fits: bool
    shim_wall_mm: float

    @property
    def sentence(self) -> str:
        """The same in words."""
        if not self.fits:
            return f"{self.clamp_mm} mm stem: the tube is too thick"
        shim = f"with a shim of {self.shim_wall_mm:.1f} mm wall" if self.shim_wall_mm else "without a shim"
        return f"{self.clamp_mm} mm stem: fits {shim}"


def stem_fits(tube: Tube) -> tuple[StemFit, ...]:
    """How `tube` (one, no arrays) sits in each usual stem clamp: straight in, with a shim, or not at all.

    Raises
    ------
    BendError
        The tube holds arrays: take one tube at a time.

    Examples
    --------
    >>> from barmath.shop import Tube, stem_fits
    >>> tube = Tube(outside_diameter_mm=22.225, wall_mm=1.651)
    >>> stem_fits(tube)[1].sentence
    '25.4 mm stem: fits with a shim of 1.6 mm wall'
    """
    check_single(tube)
    return tuple(_stem_fit(float(tube.outside_diameter_mm), clamp) for clamp in STEM_CLAMPS_MM)


def controls_fit(tube: Tube) -> bool:
    """Whether rubber grips and controls for 22.2 mm go on `tube` (one, no arrays).

    Raises
    ------
    BendError
        The tube holds arrays: take one tube at a time.

    Examples
    --------
    >>> from barmath.shop import Tube, controls_fit
    >>> controls_fit(Tube(outside_diameter_mm=22.225, wall_mm=1.651))
    True
    """
    check_single(tube)
    return abs(float(tube.outside_diameter_mm) - GRIP_DIAMETER_MM) <= SLIP_FIT_MM


def clamp_flat_spare_mm(clamp_flat_mm: Number, stem_width_mm: Number) -> Number:
    """Flat left beyond the stem on each side, mm; below 0 the stem would sit on the bends.

    Parameters
    ----------
    clamp_flat_mm, stem_width_mm : number or array, above 0

    Raises
    ------
    BendError
        A length is not above 0 mm, or the shapes of the two do not fit together.

    Examples
    --------
    >>> from barmath.shop import clamp_flat_spare_mm
    >>> clamp_flat_spare_mm(60, 45)
    7.5
    """
    flat = checked("clamp flat", clamp_flat_mm, "mm", above=0.0)
    width = checked("stem width", stem_width_mm, "mm", above=0.0)
    check_shapes("clamp flat and stem width", flat, width)
    return (flat - width) / 2.0


def clamping_warnings(tube: Tube, clamp_flat_mm: float, stem_width_mm: float | None = None) -> list[str]:
    """What a builder should know before clamping a bar of `tube`: one sentence each, none where all is well.

    Parameters
    ----------
    tube : Tube
    clamp_flat_mm : number above 0
    stem_width_mm : number above 0, optional
        None: it is not known, and nothing is said of it.

    Raises
    ------
    BendError
        The tube holds arrays. The stem's width is given, and a length is not one number above 0 mm.

    Examples
    --------
    >>> from barmath.shop import Tube, clamping_warnings
    >>> tube = Tube(outside_diameter_mm=22.225, wall_mm=1.651)
    >>> clamping_warnings(tube, clamp_flat_mm=60, stem_width_mm=45)
    []
    """
    found = []
    if not any(fit.fits for fit in stem_fits(tube)):
        found.append(
            f"tube diameter must suit a stem clamp of {', '.join(map(str, STEM_CLAMPS_MM))} mm, "
            f"got {plain(tube.outside_diameter_mm)} mm: choose a thinner tube"
        )
    if not controls_fit(tube):
        found.append(
            f"tube diameter must be {GRIP_DIAMETER_MM} mm for rubber grips and controls, "
            f"got {plain(tube.outside_diameter_mm)} mm: check what the rider will fit to it"
        )
    if stem_width_mm is not None:
        flat = checked_single("clamp flat", clamp_flat_mm, "mm", above=0.0)
        if clamp_flat_spare_mm(flat, checked_single("stem width", stem_width_mm, "mm", above=0.0)) < 0.0:
            found.append(
                f"clamp flat must be at least {plain(stem_width_mm)} mm, the width of the stem, "
                f"got {plain(clamp_flat_mm)} mm: "
                "order a longer flat or choose a narrower stem"
            )
    return found


def _stem_fit(diameter: float, clamp: float) -> StemFit:
    gap = clamp - diameter
    return StemFit(clamp, gap >= -SLIP_FIT_MM, gap / 2.0 if gap > SLIP_FIT_MM else 0.0)


def stem_roll_way(stem_roll_deg: float) -> str:
    """To which side the tops of the risers lean with a stem roll: "rearward", "forward", or "" for upright.

    Raises
    ------
    BendError
        The stem roll is not one number from -180 to 180 deg.

    Examples
    --------
    >>> stem_roll_way(12.0), stem_roll_way(-3.0), stem_roll_way(0.0)
    ('rearward', 'forward', '')
    """
    roll = checked_single("stem roll", stem_roll_deg, "deg", least=-180.0, most=180.0)
    if abs(roll) < _UPRIGHT_DEG:
        return ""
    return "rearward" if roll > 0.0 else "forward"
