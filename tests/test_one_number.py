"""What is one number by its type refuses two of them at once, in every public call and record."""

import inspect

import numpy as np
import pytest
from faces import FACES, Call
from test_refusals import refused, title

TAKE_TWO = {"Die", "new_die", "recipe_from_figures", "recipe_from_record"}
"""Calls that answer several at once, although their type says one number."""


def single_numbers(place):
    """Calls with two instead of one, for each number that is a `float` and no array by its annotation; their names."""
    face = FACES[place]
    for name, word in inspect.signature(face.make).parameters.items():
        value = face.given.get(name, word.default)
        if isinstance(value, float) and str(word.annotation).startswith("float"):
            yield name, Call(face.make, {**face.given, name: np.full(2, value if np.isfinite(value) else 1000.0)})


SINGLE = [place for place in range(len(FACES)) if FACES[place].name not in TAKE_TWO and list(single_numbers(place))]


def test_dozens_of_calls_have_such_a_number():
    assert len(SINGLE) > 30


@pytest.mark.parametrize("place", SINGLE, ids=title)
def test_a_number_that_is_one_by_its_type_refuses_two(place):
    for name, call in single_numbers(place):
        sentence = refused(call, {})
        assert sentence, name
        assert "one number" in sentence or "single" in sentence, sentence
