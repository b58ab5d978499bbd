"""The words of an advice against the numbers they are about: what is named, and when nothing is said."""

import re
from dataclasses import replace

import numpy as np
import pytest

from barmath.checking import tweak_words
from barmath.checking.as_bent import PARTS, parts_of_recipe
from barmath.checking.bench_readings import BY_KEY, Reading, readings_of_parts
from barmath.checking.inspection import inspect
from barmath.shop.order_seven import order_seven_recipe
from barmath.shop.tolerance import USUAL, Tolerance

RECIPE = order_seven_recipe()
WANTED = parts_of_recipe(RECIPE)
KEYS = tuple(BY_KEY)
FOUR = ("backsweep_left", "backsweep_right", "rise_left", "rise_right")
EIGHT = (*FOUR, "grips_gap", "risers_gap", "between_risers", "width")
NO_TABLE = tuple(key for key in KEYS if key not in ("risers_gap", "between_risers", "width"))


def found(keys=KEYS, times=1, parts=WANTED, error=1.0, **misread):
    """The inspection of a bar by these readings, each so many times as unsure as usual."""
    values = readings_of_parts(RECIPE, parts, keys)[0]
    return inspect(RECIPE, [
        Reading(key, float(value) + misread.get(key, 0.0), error * BY_KEY[key].error, times)
        for key, value in zip(keys, values, strict=True)
    ])  # fmt: skip


@pytest.mark.parametrize("keys", [KEYS, EIGHT, FOUR, NO_TABLE], ids=["eleven", "eight", "four", "no table"])
@pytest.mark.parametrize("tweaked", [("twist",), ("left outer bend", "right inner bend"), PARTS])
def test_a_tweaked_part_that_the_readings_do_not_show_is_named_and_no_other(keys, tweaked):
    bar = found(keys)
    unknown = [part for part in tweaked if bar.parts[part].error == np.inf]
    words = tweak_words.unsure_words(tweaked, bar)
    assert len(words) == bool(unknown)
    assert [part for part in PARTS if part in " ".join(words)] == [part for part in PARTS if part in unknown]


def test_some_readings_show_every_part_some_only_a_few_and_some_none():
    unknown = [sum(each.error == np.inf for each in found(keys).parts.values()) for keys in (KEYS, NO_TABLE, FOUR)]
    assert unknown == [0, 1, 7]


@pytest.mark.parametrize("bound", [0.3, 0.5, 1.0, 1.9])
@pytest.mark.parametrize("times", [1, 4])
def test_a_reading_is_too_coarse_from_twice_its_error_on(bound, times):
    words = " ".join(tweak_words.coarse_words(found(times=times), Tolerance(bound, bound, 1.0)))
    for key, kind in BY_KEY.items():
        judged = key.split("_")[0] in ("backsweep", "upsweep", "rise") and key != "rise_on_grips"
        coarse = 2.0 * kind.error / np.sqrt(times) > bound
        if judged:
            assert (f"{kind.name.lower()} (" in words) == coarse, key
        elif key != "rise_on_grips":
            assert kind.name.lower() not in words


@pytest.mark.parametrize(("closed", "said"), [
    ((("left outer bend", 0.5),), "left outer bend"), ((("right outer bend", -0.5),), ""),
    ((("right inner bend", 0.5),), ""), ((("left outer bend", 0.51),), ""), ((("left outer bend", 0.0),), ""),
    ((("left outer bend", 0.2), ("right outer bend", 0.3)), "left outer bend and the right outer bend"),
])  # fmt: skip
def test_heat_may_close_an_outer_bend_by_as_much_as_it_does(closed, said):
    words = tweak_words.heat_words(closed, 0.5)
    assert words == () if not said else f"its heat may close the {said} by about 0.5 deg" in words[0]


def test_only_eight_readings_taken_once_are_said_to_check_each_other_once():
    said = [bool(tweak_words.once_words(bar)) for bar in (found(EIGHT), found(KEYS), found(EIGHT, 2), found(FOUR))]
    assert said == [True, False, False, False]


def test_what_is_to_be_read_again_is_the_misfit_or_else_the_reading_that_is_furthest_off():
    one = found(rise_left=12.0)
    assert tweak_words.again_words(one) == "the left rise: it does not fit the others"
    noisy = replace(one, misfits=(), scale=1.7, off={"rise_left": 1.0, "width": -2.0, "risers_gap": 1.9})
    assert tweak_words.again_words(noisy).startswith("all of them, and begin with the width: the readings scatter 1.7 ")
    both = replace(one, misfits=("rise_left", "between_risers", "grips_gap"))
    assert tweak_words.again_words(both) == (
        "the left rise, the distance between the risers and the gap under a grip: one of them does not fit the others"
    )


def test_the_slip_that_would_not_show_is_the_largest_for_its_kind_and_a_reading_is_asked_for():
    bar = found(EIGHT)
    words = tweak_words.more_words(bar, np.zeros(12, bool))
    worst = max(EIGHT, key=lambda key: bar.shows[key] / BY_KEY[key].error)
    name, least = re.match(r"If you misread the (.*?)(?: by less than (\d+) (?:mm|deg))?, the other", words).groups()
    assert set(name.split()) == set(BY_KEY[worst].name.lower().split())
    assert (least is None) == (bar.shows[worst] == np.inf)
    assert least is None or float(least) == pytest.approx(bar.shows[worst], abs=0.5)
    assert bar.add not in EIGHT
    assert words.endswith(f"Take the {tweak_words._the(BY_KEY[bar.add].name.lower())} too.")
    assert tweak_words.more_words(found(KEYS), np.zeros(12, bool)).endswith("Read it twice.")
    assert tweak_words.more_words(found(KEYS, 2), np.zeros(12, bool)) == ""


@pytest.mark.parametrize("part", ["left outer bend", "right outer bend", "twist"])
@pytest.mark.parametrize("off", [-2.5, 2.5])
def test_a_bar_that_rocks_is_said_to_by_the_gaps_and_the_part_that_was_bent_wrong(part, off):
    bar = found(parts=WANTED + off * (np.array(PARTS) == part))
    words = " ".join(tweak_words.rocking_words(bar))
    risers, grips = (bar.measures[key].value for key in ("risers_gap", "grips_gap"))
    assert (f"the {'right' if risers > 0.0 else 'left'} riser is {abs(risers):.1f} mm off it" in words) == (
        abs(risers) > USUAL.rock_mm
    )
    assert (f"the right grip's {'inner end' if grips > 0.0 else 'end'} is {abs(grips):.1f} mm off" in words) == (
        abs(grips) > USUAL.rock_mm
    )
    if abs(grips) > USUAL.rock_mm:
        assert ("the risers are out of phase" if part == "twist" else f"the {part} does most of it") in words
