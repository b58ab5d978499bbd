"""The page at the bench on a tablet and a phone: large figures and targets, by thumb and by keys, after a reload."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.driver import open_page
from browser.test_every_notebook import BROKEN, WCAG_22_AA

from barmath.panels.bench_page_state import PAGE_FILE

NAME = "at_the_bench"
MM = 96.0 / 25.4  # CSS pixels
TABLET, PHONE = (820, 1180), (360, 780)

FIGURES_MM = """() => [...document.querySelectorAll('.barmath-bench-figure')].map(figure => {
    const pen = document.createElement('canvas').getContext('2d'), look = getComputedStyle(figure);
    pen.font = `${look.fontWeight} ${look.fontSize} ${look.fontFamily}`;
    return pen.measureText('0').actualBoundingBoxAscent * 25.4 / 96;
})"""
"""How high a digit of each large figure is, mm."""

TARGETS = """() => [...document.querySelectorAll('.barmath-bench-bar button, .barmath-bench-read input')]
    .map(part => part.getBoundingClientRect()).map(box => Math.min(box.width, box.height))"""
TITLE = "() => document.querySelector('.barmath-bench-head h1')?.innerText"
IN_VIEW = """() => ['head', 'picture', 'figures', 'bar'].every(part => {
    const box = document.querySelector('.barmath-bench-' + part).getBoundingClientRect();
    return box.top >= -1 && box.bottom <= innerHeight + 1 && box.right <= innerWidth + 1;
})"""


@pytest.fixture
def bench(browser, lab):
    """`bench(size)` opens the page as it was left; at the first one its file is put away."""
    file, opened = lab.root / "notebooks" / "demo" / PAGE_FILE, []
    file.unlink(missing_ok=True)

    def open_one(size=TABLET):
        opened.append(open_page(browser, lab, NAME, *size))
        return opened[-1]

    yield open_one
    for page in opened:
        page.context.close()
    file.unlink(missing_ok=True)


def wait_for(page, title):
    page.wait_for_function(f"words => ({TITLE})()?.includes(words)", arg=title)


def go_on(page, *titles):
    for title in titles:
        page.locator(".barmath-bench-next").tap()
        wait_for(page, title)


@pytest.mark.parametrize("size", [TABLET, PHONE], ids=["tablet", "phone"])
def test_a_step_fits_its_screen_with_large_figures_and_targets(bench, size):
    page = bench(size)
    assert page.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0
    go_on(page, "Cut", "1. Right inner", "2. Left inner", "3. Right outer")
    page.wait_for_timeout(300)
    assert len(page.evaluate(FIGURES_MM)) == 3
    assert min(page.evaluate(FIGURES_MM)) >= (15.0 if size == TABLET else 8.0)
    assert min(page.evaluate(TARGETS)) >= 48
    assert page.evaluate(IN_VIEW)
    assert page.locator("svg.barmath-held, svg.barmath-finder").count() == 2
    assert page.locator(".jp-InputArea, .cm-editor").count() == 0
    found = Axe().run(page, options={"runOnly": WCAG_22_AA}).response
    assert [(rule["id"], node["html"][:200]) for rule in found["violations"] for node in rule["nodes"]] == []
    assert [words for words in BROKEN if page.get_by_text(words).count()] == []
    assert page.left == []
    assert page.problems == []


def test_keys_go_on_and_back_and_a_typed_arrow_does_not(bench):
    page = bench()
    go_on(page, "Cut")
    page.keyboard.press("ArrowRight")
    wait_for(page, "1. Right inner")
    page.locator(".barmath-bench-read input").fill("29.4")
    page.locator(".barmath-bench-read input").press("ArrowRight")
    page.locator(".barmath-bench-read input").press("Tab")
    page.get_by_text("Next time set").wait_for()
    page.keyboard.press("PageDown")
    wait_for(page, "2. Left inner")
    page.keyboard.press("ArrowLeft")
    wait_for(page, "1. Right inner")


def test_a_reload_and_another_machine_go_on_where_one_was(bench):
    page = bench()
    go_on(page, "Cut", "1. Right inner")
    page.locator(".barmath-bench-read input").fill("29.4")
    page.locator(".barmath-bench-read input").press("Tab")
    page.get_by_text("Next time set").wait_for()
    for again in (bench(), bench(PHONE)):
        wait_for(again, "1. Right inner")
        assert again.locator(".barmath-bench-read input").input_value() == "29.4"
