"""The advice on a finished bar in words: what is out, what to read again, what the readings would not show."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np

from barmath.arrays import Array
from barmath.checking.as_bent import PARTS, parts_of_recipe
from barmath.checking.bench_readings import BY_KEY, readings_of_parts
from barmath.checking.goal import NAMES, Judged, Truths, readings_for, unit_of
from barmath.checking.inspection import Inspection
from barmath.shop.tolerance import USUAL, Tolerance

_NEARLY = 1e-9  # rounding puts nothing out


def out_words(off: Array, bound: Array) -> list[str]:
    """What is beyond `bound`, a phrase each, sorted as `goal.NAMES`."""
    said = []
    for name, value, most in zip(NAMES, off, bound, strict=True):
        size = f"{abs(value):.1f} {unit_of(name)}"
        if abs(value) <= most + _NEARLY:
            continue
        if name in ("backsweep", "upsweep"):
            said.append(f"the sides are {size} apart in {name}")
        elif name == "gap under a riser":
            said.append(f"a riser is {size} off the table")
        elif name == "gap under a grip":
            said.append(f"a grip is {size} off the table")
        else:
            said.append(f"the {name} is {size} too {'large' if value > 0.0 else 'small'}")
    return said


def left_words(now: Judged, unknown: Truths) -> str:
    """Why a bar that is within as read is left alone, and how likely it is within in those measures."""
    chance = max(1.0 - float((1.0 - now.within)[~unknown].sum()), 0.0)
    sure = int(100.0 * chance)
    share = "the readings are too few to be sure"
    if sure:
        share = f"of 100 bars with such readings at least {sure} are truly within it"
    if not unknown.any():
        nearest = NAMES[int(np.argmin(now.within))]
        return f"everything is within your tolerance as read, but the {nearest} is near its bound: {share}"
    unread = _listed([_the(BY_KEY[key].name.lower()) for key in readings_for(unknown)])
    return f"what was read is within your tolerance: {share}; to know the rest, read the {unread}"


def after_words(chance: float) -> str:
    """How many bars out of a hundred are within the tolerance once the advice is followed: at least so many."""
    sure = int(100.0 * chance)
    if not sure:
        return "These readings are too few to say how many such bars are then within your tolerance"
    return f"Of 100 such bars at least {sure} are then within your tolerance"


def again_words(found: Inspection) -> str:
    """Which reading to take again while the readings do not fit each other, as said after "read again first"."""
    if found.misfits:
        names = [BY_KEY[key].name.lower() for key in found.misfits]
        if len(names) == 1:
            return f"the {_the(names[0])}: it does not fit the others"
        return f"the {_listed([_the(name) for name in names])}: one of them does not fit the others"
    worst = BY_KEY[max(found.off, key=lambda key: abs(found.off[key]))].name.lower()
    return (
        f"all of them, and begin with the {_the(worst)}: the readings scatter {found.scale:.1f} times as much as "
        "stated, and every ± here was made larger by as much"
    )


def hanging_words(why: str, keys: Sequence[str]) -> str:
    """What is out, and which readings to take a second time before anything is bent or scrapped."""
    names = _listed([_the(BY_KEY[key].name.lower()) for key in keys])
    one = len(keys) == 1
    return (
        f"{why}; before you bend or scrap it read the {names} a second time and put both values in: "
        f"the others do not show whether {'it is' if one else 'they are'} misread"
    )


def more_words(found: Inspection, unknown: Truths) -> str:
    """The slip that the readings are least likely to show, and what to read besides; empty where all came twice."""
    taken = [reading for reading in found.readings if reading.times == 1]
    if not taken:
        return ""
    worst = max(taken, key=lambda reading: found.shows[reading.key] / float(reading.error or 1.0))
    least, kind = found.shows[worst.key], worst.kind
    name = _the(kind.name.lower())
    known = {reading.key for reading in found.readings}
    asked = [key for key in readings_for(unknown) if key not in known] or ([found.add] if found.add else [])
    slip = f"misread the {name}" + ("" if np.isinf(least) else f" by less than {least:.0f} {kind.unit}")
    names = _listed([_the(BY_KEY[key].name.lower()) for key in asked]) if asked else ""
    more = f"Take the {names} too." if asked else "Read it twice."
    return f"If you {slip}, the other readings do not show it. {more}"


def once_words(found: Inspection) -> tuple[str, ...]:
    """What one reading more than there are parts cannot show."""
    if len(found.readings) != len(PARTS) + 1 or any(reading.times > 1 for reading in found.readings):
        return ()
    return (
        "read the most important ones twice: these readings check each other only once, so nobody can know whether "
        "they scatter more than stated",
    )


def rocking_words(inspection: Inspection, tolerance: Tolerance = USUAL) -> tuple[str, ...]:
    """Where the bar rocks on a flat table: on which side, by how much, and which bend does it.

    Parameters
    ----------
    inspection : Inspection
    tolerance : Tolerance

    Examples
    --------
    >>> from barmath.checking import Reading, inspect, rocking_words, wanted_readings
    >>> from barmath.shop import order_seven_recipe
    >>> recipe = order_seven_recipe()
    >>> keys = ("backsweep_left", "backsweep_right", "rise_left", "rise_right")
    >>> readings = map(Reading, keys, wanted_readings(recipe, keys))
    >>> found = inspect(recipe, list(readings))
    >>> rocking_words(found)
    ()
    """
    risers, grips = (inspection.measures[key].value for key in ("risers_gap", "grips_gap"))
    said = []
    twist = inspection.parts["twist"].value
    if abs(risers) > tolerance.rock_mm:
        side = "right" if risers > 0.0 else "left"
        said.append(
            f"front down on the table, the {side} riser is {abs(risers):.1f} mm off it: the inner bends are "
            f"{abs(twist):.1f} deg out of phase"
        )
    if abs(grips) > tolerance.rock_mm:
        said.append(
            f"upside down on its grips, the right grip's {'inner end' if grips > 0.0 else 'end'} is "
            f"{abs(grips):.1f} mm off the table: {_grips_cause(inspection)}"
        )
    return tuple(said)


def _grips_cause(inspection: Inspection) -> str:
    # the part that explains most of the gap, being off
    recipe = inspection.recipe
    slopes = readings_of_parts(recipe, inspection.parts_deg, ("grips_gap",))[1][0]
    off = inspection.parts_deg - parts_of_recipe(recipe)
    name = PARTS[int(np.argmax(slopes * off * np.sign(inspection.measures["grips_gap"].value)))]
    return "the risers are out of phase" if name == "twist" else f"the {name} does most of it"


def coarse_words(found: Inspection, tolerance: Tolerance) -> tuple[str, ...]:
    """Readings taken that are too coarse for the tolerance."""
    bounds = {"deg": tolerance.sweep_deg, "mm": tolerance.rise_mm}
    said = []
    for reading in found.readings:
        kind, error = reading.kind, 2.0 * found.scale * reading.mean_error
        if kind.key.partition("_")[0] in ("backsweep", "upsweep", "rise") and error > bounds[kind.unit]:
            said.append(f"{kind.name.lower()} (± {error:.1f} {kind.unit})")
    return (f"the readings are too coarse for your tolerance of {', '.join(said)}: read again",) if said else ()


def heat_words(closed: Iterable[tuple[str, float]], heat_deg: float = USUAL.heat_deg) -> tuple[str, ...]:
    """What brazing may do by itself, where an outer bend is to be closed a little; parts with degrees of each tweak."""
    closing = [part for part, by_deg in closed if part.endswith("outer bend") and 0.0 < by_deg <= heat_deg]
    if not closing:
        return ()
    return (
        f"if a crossbar is brazed at the outer marks, its heat may close the {' and the '.join(closing)} by about "
        f"{heat_deg:.1f} deg: braze first, then read again (common practice, no source, and not promised)",
    )


def unsure_words(tweaked: Iterable[str], found: Inspection) -> tuple[str, ...]:
    """Which tweaked parts the readings leave unknown by themselves."""
    unknown = [part for part in tweaked if not np.isfinite(found.parts[part].error)]
    if not unknown:
        return ()
    return (
        f"the readings do not show whether the {' or the '.join(unknown)} itself came out wrong; the tweak still "
        "corrects the measures",
    )


def _the(name: str) -> str:
    # as said after "the": "rise left" is the left rise
    what, _, side = name.rpartition(" ")
    if side in ("left", "right"):
        return f"{side} {what}"
    return f"distance {name}" if name.startswith("between") else name


def _listed(names: Sequence[str]) -> str:
    return ", the ".join(names[:-1]) + (" and the " if len(names) > 1 else "") + names[-1]
