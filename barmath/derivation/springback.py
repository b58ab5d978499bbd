"""Why a bent tube opens: one law, for a flat sheet and for a round tube.

A bend on the die has the curvature 1/R_die and is held there by the moment M of its yielded section. Let go, it unloads
along a straight line of slope E I: 1/R_die - 1/R = M/(E I). What differs between a sheet and a tube is only M and I.
"""

from __future__ import annotations

import sympy as sp

from barmath.derivation.steps import Step, step

Y, E, T, R_i, X = sp.symbols("Y E T R_i X", positive=True)
"""Yield stress, elastic modulus (MPa), thickness of a sheet, radius on the die (mm), and X = Y R_i/(E T)."""

D, d, R_die, k = sp.symbols("D d R_die k", positive=True)
"""Outside and inside diameter of a tube, radius on the die (mm), springback ratio."""


def sheet_moment() -> Step:
    """Moment of a bent sheet, for each mm of its width: yielded outside, elastic in a core of half height Y R_i/E.

    M = 2 (integral of (E y/R_i) y over the core + integral of Y y beyond it) = Y (T^2/4 - c^2/3)
    """
    y, core = sp.symbols("y c", positive=True)
    inside = sp.integrate(E * y / R_i * y, (y, 0, core))
    outside = sp.integrate(Y * y, (y, core, T / 2))
    return step("moment of a sheet", sp.Symbol("M"), sp.expand((2 * (inside + outside)).subs(core, Y * R_i / E)))


def sheet_ratio() -> Step:
    """R_i/R_f of a sheet by the unloading law, in X: the cubic of sheet metal, 4 X^3 - 3 X + 1."""
    stiffness = E * T**3 / 12
    ratio = 1 - R_i * sheet_moment().right / stiffness
    return step(
        "radius ratio of a sheet", sp.Symbol("R_i") / sp.Symbol("R_f"), sp.expand(ratio.subs(R_i, X * E * T / Y))
    )


def tube_moment() -> Step:
    """Fully plastic moment of a tube: Y (D^3 - d^3)/6, twice the moment of the upper half about the axis."""
    r, t = sp.symbols("r t", positive=True)
    upper = sp.integrate(sp.integrate(r * sp.sin(t) * r, (t, 0, sp.pi)), (r, d / 2, D / 2))
    return step("fully plastic moment", sp.Symbol("M"), sp.factor(2 * Y * upper))


def tube_ratio() -> Step:
    """K = M R_die/(E I) of a tube once its whole section yields, I = pi (D^4 - d^4)/64."""
    second_moment = sp.pi * (D**4 - d**4) / 64
    return step("springback ratio", k, sp.simplify(tube_moment().right * R_die / (E * second_moment)))
