"""The steps at the bench: marks, stops and readings, and that each word is true in the bender's geometry."""

import re
from dataclasses import replace
from itertools import permutations, product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tolerances import ANGLE_DEG, LENGTH_MM

from barmath import (
    Bender,
    BendError,
    Die,
    Order,
    Recipe,
    Springback,
    Tube,
    clamp_reading_deg,
    marks_from_recipe,
    recipe_from_order,
    shape_from_recipe,
    springback_from_tube,
)
from barmath.bending.holds import LEFT, RIGHT, STRAIGHTS, Hold, poses_from_recipe
from barmath.bending.step_words import LEVEL_DEG, STRAIGHT_BACK
from barmath.bending.steps import bench_steps
from barmath.closed_forms.forward import grips_level
from barmath.lengths import length_text
from barmath.refusal import remedy_first
from barmath.shop.offsets import bench_marks_mm

TUBE = Tube(22.225, 1.4732)
DIE = Die(88.9, name="die 89")
SPRINGBACK = springback_from_tube(TUBE, DIE)


def recipe_for(backsweep_deg=12.0, **order):
    asked = Order(**{"rise_mm": 78.0, "backsweep_deg": backsweep_deg, "width_mm": 780.0, "controls_mm": 170.0} | order)
    return recipe_from_order(asked, SPRINGBACK.finished_radius_mm, 28.0)


UPRIGHT, FORWARD, NO_SWEEP, LEVEL = recipe_for(), recipe_for(-8.0), recipe_for(0.0), recipe_for(upsweep_deg=0.0)
LEANING = Recipe(50.0, 28.0, 90.0, 120.0, 28.0, 180.0, SPRINGBACK.finished_radius_mm)
SQUARE = Recipe(50.0, 28.0, 90.0, 90.0, 28.0, 180.0, SPRINGBACK.finished_radius_mm)
BARS = [UPRIGHT, FORWARD, NO_SWEEP, LEVEL, LEANING, SQUARE]
TURNS = ["left", "right"]


def steps_of(recipe, turns="left", die=DIE, unit="mm"):
    return bench_steps(recipe, SPRINGBACK, die, Bender(turns), unit)


def words_of(step):
    return " ".join([step.hold, step.lie, *step.do, *step.check])


def test_both_inner_bends_come_before_both_outer_ones():
    titles = [step.title for step in steps_of(UPRIGHT)]
    assert titles == ["1. Right inner bend", "2. Left inner bend", "3. Right outer bend", "4. Left outer bend"]


def test_the_hook_always_holds_the_riser():
    assert [step.held for step in steps_of(UPRIGHT)] == ["outboard", "outboard", "inboard", "inboard"]
    assert [step.hold for step in steps_of(UPRIGHT)] == [
        "right riser in the hook, left end free",
        "left riser in the hook, right end free",
        "right riser in the hook, right end free",
        "left riser in the hook, left end free",
    ]


def test_the_marks_are_the_two_ends_of_the_riser():
    marks = marks_from_recipe(UPRIGHT)
    inner, outer = marks.inner_end_mm, marks.outer_start_mm
    assert [step.mark_mm for step in steps_of(UPRIGHT)] == pytest.approx([inner, inner, outer, outer], abs=LENGTH_MM)
    assert outer - inner == pytest.approx(UPRIGHT.straight_mm, abs=LENGTH_MM)
    for step in steps_of(UPRIGHT):
        assert step.mark_mm + step.mark_from_end_mm == pytest.approx(marks.end_mm, abs=LENGTH_MM)


def test_a_line_up_offset_moves_each_mark_toward_the_hook():
    # the tangent point lies 3 mm ahead of the edge, so the line at the edge lies 3 mm nearer the hook, on the riser
    plain, offset = bench_marks_mm(UPRIGHT, DIE), bench_marks_mm(UPRIGHT, Die(88.9, line_up_offset_mm=3.0))
    assert offset == pytest.approx((plain[0] + 3.0, plain[1] - 3.0), abs=LENGTH_MM)
    assert [step.mark_mm for step in steps_of(UPRIGHT, die=Die(88.9, line_up_offset_mm=3.0))] == pytest.approx(
        [offset[0], offset[0], offset[1], offset[1]], abs=LENGTH_MM
    )


