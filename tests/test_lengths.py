"""What a shop types is read as it means it, refused where it may mean two things, and shown so that it reads back."""

import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmath.lengths import FINEST_INCH, LONGEST_MM, MM_PER_INCH, angle_deg, in_unit, length_mm, length_text
from barmath.refusal import BendError, remedy_first

ROUNDED_MM = 1e-9  # lengths are rounded to nine decimals

INCHES = {
    "7/8 in": 7 / 8,
    "7/8in": 7 / 8,
    '3 1/2"': 3 + 1 / 2,
    '1 1/4"': 1 + 1 / 4,
    "1-1/4 in": 1 + 1 / 4,
    "1 - 1/4 in": 1 + 1 / 4,
    "0.058 in": 0.058,
    "0,058 in": 0.058,
    '.5"': 0.5,
    "½ in": 1 / 2,
    "3½″": 3 + 1 / 2,
    "3 ½ ”": 3 + 1 / 2,
    "3-⅝ inch": 3 + 5 / 8,
    "3 1/2''": 3 + 1 / 2,
    "7⁄8 inches": 7 / 8,
    "2 IN.": 2.0,
    " 3\u00a01/2\u202fin ": 3 + 1 / 2,
}
MILLIMETRES = {
    "22.2": 22.2,
    "22,5": 22.5,
    "22,25 mm": 22.25,
    "22.2 mm": 22.2,
    "22.2mm": 22.2,
    "2.5 cm": 25.0,
    "88.9 MM": 88.9,
    "+5": 5.0,
    "0": 0.0,
    "1234,567": 1234.567,
    "0,125": 0.125,
}
NO_LENGTHS = [
    "",
    " ",
    "nonsense",
    "in",
    "22.2 mm in",
    '3 in 1/2"',
    "22.2 furlongs",
    "1,234.5",
    "1.234.5",
    "22..",
    "22.2.",
    "3/4/5 in",
    "1 2 3",
    "1 234",
    "nan",
    "inf",
    "1e3",
    "0x10",
    "٣",
    "5²",
    "½5 in",  # neither 1/25 in nor 5 1/2 in
    "½½ in",
    "<b>22.2</b>",
    "22.2\x00",
    "__import__('os')",
    "1" * 10_000,
    "1/" * 10_000,
]


@pytest.mark.parametrize(("text", "inches"), INCHES.items())
def test_inches_are_read_as_a_shop_writes_them(text, inches):
    assert length_mm(text) == pytest.approx(25.4 * inches, abs=ROUNDED_MM, rel=0)


@pytest.mark.parametrize(("text", "millimetres"), MILLIMETRES.items())
def test_a_number_without_a_unit_is_in_millimetres(text, millimetres):
    assert length_mm(text) == millimetres


def test_a_number_without_a_unit_is_in_inches_where_the_shop_says_so():
    assert length_mm("3 1/2", default_unit="in") == 88.9
    assert length_mm(2, default_unit="in") == 50.8
    assert length_mm("22.2 mm", default_unit="in") == 22.2


@pytest.mark.parametrize("number", [22, 22.0, np.float64(22), np.float32(22), np.int64(22), Fraction(44, 2)])
def test_a_number_is_its_own_length(number):
    assert length_mm(number) == 22.0
    assert type(length_mm(number)) is float


@pytest.mark.parametrize("text", NO_LENGTHS)
def test_what_is_no_single_length_is_refused_with_an_example(text):
    with pytest.raises(BendError, match=r": wall must be one length, got ") as refusal:
        length_mm(text, name="wall")
    assert len(str(refusal.value)) < 160


@pytest.mark.parametrize("value", [None, True, False, [22.2], b"22.2", 1j, object])
def test_what_is_no_text_and_no_number_is_refused(value):
    with pytest.raises(BendError, match="must be one length"):
        length_mm(value)
    with pytest.raises(BendError, match="must be one angle"):
        angle_deg(value)


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf, 10**400])
def test_a_number_that_is_not_finite_is_refused(number):
    with pytest.raises(BendError, match=r": length must be a finite number, got "):
        length_mm(number)
    with pytest.raises(BendError, match=r": angle must be a finite number, got "):
        angle_deg(number)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (
            "1,234",
            "length must not have a comma before three figures, which may mean thousands, got '1,234': "
            "write 1234 or 1.234",
        ),
        ("7/8", "length must have a unit when it is a fraction, got '7/8': write 7/8 in, or a decimal number in mm"),
        ("7/0 in", "length must not be divided by 0, got '7/0 in': write for example 7/8 in"),
        (
            "1 9/8 in",
            "length must have a fraction below 1 after its whole number, got '1 9/8 in': write for example 3 1/8\"",
        ),
        ("-3 mm", "length must be at least 0, got '-3 mm': type it without a minus"),
        ("101000mm", "length must be at most 100 m, got '101000mm': check the unit"),
    ],
)
def test_a_refusal_says_what_was_typed_and_what_is_right(text, sentence):
    with pytest.raises(BendError) as refusal:
        length_mm(text)
    assert str(refusal.value) == remedy_first(sentence)


@pytest.mark.parametrize("text", ["-1/2 in", "−1/2 in", "–½ in", "- 0.5 in"])
def test_a_negative_length_is_read_where_it_is_allowed(text):
    assert length_mm(text, allow_negative=True) == -12.7
    with pytest.raises(BendError, match="must be at least 0"):
        length_mm(text)


