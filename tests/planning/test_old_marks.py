"""Old marks ask: with this straight between the bends, which bend gives the rise?"""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from barmath import BendError, Order, least_bend_deg, recipe_from_order, rise_window_mm, shape_from_recipe
from barmath.planning.old_marks import STEEPEST_DEG, bend_from_straight_deg
from barmath.planning.rules import LARGEST_ROLL_DEG
from barmath.refusal import remedy_first

STRAIGHT_MM = 1e-7
"""The bend is found to 1e-12 degrees, and half a millimetre of straight goes with a tenth of a degree."""


def straight_with(order, radius, bend):
    return recipe_from_order(order, radius, bend).straight_mm


def test_a_flat_offset_solves_in_closed_form():
    # 2R (1 - cos a) + s sin a at 60 degrees, R 90, s 120
    rise = 2 * 90 * (1 - 1 / 2) + 120 * np.sqrt(3) / 2
    assert bend_from_straight_deg(Order(rise, 0.0, 900.0), 90.0, 120.0) == pytest.approx(60.0, abs=1e-9)


@pytest.mark.parametrize("straight", [0.0, 40.0, 120.0])
def test_the_closed_form_of_a_flat_offset_and_the_search_agree_on_every_rise_and_refuse_the_same(straight):
    answers = []
    for rise in (-2000.0, -400.0, -100.0, 1.0, 30.0, 90.0, 150.0, 250.0, 400.0, 2000.0):
        for upsweep in (None, 0.0):  # level grips that were not asked for, and asked for
            try:
                answers.append(bend_from_straight_deg(Order(rise, 0.0, 900.0, upsweep), 90.0, straight))
            except BendError as refusal:
                answers.append(str(refusal))
    for formula, search in zip(answers[::2], answers[1::2], strict=True):
        assert formula == (search if isinstance(search, str) else pytest.approx(search, abs=1e-9))
    assert {type(answer) for answer in answers} == {str, float}


def test_without_a_straight_the_two_arcs_alone_make_the_rise():
    # 2R (1 - cos a) = R at 60 degrees
    assert bend_from_straight_deg(Order(90.0, 0.0, 900.0), 90.0, 0.0) == pytest.approx(60.0, abs=1e-9)


@given(
    backsweep=st.just(0.0) | st.floats(-20.0, 20.0), upsweep=st.none() | st.floats(0.0, 6.0),
    width=st.floats(650.0, 1000.0), radius=st.floats(40.0, 170.0), bend=st.floats(14.0, 60.0),
    share=st.floats(0.1, 0.9),
)  # fmt: skip
def test_the_bend_found_makes_the_rise_with_just_that_straight(backsweep, upsweep, width, radius, bend, share):
    order = Order(100.0, backsweep, width, upsweep)
    assume(least_bend_deg(order) < bend)
    lowest, highest = rise_window_mm(replace(order, controls_mm=20.0), radius, bend, 5.0)
    assume(1.0 < lowest < highest)
    order = replace(order, rise_mm=lowest + share * (highest - lowest))
    made = recipe_from_order(order, radius, bend)
    assume(abs(made.roll_deg) < LARGEST_ROLL_DEG - 2.0)  # nearer to it the search may have begun beyond this bend
    found = bend_from_straight_deg(order, radius, made.straight_mm)
    assert found <= bend + 1e-6
    assert straight_with(order, radius, found) == pytest.approx(made.straight_mm, abs=STRAIGHT_MM)


def test_of_several_bends_the_smallest_is_meant():
    # swept 20 degrees a straight of 60 gives a rise of 92 with bends of about 21.5 and again of about 36
    order = Order(92.0, 20.0, 780.0)
    found = bend_from_straight_deg(order, 88.9, 60.0)
    assert found == pytest.approx(21.5, abs=0.1)
    assert straight_with(order, 88.9, found) == pytest.approx(60.0, abs=STRAIGHT_MM)
    assert straight_with(order, 88.9, 30.0) > 60.0 > straight_with(order, 88.9, 40.0)


def test_bends_with_planes_that_lean_too_far_are_left_out():
    order = Order(66.0, 12.0, 780.0)
    found = bend_from_straight_deg(order, 88.9, 120.0)
    assert least_bend_deg(order) < found < STEEPEST_DEG
    assert abs(recipe_from_order(order, 88.9, found).roll_deg) <= LARGEST_ROLL_DEG + 1e-6


