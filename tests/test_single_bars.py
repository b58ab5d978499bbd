"""What works on one bar refuses an array in a sentence, and what takes arrays refuses shapes that do not fit."""

import numpy as np
import pytest

from barmath import BendError, Die, Order, Recipe, Springback, Tube, springback_from_tube
from barmath.bending.holds import poses_from_recipe
from barmath.bending.steps import bench_steps
from barmath.planning.die_choice import across_half_width, die_choice, window_curve
from barmath.planning.even_bend import even_bend_deg
from barmath.planning.old_marks import bend_from_straight_deg
from barmath.planning.recipe_limits import limits_from_recipe, refusals
from barmath.planning.ways import every_way
from barmath.shop.clamping import clamp_flat_spare_mm, clamping_warnings
from barmath.shop.forming import forming_from_bend, out_of_round
from barmath.space.anatomy import features_from_recipe
from barmath.space.centerline import bends_from_recipe, sample_stations
from barmath.space.drawing import drawing_from_recipe

TWO, THREE = np.array([90.0, 100.0]), np.array([90.0, 100.0, 110.0])
TUBE, DIE, ORDER, SPRING = Tube(22.2, 1.5), Die(89.0), Order(78, 12, 780), Springback(0.03, 89.0)
BAR = Recipe(50, 25, 120, 29, 25, 190, 91)
BARS = Recipe(50, 25, TWO, 29, 25, 190, 91)
TUBES = Tube(22.2, np.array([1.0, 1.5]))


@pytest.mark.parametrize(
    "make",
    [
        lambda: features_from_recipe(BARS),
        lambda: across_half_width(BARS),
        lambda: drawing_from_recipe(BARS, 22.2),
        lambda: drawing_from_recipe(BAR, TWO),
        lambda: drawing_from_recipe(BAR, None),
        lambda: poses_from_recipe(BARS),
        lambda: bench_steps(BARS, SPRING, DIE),
        lambda: bench_steps(BAR, Springback(0.03, TWO), DIE),
        lambda: window_curve(ORDER, TUBE, Die(TWO), [20.0, 25.0]),
        lambda: die_choice([ORDER], TUBES, [DIE], TWO, [20.0, 25.0], 65.0),
        lambda: die_choice([ORDER], TUBE, [DIE], TWO, [20.0, 25.0], TWO),
        lambda: bend_from_straight_deg(ORDER, TWO, 100.0),
        lambda: bend_from_straight_deg(ORDER, 90.0, TWO),
        lambda: clamping_warnings(TUBE, TWO, 45.0),
        lambda: refusals(limits_from_recipe(BARS, ORDER, TUBE, Die(89.0, least_straight_mm=200.0))),
        lambda: every_way(ORDER, TUBE, [DIE], stock_length_mm=None),
        lambda: sample_stations(bends_from_recipe(BAR), 2.5),
        lambda: even_bend_deg(ORDER, TUBES, DIE, 10.0, 50.0),
        lambda: even_bend_deg(ORDER, TUBE, Die(TWO), 10.0, 50.0),
    ],
)
def test_what_is_for_one_bar_refuses_anything_else(make):
    with pytest.raises(BendError, match=" must "):
        make()


@pytest.mark.parametrize(
    "make",
    [
        lambda: TUBES.mass_g(THREE),
        lambda: TUBES.plastic_moment_nm(THREE),
        lambda: springback_from_tube(TUBE, Die(TWO), yield_mpa=5.0 * THREE),
        lambda: Springback(0.03 * TWO / TWO, 89.0).die_bend_deg(THREE),
        lambda: Springback(0.03 * TWO / TWO, 89.0).finished_bend_deg(THREE),
        lambda: forming_from_bend(Tube(np.array([20.0, 22.2]), 1.5), THREE),
        lambda: out_of_round(THREE, 22.0, TWO),
        lambda: clamp_flat_spare_mm(TWO, THREE),
        lambda: limits_from_recipe(BARS, ORDER, TUBE, DIE, 10.0 * THREE),
    ],
)
def test_shapes_that_do_not_fit_each_other_are_refused(make):
    with pytest.raises(BendError, match="must have arrays that fit together"):
        make()
