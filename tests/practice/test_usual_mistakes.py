"""The numbers of exercises: what a beginner is given, and the wrong numbers that usual mistakes lead to."""

import math
import re
from dataclasses import replace

import pytest

from barmath import Recipe, clamp_reading_deg, shape_from_recipe
from barmath.practice import one_more
from barmath.practice.course import exercise
from barmath.practice.exercise import COMPUTE
from barmath.practice.scene import LEVELS, bend_deg, dice, radius_mm, scene, sweep_deg

DRAWS = 60


@pytest.mark.parametrize(
    ("draw", "beginner", "step", "span"),
    [
        (bend_deg, {20.0, 25.0, 30.0}, {2: 0.5, 3: 0.1}, (17.0, 37.0)),
        (radius_mm, {100.0, 110.0, 130.0}, {2: 1.0, 3: 0.1}, (95.0, 140.0)),
        (sweep_deg, {8.0, 11.0, 14.0}, {2: 0.5, 3: 0.5}, (6.0, 15.0)),
    ],
)
def test_a_beginner_gets_three_round_numbers_and_the_others_finer_ones(draw, beginner, step, span):
    drawn = {level: {draw(dice("numbers", seed, level), level) for seed in range(DRAWS)} for level in LEVELS}
    assert drawn[1] == beginner
    for level, fine in step.items():
        assert all(abs(value / fine - round(value / fine)) < 1e-9 for value in drawn[level])
        assert any(abs(value / (10.0 * fine) - round(value / (10.0 * fine))) > 0.05 for value in drawn[level])
        assert span[0] <= min(drawn[level]) < max(drawn[level]) <= span[1]
        assert max(drawn[level]) - min(drawn[level]) > 0.75 * (span[1] - span[0])


@pytest.mark.parametrize("seed", range(1, 13))
def test_each_usual_mistake_of_the_rise_is_the_rise_of_a_bar_without_what_it_leaves_out(seed):
    made = exercise("rise", seed, 1)
    words = made.given[0].split()
    bend, radius, straight = (float(words[k]) for k in (7, 14, 18))

    def rise(**changed):
        flat = Recipe(50.0, bend, straight, 0.0, bend, 200.0, radius)
        return float(shape_from_recipe(replace(flat, **changed)).rise_mm)

    no_arcs = rise(radius_mm=1e-9)
    arc = 2.0 * radius * bend * math.pi / 180.0  # both arcs as one straight
    wrong = {
        "you leave out the two arcs": no_arcs,
        "you count only one of the two arcs": 0.5 * (no_arcs + rise()),
        "you think that the arcs climb as steeply as the riser": rise(radius_mm=1e-9, straight_mm=straight + arc),
        "you use the cosine, not the sine": rise(straight_mm=0.0)
        + rise(radius_mm=1e-9, inner_bend_deg=90.0 - bend, outer_bend_deg=90.0 - bend),
    }
    question = made.questions[1]
    assert question.step == COMPUTE
    assert question.habits
    for habit in question.habits:
        assert habit.value == pytest.approx(wrong[habit.words], abs=1e-5)


ONE_MORE = [
    # worked by hand: the question, its answer, and the numbers of the mistakes in their order
    (one_more.cut_length(100.0, 40.0, 170.0, ""), 620.0, (310.0, 540.0, 280.0)),
    (one_more.lowest_rise(100.0, "", 60.0, ""), 100.0 + 32.5 * 3**0.5, (100.0, 50.0 + 32.5 * 3**0.5, 32.5 * 3**0.5)),
    (one_more.degrees_of_slip(300.0, "", 1.0), 5.2 / 300.0 * 57.29578, (5.2, 0.01733, 0.4966)),
    (one_more.inner_stop(27.0, 36.0, 27.0), 30.0, (40.0, 27.0)),
    (one_more.roll_of_reading(30.0, "", 14.5), 30.049, (14.5, 16.743, 7.191)),
    (one_more.on_a_finder_with_an_error(12.0, "", 0.8, "", ""), 12.8, (12.0, 11.2)),
    (one_more.riser_for_the_follower(70.0, 40.0, ""), 70.0, (40.0, 110.0)),
    (one_more.share_behind_play(28.0, 57.1), 3.0, (6.667, 0.9)),
    (one_more.sweep_with_it(1.5, 0.4, ""), 1.5, (0.4, -1.5)),
    (one_more.other_ordinate(90.0, 8.0, 11.0, ""), 8.0, (11.0, 16.0)),
    (one_more.mark_for_a_miss(4.0, 2.0, ""), 8.0, (4.0, 2.0)),
    (one_more.scale_of_print(96.0, ""), 104.1667, (96.0, 100.0)),
    (one_more.ends_behind_axis(45.0, 60.0, 75.0, ""), -30.0, (-15.0, 120.0, -75.0)),
    (one_more.force_at((400.0, 500.0), (500.0, ""), (250.0, "")), 800.0, (1000.0, 400.0)),
]


@pytest.mark.parametrize(("question", "answer", "wrong"), ONE_MORE, ids=lambda value: getattr(value, "unit", ""))
def test_the_last_question_and_its_usual_mistakes_are_what_one_works_out_by_hand(question, answer, wrong):
    assert question.answer == pytest.approx(answer, rel=1e-3)
    assert [habit.value for habit in question.habits] == pytest.approx(list(wrong), rel=1e-3)


@pytest.mark.parametrize("level", LEVELS)
def test_only_the_last_level_has_readings_with_an_error(level):
    # one bend is off, so without errors all that is read of the other side is as wanted
    off = 0
    for seed in range(12):
        read = [line for line in exercise("faulty bend", seed, level).given if ": wanted " in line]
        both = [re.findall(r"(left|right): wanted ([-\d.]+), read ([-\d.]+)", line)[0] for line in read]
        off += {side for side, wanted, shown in both if wanted != shown} == {"left", "right"}
        assert (len(read) == 6) == (level == 1)  # a beginner gets the upsweeps too
    assert off == 0 if level < LEVELS[-1] else off > 6


def test_a_bar_of_two_stops_has_any_upsweep_that_riders_accept():
    recipes = [scene(dice("upsweep", seed, 3), 3, two_stops=True).recipe for seed in range(40)]
    upsweeps = [float(shape_from_recipe(recipe).upsweep_deg) for recipe in recipes]
    assert 0.0 <= min(upsweeps) < 1.0
    assert 7.0 < max(upsweeps) <= 8.0
    assert all(abs(recipe.inner_bend_deg - recipe.outer_bend_deg) >= 2.0 for recipe in recipes)


@pytest.mark.parametrize("seed", range(1, 7))
def test_the_cosine_used_for_the_sine_is_the_reading_of_the_complement_of_the_bend(seed):
    made = exercise("reading", seed, 1)
    bend, roll = (float(number) for number in re.findall(r"([\d.]+) deg", made.given[0]))
    answer = float(clamp_reading_deg(Recipe(50.0, bend, 90.0, roll, bend, 200.0, 100.0)))
    wrong = float(clamp_reading_deg(Recipe(50.0, 90.0 - bend, 90.0, roll, bend, 200.0, 100.0)))
    question = made.questions[1]
    assert question.answer == pytest.approx(answer, abs=1e-6)
    (habit,) = [one for one in question.habits if one.words.startswith("you use the cosine")]
    assert habit.value == pytest.approx(wrong, abs=1e-6)
