"""The usual mistakes: the bar that comes out, how it shows, and whether it can be saved."""

from dataclasses import replace

import numpy as np
import pytest

from barmath import Bender, BendError, Die, Order, Recipe, Tube, recipe_from_order, shape_from_recipe
from barmath import springback_from_tube as springback_of
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold
from barmath.bending.mistakes import (
    FLIPPED,
    MISTAKES,
    NO_SPRINGBACK,
    SIGN,
    SLACK,
    SLACK_DEG,
    SWAPPED,
    WRONG_FLAT,
    WRONG_MARK,
    outcome_of_mistake,
    rock_of_risers_mm,
)
from barmath.shop.order_seven import DIE as SHOP_DIE
from barmath.shop.order_seven import TUBE, order_seven_recipe
from barmath.shop.setup import Setup
from barmath.shop.tolerance import MOST_TWIST_DEG
from barmath.space.centerline import bends_from_recipe

DIE = Die(88.9)
SPRINGBACK = springback_of(Tube(22.225, 1.4732), DIE)
RECIPE = recipe_from_order(Order(78.0, 12.0, 780.0, controls_mm=180.0), SPRINGBACK.finished_radius_mm, 25.0)
ROW = bends_from_recipe(RECIPE)
NO_STAND = Bender()
ARC = RECIPE.radius_mm * np.radians(25.0)


def outcome(mistake, step, bends=ROW, holds=USUAL_HOLDS, bender=NO_STAND, **kwargs):
    return outcome_of_mistake(mistake, step, bends, holds, Setup(22.225, DIE, SPRINGBACK, bender), **kwargs)


def test_with_the_second_inner_bend_flipped_one_riser_hangs_down():
    out = outcome(FLIPPED, 1)
    assert abs(out.sides.twist_deg) == pytest.approx(180.0)
    assert out.sides.rise_mm[0] == pytest.approx(-out.sides.rise_mm[1])
    assert out.shows[0] == "one riser stands up and the other hangs down"
    assert not out.saved
    assert "180 deg out" in out.how


def test_the_sign_of_the_reading_turns_the_sweep_of_that_grip_over():
    out = outcome(SIGN, 3)
    other = Recipe(*(getattr(RECIPE, name) for name in list(RECIPE.__dataclass_fields__)[:3]), -RECIPE.roll_deg,
                   25.0, RECIPE.grip_mm, RECIPE.radius_mm)  # fmt: skip
    assert out.sides.backsweep_deg[0] == pytest.approx(shape_from_recipe(other).backsweep_deg, abs=1e-9)
    assert out.sides.backsweep_deg[1] == pytest.approx(12.0, abs=1e-9)
    assert out.sides.upsweep_deg[0] == pytest.approx(out.sides.upsweep_deg[1], abs=1e-9)
    assert out.shows == (
        "one grip sweeps to the rear and the other to the front: backsweep -12.0 deg left and 12.0 deg right",
    )
    assert not out.saved
    # the plane is turned by twice the roll
    assert f"{2.0 * RECIPE.roll_deg:.0f} deg out" in out.how


def test_a_reading_of_nought_has_no_sign_to_turn():
    out = outcome(SIGN, 1)
    assert (out.shows, out.saved, out.how) == ((), True, "the bar is the one that was meant")


@pytest.mark.parametrize("step", range(4))
@pytest.mark.parametrize("hooked", [LEFT, RIGHT])
def test_the_wrong_end_of_the_arc_moves_the_bend_by_the_radius_times_its_angle(step, hooked):
    holds = tuple(Hold(hold.number, hooked) for hold in USUAL_HOLDS)
    if step == 0 and hooked == LEFT:
        holds = USUAL_HOLDS
    out = outcome(WRONG_MARK, step, holds=holds)
    moved = out.bends.straights_mm - ROW.straights_mm
    number = holds[step].number
    toward_right = holds[step].onward
    assert moved[number] == pytest.approx(toward_right * ARC)
    assert moved[number + 1] == pytest.approx(-toward_right * ARC)
    assert not out.saved
    assert "40 mm off its place" in out.how


def test_springback_forgotten_leaves_every_bend_short_by_its_share():
    out = outcome(NO_SPRINGBACK, 0)
    np.testing.assert_allclose(out.bends.bends_deg, 25.0 * (1.0 - SPRINGBACK.ratio), atol=1e-9)
    assert out.saved
    assert out.how.startswith(f"tweak its bends by up to {25.0 * SPRINGBACK.ratio:.1f} deg")


def test_a_twist_of_just_the_most_that_can_be_taken_out_is_saved_at_every_step():
    bends = bends_from_recipe(replace(order_seven_recipe(), roll_deg=28.9))
    setup = Setup(TUBE.outside_diameter_mm, SHOP_DIE, springback_of(TUBE, SHOP_DIE), NO_STAND)
    for step in (1, 2, 3):  # the rolls are sums: 151.1 - 148.1 is not quite 3
        out = outcome_of_mistake(SLACK, step, bends, USUAL_HOLDS, setup, slack_deg=MOST_TWIST_DEG)
        assert out.saved, step


