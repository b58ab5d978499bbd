"""Exercises of lessons 08 to 13: cope, record, printed sheets, hands, moments."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np

from barmath.arrays import RADIAN
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.inverse import recipe_from_order, rise_window_mm
from barmath.closed_forms.records import Order, Recipe
from barmath.crossbars.cope import cope_ordinates_mm
from barmath.practice.exercise import ACT, COMPUTE, ESTIMATE, Exercise, choice, numeric
from barmath.practice.scene import LEAST_RISER_MM, WIDTHS_MM, Scene, dice, scene, shuffled
from barmath.refusal import BendError
from barmath.rider.hands import Stem
from barmath.shop.offsets import bench_marks_mm
from barmath.shop.order_seven import TUBE
from barmath.shop.tooling import Die

_SAFE, _PAST, _RIDE = (
    "no tube of the band yields; that approves nothing",
    "some or all tubes of the band yield; the elastic answer stops being valid",
    "it holds: the rider may have it",
)

HALF_ROUNDED = 0.25
"""An ordinate rounded to half a millimetre, as it is marked on a tube, is right."""


def cope(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """An ordinate of a cope, and how long the crossbar is from tip to tip."""
    rng = dice(kind, seed, level)
    header, branch = (22.0, rng.choice((10.0, 12.0))) if level == 1 else (22.2, rng.choice((9.5, 12.7, 15.9)))
    angle = rng.choice((60.0, 45.0, 50.0)) if level == 1 else float(rng.randint(30, 75))
    station = rng.choice((0.0, 180.0)) if level == 1 else rng.choice((0.0, 30.0, 60.0, 120.0, 150.0, 180.0))
    r, big = branch / 2.0, header / 2.0
    ordinate = float(cope_ordinates_mm(branch, header, angle, station))
    tip = float(np.min(cope_ordinates_mm(branch, header, angle, np.arange(0.0, 361.0, 1.0))))
    axis = float(rng.randint(150, 360))
    theta, t = angle * RADIAN, station * RADIAN
    root = math.sqrt(big**2 - (r * math.sin(t)) ** 2)
    span = (0.0, 120.0)
    deep = float(np.ptp(cope_ordinates_mm(branch, header, angle, np.arange(0.0, 361.0, 1.0))))
    return Exercise(
        kind, lesson, "Lay out a cope", seed, level,
        (
            f"A crossbar of {branch:.1f} mm on a bar of {header:.1f} mm; axes meet at {angle:.0f} deg. Station 0 is on "
            "the acute side. Ordinates are measured along the crossbar from the bar's axis.",
            "z(t) = r cot(angle) cos t + sqrt(R^2 - r^2 sin^2 t) / sin(angle)",
        ),
        (
            numeric(ESTIMATE, "Roughly how deep is the cope, from its shortest place to its tip?", "mm", deep,
                    0.3 * deep, (0.5, 80.0), hint="the sharper the joint, the deeper; compare stations 0, 90 and 180",
                    formula="depth = largest z(t) - smallest z(t)",
                    numbers=f"z(0) = {_z(r, big, angle, 0.0)}, and so at 90, 120, 150 and 180"),
            numeric(COMPUTE, f"What is the ordinate at station {station:.0f}?", "mm", ordinate, HALF_ROUNDED, span, (
                (2.0 * ordinate, "diameters are taken for radii"),
                (root / math.sin(theta), "the first part, with the cotangent, is left out"),
                (root / math.sin(theta) - r * math.cos(t) / math.tan(theta),
                 "the stations are counted from the obtuse side"),
                (r * math.cos(t) * math.tan(theta) + root / math.sin(theta), "tangent and cotangent are changed over"),
            ), hint="r and R are radii",
               formula="z(t) = r x cos t / tan angle + sqrt(R^2 - (r x sin t)^2) / sin angle",
               numbers=_z(r, big, angle, station)),
            numeric(ACT, f"From riser axis to riser axis it is {axis:.0f} mm at that height; the shortest ordinate is "
                    f"{tip:.1f} mm. How long is the crossbar from tip to tip, without anything to file?", "mm",
                    axis - 2.0 * tip, 0.5, (0.0, 400.0), (
                (axis, "the crossbar is cut to the axes, and the bar's own tube is forgotten"),
                (axis - header, "the bar's diameter is taken off, as if the joints were square"),
                (axis - tip, "only one end is coped"),
                (axis - 2.0 * ordinate, "another station's ordinate is taken for the tip's"),
            ), hint="a tip reaches as near to the riser's axis as the shortest ordinate",
               formula="tip to tip = axis to axis - 2 x shortest ordinate", numbers=f"{axis:.0f} - 2 x {tip:.1f}"),
        ),
        (
            f"z({station:.0f}) = {r:.2f} cot {angle:.0f} cos {station:.0f} + sqrt({big:.2f}^2 - {r:.2f}^2 sin^2 "
            f"{station:.0f}) / sin {angle:.0f} = {ordinate:.1f} mm.",
            f"Tip to tip: {axis:.0f} - 2 x {tip:.1f} = {axis - 2.0 * tip:.1f} mm.",
        ),
    )  # fmt: skip


def _z(r: float, big: float, angle: float, station: float) -> str:
    # an ordinate as a sum in numbers
    across = f"sqrt({big:.2f}^2 - ({r:.2f} x sin {station:.0f})^2)"
    return f"{r:.2f} x cos {station:.0f} / tan {angle:.0f} + {across} / sin {angle:.0f}"


def record(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """An outer mark between two bars of the record."""
    rng = dice(kind, seed, level)
    (order, recipe), rises = _two_bars(rng, level)
    bend, gap = float(recipe.inner_bend_deg), round(rises[1] - rises[0])
    wanted = rises[0] + rng.randint(2, gap - 2)
    marks = [round(_outer_mark_mm(replace(order, rise_mm=rise), recipe), 1) for rise in rises]
    slope = (marks[1] - marks[0]) / gap
    answer = marks[0] + slope * (wanted - rises[0])
    nearer = 0 if wanted - rises[0] <= rises[1] - wanted else 1
    span = (0.0, 500.0)
    slope_sum = f"({marks[1]:.1f} - {marks[0]:.1f}) / ({rises[1]:.0f} - {rises[0]:.0f})"
    like = f"same die, stop, width and sweep, rise {rises[nearer]:.0f} mm"
    traps = {
        f"same stop, width and sweep, other die, rise {wanted:.0f} mm": "only the rise is looked at; another die moves "
                                                                       "every mark",
        f"same die and stop, width 40 mm less, rise {wanted:.0f} mm": "only the rise is looked at; with another width "
                                                                     "the same rise has other marks",
    }  # fmt: skip
    return Exercise(
        kind, lesson, "Look it up", seed, level,
        (
            f"Two bars of the record, both on one die with one stop ({bend:.1f} deg), {order.width_mm:.0f} mm wide, "
            f"backsweep {order.backsweep_deg:.1f} deg:",
            f"rise {rises[0]:.0f} mm, outer mark {marks[0]:.1f} mm",
            f"rise {rises[1]:.0f} mm, outer mark {marks[1]:.1f} mm",
            f"The order: the same with a rise of {wanted:.0f} mm.",
        ),
        (
            numeric(ESTIMATE, "Roughly how much does the outer mark move for a millimetre of rise?", "mm", slope,
                    0.3 * abs(slope), (-10.0, 10.0), ((1.0 / slope, "rise and mark are changed over"),),
                    hint="two bars make one slope", formula="slope = (mark 2 - mark 1) / (rise 2 - rise 1)",
                    numbers=slope_sum),
            numeric(COMPUTE, "Where does the outer mark go?", "mm", answer, 0.4, span, (
                (marks[0], "the lower bar is copied unchanged"),
                (marks[1], "the higher bar is copied unchanged"),
                (marks[0] + wanted - rises[0], "a millimetre of rise is taken for a millimetre of mark"),
                (marks[1] - slope * (wanted - rises[0]), "one counts from the wrong bar"),
            ), hint="with width and sweeps fixed, rise and mark go in a straight line",
               formula="mark = mark 1 + slope x (rise - rise 1)",
               numbers=f"{marks[0]:.1f} + {slope_sum} x ({wanted:.0f} - {rises[0]:.0f})"),
            choice(ACT, "Which bar would you start from?", like, traps, shuffled(rng, like, *traps)),
        ),
        (
            f"({marks[1]:.1f} - {marks[0]:.1f}) / {gap} = {slope:.2f} mm of mark a millimetre of rise.",
            f"{marks[0]:.1f} + {slope:.2f} x {wanted - rises[0]:.0f} = {answer:.1f} mm.",
        ),
        recipe,
    )  # fmt: skip


def _two_bars(rng: Random, level: int) -> tuple[Scene, tuple[float, float]]:
    # a bar, and two rises within the window of its die
    for _ in range(500):
        order, recipe = scene(rng, level)
        low, high = rise_window_mm(order, recipe.radius_mm, recipe.inner_bend_deg, LEAST_RISER_MM)
        first = math.ceil(max(float(low), 45.0))
        gap = rng.choice((8, 10, 12))
        if first + gap <= float(high):
            return Scene(order, recipe), (float(first), float(first + gap))
    raise BendError("exercise must have two bars to look up, got none in 500 tries")


def _outer_mark_mm(order: Order, like: Recipe) -> float:
    made = recipe_from_order(order, like.radius_mm, like.inner_bend_deg)
    return float(bench_marks_mm(made, Die(float(like.radius_mm)))[1])


def print_check(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """A sheet that did not come out at true size."""
    rng = dice(kind, seed, level)
    line = (
        rng.choice((95.0, 96.0, 104.0, 105.0))
        if level == 1
        else rng.choice((-1, 1)) * rng.randint(15, 60) / 10.0 + 100.0
    )
    mark = float(rng.randint(150, 210)) if level == 1 else rng.randint(1500, 2100) / 10.0
    printed = mark * line / 100.0
    right, shape = "print it again at 100 % (actual size)", "smaller" if line < 100.0 else "larger"
    other = "larger" if shape == "smaller" else "smaller"
    return Exercise(
        kind, lesson, "Trust the print?", seed, level,
        (
            f"A full-size sheet comes from the printer. Its line that must be 100 mm long measures {line:.1f} mm.",
        ),
        (
            choice(ESTIMATE, "Everything on that sheet is ...", f"{shape} than true", {
                f"{other} than true": "the line is taken for what it should be, and the rule for what is wrong",
                "true, but for the line": "the line is thought to be a drawing by itself; the whole sheet is scaled"},
                shuffled(rng, "smaller than true", "larger than true", "true, but for the line")),
            numeric(COMPUTE, f"A mark that should be at {mark:.1f} mm: where is it on that sheet?", "mm", printed,
                    0.3, (0.0, 400.0), (
                (mark, "the sheet is trusted without a check"),
                (mark * 100.0 / line, "one divides where one must multiply"),
                (mark + line - 100.0, "what is wrong with the line is taken once, and not for each 100 mm"),
            ), hint="every length is scaled as the line is", formula="on the sheet = mark x line / 100",
               numbers=f"{mark:.1f} x {line:.1f} / 100"),
            choice(ACT, "What do you do?", right, {
                "scale every mark with a calculator": "a bad print is corrected by sums: one is forgotten, and the bar "
                                                      "is scrap",
                "use it, the error is small": f"{abs(printed - mark):.1f} mm at one mark is thought to be small"},
                shuffled(rng, right, "scale every mark with a calculator", "use it, the error is small")),
        ),
        (
            f"{mark:.1f} x {line:.1f} / 100 = {printed:.1f} mm: off by {abs(printed - mark):.1f} mm.",
            "Print again at actual size, and measure the line again.",
        ),
    )  # fmt: skip


def hands(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """Where a stem puts its clamp, and what rolling the bar does to its height."""
    rng = dice(kind, seed, level)
    _, recipe = scene(rng, level)
    length = rng.choice((40.0, 50.0, 60.0)) if level == 1 else float(rng.randint(32, 70))
    angle = 0.0 if level == 1 else float(rng.choice((-6, 6, 10, -10)))
    head = rng.choice((65.0, 70.0)) if level == 1 else rng.randint(128, 140) / 2.0
    forward, up = (float(part) for part in Stem(length, angle, head).clamp_mm())
    shape = shape_from_recipe(recipe)
    rise, back = round(float(shape.rise_mm), 1), round(float(shape.setback_mm), 1)
    roll = rng.choice((5.0, 10.0)) if level == 1 else float(rng.randint(4, 14))
    sine, cosine = math.sin(roll * RADIAN), math.cos(roll * RADIAN)
    lower = rise * cosine - back * sine
    theta = (head - angle) * RADIAN
    return Exercise(
        kind, lesson, "Where do the hands go?", seed, level,
        (
            f"A stem of {length:.0f} mm at {angle:+.0f} deg to the square of a steering axis at {head:.1f} deg to "
            "the ground.",
            f"A bar with a rise of {rise:.1f} mm whose ends are {back:.1f} mm behind its clamp axis, risers upright.",
        ),
        (
            numeric(ESTIMATE, "Roughly how far forward of the steering axis is the clamp?", "mm", forward,
                    0.15 * forward, (0.0, 200.0), ((0.0, "the stem is taken to point straight up"),),
                    hint="nearly the stem's length", formula="forward = stem x sin(head angle - stem angle)",
                    numbers=f"{length:.0f} x sin {head - angle:.1f}"),
            numeric(COMPUTE, "How far up is the clamp from where the stem meets the steering axis?", "mm", up, 0.4,
                    (-100.0, 200.0), (
                (forward, "sine and cosine are changed over"),
                (0.0, "a stem square to the steering axis is taken for a level one"),
                (length * math.cos((head + angle) * RADIAN), "the stem's angle is counted the wrong way"),
            ), hint="the stem is at 90 deg less the head angle, plus its own angle, to the ground",
               formula="up = stem x cos(head angle - stem angle)", numbers=f"{length:.0f} x cos {head - angle:.1f}"),
            numeric(ACT, f"The rider rolls the bar {roll:.0f} deg rearward. How high are the bar's ends over the clamp "
                    "axis then?", "mm", lower, 0.4, (-50.0, 200.0), (
                (rise, "rolling is thought to change the sweeps only"),
                (rise * cosine, "that the ends lie behind the clamp axis is forgotten"),
                (rise * cosine + back * sine, "the bar is rolled the other way"),
            ), hint="rolling turns both the rise and the way back",
               formula="new height = rise x cos roll - back x sin roll",
               numbers=f"{rise:.1f} x cos {roll:.0f} - {back:.1f} x sin {roll:.0f}"),
        ),
        (
            f"Clamp: {length:.0f} sin {head - angle:.1f} = {forward:.1f} mm forward, {length:.0f} cos "
            f"{head - angle:.1f} = {up:.1f} mm up ({math.degrees(theta):.1f} deg between stem's square and ground).",
            f"Rolled: {rise:.1f} cos {roll:.0f} - {back:.1f} sin {roll:.0f} = {lower:.1f} mm.",
        ),
        recipe,
    )  # fmt: skip


def moment(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """A moment at the stem's edge, its stress, and what may be said of it."""
    rng = dice(kind, seed, level)
    tube = TUBE
    width = rng.choice(WIDTHS_MM) if level == 1 else float(rng.randint(70, 84) * 10)
    sweep = 0.0 if level == 1 else rng.randint(12, 30) / 2.0
    stem = 40.0 if level == 1 else float(rng.randint(36, 50))
    inward = 50.0 * math.cos(sweep * RADIAN)
    lever = width / 2.0 - inward - stem / 2.0
    modulus = round(float(tube.section_modulus_mm3), 0)
    low, high = tube.material.yield_low_mpa, tube.material.yield_high_mpa
    yielding = low * modulus / lever
    share = rng.choice((rng.uniform(0.4, 0.92), rng.uniform(1.08, 1.6)))
    force = round(share * yielding / (50.0 if level == 1 else 10.0)) * (50.0 if level == 1 else 10.0)
    torque = force * lever / 1e3
    stress = 1e3 * torque / modulus
    in_nmm = f"{force:.0f} x ({width:.0f} / 2 - 50 x cos {sweep:.1f} - {stem:.0f} / 2)"
    right = _SAFE if stress < low else _PAST
    wrong = {
        _RIDE: "a screen is taken for an approval; only tests to the standard, by licensed practice, decide",
        (_PAST if right == _SAFE else _SAFE): f"the stress is not held against the band of {low:.0f} to {high:.0f} MPa",
    }
    span = (0.0, 1000.0)
    return Exercise(
        kind, lesson, "A moment, and what it says", seed, level,
        (
            f"A bar {width:.0f} mm wide without a crossbar, grips swept back by {sweep:.1f} deg, in a stem {stem:.0f} "
            f"mm wide. One side is pulled down with {force:.0f} N at 50 mm from its end.",
            f"Section modulus of the tube: {modulus:.0f} mm3. Yield band: {low:.0f} to {high:.0f} MPa. Bending only.",
        ),
        (
            numeric(ESTIMATE, "Roughly what is the moment at the stem's edge?", "N m", torque, 0.12 * torque, span, (
                (force * width / 1e3, "the whole width is taken for the lever arm"),
            ), hint="force times lever arm, newtons times metres",
                    formula="force x (width / 2 - 50 x cos sweep - stem / 2) / 1000", numbers=f"{in_nmm} / 1000"),
            numeric(COMPUTE, "What bending stress is that?", "MPa", stress, 0.01 * stress, (0.0, 3000.0), (
                (force * (width / 2.0 - stem / 2.0) / modulus, "the load is put at the very end of the bar"),
                (force * (width / 2.0 - inward) / modulus, "the lever arm is taken to the middle of the stem"),
                (force * width / 2.0 / modulus, "half the width is taken for the lever arm"),
                (torque / modulus * 1e2, "newton metres are turned into newton millimetres wrongly"),
            ), hint="moment in N mm over the section modulus in mm3",
               formula="stress = force x lever arm / section modulus",
               numbers=f"{in_nmm} / {modulus:.0f}"),
            choice(ACT, "What may you say?", right, wrong, shuffled(rng, _SAFE, _PAST, _RIDE)),
        ),
        (
            f"Lever arm: {width:.0f}/2 - 50 cos {sweep:.1f} - {stem:.0f}/2 = {lever:.1f} mm.",
            f"Moment {torque:.0f} N m, stress {1e3 * torque:.0f} / {modulus:.0f} = {stress:.0f} MPa.",
            "Screened only: test to the standard; licensed practice and local rules decide. Never ride on a number.",
        ),
    )  # fmt: skip