@given(
    backsweep=st.floats(0.0, 20.0), upsweep=st.none() | st.floats(0.0, 6.0), inner=st.floats(18.0, 45.0),
    apart=st.floats(-4.0, 4.0), share=st.floats(0.1, 0.9),
)  # fmt: skip
def test_with_an_outer_stop_of_its_own_the_inner_bend_found_makes_the_rise(backsweep, upsweep, inner, apart, share):
    order, radius, outer = Order(100.0, backsweep, 800.0, upsweep), 105.0, inner + apart
    try:
        lowest, highest = rise_window_mm(replace(order, controls_mm=20.0), radius, inner, 5.0, outer)
        assume(1.0 < lowest < highest)
        order = replace(order, rise_mm=lowest + share * (highest - lowest))
        made = recipe_from_order(order, radius, inner, outer)
        beside = [recipe_from_order(order, radius, inner + by, outer).straight_mm for by in (-0.2, 0.2)]
    except BendError:
        assume(False)
    assume(abs(made.roll_deg) < LARGEST_ROLL_DEG - 2.0)
    assume(min(beside) < made.straight_mm < max(beside))  # not where more bend begins to lower the bar
    assume(upsweep is not None or 0.2 < shape_from_recipe(made).upsweep_deg < 7.8)
    found = bend_from_straight_deg(order, radius, made.straight_mm, outer)
    assert found <= inner + 1e-6
    assert recipe_from_order(order, radius, found, outer).straight_mm == pytest.approx(
        made.straight_mm, abs=STRAIGHT_MM
    )


def test_an_outer_stop_that_turns_the_grips_beyond_what_is_accepted_is_no_answer():
    order = Order(90.0, 14.0, 800.0, None, 60.0, 170.0)
    found = bend_from_straight_deg(order, 105.0, 90.0, 30.0)
    upsweep = shape_from_recipe(recipe_from_order(order, 105.0, found, 30.0)).upsweep_deg
    assert "and outer bends of 30.0 deg" in refused(replace(order, most_upsweep_deg=upsweep - 0.1), 105.0, 90.0, 30.0)


def refused(*asked) -> str:
    with pytest.raises(BendError) as refusal:
        bend_from_straight_deg(*asked)
    return str(refusal.value)


def test_a_rise_that_no_bend_gives_is_refused_with_those_that_can_be_had():
    to_do, words = refused(Order(578.0, 12.0, 800.0), 90.0, 120.0).split(": ")
    assert to_do == "Choose another straight"
    assert words.startswith("rise must be from ")
    assert words.endswith(" mm with a straight of 120.0 mm on a radius of 90.0 mm, got 578.0 mm")
    lowest, highest = float(words.split()[4]), float(words.split()[6])
    for rise in (lowest, highest):
        order = Order(rise, 12.0, 800.0)
        assert straight_with(order, 90.0, bend_from_straight_deg(order, 90.0, 120.0)) == pytest.approx(120.0)


@pytest.mark.parametrize(
    ("order", "radius", "straight", "sentence"),
    [
        (Order(80.0, 12.0, 350.0), 90.0, 1500.0,
         "a straight of 1500.0 mm must leave room for a grip inside a width of 350.0 mm, got none: "
         "choose a shorter straight, a tighter die or a wider bar"),
        (Order(80.0, 12.0, 800.0), 90.0, -1.0, "straight between bends must be at least 0.0 mm, got -1.0 mm: "
         "type a number from 0.0 mm up"),
        (Order(80.0, 12.0, 800.0), 0.0, 120.0, "centre-line radius must be above 0.0 mm, got 0.0 mm: "
         "type a number above 0.0 mm"),
        (Order([80.0, 90.0], 12.0, 800.0), 90.0, 120.0,
         "order must be a single one, got an array of shape (2,) as its rise: give one order at a time"),
    ],
)  # fmt: skip
def test_what_old_marks_cannot_make_is_refused_in_these_words(order, radius, straight, sentence):
    assert refused(order, radius, straight) == remedy_first(sentence)


def test_a_refusal_names_no_rise_below_the_clamp_flat():
    words = refused(Order(300.0, 10.0, 780.0, -10.0), 90.0, 0.0)
    assert float(words.split()[words.split().index("from") + 1]) > 0.0