def test_the_stop_overbends_by_the_springback():
    bars = Recipe(50.0, 20.0, 90.0, 30.0, 31.0, 180.0, 98.9)
    steps = bench_steps(bars, Springback(0.1, 88.9), DIE)
    assert [step.bend_deg for step in steps] == [20.0, 20.0, 31.0, 31.0]
    assert [step.stop_deg for step in steps] == pytest.approx([20.0 / 0.9] * 2 + [31.0 / 0.9] * 2, abs=ANGLE_DEG)


def test_a_bend_beyond_the_furthest_stop_is_refused():
    with pytest.raises(BendError) as refusal:
        steps_of(UPRIGHT, die=Die(88.9, largest_bend_deg=25.0))
    stop = 28.0 / (1.0 - SPRINGBACK.ratio)
    assert str(refusal.value) == remedy_first(
        f"stop must be at most 25.0 deg, the furthest that it can be set, got {round(stop, 1)} deg for the right inner "
        "bend: choose a smaller bend"
    )


@pytest.mark.parametrize("turns", TURNS)
@pytest.mark.parametrize("recipe", BARS)
def test_each_reading_is_the_slope_of_its_flat_in_the_bender(recipe, turns):
    for step, pose in zip(steps_of(recipe, turns), poses_from_recipe(recipe, Bender(turns)), strict=True):
        flat = step.read_straight or None
        expected = None if flat is None else pytest.approx(pose.slope_deg(flat), abs=1e-7)
        assert step.reading_deg == expected


@pytest.mark.parametrize("turns", TURNS)
@pytest.mark.parametrize("recipe", BARS)
def test_the_bent_arm_points_to_the_side_the_second_bend_turns_to(recipe, turns):
    second = steps_of(recipe, turns)[1]
    assert f"points to the {turns}" in " ".join(second.do)
    assert (second.pose.sideways("right riser") > 0.0) == (turns == "left")


@pytest.mark.parametrize("turns", TURNS)
@pytest.mark.parametrize("recipe", BARS)
def test_where_the_words_say_the_clamp_flat_leads_it_leads(recipe, turns):
    for step in steps_of(recipe, turns)[2:]:
        sideways = step.pose.sideways("clamp flat")
        said = re.findall(r"(?:points|pointing) to the (left|right), ?", " ".join([*step.do, step.lie + ", "]))
        if abs(sideways) < STRAIGHT_BACK:
            assert not said
            assert "leads straight back" in words_of(step)
        else:
            assert set(said) == {"left" if sideways > 0.0 else "right"}
            away = "away from the side the bend turns to" in " ".join(step.do)
            assert away == (said[0] != turns)


@pytest.mark.parametrize("turns", TURNS)
@pytest.mark.parametrize("recipe", BARS)
def test_where_the_words_say_downhill_and_low_it_is_downhill_and_low(recipe, turns):
    for step in steps_of(recipe, turns)[2:]:
        slope, other = step.pose.slope_deg("clamp flat"), "left" if step.side == "right" else "right"
        height, words = step.pose.end_height_mm(other), words_of(step)
        if abs(slope) < LEVEL_DEG:
            assert "0.0 deg, level" in words
            assert "hill" not in words
        else:
            assert set(re.findall(r"downhill|uphill", words)) == {"downhill" if slope > 0.0 else "uphill"}
            assert f"the {other} arm {'is low' if height < 0.0 else 'is high'}" in words
            assert f"about {abs(height):.0f} mm {'below' if height < 0.0 else 'above'} the tube in the hook" in words
            assert f"must show {abs(slope):.1f} deg" in words


def test_outer_bends_set_alike_sweep_one_grip_the_other_way_as_is_warned():
    # sloping the flat the wrong way turns the roll over, and the sweep of that grip with it
    flipped = Recipe(50.0, 28.0, 60.0, -UPRIGHT.roll_deg, 28.0, 180.0, 90.0)
    right = Recipe(50.0, 28.0, 60.0, UPRIGHT.roll_deg, 28.0, 180.0, 90.0)
    assert shape_from_recipe(flipped).backsweep_deg == pytest.approx(-shape_from_recipe(right).backsweep_deg)
    third, fourth = steps_of(UPRIGHT)[2:]
    assert third.reading_deg == pytest.approx(-fourth.reading_deg)
    assert "It slopes the other way than for the bend before." in words_of(fourth)
    assert "If it slopes the same way, this grip gets -12.0 deg of backsweep instead of 12.0 deg." in words_of(fourth)


