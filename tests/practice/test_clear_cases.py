"""What is asked has one clear answer: right and wrong are apart by more than a bench can read, and not by much more."""

import re

import numpy as np
import pytest
from practice.sums import worked_out

from barmath import Recipe, clamp_reading_deg, shape_from_recipe
from barmath.practice.course import BY_NAME
from barmath.practice.scene import LEVELS


def each(name, count):
    """Exercises of one kind, the three levels in turn, in millimetres."""
    return [BY_NAME[name].make(name, BY_NAME[name].lesson, seed, 1 + seed % 3) for seed in range(count)]


def nearest(values, least, almost):
    """Assert that all of them are at least so much, and the smallest is almost no more."""
    assert least - 1e-9 <= min(values) < almost


def test_a_pair_makes_its_rise_and_an_accepted_upsweep_or_misses_one_of_them_clearly():
    short, level, leaning = [], [], []
    above_low, below_high = ({"right": [], "leaning": []} for _ in range(2))
    for made in each("pair", 240):
        rise = float(re.search(r"Ordered: rise (\d+) mm", made.given[0])[1])
        pairs = {}
        for line in made.given:
            found = re.match(r"(pair [ABC]): .* rises from (\d+) to (\d+) mm, upsweep (\S+) deg", line)
            if found:
                pairs[found[1]] = tuple(map(float, found.groups()[1:]))
        question = made.questions[1]
        for name, (low, high, upsweep) in pairs.items():
            reason = next((words for value, words in question.habits if value == name), "")
            if "does not reach the rise" in reason:
                short.append(max(low - rise, rise - high))
            else:
                inside = "leaning" if reason else "right"
                above_low[inside].append(rise - low)
                below_high[inside].append(high - rise)
            if "rider does not accept it" in reason:
                leaning.append(max(-upsweep, upsweep - 8.0))
            else:
                level.append(min(upsweep, 8.0 - upsweep))
    for pair in ("right", "leaning"):
        nearest(above_low[pair], 1.0, 1.5)
        nearest(below_high[pair], 1.0, 1.5)
    nearest(short, 2.0, 2.5)  # of limits that are written as whole millimetres
    nearest(leaning, 0.5, 0.8)
    nearest(level, 0.3, 0.5)


def test_a_die_makes_the_rise_or_misses_it_by_a_millimetre_at_least():
    apart, rises = [], []
    for made in each("die", 240):
        if made.level > 1:
            continue
        width, rise, bend = map(float, re.search(r"(\d+) mm wide, rise (\d+) mm, bends of (\S+) deg", made.given[0])
                                .groups())  # fmt: skip
        for radius, high in re.findall(r"die [ABC] (\S+) mm \(highest (\S+) mm\)", made.given[1]):
            low = float(shape_from_recipe(Recipe(60.0, bend, 65.0, 0.0, bend, 180.0, float(radius))).rise_mm)
            inside = min(rise - low, float(high) - rise)
            apart.append(inside if inside > 0.0 else max(low - rise, rise - float(high)))
        rises.append(rise)
        assert 740.0 < width < 821.0
    nearest(apart, 0.95, 1.2)
    assert min(rises) < 50.0
    assert max(rises) > 75.0
    assert min(rises) >= 45.0
    assert max(rises) <= 110.0


def test_a_stress_is_clearly_below_the_band_or_clearly_in_it():
    shares = []
    for made in each("moment", 240):
        if made.level == 1:
            continue  # its force is a round one
        low = float(re.search(r"band: (\d+) to", " ".join(made.given))[1])
        shares.append(worked_out(made.questions[1].numbers) / low)
    below, above = [one for one in shares if one < 1.0], [one for one in shares if one > 1.0]
    # the force is written in tens, so the share is off by a hundredth at most
    assert 0.39 < min(below) < 0.43
    assert 0.89 < max(below) < 0.93
    assert 1.07 < min(above) < 1.11
    assert 1.56 < max(above) < 1.61
    assert 0.4 < len(below) / len(shares) < 0.6


def test_a_finder_of_two_stops_shows_clearly_more_or_less_than_the_sweep():
    apart = []
    for made in each("finder", 180):
        shown, sweep = float(clamp_reading_deg(made.recipe)), float(shape_from_recipe(made.recipe).backsweep_deg)
        apart.append(abs(shown - sweep))
        answer = made.questions[0].answer
        wanted = "less than" if made.questions[0].text.startswith("The backsweep") else "more than"
        assert answer == (wanted if shown > sweep else {"less than": "more than", "more than": "less than"}[wanted])
    nearest(apart, 0.6, 0.7)


def test_a_rise_to_look_up_is_between_those_of_the_two_bars():
    inside = []
    for made in each("record", 180):
        wanted = float(re.search(r"with a rise of (\d+) mm", made.given[-1])[1])
        rises = [np.mean([float(one) for one in re.findall(r"(\S+) mm (?:left|right)", line)] or
                         [float(re.search(r"rise (\d+) mm", line)[1])]) for line in made.given[1:3]]  # fmt: skip
        inside.append(min(wanted - rises[0], rises[1] - wanted))
    nearest(inside, 2.0, 2.1)


@pytest.mark.parametrize("level", LEVELS)
def test_what_one_hook_can_hold_is_clear_by_some_millimetres(level):
    apart = []
    for seed in range(150):
        made = BY_NAME["order"].make("order", BY_NAME["order"].lesson, seed, level)
        found = re.search(r"marks at (\S+) mm and (\S+) mm|riser straight of (\S+) mm", made.given[0])
        riser = float(found[3]) if found[3] else float(found[2]) - float(found[1])
        for after in ("behind", "ahead of"):
            words = re.search(rf"straight tube {after} .*?: (.*? mm)\. ", made.given[0])[1]
            need = sum(float(one) for one in re.findall(r"\d+(?:\.\d+)?", words))
            apart.append(abs(riser - need))
    nearest(apart, 8.0 if level == 1 else 3.0, 9.0 if level == 1 else 4.0)
