"""The panel of the bender and the panel of mistakes, without a browser: every control to both ends and to nonsense."""

from dataclasses import replace
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from barmath.bending.bench_film import LIFT, MOTIONS, PUSH, ROLL, SWING, TURN, film_of_plan
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold, poses_from_recipe
from barmath.panels.bending import BendingPanel, bending_panel
from barmath.panels.bending_asked_state import NO_ANSWER
from barmath.panels.bending_state import NO_TRIES, BendingState, bending_readout
from barmath.panels.mistakes import TITLES, MistakePanel, MistakeState, mistake_panel, mistake_readout
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.panels.shell import FAULT
from barmath.pictures.bench import BENDS_DRAWN, COLOURS, BenchPicture
from barmath.pictures.book import book_figure
from barmath.pictures.eyes import ABOVE, BEHIND, EYES, camera_of
from barmath.pictures.palette import BAD, BEND
from barmath.refusal import BendError
from barmath.shop.order_seven import BEND_DEG, ORDER
from barmath.shop.setup import Setup
from barmath.shop.shop_file import shop_from_file
from barmath.space.centerline import bends_from_recipe
from barmath.space.drawing import FACETS

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"


@pytest.fixture(scope="module")
def shop():
    return shop_from_file(DEMO)


@pytest.fixture
def panel(shop, tmp_path):
    return BendingPanel(shop, sheets_folder=tmp_path)


def rgb(colour):
    return int(colour[1:], 16)


def things(panel):
    return panel.view.picture.things


def traces(panel):
    return {trace.name: trace for trace in panel.figure.data}


def test_it_opens_on_the_usual_order_which_this_bender_can_do(panel):
    assert panel.readout.sequence.holds == USUAL_HOLDS
    assert "Can be done" in panel.message.value
    assert len(panel.readout.sequences) == 384
    assert panel.plan.sequences.offered[panel.plan.sequences.value + 1] == panel.plan.sequences.value
    assert panel.message.value.count("barmath-message") >= 1


@pytest.mark.parametrize("typed", ["", "wide", "-5", "1e9", "nan"])
def test_a_refused_value_is_said_and_changes_nothing(panel, typed):
    before = panel.state
    panel.ordered.rise.box.value = typed
    assert panel.state == before
    assert "rise" in panel.message.value.lower()
    assert FAULT not in panel.message.value


def test_every_motion_of_every_bend_is_in_the_film(panel):
    seen = {(chapter.step, chapter.motion) for chapter in panel.readout.film.chapters}
    assert {motion for _, motion in seen} == set(MOTIONS)
    for step, hold in enumerate(USUAL_HOLDS):
        turned = step > 0 and hold.hooked != USUAL_HOLDS[step - 1].hooked
        assert ((step, TURN) in seen) == turned
        assert ((step, ROLL) in seen) == (step > 0)  # the first bend has nothing to read
        assert {(step, LIFT), (step, PUSH), (step, SWING)} <= seen


def test_the_finder_changes_while_the_tube_rolls_and_ends_on_its_reading(panel):
    film = panel.readout.film
    for step in (1, 2, 3):
        rolling = [moment for moment in film.moments if film.chapter_at(moment.time_s)[:2] == (step, ROLL)]
        readings = [moment.finder.reading_deg for moment in rolling if moment.finder]
        assert len(readings) > 5
        assert np.ptp(readings) > 10.0
        wanted = panel.readout.steps[step].reading_deg
        at_rest = next(moment for moment in film.moments if moment.time_s > film.end_of(step, ROLL))
        assert at_rest.finder.reading_deg == pytest.approx(wanted, abs=1e-6)


def test_between_two_moments_nothing_jumps(panel):
    film = panel.readout.film
    corners = [film.shapes_mm[now.shape] @ now.place[:3, :3].T + now.place[:3, 3] for now in film.moments]
    for one, other, before, after in zip(corners, corners[1:], film.moments, film.moments[1:], strict=False):
        speed = np.abs(other - one).max() / max(after.time_s - before.time_s, 1e-2)
        assert speed < 4000.0, (before.time_s, speed)  # mm a second, of ends that swing round


