"""Dies, the bender and springback: the unloading law, the length that stays, and refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tolerances import RATIO

from barmath import Bender, BendError, Die, Springback, Tube, springback_from_tube
from barmath.refusal import remedy_first
from barmath.shop.tooling import check_die_takes_tube

TUBE = Tube(22.225, 1.4732)


def said(make, *args, **kwargs) -> str:
    with pytest.raises(BendError) as refusal:
        make(*args, **kwargs)
    return str(refusal.value)


# ---- springback

ratios, radii, bends = st.floats(0.0, 0.9), st.floats(20.0, 400.0), st.floats(0.5, 90.0)


def test_a_tenth_of_springback_by_hand():
    spring = Springback(0.1, 90.0)
    assert spring.finished_radius_mm == pytest.approx(100.0, rel=RATIO)
    assert spring.die_bend_deg(27.0) == pytest.approx(30.0, rel=RATIO)
    assert spring.finished_bend_deg(30.0) == pytest.approx(27.0, rel=RATIO)


@given(ratios, radii, bends)
def test_the_arc_is_as_long_on_the_die_as_sprung_back(ratio, radius, bend):
    spring = Springback(ratio, radius)
    assert spring.die_bend_deg(bend) * radius == pytest.approx(bend * spring.finished_radius_mm, rel=RATIO)


@given(ratios, radii, bends)
def test_bending_to_the_stop_leaves_the_bend_that_was_wanted(ratio, radius, bend):
    spring = Springback(ratio, radius)
    assert spring.finished_bend_deg(spring.die_bend_deg(bend)) == pytest.approx(bend, rel=RATIO)


@given(radii, st.floats(100.0, 700.0))
def test_the_curvature_lost_is_the_moment_over_the_stiffness(radius, yield_mpa):
    spring = springback_from_tube(TUBE, Die(radius), yield_mpa)
    lost = 1e3 * TUBE.plastic_moment_nm(yield_mpa) / (TUBE.material.elastic_modulus_mpa * TUBE.second_moment_mm4)
    assert 1 / radius - 1 / spring.finished_radius_mm == pytest.approx(lost, rel=1e-9)


def test_a_gentler_die_and_a_harder_tube_spring_back_more():
    tight, gentle = (springback_from_tube(TUBE, Die(radius)).ratio for radius in (88.9, 165.1))
    soft, hard = (springback_from_tube(TUBE, Die(88.9), stress).ratio for stress in (414.0, 621.0))
    assert tight < gentle
    assert soft < tight < hard


def test_what_the_shop_has_measured_comes_before_the_theory():
    assert springback_from_tube(TUBE, Die(88.9, springback_ratio=0.05)).ratio == 0.05
    assert springback_from_tube(TUBE, Die(88.9, springback_ratio=0.0)).ratio == 0.0


def test_a_yield_asked_for_comes_before_what_was_measured():
    asked = springback_from_tube(TUBE, Die(88.9, springback_ratio=0.05), yield_mpa=500.0)
    assert asked == springback_from_tube(TUBE, Die(88.9), yield_mpa=500.0)


def test_arrays_of_dies_agree_with_single_ones():
    table = springback_from_tube(TUBE, Die([88.9, 114.3, 165.1])).ratio
    assert table == pytest.approx([springback_from_tube(TUBE, Die(r)).ratio for r in (88.9, 114.3, 165.1)], rel=RATIO)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: Springback(1.0, 88.9),
         "springback ratio must be below 1.0, got 1.0: "
         "choose a tighter die or a softer tube, or no bend would remain"),
        (lambda: Springback(-0.1, 88.9),
         "springback ratio must be at least 0.0, got -0.1: measure it again, because no tube bends further by itself"),
        (lambda: Springback(0.1, 0.0), "die radius must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (lambda: Springback(0.1, 88.9).die_bend_deg(-1.0), "bend must be at least 0.0 deg, got -1.0 deg: "
         "type a number from 0.0 to 180.0 deg"),
        (lambda: Springback(0.1, 88.9).finished_bend_deg(-1.0),
         "bend on the die must be at least 0.0 deg, got -1.0 deg: type a number from 0.0 deg up"),
        (lambda: springback_from_tube(TUBE, Die(11.0)),
         "die radius must be above half the tube's diameter of 22.225 mm, got 11.0 mm: "
         "measure the radius to the tube's centre line"),
        (lambda: springback_from_tube(TUBE, Die([88.9, 11.0])),
         "die radius must be above half the tube's diameter of 22.225 mm, got 11.0 mm (element 1 of (2,)): "
         "measure the radius to the tube's centre line"),
        (lambda: springback_from_tube(TUBE, Die(1e4)),
         "springback ratio must be below 1.0, got 3.163: "
         "choose a tighter die or a softer tube, or no bend would remain"),
        (lambda: springback_from_tube(Tube([22.2, 25.4], 1.5), Die([88.9, 115.0, 165.0])),
         "tube and die must have arrays that fit together, got shapes (2,) and (3,): "
         "give one number, or one for each bar"),
    ],
)  # fmt: skip
def test_what_cannot_spring_back_is_refused_in_these_words(call, sentence):
    assert said(call) == remedy_first(sentence)


def test_a_die_as_wide_as_the_tube_is_no_die():
    check_die_takes_tube(Tube(20.0, 1.5), Die(10.001))
    assert "die radius must be above half the tube's" in said(check_die_takes_tube, Tube(20.0, 1.5), Die(10.0))


# ---- dies and the bender


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("centerline_radius_mm", 0.0, "die radius must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        ("centerline_radius_mm", "3.5", "die radius must be a number in mm, got '3.5': type a number, without quotes"),
        ("least_straight_mm", -1.0, "least straight must be at least 0.0 mm, got -1.0 mm: "
         "type a number from 0.0 mm up"),
        ("line_up_offset_mm", float("nan"), "line-up offset must be a finite number in mm, got nan mm: "
         "type a number in mm"),
        ("largest_bend_deg", 0.0, "largest bend must be above 0.0 deg, got 0.0 deg: "
         "type a number above 0.0 deg and up to 180.0 deg"),
        ("largest_bend_deg", 190.0, "largest bend must be at most 180.0 deg, got 190.0 deg: "
         "type a number above 0.0 deg and up to 180.0 deg"),
        ("tube_diameter_mm", 0.0, "tube diameter of the die must be above 0.0 mm, got 0.0 mm: "
         "type a number above 0.0 mm"),
        ("springback_ratio", 1.0, "springback ratio must be below 1.0, got 1.0: type a number from 0.0 and below 1.0"),
        ("springback_ratio", -0.01, "springback ratio must be at least 0.0, got -0.01: "
         "type a number from 0.0 and below 1.0"),
        ("least_straight_mm", np.ones(3),
         "the die must have arrays that fit together, got shapes (2,) and (3,): give one number, or one for each bar"),
    ],
)  # fmt: skip
def test_what_is_no_die_is_refused_in_these_words(field, value, sentence):
    radius = np.full(2, 88.9) if isinstance(value, np.ndarray) else 88.9
    assert said(Die, **{"centerline_radius_mm": radius, field: value}) == remedy_first(sentence)


def test_a_line_up_offset_may_be_behind_the_edge():
    assert Die(88.9, line_up_offset_mm=-2).line_up_offset_mm == -2.0


@pytest.mark.parametrize("turns", ["left", "right"])
def test_a_bender_turns_to_either_side(turns):
    assert Bender(turns).turns == turns


@pytest.mark.parametrize("turns", ["up", "", None, 1])
def test_a_bender_turns_to_no_other_side(turns):
    assert (
        said(Bender, turns)
        == f'Choose "left" or "right": side to which the bender turns must be one of these, got {turns!r}'
    )


@pytest.mark.parametrize("offset", [-10.0, 10.0])
def test_a_stop_may_be_off_by_ten_degrees_and_no_more(offset):
    assert Die(88.9, stop_offset_deg=offset).stop_offset_deg == offset
    with pytest.raises(BendError, match="stop offset must be at"):
        Die(88.9, stop_offset_deg=1.001 * offset)
