"""A panel whose kernel was restarted, killed or is busy, or whose connection is lost, says so and takes no click."""

import pytest
from browser.driver import open_lab

MAIN = "01_order_to_bench"
KERNEL = "jupyterapp.shell.currentWidget.context.sessionContext.session.kernel"
BUSY_CELL = """() => {
    const future = KERNEL.requestExecute({code: 'import ctypes; ctypes.PyDLL(None).usleep(4_000_000)'});
    return null;
}""".replace("KERNEL", KERNEL)
"""Four seconds in which no thread of the kernel runs: ctypes.PyDLL keeps Python's lock."""


@pytest.fixture
def panel(open_notebook, browser, lab):
    notebook = open_notebook(MAIN, page=open_lab(browser, lab))  # a kernel that died leaves its marks on a page
    notebook.run_all()
    notebook.figure_data()
    return notebook


def press_the_button(notebook):
    notebook.page.get_by_role("button", name="Write the bench sheet").click(timeout=3000)


@pytest.mark.parametrize("how", ["restart", "kill", "shutdown"])
def test_after_the_kernel_is_gone_the_panel_says_so_and_takes_no_click(panel, how):
    if how == "kill":
        panel.page.evaluate(f"() => {{ {KERNEL}.requestExecute({{code: 'import os; os._exit(1)'}}); return null; }}")
    else:
        panel.page.evaluate(f"() => {KERNEL}.{how}().then(() => null)")
    panel.page.get_by_text("Cut off.").first.wait_for(timeout=30_000)
    if how == "kill":  # JupyterLab's own word on it
        panel.page.locator(".jp-Dialog button").last.click()
    with pytest.raises(Exception, match="Timeout"):
        press_the_button(panel)
    assert not panel.shows("Written to")
    if how != "shutdown":
        panel.page.wait_for_function(f"() => {KERNEL}?.status === 'idle'", timeout=60_000)
        assert panel.shows("Cut off.")  # the new kernel does not know this panel
        panel.run_all()
        panel.figure_data()
        assert not panel.shows("Cut off.")
        before = panel.figure_data()
        panel.focus("Rise")
        panel.press("ArrowRight")
        panel.figure_data_after(before)


def test_while_the_connection_is_lost_the_panel_says_so(panel):
    panel.page.evaluate(f"() => {{ {KERNEL}._ws.close(); return null; }}")
    panel.page.get_by_text("No connection.").first.wait_for(timeout=10_000)
    panel.page.get_by_text("No connection.").first.wait_for(state="detached", timeout=30_000)
    before = panel.figure_data()
    panel.focus("Rise")
    panel.press("ArrowRight")
    panel.figure_data_after(before)


def test_while_python_is_busy_the_panel_says_that_the_click_is_not_done(panel):
    (panel.folder / "sheets" / "order 7.pdf").unlink(missing_ok=True)  # another test may have printed it
    panel.page.evaluate(BUSY_CELL)
    panel.page.wait_for_timeout(300)
    press_the_button(panel)
    panel.page.get_by_text("Python is busy.").first.wait_for(timeout=10_000)
    assert not panel.shows("Written to")
    panel.page.get_by_text("Written to sheets/order 7.pdf").wait_for(timeout=30_000)
    panel.page.get_by_text("Python is busy.").first.wait_for(state="detached", timeout=10_000)
