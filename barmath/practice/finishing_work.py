"""Exercises of lessons 08 to 10: cope, record, printed sheets."""

from __future__ import annotations

import math
from dataclasses import replace
from random import Random

import numpy as np

from barmath.arrays import RADIAN
from barmath.closed_forms.inverse import recipe_from_order, rise_window_mm
from barmath.closed_forms.records import Order, Recipe
from barmath.crossbars.cope import cope_ordinates_mm
from barmath.practice.exercise import ACT, COMPUTE, ESTIMATE, Exercise, choice, numeric
from barmath.practice.givens import Given, length_given
from barmath.practice.one_more import (
    at_last,
    mark_for_a_miss,
    other_ordinate,
    scale_of_print,
)
from barmath.practice.scene import LEAST_RISER_MM, LEVELS, Scene, dice, scene, shuffled
from barmath.refusal import BendError
from barmath.shop.offsets import bench_marks_mm
from barmath.shop.tooling import Die

_SPAN = (0.0, 120.0)
STATIONS_DEG = (0.0, 30.0, 60.0, 120.0, 150.0, 180.0)
HALF_ROUNDED = 0.25
"""An ordinate is marked on a tube to half a millimetre; rounded so, it is right."""


def cope(kind: str, lesson: str, seed: int, level: int) -> Exercise:
    """An ordinate of a cope, and how long the crossbar is from tip to tip."""
    rng = dice(kind, seed, level)
    header, branch = (22.0, rng.choice((10.0, 12.0))) if level == 1 else (22.2, rng.choice((9.5, 12.7, 15.9)))
    angle = rng.choice((60.0, 45.0, 50.0)) if level == 1 else float(rng.randint(30, 75))
    station = rng.choice((0.0, 180.0) if level == 1 else STATIONS_DEG)
    r, big = branch / 2.0, header / 2.0
    second = rng.choice([one for one in STATIONS_DEG if one != station])
    ordinate, other = (float(cope_ordinates_mm(branch, header, angle, one)) for one in (station, second))
    every = cope_ordinates_mm(branch, header, angle, np.arange(0.0, 361.0, 1.0))
    tip, deep = float(np.min(every)), float(np.ptp(every))
    axis, apart, axis_sum = _axes(rng, level, angle)
    theta, t = angle * RADIAN, station * RADIAN
    root = math.sqrt(big**2 - (r * math.sin(t)) ** 2)
    return Exercise(
        kind, lesson, "Lay out a cope", seed, level,
        (
            f"A crossbar of {branch:.1f} mm on a bar of {header:.1f} mm; axes meet at {angle:.0f} deg. Station 0 is on "
            "the acute side. Ordinates are measured along the crossbar from the bar's axis.",
            "z(t) = r cot(angle) cos t + sqrt(R^2 - r^2 sin^2 t) / sin(angle)",
        ),
        (
            numeric(ESTIMATE, "Roughly how deep is the cope, from its shortest place to its tip?", "mm", deep,
                    0.3 * deep, (0.5, 80.0), hint="A sharper joint has a deeper cope. Compare stations 0, 90 and 180.",
                    formula="depth = largest z(t) - smallest z(t)",
                    numbers=f"z(0) = {_z(r, big, angle, 0.0)}, and the same at 90, 120, 150 and 180"),
            numeric(COMPUTE, f"What is the ordinate at station {station:.0f}?", "mm", ordinate, HALF_ROUNDED, _SPAN, (
                (2.0 * ordinate, "you use the diameters, not the radii"),
                (root / math.sin(theta), "you leave out the first part, with the cotangent"),
                (root / math.sin(theta) - r * math.cos(t) / math.tan(theta),
                 "you count the stations from the obtuse side"),
                (r * math.cos(t) * math.tan(theta) + root / math.sin(theta), "you swap tangent and cotangent"),
            ), hint="r and R are radii, not diameters.",
               formula="z(t) = r x cos t / tan angle + sqrt(R^2 - (r x sin t)^2) / sin angle",
               numbers=_z(r, big, angle, station)),
            numeric(ACT, f"{apart} The shortest ordinate is "
                    f"{tip:.1f} mm. How long is the crossbar from tip to tip? Add nothing for the file.", "mm",
                    axis - 2.0 * tip, 0.5, (0.0, 400.0), (
                (axis, "you cut the crossbar to the axes, and forget the tube of the bar"),
                (axis - header, "you subtract the diameter of the bar, as if the joints were square"),
                (axis - tip, "you cope only one end"),
                (axis - 2.0 * ordinate, "you use the ordinate of another station, not of the tip"),
            ), hint="The shortest ordinate is the distance from the riser's axis to the tip.",
               formula="tip to tip = axis to axis - 2 x shortest ordinate", numbers=f"{axis_sum} - 2 x {tip:.1f}"),
            *at_last(level, other_ordinate(second, other, ordinate, _z(r, big, angle, second))),
        ),
        (
            f"z({station:.0f}) = {r:.2f} cot {angle:.0f} cos {station:.0f} + sqrt({big:.2f}^2 - {r:.2f}^2 sin^2 "
            f"{station:.0f}) / sin {angle:.0f} = {ordinate:.1f} mm.",
            f"Tip to tip: {axis:.1f} - 2 x {tip:.1f} = {axis - 2.0 * tip:.1f} mm.",
        ),
    )  # fmt: skip


