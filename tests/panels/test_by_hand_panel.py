"""The panel in which a bar is bent by your own hands, without a browser: every mistake by its controls, and undone."""

from pathlib import Path

import numpy as np
import pytest

from barmath.bending.holds import LEFT, RIGHT
from barmath.bending.mistakes import FLIPPED, NO_SPRINGBACK, SIGN, SWAPPED, WRONG_MARK, outcome_of_mistake
from barmath.bending.plans import PLANS, USUAL
from barmath.panels.by_hand import HandPanel, hand_panel
from barmath.panels.by_hand_state import NOTHING_READ, PULLS, HandState
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.panels.shell import FAULT
from barmath.pictures.eyes import in_the_picture
from barmath.pictures.palette import BAD, BEND
from barmath.shop.shop_file import shop_from_file
from barmath.space.two_sides import two_sides_from_bends

NARROWEST = 1.25
"""How many times as wide as high a picture is at least: a narrower one opens its eye wider."""

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"


@pytest.fixture(scope="module")
def shop():
    return shop_from_file(DEMO)


@pytest.fixture
def panel(shop):
    return HandPanel(shop)


def bend(panel, changed=lambda panel, step: None):
    for step in range(len(panel.state.pulls), PULLS):
        panel.by_plan.click()
        changed(panel, step)
        panel.pull.click()
        assert len(panel.state.pulls) == step + 1, panel.message.value
        assert FAULT not in panel.message.value


def flipped(panel, step):
    if step == 1:
        panel.leads.value = RIGHT if panel.leads.value == LEFT else LEFT


def sign(panel, step):
    if step == 3:
        panel.reading.value = -panel.reading.value


def wrong_mark(panel, step):
    if step == 2:
        far = next(place for name, place in panel.readout.marks if name.startswith("right outer bend, far end"))
        panel.named.value = far


def no_springback(panel, step):
    panel.stop.value = panel.state.bar.bend_deg


def test_all_steps_right_come_to_the_bar_ordered_within_what_the_boxes_show(panel):
    bend(panel)
    for field in ("rise_mm", "backsweep_deg", "upsweep_deg", "half_width_mm"):
        got, wanted = (getattr(sides, field) for sides in (panel.readout.sides, panel.readout.ordered))
        np.testing.assert_allclose(got, wanted, atol=0.15)  # marks, stops and readings are set to a tenth
    assert panel.readout.habits == ()
    assert "everything was set as the bar needs" in panel.said.value


@pytest.mark.parametrize(
    ("mistake", "step", "changed", "habit"),
    [
        (FLIPPED, 1, flipped, "the tube was flipped"),
        (SIGN, 3, sign, "the sign of the reading was wrong"),
        (WRONG_MARK, 2, wrong_mark, "the wrong end of the arc was at the die"),
        (NO_SPRINGBACK, 0, no_springback, "springback was forgotten"),
    ],
    ids=lambda value: getattr(value, "key", ""),
)
def test_each_mistake_is_made_by_hand_named_and_undone_step_by_step(panel, mistake, step, changed, habit):
    bend(panel, changed)
    meant = outcome_of_mistake(mistake, step, panel.readout.wanted, PLANS[USUAL], panel.readout.setup)
    for field in ("rise_mm", "backsweep_deg", "upsweep_deg"):
        np.testing.assert_allclose(getattr(panel.readout.sides, field), getattr(meant.sides, field), atol=0.3)
    assert habit in panel.said.value
    for left in (3, 2, 1, 0):
        panel.undo.click()
        assert len(panel.state.pulls) == left
        assert FAULT not in panel.message.value
    assert panel.undo.disabled
    bend(panel)
    assert panel.readout.habits == ()


def test_the_s_shaped_bar_has_one_riser_up_and_one_down(panel):
    bend(panel, flipped)
    assert "one riser stands up and the other hangs down" in panel.said.value


@pytest.mark.parametrize("changed", [lambda panel, step: None, flipped, sign, wrong_mark, no_springback])
@pytest.mark.parametrize("bar", [OrderedBar(), OrderedBar(width_mm=950.0)])
def test_every_part_of_the_finished_bar_and_of_its_ghost_is_in_the_picture(shop, bar, changed):
    panel = HandPanel(shop, HandState(bar=bar))
    bend(panel, changed)
    panel.bars.value = True
    things = panel.view.picture.things
    letters = np.array([things[letter].position for letter in "LR"])
    points = np.concatenate([letters, *(things[name].vertices.reshape(-1, 3) for name in ("bar", "ghost"))])
    seen = np.abs(in_the_picture(points, panel.view.picture.plot.camera))
    assert (seen.max(axis=0) < (NARROWEST, 1.0)).all()


