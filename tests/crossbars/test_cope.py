"""The straight cope: where two cylinders meet, by hand, by the surfaces themselves, and refusals."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tolerances import LENGTH_MM

from barmath import BendError, cope_ordinates_mm
from barmath.refusal import remedy_first

STATIONS = np.arange(0.0, 360.0, 15.0)
angles = st.floats(15.0, 165.0)
headers = st.floats(10.0, 60.0)
shares = st.floats(0.05, 1.0)


def test_a_thin_branch_square_to_its_header_stops_a_header_radius_from_the_axis():
    assert cope_ordinates_mm(1e-6, 30.0, 90.0, STATIONS) == pytest.approx(np.full(24, 15.0), abs=1e-9)


def test_a_branch_of_6_on_a_header_of_10_by_hand():
    # r 3, R 5: 5 on the crest, sqrt(25 - 9) = 4 at the sides
    assert cope_ordinates_mm(6.0, 10.0, 90.0, [0.0, 90.0, 180.0, 270.0]) == pytest.approx([5.0, 4.0, 5.0, 4.0])


def test_at_45_degrees_the_acute_side_reaches_further_by_two_branch_radii():
    # on the crest z = r cot 45 + R/sin 45, opposite it -r cot 45 + R/sin 45
    acute, obtuse = cope_ordinates_mm(6.0, 10.0, 45.0, [0.0, 180.0])
    assert (acute, obtuse) == pytest.approx((3 + 5 * np.sqrt(2), -3 + 5 * np.sqrt(2)))


@given(headers, shares, angles, st.floats(0.0, 360.0))
def test_the_cut_is_on_both_cylinders(header, share, angle, station):
    # header along x; the branch leaves upward at the angle to it, its acute side toward +x
    r, theta, t = share * header / 2, np.radians(angle), np.radians(station)
    z = cope_ordinates_mm(2 * r, header, angle, station)
    along, aside = np.array([np.cos(theta), 0.0, np.sin(theta)]), np.array([np.sin(theta), 0.0, -np.cos(theta)])
    point = z * along + r * (np.cos(t) * aside + np.sin(t) * np.array([0.0, 1.0, 0.0]))
    assert np.hypot(point[1], point[2]) == pytest.approx(header / 2, abs=LENGTH_MM)
    assert point[2] >= -LENGTH_MM


@given(headers, shares, angles)
def test_the_wrap_is_the_same_to_the_left_and_right_of_the_crest(header, share, angle):
    z = cope_ordinates_mm(share * header, header, angle, STATIONS)
    np.testing.assert_allclose(z[1:], z[:0:-1], atol=LENGTH_MM, rtol=0)


@given(headers, shares, st.floats(15.0, 89.0))
def test_the_ordinate_is_largest_on_the_acute_side(header, share, angle):
    z = cope_ordinates_mm(share * header, header, angle, STATIONS)
    assert z.argmax() == 0


@given(headers, shares, angles)
def test_the_other_angle_between_the_axes_is_the_wrap_turned_half_round(header, share, angle):
    z, other = (cope_ordinates_mm(share * header, header, turn, STATIONS) for turn in (angle, 180.0 - angle))
    np.testing.assert_allclose(z, np.roll(other, 12), atol=LENGTH_MM, rtol=0)


def test_arrays_broadcast_and_numbers_stay_numbers():
    table = cope_ordinates_mm(np.array([[9.525], [22.225]]), 22.225, 60.0, STATIONS)
    assert table.shape == (2, 24)
    assert type(cope_ordinates_mm(9.525, 22.225, 60.0, 30.0)) is float
    assert table[0, 2] == pytest.approx(cope_ordinates_mm(9.525, 22.225, 60.0, 30.0), abs=LENGTH_MM)


@pytest.mark.parametrize(
    ("branch", "header", "angle", "station", "sentence"),
    [
        (0.0, 22.2, 90.0, 0.0, "branch diameter must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (9.5, -22.2, 90.0, 0.0, "header diameter must be above 0.0 mm, got -22.2 mm: type a number above 0.0 mm"),
        (25.4, 22.2, 90.0, 0.0,
         "branch diameter must be at most the header's 22.2 mm, got 25.4 mm: "
         "swap the tubes or choose a thinner branch"),
        (9.5, 22.2, 0.0, 0.0, "joint angle must be at least 0.01 deg, got 0.0 deg: "
         "choose an angle between 0 and 180 deg, because parallel tubes have no cope"),
        (9.5, 22.2, 180.0, 0.0,
         "joint angle must be at most 179.99 deg, got 180.0 deg: "
         "choose an angle between 0 and 180 deg, because parallel tubes have no cope"),
        (9.5, 22.2, 90.0, "left",
         "angle around the branch must be a number in deg, got 'left': type a number, without quotes"),
        (9.5, 22.2, 90.0, float("nan"),
         "angle around the branch must be a finite number in deg, got nan deg: type a number in deg"),
        ([9.5, 9.5], 22.2, 90.0, [0.0, 1.0, 2.0],
         "these diameters and angles must have arrays that fit together, got shapes (2,) and (3,): "
         "give one number, or one for each bar"),
    ],
)  # fmt: skip
def test_what_cannot_be_coped_is_refused_in_these_words(branch, header, angle, station, sentence):
    with pytest.raises(BendError) as refusal:
        cope_ordinates_mm(branch, header, angle, station)
    assert str(refusal.value) == remedy_first(sentence)
