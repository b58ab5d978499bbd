"""Every notebook opens in a real browser, runs, and the page complains of nothing."""

import pytest
from conftest import ROOT

from barmath.panels.shell import FAULT

NAMES = sorted(path.stem for path in (ROOT / "notebooks").glob("*.ipynb"))
BROKEN = [FAULT, "WebGL is not supported", "Error displaying widget", "Click to show javascript error"]

CUT_OFF = """() => [...document.querySelectorAll('.barmath-panel td, .barmath-panel th')].filter(cell => {
    const right = cell.getBoundingClientRect().right;
    for (let box = cell.parentElement; right && !box.matches('.barmath-panel'); box = box.parentElement)
        if (right > box.getBoundingClientRect().right + 1) return true;
    return false;
}).map(cell => cell.innerText)"""
"""Cells of tables that reach beyond a box around them, where they are cut off or cover what stands beside it."""


@pytest.mark.parametrize("name", NAMES)
def test_a_notebook_runs_in_the_browser_without_an_error(open_notebook, name):
    notebook = open_notebook(name)
    notebook.run_all()
    assert notebook.errors() == []
    assert [words for words in BROKEN if notebook.shows(words)] == []
    assert notebook.problems == []
    assert notebook.page.evaluate(CUT_OFF) == []
