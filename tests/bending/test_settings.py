"""A tube bent step by step: the sequence changes the way, never the shape; readings, slips and refusals."""

from dataclasses import replace
from itertools import permutations, product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import Bender, BendError, Die, Order, Recipe, Springback, Tube, recipe_from_order, springback_from_tube
from barmath.bending.finder import flats_to_read
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold, made_so_far, poses_from_recipe
from barmath.bending.settings import Setting, Slips, bends_from_settings, settings_from_bends
from barmath.bending.steps import bench_steps
from barmath.refusal import remedy_first
from barmath.space.centerline import TubeBends, bends_from_recipe, cut_length_mm, nodes_of_bends, points_at

DIE = Die(88.9, line_up_offset_mm=2.5)
SPRINGBACK = springback_from_tube(Tube(22.225, 1.4732), DIE)
RECIPE = recipe_from_order(Order(78.0, 12.0, 780.0, controls_mm=180.0), SPRINGBACK.finished_radius_mm, 25.0)
ROW = bends_from_recipe(RECIPE)
LENGTH = float(cut_length_mm(ROW))
TURNS = ("left", "right")
AT_STEEPEST = 1e-5
"""How well a bar comes out at the worst, in mm or degrees: a flat at its steepest shows a turn of the tube only by its
square, so that a rounding of 1e-15 of the reading is one of the root of it in the turn, 2e-6 degrees."""

recipes = st.builds(
    Recipe,
    clamp_flat_mm=st.floats(10.0, 120.0),
    inner_bend_deg=st.floats(5.0, 80.0),
    straight_mm=st.floats(0.0, 150.0),
    roll_deg=st.floats(-170.0, 170.0),
    outer_bend_deg=st.floats(5.0, 80.0),
    grip_mm=st.floats(10.0, 250.0),
    radius_mm=st.just(SPRINGBACK.finished_radius_mm),
)
plans = st.builds(
    lambda order, hooks: tuple(map(Hold, order, hooks)),
    st.permutations(range(4)),
    st.lists(st.sampled_from((LEFT, RIGHT)), min_size=4, max_size=4),
)


def apart(bends: TubeBends, other: TubeBends) -> float:
    """Largest difference of straights, bends, radii and of rolls after the first, mm or degrees."""
    rolls = (bends.rolls_deg - other.rolls_deg)[..., 1:]
    return max(
        float(np.abs(bends.straights_mm - other.straights_mm).max()),
        float(np.abs(bends.bends_deg - other.bends_deg).max()),
        float(np.abs(bends.radii_mm - other.radii_mm).max()),
        float(np.abs(rolls - 360.0 * np.round(rolls / 360.0)).max(initial=0.0)),
    )


@pytest.mark.parametrize("turns", TURNS)
def test_every_order_and_every_side_ends_in_the_same_bar(turns):
    bender = Bender(turns)
    for order, hooks in product(permutations(range(4)), product((LEFT, RIGHT), repeat=4)):
        holds = tuple(map(Hold, order, hooks))
        settings = settings_from_bends(ROW, holds, SPRINGBACK, DIE, bender)
        assert apart(bends_from_settings(settings, LENGTH, SPRINGBACK, DIE, bender), ROW) < 1e-9


@given(recipes, plans, st.sampled_from(TURNS))
def test_any_bar_comes_out_of_its_settings_in_any_order(recipe, holds, turns):
    bends, bender = bends_from_recipe(recipe), Bender(turns)
    settings = settings_from_bends(bends, holds, SPRINGBACK, Die(88.9), bender)
    out = bends_from_settings(settings, float(cut_length_mm(bends)), SPRINGBACK, Die(88.9), bender)
    assert apart(out, bends) < _as_good_as_its_flats(bends, holds, bender)


@pytest.mark.parametrize("roll_deg", [90.0, -90.0, 90.0 - 1e-7])
@pytest.mark.parametrize("inner_first", [True, False])
def test_a_bar_with_its_flats_at_their_steepest_comes_out_as_well(roll_deg, inner_first):
    bends = bends_from_recipe(replace(RECIPE, roll_deg=roll_deg, outer_bend_deg=45.0))
    holds = USUAL_HOLDS if inner_first else tuple(map(Hold, (0, 3, 1, 2), (LEFT, RIGHT, LEFT, RIGHT)))
    assert min(_steepness(flat) for flat in _flats_read(bends, holds, Bender("left"))) < 1e-6  # they show nothing
    settings = settings_from_bends(bends, holds, SPRINGBACK, DIE, Bender("left"))
    out = bends_from_settings(settings, float(cut_length_mm(bends)), SPRINGBACK, DIE, Bender("left"))
    assert apart(out, bends) < AT_STEEPEST


