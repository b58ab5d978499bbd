"""The panels of the die lesson, without a browser: every control to both ends and to a refused value."""

from pathlib import Path

import numpy as np
import pytest

from barmath.panels.dies import ChoicePanel, WindowsPanel, choice_panel, windows_panel
from barmath.panels.shell import FAULT
from barmath.pictures.dies import BANDS, MOST_DIES
from barmath.records import BookedOrder, OrderBook
from barmath.shop.shop_file import shop_from_file

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo"


@pytest.fixture
def windows():
    return WindowsPanel(shop_from_file(DEMO / "shop.toml"))


@pytest.fixture
def choice():
    return ChoicePanel(shop_from_file(DEMO / "shop.toml"), DEMO / "orders.toml")


def traces(panel):
    return {trace.name: trace for trace in panel.figure.data}


@pytest.mark.parametrize("name", ["radius", "bend", "rise", "backsweep", "width", "controls"])
def test_a_slider_of_the_windows_panel_at_either_end_shows_windows_or_says_why_not(windows, name):
    row = getattr(windows, name)
    for value in (row.low, row.high):
        row.slider.value = value
        assert FAULT not in windows.message.value
        assert len(windows.readout.sentences) == len(windows.shop.dies) + 1
        for half in windows.readout.halves:
            assert half.pieces is not None or half.remark


@pytest.mark.parametrize("typed", ["", "three", "-60", "1/0 in"])
def test_a_refused_radius_keeps_the_windows_and_says_why(windows, typed):
    before = windows.readout
    windows.radius.box.value = typed
    assert windows.readout.typed[1].lowest_mm == pytest.approx(before.typed[1].lowest_mm, nan_ok=True)
    assert "die radius must" in windows.message.value


def test_a_die_may_be_typed_in_inches(windows):
    windows.radius.box.value = "4 in"
    named = dict(windows.readout.curves)
    assert windows.readout.typed[1].highest_mm == pytest.approx(named["die 102"].highest_mm, nan_ok=True)


def test_a_die_without_a_window_is_named_in_the_picture(windows):
    windows.radius.slider.value, windows.controls.slider.value = 250, 300
    assert any("no window at any bend" in text for text in traces(windows)["names"].text)
    assert any("no bend leaves room" in sentence for sentence in windows.readout.sentences)


def test_the_drawn_window_is_the_computed_one(windows):
    curve = windows.readout.typed[1]
    drawn = traces(windows)[f"window {MOST_DIES}"]
    assert np.nanmin(drawn.y) == pytest.approx(curve.lowest_mm[curve.open].min())
    assert np.nanmax(drawn.y) == pytest.approx(curve.highest_mm[curve.open].max())


def test_the_pieces_drawn_fill_half_the_width(windows):
    for place, half in enumerate(windows.readout.halves):
        if half.pieces:
            drawn = sum(traces(windows)[piece].x[place] for piece in half.pieces)
            assert drawn == pytest.approx(windows.state.width_mm / 2)


def test_the_next_die_is_chosen_for_the_orders_of_the_shops_own_book(choice, tmp_path):
    book = OrderBook(tmp_path / "record.db")
    empty = ChoicePanel(choice.shop, book)
    assert "Enter some in 01 first" in empty.message.value
    for number, wish in enumerate(choice.orders[:3], 1):
        book.add(BookedOrder(number, wish, "2026-03-02"))
    (tmp_path / "three.toml").write_text(three_orders(), encoding="utf-8")
    assert ChoicePanel(choice.shop, book).said.value == ChoicePanel(choice.shop, tmp_path / "three.toml").said.value


def three_orders() -> str:
    text = (DEMO / "orders.toml").read_text(encoding="utf-8")
    return "[[order]]".join(text.split("[[order]]")[:4])


@pytest.mark.parametrize("name", ["radius", "least"])
def test_a_slider_of_the_choice_panel_at_either_end_works(choice, name):
    row = getattr(choice, name)
    for value in (row.low, row.high):
        row.slider.value = value
        assert FAULT not in choice.message.value
        assert choice.readout.choice is not None
        assert len(choice.readout.sentences) == 5


def test_unticking_every_die_leaves_the_new_one_alone(choice):
    for box in choice.boxes.values():
        box.value = False
    assert choice.readout.choice.share_now == 0
    assert np.array_equal(traces(choice)["this die alone"].y, traces(choice)["added to the shop's dies"].y)
    assert len(traces(choice)["shop's dies"].x) == 0


def test_two_stop_settings_never_make_less_than_one_and_here_make_more(choice):
    one = np.array(traces(choice)["this die alone"].y)
    now = choice.readout.choice.share_now
    choice.stops.value = True
    two = np.array(traces(choice)["this die alone"].y)
    assert np.all(two >= one)
    assert two.max() > one.max() or two.sum() > one.sum()
    assert choice.readout.choice.share_now >= now
    choice.stops.value = False
    assert np.array_equal(np.array(traces(choice)["this die alone"].y), one)


def test_a_refused_least_straight_is_said_and_changes_nothing(choice):
    before = np.array(traces(choice)["this die alone"].y)
    choice.least.box.value = "long"
    assert "least straight must be" in choice.message.value
    assert np.array_equal(before, traces(choice)["this die alone"].y)


def test_running_a_cell_again_shows_the_same_panel():
    assert windows_panel(DEMO / "shop.toml") is windows_panel(DEMO / "shop.toml")
    assert choice_panel(DEMO / "shop.toml", DEMO / "orders.toml") is choice_panel(
        DEMO / "shop.toml", DEMO / "orders.toml"
    )


def test_bands_of_tightness_are_at_multiples_of_the_tube_diameter(choice):
    diameter = float(choice.shop.tubes[0].outside_diameter_mm)
    for name, low, high, _ in BANDS[1:3]:
        drawn = traces(choice)[name].x
        assert (min(drawn), max(drawn)) == pytest.approx((low * diameter, high * diameter))
