"""In JupyterLab the code of the bench is folded away, Run All leaves one where one was, and a saved page helps on."""

import json

import pytest
from conftest import NOTEBOOKS

BENCH = [path for path in NOTEBOOKS if path.parent.name == "bench"]

CODE_IN_VIEW = """() => [...document.querySelectorAll('.jp-CodeCell .jp-InputArea-editor')]
    .filter(editor => editor.checkVisibility()).length"""
TOP = "() => Math.round(document.querySelector('.jp-WindowedPanel-outer').scrollTop)"


def code_cells(path):
    book = json.loads(path.read_text(encoding="utf-8"))
    return [(cell["metadata"], "".join(cell["source"])) for cell in book["cells"] if cell["cell_type"] == "code"]


def is_folded(metadata):
    return bool(metadata.get("jupyter", {}).get("source_hidden"))


@pytest.mark.parametrize("path", BENCH, ids=lambda path: path.stem)
def test_the_code_of_a_bench_notebook_is_folded(path):
    assert not [source for metadata, source in code_cells(path) if not is_folded(metadata)]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_the_cell_of_a_panel_is_folded_below_words(path):
    panels = [metadata for metadata, source in code_cells(path) if "_panel(" in source.splitlines()[-1]]
    assert all(is_folded(metadata) for metadata in panels)


def test_run_all_leaves_one_where_one_was_and_shows_no_code(open_notebook):
    notebook = open_notebook("09_keep_the_record")
    assert notebook.page.evaluate(CODE_IN_VIEW) == 0
    before = notebook.page.evaluate(TOP)
    notebook.run_all()
    notebook.page.wait_for_timeout(1000)
    assert abs(notebook.page.evaluate(TOP) - before) <= 40
    notebook.page.locator(".jp-WindowedPanel-outer").hover()
    notebook.page.mouse.wheel(0, 500)
    notebook.page.wait_for_timeout(800)
    before = notebook.page.evaluate(TOP)
    assert before > 100
    notebook.run_all()
    notebook.page.wait_for_timeout(1000)
    assert abs(notebook.page.evaluate(TOP) - before) <= 40
    assert notebook.page.evaluate(CODE_IN_VIEW) == 0
