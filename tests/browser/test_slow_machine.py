"""A panel works on a machine several times slower than the one that runs the tests."""

SLOWER = 5


def slowed(notebook):
    tools = notebook.page.context.new_cdp_session(notebook.page)
    tools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    return notebook


def test_a_picture_that_loads_slowly_still_appears(open_notebook):
    notebook = slowed(open_notebook("00_start_here"))
    notebook.run_all()
    notebook.figure_data()
    assert notebook.problems == []


def test_a_figure_that_loads_slowly_still_appears_and_moves(open_notebook):
    notebook = slowed(open_notebook("01_order_to_bench"))
    notebook.run_all()
    before = notebook.figure_data()
    notebook.focus("Rise")
    notebook.press("ArrowRight")
    notebook.figure_data_after(before)
    assert notebook.problems == []