def test_a_fraction_after_a_whole_number_is_below_1():
    with pytest.raises(BendError, match="must have a fraction below 1 after its whole number, got '1 8/8 in'"):
        length_mm("1 8/8 in")
    assert length_mm("8/8 in") == 25.4


def test_nothing_is_less_than_zero_by_its_sign_alone():
    assert str(length_mm("-0 mm")) == str(angle_deg("-0")) == "0.0"


def test_an_unknown_unit_is_refused():
    with pytest.raises(BendError, match="default unit must be"):
        length_mm("1", default_unit="furlong")
    with pytest.raises(BendError, match="unit must be"):
        length_text(1.0, "furlong")


@pytest.mark.parametrize(
    ("text", "degrees"),
    {
        "12": 12.0,
        "12.5": 12.5,
        "12,5": 12.5,
        "12°": 12.0,
        "12 º": 12.0,
        "12 deg": 12.0,
        "12 degrees": 12.0,
        "-3": -3.0,
        "−3°": -3.0,
        "0": 0.0,
    }.items(),
)
def test_angles_are_read_as_a_shop_writes_them(text, degrees):
    assert angle_deg(text) == degrees


@pytest.mark.parametrize("text", ["", "deg", "12 mm", "12 12", "1/2", "nan", "12°30", "9" * 10_000])
def test_what_is_no_single_angle_is_refused(text):
    with pytest.raises(BendError, match=r": sweep must be one angle, got ") as refusal:
        angle_deg(text, name="sweep")
    assert len(str(refusal.value)) < 160


@pytest.mark.parametrize(
    ("millimetres", "words"),
    {120.42: "120.4 mm", -0.04: "0.0 mm", 0.0: "0.0 mm", -10.0: "-10.0 mm"}.items(),
)
def test_millimetres_are_shown_to_a_tenth(millimetres, words):
    assert length_text(millimetres) == words


@pytest.mark.parametrize(
    ("inches", "words"),
    [
        (0, "0 in"),
        (4.75, "4 3/4 in"),
        (-4.75, "-4 3/4 in"),
        (7 / 8, "7/8 in"),
        (31 / 32, "31/32 in"),
        (0.996, "1 in"),
        (-0.01, "0 in"),
        (0.058, "1/16 in"),
        (12, "12 in"),
    ],
)
def test_inches_are_shown_to_the_nearest_thirty_second_with_the_fraction_reduced(inches, words):
    assert length_text(inches * 25.4, "in") == words


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_what_is_no_single_finite_length_is_not_shown(unit):
    for number in (math.nan, math.inf):
        with pytest.raises(BendError, match=r": length must be a finite number, got "):
            length_text(number, unit)
    for value in ("7", None, True, np.ones((3, 2))):
        with pytest.raises(BendError, match=r": length must be one number in mm, got .+$"):
            length_text(value, unit)


lengths = st.floats(-LONGEST_MM / 2, LONGEST_MM / 2)


@given(lengths)
def test_a_length_shown_reads_back_within_half_of_what_is_shown(length):
    half_step = {"mm": 0.1 / 2, "in": float(FINEST_INCH) * MM_PER_INCH / 2}
    for unit, half in half_step.items():
        back = length_mm(length_text(length, unit), allow_negative=True)
        assert abs(back - length) <= half * (1 + 1e-6)
        assert length_text(back, unit) == length_text(length, unit)


@given(st.integers(0, 200), st.integers(1, 5).flatmap(lambda k: st.tuples(st.integers(1, 2**k - 1), st.just(2**k))))
def test_every_fraction_of_the_rule_reads_as_its_value(whole, fraction):
    over, under = fraction
    expected = 25.4 * (whole + over / under)
    for text in (f"{whole} {over}/{under} in", f'{whole}-{over}/{under}"', f"{whole + over / under} in"):
        assert length_mm(text) == pytest.approx(expected, abs=ROUNDED_MM, rel=0)


@given(st.floats(0.01, 9_999).map(lambda x: f"{x:.2f}"))
def test_comma_and_point_mean_the_same(text):
    assert length_mm(text.replace(".", ",")) == length_mm(text) == float(text)
    assert angle_deg(text.replace(".", ",")) == angle_deg(text) == float(text)


@given(st.text(max_size=60) | st.text(alphabet="0123456789 ./,-+\"'inm½⅞°", max_size=24))
def test_any_text_is_a_finite_length_or_refused_in_one_line(text):
    for read in (length_mm, angle_deg):
        answer = answer_of(read, text)
        assert "must" in answer if isinstance(answer, str) else math.isfinite(answer)
        assert len(str(answer).splitlines()) == 1


def answer_of(read, text):
    """What is read, or the sentence of the refusal."""
    try:
        return read(text)
    except BendError as refusal:
        return str(refusal)


def test_lengths_in_a_sentence_are_said_in_the_unit_asked_for():
    sentence = "straight must be at least 65.0 mm, got 12.7 mm: from 25.4 to 50.8 mm"
    assert in_unit(sentence, "in") == "straight must be at least 2 9/16 in, got 1/2 in: from 1 in to 2 in"
    assert in_unit(sentence, "mm") == sentence
    assert in_unit("bend of 25.0 deg", "in") == "bend of 25.0 deg"
