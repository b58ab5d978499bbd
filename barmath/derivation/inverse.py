"""From the order to the recipe: the same equations read the other way.

The sweeps ordered give the direction of the grip, and the direction gives the angles. Rise and width then give straight
and grip. Each function is one step; none uses a result that was not derived before it.
"""

from __future__ import annotations

import sympy as sp

from barmath.derivation.forward import (
    BACK,
    RIGHT,
    UP,
    grip_direction,
    riser_direction,
    stem_rolled,
    undoing_direction,
)
from barmath.derivation.steps import (
    R,
    Step,
    Vector,
    a,
    b,
    beta,
    c,
    g,
    gamma,
    half_width,
    leg_1,
    leg_2,
    phi,
    psi,
    rise,
    s,
    step,
    upsilon,
)

e_right, e_back, e_up = sp.symbols("e_right e_back e_up", real=True)
ORDERED = Vector([e_right, e_back, e_up])
"""Unit vector of the grip that the order asks for, as the bar is clamped."""

T = sp.Symbol("T", real=True)
"""Tangent of the backsweep ordered."""


def ordered_direction() -> Step:
    """The grip's direction from the two sweeps: 1 right, tan(backsweep) back, tan(upsweep) up, made one unit long."""
    slopes = RIGHT + sp.tan(beta) * BACK + sp.tan(upsilon) * UP
    return step("The grip's direction from the two sweeps", "e", slopes / sp.sqrt(slopes.dot(slopes)))


# ---- equal bends, both sweeps ordered


def equal_bends_direction() -> Step:
    """The grip's direction with four equal bends, risers upright."""
    return step("With equal bends", "d_2", grip_direction().right.subs(b, a).applyfunc(sp.factor))


def total_turn() -> Step:
    """The total turn with equal bends: its cosine is the share of the grip's direction that points right."""
    return step("The total turn", sp.cos(gamma), equal_bends_direction().right[0])


def equal_bends_roll() -> Step:
    """1 - cos x = 2 sin^2(x/2) on both sides of `total_turn` leaves one product of sines."""
    halved = total_turn().right.subs(sp.cos(phi), 1 - 2 * sp.sin(phi / 2) ** 2)
    one_less = (1 - halved).subs(sp.cos(a) ** 2, 1 - sp.sin(a) ** 2)
    return step("Halve both angles", sp.sin(gamma / 2) ** 2, sp.expand(one_less / 2))


def equal_bends_lean() -> Step:
    """How far from straight up the grip leans back when the risers are upright, seen along the clamp axis: the cosine
    is the grip's share upward over sin(gamma), all that does not point right. The stem roll is the lean ordered,
    atan2(e_back, e_up), less this one.
    """
    half_sine, half_cosine = sp.sin(gamma / 2), sp.cos(gamma / 2)
    up = equal_bends_direction().right[2].subs(sp.cos(phi), 1 - 2 * (half_sine / sp.sin(a)) ** 2)
    lean = sp.Symbol("lean", real=True)
    return step("The lean before the stem roll", sp.cos(lean), sp.simplify(up / (2 * half_sine * half_cosine)))


def equal_bends_angles() -> tuple[Step, Step]:
    """Roll and stem roll from one root w; `half_sin` means sin(gamma/2)."""
    half_sin = sp.Symbol("half_sin", positive=True)
    w = sp.sqrt(sp.sin(a) ** 2 - half_sin**2)
    lean = sp.atan2(w, half_sin * sp.cos(a))
    return (
        step("The roll", phi, 2 * sp.atan2(half_sin, w)),
        step("The stem roll", psi, sp.atan2(e_back, e_up) - lean),
    )


# ---- equal bends, risers upright


def upright_condition() -> Step:
    """tan(backsweep) times the grip's share to the right is its share to the back. Over sin a, with all that holds the
    roll on the left, this is one equation for the roll.
    """
    right, back, _ = equal_bends_direction().right
    without_roll, with_roll = sp.expand((back - T * right) / sp.sin(a)).as_independent(phi)
    return step("The roll that the backsweep needs", with_roll, -without_roll)


def upright_roll() -> Step:
    """With tan(delta) = T sin a the left side of `upright_condition` is sin(phi - delta) / cos(delta).

    The supplement of the arcsine solves it too, with a larger roll that turns the grips far up: it is left out.
    """
    lean = T * sp.sin(a)
    sine = T * sp.cos(a) ** 2 / (sp.sin(a) * sp.sqrt(1 + lean**2))
    return step("The roll", phi, sp.asin(sine) + sp.atan(lean))


def upright_least_bend() -> Step:
    """The sine in `upright_roll` reaches 1 at the least bend: cos^4 a T^2 = sin^2 a (1 + T^2 sin^2 a). Its
    fourth powers cancel.
    """
    x = sp.Symbol("x", positive=True)
    at_limit = T**2 * (1 - x) ** 2 - x * (1 + T**2 * x)
    (square,) = sp.solve(at_limit, x)
    return step("The least bend", sp.sin(a) ** 2, square)


def upright_most_backsweep() -> Step:
    """The most backsweep that equal bends give with risers upright: `upright_least_bend` solved for T."""
    square, x = sp.symbols("square x", positive=True)
    (most,) = sp.solve(upright_least_bend().right.subs(T**2, square) - x, square)
    above, below = (part.subs(x, sp.sin(a) ** 2) for part in sp.fraction(most))
    return step("The most backsweep", sp.tan(beta) ** 2, above / sp.trigsimp(below))


