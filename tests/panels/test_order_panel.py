"""The order panel, without a browser: what every control does, at both ends and with a refused value."""

import json
import re
import shutil
from dataclasses import replace
from functools import cache, partial
from io import BytesIO
from pathlib import Path

import ipywidgets as widgets
import numpy as np
import pytest
from pypdf import PdfReader

from barmath import Bender, clamp_reading_deg, recipe_from_order, shape_from_recipe
from barmath.bending.holds import BENDS
from barmath.bending.plans import PLANS, USUAL
from barmath.bending.sequences import bend_sequence
from barmath.bending.stops import HABIT_DEG
from barmath.lengths import length_text
from barmath.panels import order_state
from barmath.panels.order import OrderPanel, order_panel
from barmath.panels.order_state import ONE, ONE_OR_TWO, OrderState, readout_from_state, recipe_html
from barmath.panels.shell import FAULT
from barmath.panels.ways_list import FEW, NO, WATCH, WAYS_HEADS, YES, way_rows
from barmath.refusal import BendError
from barmath.shop.order_seven import BEND_DEG, DIE, ORDER
from barmath.shop.setup import setup_from_tube
from barmath.shop.shop_file import shop_from_file
from barmath.shop.tooling import springback_from_tube
from barmath.space.centerline import bends_from_recipe

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"


@pytest.fixture(scope="module")
def shop():
    return shop_from_file(DEMO)


@pytest.fixture
def panel():
    return OrderPanel(DEMO)


def traces(panel):
    return {trace.name: trace for trace in panel.figure.data}


def things(panel):
    return panel.view.picture.things


def test_the_first_bar_shown_is_the_best_way_and_measures_what_was_ordered(panel):
    bar = panel.readout.bar
    assert panel.readout.row == 0
    assert shape_from_recipe(bar.recipe).rise_mm == pytest.approx(ORDER.rise_mm, abs=1e-9)
    assert bar.shape.backsweep_deg == pytest.approx(ORDER.backsweep_deg, abs=1e-9)
    assert "Can be made" in panel.message.value


def test_recipe_is_that_of_the_closed_form_on_the_finished_radius(shop):
    readout = readout_from_state(shop, OrderState(die=DIE.name, bend_deg=BEND_DEG))
    bar = readout.bar
    radius = springback_from_tube(bar.tube, bar.die).finished_radius_mm
    expected = recipe_from_order(ORDER, radius, BEND_DEG)
    for field in ("straight_mm", "grip_mm", "roll_deg", "radius_mm", "inner_bend_deg"):
        assert getattr(bar.recipe, field) == pytest.approx(getattr(expected, field), rel=1e-12)


@pytest.mark.parametrize("upsweep_deg", [0.0, 4.0, 9.0])
def test_the_rise_that_was_ordered_is_shown_as_the_rise_and_the_roll_with_its_direction(shop, upsweep_deg):
    readout = readout_from_state(shop, OrderState(upsweep="upsweep as ordered", upsweep_deg=upsweep_deg))
    roll = readout.bar.recipe.stem_roll_deg
    shown = re.sub("<[^>]+>", "|", recipe_html(readout, "mm").replace("<wbr>", ""))
    assert re.search(rf"Rise, as ordered\|+{ORDER.rise_mm:.1f} mm", shown)
    way = "rearward" if roll > 0.0 else "forward"
    assert re.search(rf"Stem roll\|+{abs(roll):.1f} deg, tops of the risers {way}", shown)


@pytest.mark.parametrize("name", ["rise", "backsweep", "width", "clamp_flat", "controls", "upsweep"])
def test_a_slider_at_either_end_gives_a_bar_or_a_reason(panel, name):
    panel.ordered.upsweep_kind.value = "upsweep as ordered" if name == "upsweep" else "risers upright"
    row = getattr(panel.ordered, name)
    for value in (row.low, row.high):
        row.slider.value = value
        assert getattr(panel.state, f"{name}_{'mm' if row.length else 'deg'}") == pytest.approx(value)
        said = panel.message.value
        assert ("Can be made" in said) == (panel.readout.bar is not None)
        assert ("Cannot be made" in said) == (panel.readout.bar is None)
        assert FAULT not in said
        assert things(panel)["tube"].visible == (panel.readout.bar is not None)


