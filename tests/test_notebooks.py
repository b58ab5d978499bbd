"""Every notebook runs from top to bottom in its own folder, and no panel in it reports a fault.

Where a browser is asked for, `tests/browser/test_every_notebook.py` holds the same and more of each of them.
"""

import json
import os
import re

import nbformat
import pytest
from conftest import NOTEBOOKS, ROOT
from nbclient import NotebookClient
from outputs import bare

from barmath.panels.shell import FAULT


def test_there_are_notebooks_to_run():
    assert NOTEBOOKS


@pytest.mark.skipif(os.environ.get("BARMATH_REQUIRE_BROWSER") == "1", reason="the browser tests run every notebook")
@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_runs_and_reports_no_fault(notebook, project_copy, monkeypatch, tmp_path):
    monkeypatch.setenv("IPYTHONDIR", str(tmp_path))
    folder = (project_copy / notebook.relative_to(ROOT)).parent
    book = nbformat.read(folder / notebook.name, as_version=4)
    client = NotebookClient(book, timeout=120, kernel_name="python3", resources={"metadata": {"path": str(folder)}})
    client.execute()
    shown = json.dumps([[cell.get("outputs") for cell in book.cells], book.metadata.get("widgets")])
    assert FAULT not in shown
    assert bare([cell.get("outputs", []) for cell in book.cells]) == []
    assert "np.float64(" not in shown  # numbers as a reader reads them


LONGEST_FOLDED = 72
"""Letters of a line that a tablet shows whole, with the dots behind it that open the cell."""


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda path: path.stem)
def test_the_line_of_a_folded_cell_fits_a_tablet(notebook):
    cells = [cell for cell in nbformat.read(notebook, as_version=4).cells if cell.cell_type == "code"]
    assert [cell.source for cell in cells if len(cell.source.splitlines()[0]) > LONGEST_FOLDED] == []


@pytest.mark.parametrize("notebook", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_formula_in_the_prose_is_written_as_one(notebook):
    for cell in nbformat.read(notebook, as_version=4).cells:
        if cell.cell_type == "markdown":
            prose = re.sub(r"\$\$.*?\$\$|\$.*?\$|`[^`]*`|\]\([^)]*\)", "", cell.source, flags=re.DOTALL)
            assert re.findall(r"\b[A-Za-z]_[A-Za-z0-9]\w*|\S*[²³√]\S*", prose) == []
