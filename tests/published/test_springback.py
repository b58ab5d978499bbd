"""Springback and lengths along the bend against metal-forming texts and handbooks.

The unloading law is 1/R_die - 1/R = M/(E I). For sheet it is printed as a cubic: S. Kalpakjian and S. R. Schmid,
Manufacturing Engineering and Technology, chapter on sheet-metal forming (formula seen, chapter from memory). The
numbers for tubes are worked out for this project from the law and the handbook's strengths, and not published. The
bench differs by tens of per cent, so they hold the sum, not the shop.
"""

import pytest

from barmath import Die, Recipe, Springback, Tube, marks_from_recipe, springback_from_tube
from barmath.lengths import MM_PER_INCH

KSI = 6.894757
SEVEN_EIGHTHS = Tube(7 / 8 * MM_PER_INCH, 0.058 * MM_PER_INCH)
LAST_FIGURE = 0.000005


@pytest.mark.parametrize(
    ("yield_ksi", "radius_in", "kept"),
    [
        (60, 3.5, 0.97751), (75, 3.5, 0.97188), (90, 3.5, 0.96626),
        (60, 6.5, 0.95822), (75, 6.5, 0.94778), (90, 6.5, 0.93734),
    ],
)  # fmt: skip
def test_the_share_of_the_bend_that_remains_is_that_of_the_unloading_law(yield_ksi, radius_in, kept):
    """Worked out, not published."""
    spring = springback_from_tube(SEVEN_EIGHTHS, Die(radius_in * MM_PER_INCH), yield_ksi * KSI)
    assert 1 - spring.ratio == pytest.approx(kept, abs=LAST_FIGURE)
    assert spring.die_radius_mm / spring.finished_radius_mm == pytest.approx(kept, abs=LAST_FIGURE)


def sheet_moment(yield_stress, modulus, radius, thickness):
    """Moment that bends a sheet of width 1 elastic-plastically to `radius`: its core within Y R/E stays elastic."""
    core = yield_stress * radius / modulus
    return yield_stress * (thickness**2 / 4.0 - core**2 / 3.0)


@pytest.mark.parametrize(
    ("yield_stress", "modulus", "radius", "thickness", "kept", "opened_to", "within"),
    [
        # Kalpakjian and Schmid, worked example, psi and in; example from memory
        (40_000.0, 29e6, 0.5, 0.0359, 0.942, 0.531, 6e-4),
        # Y 300 MPa, E 210 GPa, R 50 mm, T 2 mm: X = 0.03571 in K = 4 X^3 - 3 X + 1; formula seen, value worked out
        (300.0, 210_000.0, 50.0, 2.0, 4 * (1 / 28) ** 3 - 3 / 28 + 1, 50.0 / (4 * (1 / 28) ** 3 - 3 / 28 + 1), 1e-12),
    ],
)
def test_sheet_springs_back_by_the_cubic_of_the_textbook(
    yield_stress, modulus, radius, thickness, kept, opened_to, within
):
    """Ri/Rf = 4 X^3 - 3 X + 1 with X = Y Ri/(E T): the unloading law with a rectangular section, I = T^3/12."""
    ratio = sheet_moment(yield_stress, modulus, radius, thickness) * radius / (modulus * thickness**3 / 12.0)
    spring = Springback(ratio, radius)
    assert spring.die_radius_mm / spring.finished_radius_mm == pytest.approx(kept, abs=within)
    assert spring.finished_radius_mm == pytest.approx(opened_to, abs=max(within, 1e-9))


def test_the_whole_section_yields_at_328_6_newton_metres():
    """Worked out from 75 ksi (MIL-HDBK-5J, table 2.3.1.0; second-hand), not published."""
    assert SEVEN_EIGHTHS.plastic_moment_nm(75 * KSI) == pytest.approx(328.6, abs=0.05)


def bend_length_mm(bend_deg, radius):
    marks = marks_from_recipe(Recipe(50.0, bend_deg, 100.0, 0.0, bend_deg, 200.0, radius))
    return marks.inner_end_mm - marks.inner_start_mm


@pytest.mark.parametrize(("bend_deg", "radius_in"), [(25, 3.5), (45, 4.5), (90, 6.5), (90, 20.0)])
def test_the_marks_of_a_bend_are_its_developed_length_apart(bend_deg, radius_in):
    # L = 0.0175 x degrees x radius: Machinery's Handbook, lengths of bends; from memory. 0.0175 is 0.27 % high.
    assert bend_length_mm(bend_deg, radius_in) == pytest.approx(0.0175 * bend_deg * radius_in, rel=0.003)


@pytest.mark.parametrize(
    ("inside_radius", "thickness", "bend_deg"), [(0.16, 0.04, 90), (0.25, 0.05, 45), (1.0, 0.1, 30)]
)
def test_the_marks_of_a_bend_in_sheet_are_its_bend_allowance_apart(inside_radius, thickness, bend_deg):
    # (0.0173 R + 0.0078 T) x degrees: US Navy, Aviation Structural Mechanic, chapter 13, page 13-19; seen in a reprint.
    # It takes the length at 0.45 of the thickness from the inside, and its 0.0173 is 0.9 % below the radian.
    allowance = (0.0173 * inside_radius + 0.0078 * thickness) * bend_deg
    assert bend_length_mm(bend_deg, inside_radius + 0.45 * thickness) == pytest.approx(allowance, rel=0.01)
