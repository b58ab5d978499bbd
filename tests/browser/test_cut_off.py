"""A panel whose kernel was restarted, killed or is busy, or whose connection is lost, says so and takes no click."""

import pytest
from browser.driver import BE_BUSY, KERNEL, NotebookPage, open_lab

MAIN = "01_order_to_bench"
LOSE = """() => {
    const kernel = KERNEL;
    window.socketBefore = kernel.serverSettings.WebSocket;
    kernel.serverSettings.WebSocket = function () { return {close() {}, send() {}}; };
    kernel._ws.close();
    return null;
}""".replace("KERNEL", KERNEL)
FIND = """() => {
    const kernel = KERNEL;
    kernel.serverSettings.WebSocket = window.socketBefore;
    return kernel.reconnect().then(() => null);
}""".replace("KERNEL", KERNEL)
"""JupyterLab connects again within milliseconds if it can: in between it gets sockets that never open."""


@pytest.fixture(scope="module")
def opened(browser, lab):
    """One page for all tests here, and no other's: a kernel that died leaves its marks on a page."""
    notebook = NotebookPage(open_lab(browser, lab), lab, MAIN)
    yield notebook
    notebook.page.context.close()


@pytest.fixture
def panel(opened):
    opened.run_all()
    opened.figure_data()
    opened.page.get_by_text("Cut off.").first.wait_for(state="detached")
    return opened


def sheet_of(notebook):
    """Where the panel writes its sheet; what another test has written is gone."""
    sheet = notebook.folder / "sheets" / "bar by hand.pdf"
    sheet.unlink(missing_ok=True)
    return sheet


def press_the_button(notebook):
    notebook.page.get_by_role("button", name="Write the bench sheet").click(timeout=3000)


def follows_a_key(panel):
    before = panel.figure_data()
    panel.focus("Rise")
    panel.press("ArrowRight")
    panel.figure_data_after(before)


def test_while_the_connection_is_lost_the_panel_says_so(panel):
    lost = panel.page.get_by_text("No connection.").first
    panel.page.evaluate(LOSE)
    try:
        lost.wait_for(timeout=30_000)
    finally:
        panel.page.evaluate(FIND)
    lost.wait_for(state="detached", timeout=60_000)
    follows_a_key(panel)


def test_while_python_is_busy_the_panel_says_that_the_click_is_not_done(panel):
    sheet = sheet_of(panel)
    panel.page.evaluate(BE_BUSY, 4)
    panel.page.wait_for_timeout(300)
    press_the_button(panel)
    panel.page.get_by_text("Python is busy.").first.wait_for(timeout=30_000)
    assert not sheet.exists()
    panel.page.get_by_text("Written to sheets/bar by hand.pdf").wait_for(timeout=30_000)
    assert sheet.exists()
    panel.page.get_by_text("Python is busy.").first.wait_for(state="detached", timeout=30_000)


@pytest.mark.parametrize("how", ["restart", "kill", "shutdown"])
def test_after_the_kernel_is_gone_the_panel_says_so_and_takes_no_click(panel, how):
    if how == "kill":
        panel.page.evaluate(f"() => {{ {KERNEL}.requestExecute({{code: 'import os; os._exit(1)'}}); return null; }}")
    else:
        panel.page.evaluate(f"() => {KERNEL}.{how}().then(() => null)")
    panel.page.get_by_text("Cut off.").first.wait_for(timeout=60_000)
    if how == "kill":  # JupyterLab's own word on it
        panel.page.locator(".jp-Dialog button").last.click()
    sheet = sheet_of(panel)
    with pytest.raises(Exception, match="Timeout"):
        press_the_button(panel)
    assert not sheet.exists()
    if how != "shutdown":
        panel.page.wait_for_function(f"() => {KERNEL}?.status === 'idle'", timeout=60_000)
        assert panel.shows("Cut off.")  # the new kernel does not know this panel
        panel.run_all()
        panel.page.get_by_text("Cut off.").first.wait_for(state="detached")
        follows_a_key(panel)