def test_the_step_that_the_page_shows_is_the_step_of_the_words(panel):
    for step in (1, 2, 3, 0):
        panel.view.bar.step = step
        assert panel.state.step == step
        assert panel.readout.steps[step].title in panel.step.value
        assert panel.readout.steps[step].title in panel.view.bar.says


def test_an_order_of_the_list_is_the_plan_that_is_shown(panel):
    for place in (0, 200, 383):
        panel.plan.sequences.value = place
        holds = panel.readout.sequences[place].holds
        assert panel.state.holds == holds
        assert [
            (bend.value, hook.value) for bend, hook in zip(panel.plan.bends, panel.plan.hooks, strict=True)
        ] == list(holds)
        assert ("Cannot be done" in panel.message.value) == (not panel.readout.sequences[place].fits)


def test_a_plan_that_makes_a_bend_twice_says_so_and_draws_nothing(panel):
    panel.plan.bends[0].value = 3
    assert (
        "Make the right inner bend in place of one of them: "
        "each bend must be made once, got right outer bend twice and right inner bend not at all"
    ) in panel.message.value
    assert [name for name, thing in things(panel).items() if thing.visible] == []
    assert panel.view.bar.chapters == []
    assert panel.view.bar.says == "Nothing to draw: this plan is not possible"
    assert (panel.step.value, panel.reason.value) == ("", "")
    panel.plan.bends[0].value = 2
    assert "Can be done" in panel.message.value
    assert things(panel)["tube"].visible
    assert len(panel.view.bar.chapters) == len(panel.readout.film.chapters)


def test_what_cannot_be_done_is_red_where_it_fails_with_the_length_that_is_missing(panel):
    assert things(panel)["hook"].color == rgb(COLOURS["hook"])
    assert not things(panel)["missing"].visible
    panel.ordered.rise.value = 68.0  # the riser is too short for the hook; held by the other side it is long enough
    assert "Cannot be done" in panel.message.value
    assert "Can be done" not in panel.message.value
    red = {float(time) for time, colour in things(panel)["hook"].color.items() if colour == rgb(BAD)}
    film = panel.readout.film
    assert {film.chapter_at(time - 1e-6).step for time in red} == set(panel.readout.failing) == {2, 3}
    assert things(panel)["follower"].color == rgb(COLOURS["follower"])
    assert sum("needs 65 mm" in words for words in things(panel)["what fails"].text.values()) == 4
    failing = panel.readout.failing[2]
    assert failing.end_mm[0] - failing.start_mm[0] == pytest.approx(65.0 - panel.readout.sequence.stations[2].behind_mm)
    panel.view.bar.step = 2
    assert failing.words in panel.view.bar.says
    panel.plan.sequences.value = 0  # the best one of the list
    assert "Can be done" in panel.message.value
    assert things(panel)["hook"].color == rgb(COLOURS["hook"])


def answer(panel, leads, shows):
    panel.questions.leads.value, panel.questions.shows.value = leads, shows
    panel.questions.bend.click()


def test_asked_first_the_film_stops_at_the_mark_until_the_answer_is_given(panel):
    panel.questions.asking.value = True
    assert not panel.readout.open_question  # the first bend has nothing to read
    panel.view.bar.step = 1
    film = panel.readout.film
    assert panel.readout.open_question
    assert film.start_of(1, PUSH) < panel.view.bar.until < film.start_of(1, ROLL)
    assert "0.0" not in panel.step.value
    panel.questions.leads.value = LEFT
    panel.questions.bend.click()
    assert "choose a side and a reading first" in panel.message.value
    answer(panel, LEFT, "0.0")
    assert not panel.readout.open_question
    assert panel.view.bar.until > film.length_s
    assert panel.readout.score == (1, 1)
    assert panel.questions.marked.value.count("Right:") == 2


