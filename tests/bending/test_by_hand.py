"""A bar bent by hand is the bar of the mathematics, and each mistake made by hand is the bar of that mistake."""

from dataclasses import replace

import numpy as np
import pytest

from barmath.bending.by_hand import Pull, bent_by_hand, habits_of_pulls, padded, pulls_from_settings
from barmath.bending.failing import failing_of_station
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, made_so_far
from barmath.bending.mistakes import MISTAKES, SLACK, SWAPPED, outcome_of_mistake
from barmath.bending.plans import PLANS
from barmath.bending.sequences import bend_sequence
from barmath.bending.settings import settings_from_bends
from barmath.bending.swing import swing
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Recipe
from barmath.refusal import BendError
from barmath.shop.bender import Bender
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER, TUBE
from barmath.shop.setup import Setup
from barmath.shop.tooling import springback_from_tube
from barmath.space.centerline import bends_from_recipe, cut_length_mm

SPRING = springback_from_tube(TUBE, DIE)
BENDER = Bender(follower_mm=40.0, finder_foot_mm=45.0, table_below_mm=130.0, table_reach_mm=400.0)
SETUP = Setup(22.225, DIE, SPRING, BENDER)
EQUAL = recipe_from_order(ORDER, SPRING.finished_radius_mm, BEND_DEG)
UNEQUAL = recipe_from_order(ORDER, SPRING.finished_radius_mm, BEND_DEG, outer_bend_deg=35.0)
TIGHT = 1e-9


def right_settings(bends, holds=USUAL_HOLDS):
    return settings_from_bends(bends, holds, SPRING, DIE, BENDER)


def pulled(pulls, bends):
    return bent_by_hand(pulls, float(cut_length_mm(bends)), SETUP).bends


def same(one, other):
    for name in ("straights_mm", "bends_deg", "radii_mm"):
        np.testing.assert_allclose(getattr(one, name), getattr(other, name), atol=TIGHT)
    apart = (one.rolls_deg - other.rolls_deg)[1:]
    np.testing.assert_allclose(apart - 360.0 * np.round(apart / 360.0), 0.0, atol=TIGHT)


@pytest.mark.parametrize("recipe", [EQUAL, UNEQUAL], ids=["one stop", "two stops"])
@pytest.mark.parametrize("plan", PLANS)
def test_all_steps_right_give_the_ordered_bar(plan, recipe):
    bends = bends_from_recipe(recipe)
    same(pulled(pulls_from_settings(right_settings(bends, PLANS[plan])), bends), bends)


@pytest.mark.parametrize("turns", [LEFT, RIGHT])
def test_on_a_bender_that_turns_the_other_way_too(turns):
    bends, setup = bends_from_recipe(UNEQUAL), replace(SETUP, bender=replace(BENDER, turns=turns))
    settings = settings_from_bends(bends, USUAL_HOLDS, SPRING, DIE, setup.bender)
    same(bent_by_hand(pulls_from_settings(settings), float(cut_length_mm(bends)), setup).bends, bends)


def by_hand(key, step, bends, right):
    """The pulls of somebody who makes one mistake: what they set is changed, and nothing is looked up elsewhere."""
    pulls = list(pulls_from_settings(right))
    pull = pulls[step]
    bend, radius = (getattr(bends, name)[right[step].hold.number] for name in ("bends_deg", "radii_mm"))
    arc = float(radius * np.radians(bend))
    if key == "flipped":
        pulls[step] = pull._replace(toward_die=not pull.toward_die)
    elif key == "sign":
        pulls[step] = pull._replace(reading_deg=-pull.reading_deg)
    elif key == "wrong mark":
        pulls[step] = pull._replace(mark_mm=pull.mark_mm + pull.onward * arc)
    elif key == "no springback":
        pulls = [one._replace(stop_deg=one.stop_deg * (1.0 - SPRING.ratio)) for one in pulls]
    elif key == "swapped":
        inner, outer = (next(one.stop_deg for one in right if one.hold.number == number) for number in (1, 0))
        pulls = [
            one._replace(stop_deg=inner if setting.hold.number in (0, 3) else outer)
            for one, setting in zip(pulls, right, strict=True)
        ]
    return pulls


