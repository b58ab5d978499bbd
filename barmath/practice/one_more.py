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
        ((0.5 * whole, "you take one half of the bar, not the whole"),
         (whole - 2.0 * arc, "you leave out the arcs of the outer bends"),
         (whole - 2.0 * grip, "you leave out the grips")),
        hint="Outer mark, outer arc and grip together are one half of the tube.",
        formula="cut length = 2 x (outer mark + outer arc + grip)", numbers=f"2 x ({total} + {grip:.1f})",
    )  # fmt: skip


def lowest_rise(radius: float, radius_sum: str, bend: float, what: str) -> Question:
    """The lowest rise of a die for a bar without sweep: two arcs and the shortest straight."""
    sine, turned = math.sin(bend * RADIAN), 1.0 - math.cos(bend * RADIAN)
    lowest = 2.0 * radius * turned + LEAST_RISER_MM * sine
    return numeric(
        MORE, f"The tooling needs a riser straight of {LEAST_RISER_MM:.0f} mm. {what}", "mm", lowest, 0.5, (0.0, 300.0),
        ((2.0 * radius * turned, "you leave out the straight that the tooling needs"),
         (radius * turned + LEAST_RISER_MM * sine, "you count only one of the two arcs"),
         (LEAST_RISER_MM * sine, "you leave out the two arcs")),
        hint="Add the climb of the two arcs and of the shortest straight.",
        formula="lowest rise = 2 x R x (1 - cos a) + straight x sin a",
        numbers=f"2 x {radius_sum} x (1 - cos {bend:.1f}) + {LEAST_RISER_MM:.0f} x sin {bend:.1f}",
    )  # fmt: skip


def degrees_of_slip(lever: float, lever_sum: str, degrees: float) -> Question:
    """By how much a stop was off, from how much higher the bar end is."""
    high = round(lever * degrees * RADIAN, 1)
    return numeric(
        MORE, f"The other end of that bar is {high:.1f} mm too high. By how many degrees was its inner stop too far?",
        "deg", high / lever / RADIAN, 0.1, (0.0, 30.0),
        ((high, "you count a millimetre as a degree"), (high / lever, "you leave the angle in radians"),
         (high / lever / RADIAN / 2.0, "you use the whole width as the lever arm")),
        hint="Use the same lever arm, and go back from the height to the angle.",
        formula="degrees = too high / lever arm x 57.296", numbers=f"{high:.1f} / {lever_sum} x 57.296",
    )  # fmt: skip


def inner_stop(inner: float, outer: float, kept: float) -> Question:
    """The stop for the inner bends of a pair."""
    setting = inner * STOP_DEG / kept
    return numeric(
        MORE, "And to what do you set the stop for its inner bends?", "deg", setting, 0.1, (0.0, 90.0),
        ((outer * STOP_DEG / kept, "you swap the two stops, and this one is for the outer bends"),
         (inner, "you forget the springback")),
        hint="The same share springs back from each bend.", formula="stop = inner bend x what was set / sprang back to",
        numbers=f"its inner bend x {STOP_DEG:.1f} / {kept:.1f}",
    )  # fmt: skip


def roll_of_reading(inner: float, inner_sum: str, shown: float) -> Question:
    """By what roll a tube was turned, from what the finder showed."""
    shown = round(shown, 1)
    roll = math.degrees(math.asin(math.sin(shown * RADIAN) / math.sin(inner * RADIAN)))
    return numeric(
        MORE, f"On the other side the finder, zeroed, showed {shown:.1f} deg. By what roll was the tube turned there?",
        "deg", roll, 0.4, (0.0, 90.0),
        ((shown, "you confuse the reading with the roll"),
         (shown / math.cos(inner * RADIAN), "you divide by the cosine"),
         (math.degrees(math.asin(math.sin(shown * RADIAN) * math.sin(inner * RADIAN))),
          "you multiply by the sine, but you must divide by it")),
        hint="Use the same formula, and go back from the reading to the roll.",
        formula="sin(roll) = sin(reading) / sin(inner bend)",
        numbers=f"arcsin(sin {shown:.1f} / sin {inner_sum})",
    )  # fmt: skip


def on_a_finder_with_an_error(shown: float, shown_sum: str, zero: float, words: str, zero_sum: str) -> Question:
    """To what a finder that is not zeroed is turned; `words` say what it shows on a level tube."""
    return numeric(
        MORE, f"{words} You do not zero it. To what reading do you turn the tube?", "deg", shown + zero, 0.15,
        (0.0, 90.0),
        ((shown, "you forget the finder's own error"),
         (shown - zero, "you subtract the finder's own error, but you must add it")),
        hint="Half the sum of the two readings is the finder's own error.",
        formula="turn to = reading + (first + second) / 2", numbers=f"{zero_sum} + {shown_sum}",
    )  # fmt: skip


def on_the_other_bender(side: str, turns: str, ways: tuple[str, str], hint: str) -> Question:
    """Which way the clamp flat runs if the bender turns the other way; `ways` are its answer and the other one."""
    other = "right" if turns == "left" else "left"
    return choice(
        MORE, f"On another bender the free end comes round to the {other}. You hold the same {side} outer bend "
        "in the same way. Which way must the clamp flat go?", ways[0],
        {ways[1]: "you keep the slope, but a bender that turns the other way needs the other slope"},
        sorted(ways), hint,
    )  # fmt: skip


