"""How near the arms come: by hand, against the bend done moment by moment, and with a straight tube in the groove."""

import numpy as np
import pytest
from bending.test_swing import DIE_89, RECIPE, SPRINGBACK, STAND, TUBE_MM, holds, masks, recipes
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree
from shop.test_groove import metal

from barmath import Bender, Die, Order, Recipe, Springback, Tube, recipe_from_order, springback_from_tube
from barmath.bending.clearance import DIE, FLOOR, FRAME, MEETS, TABLE, TOUCH_MM, clearances_mm
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold, lines_in_bender, made_so_far
from barmath.bending.plans import GRIPS, PLANS
from barmath.bending.swing import tubes_through_swing
from barmath.shop.groove import section_from_die
from barmath.shop.setup import Setup
from barmath.space.centerline import TubeBends, bends_from_recipe, cut_length_mm, nodes_of_bends

QUARTER = TubeBends([200.0, 300.0, 300.0], [90.0, 30.0], [0.0, 90.0], [100.0] * 2)
"""A right angle out of the level plane: its arm hangs or stands R + 200 mm off the tube in the hook."""


def found(recipe, hold, made, bender=STAND, die=DIE_89):
    return clearances_mm(bends_from_recipe(recipe), np.array(made), hold, Setup(TUBE_MM, die, SPRINGBACK, bender))


def moment_by_moment(bends, made, hold, die, bender, step_mm=1.0, moments=61):
    """Clearances of the arms from points every millimetre at many moments of the bend: below 0 they meet."""
    tubes = tubes_through_swing(
        bends, made, hold, Setup(TUBE_MM, die, SPRINGBACK, bender), np.linspace(0.0, 1.0, moments)
    )
    stations = np.linspace(0.0, float(cut_length_mm(bends)), int(cut_length_mm(bends) / step_mm))
    points = lines_in_bender(tubes, stations, hold, bender)
    edges, arms = nodes_of_bends(bends).stations_mm[1:-1].reshape(-1, 2), np.zeros(stations.size, bool)
    for number in np.flatnonzero(made):
        if number != hold.number:
            arms |= stations <= edges[number, 1] if number < hold.number else stations >= edges[number, 0]
    x, y, z = points[:, arms].reshape(-1, 3).T
    rho = np.hypot(x, y - bender.die_side * die.centerline_radius_mm)
    clear = {DIE: cKDTree(metal(section_from_die(die, TUBE_MM))).query(np.stack([rho, abs(z)], -1))[0]}
    for thing, reach, below in (
        (TABLE, bender.table_reach_mm, bender.table_below_mm), (FRAME, bender.frame_reach_mm, bender.frame_below_mm),
        (FLOOR, np.inf, bender.floor_below_mm),
    ):  # fmt: skip
        clear[thing] = np.hypot(np.maximum(rho - reach, 0.0), np.maximum(z + below, 0.0))
    return {thing: float(distance.min()) - TUBE_MM / 2.0 for thing, distance in clear.items()}


@settings(max_examples=25)
@given(
    recipes, holds, masks, st.sampled_from(("left", "right")), st.none() | st.floats(4.0, 20.0),
    st.none() | st.floats(12.0, 45.0),
)  # fmt: skip
def test_clearances_are_those_of_the_bend_done_moment_by_moment(recipe, hold, made, turns, depth, height):
    bender = Bender(turns, table_below_mm=120.0, table_reach_mm=400.0, floor_below_mm=400.0, frame_below_mm=35.0,
                    frame_reach_mm=140.0)  # fmt: skip
    die = Die(DIE_89.centerline_radius_mm, groove_depth_mm=depth, rim_height_mm=height)
    made = [one and number != hold.number for number, one in enumerate(made)]
    clear = found(recipe, hold, made, bender, die)
    if not any(made):
        assert set(map(float, clear.values())) == {np.inf}
        return
    slow = moment_by_moment(bends_from_recipe(recipe), np.array(made), hold, die, bender)
    for thing, distance in clear.items():
        if distance == MEETS:
            assert slow[thing] < 0.6
        else:
            assert distance == pytest.approx(max(slow[thing], 0.0), abs=1.0)  # points are a millimetre apart


