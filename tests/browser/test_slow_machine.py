"""A panel works on a machine several times slower than the one that runs the tests."""

import json

import pytest
from browser.driver import open_lab

SLOWER = 3
ONE_PANEL = "from barmath.panels.crossbar import crossbar_panel\ncrossbar_panel('../demo/shop.toml')"
"""A page with nothing but a panel that has both charts and a picture in space."""

FILLED = """() => {
    const shown = document.querySelector('.js-plotly-plot')?._fullData?.filter(trace => trace.visible === true);
    return shown?.length && shown.every(trace => trace.x.length);
}"""
"""Whether the first figure shows its traces: a figure's data are sent before its drawing program is loaded."""


@pytest.fixture
def slow_page(browser, lab):
    """A slow page that has loaded no figure yet."""
    page = open_lab(browser, lab)
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    return page


@pytest.fixture
def one_panel(lab):
    """The name of a notebook with one panel."""
    file = lab.root / "notebooks" / "bench" / "one_panel.ipynb"
    book = json.loads((file.parent / "start.ipynb").read_text(encoding="utf-8"))
    cell = next(cell for cell in book["cells"] if cell["cell_type"] == "code")
    file.write_text(json.dumps(book | {"cells": [cell | {"source": ONE_PANEL}]}))
    yield file.stem
    file.unlink()


def test_what_loads_slowly_still_appears_with_all_its_traces_and_moves(open_notebook, slow_page, one_panel):
    notebook = open_notebook(one_panel, page=slow_page)
    notebook.run_all()
    notebook.page.wait_for_function(FILLED, timeout=60_000)
    in_space = notebook.page.get_by_role("img", name="The bar in space: cut ")
    in_space.wait_for(timeout=60_000)
    before, said = notebook.figure_data(), in_space.get_attribute("aria-label")
    notebook.focus("Rise")
    notebook.press("ArrowRight")
    notebook.figure_data_after(before)
    assert in_space.get_attribute("aria-label") != said
    assert notebook.problems == []
