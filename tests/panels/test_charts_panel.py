"""The charts panel, without a browser."""

from dataclasses import replace
from pathlib import Path

import pytest

from barmath.panels.charts import DIES, KINDS, PAIRS_MM, RISES, ChartsPanel, charts_panel
from barmath.panels.shell import FAULT
from barmath.planning.chart_data import CHART_BENDS_DEG
from barmath.shop.shop_file import shop_from_file

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"


@pytest.fixture(scope="module")
def shown(tmp_path_factory):
    return ChartsPanel(shop_from_file(DEMO), tmp_path_factory.mktemp("charts") / "sheets")


@pytest.fixture
def panel(shown):
    """The one panel, as it was made."""
    shown.kind.value, shown.die.index, shown.tube.index = RISES, 0, 0
    for row, value in zip(
        (shown.backsweep, shown.width, shown.clamp_flat, shown.controls), (14.0, 800.0, 60.0, 170.0), strict=True
    ):
        row.box.value = f"{value:g}"
    return shown


@pytest.mark.parametrize("name", ["backsweep", "width", "clamp_flat", "controls"])
def test_a_slider_at_either_end_draws_a_chart(panel, name):
    row = getattr(panel, name)
    for value in (row.low, row.high):
        before = bytes(panel.preview.value)
        row.slider.value = value
        assert FAULT not in panel.message.value
        assert bytes(panel.preview.value).startswith(b"\x89PNG")
        assert bytes(panel.preview.value) != before


def test_every_kind_die_and_tube_can_be_chosen(panel):
    seen = set()
    for kind in KINDS:
        panel.kind.value = kind
        assert FAULT not in panel.message.value
        seen.add(bytes(panel.preview.value))
    assert len(seen) == len(KINDS)
    panel.kind.value = PAIRS_MM
    for die in panel.die.options:
        panel.die.value = die
        assert panel.writer.name.value == f"{die} best pairs two stops mm"
    for tube in panel.tube.options:
        panel.tube.value = tube
        assert FAULT not in panel.message.value


def test_sheets_of_two_stops_use_every_stop_of_the_shop(panel):
    assert panel.chart().bends_deg == CHART_BENDS_DEG
    panel.kind.value = DIES
    assert panel.chart().bends_deg == panel.shop.stop_bends_deg


def test_a_shop_of_four_dies_gets_two_sheets_of_dies_and_sees_the_one_with_its_die(tmp_path):
    shop = shop_from_file(DEMO)
    shop = replace(shop, dies=(*shop.dies, replace(shop.dies[0], name="die 103", centerline_radius_mm=103.0)))
    panel = ChartsPanel(shop, tmp_path)
    panel.kind.value = DIES
    first = bytes(panel.preview.value)
    panel.die.value = "die 103"
    assert bytes(panel.preview.value) != first
    assert len(list(panel._pages("A4"))) == 2


def test_a_refused_width_is_said_and_the_chart_remains(panel):
    before = bytes(panel.preview.value)
    panel.width.box.value = "wide"
    assert "width must be" in panel.message.value
    assert bytes(panel.preview.value) == before


def test_a_chart_is_written_on_the_paper_chosen(panel):
    panel.writer.page.value = "A3"
    panel.writer.write.click()
    written = panel.writer.folder / f"{panel.writer.name.value}.pdf"
    assert written.read_bytes().startswith(b"%PDF")


def test_running_the_cell_again_shows_the_same_panel():
    assert charts_panel(DEMO) is charts_panel(DEMO)


@pytest.mark.parametrize("kind", KINDS)
def test_no_line_of_a_chart_is_for_a_bend_that_the_shop_has_no_stop_for(tmp_path, kind):
    shop = replace(shop_from_file(DEMO), stop_bends_deg=(12.0, 18.0, 21.0, 27.0, 36.0))
    panel = ChartsPanel(shop, tmp_path)
    panel.kind.value = kind
    bends = panel.chart().bends_deg
    assert set(bends) <= set(shop.stop_bends_deg)
    assert len(bends) >= 4
    assert FAULT not in panel.message.value