def _as_good_as_its_flats(bends, holds, bender):
    steepest = min([1.0, *(_steepness(flat) for flat in _flats_read(bends, holds, bender))])
    return 1e-9 / steepest**2 if steepest > 0.01 else AT_STEEPEST


def _flats_before_each_bend(bends, holds, bender):
    made = made_so_far(holds)
    return [flats_to_read(bends, hold, made[step], bender) for step, hold in enumerate(holds) if step]


def _flats_read(bends, holds, bender):
    return [flats[0] for flats in _flats_before_each_bend(bends, holds, bender)]


def _steepness(flat):
    return min(1.0, 1.0 / flat.roll_per_reading)


@st.composite
def bends_and_holds(draw):
    count = draw(st.integers(1, 7))
    bends = TubeBends(
        np.array(draw(st.lists(st.floats(5.0, 200.0), min_size=count + 1, max_size=count + 1))),
        np.array(draw(st.lists(st.floats(10.0, 80.0), min_size=count, max_size=count))),
        np.array([0.0, *draw(st.lists(st.floats(-120.0, 120.0), min_size=count - 1, max_size=count - 1))]),
        np.full(count, SPRINGBACK.finished_radius_mm),
    )
    hooks = draw(st.lists(st.sampled_from((LEFT, RIGHT)), min_size=count, max_size=count))
    return bends, tuple(map(Hold, draw(st.permutations(range(count))), hooks))


@given(bends_and_holds(), st.sampled_from(TURNS))
def test_a_tube_of_any_number_of_bends_comes_out_of_its_settings(drawn, turns):
    (bends, holds), bender = drawn, Bender(turns)
    assume(all(_flats_before_each_bend(bends, holds, bender)))  # all straights may lie in one line by chance
    settings = settings_from_bends(bends, holds, SPRINGBACK, Die(88.9), bender)
    out = bends_from_settings(settings, float(cut_length_mm(bends)), SPRINGBACK, Die(88.9), bender)
    assert apart(out, bends) < _as_good_as_its_flats(bends, holds, bender)


@pytest.mark.parametrize("turns", TURNS)
def test_the_usual_order_has_the_settings_of_the_bench_steps(turns):
    settings = settings_from_bends(ROW, USUAL_HOLDS, SPRINGBACK, DIE, Bender(turns))
    for setting, step in zip(settings, bench_steps(RECIPE, SPRINGBACK, DIE, Bender(turns)), strict=True):
        from_middle = (setting.mark_mm - LENGTH / 2.0) * (1.0 if step.side == "right" else -1.0)
        assert from_middle == pytest.approx(step.mark_mm, abs=LENGTH_MM)
        assert setting.stop_deg == pytest.approx(step.stop_deg, abs=ANGLE_DEG)
        assert setting.reading_deg == pytest.approx(step.reading_deg or 0.0, abs=1e-7)
        assert (setting.read_on is None) == (step.reading_deg is None)


def test_two_bends_worked_by_hand():
    # bends of 30 and 30 in planes square to each other, the first in the hook: its straight leads off the second by 30
    # degrees within the level plane of the second one's axis, so it stands upright on edge and reads 30, all it can
    bends = TubeBends(
        np.array([200.0, 100.0, 200.0]), np.array([30.0, 30.0]), np.array([0.0, 90.0]), np.array([100.0] * 2)
    )
    die, springback = Die(90.0), Springback(0.1, 90.0)
    first, second = settings_from_bends(bends, (Hold(0, LEFT), Hold(1, LEFT)), springback, die)
    arc = 100.0 * np.pi / 6.0
    assert first.mark_mm == pytest.approx(200.0)
    assert second.mark_mm == pytest.approx(200.0 + arc + 100.0)
    assert first.stop_deg == second.stop_deg == pytest.approx(30.0 / 0.9)
    assert first.read_on is None
    assert second.read_on == 0
    assert abs(second.reading_deg) == pytest.approx(30.0)
    # with 60 degrees between the planes: sin reading = sin 30 sin 60
    bends = TubeBends(bends.straights_mm, bends.bends_deg, np.array([0.0, 60.0]), bends.radii_mm)
    _, second = settings_from_bends(bends, (Hold(0, LEFT), Hold(1, RIGHT)), springback, die)
    assert abs(second.reading_deg) == pytest.approx(np.degrees(np.arcsin(0.5 * np.sqrt(3.0) / 2.0)))
    assert second.mark_mm == pytest.approx(300.0 + 2.0 * arc)


