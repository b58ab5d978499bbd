"""The panel of the bender and the panel of mistakes, without a browser: every control to both ends and to nonsense."""

from dataclasses import replace
from io import BytesIO
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from pypdf import PdfReader

from barmath.bending.bender_scene import MOMENTS, scene_of_step
from barmath.bending.holds import LEFT, RIGHT, USUAL_HOLDS, Hold, poses_from_recipe
from barmath.panels.bending import BendingPanel, bending_panel
from barmath.panels.bending_state import (
    LAST_PLACE,
    NO_ANSWER,
    PLACES_A_BEND,
    BendingState,
    bending_readout,
)
from barmath.panels.mistakes import TITLES, MistakePanel, MistakeState, mistake_panel, mistake_readout
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.panels.shell import FAULT
from barmath.pictures.bending import bending_figure, update_bending
from barmath.pictures.book import book_figure
from barmath.pictures.palette import BAD
from barmath.refusal import BendError
from barmath.shop.order_seven import BEND_DEG, ORDER
from barmath.shop.setup import Setup
from barmath.shop.shop_file import shop_from_file
from barmath.space.centerline import row_from_recipe

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"


@pytest.fixture(scope="module")
def shop():
    return shop_from_file(DEMO)


@pytest.fixture
def panel(shop, tmp_path):
    return BendingPanel(shop, sheets_folder=tmp_path)


def traces(panel):
    return {trace.name: trace for trace in panel.figure.data}


def test_it_opens_on_the_usual_order_which_this_bender_can_do(panel):
    assert panel.readout.order.holds == USUAL_HOLDS
    assert "Can be done" in panel.message.value
    assert len(panel.readout.orders) == 384
    assert panel.plan.orders.options[panel.plan.orders.value + 1][1] == panel.plan.orders.value
    assert panel.message.value.count("barmath-message") >= 1


@pytest.mark.parametrize("typed", ["", "wide", "-5", "1e9", "nan"])
def test_a_refused_value_is_said_and_changes_nothing(panel, typed):
    before = panel.state
    panel.ordered.rise.box.value = typed
    assert panel.state == before
    assert "rise" in panel.message.value.lower()
    assert FAULT not in panel.message.value


def test_the_slider_goes_through_every_moment_of_every_bend(panel):
    seen = []
    for place in range(LAST_PLACE + 1):
        panel.place.value = place
        assert panel.state.step == place // PLACES_A_BEND
        seen.append(np.array(traces(panel)["tube from above"].x))
    assert FAULT not in panel.message.value
    still = [np.allclose(one, other) for one, other in pairwise(seen)]
    assert not any(still)


def test_the_buttons_go_from_bend_to_bend_and_stop_at_both_ends(panel):
    for step in (1, 2, 3, 3):
        panel.forward.click()
        assert panel.state.step == step
    for step in (2, 1, 0, 0):
        panel.back.click()
        assert panel.state.step == step


def test_playing_moves_the_slider_with_it(panel):
    panel.play.value = 17
    assert panel.place.value == 17
    assert panel.state.place == 17


def test_an_order_of_the_list_is_the_plan_that_is_shown(panel):
    for place in (0, 200, 383):
        panel.plan.orders.value = place
        holds = panel.readout.orders[place].holds
        assert panel.state.holds == holds
        assert [
            (bend.value, hook.value) for bend, hook in zip(panel.plan.bends, panel.plan.hooks, strict=True)
        ] == list(holds)
        assert ("Cannot be done" in panel.message.value) == (not panel.readout.orders[place].fits)


def test_a_plan_that_makes_a_bend_twice_says_so_and_draws_nothing(panel):
    panel.plan.bends[0].value = 3
    assert (
        "each bend must be made once, got right outer bend twice and right inner bend not at all: "
        "make the right inner bend in place of one of them"
    ) in panel.message.value
    drawn = {name for name, trace in traces(panel).items() if trace.x is not None and len(trace.x)}
    assert drawn == set()
    assert panel.figure.layout.annotations[0].text == "Nothing to draw: this plan is not possible"
    assert (panel.step.value, panel.reason.value) == ("", "")
    panel.plan.bends[0].value = 2
    assert "Can be done" in panel.message.value
    assert len(traces(panel)["tube"].x) > 100
    assert panel.figure.layout.annotations[0].text.startswith("In space:")


def test_a_plan_that_this_bender_cannot_do_is_drawn_as_one(panel):
    good = (traces(panel)["tube"].facecolor[0], traces(panel)["tube from above"].line.color)
    panel.ordered.rise.value = 68.0  # the riser is too short for the hook; held by the other side it is long enough
    assert "Cannot be done" in panel.message.value
    assert "Can be done" not in panel.message.value
    assert set(traces(panel)["tube"].facecolor) == {BAD} != {good[0]}
    assert traces(panel)["tube from above"].line.color == BAD
    title = panel.figure.layout.annotations[0]
    assert title.text == "This bender cannot do this plan: the bar is drawn in red"
    assert title.font.color == BAD
    panel.plan.orders.value = 0  # the best one of the list
    assert "Can be done" in panel.message.value
    assert (traces(panel)["tube"].facecolor[0], traces(panel)["tube from above"].line.color) == good


