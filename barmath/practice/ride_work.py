"""Exercises of lessons 12 and 13: where the hands go, and a moment at the stem."""

from __future__ import annotations

import math

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import shape_from_recipe
from barmath.practice.exercise import ACT, COMPUTE, ESTIMATE, Exercise, choice, numeric
from barmath.practice.givens import section_given, stem_given
from barmath.practice.one_more import at_last, ends_behind_axis, force_at
from barmath.practice.scene import LEVELS, WIDTHS_MM, dice, scene, shuffled
from barmath.rider.hands import Stem
from barmath.shop.order_seven import TUBE

_SAFE, _PAST, _RIDE = (
    "no tube of the band yields; that approves nothing",
    "some or all tubes of the band yield; the elastic answer stops being valid",
    "it holds: the rider may have it",
)


def hands(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """Where a stem puts its clamp, and what turning the bar there does to its height."""
    rng = dice(kind, seed, level)
    _, recipe = scene(rng, level, two_stops=level == LEVELS[-1])
    length = rng.choice((40.0, 50.0, 60.0)) if level == 1 else float(rng.randint(32, 70))
    angle = 0.0 if level == 1 else float(rng.choice((-6, 6, 10, -10)))
    head = rng.choice((65.0, 70.0)) if level == 1 else rng.randint(128, 140) / 2.0
    forward, up = (float(part) for part in Stem(length, angle, head).clamp_mm())
    shape = shape_from_recipe(recipe)
    rise, back = round(float(shape.rise_mm), 1), round(float(shape.setback_mm), 1)
    roll = rng.choice((5.0, 10.0)) if level == 1 else float(rng.randint(4, 14))
    sine, cosine = math.sin(roll * RADIAN), math.cos(roll * RADIAN)
    lower = rise * cosine - back * sine
    steering, stem_sum, _ = stem_given(level, head, angle)
    return Exercise(
        kind, lesson, "Where do the hands go?", seed, level,
        (
            f"A stem of {length:.0f} mm is on a steering axis {steering}. The angle of the stem is "
            f"{angle:{'+' if angle else ''}.0f} deg. At 0 deg a stem is square to the axis.",
            f"A bar with a rise of {rise:.1f} mm and its ends {back:.1f} mm behind its clamp axis, risers upright.",
        ),
        (
            numeric(ESTIMATE, "Roughly how far forward of the steering axis is the clamp?", "mm", forward,
                    0.15 * forward, (0.0, 200.0), ((0.0, "you think that the stem points straight up"),),
                    hint="It is nearly the length of the stem.",
                    formula="forward = stem x sin(head angle - stem angle)", numbers=f"{length:.0f} x sin {stem_sum}"),
            numeric(COMPUTE, "How far up is the clamp from where the stem meets the steering axis?", "mm", up, 0.4,
                    (-100.0, 200.0), (
                (forward, "you swap sine and cosine"),
                (0.0, "you think that a stem square to the steering axis is level"),
                (length * math.cos((head + angle) * RADIAN), "you count the angle of the stem the wrong way"),
            ), hint="The stem climbs by 90 deg, less the head angle, plus its own angle.",
               formula="up = stem x cos(head angle - stem angle)", numbers=f"{length:.0f} x cos {stem_sum}"),
            numeric(ACT, f"The rider turns the bar {roll:.0f} deg rearward in its stem. How high are the bar's "
                    "ends over the clamp axis then?", "mm", lower, 0.4, (-50.0, 200.0), (
                (rise, "you think that a turn of the bar changes only the sweeps"),
                (rise * cosine, "you forget that the ends are behind the clamp axis"),
                (rise * cosine + back * sine, "you turn the bar the other way"),
            ), hint="The stem roll turns the rise, and the way back of the ends too.",
               formula="new height = rise x cos(stem roll) - back x sin(stem roll)",
               numbers=f"{rise:.1f} x cos {roll:.0f} - {back:.1f} x sin {roll:.0f}"),
            *at_last(level, ends_behind_axis(
                forward, back, back * cosine + rise * sine, f"{length:.0f} x sin {stem_sum} - "
                f"({back:.1f} x cos {roll:.0f} + {rise:.1f} x sin {roll:.0f})")),
        ),
        (
            f"Clamp: {length:.0f} sin {head - angle:.1f} = {forward:.1f} mm forward, {length:.0f} cos "
            f"{head - angle:.1f} = {up:.1f} mm up. The {head - angle:.1f} deg is the head angle less the stem's angle.",
            f"After the turn: {rise:.1f} cos {roll:.0f} - {back:.1f} sin {roll:.0f} = {lower:.1f} mm.",
        ),
        recipe,
    )  # fmt: skip


def moment(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """A moment at the stem's edge, its stress, and what may be said of it."""
    rng = dice(kind, seed, level)
    width = rng.choice(WIDTHS_MM) if level == 1 else float(rng.randint(70, 84) * 10)
    sweep = 0.0 if level == 1 else rng.randint(12, 30) / 2.0
    stem = 40.0 if level == 1 else float(rng.randint(36, 50))
    inward = 50.0 * math.cos(sweep * RADIAN)
    lever = width / 2.0 - inward - stem / 2.0
    section, modulus_sum, modulus = section_given(level, TUBE)
    low, high = TUBE.material.yield_low_mpa, TUBE.material.yield_high_mpa
    yielding = low * modulus / lever
    share = rng.choice((rng.uniform(0.4, 0.92), rng.uniform(1.08, 1.6)))
    force = round(share * yielding / (50.0 if level == 1 else 10.0)) * (50.0 if level == 1 else 10.0)
    torque = force * lever / 1e3
    stress = 1e3 * torque / modulus
    arm = f"({width:.0f} / 2 - 50 x cos {sweep:.1f} - {stem:.0f} / 2)"
    in_nmm = f"{force:.0f} x {arm}"
    right, wrong = _may_be_said(stress, low, high)
    span = (0.0, 1000.0)
    return Exercise(
        kind, lesson, "A moment, and what it says", seed, level,
        (
            f"A bar {width:.0f} mm wide without a crossbar, grips swept back by {sweep:.1f} deg, in a stem {stem:.0f} "
            f"mm wide. One side is pulled down with {force:.0f} N at 50 mm from its end.",
            f"{section} Yield band: {low:.0f} to {high:.0f} MPa. Count bending only.",
        ),
        (
            numeric(ESTIMATE, "Roughly what is the moment at the stem's edge?", "N m", torque, 0.12 * torque, span, (
                (force * width / 1e3, "you use the whole width as the lever arm"),
            ), hint="Multiply the force in newtons by the lever arm in metres.",
                    formula="force x (width / 2 - 50 x cos sweep - stem / 2) / 1000", numbers=f"{in_nmm} / 1000"),
            numeric(COMPUTE, "What bending stress is that?", "MPa", stress, 0.01 * stress, (0.0, 3000.0), (
                (force * (width / 2.0 - stem / 2.0) / modulus, "you put the load at the very end of the bar"),
                (force * (width / 2.0 - inward) / modulus, "you measure the lever arm to the middle of the stem"),
                (force * width / 2.0 / modulus, "you use half the width as the lever arm"),
                (torque / modulus * 1e2, "you make an error between newton metres and newton millimetres"),
            ), hint="Divide the moment in N mm by the section modulus in mm3.",
               formula="stress = force x lever arm / section modulus",
               numbers=f"{in_nmm} / {modulus_sum}"),
            choice(ACT, "What can you say?", right, wrong, shuffled(rng, _SAFE, _PAST, _RIDE)),
            *at_last(level, force_at((low, high), (modulus, modulus_sum), (lever, arm))),
        ),
        (
            f"Lever arm: {width:.0f}/2 - 50 cos {sweep:.1f} - {stem:.0f}/2 = {lever:.1f} mm.",
            f"Moment {torque:.0f} N m, stress {1e3 * torque:.0f} / {modulus:.0f} = {stress:.0f} MPa.",
            "Checked on paper only: test to the standard; licensed practice and local rules decide. Never ride on "
            "a number.",
        ),
    )  # fmt: skip


def _may_be_said(stress: float, low: float, high: float) -> tuple[str, dict[str, str]]:
    # what is right, and for each wrong answer the habit that leads there
    right, other = (_SAFE, _PAST) if stress < low else (_PAST, _SAFE)
    return right, {
        _RIDE: "you read a check on paper as an approval, but only tests to the standard, by licensed practice, decide",
        other: f"you do not compare the stress with the band of {low:.0f} to {high:.0f} MPa",
    }