@given(recipes, plans, st.sampled_from(TURNS))
def test_each_reading_is_the_slope_that_the_posed_bar_shows(recipe, holds, turns):
    bender = Bender(turns)
    bends = bends_from_recipe(recipe)
    settings = settings_from_bends(bends, holds, SPRINGBACK, Die(88.9), bender)
    for setting, pose in zip(settings, poses_from_recipe(recipe, bender, holds=holds), strict=True):
        if setting.read_on is None:
            continue
        away = pose.away[setting.read_on]
        assert np.sin(np.radians(setting.reading_deg)) == pytest.approx(-away[2], abs=1e-9)
        if abs(away[1]) > 1e-9:
            assert setting.toward_die == (away[1] * bender.die_side > 0.0)


@given(
    st.floats(5.0, 85.0), st.floats(-0.95, 0.95), st.booleans(), st.sampled_from(TURNS), st.sampled_from((LEFT, RIGHT))
)
def test_the_roll_solved_from_a_reading_is_the_one_a_search_finds(bend, share, toward_die, turns, hooked):
    bender, die_side = Bender(turns), 1.0 if turns == "left" else -1.0
    onward = 1.0 if hooked == LEFT else -1.0
    reading = float(np.degrees(np.arcsin(share * np.sin(np.radians(bend)))))
    first = Setting(Hold(0, LEFT), 200.0, bend / (1.0 - SPRINGBACK.ratio), None)
    second = Setting(Hold(1, hooked), 600.0, 30.0, 0, reading, toward_die)
    roll = bends_from_settings((first, second), 1000.0, SPRINGBACK, Die(88.9), bender).rolls_deg[1]

    def toward_bender(roll_deg: float) -> np.ndarray:
        # second route, by SciPy's rotations in the bender's own frame: the tube lies along x, its right end at +x or
        # -x; the first bend turned the left end about an axis that lies `roll_deg` behind the upright one
        along = np.array([onward, 0.0, 0.0])
        upright = np.array([0.0, 0.0, onward * die_side])
        axis = Rotation.from_rotvec(-np.radians(roll_deg) * along).apply(upright)
        left_straight = Rotation.from_rotvec(-np.radians(bend) * axis).apply(along)
        return left_straight  # it leads to the right along the tube, and so to the bender

    def misses(roll_deg: float) -> float:
        return float(toward_bender(roll_deg)[2] - np.sin(np.radians(reading)))

    tried = np.linspace(-181.3, 178.7, 37)
    values = [misses(roll_deg) for roll_deg in tried]
    found = [brentq(misses, tried[k], tried[k + 1]) for k in range(36) if values[k] * values[k + 1] < 0.0]
    assert len(found) == 2
    (expected,) = [x for x in found if (-toward_bender(x)[1] * die_side > 0.0) == toward_die]
    assert (roll - expected + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=1e-6)


def test_a_slip_of_a_mark_moves_the_bend_and_a_slip_of_the_stop_its_angle():
    settings = settings_from_bends(ROW, USUAL_HOLDS, SPRINGBACK, DIE)
    marks = np.array([[1.0, 0.0, 0.0, 0.0], [0.0, 0.0, -2.0, 0.0]])  # by step
    moved = bends_from_settings(settings, LENGTH, SPRINGBACK, DIE, slips=Slips(mark_mm=marks))
    np.testing.assert_allclose(moved.straights_mm[0] - ROW.straights_mm, [0.0, 0.0, 1.0, -1.0, 0.0], atol=1e-9)
    np.testing.assert_allclose(moved.straights_mm[1] - ROW.straights_mm, [0.0, 0.0, 0.0, -2.0, 2.0], atol=1e-9)
    stop = bends_from_settings(settings, LENGTH, SPRINGBACK, DIE, slips=Slips(stop_deg=np.array([0.0, 0.0, 0.0, 1.0])))
    kept = 1.0 - SPRINGBACK.ratio
    np.testing.assert_allclose(stop.bends_deg - ROW.bends_deg, [kept, 0.0, 0.0, 0.0], atol=1e-9)


