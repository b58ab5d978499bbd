"""Random errors through the whole process: seeded, against first-order propagation, and what they say of orders."""

import numpy as np
import pytest

from barmath import Bender, BendError, Die, Order, Tube, recipe_from_order, springback_from_tube
from barmath.bending.error_budget import error_budget
from barmath.bending.finder import flats_to_read
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold, made_so_far
from barmath.bending.settings import bends_from_settings, settings_from_bends
from barmath.bending.spread import (
    TUBES,
    ProcessErrors,
    Spread,
    only,
    slips_from_errors,
    slope_of_reading,
    spread_of_sequence,
)
from barmath.checking.bench_errors import BenchErrors
from barmath.closed_forms.sensitivity import OUTER_BEND, ROLL, sensitivities_from_recipe
from barmath.shop.setup import Setup
from barmath.shop.tolerance import USUAL
from barmath.space.centerline import bends_from_recipe, cut_length_mm
from barmath.space.two_sides import two_sides_from_bends

DIE = Die(88.9)
SPRINGBACK = springback_from_tube(Tube(22.225, 1.4732), DIE)
RECIPE = recipe_from_order(Order(78.0, 12.0, 780.0, controls_mm=180.0), SPRINGBACK.finished_radius_mm, 25.0)
ROW = bends_from_recipe(RECIPE)
SETUP = Setup(22.225, DIE, SPRINGBACK)
OUTER_FIRST = (Hold(3, LEFT), Hold(0, RIGHT), Hold(2, RIGHT), Hold(1, LEFT))
SMALL = 0.1
SCATTER = 0.04
"""Of a standard deviation of 4000 tubes: 4 of its standard errors, 1/sqrt(8000)."""


def spread(errors, holds=USUAL_HOLDS, **kwargs):
    return spread_of_sequence(ROW, holds, errors, SPRINGBACK, DIE, **kwargs)


def sides_of(errors):
    settings = settings_from_bends(ROW, USUAL_HOLDS, SPRINGBACK, DIE)
    slips = slips_from_errors(errors, len(settings), TUBES, seed=1)
    return two_sides_from_bends(
        bends_from_settings(settings, float(cut_length_mm(ROW)), SPRINGBACK, DIE, Bender(), slips)
    )


def of(stop=0.0, finder=0.0, mark=0.0, springback=0.0):
    return ProcessErrors(stop, finder, mark, springback)


@pytest.mark.parametrize("measure", ["rise", "backsweep", "upsweep"])
@pytest.mark.parametrize(
    ("errors", "lines"),
    [
        (of(stop=SMALL), ("inner bends", "outer bends")),
        (of(finder=SMALL), ("clamp reading", "levelling of the bent arm")),
        (of(mark=SMALL), ("inner marks", "outer marks")),
        (of(SMALL, SMALL, SMALL), None),
    ],
)
def test_the_sides_come_apart_by_what_the_closed_form_sensitivities_add_up_to(measure, errors, lines):
    # the stop's error is on the die, of which the springback takes its share
    kept = 1.0 - SPRINGBACK.ratio
    budget = error_budget(RECIPE, BenchErrors(errors.stop_deg * kept, errors.finder_deg, errors.mark_mm))
    unit = "mm" if measure == "rise" else "deg"
    chosen = [line for line in budget.lines if line.name != "tube ends" and (lines is None or line.name in lines)]
    expected = np.sqrt(sum(getattr(line.apart, f"{measure}_{unit}") ** 2 for line in chosen))
    found = sides_of(errors).apart(f"{measure}_{unit}").std()
    assert found == pytest.approx(expected, rel=SCATTER, abs=1e-9)


def test_a_spread_is_one_standard_deviation_of_the_tubes_that_come_out():
    errors = of(SMALL, SMALL, SMALL)
    found, sides = spread(errors), sides_of(errors)
    assert found.rise_apart_mm == pytest.approx(sides.apart("rise_mm").std())
    assert found.backsweep_apart_deg == pytest.approx(sides.apart("backsweep_deg").std())
    assert found.twist_deg == pytest.approx(sides.twist_deg.std())
    assert found.upsweep_deg == pytest.approx(np.sqrt(np.mean(sides.upsweep_deg.std(0) ** 2)))


@pytest.mark.parametrize("times", [0.3, 0.5, 1.0])
def test_a_shop_is_said_to_keep_the_goal_only_where_19_of_20_tubes_bent_on_the_screen_do(times):
    errors, within = BenchErrors(0.3 * times, 0.2 * times, 0.5 * times), USUAL.apart
    bent = ProcessErrors(errors.stop_deg / (1.0 - SPRINGBACK.ratio), errors.finder_deg, errors.mark_mm, 0.0)
    slips = slips_from_errors(bent, 4, 4000, 5)
    settings = settings_from_bends(ROW, USUAL_HOLDS, SPRINGBACK, DIE)
    sides = two_sides_from_bends(bends_from_settings(settings, float(cut_length_mm(ROW)), SPRINGBACK, DIE, slips=slips))
    measured = {"backsweep_deg": sides.backsweep_deg, "upsweep_deg": sides.upsweep_deg, "rise_mm": sides.rise_mm}
    kept = np.mean(
        np.all([np.abs(measured[key][..., 0] - measured[key][..., 1]) <= most for key, most in within.items()], 0)
    )
    budget = error_budget(RECIPE, errors)
    assert budget.share(within) == pytest.approx(kept, abs=0.02)  # sqrt(0.25/4000) is 0.008
    assert budget.keeps(within) == (kept >= 0.95)