def test_moving_the_rise_moves_the_bar_and_the_marks(panel):
    before = things(panel)["marks"].vertices.copy(), panel.recipe.value
    panel.ordered.rise.slider.value = 84
    assert not np.array_equal(before[0], things(panel)["marks"].vertices)
    assert panel.recipe.value != before[1]
    assert "rise 84.0 mm" in things(panel)["rise"].text
    assert "rise 84.0 mm" in panel.view.care.says
    assert "rise 84.0 mm" in traces(panel)["front dimensions"].text


@pytest.mark.parametrize(
    ("stops", "plan", "reading"),
    [
        (ONE, USUAL, "Clamp reading, outer bends"),
        (ONE_OR_TWO, USUAL, "Clamp reading, outer bends"),
        (ONE_OR_TWO, "outer bends first, risers in the hook", "Angle finder, bend by bend"),
    ],
)
def test_the_numbers_to_set_are_those_of_the_steps(panel, stops, plan, reading):
    panel.show(replace(panel.state, stops=stops, plan=plan))
    bar = panel.readout.bar
    for step in bar.steps:
        assert f"{step.bend.capitalize()} marks: <strong>{step.mark_mm:.1f} mm<" in panel.numbers.value
        assert f": <strong>{step.stop_deg:.1f} deg<" in panel.numbers.value
        if step.reading_deg is not None and (step.bend == "outer" or reading.startswith("Angle finder")):
            assert f"{abs(step.reading_deg):.1f}" in panel.numbers.value.partition(reading)[2]
    panel.unit.value = "in"
    assert " mm" not in panel.numbers.value
    panel.ordered.rise.value = 10.0
    assert panel.readout.bar is None
    assert panel.numbers.value == ""


def test_a_key_sends_few_messages_and_the_picture_in_space_first(panel, monkeypatch):
    panel.form.parts["rise_mm"].value += 1.0  # the ghost comes now
    sent = []

    def note(widget, message, buffers=None):
        corners = sum(memoryview(buffer).nbytes for buffer in buffers or ())
        sent.append((widget, len(json.dumps(message, default=str)) + corners))

    monkeypatch.setattr(widgets.Widget, "_send", note)
    panel.form.parts["rise_mm"].value += 1.0
    senders = [id(widget) for widget, _ in sent]
    assert len(senders) == len(set(senders)) <= 15
    assert sum(size for _, size in sent) < 50_000
    in_space = [senders.index(id(things(panel)[name])) for name in ("tube", "marks", "rise")]
    rest = [senders.index(id(part)) for part in (panel.view.picture.plot, panel.figure, panel.recipe, panel.steps)]
    assert in_space + rest == sorted(in_space + rest)
    panel.view.together._handle_custom_msg({"listens": True}, [])  # a page says so
    sent.clear()
    panel.form.parts["rise_mm"].value += 1.0
    senders = [widget for widget, _ in sent]
    assert len(senders) <= 10
    assert senders.index(panel.view.together) < senders.index(panel.figure)
    assert panel.view.picture.plot not in senders


@pytest.mark.parametrize(
    ("typed", "expected"), [("80", 80.0), ("80,5", 80.5), ("3 1/8 in", 79.375), ("81.25 mm", 81.25)]
)
def test_a_length_may_be_typed_as_a_shop_writes_it(panel, typed, expected):
    panel.ordered.rise.box.value = typed
    assert panel.state.rise_mm == pytest.approx(expected)
    assert panel.ordered.rise.slider.value == round(expected), (
        "a page would move a slider between its steps, and the value too"
    )


@pytest.mark.parametrize("typed", ["eighty", "", "12 mm in", "1e9", "-4", "<script>alert(1)</script>", "nan"])
def test_a_refused_entry_keeps_the_bar_and_says_why(panel, typed):
    before = panel.readout.bar.recipe
    panel.ordered.rise.box.value = typed
    assert panel.readout.bar.recipe == before
    assert panel.ordered.rise.box.value == typed, "what was typed stays, to be mended"
    assert "rise must be" in panel.message.value
    assert "<script" not in panel.message.value
    panel.ordered.rise.box.value = "80"
    assert "rise must be" not in panel.message.value


