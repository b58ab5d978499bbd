"""The film of a plan: its motions follow each other without a gap, and each swing ends on the stop."""

from itertools import pairwise

import numpy as np
import pytest

from barmath.bending.bench_film import (
    CLAMP,
    LIFT,
    LIFT_MM,
    MOTIONS,
    PUSH,
    ROLL,
    ROLL_DEG,
    SECONDS,
    SPRING,
    SWING,
    film_of_plan,
    film_of_pull,
)
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


def _in_the_bender(film, moment):
    # the middle of every ring of the tube in the bender's frame
    points = film.shapes_mm[moment.shape].mean(1)
    return points @ moment.place[:3, :3].T + moment.place[:3, 3]


def test_a_motion_begins_where_the_one_before_has_ended(film):
    joined = 0
    for before, after in pairwise(film.moments):
        if after.time_s - before.time_s < 2e-3:
            np.testing.assert_allclose(_in_the_bender(film, after), _in_the_bender(film, before), atol=1e-6)
            assert after.closed == before.closed
            assert after.angle_deg == before.angle_deg or not after.closed, "an open bender goes back by itself"
            joined += 1
    assert joined >= len(film.chapters) - 1


def test_hook_and_follower_close_before_the_swing_and_open_after_the_tube_has_sprung_back(film):
    for step, hold in enumerate(USUAL_HOLDS):
        closing = [m.closed for m in film.moments if film.start_of(step, CLAMP) <= m.time_s <= film.end_of(step, CLAMP)]
        assert (closing[0], closing[-1]) == (0.0, 1.0)
        last = [m for m in film.moments if m.time_s <= film.end_of(step) + 1e-9][-1]
        assert (last.closed, last.angle_deg) == (0.0, pytest.approx(float(BENDS.bends_deg[hold.number])))
        assert film.made[last.shape].sum() == step + 1


def test_the_tube_is_lifted_over_the_bender_and_rolled_by_as_much_as_can_be_seen(film):
    for step in range(1, len(USUAL_HOLDS)):
        own = [m for m in film.moments if film.start_of(step, LIFT) <= m.time_s < film.end_of(step)]
        heights = [float(m.place[2, 3]) for m in own]
        assert max(heights) - min(heights) >= LIFT_MM - 1e-6
        rolls = [m for m in own if film.start_of(step, ROLL) + 5e-3 < m.time_s <= film.end_of(step, ROLL) + 1e-9]
        settled = [m for m in own if film.start_of(step, CLAMP) + 5e-3 < m.time_s <= film.end_of(step, CLAMP) + 1e-9]
        turn = rolls[0].place[:3, :3] @ settled[0].place[:3, :3].T
        first = np.degrees(np.arccos(np.clip((np.trace(turn) - 1.0) / 2.0, -1.0, 1.0)))
        assert 0.8 * ROLL_DEG < first <= ROLL_DEG
        assert rolls[-1].finder.reading_deg == pytest.approx(settled[0].finder.reading_deg, abs=1e-6)
        assert settled[0].finder.reading_deg == pytest.approx(settled[0].finder.flat.reading_deg, abs=1e-6)


def test_a_still_picture_is_the_tube_just_before_it_is_clamped(film):
    still = film_of_pull(BENDS, USUAL_HOLDS, SETUP, moving=False)
    assert [chapter.motion for chapter in still.chapters] == [CLAMP]
    ready = [m for m in film.moments if m.time_s <= film.start_of(len(USUAL_HOLDS) - 1, CLAMP) + 2e-3][-1]
    for moment in still.moments:
        np.testing.assert_allclose(_in_the_bender(still, moment), _in_the_bender(film, ready), atol=1e-6)
        assert (moment.closed, moment.angle_deg) == (0.0, 0.0)


def test_each_chapter_of_a_film_of_one_pull_lasts_as_long_as_its_motion():
    pull = film_of_pull(BENDS, USUAL_HOLDS, SETUP)
    assert {one.motion: one.end_s - one.start_s for one in pull.chapters} == pytest.approx(
        {motion: SECONDS[motion] for motion in (CLAMP, SWING, SPRING)}
    )
    assert pull.length_s == pytest.approx(sum(SECONDS[motion] for motion in (CLAMP, SWING, SPRING)))
    for chapter in pull.chapters:
        assert pull.chapter_at(0.5 * (chapter.start_s + chapter.end_s)) == chapter
    assert pull.chapter_at(1e9) == pull.chapters[-1]
