"""Every notebook opens in a real browser, runs, and the page complains of nothing."""

import pytest
from conftest import ROOT

from barmath.panels.shell import FAULT

NAMES = sorted(path.stem for path in (ROOT / "notebooks").glob("*.ipynb"))
BROKEN = [FAULT, "WebGL is not supported", "Error displaying widget", "Click to show javascript error"]


@pytest.mark.parametrize("name", NAMES)
def test_a_notebook_runs_in_the_browser_without_an_error(open_notebook, name):
    notebook = open_notebook(name)
    notebook.run_all()
    assert notebook.errors() == []
    assert [words for words in BROKEN if notebook.shows(words)] == []
    assert notebook.problems == []