def riser_for_the_follower(follower: float, hook: float, total: str) -> Question:
    """The shortest riser if the grips are in the hook."""
    return numeric(
        MORE, "What is the shortest riser if the grips are in the hook?", "mm", follower, 0.5, (0.0, 200.0),
        ((hook, "you put the hook on the riser, but it holds the grip"),
         (hook + follower, "you put both hook and follower on the riser")),
        hint="The hook holds the grip. What is on the riser then?",
        formula="shortest riser = straight tube that the follower needs", numbers=total,
    )  # fmt: skip


def share_behind_play(first: float, second: float) -> Question:
    """The share that springs back, from test bends of two sizes on a bender with play in its stop."""
    share = 100.0 * (STOP_DEG - (second - first)) / STOP_DEG
    return numeric(
        MORE, f"On a bender with play in its stop, a stop of {STOP_DEG:.0f} deg gives {first:.1f} deg, and one of "
        f"{2.0 * STOP_DEG:.0f} deg gives {second:.1f} deg. What share of the angle springs back?",
        "%", share, 0.2, (0.0, 30.0),
        ((100.0 * (STOP_DEG - first) / STOP_DEG, "you count play and springback together"),
         (STOP_DEG - (second - first), "you read degrees as per cent")),
        hint="Play takes the same from each bend. So look at the difference between the two bends.",
        formula="share = 100 x (more set - more kept) / more set",
        numbers=f"100 x ({STOP_DEG:.0f} - ({second:.1f} - {first:.1f})) / {STOP_DEG:.0f}",
    )  # fmt: skip


def sweep_with_it(sweep: float, other: float, numbers: str) -> Question:
    """How far the backsweep moved with the bend that is off; `other` is what the other bend would have done."""
    return numeric(
        MORE, "Now check it. The same bend moves the backsweep of its side. By how many degrees must that backsweep "
        "be off?", "deg", sweep, 0.2, (-40.0, 40.0),
        ((other, "you use the other bend of that side"), (-sweep, "you turn the sign round")),
        hint="Multiply its degrees by the backsweep that a degree gives.",
        formula="backsweep off = degrees off x backsweep a degree gives", numbers=numbers,
    )  # fmt: skip


def other_ordinate(station: float, ordinate: float, first: float, total: str) -> Question:
    """The ordinate at a second station; `first` is the one that was asked before."""
    return numeric(
        MORE, f"And what is the ordinate at station {station:.0f}?", "mm", ordinate, 0.25, (0.0, 120.0),
        ((first, "you use the station of the question before"),
         (2.0 * ordinate, "you use the diameters, not the radii")),
        hint="Use the same formula at the other station.",
        formula="z(t) = r x cos t / tan angle + sqrt(R^2 - (r x sin t)^2) / sin angle", numbers=total,
    )  # fmt: skip


def mark_for_a_miss(miss: float, slope: float, slope_sum: str) -> Question:
    """How far the outer mark moves for a rise that missed."""
    return numeric(
        MORE, f"You bend it, and its rise is {miss:.1f} mm too low. How far outward does the mark of the next bar go?",
        "mm", miss * slope, 0.3, (0.0, 60.0),
        ((miss, "you count a millimetre of rise as a millimetre of mark"), (miss / slope, "you divide by the slope")),
        hint="Multiply the missing rise by the same slope.", formula="move = missed rise x slope",
        numbers=f"{miss:.1f} x {slope_sum}",
    )  # fmt: skip


def scale_of_print(line: float, line_sum: str) -> Question:
    """At what scale a printer comes out true."""
    return numeric(
        MORE, "You printed it at 100 %, and a second print is the same. Which scale makes the line 100 mm long?", "%",
        1e4 / line, 0.2, (0.0, 200.0),
        ((line, "you make the error a second time"), (100.0, "you think that the scale is true already")),
        hint="If the line is too short, print larger. If it is too long, print smaller.",
        formula="scale = 100 x 100 / line", numbers=f"100 x 100 / {line_sum}",
    )  # fmt: skip


def ends_behind_axis(forward: float, back: float, rolled: float, numbers: str) -> Question:
    """How far forward of the steering axis the bar's ends are; `rolled` is how far behind the clamp they are now."""
    return numeric(
        MORE, "How far forward of the steering axis are the bar's ends then? Minus means behind it.", "mm",
        forward - rolled, 0.5, (-300.0, 300.0),
        ((forward - back, "you think that the stem roll does not move the ends"),
         (forward + rolled, "you add the way back, but you must subtract it"),
         (-rolled, "you leave out the stem")),
        hint="The stem puts the clamp forward. The ends are behind the clamp.",
        formula="forward = stem forward - (back x cos(stem roll) + rise x sin(stem roll))", numbers=numbers,
    )  # fmt: skip


def force_at(yield_mpa: Sequence[float], modulus: tuple[float, str], lever: tuple[float, str]) -> Question:
    """The force at which the band of yield begins; modulus and lever arm come with their sums."""
    low, high = yield_mpa
    force = low * modulus[0] / lever[0]
    return numeric(
        MORE, "At what force does the stress at the stem reach the low end of the band?", "N", force, 0.01 * force,
        (0.0, 5000.0),
        ((high * modulus[0] / lever[0], "you use the high end of the band"),
         (low * modulus[0] / (2.0 * lever[0]), "you count the lever arm twice")),
        hint="Use the same formula, and go back from the stress to the force.",
        formula="force = stress x section modulus / lever arm", numbers=f"{low:.0f} x {modulus[1]} / {lever[1]}",
    )  # fmt: skip