def test_a_page_that_answers_with_a_rounded_step_does_not_change_what_was_typed(panel):
    panel.ordered.rise.box.value = "3 1/8 in"
    panel.ordered.rise.slider.value = 78.99999999999999
    assert panel.state.rise_mm == pytest.approx(79.375)


def test_a_refused_entry_is_forgotten_where_the_box_is_shown_in_another_unit(panel):
    panel.ordered.rise.box.value = "eighty"
    panel.unit.value = "in"
    assert panel.ordered.rise.box.value == "3 17/32 in"
    assert "rise must be" not in panel.message.value


def test_a_page_opened_later_gets_the_figure_of_now(panel):
    panel.ordered.rise.slider.value = 84
    whole = panel.figure.get_state()["_whole"]
    names = [trace["name"] for trace in whole["data"]]
    assert "rise 84.0 mm" in whole["data"][names.index("front dimensions")]["text"]
    assert whole["layout"]["yaxis3"]["ticktext"] == ["die 102", "die 127", "die 152"]


def test_an_order_no_die_can_make_shows_no_bar_but_the_window(panel):
    panel.ordered.rise.slider.value = 200
    assert panel.readout.bar is None
    assert not any(thing.visible for thing in things(panel).values())
    assert "cannot be made" in panel.view.care.says
    panel.ordered.rise.slider.value = 90
    assert all(things(panel)[name].visible for name in ("tube", "marks", "stem"))
    panel.ordered.rise.slider.value = 200
    assert "upsweep must be at most 8.0 deg" in panel.message.value
    panel.stops.value = ONE
    assert "the rise must be from" in panel.message.value
    assert len(traces(panel)["front straights"].x) == 0
    assert traces(panel)["rise ordered"].x[0] == 200


def test_more_sweep_than_any_bend_gives_is_refused_with_the_least_bend(panel):
    panel.stop.value, panel.ordered.backsweep.slider.value = 10.0, 45
    panel.outer_stop.value = 20.0
    assert "outer bend must be at least" in panel.message.value
    panel.outer_stop.value = 10.0
    assert "bend must be at least" in panel.message.value
    assert "outer bend must" not in panel.message.value


def test_a_picked_way_becomes_the_bar_shown_and_remains_while_the_order_changes(panel):
    panel.ways.value = 1
    ways, row = panel.readout.ways, panel.readout.row
    picked = panel.die.value, panel.stop.value, panel.outer_stop.value
    assert (ways.die(row).name, ways.inner_bend_deg[row], ways.outer_bend_deg[row]) == picked
    panel.ordered.rise.slider.value = 91
    bar = panel.readout.bar
    assert (bar.die.name, bar.recipe.inner_bend_deg, bar.recipe.outer_bend_deg) == picked
    panel.die.value, panel.stop.value, panel.outer_stop.value = "", 0.0, 0.0
    assert panel.readout.row == 0


def test_every_die_and_every_stop_can_be_chosen(panel):
    for _, die in panel.die.options:
        panel.die.value = die
        assert FAULT not in panel.message.value
    panel.die.value = ""
    for _, stop in panel.stop.options:
        panel.stop.value = stop
        assert FAULT not in panel.message.value


def test_level_grips_and_ordered_upsweep_measure_so(panel):
    panel.ordered.upsweep_kind.value = "grips level"
    assert panel.readout.bar.shape.upsweep_deg == pytest.approx(0, abs=1e-9)
    panel.ordered.upsweep_kind.value = "upsweep as ordered"
    panel.ordered.upsweep.slider.value = 4
    assert panel.readout.bar.shape.upsweep_deg == pytest.approx(4, abs=1e-9)


def test_the_upsweep_row_works_only_where_an_upsweep_is_ordered(panel):
    assert panel.ordered.upsweep.slider.disabled
    panel.ordered.upsweep_kind.value = "upsweep as ordered"
    assert not panel.ordered.upsweep.slider.disabled