def test_asked_first_a_bend_is_hidden_until_both_guesses_are_made(panel):
    panel.questions.asking.value = True
    assert not panel.readout.hidden  # the first bend has nothing to read
    panel.forward.click()
    assert panel.readout.hidden
    assert "0.0" not in panel.step.value
    panel.questions.leads.value = LEFT
    assert panel.readout.hidden
    panel.questions.shows.value = "0.0"
    assert not panel.readout.hidden
    assert panel.readout.score == (2, 2)
    assert panel.questions.marked.value.count("Right.") == 2
    panel.forward.click()
    panel.questions.leads.value, panel.questions.shows.value = LEFT, f"{BEND_DEG:.1f}"
    assert panel.readout.score == (2, 4)
    assert "you took the bend itself" in panel.questions.marked.value
    panel.questions.asking.value = False
    assert panel.state.guesses == ((NO_ANSWER, NO_ANSWER),) * 4


def test_the_choices_hold_the_right_reading_once_and_are_few(shop):
    for rise in (75.0, 90.0, 95.0):
        readout = bending_readout(shop, BendingState(OrderedBar(rise_mm=rise), asking=True, place=2 * PLACES_A_BEND))
        step = readout.steps[2]
        assert readout.choices.count(f"{abs(step.reading_deg):.1f}") == 1
        assert 3 <= len(readout.choices) <= 5
        assert list(readout.choices) == sorted(set(readout.choices), key=float)


def test_the_lesson_bar_cannot_be_made_in_the_usual_order_and_some_can(shop):
    readout = bending_readout(shop, BendingState(OrderedBar(rise_mm=72.0)))
    assert not readout.order.fits
    assert sum(order.fits for order in readout.orders) == 16


def test_the_sheet_is_that_of_the_order_shown_and_refused_where_it_cannot_be_done(panel):
    panel.plan.orders.value = 0
    pdf, png = panel.bench_sheet("order 7", "A4")
    words = PdfReader(BytesIO(pdf)).pages[0].extract_text()
    for step in panel.readout.steps:
        assert step.title in words
    assert png.startswith(b"\x89PNG")
    panel.plan.orders.value = 383
    with pytest.raises(BendError, match="the order must be one that this bender can do, got one where step"):
        panel.bench_sheet("order 7", "A4")


def test_the_last_moment_of_each_bend_is_the_pose_after_it(shop, panel):
    recipe_row = row_from_recipe(_recipe(shop))
    for step, pose in enumerate(poses_from_recipe(_recipe(shop), shop.bender)):
        args = (recipe_row, USUAL_HOLDS, step)
        setup = Setup(22.225, shop.dies[0], _springback(shop), shop.bender)
        np.testing.assert_allclose(scene_of_step(*args, 0, setup).points_mm, pose.before_mm, atol=1e-6)
        np.testing.assert_allclose(scene_of_step(*args, MOMENTS, setup).points_mm, pose.after_mm, atol=1e-6)


def _springback(shop):
    from barmath import springback_from_tube

    return springback_from_tube(shop.tubes[0], shop.dies[0])


def _recipe(shop):
    from barmath import recipe_from_order

    return recipe_from_order(ORDER, _springback(shop).finished_radius_mm, BEND_DEG)


def test_what_has_not_been_measured_is_not_drawn(shop):
    bare = replace(shop.bender, table_below_mm=None, table_reach_mm=None, handle_reach_mm=None)
    scene = scene_of_step(
        row_from_recipe(_recipe(shop)), USUAL_HOLDS, 2, 3, Setup(22.225, shop.dies[0], _springback(shop), bare)
    )
    figure = bending_figure()
    update_bending(figure, scene, "")
    drawn = {trace.name: trace for trace in figure.data}
    assert drawn["table"].visible is False
    assert len(drawn["handle"].x) == 0
    assert len(drawn["frame"].x) > 0


def test_a_bender_that_turns_right_is_drawn_the_other_way_round(shop):
    right = BendingPanel(replace(shop, bender=replace(shop.bender, turns="right")))
    assert right.figure.layout.yaxis.range[0] < -400.0
    assert np.mean(traces(right)["die from above"].y) < 0.0


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


def test_a_book_is_drawn_once_for_each_turn():
    turned = book_figure({"one": np.eye(3), "other": np.diag([1.0, -1.0, -1.0])})
    assert len(turned.data) == 6
    assert float(np.max(turned.data[0].z)) == pytest.approx(0.35)


def test_a_plan_with_either_end_in_the_hook_is_taken(panel):
    for hook in panel.plan.hooks:
        hook.value = RIGHT
    assert panel.state.holds == tuple(Hold(hold.number, RIGHT) for hold in USUAL_HOLDS)
    assert FAULT not in panel.message.value


def test_every_flat_left_to_read_is_told_with_its_reading_and_what_a_degree_does(panel):
    panel.place.value = 2 * PLACES_A_BEND
    names = [name for name, _, _ in panel.readout.flats]
    assert names == ["clamp flat", "left grip to left riser"]
    for name, flat, _ in panel.readout.flats:
        assert name in panel.step.value
        assert f"{abs(flat.reading_deg):.1f}" in panel.step.value
    panel.place.value = 0
    assert panel.readout.flats == ()


def test_beside_each_order_stands_why_in_short(panel):
    labels = [label.replace("\u00a0", " ") for label, _ in panel.plan.orders.options[1:]]
    for label, order in zip(labels, panel.readout.orders, strict=True):
        assert label.startswith("yes") == order.fits
        assert ("spare" in label) == order.fits
    panel.ordered.rise.value = 72.0
    usual = panel.plan.orders.options[panel.plan.orders.value + 1][0].replace("\u00a0", " ")
    assert "3rd: hook -4 mm" in usual