@pytest.mark.parametrize("radius_mm", [60.0, 88.9, 114.3, 165.1, 300.0])
@pytest.mark.parametrize("clamp_flat_mm", [0.0, 50.0, 120.0])
@pytest.mark.parametrize("turns", ["left", "right"])
def test_an_arm_that_is_level_with_the_groove_never_meets_its_die(radius_mm, clamp_flat_mm, turns):
    # the second inner bend of the usual sequence: the flat and the riser before it lie in the plane of the groove
    die = Die(radius_mm)
    spring = springback_from_tube(Tube(TUBE_MM, 1.4732), die)
    arc = spring.finished_radius_mm * np.radians(25.0)
    bends = TubeBends([180.0, 90.0, clamp_flat_mm, 90.0, 180.0], [25.0] * 4, [0.0, 150.0, 0.0, 30.0],
                  [spring.finished_radius_mm] * 4)  # fmt: skip
    clear = clearances_mm(
        bends, made_so_far(USUAL_HOLDS)[1], USUAL_HOLDS[1], Setup(TUBE_MM, die, spring, Bender(turns))
    )[DIE]
    # it is nearest to the rim where the bend before begins, a clamp flat beyond the arc: off it by the rim's corner
    away = np.hypot(radius_mm, clamp_flat_mm) - radius_mm
    assert clear == pytest.approx(np.hypot(away, TUBE_MM / 2.0) - TUBE_MM / 2.0, abs=0.05)
    assert arc > 0.0


def test_an_arm_that_meets_the_rim_meets_it_and_a_lower_rim_clears_it():
    # a tight bend behind the hook, 30 degrees out of level: its arm leads back over the die, or under it
    bends = TubeBends([300.0, 40.0, 300.0], [110.0, 30.0], [0.0, 30.0], [60.0, 100.0])
    clear = {}
    for height in (12.0, 60.0):
        die = Die(95.0, rim_height_mm=height)
        for turns in ("left", "right"):
            clear[height, turns] = float(
                clearances_mm(bends, np.array([True, False]), Hold(1, LEFT),
                              Setup(20.0, die, Springback(0.05, 95.0), Bender(turns)))[DIE]
            )  # fmt: skip
    for turns in ("left", "right"):
        assert clear[60.0, turns] == MEETS
        # the lower rim is nearest where the bend behind the hook begins, 40 mm along the line through the groove
        assert clear[12.0, turns] == pytest.approx(np.hypot(np.hypot(95.0, 40.0) - 95.0, 10.0) - 10.0, abs=1e-9)


def test_an_arm_that_hangs_down_clears_the_floor_by_what_its_straights_leave():
    die, springback, down = Die(90.0), Springback(0.1, 90.0), {}
    for turns in ("left", "right"):
        bender = Bender(turns, floor_below_mm=500.0, table_below_mm=250.0, table_reach_mm=1000.0)
        down[turns] = clearances_mm(
            QUARTER, np.array([True, False]), Hold(1, LEFT), Setup(20.0, die, springback, bender)
        )
    hanging, standing = sorted((float(clear[FLOOR]), turns) for turns, clear in down.items())
    assert hanging[0] == pytest.approx(500.0 - 300.0 - 10.0, abs=1e-9)
    assert standing[0] == pytest.approx(500.0 - 10.0, abs=0.1)  # its first piece leaves at the tube's own height
    assert float(down[hanging[1]][TABLE]) == MEETS


def test_a_table_that_reaches_everywhere_is_as_near_as_a_floor_of_its_height():
    wide = Bender("left", table_below_mm=420.0, table_reach_mm=5000.0, floor_below_mm=420.0)
    clear = clearances_mm(QUARTER, np.array([True, False]), Hold(1, LEFT),
                          Setup(20.0, Die(90.0), Springback(0.1, 90.0), wide))  # fmt: skip
    assert float(clear[TABLE]) == float(clear[FLOOR]) > 0.0


def test_beyond_the_reach_of_a_block_an_arm_may_hang_as_low_as_it_likes():
    # the arm hangs 300 + 100 behind the tangent point and so hypot(400, 90) = 410 from the pivot
    die, springback, clear = Die(90.0), Springback(0.1, 90.0), {}
    for reach in (395.0, 405.0):
        clear[reach] = [
            float(clearances_mm(QUARTER, np.array([True, False]), Hold(1, LEFT), Setup(20.0, die, springback,
                                Bender(turns, table_below_mm=250.0, table_reach_mm=reach)))[TABLE])
            for turns in ("left", "right")
        ]  # fmt: skip
    assert min(clear[395.0]) == pytest.approx(410.0 - 395.0 - 10.0, abs=1e-9)
    assert min(clear[405.0]) == MEETS


def test_a_straight_tube_has_no_arm_to_meet_anything():
    clear = found(RECIPE, USUAL_HOLDS[0], [False] * 4)
    assert set(clear) == {DIE, TABLE, FRAME, FLOOR}
    assert all(np.isinf(distance) for distance in clear.values())


def test_what_has_not_been_measured_is_not_checked():
    assert set(found(RECIPE, USUAL_HOLDS[1], [0, 0, 1, 0], Bender())) == {DIE}