def test_a_wrong_answer_is_bent_to_its_end_and_a_hint_comes_before_the_right_one(panel):
    panel.questions.asking.value = True
    panel.view.bar.step = 1
    right, shown = panel.readout.film, things(panel)["tube"].vertices
    answer(panel, RIGHT, "0.0")
    wrong = panel.readout.asked.wrong
    assert {chapter.step for chapter in wrong.chapters} == {1}
    assert panel.view.bar.chapters[-1]["end"] == wrong.length_s
    assert panel.view.bar.order[1:] == [0.0, pytest.approx(wrong.length_s, abs=0.02)]  # it plays to its end
    assert not np.allclose(list(things(panel)["tube"].vertices.values())[-1], list(shown.values())[-1])
    assert "one riser stands up and the other hangs down" in panel.questions.marked.value
    assert "Hint:" in panel.questions.marked.value
    assert "leads to the left" not in panel.questions.marked.value  # not given away
    assert panel.questions.show_me.layout.display is None
    answer(panel, LEFT, "0.0")
    assert panel.readout.asked.wrong is None
    assert panel.readout.film is right
    assert panel.readout.score == (0, 1)  # the first try counts, and once


def test_the_right_answer_can_be_asked_for_after_a_wrong_one(panel):
    panel.questions.asking.value = True
    panel.view.bar.step = 2
    answer(panel, LEFT, f"{BEND_DEG:.1f}")
    assert "you took the bend itself" in panel.questions.marked.value
    panel.questions.show_me.click()
    assert not panel.readout.open_question
    assert f"shows {abs(panel.readout.steps[2].reading_deg):.1f} deg" in panel.questions.marked.value
    assert panel.readout.score == (0, 1)
    panel.questions.asking.value = False
    assert panel.state.tries == NO_TRIES


@pytest.mark.parametrize("step", [1, 2, 3])
def test_every_answer_to_every_question_is_answered_without_a_fault(panel, step):
    panel.questions.asking.value = True
    for shows in bending_readout(panel.shop, BendingState(asking=True, step=step)).asked.choices:
        for leads in (LEFT, RIGHT):
            panel.become(BendingState(asking=True, step=step))
            answer(panel, leads, shows)
            assert FAULT not in panel.message.value
            assert NO_ANSWER not in panel.state.tries[step][0]
            assert panel.readout.open_question == bool(panel.readout.asked.hint)


def test_the_choices_hold_the_right_reading_once_and_are_few(shop):
    for rise in (75.0, 90.0, 95.0):
        readout = bending_readout(shop, BendingState(OrderedBar(rise_mm=rise), asking=True, step=2))
        step = readout.steps[2]
        assert readout.asked.choices.count(f"{abs(step.reading_deg):.1f}") == 1
        assert 3 <= len(readout.asked.choices) <= 5
        assert list(readout.asked.choices) == sorted(set(readout.asked.choices), key=float)


def test_the_lesson_bar_cannot_be_made_in_the_usual_sequence_and_some_can(shop):
    readout = bending_readout(shop, BendingState(OrderedBar(rise_mm=72.0)))
    assert not readout.sequence.fits
    assert sum(one.fits for one in readout.sequences) == 16


def test_the_sheet_is_that_of_the_sequence_shown_and_refused_where_it_cannot_be_done(panel):
    panel.plan.sequences.value = 0
    pdf, png = panel.bench_sheet("order 7", "A4")
    words = PdfReader(BytesIO(pdf)).pages[0].extract_text()
    for step in panel.readout.steps:
        assert step.title in words
    assert png.startswith(b"\x89PNG")
    panel.plan.sequences.value = 383
    with pytest.raises(BendError, match="because this bender cannot do this one: at step"):
        panel.bench_sheet("order 7", "A4")


