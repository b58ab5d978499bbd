"""In JupyterLab the code of the bench is folded away, Run All leaves one where one was, and a saved page helps on."""

import json
import shutil

import pytest
from browser.driver import CLOSE, OPEN, SHOWN
from conftest import NOTEBOOKS

from barmath.panels.saved import TO_START

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


SAVE = "() => jupyterapp.commands.execute('docmanager:save').then(() => null)"
OPEN_WITHOUT_KERNEL = OPEN.replace("{path}", "{path, kernelPreference: {shouldStart: false, canStart: true}}")
OF_IPYWIDGETS = ("model not found", "Error displaying widget", "Loading widget")


@pytest.fixture
def saved(open_notebook, lab):
    """The path of a notebook that was run, saved with its outputs and closed."""
    file = lab.root / "notebooks" / "bench" / "saved.ipynb"
    shutil.copy(lab.root / "notebooks" / "bench" / "start.ipynb", file)
    notebook = open_notebook("saved")
    notebook.run_all()
    notebook.page.locator(".barmath-panel").first.wait_for()
    assert not notebook.page.get_by_text(TO_START).first.is_visible()
    notebook.page.evaluate(SAVE)
    notebook.page.evaluate(CLOSE)
    yield notebook.page, file.relative_to(lab.root).as_posix()
    file.unlink()


@pytest.mark.parametrize("how", [OPEN, OPEN_WITHOUT_KERNEL], ids=["new kernel", "no kernel"])
def test_a_saved_page_says_how_to_start_and_no_more(saved, how):
    page, path = saved
    page.evaluate(how, path)
    assert page.evaluate(SHOWN) == path
    page.get_by_text(TO_START).first.wait_for(timeout=60_000)
    page.wait_for_timeout(3000)  # ipywidgets looks for the widget two seconds
    assert page.get_by_text(TO_START).first.is_visible()
    assert [words for words in OF_IPYWIDGETS if any(one.is_visible() for one in page.get_by_text(words).all())] == []
