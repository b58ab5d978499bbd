"""The sheets of one class: no two are the same, and hardly an answer of a neighbour is right on the next sheet."""

from itertools import pairwise

import pytest
from nightly import NIGHTLY

from barmath.paper.class_sheet import ClassSheet
from barmath.practice import KINDS, LEVELS, check, exercise
from barmath.practice.class_seeds import class_exercises
from barmath.practice.exercise import ESTIMATE

CLASS = 12
SEEDS = (31, 7, 500, 999_999, 123_456, 42) if NIGHTLY else (31, 500)

FEW_NUMBERS = {("direction", 1), ("slip", 1)}
"""A beginner of these has three sweeps or three bends and round lengths: twelve sheets have not so many numbers."""

ALWAYS_ONE_ANSWER = {("print", "Act")}
"""One answer is right whatever the numbers; only its place changes."""


def ticked(question):
    return question.choices.index(question.answer) if question.choices else None


def worth_copying(new, old):
    """The steps of a sheet that the neighbour's answers solve, or in which both tick the same box.

    An estimate in millimetres or degrees is left out: near counts as right, so that many neighbours agree.
    """
    found = []
    for own, other in zip(new.questions, old.questions, strict=True):
        if own.choices:
            copied = (new.kind, own.step) not in ALWAYS_ONE_ANSWER and check(own, str(other.answer)).right
            found += [own.step] if copied or ticked(own) == ticked(other) else []
        elif own.step != ESTIMATE and check(own, f"{float(other.answer):.2f}").right:
            found.append(own.step)
    return found


@pytest.mark.parametrize("level", LEVELS)
@pytest.mark.parametrize("kind", [kind.name for kind in KINDS])
def test_neighbours_of_a_class_have_other_numbers_and_other_boxes(kind, level):
    for seed in SEEDS:
        made = ClassSheet(kind, seed, level, CLASS).exercises()
        papers = {(*one.given, *(question.text for question in one.questions)) for one in made}
        answers = {tuple((question.answer, ticked(question)) for question in one.questions) for one in made}
        copied = [step for old, new in pairwise(made) for step in worth_copying(new, old)]
        if (kind, level) in FEW_NUMBERS:
            assert len(answers) >= 6
            assert len(copied) <= 10
        else:
            assert len(papers) == CLASS
            assert len(answers) >= CLASS - 1
            assert len(copied) <= 3


@pytest.mark.parametrize("kind", ["marks", "faulty bend"])
def test_a_class_has_the_exercises_of_its_codes_and_a_smaller_class_the_first_of_them(kind):
    made = class_exercises(kind, 31, 2, CLASS)
    assert made[0].seed == 31
    assert [exercise(kind, one.seed, 2) for one in made] == list(made)
    assert len({one.seed for one in made}) == CLASS
    class_exercises.cache_clear()
    assert class_exercises(kind, 31, 2, 5) == made[:5]
