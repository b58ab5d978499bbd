"""The bar that the panels of 05, 07, 08 and 09 are about: any order, on any tube and die of the shop."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from every_panel import PANELS

from barmath import BendError, Order, recipe_from_order, springback_from_tube
from barmath.checking.bench_readings import KINDS, wanted_readings
from barmath.crossbars.crossbar import crossbar
from barmath.panels.bending_state import sheet_from_readout
from barmath.panels.order_state import OrderState, readout_from_state
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.ordered_bar_state import UPSWEEP_WORDS, OrderedBar
from barmath.panels.shell import FAULT
from barmath.planning.ways import LEVEL, ORDERED, UPRIGHT
from barmath.records.lookup import model_setting
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
@pytest.mark.parametrize("row", ROWS)
@pytest.mark.parametrize("end", ["low", "high"])
def test_every_slider_goes_to_both_its_ends(make, name, row, end):
    panel = make(name)
    panel.ordered.upsweep_kind.value = ORDERED
    number = getattr(panel.ordered, row)
    number.value = getattr(number, end)
    assert getattr(panel.state.bar, f"{row}_{'mm' if number.length else 'deg'}") == getattr(number, end)
    assert FAULT not in panel.message.value
    assert "barmath-message" in panel.message.value


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
