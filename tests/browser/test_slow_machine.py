"""A panel works on a machine several times slower than the one that runs the tests."""

from browser.driver import open_lab

SLOWER = 5


def test_a_figure_that_loads_slowly_still_appears_and_moves(open_notebook, browser, lab):
    page = open_lab(browser, lab)  # one that has loaded no figure yet
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    notebook = open_notebook("01_order_to_bench", page=page)
    notebook.run_all()
    before = notebook.figure_data()
    notebook.focus("Rise")
    notebook.press("ArrowRight")
    notebook.figure_data_after(before)
    assert notebook.problems == []
