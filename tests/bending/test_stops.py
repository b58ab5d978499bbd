"""Bars of two stops at the bench: each step names its stop, and the finder is not set to the sweep."""

import re
from itertools import permutations, product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from barmath import Order, Recipe, recipe_from_order, shape_from_recipe, springback_from_tube
from barmath.bending.holds import BENDS, LEFT, RIGHT, USUAL_HOLDS, Hold
from barmath.bending.plans import PLANS
from barmath.bending.sequences import bend_sequence, every_bend_sequence
from barmath.bending.settings import bends_from_settings, settings_from_bends
from barmath.bending.steps import bench_steps
from barmath.bending.stops import HABIT_DEG, moves_words, not_the_sweep, stop_moves
from barmath.shop.offsets import stop_from_bend_deg
from barmath.shop.setup import Setup
from barmath.shop.shop_file import shop_from_file
from barmath.space.centerline import bends_from_recipe, cut_length_mm

SHOP = shop_from_file(Path(__file__).parents[2] / "notebooks" / "demo" / "shop.toml")
TUBE = SHOP.tubes[0]
DIE = SHOP.die_for(TUBE, SHOP.dies[0].name)
SPRINGBACK = springback_from_tube(TUBE, DIE)
SETUP = Setup(float(TUBE.outside_diameter_mm), DIE, SPRINGBACK, SHOP.bender)
ORDER = Order(90.0, 14.0, 800.0, None, 60.0, 170.0)
BAR = recipe_from_order(ORDER, SPRINGBACK.finished_radius_mm, 30.0, 27.5)
EQUAL = recipe_from_order(ORDER, SPRINGBACK.finished_radius_mm, 30.0)
SEQUENCES = [
    tuple(map(Hold, order, hooks)) for order in permutations(range(4)) for hooks in product((LEFT, RIGHT), repeat=4)
]


def steps_of(recipe=BAR, holds=USUAL_HOLDS):
    return bench_steps(recipe, SPRINGBACK, DIE, SHOP.bender, holds=holds)


def test_the_bar_ordered_comes_out_of_every_sequence_that_has_a_flat_to_read():
    bends, tried = bends_from_recipe(BAR), 0
    for holds in SEQUENCES:
        settings = settings_from_bends(bends, holds, SPRINGBACK, DIE, SHOP.bender)
        out = bends_from_settings(settings, float(cut_length_mm(bends)), SPRINGBACK, DIE, SHOP.bender)
        np.testing.assert_allclose(out.bends_deg, [27.5, 30.0, 30.0, 27.5], atol=1e-9)
        np.testing.assert_allclose(out.straights_mm, bends.straights_mm, atol=1e-8)
        np.testing.assert_allclose((out.rolls_deg - bends.rolls_deg)[1:] % 360.0 % 359.9999999, 0.0, atol=1e-6)
        tried += 1
    assert tried == 384


@pytest.mark.parametrize("holds", SEQUENCES[::17])
def test_each_step_names_its_stop_and_says_where_it_is_moved(holds):
    stops = {bend: float(stop_from_bend_deg(angle, SPRINGBACK, DIE)) for bend, angle in
             (("inner", 30.0), ("outer", 27.5))}  # fmt: skip
    steps = steps_of(holds=holds)
    for place, (step, hold) in enumerate(zip(steps, holds, strict=True)):
        bend = BENDS[hold.number][1]
        assert (step.stop_for, step.stop_deg) == (f"{bend} bends", pytest.approx(stops[bend], abs=1e-9))
        words = [line for line in step.do if f"the stop for the {bend} bends" in line]
        assert len(words) == 1
        assert f"{stops[bend]:.1f} deg" in words[0]
        moved = place > 0 and BENDS[holds[place - 1].number][1] != bend
        assert step.moves_stop == moved
        assert words[0].split()[0] == ("Set" if place == 0 else "Move" if moved else "Leave")
    assert sum(step.moves_stop for step in steps) == stop_moves([step.stop_deg for step in steps])


