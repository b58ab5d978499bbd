"""How the bar is clamped: tube against stem and controls, clamp flat against the stem."""

import numpy as np
import pytest

from barmath import BendError, Tube
from barmath.shop.clamping import (
    SLIP_FIT_MM,
    STEM_CLAMPS_MM,
    clamp_flat_spare_mm,
    clamping_warnings,
    controls_fit,
    stem_fits,
    stem_roll_way,
)

SEVEN_EIGHTHS = Tube(22.225, 1.4732)


def test_a_tube_of_seven_eighths_goes_straight_into_the_smallest_stem_and_with_shims_into_the_others():
    assert [fit.sentence for fit in stem_fits(SEVEN_EIGHTHS)] == [
        "22.2 mm stem: fits without a shim",
        "25.4 mm stem: fits with a shim of 1.6 mm wall",
        "31.8 mm stem: fits with a shim of 4.8 mm wall",
        "35.0 mm stem: fits with a shim of 6.4 mm wall",
    ]


def test_a_shim_fills_half_the_difference_all_round():
    for fit in stem_fits(Tube(20.0, 1.5)):
        assert fit.fits
        assert 20.0 + 2 * fit.shim_wall_mm == pytest.approx(fit.clamp_mm)


def test_a_tube_of_25_4_is_too_thick_for_the_smallest_stem():
    smallest, next_one, *_ = stem_fits(Tube(25.4, 1.5))
    assert (smallest.fits, smallest.sentence) == (False, "22.2 mm stem: the tube is too thick")
    assert (next_one.fits, next_one.shim_wall_mm) == (True, 0.0)


@pytest.mark.parametrize("size", STEM_CLAMPS_MM)
def test_the_same_size_within_a_slip_fit_goes_straight_in(size):
    for diameter in (size - 0.99 * SLIP_FIT_MM, size + 0.99 * SLIP_FIT_MM):
        assert any(fit.fits and fit.shim_wall_mm == 0.0 for fit in stem_fits(Tube(diameter, 1.5)))
    assert not any(fit.fits and fit.shim_wall_mm == 0.0 for fit in stem_fits(Tube(size + 1.01 * SLIP_FIT_MM, 1.5)))


def test_controls_go_on_seven_eighths_and_not_on_an_inch():
    assert controls_fit(SEVEN_EIGHTHS)
    assert not controls_fit(Tube(25.4, 1.5))


def test_half_of_what_the_stem_leaves_of_the_flat_is_spare_on_each_side():
    assert clamp_flat_spare_mm(55.0, 45.0) == 5.0
    assert clamp_flat_spare_mm(40.0, 45.0) == -2.5
    np.testing.assert_array_equal(clamp_flat_spare_mm(np.array([45.0, 55.0]), 45.0), [0.0, 5.0])


def test_where_all_is_well_nothing_is_said():
    assert clamping_warnings(SEVEN_EIGHTHS, 50.0) == []
    assert clamping_warnings(SEVEN_EIGHTHS, 50.0, 50.0) == []


@pytest.mark.parametrize(
    ("tube", "flat", "stem", "sentences"),
    [
        (Tube(38.1, 1.5), 50.0, None,
         ["tube diameter must suit a stem clamp of 22.2, 25.4, 31.8, 35.0 mm, got 38.1 mm: choose a thinner tube",
          "tube diameter must be 22.2 mm for rubber grips and controls, got 38.1 mm: check what the rider will "
           "fit to it"]),
        (Tube(25.4, 1.5), 50.0, None,
         ["tube diameter must be 22.2 mm for rubber grips and controls, got 25.4 mm: check what the rider will "
          "fit to it"]),
        (SEVEN_EIGHTHS, 40.0, 45.0,
         ["clamp flat must be at least 45.0 mm, the width of the stem, got 40.0 mm: "
          "order a longer flat or choose a narrower stem"]),
    ],
)  # fmt: skip
def test_what_a_builder_should_know_is_said_in_these_words(tube, flat, stem, sentences):
    assert clamping_warnings(tube, flat, stem) == sentences


def test_a_stem_or_flat_of_nothing_is_refused():
    with pytest.raises(BendError, match=r": stem width must be above 0.0 mm, got 0.0 mm$"):
        clamp_flat_spare_mm(50.0, 0.0)
    with pytest.raises(BendError, match=r": clamp flat must be above 0.0 mm, got -1.0 mm$"):
        clamp_flat_spare_mm(-1.0, 45.0)


def test_one_tube_is_clamped_at_a_time():
    with pytest.raises(BendError, match=r": tube must be a single one"):
        stem_fits(Tube([22.2, 25.4], 1.5))


@pytest.mark.parametrize("roll", [0.06, 0.3, 0.9, 1.0, 30.0, 180.0])
def test_every_stem_roll_that_is_shown_leans_to_one_side_and_its_mirror_to_the_other(roll):
    assert (stem_roll_way(roll), stem_roll_way(-roll)) == ("rearward", "forward")


@pytest.mark.parametrize("roll", [0.0, 0.04, -0.04])
def test_a_stem_roll_that_is_shown_as_nought_leans_to_no_side(roll):
    assert stem_roll_way(roll) == ""


@pytest.mark.parametrize("size", STEM_CLAMPS_MM)
def test_just_beyond_a_slip_fit_a_thinner_tube_takes_a_shim_and_a_thicker_one_is_refused(size):
    off = 1.01 * SLIP_FIT_MM
    place = STEM_CLAMPS_MM.index(size)
    thin, thick = (stem_fits(Tube(diameter, 1.5))[place] for diameter in (size - off, size + off))
    assert thin.fits
    assert thin.shim_wall_mm == pytest.approx(off / 2.0)
    assert not thick.fits
