"""The README's command opens the main job."""

from browser.driver import READY


def test_the_readmes_command_opens_the_main_job(browser, lab):
    page = browser.new_page()
    page.goto(lab.url(""))
    page.wait_for_function(READY)
    assert (
        page.evaluate("() => jupyterapp.shell.currentWidget.context.path") == "notebooks/bench/01_order_to_bench.ipynb"
    )
    page.close()