def test_one_stop_needs_no_words_about_which():
    for step in steps_of(EQUAL):
        assert (step.stop_for, step.moves_stop) == ("all bends", False)
        assert not re.search(r"(Set|Move|Leave) the stop", " ".join(step.do))


@pytest.mark.parametrize(("angles", "moves", "words"), [
    ([30.0] * 4, 0, "the stop is moved never"), ([30.0, 30.0, 27.5, 27.5], 1, "the stop is moved once"),
    ([27.5, 30.0, 30.0, 27.5], 2, "the stop is moved twice"),
    ([30.0, 27.5, 30.0, 27.5], 3, "the stop is moved 3 times"),
])  # fmt: skip
def test_the_stop_moves_where_a_bend_differs_from_the_one_before(angles, moves, words):
    assert stop_moves(angles) == moves
    assert moves_words(moves) == words


def test_of_sequences_alike_in_all_else_that_is_better_which_moves_the_stop_less():
    orders = every_bend_sequence(bends_from_recipe(BAR), SPRINGBACK, DIE, float(TUBE.outside_diameter_mm), SHOP.bender)
    alike: dict[tuple, list[int]] = {}
    for order in orders:
        if order.fits:
            near = round(min(max(order.least_clearance_mm, 0.0), 50.0))
            key = (round(2.0 * order.roll_per_reading), near, order.turns_end_for_end)
            alike.setdefault(key, []).append(order.stop_moves)
    assert any(len(set(moves)) > 1 for moves in alike.values())
    assert all(moves == sorted(moves) for moves in alike.values())


def test_a_sequence_says_how_often_the_stop_is_moved():
    bends = bends_from_recipe(BAR)
    for name, moves in (("one side after the other", "3 times"), ("inner bends first, then grips in the hook", "once")):
        order = bend_sequence(bends, PLANS[name], SETUP)
        assert order.reason().endswith(f", the stop is moved {moves}")
    equal = bend_sequence(bends_from_recipe(EQUAL), USUAL_HOLDS, SETUP)
    assert "stop is moved" not in equal.reason()


@given(st.floats(15.0, 40.0), st.floats(15.0, 40.0), st.floats(-45.0, 45.0))
def test_the_finder_is_named_apart_from_the_sweep_where_they_differ_by_more_than_three_tenths(inner, outer, roll):
    recipe = Recipe(60.0, inner, 90.0, roll, outer, 200.0, 105.0)
    reading = np.degrees(np.arcsin(np.sin(np.radians(inner)) * np.sin(np.radians(abs(roll)))))
    sweep = abs(shape_from_recipe(recipe).backsweep_deg)
    if abs(abs(reading - sweep) - HABIT_DEG) < 1e-9:
        return
    said = not_the_sweep(recipe)
    assert bool(said) == (abs(reading - sweep) > HABIT_DEG)
    if said:
        assert f"to {reading:.1f} deg, not to the backsweep of {sweep:.1f} deg" in said


def test_with_risers_upright_the_reading_over_the_sweep_is_as_the_sines_of_the_bends():
    # sin reading = sin a sin phi and sin b sin phi = back of the grip, so sin reading sin b = sin a back
    back = np.tan(np.radians(14.0)) / np.sqrt(
        1.0 + np.tan(np.radians(14.0)) ** 2 + np.tan(np.radians(shape_from_recipe(BAR).upsweep_deg)) ** 2
    )
    reading = np.degrees(np.arcsin(np.sin(np.radians(30.0)) / np.sin(np.radians(27.5)) * back))
    assert f"to {reading:.1f} deg, not to the backsweep of 14.0 deg" in not_the_sweep(BAR)
    assert any("15.1 deg, not to the backsweep of 14.0 deg" in line for line in steps_of()[2].do)
    assert not_the_sweep(EQUAL) == ""