def test_pointing_to_the_other_side_gives_the_grip_the_upsweep_that_is_warned_of():
    over = Recipe(50.0, 28.0, 60.0, 180.0 - UPRIGHT.roll_deg, 28.0, 180.0, 90.0)
    assert clamp_reading_deg(over) == pytest.approx(clamp_reading_deg(UPRIGHT))  # the angle finder cannot tell
    assert shape_from_recipe(over).upsweep_deg > UPRIGHT.inner_bend_deg
    rises, meant = shape_from_recipe(replace(UPRIGHT, roll_deg=180.0 - UPRIGHT.roll_deg)), shape_from_recipe(UPRIGHT)
    said = f"{rises.upsweep_deg:.1f} deg of upsweep instead of {meant.upsweep_deg:.1f} deg"
    assert said in words_of(steps_of(UPRIGHT)[2])


@pytest.mark.parametrize("recipe", [UPRIGHT, FORWARD, LEVEL])
def test_the_gap_on_the_table_is_the_rise_with_grips_level(recipe):
    gap = shape_from_recipe(grips_level(recipe)).rise_mm
    assert gap > 0.0
    assert f"The gap under the clamp flat is {length_text(gap)} from end to end" in words_of(steps_of(recipe)[3])


def test_grips_in_one_line_are_sighted_along_instead():
    assert "Look along both grips: they are in one line." in words_of(steps_of(NO_SWEEP)[3])


@given(st.floats(-20.0, 20.0), st.sampled_from(TURNS))
def test_the_finished_bend_shows_the_same_clamp_reading_before_it_leaves_the_bender(backsweep, turns):
    recipe = Recipe(50.0, 28.0, 60.0, 2.0 * backsweep, 28.0, 180.0, 90.0)
    words = " ".join(steps_of(recipe, turns)[2].check)
    assert f"still shows {abs(clamp_reading_deg(recipe)):.1f} deg" in words


def test_words_tell_lengths_in_the_unit_asked_for():
    in_inches = " ".join(words_of(step) for step in steps_of(UPRIGHT, unit="in"))
    assert " mm" not in in_inches
    assert length_text(steps_of(UPRIGHT)[0].mark_mm, "in") in in_inches


PLANS = [
    tuple(map(Hold, order, hooks)) for order in permutations(range(4)) for hooks in product((LEFT, RIGHT), repeat=4)
]


@pytest.mark.parametrize("turns", TURNS)
@pytest.mark.parametrize("recipe", [UPRIGHT, LEVEL, LEANING])
def test_in_every_order_the_words_are_true_of_how_the_bar_is(recipe, turns):
    for holds in PLANS[:: 7 if turns == "left" else 11]:
        steps = bench_steps(recipe, SPRINGBACK, DIE, Bender(turns), holds=holds)
        for step, hold, pose in zip(steps, holds, poses_from_recipe(recipe, Bender(turns), holds=holds), strict=True):
            words = words_of(step)
            assert step.hold.startswith(STRAIGHTS[hold.number + (hold.hooked == RIGHT)])
            assert f"Put the hook on the {STRAIGHTS[hold.number + (hold.hooked == RIGHT)]}" in words
            if step.reading_deg is None:
                assert step.number == 1
                continue
            slope, sideways = pose.slope_deg(step.read_straight), pose.sideways(step.read_straight)
            assert step.reading_deg == pytest.approx(slope, abs=1e-7)
            behind = (STRAIGHTS.index(step.read_straight) <= hold.number) == (hold.hooked == LEFT)
            assert ("behind the hook" in words, "ahead of the die, " in words) == (behind, not behind)
            said = set(re.findall(r"points to the (left|right)", words))
            assert said == (set() if abs(sideways) < STRAIGHT_BACK else {"left" if sideways > 0.0 else "right"})
            hills = set(re.findall(r"downhill|uphill", words))
            assert hills == (set() if abs(slope) < LEVEL_DEG else {"downhill" if slope > 0.0 else "uphill"})