def _axes(rng: Random, level: int, angle: float) -> tuple[float, str, str]:
    # the way between the risers' axes, in words, and as a sum: later from their feet and the height of the crossbar
    if level == 1:
        axis = float(rng.randint(150, 360))
        return axis, f"At that height the axes of the risers are {axis:.0f} mm apart.", f"{axis:.0f}"
    foot, high = float(rng.randint(80, 150)), float(rng.randint(20, 60))
    words = (
        f"The axes of the risers meet the line of the clamp flat at two points, {foot:.0f} mm apart. The level "
        f"crossbar is {high:.0f} mm higher. Its angle to a riser is the angle of the riser to level."
    )
    return foot + 2.0 * high / math.tan(angle * RADIAN), words, f"({foot:.0f} + 2 x {high:.0f} / tan {angle:.0f})"


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
    lines = _rows(rng, level, rises, marks)
    slope_sum = f"({lines[1].total} - {lines[0].total}) / ({rises[1]:.0f} - {rises[0]:.0f})"
    miss = rng.choice((1.5, 2.0, 3.0, 4.0))
    like = f"same die, stop, width and sweep, rise {rises[nearer]:.0f} mm"
    traps = {
        f"same stop, width and sweep, other die, rise {wanted:.0f} mm": "you look only at the rise, but another die "
                                                                       "moves every mark",
        f"same die and stop, width 40 mm less, rise {wanted:.0f} mm": "you look only at the rise, but with another "
                                                                     "width the same rise has other marks",
    }  # fmt: skip
    return Exercise(
        kind, lesson, "Look it up", seed, level,
        (
            f"Two bars of the record, both on one die with one stop ({bend:.1f} deg), {order.width_mm:.0f} mm wide, "
            f"backsweep {order.backsweep_deg:.1f} deg:",
            *(row.words for row in lines),
            f"The order is for the same bar with a rise of {wanted:.0f} mm.",
        ),
        (
            numeric(ESTIMATE, "Roughly how much does the outer mark move for a millimetre of rise?", "mm", slope,
                    0.3 * abs(slope), (-10.0, 10.0), ((1.0 / slope, "you swap rise and mark"),),
                    hint="Two bars give one slope.", formula="slope = (mark 2 - mark 1) / (rise 2 - rise 1)",
                    numbers=slope_sum),
            numeric(COMPUTE, "Where does the outer mark go?", "mm", answer, 0.4, span, (
                (marks[0], "you copy the lower bar"),
                (marks[1], "you copy the higher bar"),
                (marks[0] + wanted - rises[0], "you count a millimetre of rise as a millimetre of mark"),
                (marks[1] - slope * (wanted - rises[0]), "you count from the wrong bar"),
            ), hint="With the same width and sweeps, rise and mark go in a straight line.",
               formula="mark = mark 1 + slope x (rise - rise 1)",
               numbers=f"{lines[0].total} + {slope_sum} x ({wanted:.0f} - {rises[0]:.0f})"),
            choice(ACT, "Which bar would you start from?", like, traps, shuffled(rng, like, *traps)),
            *at_last(level, mark_for_a_miss(miss, slope, slope_sum)),
        ),
        (
            f"({marks[1]:.1f} - {marks[0]:.1f}) / {gap} = {slope:.2f} mm of mark for each millimetre of rise.",
            f"{marks[0]:.1f} + {slope:.2f} x {wanted - rises[0]:.0f} = {answer:.1f} mm.",
        ),
        recipe,
    )  # fmt: skip