def test_the_slack_of_the_hook_rolls_the_tube_by_as_much():
    out = outcome(SLACK, 1)
    assert abs(out.sides.twist_deg) == pytest.approx(SLACK_DEG)
    assert "rocks" in out.shows[0]
    assert out.saved
    assert outcome(SLACK, 1, slack_deg=8.0).saved is False


def test_the_same_reading_on_another_flat_is_another_roll():
    out = outcome(WRONG_FLAT, 2)
    # the left riser stands off by both inner bends in one plane: sin r = sin 50 sin phi
    reading = np.arcsin(np.sin(np.radians(25.0)) * np.sin(np.radians(RECIPE.roll_deg)))
    roll = np.degrees(np.arcsin(np.sin(reading) / np.sin(np.radians(50.0))))
    shape = shape_from_recipe(Recipe(50.0, 25.0, RECIPE.straight_mm, roll, 25.0, RECIPE.grip_mm, RECIPE.radius_mm))
    assert out.sides.backsweep_deg[1] == pytest.approx(shape.backsweep_deg, abs=1e-9)
    assert out.sides.backsweep_deg[0] == pytest.approx(12.0, abs=1e-9)


def test_equal_bends_cannot_be_swapped_and_others_can():
    with pytest.raises(BendError) as refusal:
        outcome(SWAPPED, 0)
    assert str(refusal.value) == (
        "Choose another outer bend: inner and outer bends must differ for their stops to be swapped, got one stop of "
        f"{25.0 / (1.0 - SPRINGBACK.ratio):.1f} deg for all"
    )
    unequal = bends_from_recipe(Recipe(50.0, 22.0, 110.0, 30.0, 30.0, 200.0, RECIPE.radius_mm))
    out = outcome(SWAPPED, 0, bends=unequal)
    np.testing.assert_allclose(out.bends.bends_deg, [22.0, 30.0, 30.0, 22.0], atol=1e-9)
    assert any("the left outer bend reads 22.0 deg, 8.0 deg too little" in words for words in out.shows)
    assert not out.saved


def test_the_rock_on_the_table_is_the_riser_times_the_twist():
    # the riser's outer end stands off the plane by (its length in the plane square to the clamp axis) times sin twist
    out = outcome(SLACK, 1)
    length = RECIPE.radius_mm * (1.0 - np.cos(np.radians(25.0))) + RECIPE.straight_mm * np.sin(np.radians(25.0))
    assert rock_of_risers_mm(out.bends) == pytest.approx(length * np.sin(np.radians(SLACK_DEG)), rel=1e-6)
    assert rock_of_risers_mm(ROW) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("mistake", MISTAKES)
@pytest.mark.parametrize("turns", ["left", "right"])
def test_every_mistake_at_every_step_has_an_outcome_or_a_reason(mistake, turns):
    for step in range(4):
        try:
            out = outcome(mistake, step, bender=Bender(turns))
        except BendError as refusal:
            said, swapped = str(refusal), mistake is SWAPPED
            assert said.startswith("Choose another outer bend: " if swapped else "Choose a later step: ")
            assert step < 2 or swapped
            continue
        assert out.saved == out.how.startswith(("tweak", "take out", "the bar is the one"))


def test_a_step_that_is_not_there_is_refused():
    for step in (-1, 4, "first", 1.5, True):
        with pytest.raises(BendError, match="step must be one of the plan's 4, counted from 0, got"):
            outcome(SIGN, step)


def test_swapped_stops_show_on_both_sides_alike_and_in_the_first_bend_that_is_read():
    meant = Recipe(60.0, 30.0, 77.9, 31.4, 27.5, 200.0, RECIPE.radius_mm)
    out = outcome(SWAPPED, 0, bends=bends_from_recipe(meant))
    # the finder still shows sin 30 sin 31.4, now on a flat that stands off by 27.5 deg
    roll = np.degrees(np.arcsin(np.sin(np.radians(30.0)) * np.sin(np.radians(31.4)) / np.sin(np.radians(27.5))))
    arc = np.radians(2.5) * RECIPE.radius_mm
    made = shape_from_recipe(Recipe(60.0 + 2.0 * arc, 27.5, 77.9, roll, 30.0, 200.0 - arc, RECIPE.radius_mm))
    wanted = shape_from_recipe(meant)
    np.testing.assert_allclose(out.sides.rise_mm, made.rise_mm, atol=1e-6)
    np.testing.assert_allclose(out.sides.upsweep_deg, made.upsweep_deg, atol=1e-6)
    assert f"rise {made.rise_mm:.1f} mm on both sides, where {wanted.rise_mm:.1f} mm was meant" in out.shows
    assert (
        f"upsweep {made.upsweep_deg:.1f} deg on both sides, where {wanted.upsweep_deg:.1f} deg was meant" in out.shows
    )
    assert "the right inner bend reads 27.5 deg, 2.5 deg too little" in out.shows
