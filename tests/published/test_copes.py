"""Copes against texts on intersecting cylinders. "Worked out": two routes of this project agree; no published value."""

import numpy as np
import pytest

from barmath import cope_ordinates_mm

STATIONS = np.arange(0.0, 181.0, 30.0)
LAST_FIGURE_MM = 0.00005


def test_equal_tubes_square_to_each_other_want_two_flat_cuts_at_45():
    # US Navy, NAVEDTRA 14251, fig. 3-49; seen. Two planes at 45 degrees: z = R |cos t|
    stations = np.arange(0.0, 360.0, 5.0)
    expected = 11.1125 * np.abs(np.cos(np.radians(stations)))
    np.testing.assert_allclose(cope_ordinates_mm(22.225, 22.225, 90.0, stations), expected, atol=1e-9, rtol=0)


@pytest.mark.parametrize("turn_deg", [10.0, 30.0, 45.0, 60.0, 90.0])
def test_a_turn_of_two_pieces_is_mitred_at_half_the_turn(turn_deg):
    # NAVEDTRA 14251, p. 103; seen. One piece cut off by a plane tilted by half the turn: z = R cos t tan(turn/2)
    stations = np.arange(-90.0, 91.0, 15.0)
    expected = 11.1125 * np.cos(np.radians(stations)) * np.tan(np.radians(turn_deg / 2))
    told = cope_ordinates_mm(22.225, 22.225, 180.0 - turn_deg, stations)
    np.testing.assert_allclose(told, expected, atol=1e-9, rtol=0)


@pytest.mark.parametrize(
    ("angle_deg", "ordinates"),
    [
        (90.0, [11.1125, 10.8544, 10.3187, 10.0402, 10.3187, 10.8544, 11.1125]),
        (60.0, [15.5812, 14.9148, 13.2899, 11.5935, 10.5403, 10.1523, 10.0820]),
        (45.0, [20.4779, 19.4748, 16.9742, 14.1990, 12.2117, 11.2259, 10.9529]),
    ],
)
def test_three_eighths_on_seven_eighths_is_cut_along_the_curve_of_two_cylinders(angle_deg, ordinates):
    # z = r cot(angle) cos t + sqrt(R^2 - r^2 sin^2 t)/sin(angle): J. M. Stockie, The Geometry of Intersecting Tubes
    # (1998), seen; the numbers worked out
    told = cope_ordinates_mm(3 / 8 * 25.4, 7 / 8 * 25.4, angle_deg, STATIONS)
    np.testing.assert_allclose(told, ordinates, atol=LAST_FIGURE_MM, rtol=0)


def common_volume(branch_radius, header_radius, angle_deg):
    """Volume inside both cylinders: every thread of the branch is inside the header between its two copes."""
    nodes, weights = np.polynomial.legendre.leggauss(60)
    share, stations = (nodes + 1) / 2, (np.arange(2000) + 0.5) * 360.0 / 2000
    rho = branch_radius * (1 - share**2)  # crowds the nodes where the thread just touches
    near, far = (
        cope_ordinates_mm(2 * rho[:, None], 2 * header_radius, angle_deg, stations + turned) for turned in (0.0, 180.0)
    )
    rings = 2 * np.pi * np.mean(near + far, axis=1) * rho
    return float(np.sum(weights / 2 * rings * 2 * share * branch_radius))


def test_two_equal_cylinders_square_to_each_other_share_sixteen_thirds_of_the_radius_cubed():
    # Steinmetz solid, MathWorld; seen
    assert common_volume(1.0, 1.0, 90.0) == pytest.approx(16 / 3, rel=1e-5)


@pytest.mark.parametrize("angle_deg", [90.0, 60.0, 45.0])
def test_two_unequal_cylinders_share_the_volume_of_the_elliptic_integrals(angle_deg):
    # (8/3) a [(a^2 + b^2) E(k) - (a^2 - b^2) K(k)], k = b/a, over the sine: MathWorld, Hubbell 1965; formula seen,
    # 12.16031991 for a = 2, b = 1 worked out
    assert common_volume(1.0, 2.0, angle_deg) == pytest.approx(12.16031991 / np.sin(np.radians(angle_deg)), rel=1e-8)