def test_springback_slips_open_the_bend_and_keep_its_arc():
    settings = settings_from_bends(ROW, USUAL_HOLDS, SPRINGBACK, DIE)
    out = bends_from_settings(
        settings, LENGTH, SPRINGBACK, DIE, slips=Slips(springback=np.array([0.01, 0.0, 0.0, 0.0]))
    )
    np.testing.assert_allclose(out.radii_mm * out.bends_deg, ROW.radii_mm * ROW.bends_deg, rtol=1e-12)
    assert out.bends_deg[2] == pytest.approx(settings[0].stop_deg * (1.0 - SPRINGBACK.ratio - 0.01))


@pytest.mark.parametrize("turns", TURNS)
@pytest.mark.parametrize("hooked", [LEFT, RIGHT])
def test_a_tube_rolled_against_the_clock_after_reading_is_bent_that_much_further_round(turns, hooked):
    # seen from the hook: a roll of the tube by +5 carries what pointed to the die by +5 about x, away from the hook
    holds = (Hold(2, RIGHT), Hold(1, hooked), *USUAL_HOLDS[2:])
    settings, bender = settings_from_bends(ROW, holds, SPRINGBACK, DIE, Bender(turns)), Bender(turns)
    slips = Slips(roll_deg=np.array([0.0, 5.0, 0.0, 0.0]))
    out = bends_from_settings(settings, LENGTH, SPRINGBACK, DIE, bender, slips)
    onward = 1.0 if hooked == LEFT else -1.0
    assert out.rolls_deg[2] == pytest.approx(5.0 * onward)


@given(plans, st.sampled_from(TURNS))
def test_ten_thousand_tubes_at_once_are_ten_thousand_tubes_one_by_one(holds, turns):
    settings = settings_from_bends(ROW, holds, SPRINGBACK, DIE, Bender(turns))
    rng = np.random.default_rng(7)
    mark, stop, reading, roll, spring = (rng.normal(0.0, s, (5, 4)) for s in (0.5, 0.3, 0.3, 0.2, 0.002))
    many = bends_from_settings(
        settings, LENGTH, SPRINGBACK, DIE, Bender(turns), Slips(mark, stop, reading, roll, spring)
    )
    for bends in range(5):
        one = bends_from_settings(
            settings, LENGTH, SPRINGBACK, DIE, Bender(turns),
            Slips(mark[bends], stop[bends], reading[bends], roll[bends], spring[bends]),
        )  # fmt: skip
        picked = TubeBends(many.straights_mm[bends], many.bends_deg[bends], many.rolls_deg[bends], many.radii_mm[bends])
        assert apart(one, picked) < 1e-9


def test_the_bar_bent_in_any_order_has_its_ends_where_the_recipe_puts_them():
    settings = settings_from_bends(ROW, (Hold(0, RIGHT), Hold(3, LEFT), Hold(1, RIGHT), Hold(2, LEFT)), SPRINGBACK, DIE)
    out = bends_from_settings(settings, LENGTH, SPRINGBACK, DIE)
    ends = [nodes_of_bends(bends).points_mm[[0, -1]] for bends in (out, ROW)]
    between = [np.linalg.norm(points[1] - points[0]) for points in ends]
    assert between[0] == pytest.approx(between[1], abs=LENGTH_MM)
    assert points_at(out, LENGTH / 2.0)[0].shape == (1, 3)


def said(make, *args, **kwargs) -> str:
    with pytest.raises(BendError) as refusal:
        make(*args, **kwargs)
    return str(refusal.value)


def plan(*numbers, hooked=LEFT):
    return tuple(Hold(number, hooked) for number in numbers)


@pytest.mark.parametrize(
    ("holds", "sentence"),
    [
        (
            plan(0, 1, 2, 2),
            "each bend must be made once, got right inner bend twice and right outer bend not at all: "
            "make the right outer bend in place of one of them",
        ),
        (plan(0, 1, 2), "each bend must be made once, got right outer bend not at all: add the right outer bend"),
        (plan(), "each bend must be made once, got left outer bend not at all: add the left outer bend"),
        (
            plan(1, 1, 1, 1),
            "each bend must be made once, got left inner bend 4 times and left outer bend not at all: "
            "make the left outer bend in place of one of them",
        ),
        (plan(0, 1, 2, 3, 3), "each bend must be made once, got right outer bend twice: leave the second one out"),
        (plan(0, 1, 2, 4), "bend must be one of the tube's 4, counted from 0, got 4: type a whole number from 0 to 3"),
        (
            plan(0, 1, 2, "3"),
            "bend must be one of the tube's 4, counted from 0, got '3': type a whole number from 0 to 3",
        ),
        (
            plan(0, 1, 2, 3, hooked="up"),
            'the end in the hook must be one of these, got \'up\': choose "left" or "right"',
        ),
    ],
)
def test_a_plan_with_repeated_missing_or_unknown_bends_is_refused(holds, sentence):
    assert said(settings_from_bends, ROW, holds, SPRINGBACK, DIE) == remedy_first(sentence)


