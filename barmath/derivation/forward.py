"""From the recipe to the bar: two rotations and two arcs, and what they simplify to.

A tube is followed as one would walk along it. At each place it has a heading. In a bend it also has a direction square
to the heading, toward which it turns. Everything else follows from one rule: turning by an angle makes the new heading

    heading cos(angle) + toward sin(angle)
"""

from __future__ import annotations

import sympy as sp

from barmath.derivation.steps import (
    R,
    Step,
    Vector,
    a,
    b,
    beta,
    c,
    cut_length,
    g,
    half_width,
    kappa,
    leg_0,
    leg_1,
    leg_2,
    phi,
    psi,
    rise,
    s,
    setback,
    step,
    upsilon,
)

RIGHT, BACK, UP = (Vector([int(i == j) for i in range(3)]) for j in range(3))


def turned(heading: Vector, toward: Vector, angle: sp.Expr) -> Vector:
    """`heading` after a turn by `angle` in the plane of `heading` and `toward`, two unit vectors at right angles."""
    return heading * sp.cos(angle) + toward * sp.sin(angle)


def arc(heading: Vector, toward: Vector, angle: sp.Expr) -> Vector:
    """From the start of an arc of radius R to its end: R sin(angle) along the heading, R (1 - cos(angle)) toward."""
    return R * (heading * sp.sin(angle) + toward * (1 - sp.cos(angle)))


def arc_from_small_steps(angle: sp.Symbol = a) -> Step:
    """An arc is the sum of small steps R dt, each along the heading of its moment."""
    t = sp.Symbol("t")
    total = (R * turned(RIGHT, UP, t)).applyfunc(lambda component: sp.integrate(component, (t, 0, angle)))
    return step("Small steps along the arc, added up", "arc", sp.simplify(total))


def take_out(angle: sp.Symbol = a) -> Step:
    """The same arc by way of its corner: R tan(angle/2) before it and as much after it."""
    by_corner = R * sp.tan(angle / 2) * (RIGHT + turned(RIGHT, UP, angle))
    return step("The same arc by way of its corner", arc(RIGHT, UP, angle), by_corner)


def half_tangent_forms(angle: sp.Symbol = a) -> tuple[Step, Step]:
    """Sine and cosine of an angle from the tangent of its half."""
    t = sp.tan(angle / 2)
    return (
        step("Sine from the half tangent", sp.sin(angle), 2 * t / (1 + t**2)),
        step("Cosine from the half tangent", sp.cos(angle), (1 - t**2) / (1 + t**2)),
    )


def riser_direction() -> Step:
    """The inner bend turns the tube from right to up."""
    return step("The inner bend turns the heading from right toward up", "d_1", turned(RIGHT, UP, a))


def undoing_direction() -> Vector:
    """Where a bend at the end of the riser must turn toward to undo the inner bend: square to the riser, and down."""
    return -turned(UP, -RIGHT, a)


def outer_toward() -> Step:
    """The roll turns the tube about the riser, and with it the direction that the outer bend turns toward."""
    return step("The roll turns that direction toward the back", "m", turned(undoing_direction(), BACK, phi))


def grip_direction() -> Step:
    """The outer bend turns the heading from the riser's into the grip's."""
    return step(
        "The outer bend turns the heading from d₁ toward m",
        "d_2",
        turned(riser_direction().right, outer_toward().right, b),
    )


def tangent_points() -> tuple[Step, ...]:
    """Start and end of each arc, and the bar end, reached along straights and arcs."""
    d1, m, d2 = riser_direction().right, outer_toward().right, grip_direction().right
    inner_start = c * RIGHT
    inner_end = inner_start + arc(RIGHT, UP, a)
    outer_start = inner_end + s * d1
    outer_end = outer_start + arc(d1, m, b)
    return (
        step("Inner bend starts", "P_1", inner_start),
        step("Inner bend ends", "P_2", inner_end),
        step("Outer bend starts", "P_3", outer_start),
        step("Outer bend ends", "P_4", outer_end),
        step("Bar end, along straights and arcs", "P_5", outer_end + g * d2),
    )


def legs() -> tuple[Step, ...]:
    """Lengths between corners: each straight with the take-outs of the bends at its ends."""
    take_a, take_b = R * sp.tan(a / 2), R * sp.tan(b / 2)
    lengths = (c + take_a, s + take_a + take_b, g + take_b)
    titles = ("Middle to inner corner", "Corner to corner", "Outer corner to bar end")
    return tuple(step(*row) for row in zip(titles, (leg_0, leg_1, leg_2), lengths, strict=True))


def corner_points() -> tuple[Step, ...]:
    """The two corners and the bar end, reached along the straight legs between corners."""
    to_corner, riser, grip = (leg.right for leg in legs())
    inner = to_corner * RIGHT
    outer = inner + riser * riser_direction().right
    return (
        step("Corner of the inner bend", "Q_1", inner),
        step("Corner of the outer bend", "Q_2", outer),
        step("Bar end, from corner to corner", "P_5", outer + grip * grip_direction().right),
    )


def stem_rolled(vector: Vector) -> Vector:
    """`vector` after the bar has turned by the stem roll: up turns toward back, and back toward down."""
    right, back, up = vector
    return right * RIGHT + back * turned(BACK, -UP, psi) + up * turned(UP, BACK, psi)


def measures() -> dict[str, Step]:
    """What a finished bar measures: rise, setback, half width, backsweep, upsweep, cut length, by name.

    The sweeps are given as their tangents; each is defined where the grip points away from the middle.
    """
    right, back, up = stem_rolled(corner_points()[-1].right)
    grip_right, grip_back, grip_up = stem_rolled(grip_direction().right)
    return {
        "rise": step("Rise: the bar end's height", rise, up),
        "setback": step("Setback: how far it is behind", setback, back),
        "half_width": step("Half the width", half_width, right),
        "backsweep": step("Backsweep: the grip seen from above", sp.tan(beta), grip_back / grip_right),
        "upsweep": step("Upsweep: the grip seen from the front", sp.tan(upsilon), grip_up / grip_right),
        "cut_length": step("Tube to cut: straights and arcs of both halves", cut_length, 2 * (c + R * (a + b) + s + g)),
    }


def bench_vertical() -> Step:
    """The outer bend is made in a level plane, that of riser and `m`: the bench's vertical is square to both, a quarter
    turn of the tube away from `m`.
    """
    return step("Up at the bender", "v", turned(undoing_direction(), BACK, phi - sp.pi / 2))


def clamp_reading() -> Step:
    """An angle finder reads the slope of the clamp flat: its sine is the flat's share of `bench_vertical`."""
    return step("The clamp flat's slope on the bench", sp.sin(kappa), bench_vertical().right.dot(RIGHT))
