"""What the tube sweeps: heights kept, arms carried round the die, and the space to keep out of."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from barmath import Bender, Die, Order, Recipe, Tube, recipe_from_order, springback_from_tube
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold, made_so_far
from barmath.bending.swing import keepout_from_swing, swing
from barmath.shop.setup import Setup
from barmath.space.centerline import bends_from_recipe

DIE_89 = Die(88.9)
TUBE_MM = 22.225
SPRINGBACK = springback_from_tube(Tube(TUBE_MM, 1.4732), DIE_89)
RECIPE = recipe_from_order(Order(78.0, 12.0, 780.0, controls_mm=180.0), SPRINGBACK.finished_radius_mm, 25.0)
STAND = Bender(
    table_below_mm=120.0, table_reach_mm=400.0, floor_below_mm=980.0, frame_below_mm=35.0, frame_reach_mm=140.0,
    handle_reach_mm=900.0,
)  # fmt: skip
recipes = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(10.0, 120.0),
    inner_bend_deg=st.floats(5.0, 70.0),
    straight_mm=st.floats(0.0, 150.0),
    roll_deg=st.floats(-170.0, 170.0),
    outer_bend_deg=st.floats(5.0, 70.0),
    grip_mm=st.floats(10.0, 250.0),
    radius_mm=st.just(SPRINGBACK.finished_radius_mm),
)
holds = st.builds(Hold, st.integers(0, 3), st.sampled_from((LEFT, RIGHT)))
masks = st.lists(st.booleans(), min_size=4, max_size=4)


def swung(recipe, hold, made, bender=STAND):
    return swing(bends_from_recipe(recipe), np.array(made), hold, Setup(TUBE_MM, DIE_89, SPRINGBACK, bender))


@given(recipes, holds, masks, st.sampled_from(("left", "right")))
def test_no_point_changes_its_height_and_the_held_side_is_still(recipe, hold, made, turns):
    one = swung(recipe, hold, made, Bender(turns))
    np.testing.assert_allclose(one.points_mm[..., 2], np.broadcast_to(one.points_mm[0, :, 2], one.points_mm.shape[:2]),
                               atol=1e-9)  # fmt: skip
    held = ~one.moving
    np.testing.assert_allclose(one.points_mm[:, held], one.points_mm[[0]][:, held] + np.zeros((9, 1, 1)), atol=1e-9)


@given(recipes, holds, masks, st.sampled_from(("left", "right")))
def test_what_is_beyond_the_arc_is_drawn_along_and_turned_about_the_pivot(recipe, hold, made, turns):
    # second route, by SciPy: a rigid piece slides back by the arc already wrapped, then turns about the die's pivot
    bender = Bender(turns)
    one = swung(recipe, hold, made, bender)
    stop = recipe.inner_bend_deg if hold.number in (1, 2) else recipe.outer_bend_deg
    on_die = np.linspace(0.0, stop / (1.0 - SPRINGBACK.ratio), 9)
    arc = DIE_89.centerline_radius_mm * np.radians(on_die[-1])
    beyond = one.moving & (np.linalg.norm(one.points_mm[0], axis=-1) > arc + 1e-6)
    pivot = np.array([0.0, bender.die_side * DIE_89.centerline_radius_mm, 0.0])
    for moment, angle in enumerate(on_die):
        slid = one.points_mm[0, beyond] - [DIE_89.centerline_radius_mm * np.radians(angle), 0.0, 0.0]
        turned = Rotation.from_euler("z", bender.die_side * angle, degrees=True).apply(slid - pivot) + pivot
        on_straight = (one.points_mm[0, beyond, 0] > arc) | (np.abs(one.points_mm[0, beyond, 1:]).max(-1) > 1e-6)
        np.testing.assert_allclose(one.points_mm[moment, beyond][on_straight], turned[on_straight], atol=1e-6)


def test_the_space_to_keep_out_of_holds_every_moving_point_and_the_handle():
    one = swung(RECIPE, USUAL_HOLDS[2], made_so_far(USUAL_HOLDS)[2])
    keep = keepout_from_swing(one, Setup(TUBE_MM, DIE_89, SPRINGBACK, STAND))
    points = one.points_mm[:, one.moving]
    away = np.hypot(points[..., 0], points[..., 1] - 88.9)
    assert keep.tube_reach_mm == pytest.approx(away.max() + TUBE_MM / 2.0)
    assert keep.reach_mm == 900.0
    assert keepout_from_swing(one, Setup(TUBE_MM, DIE_89, SPRINGBACK)).reach_mm == keep.tube_reach_mm
    assert keep.lowest_mm <= points[..., 2].min() <= points[..., 2].max() <= keep.highest_mm