def test_each_bend_of_the_film_begins_and_ends_in_the_pose_worked_out_by_itself(shop):
    # second route: poses_from_recipe goes along the centre line, the film's rings are carried there by its places
    film = film_of_plan(bends_from_recipe(_recipe(shop)), USUAL_HOLDS, _setup(shop))
    for step, pose in enumerate(poses_from_recipe(_recipe(shop), shop.bender)):
        before = next(now for now in film.moments if now.time_s > film.start_of(step, SWING))
        after = [now for now in film.moments if now.time_s <= film.end_of(step)][-1]
        for moment, line in ((before, pose.before_mm), (after, pose.after_mm)):
            ends = film.shapes_mm[moment.shape][[0, -1]].mean(1)
            np.testing.assert_allclose(ends @ moment.place[:3, :3].T + moment.place[:3, 3], line[[0, -1]], atol=1e-6)


def _setup(shop, bender=None):
    return Setup(22.225, shop.dies[0], _springback(shop), bender or shop.bender)


def _springback(shop):
    from barmath import springback_from_tube

    return springback_from_tube(shop.tubes[0], shop.dies[0])


def _recipe(shop):
    from barmath import recipe_from_order

    return recipe_from_order(ORDER, _springback(shop).finished_radius_mm, BEND_DEG)


def test_a_step_that_a_plan_has_not_is_no_film(shop):
    with pytest.raises(BendError, match=r": step must be at most 3, got 4$"):
        film_of_plan(bends_from_recipe(_recipe(shop)), USUAL_HOLDS, _setup(shop), only=4)


def test_what_has_not_been_measured_is_not_drawn(shop):
    picture = BenchPicture()
    film = film_of_plan(bends_from_recipe(_recipe(shop)), USUAL_HOLDS, _setup(shop), only=1)
    picture.show(_setup(shop), film)
    assert "table" in picture.things
    bare = replace(shop.bender, table_below_mm=None, table_reach_mm=None)
    picture.show(_setup(shop, bare), film)
    assert "table" not in picture.things
    assert sorted(thing.id for thing in picture.things.values()) == sorted(picture.plot.object_ids)


def test_a_bender_that_turns_right_is_drawn_the_other_way_round(shop):
    right = BendingPanel(replace(shop, bender=replace(shop.bender, turns="right")))
    left = BendingPanel(shop)
    die, mirrored = (things(panel)["die"].vertices for panel in (left, right))
    np.testing.assert_allclose(np.sort(die[:, 1]), np.sort(-mirrored[:, 1]), atol=1e-3)
    assert left.view.picture.plot.camera[1] == -right.view.picture.plot.camera[1]


def test_the_eye_is_moved_by_its_buttons_and_names_are_shown_on_demand(panel):
    picture = panel.view.picture
    seen = set()
    for where in EYES:
        picture.look(where)
        seen.add(tuple(picture.plot.camera))
    assert len(seen) == len(EYES) == 3
    assert {ABOVE, BEHIND} < set(EYES)
    named = [name for name in picture.things if name.startswith("name of")]
    assert {"name of the hook", "name of the die", "name of the follower"} <= set(named)
    for wanted in (True, False):
        panel.view.names.value = wanted
        assert {picture.things[name].visible for name in named} == {wanted}


def test_the_wheel_scrolls_the_page_and_the_two_ends_are_easily_seen_to_differ(panel):
    assert panel.view.picture.plot.camera_no_zoom
    left, right = (things(panel)[letter] for letter in "LR")
    corners = things(panel)["tube"].colors
    for letter, label, corner in (("L", left, corners[0]), ("R", right, corners[-2 * FACETS - 1])):
        assert f">{letter}<" in label.text
        assert f"color: #{corner:06x}" in label.text
    assert corners[0] != corners[-1]