@pytest.mark.parametrize("recipe", [EQUAL, UNEQUAL], ids=["one stop", "two stops"])
@pytest.mark.parametrize("mistake", [one for one in MISTAKES if one is not SLACK], ids=lambda one: one.key)
@pytest.mark.parametrize("step", [0, 1, 2, 3])
def test_a_mistake_made_by_hand_gives_the_bar_of_that_mistake(mistake, step, recipe):
    bends, right = bends_from_recipe(recipe), right_settings(bends_from_recipe(recipe))
    try:
        outcome = outcome_of_mistake(mistake, step, bends, USUAL_HOLDS, SETUP)
    except BendError:
        return  # nothing to go wrong at this step
    if mistake.key == "wrong flat":
        flat = next(f for f in _flats(bends, step) if f.straight != right[step].read_on)
        wrong = replace(right[step], read_on=flat.straight, toward_die=flat.toward_die)
        pulls = pulls_from_settings((*right[:step], wrong, *right[step + 1 :]))
    else:
        pulls = by_hand(mistake.key, step, bends, right)
    same(pulled(pulls, bends), outcome.bends)


def _flats(bends, step):
    from barmath.bending.finder import flats_to_read

    return flats_to_read(bends, USUAL_HOLDS[step], made_so_far(USUAL_HOLDS)[step], BENDER)


HABITS = {
    "flipped": "the tube was flipped",
    "sign": "the sign of the reading was wrong",
    "wrong mark": "the wrong end of the arc was at the die",
    "no springback": "springback was forgotten",
    "swapped": "inner and outer stop were swapped",
}


@pytest.mark.parametrize("key", HABITS)
@pytest.mark.parametrize("step", [2, 3])
def test_the_habit_that_led_there_is_named_and_no_other(key, step):
    bends = bends_from_recipe(UNEQUAL)
    said = habits_of_pulls(by_hand(key, step, bends, right_settings(bends)), bends, SETUP)
    assert said
    assert all(HABITS[key] in words for words in said)
    if key not in ("no springback", "swapped"):
        assert len(said) == 1
        assert said[0].startswith(f"pull {step + 1}, ")


@pytest.mark.parametrize("plan", PLANS)
def test_nothing_is_said_of_a_bar_bent_as_it_should_be(plan):
    bends = bends_from_recipe(UNEQUAL)
    assert habits_of_pulls(pulls_from_settings(right_settings(bends, PLANS[plan])), bends, SETUP) == ()


def test_with_equal_bends_swapped_stops_do_nothing():
    bends = bends_from_recipe(EQUAL)
    pulls = by_hand(SWAPPED.key, 0, bends, right_settings(bends))
    same(pulled(pulls, bends), bends)
    assert habits_of_pulls(pulls, bends, SETUP) == ()


def test_a_slip_that_is_no_habit_is_said_by_its_size():
    bends = bends_from_recipe(EQUAL)
    pulls = list(pulls_from_settings(right_settings(bends)))
    pulls[0] = pulls[0]._replace(mark_mm=pulls[0].mark_mm + 7.0)
    pulls[1] = pulls[1]._replace(stop_deg=pulls[1].stop_deg + 4.0)
    pulls[2] = pulls[2]._replace(reading_deg=pulls[2].reading_deg + 5.0)
    said = " ".join(habits_of_pulls(pulls, bends, SETUP))
    assert "7 mm off, to the right" in said
    assert "4.0 deg too high" in said
    assert "instead of" in said


def test_each_pull_takes_its_place_along_the_tube_whatever_its_order():
    one, other = Pull(LEFT, 500.0, 30.0), Pull(LEFT, 200.0, 20.0, 1, 0.0, False)
    bends = bent_by_hand([one, other], 900.0, SETUP).bends
    kept = float(SPRING.finished_bend_deg(30.0)), float(SPRING.finished_bend_deg(20.0))
    np.testing.assert_allclose(bends.bends_deg, kept[::-1], atol=TIGHT)


@pytest.mark.parametrize(
    ("pulls", "words"),
    [
        ([], "at least one pull"),
        ([Pull(LEFT, 400.0, 30.0), Pull(LEFT, 410.0, 30.0, 0)], "straight tube between them"),
        ([Pull(LEFT, 400.0, 30.0), Pull(LEFT, 200.0, 30.0, 5)], "piece to read must be one of"),
        ([Pull(LEFT, 400.0, 30.0), Pull(LEFT, 200.0, 30.0, 1, 80.0)], "reading on the"),
    ],
)
def test_what_cannot_be_pulled_is_refused(pulls, words):
    with pytest.raises(BendError, match=words):
        bent_by_hand(pulls, 900.0, SETUP)


def test_a_padded_tube_is_the_same_tube():
    bends = bent_by_hand([Pull(LEFT, 400.0, 30.0)], 900.0, SETUP).bends
    more = padded(bends)
    assert more.bend_count == 4
    assert float(cut_length_mm(more)) == pytest.approx(float(cut_length_mm(bends)), abs=TIGHT)


