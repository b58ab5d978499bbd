"""The bound that a refusal names is the bound: read back from refusals.txt, and tried on both sides of it."""

import re

import pytest
from faces import FACES
from test_refusals import listed, refused, title

RULE = re.compile(r"(?:^|: )([^:;]*?) must be (above|at least|below|at most) (-?\d+\.\d+|-?\d+)")
LINE = re.compile(r" {4}([\w.]+) = [^:]*: (.*)")

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
