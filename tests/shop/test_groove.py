"""The section of a die: distances by hand, and against a cloud of points of the metal itself."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from barmath import BendError, Die
from barmath.shop.groove import section_from_die

GRID_MM = 0.25
dies = st.builds(
    Die,
    st.floats(60.0, 250.0),
    groove_depth_mm=st.none() | st.floats(2.0, 30.0),
    rim_height_mm=st.none() | st.floats(22.0, 50.0),
)


def metal(section):
    """Points of the die's upper metal, by what it is made of: a block less a circle and the slot outward of it."""
    outer = section.radius_mm + 60.0
    rho, z = np.meshgrid(
        np.arange(section.radius_mm - 60.0, outer, GRID_MM), np.arange(0.0, section.height_mm, GRID_MM)
    )
    circle = np.hypot(rho - section.radius_mm, z) < section.tube_mm
    slot = (rho > section.radius_mm) & (z < section.tube_mm)
    return np.stack([rho, z], -1)[(rho <= section.rim_mm) & ~circle & ~slot]


@given(dies, st.floats(-40.0, 60.0), st.floats(0.0, 50.0))
def test_the_distance_is_that_to_the_nearest_point_of_the_metal(die, outward, z):
    section = section_from_die(die, 22.2)
    rho = section.radius_mm + outward
    distance = float(section.distance_mm(np.array([rho]), np.array([z]))[0])
    assert distance == pytest.approx(cKDTree(metal(section)).query([rho, z])[0], abs=2.0 * GRID_MM)
    assert float(section.distance_mm(np.array([rho]), np.array([-z]))[0]) == distance


@given(dies, st.floats(0.0, 50.0), st.floats(-40.0, 60.0), st.floats(0.0, 30.0))
def test_farther_from_the_axis_is_never_nearer_to_the_metal(die, z, outward, more):
    section = section_from_die(die, 22.2)
    rho = section.radius_mm + outward + np.array([0.0, more])
    near, far = section.distance_mm(rho, np.array([z, z]))
    assert near <= far + 1e-9


@given(dies, st.floats(5.0, 40.0))
def test_a_straight_tube_in_the_groove_touches_and_never_collides(die, diameter):
    section = section_from_die(die, diameter)
    along = np.linspace(-400.0, 400.0, 801)
    distance = section.distance_mm(np.hypot(along, die.centerline_radius_mm), np.zeros(801))
    assert distance.min() == pytest.approx(diameter / 2.0, abs=1e-9)


def test_what_is_not_measured_is_taken_from_the_tube():
    # the rim at the groove's centre line, one diameter over the tube's middle
    section = section_from_die(Die(100.0), 20.0)
    rho, z = np.array([107.0, 100.0, 90.0, 103.0]), np.array([0.0, 25.0, 26.0, 24.0])
    assert section.distance_mm(rho, z) == pytest.approx([np.hypot(7.0, 10.0), 5.0, 6.0, 5.0])


def test_a_measured_die_counts_with_its_measures():
    section = section_from_die(Die(100.0, groove_depth_mm=6.0, rim_height_mm=15.0), 20.0)
    assert section.rim_mm == 96.0
    assert section.lip_mm == pytest.approx(np.sqrt(10.0**2 - 4.0**2))
    assert section.distance_mm(np.array([101.0]), np.array([27.0])) == pytest.approx([13.0])


@pytest.mark.parametrize("field", ["groove_depth_mm", "rim_height_mm"])
def test_a_measure_of_nothing_is_refused(field):
    with pytest.raises(BendError, match=r"of the die must be above 0\.0 mm, got 0\.0 mm"):
        Die(100.0, **{field: 0.0})


@given(dies)
def test_the_outline_runs_along_the_metal_and_through_the_groove(die):
    section = section_from_die(die, 22.2)
    outline = section.outline_mm()
    assert outline[0] == pytest.approx([section.rim_mm, section.height_mm])
    np.testing.assert_allclose(section.distance_mm(*outline.T), 0.0, atol=1e-6)
    assert outline[:, 0].min() == pytest.approx(section.radius_mm - section.tube_mm)
    np.testing.assert_allclose(outline[::-1] * [1.0, -1.0], outline, atol=1e-9)