def with_reading(step, reading, read_on=2, toward_die=False):
    settings = list(settings_from_bends(ROW, USUAL_HOLDS, SPRINGBACK, DIE))
    old = settings[step]
    settings[step] = Setting(old.hold, old.mark_mm, old.stop_deg, read_on, reading, toward_die)
    return tuple(settings)


@pytest.mark.parametrize(
    ("settings", "sentence"),
    [
        (with_reading(2, 30.0),
         "reading on the clamp flat must be at most 25.0 deg, got 30.0 deg before the right outer bend: "
         "set a smaller reading or read another flat, because this is its angle to the tube in the hook"),
        (with_reading(2, -25.01),
         "reading on the clamp flat must be at most 25.0 deg, got 25.01 deg before the right outer bend: "
         "set a smaller reading or read another flat, because this is its angle to the tube in the hook"),
        (with_reading(2, 3.0, read_on=3),
         "right riser must be at an angle to the tube in the hook, got it in line with the tube before the "
         "right outer bend: read another flat, because this one cannot show the roll"),
        (with_reading(2, 3.0, read_on=9), "flat to read must be one of the tube's 5, counted from 0, got 9: "
         "type a whole number from 0 to 4"),
    ],
)  # fmt: skip
def test_a_reading_that_its_flat_cannot_show_is_refused(settings, sentence):
    assert said(bends_from_settings, settings, LENGTH, SPRINGBACK, DIE) == remedy_first(sentence)


def test_a_reading_of_all_that_the_flat_can_show_is_taken():
    out = bends_from_settings(with_reading(2, 25.0), LENGTH, SPRINGBACK, DIE)
    assert abs(out.rolls_deg[3] - 180.0) == pytest.approx(90.0, abs=1e-4)


def test_bends_that_run_into_each_other_are_refused():
    settings = settings_from_bends(ROW, USUAL_HOLDS, SPRINGBACK, DIE)
    sentence = said(
        bends_from_settings, settings, LENGTH, SPRINGBACK, DIE, slips=Slips(mark_mm=np.array([0.0, 0.0, -130.0, 0.0]))
    )
    assert sentence == remedy_first(
        "bends must leave straight tube between them, "
        f"got an overlap of {130.0 - ROW.straights_mm[3]:.1f} mm: move the marks apart"
    )


@pytest.mark.parametrize(("bend", "slip_mm", "end"), [(3, -400.0, 0), (2, 400.0, -1)])
def test_a_bend_beyond_an_end_of_the_tube_is_not_called_an_overlap(bend, slip_mm, end):
    settings = settings_from_bends(ROW, USUAL_HOLDS, SPRINGBACK, DIE)
    marks = np.zeros(4)
    marks[bend] = slip_mm
    sentence = said(bends_from_settings, settings, LENGTH, SPRINGBACK, DIE, slips=Slips(mark_mm=marks))
    assert sentence == remedy_first(
        f"bends must be on the tube, got one that goes {400.0 - ROW.straights_mm[end]:.1f} mm beyond its end: "
        "set its mark further from that end"
    )


def test_a_stop_beyond_the_die_and_a_flat_too_short_for_the_finder_are_refused():
    assert said(settings_from_bends, ROW, USUAL_HOLDS, SPRINGBACK, Die(88.9, largest_bend_deg=20.0)) == remedy_first(
        "stop must be at most 20.0 deg, the furthest that it can be set, got 25.7 deg for the right inner bend: "
        "choose a smaller bend"
    )
    sentence = said(settings_from_bends, ROW, USUAL_HOLDS, SPRINGBACK, DIE, Bender(finder_foot_mm=500.0))
    assert sentence == remedy_first(
        "the left inner bend must have a flat of at least 500.0 mm for the angle finder, got none after the right "
        "inner bend: make another bend first, because a flat must be at an angle to the tube in the hook"
    )


@pytest.mark.parametrize("bad", [np.nan, np.inf, "much", None, [1.0, 2.0]])
def test_a_slip_that_is_no_number_or_fits_no_step_is_refused(bad):
    settings = settings_from_bends(ROW, USUAL_HOLDS, SPRINGBACK, DIE)
    with pytest.raises(BendError):
        bends_from_settings(settings, LENGTH, SPRINGBACK, DIE, slips=Slips(stop_deg=bad))
