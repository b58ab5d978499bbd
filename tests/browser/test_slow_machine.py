"""A panel works on a machine several times slower than the one that runs the tests."""

SLOWER = 5


def test_a_figure_that_loads_slowly_still_appears_and_moves(open_notebook):
    notebook = open_notebook("01_order_to_bench")
    tools = notebook.page.context.new_cdp_session(notebook.page)
    tools.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    notebook.run_all()
    before = notebook.figure_data()
    notebook.focus("Rise")
    notebook.press("ArrowRight")
    notebook.figure_data_after(before)
    assert notebook.problems == []
