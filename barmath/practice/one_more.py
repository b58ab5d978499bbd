"""The fourth step that an exercise has at the last level: what follows from the three before it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from barmath.arrays import RADIAN
from barmath.practice.exercise import MORE, Question, choice, numeric
from barmath.practice.givens import STOP_DEG
from barmath.practice.scene import LEAST_RISER_MM, LEVELS

Steps = tuple[Question, ...]


def at_last(level: int, question: Question) -> Steps:
    """The question at the last level, nothing before it."""
    return (question,) if level == LEVELS[-1] else ()


def cut_length(outer_mark: float, arc: float, grip: float, total: str) -> Question:
    """How long the tube is cut; `total` is the outer mark and the last arc as a sum."""
    whole = 2.0 * (outer_mark + arc + grip)
    return numeric(
        MORE, "How long must the straight tube be cut for the whole bar?", "mm", whole, 1.0, (0.0, 2000.0),
        ((0.5 * whole, "one half of the bar is taken for the whole"),
         (whole - 2.0 * arc, "the arcs of the outer bends are left out"),
         (whole - 2.0 * grip, "the grips are left out")),
        hint="outer mark, outer arc and grip are one half of the tube",
        formula="cut length = 2 x (outer mark + outer arc + grip)", numbers=f"2 x ({total} + {grip:.1f})",
    )  # fmt: skip


def lowest_rise(radius: float, radius_sum: str, bend: float, what: str) -> Question:
    """The lowest rise of a die for a bar without sweep: two arcs and the shortest straight."""
    sine, turned = math.sin(bend * RADIAN), 1.0 - math.cos(bend * RADIAN)
    lowest = 2.0 * radius * turned + LEAST_RISER_MM * sine
    return numeric(
        MORE, f"The tooling needs a riser straight of {LEAST_RISER_MM:.0f} mm. {what}", "mm", lowest, 0.5, (0.0, 300.0),
        ((2.0 * radius * turned, "the straight that the tooling needs is left out"),
         (radius * turned + LEAST_RISER_MM * sine, "only one of the two arcs is counted"),
         (LEAST_RISER_MM * sine, "the two arcs are left out")),
        hint="two arcs and the shortest straight climb, one after the other",
        formula="lowest rise = 2 x R x (1 - cos a) + straight x sin a",
        numbers=f"2 x {radius_sum} x (1 - cos {bend:.1f}) + {LEAST_RISER_MM:.0f} x sin {bend:.1f}",
    )  # fmt: skip


def degrees_of_slip(lever: float, lever_sum: str, degrees: float) -> Question:
    """By how much a stop was off, from how much higher the bar end is."""
    high = round(lever * degrees * RADIAN, 1)
    return numeric(
        MORE, f"The other end of that bar is {high:.1f} mm too high. By how many degrees was its inner stop too far?",
        "deg", high / lever / RADIAN, 0.1, (0.0, 30.0),
        ((high, "a millimetre is taken for a degree"), (high / lever, "the angle is left in radians"),
         (high / lever / RADIAN / 2.0, "the whole width is taken for the lever arm")),
        hint="the same lever arm, from the height back to the angle",
        formula="degrees = too high / lever arm x 57.296", numbers=f"{high:.1f} / {lever_sum} x 57.296",
    )  # fmt: skip


def inner_stop(inner: float, outer: float, kept: float) -> Question:
    """The stop for the inner bends of a pair."""
    setting = inner * STOP_DEG / kept
    return numeric(
        MORE, "And to what do you set the stop for its inner bends?", "deg", setting, 0.1, (0.0, 90.0),
        ((outer * STOP_DEG / kept, "the two stops are swapped: this is the one for the outer bends"),
         (inner, "springback is forgotten")),
        hint="the same share springs back from each bend", formula="stop = inner bend x what was set / sprang back to",
        numbers=f"its inner bend x {STOP_DEG:.1f} / {kept:.1f}",
    )  # fmt: skip


def roll_of_reading(inner: float, inner_sum: str, shown: float) -> Question:
    """By what roll a tube was turned, from what the finder showed."""
    shown = round(shown, 1)
    roll = math.degrees(math.asin(math.sin(shown * RADIAN) / math.sin(inner * RADIAN)))
    return numeric(
        MORE, f"On the other side the finder, zeroed, showed {shown:.1f} deg. By what roll was the tube turned there?",
        "deg", roll, 0.4, (0.0, 90.0),
        ((shown, "the reading is taken for the roll"), (shown / math.cos(inner * RADIAN), "the cosine is divided by"),
         (math.degrees(math.asin(math.sin(shown * RADIAN) * math.sin(inner * RADIAN))),
          "one multiplies by the sine where one must divide")),
        hint="the same formula, from the reading back to the roll",
        formula="sin(roll) = sin(reading) / sin(inner bend)",
        numbers=f"the angle with the sine sin {shown:.1f} / sin {inner_sum}",
    )  # fmt: skip


def on_a_finder_with_an_error(shown: float, shown_sum: str, zero: float, words: str, zero_sum: str) -> Question:
    """To what a finder that is not zeroed is turned; `words` say what it shows on a level tube."""
    return numeric(
        MORE, f"{words} Without zeroing it, to what do you turn?", "deg", shown + zero, 0.15, (0.0, 90.0),
        ((shown, "the finder's own zero is forgotten"),
         (shown - zero, "the finder's zero is taken off where it must be added")),
        hint="half the sum of the two readings is the finder's own error",
        formula="turn to = reading + (first + second) / 2", numbers=f"{zero_sum} + {shown_sum}",
    )  # fmt: skip


def on_the_other_bender(side: str, turns: str, ways: tuple[str, str], hint: str) -> Question:
    """Which way the clamp flat runs if the bender turns the other way; `ways` are its answer and the other one."""
    other = "right" if turns == "left" else "left"
    return choice(
        MORE, f"On another bender the free end comes round to the {other}. For the same {side} outer bend, "
        "held the same way, the clamp flat must run ...", ways[0],
        {ways[1]: "the bender is taken to make no difference; turning the other way, it turns the slope over"},
        sorted(ways), hint,
    )  # fmt: skip


def riser_for_the_follower(follower: float, hook: float, total: str) -> Question:
    """The shortest riser if the grips are in the hook."""
    return numeric(
        MORE, "What is the shortest riser if the grips are in the hook?", "mm", follower, 0.5, (0.0, 200.0),
        ((hook, "the hook is put on the riser; it holds the grip"),
         (hook + follower, "hook and follower are both put on the riser")),
        hint="what is on the riser while the outer bend is made from the grip?",
        formula="shortest riser = straight tube that the follower needs", numbers=total,
    )  # fmt: skip


def share_behind_play(first: float, second: float) -> Question:
    """The share that springs back, from test bends of two sizes on a bender with play in its stop."""
    share = 100.0 * (STOP_DEG - (second - first)) / STOP_DEG
    return numeric(
        MORE, f"On a bender with play in its stop, a stop of {STOP_DEG:.0f} deg gives {first:.1f} deg, and one of "
        f"{2.0 * STOP_DEG:.0f} deg gives {second:.1f} deg. What share of the angle springs back?",
        "%", share, 0.2, (0.0, 30.0),
        ((100.0 * (STOP_DEG - first) / STOP_DEG, "play and springback are taken together"),
         (STOP_DEG - (second - first), "degrees are taken for per cent")),
        hint="play takes the same from each bend, so look at what the second bend has more",
        formula="share = 100 x (more set - more kept) / more set",
        numbers=f"100 x ({STOP_DEG:.0f} - ({second:.1f} - {first:.1f})) / {STOP_DEG:.0f}",
    )  # fmt: skip


def sweep_with_it(sweep: float, other: float, numbers: str) -> Question:
    """How far the backsweep moved with the bend that is off; `other` is what the other bend would have done."""
    return numeric(
        MORE, "Check it. By how many degrees must that side's backsweep be off with it?", "deg", sweep, 0.2,
        (-40.0, 40.0), ((other, "the other bend of that side is taken"), (-sweep, "the sign is turned round")),
        hint="its degrees, times the backsweep that a degree gives",
        formula="backsweep off = degrees off x backsweep a degree gives", numbers=numbers,
    )  # fmt: skip


def other_ordinate(station: float, ordinate: float, first: float, total: str) -> Question:
    """The ordinate at a second station; `first` is the one that was asked before."""
    return numeric(
        MORE, f"And what is the ordinate at station {station:.0f}?", "mm", ordinate, 0.25, (0.0, 120.0),
        ((first, "the station before is taken"), (2.0 * ordinate, "diameters are taken for radii")),
        hint="the same formula, at another angle round the tube",
        formula="z(t) = r x cos t / tan angle + sqrt(R^2 - (r x sin t)^2) / sin angle", numbers=total,
    )  # fmt: skip


def mark_for_a_miss(miss: float, slope: float, slope_sum: str) -> Question:
    """How far the outer mark moves for a rise that missed."""
    return numeric(
        MORE, f"You bend it, and its rise is {miss:.1f} mm too low. How far out do you move the mark for the next one?",
        "mm", miss * slope, 0.3, (0.0, 60.0),
        ((miss, "a millimetre of rise is taken for a millimetre of mark"), (miss / slope, "one divides by the slope")),
        hint="the same slope, for what the rise missed", formula="move = missed rise x slope",
        numbers=f"{miss:.1f} x {slope_sum}",
    )  # fmt: skip


def scale_of_print(line: float, line_sum: str) -> Question:
    """At what scale a printer comes out true."""
    return numeric(
        MORE, "It was printed at 100 % already, and comes out so again. Which scale makes the line 100 mm long?", "%",
        1e4 / line, 0.2, (0.0, 200.0),
        ((line, "the error is made a second time"), (100.0, "the scale is taken to be true already")),
        hint="what came out too small must be printed larger", formula="scale = 100 x 100 / line",
        numbers=f"100 x 100 / {line_sum}",
    )  # fmt: skip


def ends_behind_axis(forward: float, back: float, rolled: float, numbers: str) -> Question:
    """How far forward of the steering axis the bar's ends are; `rolled` is how far behind the clamp they are now."""
    return numeric(
        MORE, "How far forward of the steering axis are the bar's ends then? Minus: behind it.", "mm",
        forward - rolled, 0.5, (-300.0, 300.0),
        ((forward - back, "the stem roll is taken to leave the ends where they are"),
         (forward + rolled, "the way back is added where it must be taken off"),
         (-rolled, "the stem is left out")),
        hint="the clamp is forward by the stem; the ends are behind the clamp",
        formula="forward = stem forward - (back x cos(stem roll) + rise x sin(stem roll))", numbers=numbers,
    )  # fmt: skip


def force_at(yield_mpa: Sequence[float], modulus: tuple[float, str], lever: tuple[float, str]) -> Question:
    """The force at which the band of yield begins; modulus and lever arm come with their sums."""
    low, high = yield_mpa
    force = low * modulus[0] / lever[0]
    return numeric(
        MORE, "At what force does the stress at the stem reach the low end of the band?", "N", force, 0.01 * force,
        (0.0, 5000.0),
        ((high * modulus[0] / lever[0], "the high end of the band is taken"),
         (low * modulus[0] / (2.0 * lever[0]), "the lever arm is taken twice")),
        hint="the same sum, from the stress back to the force",
        formula="force = stress x section modulus / lever arm", numbers=f"{low:.0f} x {modulus[1]} / {lever[1]}",
    )  # fmt: skip
