"""The page at the bench on a tablet and a phone: large figures and targets, by thumb and by keys, after a reload."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.driver import open_page
from browser.test_every_notebook import BROKEN, WCAG_22_AA

from barmath.panels.bench_page_state import PAGE_FILE

NAME = "at_the_bench"
MM = 96.0 / 25.4  # CSS pixels
TABLET, WIDE, PHONES = (820, 1180), ((1280, 900), (1180, 820)), ((390, 844), (360, 780))

FIGURES_MM = """() => [...document.querySelectorAll('.barmath-bench-figure')].map(figure => {
    const pen = document.createElement('canvas').getContext('2d'), look = getComputedStyle(figure);
    pen.font = `${look.fontWeight} ${look.fontSize} ${look.fontFamily}`;
    return pen.measureText('0').actualBoundingBoxAscent * 25.4 / 96;
})"""
"""How high a digit of each large figure is, mm."""

TARGETS = """() => [...document.querySelectorAll('.barmath-bench-bar button, .barmath-bench-read input')]
    .map(part => part.getBoundingClientRect()).map(box => Math.min(box.width, box.height))"""
CUT_WORDS = """() => [...document.querySelectorAll('.barmath-bench-bar button')].filter(
    part => part.scrollWidth > part.clientWidth || part.scrollHeight > part.clientHeight).map(part => part.innerText)"""
"""The buttons that do not show all of their words."""

TITLE = "() => document.querySelector('.barmath-bench-head h1')?.innerText"
IN_VIEW = """() => ['head', 'picture', 'figures', 'bar'].every(part => {
    const box = document.querySelector('.barmath-bench-' + part).getBoundingClientRect();
    return box.top >= -1 && box.bottom <= innerHeight + 1 && box.right <= innerWidth + 1;
})"""

HIDDEN = """() => {
    const top = document.querySelector('.barmath-bench-bar').getBoundingClientRect().top;
    const parts = [...document.querySelectorAll('.barmath-bench-line, .barmath-bench-read')];
    return parts.filter(part => part.getBoundingClientRect().bottom > top + 1).map(part => part.innerText);
}"""
"""The figures and the box that are behind the buttons."""

SIGNS_OVERLAP = """() => {
    const signs = [...document.querySelectorAll('.barmath-bench-picture span')].filter(
        sign => /^([LR]|[0-9.]+°)$/.test(sign.innerText) && sign.checkVisibility()).map(
        sign => [sign.innerText, sign.getBoundingClientRect()]);
    const over = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
    const frame = document.querySelector('.barmath-bench-picture').getBoundingClientRect();
    const out = ([, a]) => a.left < frame.left || a.right > frame.right || a.top < frame.top || a.bottom > frame.bottom;
    return [signs.filter(sign => !out(sign)).length, signs.flatMap(([one, a], place) =>
        signs.slice(place + 1).filter(([, b]) => over(a, b)).map(([other]) => one + ' ' + other))];
}"""
"""How many letters and readings are seen whole in the picture, and which of them are over each other."""


@pytest.fixture(scope="module")
def page(browser, lab):
    """The page, open on a tablet; its file is put away before and after. The tests go on from screen to screen."""
    file = lab.root / "notebooks" / "demo" / PAGE_FILE
    file.unlink(missing_ok=True)
    one = open_page(browser, lab, NAME, *TABLET)
    yield one
    one.context.close()
    file.unlink(missing_ok=True)


def wait_for(page, title):
    page.wait_for_function(f"words => ({TITLE})()?.includes(words)", arg=title, timeout=60_000)


def go_on(page, *titles):
    for title in titles:
        page.locator(".barmath-bench-next").tap()
        wait_for(page, title)


def test_a_step_fits_its_screen_with_large_figures_and_targets(page):
    go_on(page, "Cut", "1. Right inner")
    for title in ("2. Left inner", "3. Right outer"):
        go_on(page, title)
        page.locator(f".barmath-bench-picture canvas[aria-label*='{title}']").wait_for(timeout=60_000)
        page.wait_for_function(f"() => ({SIGNS_OVERLAP})()[0] === 3", timeout=60_000)
        assert page.evaluate(SIGNS_OVERLAP)[1] == []
    page.locator(".barmath-bench-picture canvas[aria-label*='3. Right outer']").wait_for(timeout=60_000)
    assert page.locator(".jp-InputArea, .cm-editor").count() == 0
    assert [words for words in BROKEN if page.get_by_text(words).count()] == []
    for size in (*PHONES, *WIDE, TABLET):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.wait_for_timeout(400)
        assert page.evaluate("() => document.documentElement.scrollWidth - innerWidth") <= 0
        assert len(page.evaluate(FIGURES_MM)) == 3
        assert min(page.evaluate(FIGURES_MM)) >= (8.0 if size in PHONES else 15.0)
        assert min(page.evaluate(TARGETS)) >= 48
        assert page.evaluate(IN_VIEW), size
        assert page.evaluate(HIDDEN) == [], size
    found = Axe().run(page, options={"runOnly": WCAG_22_AA, "selectors": False}).response
    assert [(rule["id"], node["html"][:200]) for rule in found["violations"] for node in rule["nodes"]] == []
    page.locator(".barmath-bench-scrap").tap()
    page.get_by_role("button", name="Yes, scrap").wait_for(timeout=60_000)
    for size in ((320, 640), *PHONES, *WIDE, TABLET):
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.wait_for_timeout(400)
        assert page.evaluate(CUT_WORDS) == [], size


def test_keys_go_on_and_back_and_a_typed_arrow_does_not(page):
    for title in ("2. Left inner", "1. Right inner"):
        page.keyboard.press("ArrowLeft")
        wait_for(page, title)
    page.locator(".barmath-bench-read input").fill("29.4")
    page.locator(".barmath-bench-read input").press("ArrowRight")
    page.locator(".barmath-bench-read input").press("Tab")
    page.get_by_text("Next time set").wait_for(timeout=60_000)
    page.keyboard.press("PageDown")
    wait_for(page, "2. Left inner")
    page.keyboard.press("ArrowLeft")
    wait_for(page, "1. Right inner")


def test_a_reload_and_another_machine_go_on_where_one_was(page, browser, lab):
    assert page.left == []
    assert page.problems == []
    page.reload()
    page.wait_for_selector(".barmath-panel", timeout=120_000)
    other = open_page(browser, lab, NAME, *PHONES[0])
    for again in (page, other):
        wait_for(again, "1. Right inner")
        assert again.locator(".barmath-bench-read input").input_value() == "29.4"
    other.context.close()


def test_each_button_shows_its_whole_words_on_a_phone_while_scrap_is_asked_once_more(page):
    go_on(page, "2. Left inner", "3. Right outer", "4. Left outer", "Check the bar")
    for size in PHONES:
        page.set_viewport_size({"width": size[0], "height": size[1]})
        page.get_by_text("Go on unchecked").wait_for(timeout=60_000)
        assert page.evaluate(CUT_WORDS) == []
    page.locator(".barmath-bench-scrap").tap()
    page.get_by_role("button", name="Yes, scrap").wait_for(timeout=60_000)
    assert page.evaluate(CUT_WORDS) == []
    assert min(size for size in page.evaluate(TARGETS) if size) >= 48  # the box for a bend is hidden here
    page.get_by_role("button", name="Yes, scrap").tap()
    wait_for(page, "Which bar?")
    page.get_by_text("Cut a new tube for").wait_for(timeout=60_000)