def test_inches_are_shown_everywhere_and_the_order_remains(panel):
    panel.unit.value = "in"
    assert panel.state.rise_mm == ORDER.rise_mm
    assert panel.ordered.rise.box.value == "3 17/32 in"
    assert " mm" not in panel.recipe.value.split("In the stem")[0]
    panel.unit.value = "mm"
    assert panel.ordered.rise.box.value == "90.0 mm"


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_rows_of_ways_say_which_fit_and_why_not(shop, unit):
    ways = readout_from_state(shop, OrderState()).ways
    rows = way_rows(ways, range(len(ways)), unit)
    assert [row.key for row in rows] == list(range(len(ways)))
    assert {row.cells[3] for row in rows} == {YES, WATCH, NO}
    for key, row in enumerate(rows):
        assert len(row.cells) == len(row.sizes) == len(WAYS_HEADS)
        assert row.cells[0] == ways.die(key).name
        assert row.bad == (row.cells[3] == NO) == (not ways.feasible[key])
        if not row.bad:
            assert row.sizes[1:3] == (ways.inner_bend_deg[key], ways.outer_bend_deg[key])
            assert row.sizes[4:] == (ways.straight_left_mm[key], ways.grip_left_mm[key])
            assert row.cells[4] == length_text(ways.straight_left_mm[key], unit).removesuffix(f" {unit}")


def test_the_list_shows_the_best_few_of_each_die_and_the_rest_on_request(panel):
    ways, rows = panel.readout.ways, panel.ways.offered
    assert len(ways) == 675
    assert len(rows) <= 10
    for place in range(len(ways.dies)):
        of_die = np.flatnonzero(ways.die_index == place)
        assert set(of_die[:FEW]) <= set(rows)
    panel.every_way.value = True
    every = panel.ways.offered
    made = ways.can_be_made(every)
    assert sorted(every) == list(range(675))
    assert list(made) == sorted(made, reverse=True)  # what the bender cannot make comes after what it can
    assert every[: made.sum()] == sorted(every[: made.sum()])
    panel.every_way.value = False
    assert panel.ways.offered == rows


def test_where_the_finder_is_not_set_to_the_sweep_message_and_steps_say_so(panel):
    bar = panel.readout.bar
    reading = clamp_reading_deg(bar.recipe)
    assert abs(reading - bar.order.backsweep_deg) > HABIT_DEG
    said = f"to {reading:.1f} deg, not to the backsweep of {bar.order.backsweep_deg:.1f} deg"
    assert panel.message.value.count(said) == 1
    assert panel.steps.value.count(said) == 2  # at each outer bend


def test_a_way_with_two_stops_names_both_and_one_stop_can_be_asked_for(panel):
    recipe, stops = panel.readout.bar.recipe, [step.stop_deg for step in panel.readout.bar.steps]
    assert recipe.inner_bend_deg != recipe.outer_bend_deg
    said = panel.message.value
    assert f"inner bends of {recipe.inner_bend_deg:.1f} deg, outer bends of {recipe.outer_bend_deg:.1f} deg" in said
    for bend, stop in (("inner", stops[0]), ("outer", stops[-1])):
        assert re.search(rf"Stop, {bend} bends.*{stop:.1f} deg", re.sub("<[^>]+>", "", panel.recipe.value))
    panel.stops.value = ONE
    assert "not to the backsweep" not in panel.message.value + panel.steps.value
    assert (panel.readout.bar.die.name, panel.readout.bar.recipe.inner_bend_deg) == (DIE.name, BEND_DEG)
    assert "Stop, all four bends" in panel.recipe.value


def test_a_broken_shop_file_says_the_line_and_keeps_the_shop(tmp_path):
    mine = tmp_path / "shop.toml"
    shutil.copy(DEMO, mine)
    panel = OrderPanel(mine)
    good = mine.read_text()
    mine.write_text(good.replace('outside_diameter = "7/8 in"', 'outside_diameter = "7/8 ells"', 1))
    panel.reread.click()
    line = good[: good.index("outside_diameter")].count("\n") + 1
    assert f"shop.toml, line {line}" in panel.message.value
    assert panel.readout.bar is not None, "what was read before stays in use"
    mine.write_text(good)
    panel.reread.click()
    assert "line" not in panel.message.value


