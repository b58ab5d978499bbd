"""The bench in space of lesson 05 in a real browser: nothing of it overlaps or is cut at three widths."""

import pytest

LESSON = "05_why_the_sequence_of_bends_matters"


@pytest.mark.parametrize("width", [820, 1280, 1920])
def test_nothing_of_the_bench_overlaps_or_is_cut(open_notebook, width):
    notebook = open_notebook(LESSON, width=width)
    notebook.run_all()
    panel = notebook.page.locator(".barmath-panel:has(.barmath-bench)").first
    panel.locator("canvas").first.wait_for()
    notebook.page.wait_for_timeout(1500)
    assert panel.evaluate("panel => panel.scrollWidth - panel.clientWidth") <= 1
    film, words = (panel.locator(which).first.bounding_box() for which in (".barmath-film", ".barmath-words"))
    beside = words["x"] >= film["x"] + film["width"] - 1
    below = words["y"] >= film["y"] + film["height"] - 1
    assert beside or below
    bar, canvas = (panel.locator(which).first.bounding_box() for which in (".barmath-filmbar", "canvas"))
    assert bar["y"] >= canvas["y"] + canvas["height"] - 1
    assert bar["y"] + bar["height"] <= film["y"] + film["height"] + 1
