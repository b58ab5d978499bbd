"""The numbers of exercises against a second route: the sum of a hint, changed as the words of a mistake say."""

import re
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from practice.sums import MISTAKES, NUMBER, worked_out

from barmath import shape_from_recipe
from barmath.practice.course import BY_NAME

SEEDS = range(45)


@cache
def in_millimetres(name):
    """Exercises of one kind, the three levels in turn, before any of them is put into inches."""
    return [BY_NAME[name].make(name, BY_NAME[name].lesson, seed, 1 + seed % 3) for seed in SEEDS]


def _numbers(words):
    return re.findall(NUMBER, words)


def _known(made, place, parts):
    # what the words of a mistake may name besides the sum itself: read from the text, or from the bar
    given, known = " ".join(made.given), {}
    if made.recipe is not None:
        known["inner"], known["outer"] = (float(a) for a in (made.recipe.inner_bend_deg, made.recipe.outer_bend_deg))
        known["roll"] = abs(float(made.recipe.roll_deg))
        known["sweep"] = float(shape_from_recipe(made.recipe).backsweep_deg)
    if made.kind == "cope" and place > 1:
        known["before"], known["header"] = made.questions[1].answer, re.search(r"a bar of (\S+) mm", given)[1]
    if made.kind == "order":
        for part, after in (("hook", "behind"), ("follower", "ahead of")):
            known[part] = "+".join(_numbers(re.search(rf"straight tube {after} .*?: (.*? mm)\. ", given)[1]))
    if made.kind == "faulty bend":
        side, its, _ = made.questions[1].answer.split()
        wanted, read = re.search(rf"Rise {side}: wanted (\S+), read (\S+) mm", given).groups()
        other = "outer" if its == "inner" else "inner"
        known |= {"missed": f"({read} - {wanted})", "of_its": parts[f"of_{its}"], "of_other": parts[f"of_{other}"]}
        for which, bend in (("its", its), ("other", other)):
            known[f"rise_of_{which}"] = re.search(rf"degree more of {bend} bend adds (\S+) mm", given)[1]
    if "keeps" not in parts and "bend" in parts:
        known["keeps"] = parts.get("left") or f"{parts['kept']} / {parts['set']}"
    if made.kind == "moment":
        known["high"] = re.search(r"band: \d+ to (\d+) MPa", given)[1]
    if made.kind == "hands":
        known["forward"] = made.questions[0].answer
    return known | parts


@pytest.mark.parametrize("name", BY_NAME)
def test_each_usual_mistake_is_the_sum_of_the_third_hint_with_that_mistake_in_it(name):
    seen = set()
    for made in in_millimetres(name):
        for place, question in enumerate(made.questions):
            for habit in question.habits if not question.choices else ():
                pattern, sums = MISTAKES[name, place]
                parts = {key: part for key, part in re.fullmatch(pattern, question.numbers).groupdict().items() if part}
                wrong = worked_out(sums[habit.words].format(**_known(made, place, parts)))
                assert habit.value == pytest.approx(wrong, abs=question.tolerance), (made.seed, habit)
                seen.add((place, habit.words))
    assert seen == {(place, words) for (kind, place), (_, sums) in MISTAKES.items() if kind == name for words in sums}


@pytest.mark.parametrize("name", BY_NAME)
def test_every_number_of_a_third_hint_is_given_or_is_a_number_of_the_rule(name):
    rule = {1.0, 2.0, 3.0, 4.0, 32.0, 57.0, 57.296, 90.0, 100.0, 200.0, 1000.0, 3.1416}
    for made in in_millimetres(name):
        if made.kind == "cope":
            rule |= {0.0, 90.0, 120.0, 150.0, 180.0}  # its stations
        said = {float(one) for line in (*made.given, *(q.text for q in made.questions)) for one in _numbers(line)}
        # a radius is half of a diameter, and a share is a hundredth of per cent
        known = {round(share * one, 6) for one in said for share in (1.0, 0.5, 0.01)} | rule
        for line in made.given:  # and several readings of one thing are their mean
            for readings in re.findall(r"(?:rise|sprang back to) ([\d.]+(?:,| mm left) .*?) (?:mm right|deg)", line):
                known.add(round(np.mean([float(one) for one in _numbers(readings)]), 1))
            for across, wall in re.findall(r"(\S+) mm across, with a wall of (\S+) mm", line):
                known.add(round(float(across) - 2.0 * float(wall), 6))
        for question in made.questions:
            if not question.choices:
                assert {float(one) for one in _numbers(question.numbers)} <= known, (made.seed, question.numbers)


def _sums(line):
    # "name: sum = number unit; ..." as pairs of sum and number; a sum in letters is left out
    for part in re.split(r"[;:] |, ", line):
        ends = part.split(" = ")
        for left, right in pairwise(ends):
            text = re.sub(r"^.*(?: mm|stress|of) (?=[\d(])", "", left)
            text = re.sub(r"cot (\S+) cos", r"/ tan \1 cos", re.sub(r"sin\^2 ([\d.]+)", r"x (sin \1)^2", text))
            text = re.sub(r"(?<=[\d)]) (?=sin |cos )", " x ", text)
            if re.match(r"[-+(\d]|sin \d", text):
                number = re.match(r"[-+]?\d+(?:\.\d+)?", right)
                if number:
                    yield text, number[0]


@pytest.mark.parametrize("name", BY_NAME)
def test_each_sum_of_a_worked_solution_gives_the_number_beside_it(name):
    read = 0
    for made in in_millimetres(name):
        for line in made.solution:
            for text, number in _sums(line):
                digits = len(number.partition(".")[2])
                # the numbers of a sum are rounded themselves
                assert worked_out(text) == pytest.approx(float(number), abs=1.1 * 10.0**-digits, rel=4e-3), line
                read += 1
    assert read >= len(SEEDS) or name in {"direction", "order"}


LENGTHS_MM, ANGLES_DEG = (-60.0, 1000.0), (-11.0, 90.0)
"""What can be read of a handlebar, its stem and its bender: the longest is a bar of 840 mm."""


@pytest.mark.parametrize("name", BY_NAME)
def test_every_length_and_angle_that_is_given_could_be_that_of_a_bar(name):
    for made in in_millimetres(name):
        lines = [*made.given, *(question.text for question in made.questions)]
        for unit, (low, high) in (("mm", LENGTHS_MM), ("deg", ANGLES_DEG)):
            given = [float(one) for line in lines for one in re.findall(rf"([-+]?{NUMBER}) {unit}\b", line)]
            assert all(low <= one <= high for one in given), (made.seed, given)
        behind = [float(one) for line in lines for one in re.findall(r"straight (-?[\d.]+) mm", line)]
        assert all(one >= 20.0 for one in behind), "a riser is a piece of straight tube"
