"""What bending does to a tube, against the piping codes' published values."""

import numpy as np
import pytest

from barmath import Tube
from barmath.shop.forming import OUT_OF_ROUND_LIMIT, forming_from_bend, out_of_round, wall_before_bending

INCH = 25.4
AS_PRINTED_3, AS_PRINTED_2 = 6e-4, 6e-3  # half a unit in the last place printed, and a little


@pytest.mark.parametrize(
    ("diameter", "radius", "inside", "outside", "printed"),
    [
        (219.1, 609.6, 1.110, 0.924, AS_PRINTED_3),
        (273.2, 1270.0, 1.060, 0.951, AS_PRINTED_3),
        (60.3, 76.2, 1.33, 0.86, AS_PRINTED_2),
        (168.3, 228.6, 1.29, 0.87, AS_PRINTED_2),
        (406.4, 609.6, 1.25, 0.88, AS_PRINTED_2),
    ],
)
def test_bend_thickness_index_of_b31_3(diameter, radius, inside, outside, printed):
    """ASME B31.3-2016, 304.2.1, formulas (3c) to (3e), seen. The two-figure rows: a published sheet "1.5 D Bend
    Calculation per B31.1-2018", seen; the three-figure rows: a calculation sheet without a title, seen.
    """
    forming = forming_from_bend(Tube(diameter, 5.0), radius)
    assert forming.index_inside == pytest.approx(inside, abs=printed)
    assert forming.index_outside == pytest.approx(outside, abs=printed)


@pytest.mark.parametrize(("diameters", "wall"), [(6, 1.06), (5, 1.08), (4, 1.14), (3, 1.25), (4.5, 1.11), (9, 1.06)])
def test_minimum_wall_before_bending_of_b31_1(diameters, wall):
    """ASME B31.1, table 102.4.5, seen; the same rows stand in the US Unified Facilities Guide Specifications, table
    5-4, seen. Between its rows by straight lines, as its note allows.
    """
    assert wall_before_bending(diameters) == pytest.approx(wall)
    assert forming_from_bend(Tube(22.225, 1.4732), diameters * 22.225).wall_before_bending == pytest.approx(wall)


def test_the_table_ends_at_three_diameters():
    assert np.isnan(wall_before_bending(2.9))


def test_the_rule_of_thumb_is_not_bounded_by_b31_1():
    """At 5 D and above the usual rule of thumb takes more wall than the code's table asks to be added."""
    ratios = np.array([3.0, 4.0, 5.0, 6.0])
    forming = forming_from_bend(Tube(22.225, 1.4732), ratios * 22.225)
    taken, added = 1 / forming.rule_of_thumb_wall, forming.wall_before_bending
    assert list(taken > added) == [False, False, True, True]


@pytest.mark.parametrize(("radius_in", "stretch", "within_elongation"), [(3.5, 0.125, False), (4.0, 0.109375, True)])
def test_the_outer_fibre_of_7_8_tube_stretches_about_as_far_as_the_handbook_lets_it(
    radius_in, stretch, within_elongation
):
    """D/(2 R) against an elongation of 12 %: MIL-HDBK-5J, condition N, wall 0.035 to 0.188 in; from memory."""
    tube = Tube(7 / 8 * INCH, 0.065 * INCH)
    forming = forming_from_bend(tube, radius_in * INCH)
    assert forming.outer_stretch == pytest.approx(stretch)
    assert (100.0 * forming.outer_stretch < tube.material.elongation_percent) == within_elongation


def test_out_of_round_limit_of_b31_1():
    """ASME B31.1, 104.2.1: the largest and the smallest diameter differ by at most 8 % of the diameter before bending;
    seen, also in the US Unified Facilities Guide Specifications beside table 5-4. The formula: PFI ES-24, from memory.
    """
    assert out_of_round(23.1, 21.3, 22.5) == pytest.approx(0.08)
    assert out_of_round(23.0, 21.3, 22.5) < OUT_OF_ROUND_LIMIT < out_of_round(23.2, 21.3, 22.5)
