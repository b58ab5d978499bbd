"""Each line of lesson 02 is the derivation's, is proven, and comes to what the shipped functions say."""

import re
from dataclasses import replace

import numpy as np
import pytest
import sympy as sp

from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.inverse import least_bend_deg, recipe_from_order
from barmath.derivation import forward, inverse, largest_difference, springback, vanishes
from barmath.derivation.by_hand import FUNCTIONS, hand_lines, hand_results, hand_values, letter_rows, small_steps
from barmath.derivation.lines import LINES
from barmath.derivation.steps import a, b, in_mathematics, phi
from barmath.derivation.worked_out import derived, in_symbols, proofs, symbols
from barmath.derivation.written import typeset, worth
from barmath.shop.order_seven import BEND_DEG, ORDER, order_seven_recipe, two_stop_recipe

BARS = {
    "one stop": order_seven_recipe(),
    "two stops": two_stop_recipe(),
    "a smaller inner bend": recipe_from_order(ORDER, 105.0, 27.5, 32.5),
}
A_CALCULATOR_MM, A_CALCULATOR_DEG = 0.03, 0.015
"""What rounding each number to two decimals of mm or degree may cost, as the lesson says."""


def last(step: str, place: int) -> sp.Basic:
    return in_symbols(LINES[step][place].sides[-1], symbols())


@pytest.mark.parametrize("step", LINES)
def test_each_line_that_can_be_proven_is_proven(step):
    assert all(proofs(step).values())


TO_SOLVE = {("least", 1), ("least", 2), ("upsweep", 0), ("upsweep", 3), ("upsweep", 5), ("habit", 0)}
"""Lines that are an equation for an unknown, by step and place: they hold for one bar, so nothing is left to prove."""


@pytest.mark.parametrize("step", LINES)
def test_every_line_that_is_written_in_two_ways_is_proven(step):
    proven = proofs(step)
    for place, line in enumerate(LINES[step]):
        ways = [side for side in line.sides if not side.isidentifier()]
        if len(ways) > 1:
            assert (line.says in proven) == ((step, place) not in TO_SOLVE), line.says


def test_the_proofs_find_a_wrong_line(monkeypatch):
    wrong = replace(LINES["arc"][1], sides=("up", "R - R*cos(a)", "R*(1 + cos(a))"))
    monkeypatch.setitem(LINES, "arc", (LINES["arc"][0], wrong))
    assert list(proofs("arc").values()) == [False]


def test_the_lines_of_the_way_forward_are_the_derived_forms():
    assert vanishes(last("turn", 0) - forward.riser_direction().right)
    assert vanishes(sp.Matrix([last("arc", 0), 0, last("arc", 1)]) - forward.arc(forward.RIGHT, forward.UP, a))
    assert vanishes(last("roll", 0) - forward.outer_toward().right)
    parts = sp.Matrix([last("grip", place) for place in (1, 2, 3)])
    assert vanishes(parts - forward.grip_direction().right)
    end = sp.Matrix([last("legs", 3), 0, last("legs", 2)])
    there = forward.corner_points()[-1].right
    assert vanishes(end - sp.Matrix([there[0], 0, there[2]]))
    assert vanishes(sp.sin(last("finder", 0)) - forward.clamp_reading().right)


def test_the_roll_of_the_lines_is_the_derived_roll_for_one_stop_and_for_two():
    known = symbols()
    roll = in_symbols(LINES["solve"][-1].sides[-1], known)
    points = [
        {a: sp.Rational(inner, 100), b: sp.Rational(outer, 100), inverse.T: sp.Rational(slope, 100)}
        for inner, outer, slope in ((52, 52, 25), (52, 48, 25), (40, 60, 10))
    ]
    assert largest_difference(roll, inverse.two_bends_upright_roll().right, points) < 1e-40
    equal = [{a: one[a], b: one[a], inverse.T: one[inverse.T]} for one in points]
    assert largest_difference(roll, inverse.upright_roll().right, equal) < 1e-40


def test_the_total_turn_of_the_lines_is_the_derived_one():
    equal = in_symbols(LINES["upsweep"][0].sides[1], symbols())
    assert vanishes(equal - inverse.total_turn().right)
    cosine = sp.solve(sp.Eq(sp.cos(sp.Symbol("gamma", real=True)), inverse.two_bends_turn().right), sp.cos(phi))[0]
    assert vanishes(last("upsweep", 5) - cosine)


OF_ANOTHER_BAR = {"other", "least", "stem"}
"""Steps that ask for another roll, for the least bend, and for another way to clamp the bar."""


def test_both_sides_of_a_line_come_to_the_same_number_for_order_7_and_a_heading_to_its_three_parts():
    known = hand_values(BARS["one stop"], rounded=False)
    known["d_2"] = np.array([known["d_right"], known["d_back"], known["d_up"]])
    lines = [line for step in LINES if step not in OF_ANOTHER_BAR for line in LINES[step]]
    tried = 0
    for line in lines:
        sides = [side for side in line.sides if side in known or not side.isidentifier()]
        first, *others = [known[side] if side in known else worth(side, known, FUNCTIONS, np.array) for side in sides]
        for other in others:
            assert other == pytest.approx(first, abs=1e-9), line.says
            tried += 1
    assert tried >= len(lines) - 1  # the part to the right of an arc has no name outside its step


