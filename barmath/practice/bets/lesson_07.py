"""The bets of lesson 07, check the finished bar: order 7, and the same bar with a known fault."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from barmath.checking.as_bent import PARTS, parts_of_recipe
from barmath.checking.bench_readings import BY_KEY, Reading, readings_of_parts
from barmath.checking.inspection import Inspection, inspect
from barmath.checking.tweaks import Advice, advice
from barmath.practice.bets.bet import Bet, choice_bet, number_bet
from barmath.shop.order_seven import ORDER, order_seven_recipe
from barmath.shop.tolerance import USUAL

RECIPE = order_seven_recipe()
FAULT_DEG = (0.0, 0.0, 1.6, 0.0, 0.0, 0.0, -1.2)
"""By how much each part of the spoiled bar is too large, sorted as `PARTS`."""

FOUR = ("backsweep_left", "backsweep_right", "rise_left", "rise_right")
ANOTHER_BAR = ("13.9", "14.0", "3.4", "1.9", "89.5", "81.6", "", "-0.6", "-0.1", "341.1", "802.1")
"""What was read on another bar of order 7, one number for each reading."""

MISREAD_MM = 100.0


def readings_of_spoiled_bar() -> tuple[Reading, ...]:
    """What was read on the bar with the known fault, with the errors of a bench.

    Examples
    --------
    >>> from barmath.practice import readings_of_spoiled_bar
    >>> len(readings_of_spoiled_bar())
    11
    """
    shown, _ = readings_of_parts(RECIPE, parts_of_recipe(RECIPE) + np.array(FAULT_DEG), tuple(BY_KEY))
    slips = np.random.default_rng(12)
    return tuple(Reading(k, float(v + slips.normal(0, BY_KEY[k].error))) for k, v in zip(BY_KEY, shown, strict=True))


def sharpest_for_twist() -> Bet:
    """Which reading shows a twist best."""
    keys = {"a feeler under a riser": "risers_gap", "a rule at the bar's end": "rise_left"}
    keys |= {"an angle finder on a grip": "upsweep_left"}
    _, slopes = readings_of_parts(RECIPE, parts_of_recipe(RECIPE), tuple(keys.values()))
    steep = dict(zip(keys, np.abs(slopes[:, PARTS.index("twist")]), strict=True))
    shows = {name: BY_KEY[keys[name]].error / steep[name] for name in keys}
    best = min(shows, key=lambda name: shows[name])
    others = ", and ".join(f"{name} shows only {size:.1f} degrees" for name, size in shows.items() if name != best)
    why = (
        "**A gap on a flat table is the sharpest reading there is.** A feeler or a rule reads a gap to "
        f"{BY_KEY[keys[best]].error} mm. The gap under a riser grows by {steep[best]:.1f} mm for each degree of "
        f"twist. So it shows {shows[best]:.2f} degrees of twist. But {others}."
    )
    habits = {
        "a feeler under a riser": "you think that a small gap is a small thing",
        "a rule at the bar's end": "you think that the longest lever gives the sharpest reading",
        "an angle finder on a grip": "you think that only an angle can show an angle",
    }
    text = "One riser is turned out of the plane of the other one. Which of these shows the smallest twist?"
    return choice_bet(text, best, habits, keys, why)


def blamed_bend() -> Bet:
    """Which bend the fit blames on the spoiled bar."""
    (tweak,) = _advice().tweaks
    found = _found().parts[tweak.part]
    bends = tuple(part for part in PARTS if part.endswith("bend"))
    why = (
        f"The {tweak.part} is off: the fit finds {found.value:.1f} ± {found.error:.1f} degrees. "
        "The right end is too high, and its grip climbs too much. But both backsweeps are right. An outer bend that is "
        "off would show in the backsweep. The gap under a riser shows the twist, and nothing else does.\n\n"
        "The ± is one *standard error*: in about two bars of three the truth is within it, in 19 of 20 within twice as "
        "much. The bends come out to a fifth of a degree, the rolls only to half a degree: nothing on the bench reads "
        "a roll directly."
    )
    habits = {
        "left outer bend": "you swap left and right, and do not look at the backsweep",
        "left inner bend": "you swap left and right",
        "right inner bend": "you look at the right end, not at the backsweep",
        "right outer bend": "you think that the fault is in the bend next to the end",
    }
    bet = choice_bet("Which of the four bends of the spoiled bar is off?", tweak.part, habits, bends, why)
    return replace(bet, given=_read_on("The spoiled bar", readings_of_spoiled_bar()))


def four_readings() -> Bet:
    """How many of the seven angles four readings give."""
    few = _few()
    known = sum(bool(np.isfinite(part.error)) for part in few.parts.values())
    why = (
        f"{'None' if known == 0 else known} of them: each error is infinite. Four readings cannot give seven angles. "
        "The tool does not guess, and it will not say which bend to tweak. A tweak of any bend moves the upsweep too, "
        "and nobody has read that."
    )
    habits = (
        (4.0, "you think that four readings give four angles"),
        (7.0, "you think that the fit finds what nobody has read"),
    )
    text = "You read both backsweeps and both rises. How many of the seven angles do they give?"
    return number_bet(text, "", float(known), 0.3, (0.0, 7.0), habits, why)


def slip_that_shows() -> Bet:
    """How large a misread rise must be to be noticed."""
    most, few = _found().shows, _few().shows
    why = (
        f"With all eleven readings a slip of {most['rise_left']:.0f} mm in a rise shows, and a slip of "
        f"{most['upsweep_left']:.0f} degree in an upsweep. With four readings a rise may be {few['rise_left']:.0f} mm "
        "wrong, and nothing shows it. Nearly no other reading checks the gap under a riser."
    )
    habits = (
        (BY_KEY["rise_left"].error, "you think that a slip shows once it is larger than the error of the rule"),
        (few["rise_left"], "you forget the other seven readings"),
    )
    text = "You take all eleven readings. By how many mm must you misread a rise before the others show it?"
    return number_bet(text, "mm", most["rise_left"], 2.0, (0.0, 400.0), habits, why)


def what_to_do() -> Bet:
    """What to do with the spoiled bar."""
    what = _advice()
    (tweak,) = what.tweaks
    ways = ("leave it alone", "tweak one bend", "tweak two bends", "scrap it")
    why = (
        f"{what.verdict[:1].upper()}{what.verdict[1:]}, because {what.why}. One tweak brings all of it within: "
        f"**{tweak.words}**. The tool looks for the fewest tweaks, two at most, that bring everything within. It "
        "advises no tweak that may spoil what is within."
    )
    habits = {
        ways[0]: f"you forget the bound of {USUAL.rise_mm:.0f} mm of rise",
        ways[1]: "you take the first bend that you think of",
        ways[2]: "you think that the rider sees the twist",
        ways[3]: "you think that a bar that is out cannot be saved",
    }
    return choice_bet("What do you do with the spoiled bar?", ways[len(what.tweaks)], habits, ways, why)


def another_bar() -> Bet:
    """Which bend of another bar is off, and which way."""
    found = inspect(RECIPE, _typed(ANOTHER_BAR))
    (tweak,) = advice(found, ORDER).tweaks
    low = float(ORDER.rise_mm) - float(ANOTHER_BAR[5])
    ways = tuple(f"{way} the {side} bend" for way in ("close", "open") for side in ("right inner", "right outer"))
    right = f"{'close' if tweak.by_deg > 0 else 'open'} the {tweak.part}"
    why = (
        f"It does not rock: half a millimetre is nothing. The right end is low by {low:.1f} mm, and its upsweep is too "
        "small. Both backsweeps are right. An outer bend or a roll that is off would show in the backsweep. So it is "
        f"the {tweak.part}: {tweak.words}."
    )
    habits = {
        way: "you swap the two ways of a tweak, but to close a bend is to bend it further"
        if way.endswith(tweak.part)
        else "you blame the bend next to the low end"
        for way in ways
    }
    bet = choice_bet("Which bend of the other bar do you tweak, and which way?", right, habits, ways, why)
    return replace(bet, given=_read_on("The other bar", _typed(ANOTHER_BAR)))


def misread_rise() -> Bet:
    """What the panel advises where one rise is misread."""
    typed = (*ANOTHER_BAR[:4], f"{MISREAD_MM:.0f}", *ANOTHER_BAR[5:])
    what = advice(inspect(RECIPE, _typed(typed)), ORDER)
    ways = ("open the left inner bend", "read the left rise again", "scrap the bar")
    right = ways[1 if "left rise: it does not fit" in what.why and not what.tweaks else 0]
    why = (
        f"With {MISREAD_MM:.0f} for the left rise the panel advises no tweak at all. It asks you to read the left rise "
        "again, because it does not fit the others. **While one reading does not fit the others, bend nothing.**"
    )
    habits = {
        ways[0]: "you believe one reading more than all the others",
        ways[1]: "a reading is doubted that fits",
        ways[2]: "you confuse a slip of the pen with a slip at the bench",
    }
    text = f"You write {MISREAD_MM:.0f} for the left rise of the other bar by mistake. What does the tool advise?"
    return choice_bet(text, right, habits, ways, why)


def _read_on(bar: str, readings: tuple[Reading, ...]) -> str:
    wanted, _ = readings_of_parts(RECIPE, parts_of_recipe(RECIPE), tuple(one.key for one in readings))
    rows = [
        f"{BY_KEY[one.key].name.lower()} {one.value + 0.0:.1f} {BY_KEY[one.key].unit} ({want + 0.0:.1f})"
        for one, want in zip(readings, wanted, strict=True)
    ]
    return f"{bar} is one of order 7. It reads, and order 7 asks for what is in brackets: {'; '.join(rows)}."


def _typed(texts: tuple[str, ...]) -> tuple[Reading, ...]:
    return tuple(Reading(key, float(text)) for key, text in zip(BY_KEY, texts, strict=True) if text)


@cache
def _found() -> Inspection:
    return inspect(RECIPE, readings_of_spoiled_bar())


@cache
def _few() -> Inspection:
    return inspect(RECIPE, [one for one in readings_of_spoiled_bar() if one.key in FOUR])


@cache
def _advice() -> Advice:
    return advice(_found(), ORDER)


BETS = {
    "sharpest for a twist": sharpest_for_twist,
    "puzzle: the bend that is off": blamed_bend,
    "four readings": four_readings,
    "slip that shows": slip_that_shows,
    "what to do": what_to_do,
    "another bar": another_bar,
    "misread rise": misread_rise,
}
"""As the lesson asks them, first to last."""
