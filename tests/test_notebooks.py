"""Every notebook runs from top to bottom in its own folder, and no panel in it reports a fault.

Where a browser is asked for, `tests/browser/test_every_notebook.py` holds the same and more of each of them.
"""

import json
import os

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
