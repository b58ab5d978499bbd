"""A refusal is one whole sentence: the quantity, the rule, the value with its unit, the remedy."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmath.refusal import (
    LARGEST,
    BendError,
    as_number,
    check_shapes,
    checked,
    checked_single,
    plain,
    refuse_where,
    remedy_first,
    shown_bounds,
    tenths,
)


def said(make, *args, **kwargs) -> str:
    with pytest.raises(BendError) as refusal:
        make(*args, **kwargs)
    return str(refusal.value)


def test_a_bend_error_is_a_value_error():
    assert issubclass(BendError, ValueError)


# ---- numbers at the face


@pytest.mark.parametrize("value", [3, 3.0, np.int64(3), np.float32(3), np.array(3), np.uint8(3)])
def test_one_number_becomes_a_plain_float(value):
    assert type(as_number("rise", value, "mm")) is float
    assert as_number("rise", value, "mm") == 3.0


@pytest.mark.parametrize("value", [[1, 2, 3], (1.0, 2.0, 3.0), np.array([1, 2, 3], dtype=np.int16), range(1, 4)])
def test_several_numbers_become_a_float64_array_of_their_shape(value):
    number = as_number("rise", value, "mm")
    assert number.dtype == np.float64
    np.testing.assert_array_equal(number, [1.0, 2.0, 3.0])


def test_a_float64_array_is_taken_unchanged():
    array = np.arange(6.0).reshape(2, 3)
    assert as_number("rise", array, "mm") is array


@pytest.mark.parametrize(
    ("value", "sentence"),
    [
        ("75", "rise must be a number in mm, got '75': type a number, without quotes"),
        (["75", "76"], "rise must be a number in mm, got ['75', '76']: type a number, without quotes"),
        (None, "rise must be a number in mm, got None: type a number, without quotes"),
        (True, "rise must be a number in mm, got True: type a number, without quotes"),
        ([True, False], "rise must be a number in mm, got [True, False]: type a number, without quotes"),
        (75 + 1j, "rise must be a number in mm, got (75+1j): type a number, without quotes"),
        (
            [1, [2, 3]],
            "rise must be a number or rows of numbers, got rows of different lengths: "
            "give each row as many numbers as the others",
        ),
        (
            10**400,
            "rise must be a number in mm, got 1000000000000000000000000000000000000...: type a number, without quotes",
        ),
        (float("nan"), "rise must be a finite number in mm, got nan mm: type a number in mm"),
        (float("-inf"), "rise must be a finite number in mm, got -inf mm: type a number in mm"),
        (1e200, "rise must be at most 1e+50 in size, got 1e+200 mm: check the number for a digit too many"),
        (
            [70.0, -1e60],
            "rise must be at most 1e+50 in size, got -1e+60 mm (element 1 of (2,)): "
            "check the number for a digit too many",
        ),
        (
            [70.0, np.inf, np.nan],
            "rise must be a finite number in mm, got inf mm (element 1 of (3,)): type a number in mm",
        ),
        (
            [[70.0, 71.0], [72.0, np.nan]],
            "rise must be a finite number in mm, got nan mm (element 1, 1 of (2, 2)): type a number in mm",
        ),
    ],
)
def test_what_is_no_finite_number_is_refused_in_these_words(value, sentence):
    assert said(as_number, "rise", value, "mm") == remedy_first(sentence)


@pytest.mark.parametrize(
    ("value", "bounds", "sentence"),
    [
        (0.0, {"above": 0.0}, "size must be above 0.0 mm, RULE, got 0.0 mm: REMEDY"),
        (-0.5, {"least": 0.0}, "size must be at least 0.0 mm, RULE, got -0.5 mm: REMEDY"),
        (90.0, {"below": 90.0}, "size must be below 90.0 mm, RULE, got 90.0 mm: REMEDY"),
        (90.25, {"most": 90.0}, "size must be at most 90.0 mm, RULE, got 90.25 mm: REMEDY"),
        ([1.0, 90.0], {"below": 90.0}, "size must be below 90.0 mm, RULE, got 90.0 mm (element 1 of (2,)): REMEDY"),
        ([1.0, 0.0], {"above": 0.0}, "size must be above 0.0 mm, RULE, got 0.0 mm (element 1 of (2,)): REMEDY"),
        ([1.0, -2.0, -3.0], {"least": 0.0},
         "size must be at least 0.0 mm, RULE, got -2.0 mm (element 1 of (3,)): REMEDY"),
    ],
)  # fmt: skip
def test_what_is_outside_its_bounds_is_refused_in_these_words(value, bounds, sentence):
    assert said(checked, "size", value, "mm", rule="RULE", remedy="REMEDY", **bounds) == remedy_first(sentence)


@pytest.mark.parametrize(
    ("value", "bounds"), [(0.0, {"least": 0.0}), (90.0, {"most": 90.0}), (1e-300, {"above": 0.0}), (0, {"below": 1})]
)
def test_a_value_on_a_bound_that_belongs_passes(value, bounds):
    assert checked("size", value, "mm", **bounds) == value


def test_each_side_may_have_its_own_remedy():
    remedy = ("more", "less")
    assert said(checked, "bend", 0.0, "deg", least=1.0, most=2.0, remedy=remedy).startswith("More: ")
    assert said(checked, "bend", 3.0, "deg", least=1.0, most=2.0, remedy=remedy).startswith("Less: ")


def test_a_sentence_without_unit_rule_and_remedy_has_no_gaps():
    assert said(checked, "ratio", 2.0, most=1.0) == "Type a number up to 1.0: ratio must be at most 1.0, got 2.0"


def test_an_array_of_nothing_passes_every_bound():
    assert checked("size", [], "mm", above=0.0, least=0.0, below=1.0, most=1.0).shape == (0,)


# ---- refusals after the sums are done


def test_refuse_where_says_the_first_place_and_its_values():
    sentence = said(
        refuse_where, np.array([[False, False], [True, True]]), "rise {rise} with bend {bend}", remedy="bend more",
        rise=np.array([[10.0], [20.0]]), bend=25.0,
    )  # fmt: skip
    assert sentence == "rise 20.0 with bend 25.0 (element 1, 0 of (2, 2)): bend more"


def test_refuse_where_says_no_place_for_a_single_bar():
    assert said(refuse_where, True, "rise {rise}", rise=10.0) == "rise 10.0"


@pytest.mark.parametrize("bad", [False, np.zeros(3, dtype=bool), np.zeros(0, dtype=bool)])
def test_refuse_where_nothing_is_wrong_lets_pass(bad):
    refuse_where(bad, "never said")


def test_shapes_that_broadcast_give_their_common_shape():
    assert check_shapes("the order", np.ones((3, 1)), 5.0, np.ones(4)) == (3, 4)


def test_shapes_that_do_not_broadcast_are_refused():
    assert said(check_shapes, "the order", np.ones(2), 1.0, np.ones(3)) == remedy_first(
        "the order must have arrays that fit together, got shapes (2,) and (3,): give one number, or one for each bar"
    )


# ---- numbers in sentences


@pytest.mark.parametrize(
    ("number", "text"),
    [(25, "25.0"), (0, "0.0"), (12.5, "12.5"), (88.9, "88.9"), (1.4732, "1.473"), (-3.0004, "-3.0"), (1e-5, "1e-05"),
     (1e9, "1e+09"), (np.float64(76.2), "76.2")],
)  # fmt: skip
def test_a_number_is_said_as_a_bench_reads_it(number, text):
    assert plain(number) == text


def test_shown_bounds_are_rounded_inward():
    low, high = shown_bounds(68.04, 78.76)
    assert (float(low), float(high)) == (68.1, 78.7)


def test_round_bounds_are_said_unchanged():
    low, high = shown_bounds(6.0 + 1e-14, 78.8 - 1e-13)
    assert (float(low), float(high)) == (6.0, 78.8)


def test_bounds_with_no_tenth_between_them_are_said_to_the_thousandth():
    low, high = shown_bounds(68.0114, 68.0816)
    assert (float(low), float(high)) == (68.012, 68.081)


@given(st.floats(-1e4, 1e4), st.floats(0.002, 1e3))
def test_shown_bounds_are_inside_the_bounds(lowest, span):
    low, high = shown_bounds(lowest, lowest + span)
    assert lowest - 1e-9 <= low <= high <= lowest + span + 1e-9


# ---- one number, where an array has no meaning


def test_the_fourth_power_of_the_largest_number_is_still_finite():
    assert np.isfinite(LARGEST**4)


def test_one_number_is_a_float_and_an_array_is_refused():
    assert checked_single("straight", np.float64(3), "mm", least=0.0) == 3.0
    first = "Give one number at a time: straight must be one number, got an array of shape (2,)"
    assert said(checked_single, "straight", [1.0, 2.0], "mm") == first
    assert said(checked_single, "straight", -1.0, "mm", least=0.0) == (
        "Type a number from 0.0 mm up: straight must be at least 0.0 mm, got -1.0 mm"
    )


def test_a_computed_number_is_quoted_in_tenths_and_in_full_only_beside_its_own_bound():
    assert [tenths(59.894, 60.0), tenths(59.96, 60.0), tenths(-0.02), tenths(12.945)] == [
        "59.9",
        "59.96",
        "-0.02",
        "12.9",
    ]


def test_a_computed_bound_is_rounded_so_that_it_is_not_refused_itself():
    sentence = "bend must be from {low:least} to {high:most} deg, got {bend:.1f} deg"
    words = said(refuse_where, True, sentence, low=12.345, high=45.678, bend=9.876)
    assert words == "bend must be from 12.4 to 45.6 deg, got 9.9 deg"


@pytest.mark.parametrize(
    ("sentence", "shown"),
    [
        ("bend must be at least 6.0 deg, got 5.0 deg: choose a larger bend",
         "Choose a larger bend: bend must be at least 6.0 deg, got 5.0 deg"),
        ("rise must be one length, got 'a: b': type a number", "Type a number: rise must be one length, got 'a: b'"),
        ("hand must be on the grip, got 3 mm from the bar's end: move the rider's hand",
         "Move the rider's hand: hand must be on the grip, got 3 mm from the bar's end"),
        ("a bend must be two numbers, got 1: type them as in 30; 28.6",
         "Type them as in 30; 28.6: a bend must be two numbers, got 1"),
        ("grip must be at least 170.0 mm, got 164.4 mm: choose a wider bar; no rise fits here",
         "Choose a wider bar: grip must be at least 170.0 mm, got 164.4 mm; no rise fits here"),
        ("sheets must be a folder that can be made: choose another place",
         "Choose another place: sheets must be a folder that can be made"),
        ("the flat must show 3 deg", "the flat must show 3 deg"),
        ("can be made: straight 3.0 mm longer than needed", "can be made: straight 3.0 mm longer than needed"),
    ],
)  # fmt: skip
def test_a_refusal_says_first_what_to_do(sentence, shown):
    assert remedy_first(sentence) == shown
