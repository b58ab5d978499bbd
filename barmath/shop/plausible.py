"""Values in a file that can hardly be meant, and what was probably meant instead.

The bounds are wide: a shop that bends handlebars has values inside them (common practice, no source).
Beyond them a unit was most likely left out or a point was slipped, and the refusal says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import NamedTuple

from barmath.arrays import RADIAN
from barmath.lengths import MM_PER_INCH
from barmath.refusal import plain
from barmath.shop.stock import PSI

IF_MEANT = "if you mean that"
"""How a refusal with a guess in it ends."""


class Guess(NamedTuple):
    """What may have been meant: the value it gives, and how it would be written, both from the number written."""

    value: Callable[[float], float]
    written: Callable[[float], str]


class Plausible(NamedTuple):
    """What a quantity is called, the range that may be meant, and the words for values outside it."""

    name: str
    unit: str
    least: float
    most: float
    too_small: str
    too_large: str
    guesses: tuple[Guess, ...] = ()


def _scaled(factor: float, pattern: str = "{:g}") -> Guess:
    return Guess(lambda number: number * factor, lambda number: pattern.format(number * factor))


_INCHES = Guess(lambda number: number * MM_PER_INCH, lambda number: f'"{number:g} in"')
_LENGTHS = (_INCHES, _scaled(10.0), _scaled(1000.0), _scaled(0.1), _scaled(0.01))
# a bare number that is too small or too large in mm: meant in inches, cm or m, or with a slipped point
_FROM_INCHES = (Guess(lambda number: number, lambda number: f"{number:g}"), _scaled(0.1, '"{:g} in"'))
# a number written with the sign of the inch: meant in mm, or with a slipped point

_STRESSES = (  # meant in ksi, psi or GPa
    Guess(lambda number: number * 1e3 * PSI, lambda number: f"{number * 1e3 * PSI:.0f} ({number:g} ksi)"),
    Guess(lambda number: number * PSI, lambda number: f"{number * PSI:.0f} ({number:g} psi)"),
    Guess(lambda number: number * 1e3, lambda number: f"{number * 1e3:.0f} ({number:g} GPa)"),
)
_PER_CENT = Guess(lambda number: number / 100.0, lambda number: f"{number / 100.0:g} ({number:g} %)")
_KEPT = (  # the part that a bend keeps instead of what it loses: as a share of 1, and in per cent
    Guess(
        lambda share: 1.0 - share if share < 1.0 else math.nan,  # a whole 1 is rather one per cent
        lambda share: f"{1.0 - share:g} (a bend keeps {share:g} of its angle)",
    ),
    _PER_CENT,
    Guess(lambda share: 1.0 - share / 100.0, lambda share: f"{1.0 - share / 100.0:g} (a bend keeps {share:g} %)"),
)
_NO_UNIT = (_scaled(MM_PER_INCH, "{:.1f}"),)  # a length in a line that takes no unit, meant in inches
_RADIANS = (Guess(lambda number: number / RADIAN, lambda number: f"{number / RADIAN:.0f}"),)


def _length(name: str, least: float, most: float, of: str, words: tuple[str, str] = ("less", "more")) -> Plausible:
    return Plausible(name, "mm", least, most, f"{words[0]} than any {of}", f"{words[1]} than any {of}", _LENGTHS)


def _reach(name: str) -> Plausible:
    return _length(name, 5.0, 4000.0, "bender has", ("shorter", "longer"))


_STRENGTH = ("softer than any tube", "stronger than any tube", _STRESSES)

PLAUSIBLE: Mapping[str, Plausible] = {
    "tube.outside_diameter": _length("outside diameter", 8.0, 80.0, "tube of a handlebar", ("thinner", "thicker")),
    "tube.wall": Plausible("wall", "mm", 0.3, 8.0, "thinner than any tube", "thicker than any tube", (_INCHES,)),
    "die.centerline_radius": _length("centre-line radius", 15.0, 600.0, "die", ("smaller", "larger")),
    "die.least_straight": _length("least straight", 5.0, 400.0, "die needs", ("shorter", "longer")),
    "die.line_up_offset": Plausible(
        "line-up offset", "mm", -100.0, 100.0, "further off than any die", "further off than any die",
        (_scaled(0.1), _scaled(0.01)),
    ),
    "die.tube_diameter": _length("tube diameter", 8.0, 80.0, "tube of a handlebar", ("thinner", "thicker")),
    "die.largest_bend_deg": Plausible(
        "largest bend", "deg", 5.0, 180.0, "less than any bender reaches", "more than any bender reaches", _RADIANS,
    ),
    "die.springback_ratio": Plausible(
        "springback ratio", "", 0.0, 0.5, "less than any tube springs back", "more than any tube springs back", _KEPT,
    ),
    "calibration.ratio": Plausible(
        "ratio of the calibration", "", 0.0, 0.5, "less than any tube springs back", "more than any tube springs back",
        _KEPT,
    ),
    "calibration.radius_mm": Plausible(
        "radius of the calibration", "mm", 15.0, 1000.0, "smaller than any die", "larger than any die", _NO_UNIT,
    ),
    "tube.tightest_in_diameters": Plausible(
        "tightest bend in diameters", "", 1.0, 12.0, "tighter than any tube bends", "gentler than any tube needs",
        (_scaled(0.1),),
    ),
    "accepted.rise": _length("accepted rise", 0.5, 15.0, "bench reads", ("finer", "coarser")),
    "accepted.rock": _length("accepted rocking", 0.5, 15.0, "bench reads", ("finer", "coarser")),
    **{f"accepted.{key}_deg": Plausible(
        f"accepted {key}", "deg", least, most, "finer than any bench reads", "coarser than any bench reads", _RADIANS)
       for key, least, most in (("sweep", 0.1, 5.0), ("roll", 0.1, 10.0))},
    "accepted.touch_share": Plausible(
        "share worth a touch", "", 0.1, 1.0, "less than any builder touches", "more than all that is accepted",
        (_PER_CENT,),
    ),
    "accepted.heat_deg": Plausible(
        "closing by heat", "deg", 0.0, 3.0, "less than any heat closes", "more than any heat closes", (_scaled(0.1),),
    ),
    "stock.longest": _length("longest stock", 300.0, 10_000.0, "tube in a rack", ("shorter", "longer")),
    "stem.width": _length("width of the stem", 15.0, 120.0, "stem", ("narrower", "wider")),
    "material.elastic_modulus_mpa": Plausible(
        "elastic modulus", "MPa", 10_000.0, 500_000.0, "softer than any metal", "stiffer than any metal", _STRESSES[1:],
    ),
    "material.density_kg_m3": Plausible(
        "density", "kg/m3", 1000.0, 25_000.0, "lighter than any metal", "heavier than any metal",
        (_scaled(1000.0), _scaled(0.1)),
    ),
    **{f"material.{key}_mpa": Plausible(name, "MPa", 30.0, 3000.0, *_STRENGTH)
       for key, name in (("yield", "yield"), ("yield_low", "low end of the yield"),
                         ("yield_high", "high end of the yield"), ("tensile", "tensile strength"))},
    "material.elongation_percent": Plausible(
        "elongation", "%", 1.0, 100.0, "more brittle than any tube", "more than any tube stretches", (_scaled(100.0),),
    ),
    **{f"bender.{key}": _reach(name) for key, name in (
        ("hook", "straight tube for the hook"), ("follower", "straight tube for the follower"),
        ("finder_foot", "foot of the angle finder"),
        *((f"{what}_below", f"distance to the {what} below") for what in ("table", "floor", "frame")),
        *((f"{what}_reach", f"reach of the {what}") for what in ("table", "frame", "handle")))},
    "order.rise": _length("rise", 3.0, 350.0, "handlebar", ("lower", "higher")),
    "order.width": _length("width", 350.0, 1100.0, "handlebar", ("narrower", "wider")),
    "order.clamp_flat": _length("clamp flat", 15.0, 200.0, "handlebar has", ("shorter", "longer")),
    "order.controls": _length("controls", 20.0, 400.0, "handlebar needs", ("less room", "more room")),
    "order.backsweep": Plausible(
        "backsweep", "deg", -30.0, 80.0, "further forward than any handlebar", "more than any handlebar",
        (_scaled(0.1),),
    ),
    "order.upsweep": Plausible(
        "upsweep", "deg", -30.0, 45.0, "further down than any handlebar", "more than any handlebar", (_scaled(0.1),),
    ),
}  # fmt: skip
"""By table and key of a shop's file or a list of orders."""


