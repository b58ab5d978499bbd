"""The bar that the panels of 05, 07, 08 and 09 are about: any order, on any tube and die of the shop."""

from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from every_panel import PANELS

from barmath import BendError, Order, recipe_from_order, springback_from_tube
from barmath.checking.bench_readings import KINDS, wanted_readings
from barmath.crossbars.crossbar import crossbar
from barmath.panels.bending_state import sheet_from_readout
from barmath.panels.calibration_state import calibration_html
from barmath.panels.order_state import OrderState, readout_from_state
from barmath.panels.ordered_bar import OWN, OrderedBarRows
from barmath.panels.ordered_bar_state import UPSWEEP_WORDS, OrderedBar
from barmath.panels.record_state import RecordState, typed_from_model
from barmath.panels.shell import FAULT
from barmath.planning.ways import LEVEL, ORDERED, UPRIGHT
from barmath.records.calibration import Calibration, calibrate
from barmath.records.lookup import model_setting
from barmath.shop.offsets import stop_from_bend_deg
from barmath.shop.shop_file import shop_from_file

SHOP = shop_from_file(Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml")
OTHER = OrderedBar(62.0, 9.0, 760.0, ORDERED, 4.0, 60.0, 170.0, 27.5, SHOP.tubes[1].name, SHOP.dies[1].name)
ORDER = Order(62.0, 9.0, 760.0, 4.0, 60.0, 170.0)
SPRINGBACK = springback_from_tube(SHOP.tubes[1], SHOP.die_for(SHOP.tubes[1], SHOP.dies[1].name))
RECIPE = recipe_from_order(ORDER, SPRINGBACK.finished_radius_mm, 27.5)
WITH_A_BAR = ("bending", "inspection", "crossbar", "record")
ROWS = ("rise", "backsweep", "width", "upsweep", "clamp_flat", "controls", "bend")


@pytest.fixture
def make(demo_copy, tmp_path):
    return lambda name: PANELS[name](demo_copy / "shop.toml", tmp_path)


def test_an_order_on_any_tube_and_die_is_that_of_the_closed_forms():
    assert OTHER.order() == ORDER
    assert OTHER.recipe(SHOP) == RECIPE
    assert OTHER.springback(SHOP) == SPRINGBACK
    assert OTHER.diameter_mm(SHOP) == SHOP.tubes[1].outside_diameter_mm


def test_the_first_tube_and_die_are_meant_where_none_is_named():
    first = replace(OrderedBar(), tube=SHOP.tubes[0].name, die=SHOP.dies[0].name)
    assert OrderedBar().tools(SHOP) == first.tools(SHOP)
    assert OrderedBar().recipe(SHOP) == first.recipe(SHOP)
    with pytest.raises(BendError, match="die 77"):
        OrderedBar(die="die 77").tools(SHOP)


def test_how_the_upsweep_is_ordered_says_how_the_rise_is_meant():
    upsweeps = {kind: OrderedBar(upsweep=kind, upsweep_deg=4.0).order().upsweep_deg for kind in UPSWEEP_WORDS}
    assert upsweeps == {UPRIGHT: None, LEVEL: 0.0, ORDERED: 4.0}


@pytest.mark.parametrize("kind", UPSWEEP_WORDS)
def test_a_bar_of_the_order_panel_is_the_same_bar_where_it_is_checked(kind):
    asked = {"upsweep": kind, "upsweep_deg": 2.5, "clamp_flat_mm": 54.0, "controls_mm": 140.0, "bend_deg": 30.0}
    made = readout_from_state(SHOP, OrderState(**asked, die=SHOP.dies[0].name)).bar.recipe
    checked = OrderedBar(**asked).recipe(SHOP)
    for field in ("straight_mm", "roll_deg", "grip_mm", "stem_roll_deg", "radius_mm", "clamp_flat_mm"):
        assert getattr(made, field) == pytest.approx(getattr(checked, field), abs=1e-9)


TWO_STOPS = replace(OrderedBar(), outer_bend_deg=27.5)
"""Order 7 with outer bends of 27.5 deg: the demo shop's die 102 makes it with 78 mm of riser."""


def two_stops_recipe():
    tube, die = TWO_STOPS.tools(SHOP)
    return recipe_from_order(TWO_STOPS.order(), springback_from_tube(tube, die).finished_radius_mm, 30.0, 27.5)


def test_outer_bends_are_the_inner_ones_until_they_have_an_angle_of_their_own():
    assert OrderedBar().outer_bend_deg is None
    assert TWO_STOPS.recipe(SHOP) == two_stops_recipe()
    assert replace(TWO_STOPS, outer_bend_deg=30.0).recipe(SHOP) == OrderedBar().recipe(SHOP)
    rows = OrderedBarRows(SHOP, OrderedBar())
    assert rows.outer_bend.number.slider.disabled
    rows.outer_bend.kind.value = OWN
    rows.outer_bend.number.box.value = "27,5"
    assert rows.value.outer_bend_deg == 27.5
    assert not rows.outer_bend.number.slider.disabled
    rows.show(OrderedBar())
    assert rows.value.outer_bend_deg is None
    rows.show(TWO_STOPS)
    assert rows.value.outer_bend_deg == 27.5


def test_a_bar_of_two_stops_is_checked_fitted_bent_and_recorded_as_such(make):
    recipe = two_stops_recipe()
    bent, inspection, fitted, record = (make(name) for name in WITH_A_BAR)
    for panel in (bent, inspection, fitted, record):
        panel.ordered.show(TWO_STOPS)
        assert FAULT not in panel.message.value
    wanted = dict(zip((kind.key for kind in KINDS), map(float, wanted_readings(recipe)), strict=True))
    assert inspection.readout.wanted == pytest.approx(wanted, nan_ok=True)
    expected = crossbar(recipe, float(SHOP.tubes[0].outside_diameter_mm), fitted.readout.bar.branch)
    np.testing.assert_array_equal(fitted.readout.bar.outside_mm, expected.outside_mm)
    assert [step.bend_deg for step in bent.readout.steps] == [30.0, 30.0, 27.5, 27.5]
    record.entry.boxes["name"].value = "order 7"
    record.entry.filled.click()
    record.add.click()
    bar = record.record.bars()[-1]
    assert bar.name == "order 7"
    assert bar.inner_stop_deg - bar.outer_stop_deg == pytest.approx(
        2.5 / (1.0 - TWO_STOPS.springback(SHOP).ratio), abs=0.11
    )


def test_the_record_sets_both_stops_and_keeps_the_finder_apart_from_the_sweep(make):
    tube, die = TWO_STOPS.tools(SHOP)
    spring = springback_from_tube(tube, die)
    stops = [float(stop_from_bend_deg(bend, spring, die)) for bend in (30.0, 27.5)]
    typed = typed_from_model(SHOP, RecordState(bar=TWO_STOPS))
    assert [typed["inner_stop_deg"], typed["outer_stop_deg"]] == [f"{stop:.1f}" for stop in stops]
    panel = make("record")
    panel.ordered.show(TWO_STOPS)
    assert f"inner {stops[0]:.1f}, outer {stops[1]:.1f}" in panel.found.value.replace("<wbr>", "")
    assert "to 15.1 deg, not to the backsweep of 14.0 deg" in panel.found.value
    said = calibration_html(calibrate(tube, die), SHOP, RecordState(bar=TWO_STOPS))
    for name, bend in (("inner", 30.0), ("outer", 27.5)):
        assert f"for {bend:.1f} deg the stop of the {name} bends is at" in said
    assert "one side only" not in said
    said = calibration_html(replace(calibrate(tube, die), one_sided=2), SHOP, RecordState(bar=TWO_STOPS))
    assert "read both sides: 2 of the bars were read on one side only, which says half as much" in said


@pytest.mark.parametrize(
    ("bends", "bars", "words"),
    [
        (1, 1, "1 more test bend or 1 more bar like these would make that ± 0.1 deg"),
        (2, 3, "2 more test bends or 3 more bars like these would make that ± 0.1 deg"),
        (2, None, "2 more test bends would make that ± 0.1 deg"),
    ],
)
def test_what_would_make_a_stop_surer_is_counted_in_words(monkeypatch, bends, bars, words):
    monkeypatch.setattr(Calibration, "bends_to_reach", lambda *_: bends)
    monkeypatch.setattr(Calibration, "bars_to_reach", lambda *_: bars)
    assert words in calibration_html(calibrate(*TWO_STOPS.tools(SHOP)), SHOP, RecordState())


def test_the_screen_of_loads_takes_outer_bends_of_their_own(make):
    panel = make("strength")
    before = panel.said.value
    panel.ordered.outer_bend.kind.value = OWN
    panel.ordered.outer_bend.number.value = 27.5
    assert panel.state.bar.bends_deg == (30.0, 27.5)
    assert panel.said.value != before
    assert FAULT not in panel.message.value


def test_the_two_bars_compared_take_outer_bends_of_their_own(make):
    panel = make("two bars")
    panel.bars[0].outer_bend.kind.value = OWN
    panel.bars[0].outer_bend.number.value = 27.5
    recipe = panel.readout.a.recipe
    assert (recipe.inner_bend_deg, recipe.outer_bend_deg) == (30.0, 27.5)
    assert panel.readout.b.recipe.outer_bend_deg == panel.readout.b.recipe.inner_bend_deg
    assert FAULT not in panel.message.value


def test_rows_show_a_bar_and_read_it_back():
    heard = []
    rows = OrderedBarRows(SHOP, OrderedBar(), controls=True)
    rows.watch(heard.append)
    assert rows.upsweep.slider.disabled
    rows.show(OTHER)
    assert heard
    assert rows.value == OTHER
    assert not rows.upsweep.slider.disabled
    rows.rise.box.value = "wide"
    assert rows.rise.refused
    rows.show_in("in")
    assert rows.value.rise_mm == 62.0
    assert rows.rise.box.value == "2 7/16 in"


@pytest.mark.parametrize("name", WITH_A_BAR)
def test_every_slider_goes_to_both_its_ends(make, name):
    panel = make(name)
    panel.ordered.upsweep_kind.value = ORDERED
    for row, end in product(ROWS, ("low", "high")):
        number = getattr(panel.ordered, row)
        before, number.value = number.value, getattr(number, end)
        assert getattr(panel.state.bar, f"{row}_{'mm' if number.length else 'deg'}") == getattr(number, end)
        assert FAULT not in panel.message.value
        assert "barmath-message" in panel.message.value
        number.value = before


def test_the_checked_bar_is_the_one_that_was_made(make):
    panel = make("inspection")
    panel.ordered.show(OTHER)
    assert panel.readout.recipe == RECIPE
    wanted = dict(zip((kind.key for kind in KINDS), map(float, wanted_readings(RECIPE)), strict=True))
    assert panel.readout.wanted == pytest.approx(wanted, nan_ok=True)


def test_the_crossbar_fits_the_tube_it_is_brazed_to(make):
    panel = make("crossbar")
    panel.ordered.show(OTHER)
    expected = crossbar(RECIPE, float(SHOP.tubes[1].outside_diameter_mm), panel.readout.bar.branch)
    np.testing.assert_array_equal(panel.readout.bar.outside_mm, expected.outside_mm)
    assert panel.readout.bar.header_diameter_mm == SHOP.tubes[1].outside_diameter_mm


def test_the_bender_bends_the_tube_that_is_chosen(make):
    panel, bar = make("bending"), replace(OTHER, rise_mm=95.0)
    panel.ordered.show(bar)
    assert "Can be done" in panel.message.value
    sheet = sheet_from_readout(panel.shop, panel.state, panel.readout, "order 3")
    assert (sheet.recipe, sheet.tube, sheet.order) == (bar.recipe(SHOP), SHOP.tubes[1], bar.order())


def test_the_record_looks_up_and_takes_the_bar_that_is_chosen(make):
    panel = make("record")
    panel.ordered.show(OTHER)
    model = model_setting(ORDER, SPRINGBACK, SHOP.die_for(SHOP.tubes[1], SHOP.dies[1].name), 27.5)
    assert f"{model.outer_mark_mm:.1f}" in panel.found.value
    panel.entry.boxes["name"].value = "order 3"
    panel.add.click()
    bar = panel.record.bars()[-1]
    assert (bar.order, bar.tube, bar.die) == (ORDER, SHOP.tubes[1].name, SHOP.dies[1].name)
    assert bar.die_radius_mm == SHOP.dies[1].centerline_radius_mm