def angles_and_lengths(recipe):
    """What the tool says of a bar, by the step and the letter of the lesson: degrees, and mm."""
    shape = shape_from_recipe(recipe)
    angles = {("solve", "phi"): recipe.roll_deg, ("finder", "kappa"): clamp_reading_deg(recipe)}
    angles |= {("grip", "beta"): shape.backsweep_deg, ("grip", "upsilon"): shape.upsweep_deg}
    lengths = {("lengths", "s"): recipe.straight_mm, ("lengths", "g"): recipe.grip_mm}
    lengths |= {("legs", "rise"): shape.rise_mm, ("legs", "half_width"): shape.width_mm / 2}
    return angles, lengths


@pytest.mark.parametrize("recipe", BARS.values(), ids=BARS)
def test_each_result_on_the_page_is_what_the_tool_says_to_the_last_digit(recipe):
    found = 0
    for known in angles_and_lengths(recipe):
        for (step, name), said in known.items():
            for line, by_hand in zip(LINES[step], hand_lines(step, recipe), strict=True):
                if line.sides[0] == name and line.unit is not None:
                    printed = re.search(r"= (-?\d+\.(\d+))(\^\\circ|\\ \\mathrm\{mm\})$", by_hand.numbers)
                    assert float(printed[1]) == round(float(said), len(printed[2])), by_hand.numbers
                    found += 1
    assert found >= 8


@pytest.mark.parametrize("recipe", BARS.values(), ids=BARS)
def test_with_a_calculator_each_bar_comes_to_what_the_tool_says(recipe):
    angles, lengths = angles_and_lengths(recipe)
    for known, near in ((angles, A_CALCULATOR_DEG), (lengths, A_CALCULATOR_MM)):
        for (step, name), said in known.items():
            assert hand_results(step, recipe)[name] == pytest.approx(said, abs=near), (step, name)


@pytest.mark.parametrize("recipe", BARS.values(), ids=BARS)
def test_small_steps_along_the_tube_come_to_the_bar_that_was_ordered(recipe):
    end, heading = small_steps(recipe)
    assert end[[0, 2]] == pytest.approx([ORDER.width_mm / 2, ORDER.rise_mm], abs=1e-3)
    assert np.degrees(np.arctan2(heading[1], heading[0])) == pytest.approx(ORDER.backsweep_deg, abs=1e-6)


def test_the_least_bend_and_the_other_roll_come_to_what_the_tool_says():
    recipe = BARS["one stop"]
    assert hand_results("least", recipe)["a"] == pytest.approx(least_bend_deg(ORDER), abs=A_CALCULATOR_DEG)
    other = shape_from_recipe(replace(recipe, roll_deg=hand_results("other", recipe)["phi"]))
    assert other.backsweep_deg == pytest.approx(ORDER.backsweep_deg, abs=0.05)
    assert other.upsweep_deg > 45.0


def test_an_upsweep_that_is_ordered_gives_the_roll_of_the_tool():
    up = recipe_from_order(replace(ORDER, upsweep_deg=5.0), 105.0, BEND_DEG)
    assert hand_results("upsweep", up)["phi"] == pytest.approx(up.roll_deg, abs=A_CALCULATOR_DEG)


def test_a_formula_is_typeset_in_the_order_in_which_it_is_written():
    assert typeset("b/2 + a*c - 3*d_up") == r"\frac{b}{2} + a\,c - 3\,d_{\mathrm{up}}"
    assert typeset("(a + b)*c - (a - b)") == r"(a + b)\,c - (a - b)"
    assert typeset("sin(a/2)**2*-b") == r"\sin^{2} \tfrac{a}{2}\,(-b)"
    assert typeset("R*cos(a)", {"R": "105", "a": r"30^\circ"}) == r"105 \cdot \cos 30^\circ"


def test_a_step_before_a_product_is_shown():
    up = hand_lines("arc", BARS["one stop"])[1]
    assert up.letters == r"\mathrm{up} = R - R\,\cos a = R\,(1 - \cos a)"
    assert up.numbers == r"105 \cdot (1 - \cos 30^\circ) = 14.07\ \mathrm{mm}"


def test_the_letters_of_the_lesson_come_with_the_numbers_of_order_7_and_without_the_answer():
    rows = {row.letter: row.number for row in letter_rows(BARS["one stop"])}
    assert (rows["R"], rows["s"], rows[r"\varphi"]) == ("105 mm", "100.84 mm", "28.89°")
    assert rows[r"\kappa"] == "a question"


def test_sympy_has_something_to_derive_for_each_step():
    assert all(derived(step) for step in LINES)


def test_a_product_is_printed_without_two_minus_signs():
    # the tube's moment came out as -Y (d - D) (...)/6
    assert in_mathematics(springback.tube_moment().right).startswith(r"\frac{{Y}\,\left({D} - {d}\right)")
    x = sp.Symbol("x")
    assert in_mathematics(-x * (x - 1) * sp.Symbol("y")) == r"{x}\,{y}\,\left(1 - {x}\right)"
    assert in_mathematics(-x * (x + 1)) == r"- {x}\,\left(1 + {x}\right)"