def test_many_sets_of_bends_at_once_clear_as_each_does_alone():
    made = np.array([[False, False, True, False], [False, True, True, False], [True, False, False, False]])
    together = found(RECIPE, Hold(3, LEFT), made)
    for place, one in enumerate(made):
        for thing, distance in found(RECIPE, Hold(3, LEFT), one).items():
            np.testing.assert_allclose(together[thing][place], distance, atol=1e-9)


def test_many_bars_on_many_dies_at_once_clear_as_each_does_alone():
    tube, made = Tube(TUBE_MM, 1.4732), made_so_far(USUAL_HOLDS)[2]
    dies = [Die(radius) for radius in (88.9, 114.3, 165.1)]
    springs = [springback_from_tube(tube, die) for die in dies]
    order = Order(90.0, 12.0, 780.0, controls_mm=150.0)
    rows = [bends_from_recipe(recipe_from_order(order, spring.finished_radius_mm, 25.0)) for spring in springs]
    many = TubeBends(*(np.stack([getattr(bends, name) for bends in rows]) for name in TubeBends.__dataclass_fields__))
    radii = np.array([88.9, 114.3, 165.1])
    together = clearances_mm(many, made, Hold(3, LEFT), Setup(
        TUBE_MM, Die(radii), Springback(np.array([one.ratio for one in springs]), radii), STAND))  # fmt: skip
    for place, (bends, spring, die) in enumerate(zip(rows, springs, dies, strict=True)):
        for thing, distance in clearances_mm(bends, made, Hold(3, LEFT), Setup(TUBE_MM, die, spring, STAND)).items():
            assert together[thing][place] == pytest.approx(distance, abs=0.2)


def test_either_side_of_the_tube_may_hold_an_arm():
    both = found(RECIPE, Hold(1, RIGHT), [True, False, True, True])
    alone = [found(RECIPE, Hold(1, RIGHT), made) for made in ([True, False, False, False], [False, False, True, True])]
    for thing, distance in both.items():
        assert float(distance) == pytest.approx(min(float(one[thing]) for one in alone), abs=0.2)


def deepest_in_die_mm(row, made, hold, setup, moments=15):
    """How deep the outside of the arms comes into the die's metal: points of the tube's surface, every millimetre."""
    tubes = tubes_through_swing(row, made, hold, setup, np.linspace(0.0, 1.0, moments))
    stations = np.arange(float(nodes_of_bends(row).stations_mm[1:-1].reshape(-1, 2)[hold.number].min()) - 60.0,
                         float(cut_length_mm(row)) / 2.0 + 400.0, 1.0)  # fmt: skip
    edges, arms = nodes_of_bends(row).stations_mm[1:-1].reshape(-1, 2), np.zeros(stations.size, bool)
    for number in np.flatnonzero(made):
        arms |= stations <= edges[number, 1] if number < hold.number else stations >= edges[number, 0]
    middle = lines_in_bender(tubes, stations, hold, setup.bender)
    along = np.gradient(middle, axis=1)
    across = np.cross(along, [0.0, 0.0, 1.0])
    across /= np.linalg.norm(across, axis=-1, keepdims=True)
    other = np.cross(along, across)
    other /= np.linalg.norm(other, axis=-1, keepdims=True)
    turn, half = np.linspace(0.0, 2.0 * np.pi, 121)[:, None, None, None], setup.tube_diameter_mm / 2.0
    x, y, z = np.moveaxis((middle + half * (np.cos(turn) * across + np.sin(turn) * other))[:, :, arms], -1, 0)
    section = section_from_die(setup.die, setup.tube_diameter_mm)
    rho = np.hypot(x, y - setup.bender.die_side * setup.die.centerline_radius_mm)
    off = np.hypot(rho - section.radius_mm, z) - section.tube_mm
    metal = (rho < section.rim_mm) & (abs(z) < section.height_mm) & (off > 0.0)
    return float(np.where(metal, np.minimum(section.rim_mm - rho, off), 0.0).max())


@pytest.mark.parametrize(("straight_mm", "meets"), [(15.0, False), (10.0, False), (0.0, True)])
def test_an_arm_meets_the_die_only_where_its_metal_is_deeper_than_a_sheet_of_paper(straight_mm, meets):
    # grips in the hook: right behind a short riser the inner bend turns out of the groove's plane, along its edge
    die, hold, made = Die(152.4), PLANS[GRIPS][2], made_so_far(PLANS[GRIPS])[2]
    recipe = Recipe(60.0, 37.5, straight_mm, 25.0, 35.0, 180.0, die.centerline_radius_mm / (1.0 - SPRINGBACK.ratio))
    deep = deepest_in_die_mm(bends_from_recipe(recipe), made, hold, Setup(TUBE_MM, die, SPRINGBACK, Bender()))
    assert (deep > TOUCH_MM) == meets
    assert (found(recipe, hold, made, Bender(), die)[DIE] == MEETS) == meets
