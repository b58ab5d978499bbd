"""The special cases: the flat offset of the electrician, and the habit of setting the angle finder to the sweep."""

from __future__ import annotations

import sympy as sp

from barmath.derivation.forward import clamp_reading, corner_points, grip_direction, legs, tangent_points
from barmath.derivation.inverse import equal_bends_direction
from barmath.derivation.steps import R, Step, a, b, beta, kappa, phi, rise, s, step

# ---- the flat offset: no roll, equal bends


def flat_offset() -> Step:
    """Without roll the outer bend undoes the inner one: the grip is level and the rise is that of an offset bend."""
    up = sp.expand(sp.simplify(tangent_points()[-1].right[2].subs({phi: 0, b: a})))
    one_arc = sp.expand(up.coeff(R) / 2)
    return step("Rise of a flat offset", rise, 2 * R * one_arc + s * up.coeff(s))


def offset_spacing() -> Step:
    """From where the first bend starts to where the second starts, along the tube: an arc and the straight."""
    up = flat_offset().right
    straight = (rise - up.subs(s, 0)) / up.coeff(s)
    return step("From mark to mark", R * a + s, R * a + straight)


def offset_multiplier() -> Step:
    """Corner to corner along the riser, per unit of rise: the cosecant."""
    return step("Multiplier", _riser_leg() / rise, sp.simplify(_riser_leg() / _offset_rise()).rewrite(sp.csc))


def offset_shrink() -> Step:
    """How much nearer the end comes, per unit of rise: corner to corner, less the length of its shadow on the tube."""
    lost = _riser_leg() - _riser_leg() * sp.cos(a)
    return step("Shrink per unit of rise", sp.simplify(lost / _offset_rise()), sp.tan(a / 2))


def offset_gain() -> Step:
    """Tube saved by going round an arc and not round its corner, per unit of radius."""
    round_the_corner, round_the_arc = 2 * R * sp.tan(a / 2), R * a
    gain = sp.expand((round_the_corner - round_the_arc) / R)
    return step("Gain per unit of radius", sp.Symbol("gain") / R, gain)


def _riser_leg() -> sp.Expr:
    return legs()[1].right.subs(b, a)


def _offset_rise() -> sp.Expr:
    return corner_points()[-1].right[2].subs({phi: 0, b: a})


# ---- the habit: the angle finder set to the sweep


def back_share() -> Step:
    """The grip's share to the back against the sine of the clamp reading: exact for any two bends, risers upright."""
    reading = clamp_reading().right
    share = grip_direction().right[1]
    return step("Reading against the grip's share to the back", sp.sin(kappa) / sp.Symbol("e_back"), reading / share)


def habit_exact() -> Step:
    """Backsweep against clamp reading, equal bends and risers upright: sin(kappa) = sin a sin phi takes the roll out of
    the grip's direction. Exact for a roll up to a quarter turn.
    """
    right, back, _ = equal_bends_direction().right
    cosine = sp.sqrt(sp.sin(a) ** 2 - sp.sin(kappa) ** 2) / sp.sin(a)
    in_reading = {sp.sin(phi): sp.sin(kappa) / sp.sin(a), sp.cos(phi): cosine}
    return step("Backsweep against the reading, equal bends", sp.tan(beta), (back / right).subs(in_reading))


def habit_error() -> Step:
    """First term of backsweep less reading, for small readings: of the fifth order."""
    sine, sin_a = sp.symbols("sine sin_a", positive=True)
    tangent = habit_exact().right.subs(sp.cos(a) ** 2, 1 - sp.sin(a) ** 2).subs({sp.sin(kappa): sine, sp.sin(a): sin_a})
    difference = sp.series(sp.atan(tangent) - sp.asin(sine), sine, 0, 6).removeO()
    # to this order the sine of the reading is the reading
    return step(
        "The habit's error",
        beta - kappa,
        sp.simplify(difference.subs({sin_a: sp.sin(a), sine: kappa})),
        is_approximate=True,
    )


def habit_unequal_bends() -> Step:
    """For small rolls and unequal bends: reading per backsweep."""
    sweep = grip_direction().right[1] / grip_direction().right[0]
    ratio = sp.limit(clamp_reading().right / sweep, phi, 0)
    return step("Reading per backsweep, unequal bends", kappa / beta, sp.simplify(ratio), is_approximate=True)
