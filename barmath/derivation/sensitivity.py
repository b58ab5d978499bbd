"""What a slip at the bench does to the bar: derivatives of its measures.

At the bench the pencil marks, which are the two ends of the riser, and the cut tube are fixed. A degree more of bend
then takes its arc, R times the angle, out of the straight away from the hook: of an inner bend out of the clamp flat,
of an outer one out of the grip. Moving a mark lengthens one straight and shortens its neighbour.
"""

from __future__ import annotations

from functools import cache

import sympy as sp

from barmath.derivation.forward import clamp_reading, measures
from barmath.derivation.steps import R, Step, a, b, c, g, phi, psi, s, step

inner_mark, outer_mark, end = sp.symbols("inner_mark outer_mark end", positive=True)
"""Where the riser begins and ends and where the tube ends, mm from the middle of the straight tube."""

SLIPS = {
    a: "inner bend",
    b: "outer bend",
    phi: "roll",
    psi: "stem roll",
    R: "centre-line radius",
    inner_mark: "inner mark, outward",
    outer_mark: "outer mark, outward",
    end: "tube at this end",
}
"""What can slip, in words."""

RECIPE = (a, b, phi, psi, R, c, s, g)
"""Symbols that a sensitivity is a function of."""

STRAIGHTS = {c: inner_mark - R * a, s: outer_mark - inner_mark, g: end - outer_mark - R * b}
"""The straights that the marks leave."""


def measure_names() -> tuple[str, ...]:
    """The measures that have sensitivities."""
    return tuple(_measured())


@cache
def sensitivity(measure: str, slip: sp.Symbol) -> Step:
    """Change of a measure per unit of a slip, with all other slips zero.

    Parameters
    ----------
    measure : "rise", "setback", "half_width", "backsweep", "upsweep" or "clamp_reading"
    slip : one of `SLIPS`

    Returns
    -------
    Step
        Right side: a function of `RECIPE`, in mm or radians per mm or radian. Half width is that of the side that
        slipped. Both angles are those of a bend that ends at the riser and keeps its mark there.
    """
    form = _measured()[measure]
    through_straights = sum(form.diff(straight) * left.diff(slip) for straight, left in STRAIGHTS.items())
    slope = form.diff(slip) + through_straights
    return step(f"{measure} per {slip}", sp.Derivative(sp.Symbol(measure), slip), slope)


@cache
def _measured() -> dict[str, sp.Expr]:
    forms = {name: form.right for name, form in measures().items() if name != "cut_length"}
    tangents = {name: sp.atan(forms.pop(name)) for name in ("backsweep", "upsweep")}
    return {**forms, **tangents, "clamp_reading": sp.asin(clamp_reading().right)}
