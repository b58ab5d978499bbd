"""The panels of the map lesson, without a browser: every control at both ends and refused, clicks, what is drawn."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from every_panel import page_sends

from barmath import shape_from_recipe
from barmath.bending.error_budget import error_budget
from barmath.panels.budget import BudgetPanel, budget_panel
from barmath.panels.budget_state import BudgetState, budget_readout
from barmath.panels.map import MapPanel, map_panel
from barmath.panels.map_axes import AXES, QUANTITIES
from barmath.panels.map_state import BEST_PAIR, EVEN_BEND, NO_LINES, OWN_DIE, MapState, map_readout
from barmath.panels.ordered_bar import OWN
from barmath.panels.shell import FAULT
from barmath.pictures.design_map import BARS, KEPT_OUT, MADE
from barmath.pictures.pair_map import PAIRS
from barmath.planning.even_bend import even_bend_deg
from barmath.planning.map_picture import DIFFERENCE, LINES
from barmath.shop.order_seven import BEND_DEG, ORDER
from barmath.shop.shop_file import shop_from_file

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"


@pytest.fixture(scope="module")
def shop():
    return shop_from_file(DEMO)


@pytest.fixture(scope="module")
def made(shop):
    return MapPanel(shop)


@pytest.fixture
def panel(made, shop):
    """The panel before any change: it is made once, because that takes a second."""
    made.radius.forget()
    for row in (*made.quantities.values(), made.controls):
        row.forget()
    made.show(MapState(die=shop.dies[0].name))
    return made


@pytest.fixture
def budget(shop):
    return BudgetPanel(shop)


def traces(panel):
    return {trace.name: trace for trace in panel.figure.data}


def click(panel, x, y):
    """Click on a place of the map: the page says which trace is there, and where it was clicked."""
    name = MADE if is_made(panel, x, y) else KEPT_OUT
    click_trace(panel.figure, name, x, y)


def click_trace(figure, name, x, y):
    place = next(place for place, trace in enumerate(figure.data) if trace.name == name)
    page_sends(figure, {"clicked": [{"trace": place, "point": 0, "x": x, "y": y}]})


def flat(panel):
    return {trace.name: trace for trace in panel.flat.data}


def is_made(panel, x, y):
    trace = traces(panel)[MADE]
    place = np.flatnonzero((np.abs(trace.x - x) < 1e-6) & (np.abs(trace.y - y) < 1e-6))[0]
    return np.isfinite(trace.z[place])


def test_the_first_bar_shown_is_order_7(panel):
    shape = panel.readout.bar.shape
    ordered = ORDER.rise_mm, ORDER.backsweep_deg, ORDER.width_mm
    assert (shape.rise_mm, shape.backsweep_deg, shape.width_mm) == pytest.approx(ordered)
    assert "Can be made" in panel.message.value


@pytest.mark.parametrize("axes", AXES)
@pytest.mark.parametrize("bend", [EVEN_BEND, 25.0])
def test_every_map_has_orders_that_can_be_made_and_names_what_keeps_out_the_rest(shop, axes, bend):
    readout = map_readout(shop, MapState(axes=axes, bend_deg=bend))
    picture = readout.picture
    assert 0.02 < picture.made.mean() < 0.98
    assert picture.names
    assert picture.made.shape == (picture.y.size, picture.x.size)
    kept_out = np.any([margin < 0 for margin in picture.margins.values()], axis=0)
    assert np.array_equal(picture.made, ~kept_out)


@pytest.mark.parametrize("axes", AXES)
def test_a_click_shows_the_bar_of_that_place(panel, axes):
    panel.axes.value = axes
    picture = panel.readout.picture
    place = np.argwhere(picture.made)[picture.made.sum() // 2]
    x, y = picture.x[place[1]], picture.y[place[0]]
    click(panel, x, y)
    bar = panel.readout.bar
    measured = {
        "rise": bar.shape.rise_mm, "backsweep": bar.shape.backsweep_deg, "upsweep": bar.shape.upsweep_deg,
        "width": bar.shape.width_mm, "setback": bar.shape.setback_mm,
    }  # fmt: skip
    across, up = AXES[axes]
    assert (measured[across], measured[up]) == pytest.approx((x, y), abs=1e-8)
    assert (traces(panel)["point"].x[0], traces(panel)["point"].y[0]) == pytest.approx((x, y))
    assert panel.quantities[across].value == pytest.approx(x), "rows and click are one"
    assert len(flat(panel)["front straights"].x) > 0
    assert bar.recipe.inner_bend_deg == pytest.approx(float(bar.bars.bend_deg))


def test_a_click_beyond_an_edge_says_why_and_shows_no_bar(panel):
    click(panel, 27.0, 48.0)
    assert panel.readout.bar is None
    assert "straight between bends must be at least 65.0 mm" in panel.message.value
    assert len(flat(panel)["front straights"].x) == 0
    click(panel, 12.0, 78.0)
    assert panel.readout.bar is not None


def test_a_click_moves_the_point_once_and_leaves_the_map_alone(panel, monkeypatch):
    before, redrawn = np.array(traces(panel)["straight"].z), []
    monkeypatch.setattr("barmath.panels.map.update_map", lambda *_: redrawn.append(1))
    click(panel, 10.0, 70.0)
    assert not redrawn
    assert np.array_equal(traces(panel)["straight"].z, before)


def test_a_click_on_nothing_changes_nothing(panel):
    before = panel.state
    page_sends(panel.figure, {"clicked": []})
    assert panel.state == before


@pytest.mark.parametrize("axes", AXES)
@pytest.mark.parametrize("name", [*QUANTITIES, "controls"])
def test_a_row_at_either_end_gives_a_bar_or_a_reason(panel, axes, name):
    panel.axes.value = axes
    row = panel.controls if name == "controls" else panel.quantities[name]
    for value in (row.low, row.high):
        row.slider.value = value
        said = panel.message.value
        assert FAULT not in said
        assert ("Can be made" in said) == (panel.readout.bar is not None)
        assert ("Cannot be made" in said) == (panel.readout.bar is None)
        assert (len(flat(panel)["front straights"].x) > 0) == (panel.readout.bar is not None)


@pytest.mark.parametrize("typed", ["eighty", "", "-4", "1e9", "<script>alert(1)</script>", "nan"])
def test_a_refused_entry_keeps_the_point_and_says_why(panel, typed):
    before = panel.readout.bar.recipe
    panel.quantities["rise"].box.value = typed
    assert panel.readout.bar.recipe == before
    assert "rise must be" in panel.message.value
    assert "<script" not in panel.message.value


def test_every_choice_of_every_chooser_works(panel):
    for chooser in (panel.die, panel.bend, panel.axes, panel.clamped, panel.lines):
        first = chooser.value
        for _, value in chooser.options:
            chooser.value = value
            assert FAULT not in panel.message.value
            assert panel.readout.picture is not None
        chooser.value = first


def test_a_point_outside_the_map_is_said_and_pointed_at_from_the_edge(panel):
    panel.quantities["rise"].box.value = "10"
    assert "The map shows a rise from 20 to 160 mm, got 10 mm" in panel.message.value
    point = traces(panel)["point"]
    assert (point.x[0], point.y[0], point.marker.symbol) == (ORDER.backsweep_deg, 20, "triangle-down")
    panel.quantities["backsweep"].box.value = "40"
    assert point.marker.symbol == "triangle-right"
    panel.quantities["backsweep"].box.value, panel.quantities["rise"].box.value = "14", "90"
    assert point.marker.symbol == "cross-thin"
    assert "outside" not in panel.message.value


def test_an_impossible_die_is_said_in_the_place_of_the_map_and_in_the_message(panel):
    panel.die.value, panel.radius.slider.value = OWN_DIE, 8
    assert panel.readout.picture is None
    assert "die radius must be above half the tube" in panel.message.value
    assert "die radius must be above half the tube" in traces(panel)["names"].text[0]
    assert not any(traces(panel)[name].visible for name in ("straight", "controls", *BARS))
    panel.radius.slider.value = 60
    assert panel.readout.picture is not None
    assert all(traces(panel)[name].visible for name in ("straight", "controls", *BARS))


def test_a_die_that_makes_nothing_is_drawn_shaded_all_over_and_said(panel):
    panel.die.value, panel.radius.slider.value = OWN_DIE, 250
    panel.controls.slider.value = 300
    picture = panel.readout.picture
    assert not picture.made.any()
    assert "nothing can be made" in panel.about.value
    assert np.isnan(traces(panel)[MADE].z).all()
    assert np.isfinite(traces(panel)[KEPT_OUT].z).all()
    assert any("fit" in words or "controls" in words for _, _, words in picture.names)


def test_a_stop_too_small_for_the_sweep_is_named_on_the_map(shop):
    picture = map_readout(shop, MapState(bend_deg=20.0)).picture
    assert any(words == "bend too small for the sweep" for _, _, words in picture.names)


def test_a_name_is_where_its_limit_is(shop):
    picture = map_readout(shop, MapState(bend_deg=25.0)).picture
    named = {words: (x, y) for x, y, words in picture.names}
    for words, key in {"no room for the controls": "controls", "too little straight to hold": "straight"}.items():
        x, y = named[words]
        assert picture.margins[key][np.searchsorted(picture.y, y), np.searchsorted(picture.x, x)] < 0


def test_what_is_drawn_is_what_was_worked_out(panel):
    picture = panel.readout.picture
    for key, margin in picture.margins.items():
        drawn = np.array(traces(panel)[key].z)
        assert np.array_equal(drawn > 0, ~(margin >= 0).ravel()), "the library paints what lies above 0"
    for column, values in (("x", np.tile(picture.x, picture.y.size)), ("y", np.repeat(picture.y, picture.x.size))):
        assert np.array_equal(getattr(traces(panel)["straight"], column), values)


@pytest.mark.parametrize("lines", [*LINES, NO_LINES])
def test_only_the_lines_that_are_chosen_are_drawn(panel, lines):
    panel.bend.value = BEST_PAIR if lines == DIFFERENCE else EVEN_BEND
    panel.lines.value = lines
    assert [name for name in LINES if traces(panel)[name].visible] == ([lines] if lines != NO_LINES else [])


def test_a_line_is_only_where_bars_can_be_made_and_no_shade_covers_it(panel):
    picture, order = panel.readout.picture, [trace.name for trace in panel.figure.data]
    assert np.array_equal(np.isfinite(picture.lines[1]), picture.made)
    assert not traces(panel)[picture.lines[0]].connectgaps
    assert max(map(order.index, picture.margins)) < min(map(order.index, LINES))


def test_lines_and_point_agree(panel):
    bars = panel.readout.bar.bars
    exact = {"outer mark": bars.outer_mark_mm, "clamp reading": bars.clamp_reading_deg, "bend": bars.bend_deg,
             "setback": bars.setback_mm}  # fmt: skip
    for name, value in exact.items():
        panel.lines.value = name
        trace = traces(panel)[name]
        place = np.flatnonzero((trace.x == ORDER.backsweep_deg) & (trace.y == ORDER.rise_mm))[0]
        assert trace.z[place] == pytest.approx(float(value), abs=1e-4)


def test_the_bend_of_the_point_is_the_even_one_or_the_stop_chosen(panel, shop):
    order = panel.readout.bar.bars.order
    even = even_bend_deg(order, shop.tubes[0], shop.dies[0], min(shop.stop_bends_deg), max(shop.stop_bends_deg))
    assert panel.readout.bar.recipe.inner_bend_deg == pytest.approx(float(even))
    panel.bend.value = BEND_DEG
    assert panel.readout.bar.recipe.inner_bend_deg == BEND_DEG


def test_grips_level_are_level_and_an_upsweep_axis_settles_how_it_is_clamped(panel):
    panel.clamped.value = "grips level"
    assert shape_from_recipe(panel.readout.bar.recipe).upsweep_deg == pytest.approx(0, abs=1e-9)
    panel.axes.value = "rise against upsweep"
    assert panel.clamped.disabled
    assert shape_from_recipe(panel.readout.bar.recipe).upsweep_deg == pytest.approx(panel.state.upsweep_deg, abs=1e-9)
    panel.axes.value = "rise against setback"
    assert panel.readout.bar.recipe.stem_roll_deg == 0
    assert panel.quantities["backsweep"].slider.disabled


def test_traces_are_changed_in_place(panel):
    before = [id(trace) for trace in panel.figure.data]
    panel.quantities["width"].slider.value = 720
    panel.die.value = panel.shop.dies[1].name
    assert [id(trace) for trace in panel.figure.data] == before
    assert panel.figure.layout.uirevision == "map"


def test_a_fault_is_shown_and_raised(panel, monkeypatch):
    def broken(*_):
        raise ZeroDivisionError("a fault of ours <b>")

    monkeypatch.setattr("barmath.panels.map.map_readout", broken)
    with pytest.raises(ZeroDivisionError):
        panel.quantities["rise"].slider.value = 95
    assert FAULT in panel.message.value
    panel.message.value = ""
    click(panel, 10.0, 70.0)  # what it raises then, ipywidgets writes into the log
    assert FAULT in panel.message.value


def test_hostile_names_in_the_shop_file_are_shown_harmless(shop):
    mine = replace(shop, dies=(replace(shop.dies[0], name="<img src=x>"), *shop.dies[1:]))
    panel = MapPanel(mine)
    for shown in (panel.message.value, panel.recipe.value, panel.figure.layout.annotations[0].text):
        assert "<img" not in shown


@pytest.mark.parametrize("name", ["stop", "finder", "mark", "bend", "rise", "backsweep"])
def test_a_row_of_the_budget_at_either_end_gives_a_budget_or_a_reason(budget, name):
    row = getattr(budget, name)
    for value in (row.low, row.high):
        row.slider.value = value
        assert FAULT not in budget.message.value
        assert (budget.readout.budget is None) == ("Cannot be made" in budget.message.value)
        assert (len(traces(budget)["rise"].x) > 0) == (budget.readout.budget is not None)


def test_each_title_of_the_budget_has_room_over_its_own_columns(budget):
    layout = budget.figure.layout
    for title, axis in zip(layout.annotations, (layout.xaxis, layout.xaxis2), strict=True):
        room_px = 480 * (axis.domain[1] - axis.domain[0])  # of a chart beside its controls, 1280 px wide
        assert 7 * max(map(len, title.text.split("<br>"))) <= room_px


def test_the_bars_of_the_chart_are_the_lines_of_the_budget_and_their_root_sum_square(budget):
    drawn = np.array(traces(budget)["upsweep"].x)
    lines = budget.readout.budget.lines
    assert list(traces(budget)["upsweep"].y) == [*(line.name for line in lines), "all together"]
    assert drawn[:-1] == pytest.approx([line.apart.upsweep_deg for line in lines])
    assert drawn[-1] == pytest.approx(np.sqrt((drawn[:-1] ** 2).sum()))
    # the bars are standard deviations, and a normal error is within 1.96 of them in 95 of 100 bars
    goal = next(shape for shape in budget.figure.layout.shapes if shape.name == "goal 1")
    assert 1.96 * np.array([goal.x0, goal.x1]) == pytest.approx([1.0, 1.0], rel=1e-3)
    assert goal.layer == "below"  # no number of a bar is under it


def test_the_budget_of_a_bar_of_two_stops_is_that_of_its_recipe(budget):
    one = budget.readout.budget
    budget.outer_bend.kind.value, budget.bend.box.value = OWN, "32.5"
    budget.outer_bend.number.box.value = "30"
    recipe, two = budget.readout.recipe, budget.readout.budget
    assert (recipe.inner_bend_deg, recipe.outer_bend_deg) == (32.5, 30.0)
    assert two.total == error_budget(recipe, two.errors).total
    assert two.total.backsweep_deg != one.total.backsweep_deg
    assert list(traces(budget)["backsweep"].x)[-1] == pytest.approx(two.total.backsweep_deg)


def test_a_careless_stop_is_warned_of_with_the_slip_that_dominates(budget):
    budget.stop.slider.value = 1.5
    assert "Watch" in budget.message.value
    assert "bends (stop)" in budget.message.value
    assert not budget.readout.budget.keeps()


def test_what_a_tool_may_be_at_most_is_in_the_table(budget, shop):
    most = budget_readout(shop, BudgetState()).budget.most("stop")
    assert f"{most:.2f} deg" in budget.most.value
    budget.stop.slider.value = 2.0
    assert "not enough" in budget.most.value


def test_the_budget_says_how_many_bars_keep_the_goal(budget):
    # 72 of 100, by the normal distribution of the three measures together (SciPy, in test_sensitivity.py)
    assert "70 of 100 bars have sides that differ by at most 1 deg of sweep and 3 mm of rise" in budget.message.value
    assert "Watch" in budget.message.value
    budget.stop.box.value, budget.finder.box.value, budget.mark.box.value = "0.1", "0.1", "0.2"
    assert "99 of 100 bars" in budget.message.value  # never all of them
    assert "Watch" not in budget.message.value


@pytest.mark.parametrize("typed", ["much", "", "-1", "nan"])
def test_a_refused_error_keeps_the_budget_and_says_why(budget, typed):
    before = budget.readout.budget
    budget.stop.box.value = typed
    assert budget.readout.budget.total == before.total
    assert "stop must be" in budget.message.value


def test_a_bar_that_cannot_be_made_has_no_budget(budget):
    budget.rise.slider.value = 160
    assert "Cannot be made" in budget.message.value
    assert budget.slopes.value == ""


def test_running_a_cell_again_shows_the_same_panel():
    assert map_panel(DEMO) is map_panel(str(DEMO))
    assert budget_panel(DEMO) is budget_panel(str(DEMO))


def test_with_the_best_pair_of_stops_the_map_makes_more_and_shows_how_far_the_bends_differ(panel):
    panel.die.value = "die 127"
    one = panel.readout.picture.made
    panel.bend.value, panel.lines.value = BEST_PAIR, DIFFERENCE
    picture, recipe = panel.readout.picture, panel.readout.bar.recipe
    assert picture.made.sum() > 1.5 * one.sum()
    assert picture.lines[0] == DIFFERENCE
    assert traces(panel)[DIFFERENCE].visible
    assert recipe.inner_bend_deg != recipe.outer_bend_deg
    for bend, stays in (("inner", recipe.inner_bend_deg), ("outer", recipe.outer_bend_deg)):
        assert f"Stop, {bend} bends" in panel.recipe.value
        assert f"(springs back to {stays:.1f})" in panel.recipe.value
    assert "inner bends of " in panel.message.value
    panel.bend.value = EVEN_BEND
    assert panel.readout.picture.lines is None  # four equal bends do not differ


def test_with_the_best_pair_of_stops_the_map_of_setbacks_makes_more_too(panel):
    panel.die.value = "die 127"
    panel.axes.value = next(axes for axes in AXES if "setback" in axes)
    one = panel.readout.picture.made
    panel.bend.value = BEST_PAIR
    assert panel.readout.picture.made.sum() > 1.2 * one.sum()


def test_the_best_pair_has_lines_of_its_difference_only_for_all_else_breaks_from_place_to_place(panel):
    panel.bend.value = BEST_PAIR
    for lines in LINES:
        panel.lines.value = lines
        assert [name for name in LINES if traces(panel)[name].visible] == ([lines] if lines == DIFFERENCE else [])
        words = panel.figure.layout.annotations[0].text
        assert (f"Blue: {lines}" in words, f"No lines of {lines}," in words) == (
            lines == DIFFERENCE,
            lines != DIFFERENCE,
        )


def test_the_two_maps_are_of_one_size_and_no_line_of_words_is_wider_than_half_a_panel(panel):
    panel.die.value, panel.bend.value = "die 127", BEST_PAIR
    first, second = panel.figure.layout, panel.pairs.layout
    assert (first.height, first.margin) == (second.height, second.margin)
    words = [layout.annotations[0].text for layout in (first, second)]
    assert max(len(line) for said in words for line in said.split("<br>")) <= 62  # 460 px, at 7.4 px a letter of 13 px
    assert max(said.count("<br>") for said in words) <= 2  # the margin above has room for three


def test_the_dimensions_of_the_widest_bar_are_not_cut_off_at_the_edge_of_their_view(panel):
    views = [trace for name, trace in flat(panel).items() if name.endswith("dimensions")]
    assert [trace.cliponaxis for trace in views] == [False, False]
    assert max(panel.flat.layout[name].domain[1] for name in ("xaxis", "xaxis2")) < 0.9


def test_the_bar_at_the_point_is_shown_in_space_and_in_words_for_a_screen_reader(panel):
    tube = panel.view.picture.things["tube"]
    before = tube.vertices.copy()
    click(panel, 10.0, 70.0)
    assert tube.visible
    assert not np.array_equal(tube.vertices, before)
    assert "rise 70.0 mm" in panel.view.care.says
    click(panel, 27.0, 48.0)
    assert not tube.visible
    assert "cannot be made" in panel.view.care.says


def test_a_second_picture_shows_how_far_the_two_bends_differ_with_the_best_pair_only(panel):
    assert panel.second.layout.display == "none"
    panel.die.value, panel.bend.value = "die 127", BEST_PAIR
    assert panel.second.layout.display == ""
    picture, field = panel.readout.picture, panel.pairs.data[0]
    shown, inner, outer = (np.array(of).reshape(picture.made.shape) for of in (field.z, field.text, field.hovertext))
    assert np.array_equal(np.isfinite(shown), picture.made)
    assert (np.abs(shown[picture.made]) > 1.0).any()
    assert (inner - outer)[picture.made] == pytest.approx(shown[picture.made], abs=1e-4)
    recipe = panel.readout.bar.recipe
    place = np.argmin(np.abs(picture.y - ORDER.rise_mm)), np.argmin(np.abs(picture.x - ORDER.backsweep_deg))
    assert shown[place] == pytest.approx(recipe.inner_bend_deg - recipe.outer_bend_deg, abs=1e-4)
    assert (panel.pairs.data[1].x[0], panel.pairs.data[1].y[0]) == (ORDER.backsweep_deg, ORDER.rise_mm)
    click_trace(panel.pairs, PAIRS, 10.0, 80.0)
    assert (panel.state.backsweep_deg, panel.state.rise_mm) == (10.0, 80.0)
