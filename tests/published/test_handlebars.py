"""Handlebars against the standards for bicycles, as far as barmath uses them: it screens and does not approve a bar."""

import pytest

from barmath import BendError, Order, Tube, recipe_from_inner_bend
from barmath.shop.clamping import controls_fit, stem_fits
from barmath.strength.load_cases import FATIGUE_IN_PHASE, FATIGUE_OUT_OF_PHASE, LATERAL, TORSION
from barmath.strength.screen import loaded_bar


@pytest.mark.parametrize("width_mm", [350.0, 1000.0])
def test_the_overall_width_may_be_from_350_to_1000_mm(width_mm):
    # ISO 4210-2:2014, 4.7.1, read in its national adoption TBIS 4210-2:2018; seen
    assert Order(70.0, 8.0, width_mm).width_mm == width_mm
    beyond = width_mm + (1.0 if width_mm > 500.0 else -1.0)
    with pytest.raises(BendError, match=r"the range of ISO 4210-2 4\.7\.1"):
        Order(70.0, 8.0, beyond)


@pytest.mark.parametrize("clamp_mm", [22.2, 25.4, 31.8, 35.0])
def test_a_tube_of_a_clamp_size_in_common_use_goes_straight_into_a_stem(clamp_mm):
    # clamps 22.2, 25.4, 31.8 and 35.0 mm, grips 22.2: sizes in common use; ISO 6699 and JIS D 9412, clauses from memory
    tube = Tube(clamp_mm, 1.6)
    straight_in = [fit.clamp_mm for fit in stem_fits(tube) if fit.fits and fit.shim_wall_mm == 0.0]
    assert straight_in == [clamp_mm]
    assert controls_fit(tube) == (clamp_mm == 22.2)


STRAIGHT = recipe_from_inner_bend(Order(1.0, 0.0, 760.0, 0.0), 89.0, 2.0)
"""As good as a straight bar, 380 mm either side: statics by hand hold for it."""

TUBE = Tube(22.225, 1.651)
PLASTIC_MOMENT_NM = 362.2
"""Fully plastic moment of 7/8 x 0.065 in at 75 ksi (MIL-HDBK-5J, second-hand): worked out, not published."""


def bending_nm(case):
    """Moment at the right side of a clamp 40 mm wide, from the fully plastic stress that `loaded_bar` gives."""
    side = loaded_bar(STRAIGHT, TUBE, case, stem_width_mm=40.0).right
    return side.plastic_mpa[0] * TUBE.plastic_modulus_mm3 / 1e3


def test_the_lateral_load_is_1000_n_at_50_mm_from_the_end():
    # ISO 4210-5, 4.3, table 2, mountain bicycles; seen in TBIS 4210-5:2016
    assert bending_nm(LATERAL) == pytest.approx(1000.0 * (0.380 - 0.020 - 0.050), rel=1e-3)


@pytest.mark.parametrize(("case", "force_n"), [(FATIGUE_OUT_OF_PHASE, 270.0), (FATIGUE_IN_PHASE, 450.0)])
def test_the_fatigue_loads_are_270_and_450_n_at_50_mm_from_the_ends(case, force_n):
    # ISO 4210-5, 4.9, mountain bicycles, 100 000 cycles a stage; method seen in TBIS 4210-5:2016, forces from memory
    assert bending_nm(case) == pytest.approx(force_n * (0.380 - 0.020 - 0.050), rel=1e-3)
    assert case.cycles == 100_000.0


def test_the_turning_load_reaches_the_stem_as_80_n_m_about_the_clamp_axis():
    # ISO 4210-5, 4.5, table 4, mountain bicycles; seen in TBIS 4210-5:2016. That both sides share it: from memory
    bar = loaded_bar(STRAIGHT, TUBE, TORSION, stem_width_mm=40.0)
    twist = [abs(side.moments_nm[0, 2]) for side in (bar.right, bar.left)]
    assert sum(twist) == pytest.approx(80.0, rel=1e-3)


@pytest.mark.parametrize("half_width_mm", [355.0, 375.0, 400.0])
def test_the_lateral_test_takes_this_tube_past_first_yield_and_near_its_plastic_moment(half_width_mm):
    # worked out: 1000 N at 50 mm from the end (ISO 4210-5, 4.3, table 2; seen), a clamp of 40 mm
    recipe = recipe_from_inner_bend(Order(1.0, 0.0, 2.0 * half_width_mm, 0.0), 89.0, 2.0)
    side = loaded_bar(recipe, TUBE, LATERAL, stem_width_mm=40.0).right
    share = (half_width_mm - 70.0) / PLASTIC_MOMENT_NM
    assert side.plastic_mpa[0] / 517.1 == pytest.approx(share, rel=1e-3)
    assert side.elastic_mpa[0] / 517.1 == pytest.approx(1.3695 * share, rel=1e-3)
    assert 0.75 < share < 0.95
    assert 1.0 < 1.3695 * share < 1.3
