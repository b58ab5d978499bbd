"""From a key on a slider to the picture that has followed, in a real browser."""

import statistics

import pytest
from browser.driver import Lab, NotebookPage, find_chromium, open_lab
from playwright.sync_api import sync_playwright

SLIDERS = {
    "01_order_to_bench": "Rise",
    "04_what_this_shop_can_make": "Rise",
    "05_why_the_order_of_bends_matters": "Through the bends",
    "13_will_it_hold": "Rise",
}
PRESSES = 15

WATCH = """label => {
    const panel = [...document.querySelectorAll('.barmath-panel')].find(
        panel => panel.querySelector(`[aria-label="${label}"]`));
    const plot = panel.querySelector('.js-plotly-plot');
    let pressed = 0;
    document.addEventListener('keydown', () => { pressed = performance.now(); }, {once: true, capture: true});
    window.redrawn = new Promise(done => plot.once('plotly_afterplot', () =>
        requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - pressed)))));
}"""
"""Milliseconds from the next key to the second frame after the figure of that panel was drawn again."""


@pytest.fixture(scope="module")
def opened(project_copy, tmp_path_factory):
    if find_chromium() is None:
        pytest.skip("no browser")
    lab = Lab(project_copy, tmp_path_factory.mktemp("lab"))
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=find_chromium())
        yield lambda name: NotebookPage(open_lab(browser, lab), lab, name)
        browser.close()
    lab.stop()


@pytest.mark.parametrize("name", list(SLIDERS))
def test_a_picture_follows_its_slider(opened, name):
    page = opened(name)
    page.run_all()
    page.focus(SLIDERS[name])
    waits = []
    for press in range(PRESSES):
        page.page.evaluate(WATCH, SLIDERS[name])
        page.page.keyboard.press("ArrowRight" if press % 6 < 3 else "ArrowLeft")
        waits.append(page.page.evaluate("() => window.redrawn") / 1e3)
        page.page.wait_for_timeout(300)
    page.close()
    print(f"\n{name}: key to picture {1e3 * statistics.median(waits):.0f} ms, longest {1e3 * max(waits):.0f} ms")
    assert statistics.median(waits) < 20 * min(waits)