def test_the_springback_scatters_a_bend_as_the_stop_does():
    # k is off by e: the bend by e times the stop; a stop that is off by as much gives the same sides
    stop = 25.0 / (1.0 - SPRINGBACK.ratio)
    by_spring = spread(of(springback=0.001)).backsweep_apart_deg
    by_stop = spread(of(stop=0.001 * stop / (1.0 - SPRINGBACK.ratio))).backsweep_apart_deg
    assert by_spring == pytest.approx(by_stop, rel=SCATTER)


def test_one_outer_stop_moves_the_backsweep_by_its_sensitivity():
    slope = sensitivities_from_recipe(RECIPE)[OUTER_BEND].backsweep_deg * (1.0 - SPRINGBACK.ratio)
    slips = slips_from_errors(of(stop=SMALL), 4, 4000, 3).stop_deg[:, 2]
    assert np.std(slope * slips) == pytest.approx(abs(slope) * SMALL, rel=SCATTER)


def test_a_degree_misread_on_the_clamp_flat_moves_the_sweep_by_the_closed_forms():
    # d backsweep/d roll over d reading/d roll; and the level arm turns one half against the other by 1/sin a
    made = made_so_far(USUAL_HOLDS)
    flat = flats_to_read(ROW, USUAL_HOLDS[2], made[2])[0]
    slopes = sensitivities_from_recipe(RECIPE)[ROLL]
    found = slope_of_reading(ROW, USUAL_HOLDS, 2, flat, SETUP)
    assert found.backsweep_deg == pytest.approx(abs(slopes.backsweep_deg / slopes.clamp_reading_deg), rel=1e-5)
    assert found.twist_deg == pytest.approx(0.0, abs=1e-9)
    arm = flats_to_read(ROW, USUAL_HOLDS[1], made[1])[0]
    twist = slope_of_reading(ROW, USUAL_HOLDS, 1, arm, SETUP).twist_deg
    assert twist == pytest.approx(1.0 / np.sin(np.radians(25.0)), rel=1e-5)


def test_a_flat_further_off_shows_the_roll_better_and_the_sweep_by_as_much_less():
    near, far = flats_to_read(ROW, USUAL_HOLDS[2], made_so_far(USUAL_HOLDS)[2])
    slopes = [slope_of_reading(ROW, USUAL_HOLDS, 2, flat, SETUP).backsweep_deg for flat in (near, far)]
    assert slopes[1] / slopes[0] == pytest.approx(far.roll_per_reading / near.roll_per_reading, rel=1e-4)


def test_no_errors_no_spread():
    assert max(spread(of())) < 1e-9


def test_twice_the_error_twice_the_spread():
    one, two = spread(of(SMALL, SMALL, SMALL, 1e-4)), spread(of(2 * SMALL, 2 * SMALL, 2 * SMALL, 2e-4))
    assert two == pytest.approx(tuple(2.0 * x for x in one), rel=0.01)


def test_equal_seeds_give_equal_spreads_and_others_nearly():
    errors = ProcessErrors()
    assert spread(errors, seed=5) == spread(errors, seed=5)
    assert spread(errors, seed=6) != spread(errors, seed=5)
    assert spread(errors, seed=6) == pytest.approx(spread(errors, seed=5), rel=2.0 * SCATTER)


def test_inner_first_and_outer_first_come_out_nearly_alike():
    # for 0.3 degrees of stop and finder: the order hardly matters for errors, holding and clearance decide
    errors = ProcessErrors(0.3, 0.3, 0.5, 0.0)
    inner, outer = spread(errors), spread(errors, OUTER_FIRST)
    assert inner.backsweep_apart_deg == pytest.approx(0.50, abs=0.03)
    assert outer.backsweep_apart_deg == pytest.approx(0.45, abs=0.03)
    assert abs(inner.backsweep_apart_deg - outer.backsweep_apart_deg) < 0.1


@pytest.mark.parametrize("turns", ["left", "right"])
def test_the_side_to_which_the_bender_turns_changes_no_spread(turns):
    errors = ProcessErrors()
    assert spread(errors, bender=Bender(turns)) == pytest.approx(spread(errors), rel=2.0 * SCATTER)


def test_only_keeps_the_errors_named():
    assert only(ProcessErrors(), "mark_mm") == ProcessErrors(0.0, 0.0, 0.5, 0.0)


@pytest.mark.parametrize("bad", [-0.1, np.nan, "wide", np.ones(3), 11.0])
@pytest.mark.parametrize("field", ["stop_deg", "finder_deg", "springback"])
def test_an_error_that_is_no_number_in_its_range_is_refused(field, bad):
    with pytest.raises(BendError):
        ProcessErrors(**{field: bad})


@pytest.mark.parametrize("tubes", [1, 2.5, 1e9, "all", np.nan])
def test_a_number_of_tubes_that_makes_no_spread_is_refused(tubes):
    with pytest.raises(BendError, match="number of tubes must be"):
        spread(ProcessErrors(), tubes=tubes)


def test_a_spread_names_every_measure():
    assert Spread._fields == (
        "rise_mm", "backsweep_deg", "upsweep_deg", "twist_deg",
        "rise_apart_mm", "backsweep_apart_deg",
    )  # fmt: skip
