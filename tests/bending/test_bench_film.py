"""The film of a plan: its motions follow each other without a gap, and each swing ends on the stop."""

from itertools import pairwise

import numpy as np
import pytest

from barmath.bending.bench_film import CLAMP, LIFT, MOTIONS, PUSH, ROLL, SPRING, SWING, film_of_plan
from barmath.bending.holds import USUAL_HOLDS
from barmath.bending.settings import settings_from_bends
from barmath.shop.order_seven import DIE, TUBE, order_seven_recipe
from barmath.shop.setup import setup_from_tube
from barmath.space.centerline import bends_from_recipe

BENDS, SETUP = bends_from_recipe(order_seven_recipe()), setup_from_tube(TUBE, DIE)


@pytest.fixture(scope="module")
def film():
    return film_of_plan(BENDS, USUAL_HOLDS, SETUP)


def test_the_motions_of_each_bend_follow_each_other_without_a_gap(film):
    chapters = film.chapters
    assert [one.step for one in chapters] == sorted(one.step for one in chapters)
    assert {one.step for one in chapters} == set(range(len(USUAL_HOLDS)))
    assert chapters[0].start_s == 0.0
    for before, after in pairwise(chapters):
        assert after.start_s == pytest.approx(before.end_s)
        assert after.step > before.step or MOTIONS.index(after.motion) > MOTIONS.index(before.motion)
    for step in range(len(USUAL_HOLDS)):
        done = {one.motion for one in chapters if one.step == step}
        assert {LIFT, PUSH, CLAMP, SWING, SPRING} <= done
        assert (ROLL in done) == (step > 0)  # a straight tube has no roll
    times = [moment.time_s for moment in film.moments]
    assert (np.diff(times) >= 0.0).all()
    assert times[-1] == pytest.approx(chapters[-1].end_s)


def test_the_handle_swings_from_nothing_to_the_stop_with_hook_and_follower_closed(film):
    settings = settings_from_bends(BENDS, USUAL_HOLDS, SETUP.springback, DIE, SETUP.bender)
    assert film.stops_deg == pytest.approx([one.stop_deg for one in settings])
    for chapter in film.chapters:
        moments = [one for one in film.moments if chapter.start_s - 1e-9 <= one.time_s <= chapter.end_s + 1e-9]
        if chapter.motion == SWING:
            angles = [one.angle_deg for one in moments]
            assert (min(angles), max(angles)) == pytest.approx((0.0, film.stops_deg[chapter.step]))
            assert all(one.closed == 1.0 for one in moments if 0.0 < one.angle_deg < max(angles))


def test_one_step_of_the_film_is_that_step_of_the_whole(film):
    alone = film_of_plan(BENDS, USUAL_HOLDS, SETUP, only=2).chapters
    whole = [one for one in film.chapters if one.step == 2]
    assert [(one.step, one.motion) for one in alone] == [(one.step, one.motion) for one in whole]
    assert alone[0].start_s == 0.0


def test_a_motion_that_a_step_does_not_have_begins_with_its_first_one_and_ends_with_its_last(film):
    own = [one for one in film.chapters if one.step == 0]
    assert film.start_of(0, ROLL) == own[0].start_s < film.start_of(0) < film.end_of(0)
    assert film.end_of(0, ROLL) == own[-1].end_s
