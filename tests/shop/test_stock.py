"""The tube: section properties by hand, in the limits, and refusals."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tolerances import RATIO

from barmath import CHROMOLY_4130, BendError, Material, Tube
from barmath.refusal import remedy_first

MATERIAL = {
    "name": "soft",
    "elastic_modulus_mpa": 200e3,
    "density_kg_m3": 7850.0,
    "yield_mpa": 300.0,
    "yield_low_mpa": 250.0,
    "yield_high_mpa": 350.0,
    "tensile_mpa": 400.0,
    "elongation_percent": 20.0,
}


def said(make, *args, **kwargs) -> str:
    with pytest.raises(BendError) as refusal:
        make(*args, **kwargs)
    return str(refusal.value)


# ---- by hand


def test_a_tube_of_20_by_5_has_the_section_of_its_circles():
    tube = Tube(20.0, 5.0)
    assert tube.inside_diameter_mm == 10.0
    assert tube.area_mm2 == pytest.approx(math.pi * (10**2 - 5**2), rel=RATIO)
    assert tube.second_moment_mm4 == pytest.approx(math.pi / 4 * (10**4 - 5**4), rel=RATIO)
    assert tube.section_modulus_mm3 == pytest.approx(math.pi / 4 * (10**4 - 5**4) / 10, rel=RATIO)
    assert tube.radius_of_gyration_mm == pytest.approx(math.sqrt(10**2 + 5**2) / 2, rel=RATIO)
    assert tube.plastic_modulus_mm3 == pytest.approx(4 / 3 * (10**3 - 5**3), rel=RATIO)
    assert tube.plastic_moment_nm(600.0) == pytest.approx(0.6 * 4 / 3 * (10**3 - 5**3), rel=RATIO)


def test_a_metre_of_steel_tube_weighs_its_metal():
    tube = Tube(20.0, 5.0)
    assert tube.mass_kg_m == pytest.approx(math.pi * (0.010**2 - 0.005**2) * 7850.0, rel=RATIO)
    assert tube.mass_g(500.0) == pytest.approx(500.0 * tube.mass_kg_m, rel=RATIO)


def test_a_wall_of_half_the_diameter_is_a_solid_bar():
    bar = Tube(20.0, 10.0)
    assert bar.inside_diameter_mm == 0.0
    assert bar.plastic_modulus_mm3 == pytest.approx(20**3 / 6, rel=RATIO)
    assert bar.plastic_modulus_mm3 / bar.section_modulus_mm3 == pytest.approx(16 / (3 * math.pi), rel=RATIO)


def test_a_wall_as_thin_as_paper_has_the_shape_factor_of_a_ring():
    ring = Tube(20.0, 1e-6)
    assert ring.plastic_modulus_mm3 / ring.section_modulus_mm3 == pytest.approx(4 / math.pi, rel=1e-6)


# ---- what must hold for any tube

tubes = st.floats(5.0, 60.0).flatmap(lambda d: st.builds(Tube, st.just(d), st.floats(0.01, 0.5).map(lambda t: t * d)))


@given(tubes, st.floats(0.1, 10.0))
def test_a_larger_tube_of_the_same_form_scales_by_powers_of_its_size(tube, scale):
    larger = Tube(scale * tube.outside_diameter_mm, scale * tube.wall_mm)
    assert larger.area_mm2 == pytest.approx(scale**2 * tube.area_mm2, rel=1e-9)
    assert larger.plastic_modulus_mm3 == pytest.approx(scale**3 * tube.plastic_modulus_mm3, rel=1e-9)
    assert larger.second_moment_mm4 == pytest.approx(scale**4 * tube.second_moment_mm4, rel=1e-9)


@given(tubes)
def test_the_whole_section_bears_more_than_its_first_fibre(tube):
    assert 4 / math.pi - 1e-6 <= tube.plastic_modulus_mm3 / tube.section_modulus_mm3 <= 16 / (3 * math.pi) + 1e-9


def test_arrays_of_tubes_agree_with_single_ones():
    diameters, walls = np.array([[22.225], [25.4]]), np.array([1.2, 1.5, 2.0])
    table = Tube(diameters, walls)
    for i, j in np.ndindex(2, 3):
        one = Tube(diameters[i, 0], walls[j])
        for name in ("area_mm2", "second_moment_mm4", "section_modulus_mm3", "plastic_modulus_mm3", "mass_kg_m"):
            assert getattr(table, name)[i, j] == pytest.approx(getattr(one, name), rel=RATIO)


# ---- refusals


@pytest.mark.parametrize(
    ("diameter", "wall", "sentence"),
    [
        (0.0, 1.5, "tube diameter must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (-22.2, 1.5, "tube diameter must be above 0.0 mm, got -22.2 mm: type a number above 0.0 mm"),
        (22.2, 0.0, "tube wall must be above 0.0 mm, got 0.0 mm: type a number above 0.0 mm"),
        (22.2, 1e-12, "tube wall must be at least 1e-06 mm, got 1e-12 mm: type a number above 0.0 mm"),
        (22.2, "1.5", "tube wall must be a number in mm, got '1.5': type a number, without quotes"),
        (float("nan"), 1.5, "tube diameter must be a finite number in mm, got nan mm: type a number in mm"),
        (22.2, 19.2,
         "tube wall must be at most half the diameter of 22.2 mm, got 19.2 mm: give the wall, not the bore"),
        ([25.4, 22.2], [1.5, 12.0],
         "tube wall must be at most half the diameter of 22.2 mm, got 12.0 mm (element 1 of (2,)): "
         "give the wall, not the bore"),
        ([25.4, 22.2], [1.5, 1.5, 1.5],
         "the tube must have arrays that fit together, got shapes (2,) and (3,): give one number, or one for each bar"),
    ],
)  # fmt: skip
def test_what_is_no_tube_is_refused_in_these_words(diameter, wall, sentence):
    assert said(Tube, diameter, wall) == remedy_first(sentence)


def test_a_tube_is_made_of_a_material():
    assert (
        said(Tube, 22.2, 1.5, "steel")
        == "Give one, for example CHROMOLY_4130: material must be a Material, got 'steel'"
    )


def test_the_moment_of_a_tube_without_yield_is_refused():
    assert (
        said(Tube(22.2, 1.5).plastic_moment_nm, 0.0)
        == "Type a number above 0.0 MPa: yield must be above 0.0 MPa, got 0.0 MPa"
    )
    length = "Type a number from 0.0 mm up: length must be at least 0.0 mm, got -1.0 mm"
    assert said(Tube(22.2, 1.5).mass_g, -1.0) == length


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("elastic_modulus_mpa", 0.0, "elastic modulus must be above 0.0 MPa, got 0.0 MPa: type a number above 0.0 MPa"),
        ("density_kg_m3", -1.0, "density must be above 0.0 kg/m3, got -1.0 kg/m3: type a number above 0.0 kg/m3"),
        ("tensile_mpa", None, "tensile strength must be a number in MPa, got None: type a number, without quotes"),
        ("elongation_percent", float("inf"), "elongation must be a finite number in %, got inf %: type a number in %"),
        (
            "yield_mpa",
            240.0,
            "yield must be in its band of 250.0 to 350.0 MPa, got 240.0 MPa: choose a yield inside the band, "
            "or a wider band",
        ),
        (
            "yield_mpa",
            0.5,
            "yield must be in its band of 250.0 to 350.0 MPa, got 0.5 MPa: choose a yield inside the band, "
            "or a wider band",
        ),
        (
            "yield_low_mpa",
            360.0,
            "low end of the yield must be at most its high end of 350.0 MPa, got 360.0 MPa: swap the two ends",
        ),
        (
            "yield_mpa",
            360.0,
            "yield must be in its band of 250.0 to 350.0 MPa, got 360.0 MPa: choose a yield inside the band, "
            "or a wider band",
        ),
        (
            "tensile_mpa",
            299.0,
            "tensile strength must be at least the yield of 300.0 MPa, got 299.0 MPa: look both up in one table of the "
            "metal",
        ),
    ],
)
def test_what_is_no_material_is_refused_in_these_words(field, value, sentence):
    assert said(Material, **MATERIAL | {field: value}) == remedy_first(sentence)


def test_chromoly_has_a_band_of_yield_round_its_nominal_one():
    assert CHROMOLY_4130.yield_low_mpa < CHROMOLY_4130.yield_mpa < CHROMOLY_4130.yield_high_mpa


@pytest.mark.parametrize("wall", [1e-6, 1e-4, 1e-2])
def test_the_thinnest_wall_loses_no_figures_to_rounding(wall):
    # a ring of mean radius r: I = pi r^3 t (1 + (t/2r)^2), Z = 4 r^2 t (1 + t^2/(12 r^2))
    tube = Tube(22.2, wall)
    r = (22.2 - wall) / 2
    assert tube.second_moment_mm4 == pytest.approx(np.pi * r**3 * wall * (1 + (wall / (2 * r)) ** 2), rel=1e-13)
    assert tube.plastic_modulus_mm3 == pytest.approx(4 * r**2 * wall * (1 + wall**2 / (12 * r**2)), rel=1e-13)


@pytest.mark.parametrize("at", ["yield_low_mpa", "yield_high_mpa"])
def test_a_nominal_yield_may_be_at_an_end_of_its_band(at):
    assert Material(**{**MATERIAL, "yield_mpa": MATERIAL[at]}).yield_mpa == MATERIAL[at]
