"""Every notebook opens in a real browser, runs, and the page complains of nothing."""

import pytest
from conftest import ROOT

from barmath.panels.shell import FAULT

NAMES = sorted(path.stem for path in (ROOT / "notebooks").glob("*.ipynb"))
BROKEN = [FAULT, "WebGL is not supported", "Error displaying widget", "Click to show javascript error"]

CUT_OFF = """() => [...document.querySelectorAll('.barmath-panel .widget-html-content')]
    .filter(box => box.clientWidth && box.scrollWidth > box.clientWidth + 1).map(box => box.innerText.slice(0, 60))"""
"""What stands in a box too narrow for it: its right-hand part, numbers as a rule, cannot be seen."""


@pytest.mark.parametrize("name", NAMES)
def test_a_notebook_runs_in_the_browser_without_an_error(open_notebook, name):
    notebook = open_notebook(name)
    notebook.run_all()
    assert notebook.errors() == []
    assert [words for words in BROKEN if notebook.shows(words)] == []
    assert notebook.problems == []
    assert notebook.page.evaluate(CUT_OFF) == []