# ---- inner and outer bends that differ


def two_bends_turn() -> Step:
    """The total turn of two bends: the spherical law of cosines, with the roll as the angle between the bends."""
    return step("The total turn of two bends", sp.cos(gamma), grip_direction().right[0])


def two_bends_roll() -> tuple[Step, Step]:
    """`two_bends_turn` with every angle halved. What the roll adds to the turn is on the right, once with its sine and
    once with its cosine. So their ratio gives the roll without loss where the bends are nearly equal.
    """
    share = sp.sin(a) * sp.sin(b)
    half = sp.sin(gamma / 2) ** 2
    return (
        step("Roll by its sine", half - sp.sin((a - b) / 2) ** 2, share * sp.sin(phi / 2) ** 2),
        step("Roll by its cosine", sp.sin((a + b) / 2) ** 2 - half, share * sp.cos(phi / 2) ** 2),
    )


def two_bends_stem_roll() -> Step:
    """The stem roll turns the lean of the grip as bent into the lean ordered, along the clamp axis."""
    _, back, up = grip_direction().right
    return step("The stem roll", psi, sp.atan2(up, back) - sp.atan2(e_up, e_back))


def two_bends_upright_condition() -> Step:
    """The roll that the backsweep needs with risers upright, over sin b: `upright_condition` for two bends."""
    right, back, _ = grip_direction().right
    without_roll, with_roll = sp.expand((back - T * right) / sp.sin(b)).as_independent(phi)
    return step("The roll that the backsweep needs", with_roll, -without_roll)


def two_bends_upright_roll() -> Step:
    """`upright_roll` for two bends: only the sine contains the outer bend."""
    lean = T * sp.sin(a)
    sine = T * sp.cos(a) * sp.cos(b) / (sp.sin(b) * sp.sqrt(1 + lean**2))
    return step("The roll", phi, sp.asin(sine) + sp.atan(lean))


def two_bends_least_outer() -> Step:
    """The sine in `two_bends_upright_roll` reaches 1 at the least outer bend."""
    least = T * sp.cos(a) / sp.sqrt(1 + T**2 * sp.sin(a) ** 2)
    return step("The least outer bend", sp.tan(b), least)


# ---- any inner bend


def shares_along_the_riser() -> tuple[Step, ...]:
    """The ordered direction, turned back by the stem roll, seen from the riser: its shares along the riser, toward
    undoing the inner bend, and back. For a bar they are cos b, sin b cos phi and sin b sin phi.
    """
    seen = (riser_direction().right, undoing_direction(), BACK)
    shares = (sp.cos(b), sp.sin(b) * sp.cos(phi), sp.sin(b) * sp.sin(phi))
    titles = ("Along the riser", "Toward undoing the inner bend", "Toward the back")
    return tuple(
        step(title, share, ORDERED.dot(direction)) for title, share, direction in zip(titles, shares, seen, strict=True)
    )


def inner_bend_angles() -> tuple[Step, Step]:
    """Roll and outer bend from the three shares."""
    along, undoing, back = (share.right for share in shares_along_the_riser())
    return (
        step("The roll", phi, sp.atan2(back, undoing)),
        step("The outer bend", b, sp.atan2(sp.sqrt(back**2 + undoing**2), along)),
    )


# ---- straight and grip


def rise_and_width() -> tuple[Step, Step]:
    """Two equations, linear in the two legs, with the grip's direction as ordered."""
    legs_together = leg_1 * stem_rolled(riser_direction().right) + leg_2 * ORDERED
    across = half_width - c - R * sp.tan(a / 2)
    return step("Up", rise, legs_together[2]), step("Across", across, legs_together[0])


def lever() -> Step:
    """Determinant of `rise_and_width`: 0 where riser and grip run side by side seen from the front."""
    return step("The lever", sp.Symbol("lever"), _coefficients().det())


def straight_and_grip() -> tuple[Step, Step]:
    """`rise_and_width` solved by Cramer's rule, less the take-outs."""
    up, across = (equation.left for equation in rise_and_width())
    sides = sp.symbols("up across")
    riser_leg, grip_leg = (_with_column(i, sides).det().subs({sides[0]: up, sides[1]: across}) for i in range(2))
    take_a, take_b = R * sp.tan(a / 2), R * sp.tan(b / 2)
    return (
        step("The straight", s, riser_leg / lever().right - take_a - take_b),
        step("The grip", g, grip_leg / lever().right - take_b),
    )


def _coefficients() -> sp.Matrix:
    return sp.Matrix([[equation.right.diff(leg) for leg in (leg_1, leg_2)] for equation in rise_and_width()])


def _with_column(column: int, entries: tuple[sp.Symbol, ...]) -> sp.Matrix:
    matrix = _coefficients()
    matrix[:, column] = sp.Matrix(entries)
    return matrix


def rise_per_straight() -> Step:
    """With width and sweeps kept, a longer straight shortens the grip; the rise is linear in it, with this slope."""
    slope = sp.Derivative(rise, s)
    straight = straight_and_grip()[0].right
    return step("Rise per millimetre of straight", slope, sp.simplify(1 / straight.diff(rise)))
