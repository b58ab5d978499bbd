"""The code of an exercise, printed on a class sheet and typed again."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmath import BendError
from barmath.practice.course import BY_NAME, LARGEST_SEED, code_from_text, code_of, exercise, seed_from_text
from barmath.practice.scene import LEVELS

kinds, levels, seeds = st.sampled_from(list(BY_NAME)), st.sampled_from(LEVELS), st.integers(0, 999_999)
AS_PRINTED = "code must be as on the class sheet, such as die-2-000031, got "


@given(kinds, levels, seeds, st.sampled_from([str, str.upper, str.title]), st.sampled_from(["-", " ", "  ", " - "]))
def test_a_code_is_read_in_any_letters_and_with_blanks(kind, level, seed, letters, between):
    typed = f" {letters(between.join([*kind.split(), str(level), f'{seed:06d}']))} "
    assert code_from_text(typed) == (kind, level, seed)
    assert code_from_text(f"{kind}-{level}-{seed}") == (kind, level, seed)
    assert code_from_text(str(seed)) is None
    assert seed_from_text(f" {seed:06d} ") == seed


@given(kinds, levels, seeds)
def test_a_code_without_one_of_its_three_parts_is_refused_as_a_code(kind, level, seed):
    less = (f"{level}-{seed:06d}", f"{kind}-{level}", f"{kind}-{seed:06d}")
    for typed in (*less, f"{kind}-0-{seed}", f"{kind}-4-{seed}", f"x{kind}-{level}-{seed}"):
        with pytest.raises(BendError) as refused:
            code_from_text(typed)
        assert AS_PRINTED in str(refused.value), typed


@pytest.mark.parametrize("typed", ["1000000", "-1", "1.5", "", "٣", "0" * 40 + "x", "31 ?"])
def test_a_seed_that_the_six_digits_of_a_code_cannot_hold_is_refused(typed):
    with pytest.raises(BendError, match=r"^Type one from 0 to 999999: seed must be a whole number, got "):
        seed_from_text(typed)


def test_the_largest_seed_has_six_digits_in_its_code():
    made = exercise("marks", LARGEST_SEED, 1)
    assert code_of(made) == "marks-1-999999"
    assert code_from_text(code_of(made)) == ("marks", 1, 999_999)
    assert code_of(exercise("faulty bend", 0, 3)) == "faulty-bend-3-000000"
    with pytest.raises(BendError, match=r"seed must be at most 999999"):
        exercise("marks", LARGEST_SEED + 1, 1)
