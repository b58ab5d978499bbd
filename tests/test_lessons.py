"""Every number in the prose of every lesson is worked out again, or is given for a reason that is named.

`tests/lessons/prose.py` says how a lesson's claims are written down.
"""

import importlib

import pytest
from conftest import LESSONS
from lessons.prose import not_claimed, not_found, prose_of


def claims(lesson) -> tuple[list[str], list[str]]:
    """What a lesson says that is worked out, and what is given."""
    module = importlib.import_module(f"lessons.lesson_{lesson.name[:2]}")
    return list(module.said()), [phrase for phrases in module.GIVEN.values() for phrase in phrases]


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_what_a_lesson_says_is_what_is_worked_out(lesson):
    said, given = claims(lesson)
    assert not not_found(prose_of(lesson), [*said, *given])


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_every_number_in_a_lesson_is_worked_out_or_given(lesson):
    said, given = claims(lesson)
    assert not not_claimed(prose_of(lesson), [*said, *given])


@pytest.mark.parametrize("lesson", LESSONS, ids=lambda path: path.stem)
def test_nothing_is_given_without_a_reason(lesson):
    module = importlib.import_module(f"lessons.lesson_{lesson.name[:2]}")
    assert all(len(reason.split()) > 1 and phrases for reason, phrases in module.GIVEN.items())


def test_a_number_without_a_claim_is_named():
    prose = ["## 3. Rise\n\n1. The riser is 101 mm long, and lesson 04 says so of order 7.\n\n**Time:** 5 minutes"]
    assert [one.split(":")[0] for one in not_claimed(prose, [])] == ["101"]
    assert not not_claimed(prose, ["The riser is 101 mm long"])


def test_a_phrase_that_the_prose_does_not_have_is_named():
    assert not_found(["The riser is 101 mm long."], ["is 101 mm", "is 100 mm"]) == ["is 100 mm"]