def test_a_bend_takes_its_colour_when_it_is_made_and_no_mesh_changes_what_would_make_it_again(panel):
    film = panel.readout.film
    for number, name in enumerate(BENDS_DRAWN):
        colours = {float(time): colour for time, colour in things(panel)[name].color.items()}
        assert set(colours.values()) == {rgb(BEND), rgb("#aeb8c1")}
        first = min(time for time, colour in colours.items() if colour == rgb(BEND))
        step = next(step for step, hold in enumerate(USUAL_HOLDS) if hold.number == number)
        assert film.start_of(step, SWING) < first < film.end_of(step, SWING)
    changed = {"vertices", "model_matrix", "color", "visible"}  # what k3d changes in place in a mesh
    for name, thing in things(panel).items():
        if thing.type == "Mesh":
            series = {trait for trait in ("vertices", "colors", "color", "model_matrix", "opacity", "indices")
                      if isinstance(getattr(thing, trait), dict)}  # fmt: skip
            assert series <= changed, name
        elif thing.type == "Label":
            assert not isinstance(thing.visible, dict), name
    readings = [float(words.partition("\u00b0")[0].rpartition(">")[2])
                for words in things(panel)["reading"].text.values() if "\u00b0" in words]  # fmt: skip
    assert len(set(readings)) > 30  # the number changes while the tube rolls
    assert "22px" in next(words for words in things(panel)["reading"].text.values() if "\u00b0" in words)


def test_running_the_cell_again_shows_the_same_panel():
    assert bending_panel(DEMO) is bending_panel(DEMO)
    assert mistake_panel(DEMO) is mistake_panel(DEMO)


@pytest.mark.parametrize("title", TITLES)
@pytest.mark.parametrize("step", range(4))
def test_every_mistake_at_every_bend_is_shown_or_refused_in_words(shop, title, step):
    panel = MistakePanel(shop)
    panel.title.value, panel.step.value = title, step
    assert FAULT not in panel.message.value
    readout = mistake_readout(shop, MistakeState(title=title, step=step))
    assert (readout.outcome is None) == ("Nothing to go wrong here" in panel.message.value)
    if readout.outcome is not None:
        assert "Can it be saved?" in panel.said.value
        assert len(panel.figure.data[1].x) > 100


@pytest.mark.parametrize("title", TITLES)
@pytest.mark.parametrize("step", range(4))
def test_the_picture_of_a_mistake_is_the_bar_of_the_table_beside_it(shop, title, step):
    # second route: rise, half width and backsweep of each side are read off the drawn edges
    panel = MistakePanel(shop, MistakeState(title=title, step=step, roll_deg=34.0))
    outcome = panel.readout.outcome
    if outcome is None:
        assert len(traces(panel)["front came out"].x) == 0
        return
    ends = {}
    for view in ("front", "above"):
        trace = traces(panel)[f"{view} came out"]
        points = np.stack([trace.x, trace.y], -1)[:-1]
        half = len(points) // 2
        middle = 0.5 * (points[:half] + points[half:][::-1])
        ends[view] = middle[[0, 1, -2, -1]]
    for side, (tip, root) in enumerate(((0, 1), (-1, -2))):
        assert ends["front"][tip, 1] == pytest.approx(outcome.sides.rise_mm[side], abs=0.05)
        assert abs(ends["front"][tip, 0]) == pytest.approx(outcome.sides.half_width_mm[side], abs=0.05)
        assert (ends["front"][tip, 0] > 0.0) == (side == 1)
        out, back = np.abs(ends["above"][tip, 0]) - abs(ends["above"][root, 0]), np.diff(ends["above"][[root, tip], 1])
        assert np.degrees(np.arctan2(back[0], out)) == pytest.approx(outcome.sides.backsweep_deg[side], abs=0.1)


def test_left_and_right_are_named_where_they_are_drawn(shop):
    panel = MistakePanel(shop)
    assert [title.text for title in panel.figure.layout.annotations] == [
        "From behind, as the rider sees it: dashed the bar meant, filled what came out",
        "From above, forward is up",
    ]
    for view in ("front", "above"):
        letters = traces(panel)[f"{view} ends"]
        assert dict(zip(letters.text, np.sign(letters.x), strict=True)) == {"<b>L</b>": -1.0, "<b>R</b>": 1.0}
    for row in (1, 2):
        (axis,) = panel.figure.select_xaxes(row=row, col=1)
        assert axis.range[0] < axis.range[1]  # the rider's right is on the right