def question(key: str, value: float, written: object = None) -> str:
    """What to say of a value that can hardly be meant; empty where it may be.

    Parameters
    ----------
    key : str
        One of `PLAUSIBLE`; any other is never questioned.
    value : number
        In the unit of the quantity; none above 0 is needed, because impossible values are refused elsewhere.
    written : optional
        As it was written, for example `"0.049 mm"`.

    Returns
    -------
    str

    Examples
    --------
    >>> question("tube.wall", 0.049)
    'wall must be in the usual range, got 0.049 mm, thinner than any tube: write "0.049 in" if you mean that'
    >>> question("tube.wall", 1.245)
    ''
    """
    known = PLAUSIBLE.get(key)
    if known is None or known.least <= value <= known.most or (value <= 0.0 <= known.least):
        return ""
    inches = isinstance(written, str) and ("in" in written or '"' in written)
    number, guesses = (value / MM_PER_INCH, _FROM_INCHES) if inches else (value, known.guesses)
    meant = [guess.written(number) for guess in guesses if known.least <= guess.value(number) <= known.most]
    words = known.too_small if value < known.least else known.too_large
    unit = f" {known.unit}" if known.unit else ""
    asked = f"write {meant[0]} {IF_MEANT}" if meant else "check the number and its unit"
    return f"{known.name} must be in the usual range, got {plain(value)}{unit}, {words}: {asked}"