def _rows(rng: Random, level: int, rises: tuple[float, float], marks: list[float]) -> list[Given]:
    # the two bars of the record; later with the mark as a sum, at last with the rise as read on both sides
    rows = []
    for rise, mark in zip(rises, marks, strict=True):
        inner = rng.randint(700, 850) / 10.0
        place = length_given("outer mark", level, ("inner mark", inner, "riser straight", round(mark - inner, 1)))
        off = rng.choice((0.2, 0.4, -0.3, -0.5))
        read = f"{rise:.0f} mm" if level < LEVELS[-1] else f"{rise + off:.1f} mm left and {rise - off:.1f} mm right"
        rows.append(Given(f"rise {read}, {place.words}", place.total, mark))
    return rows


def _two_bars(rng: Random, level: int) -> tuple[Scene, tuple[float, float]]:
    # a bar, and two rises within the window of its die
    for _ in range(500):
        order, recipe = scene(rng, level)
        low, high = rise_window_mm(order, recipe.radius_mm, recipe.inner_bend_deg, LEAST_RISER_MM)
        first = math.ceil(max(float(low), 45.0))
        gap = rng.choice((8, 10, 12))
        if first + gap <= float(high):
            return Scene(order, recipe), (float(first), float(first + gap))
    raise BendError("exercise must have two bars to look up, got none in 500 tries: choose another seed")


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
    start = float(rng.randint(5, 40))
    measured = (
        f"measures {line:.1f} mm" if level == 1 else f"runs from {start:.1f} to {start + line:.1f} mm on your rule"
    )
    line_sum = f"{line:.1f}" if level == 1 else f"({start + line:.1f} - {start:.1f})"
    printed = mark * line / 100.0
    right, shape = "print it again at 100 % (actual size)", "smaller" if line < 100.0 else "larger"
    other = "larger" if shape == "smaller" else "smaller"
    return Exercise(
        kind, lesson, "Trust the print?", seed, level,
        (
            f"A full-size sheet comes from the printer. Its line that must be 100 mm long {measured}.",
        ),
        (
            choice(ESTIMATE, "Everything on that sheet is ...", f"{shape} than true", {
                f"{other} than true": "you trust the line on the sheet more than your rule",
                "true, except for the line": "you think that only the line is wrong, but the whole sheet is scaled"},
                shuffled(rng, "smaller than true", "larger than true", "true, except for the line")),
            numeric(COMPUTE, f"A mark that should be at {mark:.1f} mm: where is it on that sheet?", "mm", printed,
                    0.3, (0.0, 400.0), (
                (mark, "you trust the sheet without a check"),
                (mark * 100.0 / line, "you divide, but you must multiply"),
                (mark + line - 100.0, "you count the error of the line once, not for each 100 mm"),
            ), hint="Every length is scaled in the same way as the line.", formula="on the sheet = mark x line / 100",
               numbers=f"{mark:.1f} x {line_sum} / 100"),
            choice(ACT, "What do you do?", right, {
                "scale every mark with a calculator": "you correct a bad print by sums, but if you forget one, the bar "
                                                      "is scrap",
                "use it, the error is small": f"you think that {abs(printed - mark):.1f} mm at one mark is small"},
                shuffled(rng, right, "scale every mark with a calculator", "use it, the error is small")),
            *at_last(level, scale_of_print(line, line_sum)),
        ),
        (
            f"{mark:.1f} x {line:.1f} / 100 = {printed:.1f} mm: off by {abs(printed - mark):.1f} mm.",
            "Print again at actual size, and measure the line again.",
        ),
    )  # fmt: skip