@pytest.mark.parametrize("name", ["inner", "outer", "roll", "straight", "slack"])
@pytest.mark.parametrize("end", ["low", "high"])
def test_every_slider_of_the_mistakes_goes_to_both_its_ends(shop, name, end):
    panel = MistakePanel(shop)
    row = getattr(panel, name)
    row.value = getattr(row, end)
    assert FAULT not in panel.message.value


@pytest.mark.parametrize("title", TITLES)
def test_a_bend_is_asked_for_only_where_the_mistake_depends_on_it(shop, title):
    bar = {"outer_bend_deg": 31.0, "roll_deg": 34.0}
    panel = MistakePanel(shop, MistakeState(title=title, step=2, **bar))
    outcomes = [mistake_readout(shop, MistakeState(title=title, step=step, **bar)).outcome for step in (2, 3)]
    one, other = (
        np.concatenate([out.bends.straights_mm, out.bends.bends_deg, out.bends.rolls_deg]) for out in outcomes
    )
    assert (panel.step_row.layout.display == "none") == np.allclose(one, other, atol=1e-9)


def test_a_book_is_drawn_once_for_each_turn():
    turned = book_figure({"one": np.eye(3), "other": np.diag([1.0, -1.0, -1.0])})
    assert len(turned.data) == 6
    assert float(np.max(turned.data[0].z)) == pytest.approx(0.35)


def test_a_plan_with_either_end_in_the_hook_is_taken(panel):
    for hook in panel.plan.hooks:
        hook.value = RIGHT
    assert panel.state.holds == tuple(Hold(hold.number, RIGHT) for hold in USUAL_HOLDS)
    assert FAULT not in panel.message.value


def test_every_flat_left_to_read_is_said_with_its_reading_and_what_a_degree_does(panel):
    panel.view.bar.step = 2
    names = [name for name, _, _ in panel.readout.flats]
    assert names == ["clamp flat", "left grip to left riser"]
    for name, flat, _ in panel.readout.flats:
        assert name in panel.step.value
        assert f"{abs(flat.reading_deg):.1f}" in panel.step.value
    panel.view.bar.step = 0
    assert panel.readout.flats == ()


def test_beside_each_sequence_is_why_in_short(panel):
    table = panel.plan.sequences
    for key, sequence in enumerate(panel.readout.sequences):
        words = table.words(key)
        assert words.startswith("yes" if sequence.fits else "no")
        assert words.endswith(" clear") or words[-1].isdigit() or not sequence.fits
        row = next(row for row in table.rows if row["key"] == key)
        assert row["bad"] != sequence.fits
        assert len(row["cells"]) == len(row["sizes"]) == len(table.heads)
    panel.ordered.rise.value = 72.0
    assert "3rd: hook lacks 4 mm" in table.words(table.value)
    best = panel.readout.sequences[0]
    assert table.rows[1]["sizes"][-2:] == (best.least_straight_mm, pytest.approx(min(best.least_clearance_mm, 1e6)))


def seen_from(eye, target, up, points):
    """Where points (n, 3) are in a picture of 32 deg, upright and across, in halves of its height."""
    ahead = (target - eye) / np.linalg.norm(target - eye)
    across = np.cross(ahead, up) / np.linalg.norm(np.cross(ahead, up))
    away = points - eye
    half = (away @ ahead) * np.tan(np.radians(16.0))
    return np.stack([away @ across, away @ np.cross(across, ahead)]) / half


@pytest.mark.parametrize(("where", "share"), [(BEHIND, 0.8), (ABOVE, 0.9)])
def test_the_letters_of_both_ends_are_in_the_picture_nearly_all_the_time(panel, where, share):
    places = [np.array(list(things(panel)[letter].position.values())) for letter in "LR"]
    eye, target, up = np.reshape(camera_of(where, panel.view.picture.side), (3, 3))
    inside = [np.all(np.abs(seen_from(eye, target, up, at)).T < [1.2, 0.95], axis=1) for at in places]
    assert np.mean(inside[0] & inside[1]) > share
    assert (inside[0][0], inside[1][0]) == (True, True), "at the first moment"
