"""The charts panel, without a browser."""

from pathlib import Path

import pytest

from barmath.panels.charts import RISES, SETTINGS_IN, SETTINGS_MM, ChartsPanel, charts_panel
from barmath.panels.shell import FAULT
from barmath.shop.shop_file import shop_from_file

DEMO = Path(__file__).resolve().parents[2] / "notebooks" / "demo" / "shop.toml"


@pytest.fixture
def panel(tmp_path):
    return ChartsPanel(shop_from_file(DEMO), tmp_path / "sheets")


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
    for kind in (SETTINGS_MM, SETTINGS_IN, RISES):
        panel.kind.value = kind
        assert FAULT not in panel.message.value
    for die in panel.die.options:
        panel.die.value = die
        assert die in panel.writer.name.value
    for tube in panel.tube.options:
        panel.tube.value = tube
        assert FAULT not in panel.message.value


def test_a_refused_width_is_said_and_the_chart_stays(panel):
    before = bytes(panel.preview.value)
    panel.width.box.value = "wide"
    assert "width must be" in panel.message.value
    assert bytes(panel.preview.value) == before


def test_a_chart_is_written_on_the_paper_chosen(panel, tmp_path):
    panel.writer.page.value = "A3"
    panel.writer.write.click()
    written = tmp_path / "sheets" / f"{panel.writer.name.value}.pdf"
    assert written.read_bytes().startswith(b"%PDF")


def test_running_the_cell_again_shows_the_same_panel():
    assert charts_panel(DEMO) is charts_panel(DEMO)
