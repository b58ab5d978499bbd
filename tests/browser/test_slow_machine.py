"""A panel works on a machine several times slower than the one that runs the tests."""

from browser.driver import open_lab

SLOWER = 5
FILLED = """() => {
    const shown = document.querySelector('.js-plotly-plot')._fullData.filter(trace => trace.visible === true);
    return shown.length && shown.every(trace => trace.x.length);
}"""
"""Whether the first figure shows its traces: a figure's data are sent before its drawing program is loaded."""


def test_a_figure_that_loads_slowly_still_appears_with_all_its_traces_and_moves(open_notebook, browser, lab):
    page = open_lab(browser, lab)  # one that has loaded no figure yet
    page.context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    notebook = open_notebook("01_order_to_bench", page=page)
    notebook.run_all()
    notebook.figure_data()
    notebook.page.wait_for_function(FILLED, timeout=60_000)
    before = notebook.figure_data()
    notebook.focus("Rise")
    notebook.press("ArrowRight")
    notebook.figure_data_after(before)
    assert notebook.problems == []
