"""Tubes against printed tables and standards.

Each check names its source and how sure it is: "seen" was read in the named document or a faithful reprint,
"second-hand" in somebody's transcription, "from memory" was not seen; "worked out" is a regression number of this
project, checked with a second program, and no published value.
"""

import pytest

from barmath import CHROMOLY_4130, Tube
from barmath.lengths import MM_PER_INCH

LAST_FIGURE = 0.000501
"""Half a unit of the last figure of a table with three decimals, a half rounded up."""

KSI = 6.894757
"""MPa in a thousand pounds-force per square inch: 0.45359237 kg (exact), 9.80665 m/s2 (exact), 25.4 mm (exact)."""

SEVEN_EIGHTHS = Tube(7 / 8 * MM_PER_INCH, 0.058 * MM_PER_INCH)


# Properties of round tubing, inches: outside diameter, wall; area, second moment, radius of gyration, section modulus.
# J. E. Shigley, Mechanical Engineering Design, appendix A, "Properties of round tubing" (table A-8); values seen in a
# reprint, number of the table from memory.
ROUND_TUBING_IN = [
    (1.0, 1 / 8, 0.344, 0.034, 0.313, 0.067),
    (1.0, 1 / 4, 0.589, 0.046, 0.280, 0.092),
    (1.5, 1 / 8, 0.540, 0.129, 0.488, 0.172),
    (1.5, 1 / 4, 0.982, 0.199, 0.451, 0.266),
    (2.0, 1 / 8, 0.736, 0.325, 0.664, 0.325),
    (2.0, 1 / 4, 1.374, 0.537, 0.625, 0.537),
    (2.5, 1 / 4, 1.767, 1.132, 0.800, 0.906),
    (3.0, 3 / 8, 3.093, 2.718, 0.938, 1.812),
]


@pytest.mark.parametrize(("diameter", "wall", "area", "second_moment", "gyration", "modulus"), ROUND_TUBING_IN)
def test_the_section_is_that_of_the_printed_table(diameter, wall, area, second_moment, gyration, modulus):
    tube = Tube(diameter, wall)  # the formulas know no unit: inches in, inches out
    assert tube.area_mm2 == pytest.approx(area, abs=LAST_FIGURE)
    assert tube.second_moment_mm4 == pytest.approx(second_moment, abs=LAST_FIGURE)
    assert tube.radius_of_gyration_mm == pytest.approx(gyration, abs=LAST_FIGURE)
    assert tube.section_modulus_mm3 == pytest.approx(modulus, abs=LAST_FIGURE)


def test_seven_eighths_by_058_has_the_section_worked_out_for_this_project():
    # Closed forms; a finite-element section program agrees to the accuracy of its polygon. Worked out.
    assert SEVEN_EIGHTHS.area_mm2 == pytest.approx(96.043, abs=LAST_FIGURE)
    assert SEVEN_EIGHTHS.second_moment_mm4 == pytest.approx(5196.0, abs=0.05)
    assert SEVEN_EIGHTHS.section_modulus_mm3 == pytest.approx(467.58, abs=0.005)
    assert SEVEN_EIGHTHS.plastic_modulus_mm3 == pytest.approx(635.48, abs=0.005)
    assert SEVEN_EIGHTHS.mass_kg_m == pytest.approx(0.7539, abs=0.00005)


@pytest.mark.parametrize(("diameter", "wall"), [(22.225, 1.4732), (25.4, 1.5), (60.3, 3.91), (219.1, 8.18)])
def test_a_metre_weighs_what_the_standards_formula_says(diameter, wall):
    # M = 0.0246615 (D - t) t kg/m: EN 10220 and EN 10305-1; in use, seen; the clauses from memory
    assert Tube(diameter, wall).mass_kg_m == pytest.approx(0.0246615 * (diameter - wall) * wall, rel=1e-6)


@pytest.mark.parametrize(("diameter_in", "wall_in"), [(0.875, 0.058), (1.0, 0.065), (2.375, 0.154), (8.625, 0.322)])
def test_a_foot_weighs_what_the_pipe_formula_says(diameter_in, wall_in):
    # w = 10.69 (D - t) t lb/ft: API 5L, ASTM A530, A519; in use, seen; some tables print 10.68, so within 0.15 %
    lb_per_ft = Tube(diameter_in * MM_PER_INCH, wall_in * MM_PER_INCH).mass_kg_m * 0.3048 / 0.45359237
    assert lb_per_ft == pytest.approx(10.69 * (diameter_in - wall_in) * wall_in, rel=0.0015)


def test_normalised_4130_is_as_strong_as_the_handbook_says():
    # MIL-HDBK-5J and MMPDS-01, table 2.3.1.0, wall up to 0.188 in: 95 and 75 ksi, 29.0e6 psi, 0.283 lb/in3; second-hand
    assert CHROMOLY_4130.tensile_mpa == pytest.approx(95 * KSI, rel=1e-6)
    assert CHROMOLY_4130.yield_mpa == pytest.approx(75 * KSI, rel=1e-6)
    assert (round(CHROMOLY_4130.tensile_mpa), round(CHROMOLY_4130.yield_mpa)) == (655, 517)
    assert CHROMOLY_4130.elastic_modulus_mpa == pytest.approx(29.0e3 * KSI, rel=1e-6)
    assert CHROMOLY_4130.density_kg_m3 == pytest.approx(0.283 * 0.45359237 / 0.0254**3, rel=0.003)


def test_its_yield_is_a_band_that_reaches_down_to_the_lowest_source():
    # 60 ksi: ASTM A519, typical values; from memory
    assert CHROMOLY_4130.yield_low_mpa <= 60 * KSI * 1.000001
    assert CHROMOLY_4130.yield_high_mpa > CHROMOLY_4130.yield_mpa


@pytest.mark.parametrize(
    ("tube", "factor", "within"),
    [(Tube(20.0, 10.0), 1.698, LAST_FIGURE), (Tube(20.0, 1e-6), 1.273, LAST_FIGURE), (SEVEN_EIGHTHS, 1.3591, 0.00005)],
    ids=["solid", "thin", "7/8 x 0.058"],
)
def test_the_plastic_over_the_elastic_modulus_is_the_shape_factor_of_the_textbooks(tube, factor, within):
    # d^3/6 solid, (D^3 - d^3)/6 for a tube, so 16/(3 pi) and, for a thin wall, 4/pi: J. M. Gere, Mechanics of
    # Materials, inelastic bending; from memory. The last one is worked out.
    assert tube.plastic_modulus_mm3 / tube.section_modulus_mm3 == pytest.approx(factor, abs=within)
