"""Handlebars against the standards for bicycles, as far as barmath uses them: it screens and does not approve a bar."""

import pytest

from barmath import BendError, Order, Tube, recipe_from_inner_bend
from barmath.clamping import GRIP_DIAMETER_MM, STEM_CLAMPS_MM
from barmath.load_cases import FATIGUE_IN_PHASE, FATIGUE_OUT_OF_PHASE, FROM_END_MM, LATERAL, TORSION
from barmath.strength import loaded_bar


@pytest.mark.parametrize("width_mm", [350.0, 1000.0])
def test_the_overall_width_may_be_from_350_to_1000_mm(width_mm):
    # ISO 4210-2:2014, 4.7.1, read in its national adoption TBIS 4210-2:2018; seen
    assert Order(70.0, 8.0, width_mm).width_mm == width_mm
    beyond = width_mm + (1.0 if width_mm > 500.0 else -1.0)
    with pytest.raises(BendError, match=r"the range of ISO 4210-2 4\.7\.1"):
        Order(70.0, 8.0, beyond)


def test_stems_clamp_four_sizes_and_grips_one():
    # 22.2, 25.4, 31.8 and 35.0 mm, grips 22.2: sizes in common use; ISO 6699 and JIS D 9412, clauses from memory
    assert STEM_CLAMPS_MM == (22.2, 25.4, 31.8, 35.0)
    assert GRIP_DIAMETER_MM == 22.2


@pytest.mark.parametrize("half_width_mm", [355.0, 375.0, 400.0])
def test_the_lateral_test_takes_this_tube_past_first_yield_and_near_its_plastic_moment(half_width_mm):
    # derived: 1000 N at 50 mm from the end (ISO 4210-5 4.3, table 2, seen), a clamp of 40 mm, 7/8 x 0.058 in at 75 ksi
    recipe = recipe_from_inner_bend(Order(1.0, 0.0, 2.0 * half_width_mm, 0.0), 89.0, 2.0)
    side = loaded_bar(recipe, Tube(22.225, 1.4732), LATERAL, stem_width_mm=40.0).right
    lever_m = (half_width_mm - 70.0) / 1e3
    assert side.plastic_mpa[0] / 517.1 == pytest.approx(1000.0 * lever_m / 328.6, rel=1e-3)  # seen: 328.6 N m
    assert side.elastic_mpa[0] / 517.1 == pytest.approx(1.3591 * 1000.0 * lever_m / 328.6, rel=1e-3)
    assert 1.15 < side.elastic_mpa[0] / 517.1 < 1.4
    assert 0.85 < side.plastic_mpa[0] / 517.1 < 1.01


def test_the_load_cases_are_those_of_the_standard():
    # ISO 4210-5 as check_values of the trade have it: 4.3 table 2 and 4.5 table 4 seen, fatigue forces from memory
    assert (LATERAL.right_n, LATERAL.left_n, FROM_END_MM) == (1000.0, 0.0, 50.0)
    assert 2.0 * TORSION.couple_nm == 80.0
    assert (FATIGUE_OUT_OF_PHASE.right_n, FATIGUE_OUT_OF_PHASE.left_n) == (270.0, -270.0)
    assert (FATIGUE_IN_PHASE.right_n, FATIGUE_IN_PHASE.left_n) == (450.0, 450.0)
    assert FATIGUE_IN_PHASE.cycles == FATIGUE_OUT_OF_PHASE.cycles == 100_000.0