@pytest.mark.parametrize("turns", TURNS)
@pytest.mark.parametrize("recipe", [UPRIGHT, LEVEL, LEANING, NO_SWEEP])
def test_the_few_words_of_a_step_say_what_its_sentences_say(recipe, turns):
    sides, ways, tilts = r"point(?:s|ing) to the (left|right)", r"straight (back|on)", r"downhill|uphill|is low|is high"
    for holds in PLANS[:: 17 if turns == "left" else 29]:
        for step in bench_steps(recipe, SPRINGBACK, DIE, Bender(turns), holds=holds):
            do = " ".join(step.do)
            if step.reading_deg is None:
                assert (step.lie, "any roll will do" in do) == ("any roll: the tube is still straight", True)
                continue
            assert set(re.findall(sides, step.lie)) == set(re.findall(sides, do))
            assert set(re.findall(ways, step.lie)) == set(re.findall(ways, do))
            assert set(re.findall(tilts, step.lie)) == set(re.findall(tilts, do))
            assert (" level, " in step.lie) == ("0.0 deg, level" in do)
            assert step.lie.startswith(re.search(r"Lay the angle finder on the (.*?): ", do)[1])
            assert re.findall(r"end about (\d+ mm \w+)", step.lie) == re.findall(r"end about (\d+ mm \w+)", do)[:1]
            held, free = re.fullmatch(r"(.*) in the hook, (left|right) end free", step.hold).groups()
            assert do.startswith(f"Put the hook on the {held}. The {free} end is the free end, ahead of the die.")


@pytest.mark.parametrize("recipe", [UPRIGHT, LEVEL, LEANING, NO_SWEEP])
def test_the_few_words_to_measure_have_the_numbers_of_the_checks(recipe):
    for holds in PLANS[::17]:
        steps = bench_steps(recipe, SPRINGBACK, DIE, holds=holds)
        for step in steps:
            own = recipe.inner_bend_deg if step.bend == "inner" else recipe.outer_bend_deg
            assert f"{own:.1f} deg" in step.measure
            assert f"{own:.1f} deg" in " ".join(step.check)
            numbers = [set(re.findall(r"\d+\.\d (?:mm|deg)", words)) for words in (step.measure, " ".join(step.check))]
            assert numbers[0] == numbers[1], step.title
        assert re.search("table|in one line", steps[-1].measure)


@pytest.mark.parametrize("holds", PLANS[::13])
def test_each_mark_is_the_end_of_its_arc_at_the_hook(holds):
    marks = marks_from_recipe(UPRIGHT)
    ends = {
        ("inner", "outboard"): marks.inner_end_mm, ("inner", "inboard"): marks.inner_start_mm,
        ("outer", "outboard"): marks.outer_end_mm, ("outer", "inboard"): marks.outer_start_mm,
    }  # fmt: skip
    for step in bench_steps(UPRIGHT, SPRINGBACK, DIE, holds=holds):
        assert step.mark_mm == pytest.approx(ends[step.bend, step.held], abs=LENGTH_MM)


@pytest.mark.parametrize("holds", PLANS[::5])
def test_an_outer_bend_sets_the_sweep_once_the_inner_bend_of_its_side_is_made(holds):
    # in these plans the inner bends may come later: the reading then sets no sweep, and no sweep is spoken of
    made = set()
    for step, hold in zip(bench_steps(UPRIGHT, SPRINGBACK, DIE, holds=holds), holds, strict=True):
        own = {0: 1, 3: 2}.get(hold.number)  # left outer and left inner, right outer and right inner
        sets = own in made and step.read_straight == "clamp flat"
        assert ("this grip gets" in words_of(step)) == sets, (step.title, made)
        made.add(hold.number)


@pytest.mark.parametrize("holds", PLANS[::5])
def test_the_second_inner_bend_is_levelled_by_the_first_one(holds):
    # with the one riser level the other side of the tube would send the other riser down
    made = set()
    for step, hold in zip(bench_steps(UPRIGHT, SPRINGBACK, DIE, holds=holds), holds, strict=True):
        both = hold.number in (1, 2) and bool(made & ({1, 2} - {hold.number}))
        level = step.reading_deg is not None and abs(step.reading_deg) < LEVEL_DEG
        assert ("one riser points up" in words_of(step)) == (both and level), (step.title, made)
        made.add(hold.number)