def test_a_bar_that_cannot_be_made_is_refused_by_every_button(shop):
    panel = HandPanel(shop, HandState(bar=OrderedBar(backsweep_deg=39.0)))
    refusal = panel.message.value
    assert "Cannot be done" in refusal
    for pressed in (panel.by_plan, panel.pull):
        pressed.click()
        assert panel.message.value == refusal


def test_swapped_stops_are_made_by_hand_where_the_two_bends_differ(shop):
    panel = HandPanel(shop, HandState(bar=OrderedBar(outer_bend_deg=35.0)))
    stops = {}

    def swapped(panel, step):
        stops[step] = panel.stop.value
        panel.stop.value = 36.2 if step < 2 else 31.0

    bend(panel, swapped)
    assert abs(stops[0] - 31.0) < 0.1
    assert abs(stops[2] - 36.2) < 0.1
    meant = outcome_of_mistake(SWAPPED, 0, panel.readout.wanted, PLANS[USUAL], panel.readout.setup)
    np.testing.assert_allclose(panel.readout.sides.rise_mm, meant.sides.rise_mm, atol=0.4)
    assert panel.said.value.count("inner and outer stop were swapped") == 4


def test_the_tube_moves_with_each_control(panel):
    bend_first = panel.by_plan, panel.pull
    for pressed in bend_first:
        pressed.click()
    panel.by_plan.click()

    def corners():
        tube = panel.view.picture.things["tube"]
        shape, place = (next(iter(value.values())) for value in (tube.vertices, tube.model_matrix))
        return shape @ place[:3, :3].T + place[:3, 3]

    for control, value in ((panel.mark, 200.0), (panel.reading, 12.0), (panel.leads, RIGHT), (panel.hooked, RIGHT)):
        before = corners()
        assert control.value != value
        control.value = value
        assert np.abs(corners() - before).max() > 5.0, control
        assert FAULT not in panel.message.value


def test_what_cannot_be_pulled_is_red_and_is_not_pulled(shop):
    panel = HandPanel(shop, HandState(bar=OrderedBar(rise_mm=72.0)))
    for _ in range(2):
        panel.by_plan.click()
        panel.pull.click()
    panel.by_plan.click()
    hook = panel.view.picture.things["hook"]
    assert int(BAD[1:], 16) in {hook.color} if isinstance(hook.color, int) else set(hook.color.values())
    assert "the hook finds 61 mm of straight and needs 65 mm" in panel.message.value
    panel.pull.click()
    assert len(panel.state.pulls) == 2
    remedy = "choose another end for the hook, or another bend first"
    assert f"{remedy}: the hook finds 61 mm of straight and needs 65 mm" in panel.message.value


def test_a_reading_that_no_roll_shows_is_said(panel):
    panel.by_plan.click()
    panel.pull.click()
    panel.by_plan.click()
    panel.reading.value = 45.0
    assert "its angle to the tube in the hook" in panel.message.value
    panel.pull.click()
    assert len(panel.state.pulls) == 1


def test_the_finished_bar_is_beside_the_ghost_of_the_one_ordered(panel):
    assert panel.bars.disabled
    bend(panel, no_springback)
    panel.bars.value = True
    things = panel.view.picture.things
    shown = {name for name, thing in things.items() if thing.visible}
    assert shown == {"bar", "ghost", "L", "R"}
    assert things["bar"].color == int(BEND[1:], 16)
    assert things["ghost"].opacity < 0.6
    apart = np.abs(things["bar"].vertices - things["ghost"].vertices).max()
    assert 1.0 < apart < 40.0
    panel.bars.value = False
    assert things["tube"].visible
    assert not things["bar"].visible


def test_sides_of_the_bar_are_those_of_its_own_bends(panel):
    bend(panel, sign)
    from barmath.bending.by_hand import bent_by_hand

    bends = bent_by_hand(panel.state.pulls, panel.readout.length_mm, panel.readout.setup).bends
    np.testing.assert_allclose(two_sides_from_bends(bends, 0.0).rise_mm, panel.readout.sides.rise_mm)


def test_nothing_is_read_on_a_straight_tube_and_any_sequence_may_be_tried(panel):
    assert panel.state.piece == NOTHING_READ
    panel.mark.value, panel.hooked.value = 700.0, LEFT
    panel.pull.click()
    panel.mark.value = 150.0
    panel.pull.click()
    assert len(panel.state.pulls) == 2
    assert FAULT not in panel.message.value


def test_running_the_cell_again_shows_the_same_panel():
    assert hand_panel(DEMO) is hand_panel(DEMO)