def test_a_panel_opens_on_a_broken_or_missing_file_and_recovers(tmp_path):
    mine = tmp_path / "shop.toml"
    panel = OrderPanel(mine)
    assert "must be one that can be read" in panel.message.value
    assert panel.readout.bar is None
    panel.ordered.rise.slider.value = 90
    shutil.copy(DEMO, mine)
    panel.reread.click()
    assert panel.readout.bar is not None
    assert panel.state.rise_mm == 90


def test_a_fault_is_shown_and_raised(panel, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError("a fault of ours <b>")

    monkeypatch.setattr("barmath.panels.order.way_from_state", broken)
    with pytest.raises(ZeroDivisionError):
        panel.ordered.rise.slider.value = 95
    assert FAULT in panel.message.value
    assert "<b>" not in panel.message.value.split("fault of ours")[1]


def test_a_bar_that_only_its_steps_refuse_is_not_shown(panel, monkeypatch):
    def refuses(*_):
        raise BendError("use a smaller angle finder: the flat must hold it, got a flat that is too short")

    monkeypatch.setattr("barmath.panels.order_state.bench_steps", refuses)
    panel.ordered.rise.slider.value = 95
    assert "smaller angle finder" in panel.message.value
    assert panel.view.picture.bar is None
    assert all(trace.x is None or not len(trace.x) for trace in panel.figure.data if trace.name.startswith("front"))


def test_the_picture_in_space_is_sent_before_the_steps_are_worked_out(panel, monkeypatch):
    done, steps = [], order_state.bench_steps
    monkeypatch.setattr(type(panel.view.picture.plot), "render", lambda plot: done.append("picture"))
    monkeypatch.setattr(order_state, "bench_steps", lambda *given: (done.append("steps"), steps(*given))[1])
    panel.ordered.rise.slider.value = 95
    assert done == ["picture", "steps"]


def test_hostile_names_in_the_shop_file_are_shown_harmless(tmp_path):
    mine = tmp_path / "shop.toml"
    mine.write_text(DEMO.read_text().replace('name = "die 102"', 'name = "<img src=x>"'))
    panel = OrderPanel(mine)
    panel.die.value = "<img src=x>"
    for shown in (panel.message.value, panel.recipe.value, panel.steps.value):
        assert "<img" not in shown


def test_running_the_cell_again_shows_the_same_panel():
    assert order_panel(DEMO) is order_panel(str(DEMO))


def test_traces_and_things_are_changed_in_place_and_the_camera_is_left_alone(panel):
    picture = panel.view.picture
    before = [*map(id, panel.figure.data), *map(id, things(panel).values())]
    camera, corners = list(picture.plot.camera), things(panel)["tube"].vertices.shape
    panel.ordered.rise.slider.value = 70
    assert [*map(id, panel.figure.data), *map(id, things(panel).values())] == before
    assert list(picture.plot.camera) == camera
    assert things(panel)["tube"].vertices.shape == corners
    assert panel.figure.layout.uirevision == "bar"


def test_the_bench_sheet_is_written_and_never_overwritten_without_asking(tmp_path):
    panel = OrderPanel(DEMO, sheets_folder=tmp_path / "sheets")
    panel.sheet.write.click()
    written = tmp_path / "sheets" / "order 7.pdf"
    first = written.read_bytes()
    assert first.startswith(b"%PDF")
    assert "Written to sheets/order 7.pdf" in panel.sheet.message.value
    assert bytes(panel.sheet.preview.value).startswith(b"\x89PNG")
    panel.ordered.rise.slider.value = 80
    panel.sheet.write.click()
    assert written.read_bytes() == first
    assert "Not written" in panel.sheet.message.value
    assert panel.sheet.write.layout.display is None
    assert panel.sheet.replace.layout.display == ""
    panel.sheet.replace.click()
    assert written.read_bytes() != first
    assert panel.sheet.replace.layout.display == "none"


def test_no_sheet_is_written_without_a_bar(tmp_path):
    panel = OrderPanel(DEMO, sheets_folder=tmp_path / "sheets")
    panel.ordered.rise.slider.value = 200
    panel.sheet.write.click()
    assert "a sheet must have a bar on it" in panel.sheet.message.value
    assert not (tmp_path / "sheets").exists()


@pytest.mark.parametrize("name", ["../../escape", "<b>$x_1$</b>", "a" * 300, "   ", "CON"])
def test_a_hostile_name_remains_in_the_folder_and_is_shown_harmless(tmp_path, name):
    panel = OrderPanel(DEMO, sheets_folder=tmp_path / "sheets")
    panel.sheet.name.value = name
    panel.sheet.write.click()
    (written,) = tmp_path.rglob("*.pdf")
    assert written.parent == tmp_path / "sheets"
    assert "<b>$" not in panel.sheet.message.value


def test_refusals_and_warnings_are_said_in_inches_too(panel):
    panel.unit.value = "in"
    panel.ordered.rise.slider.value = 200
    panel.stops.value = ONE
    said = panel.message.value
    assert " mm" not in said
    assert "the rise must be from" in said
    assert " in to " in said


GRIPS = "inner bends first, then grips in the hook"
LOW = replace(OrderState(), stops=ONE, rise_mm=72.0, bend_deg=BEND_DEG, die=DIE.name)


def test_a_riser_too_short_for_the_hook_is_made_with_the_grips_in_the_hook(shop):
    usual, grips = (readout_from_state(shop, replace(LOW, plan=plan)) for plan in (USUAL, GRIPS))
    assert usual.bar is None
    assert "what the tooling can hold" in usual.refusal
    assert grips.bar is not None
    assert [step.hold.split(" in the hook")[0] for step in grips.bar.steps] == [
        "right riser", "left riser", "right grip", "left grip",
    ]  # fmt: skip
    assert grips.bar.die == shop.die(DIE.name)
    assert not any("this bender cannot" in warning for warning in grips.bar.warnings)


def test_a_sequence_of_bends_that_the_bender_cannot_do_is_refused_with_its_reason(shop):
    shop = replace(shop, bender=replace(shop.bender, follower_mm=65.0))
    readout = readout_from_state(shop, OrderState())
    assert readout.bar is None
    assert (
        "this bender cannot make it in this sequence of bends: at step 2, left inner bend, the follower finds 60 mm"
    ) in readout.refusal


@pytest.mark.parametrize("plan", PLANS)
def test_the_sheet_and_the_steps_follow_the_sequence_of_bends(plan):
    panel = OrderPanel(DEMO, replace(OrderState(), plan=plan))
    assert [(step.side, step.bend) for step in panel.readout.bar.steps] == [BENDS[hold.number] for hold in PLANS[plan]]
    pdf, _ = panel.bench_sheet("order 7", "A4")
    words = PdfReader(BytesIO(pdf)).pages[0].extract_text()
    for step in panel.readout.bar.steps:
        assert step.title in words
        assert step.hold in words


def test_axes_are_said_in_the_unit_that_is_shown():
    panel = OrderPanel(DEMO)
    rise = panel.figure.layout.xaxis3
    assert rise.title.text == "rise, clamped as ordered, mm"
    panel.unit.value = "in"
    assert rise.title.text == "rise, clamped as ordered, in"
    assert list(rise.ticktext) == ["0", "1", "2", "3", "4", "5", "6", "7"]
    assert list(rise.tickvals) == pytest.approx([25.4 * inches for inches in range(8)])
    assert [axis.title.text for axis in (panel.figure.layout.yaxis, panel.figure.layout.yaxis2)] == [
        "up, in",
        "back, in",
    ]
    panel.unit.value = "mm"
    assert rise.title.text == "rise, clamped as ordered, mm"
    assert rise.tickvals is None


PLAIN = replace(Bender("left"), finder_foot_mm=45.0)


@pytest.mark.parametrize("clamp_flat_mm", [50.0, 70.0])
@pytest.mark.parametrize("plan", PLANS)
def test_on_a_bender_without_a_stand_no_die_is_in_its_own_way(shop, clamp_flat_mm, plan):
    # with the groove left out every larger die met the flat that lies in it
    bare = replace(shop, bender=PLAIN)
    for die in [one.name for one in shop.dies]:
        readout = readout_from_state(
            bare, OrderState(die=die, plan=plan, clamp_flat_mm=clamp_flat_mm, rise_mm=95.0, stops=ONE)
        )
        assert "meets the die" not in readout.refusal + " ".join(readout.bar.warnings if readout.bar else ())


@pytest.mark.parametrize(
    ("rise_mm", "follower_mm", "low"),
    [(55.0, None, True), (55.0, 45.0, True), (55.0, 90.0, False), (78.0, None, False), (78.0, 90.0, True)],
)
def test_the_panel_never_says_can_and_cannot_together_and_its_remedy_works(shop, follower_mm, rise_mm, low):
    bender = replace(shop.bender, follower_mm=follower_mm, **({"table_below_mm": 70.0} if low else {}))
    read = cache(partial(readout_from_state, replace(shop, bender=bender)))
    for plan in PLANS:
        state = OrderState(rise_mm=rise_mm, plan=plan)
        readout = read(state)
        if readout.bar is not None:
            bar = readout.bar
            setup = setup_from_tube(bar.tube, bar.die, bender)
            order = bend_sequence(bends_from_recipe(bar.recipe), PLANS[plan], setup)
            assert order.fits
            assert not any("cannot" in words for words in readout.bar.warnings)
            continue
        assert readout.good == ""
        assert not readout.ways.feasible[0]
        remedy = re.search(
            r'Choose the sequence of bends "([^"]+)"\. Then (die \d+) at ([\d.]+) deg(?: and ([\d.]+) deg)? makes',
            readout.refusal,
        )
        if remedy:
            name, die, inner, outer = remedy.groups()
            bends = {"bend_deg": float(inner), "outer_bend_deg": float(outer or inner)}
            mended = read(replace(state, plan=name, die=die, **bends))
            assert mended.refusal == ""
            assert mended.bar is not None
        else:
            assert all(read(replace(state, plan=other)).bar is None for other in PLANS)


@pytest.mark.parametrize(
    ("rise_mm", "backsweep_deg", "width_mm", "stops"),
    [
        (200, 12, 700, ONE_OR_TWO), (110, 12, 700, ONE), (190, 14, 800, ONE_OR_TWO), (5, 14, 800, ONE),
        (60, 16.5, 690, ONE_OR_TWO), (35, 20, 800, ONE), (120, 20, 780, ONE_OR_TWO),
    ],
)  # fmt: skip
def test_what_a_refusal_says_to_order_or_to_choose_can_be_made(shop, rise_mm, backsweep_deg, width_mm, stops):
    state = OrderState(rise_mm=rise_mm, backsweep_deg=backsweep_deg, width_mm=width_mm, stops=stops)
    said = readout_from_state(shop, state).refusal
    rise = re.match(r"Order a rise of ([\d.]+) mm, which can be made\. None of", said)
    choice = re.match(r'Choose the (sequence of bends|stop settings) "([^"]+)"\. Then die', said)
    change = {"rise_mm": float(rise[1])} if rise else {"stops": ONE_OR_TWO}
    if choice and choice[1] == "sequence of bends":
        change = {"plan": choice[2]}
    assert bool(rise) != bool(choice)
    assert readout_from_state(shop, replace(state, **change)).refusal == ""


def test_the_rise_to_order_is_the_nearest_one_in_whole_millimetres(shop):
    state = OrderState(rise_mm=110, backsweep_deg=12, width_mm=700)
    said = readout_from_state(shop, state).refusal
    nearest = next(
        rise for rise in range(110, 5, -1) if not readout_from_state(shop, replace(state, rise_mm=rise)).refusal
    )
    assert said.startswith(f"Order a rise of {nearest}.0 mm")


def test_where_no_rise_is_of_help_the_refusal_asks_for_a_change_of_the_rest(shop):
    said = readout_from_state(shop, OrderState(width_mm=500)).refusal
    assert said.startswith("Order another backsweep, width or room for controls. None of this shop's dies")


def test_a_way_that_this_bender_cannot_make_is_not_the_best_and_says_so(shop):
    # a long follower needs the clamp flat in one order; the list says so beside the way
    tight = replace(shop, bender=replace(shop.bender, follower_mm=ORDER.clamp_flat_mm + 5.0))
    ways = readout_from_state(tight, OrderState()).ways
    assert not ways.feasible.any()
    assert any("not in this sequence" in row.cells for row in way_rows(ways, range(9), "mm"))
    failing = next(row for row in range(len(ways)) if ways.bender_fails[row])
    assert "the follower finds 60 mm of straight ahead of the bend and needs 65 mm" in ways.reason(failing)
