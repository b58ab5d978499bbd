"""The bound that a refusal names is the bound: read back from refusals.txt, and tried on both sides of it."""

import re

import pytest
from faces import FACES
from test_refusals import listed, refused, title

RULE = re.compile(r"(?:^|: )([^:;]*?) must be (above|at least|below|at most) (-?\d+\.\d+|-?\d+)")
LINE = re.compile(r" {4}([\w.]+) = [^:]*: (.*)")
WHOLE = re.compile(r"Type a whole number from (\d+) to (\d+): (.*?) must be")

OF_OTHER_NUMBERS = {
    "recipe_from_order", "rise_window_mm", "model_setting", "length_mm", "springback_from_tube",
    "Calibration.bends_to_reach", "Calibration.bars_to_reach",
}  # fmt: skip
"""Calls with a bound that follows from other numbers, so that it is said in tenths, or by a kind of its own."""


def bounds_of(place):
    """Each number of a call with a bound of its own: its path, and the name, the kind and the value of the bound."""
    face = FACES[place]
    paths = {".".join(map(str, path)): path for path, value in face.leaves(deep=False) if isinstance(value, float)}
    for line in listed()[title(place)]:
        found = LINE.fullmatch(line)
        rule = RULE.search(found[2]) if found and found[1] in paths else None
        if rule:
            yield paths[found[1]], (rule[1], rule[2]), float(rule[3])


BOUNDED = [place for place in range(len(FACES)) if FACES[place].name not in OF_OTHER_NUMBERS and list(bounds_of(place))]


def test_hundreds_of_bounds_are_read():
    assert sum(len({*bounds_of(place)}) for place in BOUNDED) > 300


@pytest.mark.parametrize("place", BOUNDED, ids=title)
def test_a_bound_and_what_is_just_beside_it_are_taken_or_refused_by_the_words_of_the_bound(place):
    face = FACES[place]
    for path, rule, bound in {*bounds_of(place)}:

        def is_refused(number, path=path, rule=rule):
            found = RULE.search(refused(face, {path: number}) or "")
            return bool(found and (found[1], found[2]) == rule)

        inward = 1e-6 * max(1.0, abs(bound)) * (1.0 if rule[1] in ("above", "at least") else -1.0)
        assert is_refused(bound - inward), (path, rule, bound)
        assert is_refused(bound) == (rule[1] in ("above", "below")), (path, rule, bound)
        assert not is_refused(bound + inward), (path, rule, bound)


def whole_bounds_of(place):
    """Each whole number of a call: its path, and its least, its most and its name, as a refusal says them."""
    face = FACES[place]
    paths = {".".join(map(str, path)): path for path, value in face.leaves(deep=False) if isinstance(value, int)}
    found = [(line[1], WHOLE.match(line[2])) for line in map(LINE.fullmatch, listed()[title(place)]) if line]
    return {paths[at]: (int(said[1]), int(said[2]), said[3]) for at, said in found if said and at in paths}


COUNTED = [place for place in range(len(FACES)) if whole_bounds_of(place)]


def test_the_calls_with_a_whole_number_are_read():
    assert len(COUNTED) >= 10


@pytest.mark.parametrize("place", COUNTED, ids=title)
def test_a_whole_number_is_taken_from_the_least_to_the_most_that_is_said_and_no_further(place):
    for path, (least, most, name) in whole_bounds_of(place).items():
        for number in (least - 1, least, most, most + 1):
            found = WHOLE.match(refused(FACES[place], {path: number}) or "")
            assert bool(found and found[3] == name) == (not least <= number <= most), (path, number)
