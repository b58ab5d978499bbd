"""What a panel takes out of the page it closes: kernel and page hold a widget, and each of its parts, until then."""

import gc

import ipywidgets as widgets
import pytest
from every_panel import PANELS, parts_of


def to_and_fro(panel) -> int:
    """Move each chooser to its last choice and back; how many widgets live then."""
    for part in [part for part in parts_of(panel.box) if isinstance(part, widgets.Dropdown)]:
        here = part.index
        for place in (len(part.options) - 1, here):
            if part.comm is not None:  # it may have been taken out meanwhile
                part.index = place
    return len(widgets.widget._instances)


@pytest.mark.parametrize("name", ["practice", "by hand"])
def test_a_chooser_moved_to_and_fro_leaves_no_widget_behind(name, demo_copy, tmp_path):
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path)
    before = to_and_fro(panel)
    assert to_and_fro(panel) == before


@pytest.mark.parametrize("name", ["charts", "class sheets"])
def test_a_page_that_was_drawn_is_swept_away_at_once(name, demo_copy, tmp_path):
    panel = PANELS[name](demo_copy / "shop.toml", tmp_path)
    panel.refresh()
    gc.collect()
    panel.refresh()
    assert gc.collect() < 1000  # a page is seven thousand parts or more
    assert gc.isenabled()