def test_where_the_hook_is_short_the_missing_length_is_what_it_lacks():
    low = bends_from_recipe(Recipe(60.0, 30.0, 59.0, 28.9, 30.0, 200.0, 105.0))
    setup = replace(SETUP, bender=replace(BENDER, hook_mm=65.0))
    station = bend_sequence(low, USUAL_HOLDS, setup).stations[2]
    failing = failing_of_station(station, low, made_so_far(USUAL_HOLDS)[2], setup)
    assert (failing.part, failing.words) == ("hook", "the hook finds 59 mm of straight and needs 65 mm")
    assert failing.end_mm[0] - failing.start_mm[0] == pytest.approx(6.0)
    assert failing.end_mm[0] == pytest.approx(-59.0)


def test_an_arm_in_the_table_is_red_with_how_deep_it_is_in_it():
    bends = bends_from_recipe(EQUAL)
    setup = replace(SETUP, bender=replace(BENDER, table_below_mm=40.0, table_reach_mm=600.0))
    made, order = made_so_far(USUAL_HOLDS), bend_sequence(bends, USUAL_HOLDS, setup)
    found = [failing_of_station(one, bends, made[step], setup) for step, one in enumerate(order.stations)]
    met = [one for one in found if one is not None and one.part == "table"]
    assert met
    for one in met:
        assert one.end_mm[2] == pytest.approx(-40.0)
        assert one.words.endswith(f"{one.end_mm[2] - one.start_mm[2]:.0f} mm too low")


@pytest.mark.parametrize("turns", ["left", "right"])
@pytest.mark.parametrize("reach", [250.0, 400.0, 900.0])
def test_the_place_that_is_too_low_is_over_the_table_and_no_other_place_of_the_tube_there_is_lower(turns, reach):
    bends = bends_from_recipe(EQUAL)
    setup = replace(SETUP, bender=replace(BENDER, turns=turns, table_below_mm=40.0, table_reach_mm=reach))
    made, order = made_so_far(USUAL_HOLDS), bend_sequence(bends, USUAL_HOLDS, setup)
    pivot = (1.0 if turns == "left" else -1.0) * float(setup.die.centerline_radius_mm)
    met = 0
    for step, station in enumerate(order.stations):
        one = failing_of_station(station, bends, made[step], setup)
        if one is not None and one.part == "table":
            swung = swing(bends, made[step], station.hold, setup)
            points = swung.points_mm.reshape(-1, 3)
            from_pivot = np.hypot(points[:, 0], points[:, 1] - pivot)
            over = points[from_pivot <= reach + swung.radius_mm]
            lowest = over[over[:, 2].argmin()]
            assert one.end_mm[:2] == pytest.approx(tuple(lowest[:2]), abs=1e-6)
            met += 1
    assert met or reach < 300.0


def test_a_short_follower_is_shown_from_where_the_tube_ends_to_where_it_should():
    short = bends_from_recipe(Recipe(60.0, 30.0, 80.0, 28.9, 30.0, 25.0, 105.0))
    order = bend_sequence(short, USUAL_HOLDS, SETUP)
    made = made_so_far(USUAL_HOLDS)
    found = [failing_of_station(one, short, made[step], SETUP) for step, one in enumerate(order.stations)]
    (failing, *_) = [one for one in found if one is not None and one.part == "follower"]
    assert failing.words == "the follower finds 25 mm of straight and needs 40 mm"
    arc = 105.0 * np.deg2rad(30.0)
    assert failing.start_mm == pytest.approx((arc + 25.0, 0.0, 0.0))
    assert failing.end_mm == pytest.approx((arc + 40.0, 0.0, 0.0))


def test_where_no_length_is_missing_none_is_drawn():
    # a bent arm between two bends is shorter than the foot of the finder
    setup = replace(SETUP, bender=replace(BENDER, finder_foot_mm=400.0))
    bends = bends_from_recipe(EQUAL)
    made, order = made_so_far(USUAL_HOLDS), bend_sequence(bends, USUAL_HOLDS, setup)
    found = [failing_of_station(one, bends, made[step], setup) for step, one in enumerate(order.stations)]
    sits = [one for one in found if one is not None and one.part == "angle finder"]
    assert sits
    assert all(one.start_mm == one.end_mm == (0.0, 0.0, 0.0) for one in sits)


def test_a_bar_that_is_not_pulled_to_its_end_has_no_habits_yet():
    bends = bends_from_recipe(EQUAL)
    with pytest.raises(BendError, match="must have as many pulls, got 3"):
        habits_of_pulls(pulls_from_settings(right_settings(bends))[:3], bends, SETUP)
