"""The README's command opens the main job as a page to work in, and every page keeps to this machine."""

import io

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.calm import wait_until_calm
from browser.driver import SHARED, SHOWN, START_S, open_page
from browser.out_of_line import ON_EACH_OTHER_IN_SPACE
from browser.test_every_notebook import BROKEN, CUT_OFF, WCAG_22_AA
from PIL import Image

FIRST = "01_order_to_bench"
PAGES = [FIRST, "start", "the_week", "07_check_the_finished_bar", "08_fit_the_crossbar", "12_two_bars_compared",
         "09_keep_the_record", "10_print_the_wall_charts"]  # fmt: skip
WIDTHS = {1280: 900, 820: 1180, 320: 640}
ONE_WIDTH = {name: 320 if name == "09_keep_the_record" else 820 for name in PAGES if name != FIRST}
"""The other pages have one width each: the widest table is looked at on the narrowest page."""

SIDEWAYS = "() => document.documentElement.scrollWidth - innerWidth"
REACHES_ITS_END = """() => {
    const page = document.querySelector('main'), last = [...document.querySelectorAll('.barmath-panel')].at(-1);
    page.scrollTop = page.scrollHeight;
    const end = last.getBoundingClientRect().bottom;
    page.scrollTop = 0;
    return end <= innerHeight + 1;
}"""
"""Whether one can scroll to the end of the last panel."""

WITHOUT_EDGE = """() => [...document.querySelectorAll('.barmath-panel .noUi-target, .barmath-panel button')]
    .filter(part => part.checkVisibility() && getComputedStyle(part).borderTopStyle === 'none')
    .map(part => part.outerHTML.slice(0, 90))"""
"""Sliders and buttons that nothing but a colour of their own would show."""

WORDS_CUT = """() => [...document.querySelectorAll('.barmath-panel .js-plotly-plot')].flatMap(plot => {
    const end = plot.getBoundingClientRect().right + 1;
    return [...plot.querySelectorAll('text')].filter(words => words.checkVisibility() &&
        words.getBoundingClientRect().right > end).map(words => words.textContent);
})"""
"""Words of charts that reach beyond their chart."""

FETCHED_PLOTLY = """() => performance.getEntriesByType('resource').map(({name}) => name)
    .filter(name => name.includes('plotly'))"""

SMALL = """() => [...document.querySelectorAll('nav a, .barmath-panel button, .noUi-handle, .barmath-panel select')]
    .filter(part => part.checkVisibility()).map(part => [part.getBoundingClientRect(), part.outerHTML.slice(0, 90)])
    .filter(([box]) => Math.min(box.width, box.height) < 24).map(([, words]) => words)"""
THIN = """() => [...document.querySelectorAll('.barmath-panel td:not(.number, :first-child)')].filter(
    cell => cell.clientHeight > 1.5 * cell.clientWidth).map(cell => cell.innerText)"""
"""Cells of a table where a sentence has one word to a line."""
BEYOND = """() => [...document.querySelectorAll('.barmath-panel button')].filter(part => part.checkVisibility() &&
    part.getBoundingClientRect().right > innerWidth).map(part => part.innerText)"""
"""Buttons that one finds only by scrolling sideways."""


@pytest.fixture(scope="module")
def first(browser, lab):
    """What the README's command opens, for all tests that need no page of their own."""
    page = open_page(browser, lab, "")
    yield page
    page.context.close()


def test_the_readmes_command_opens_the_working_panel_without_a_click_and_without_code(first):
    page = first
    assert page.url.split("?")[0].endswith(f"/voila/render/notebooks/bench/{FIRST}.ipynb")
    assert page.locator(".barmath-panel .noUi-handle").first.is_visible()
    assert page.locator(".jp-InputArea, .cm-editor, pre.highlight").count() == 0
    assert page.get_by_text("get notified").count() == 0  # JupyterLab's question whether it may fetch news
    assert page.title() == "Order to bench"
    assert page.evaluate(FETCHED_PLOTLY) == []  # the kernel brings it, once


def test_a_slider_moves_the_bar_of_the_page(first):
    page = first
    before = page.locator(".js-plotly-plot").first.evaluate("plot => JSON.stringify(plot._fullData.map(t => t.x))")
    page.get_by_label("Rise").first.focus()
    page.keyboard.press("ArrowRight")
    page.wait_for_function(
        "old => JSON.stringify(document.querySelector('.js-plotly-plot')._fullData.map(t => t.x)) !== old", arg=before
    )


def test_the_mark_of_a_draft_is_clear_of_the_box_beside_it(first):
    first.get_by_label("Rise").first.press("ArrowRight")
    mark, box = first.locator(".barmath-draft"), first.get_by_label("Order number").first.bounding_box()
    mark.wait_for(timeout=START_S * 1000)
    assert mark.bounding_box()["x"] >= box["x"] + box["width"] + 8


VERDICT_SAYS = """words => words.every(one =>
    document.querySelector('.barmath-shown > .barmath-verdict').innerText.includes(one))"""


def rows_of(table):
    """The words of each row, without what another cell has taken up."""
    return table.evaluate("""table => [...table.tBodies[0].rows].map(row => [...row.cells].slice(1)
        .filter(cell => !cell.hidden).map(cell => cell.textContent))""")


def test_the_table_of_ways_sorts_by_its_heads_and_is_picked_in_by_mouse_and_keys(first):
    page = first
    table = page.get_by_role("table", name="How this shop can make it")
    head = table.get_by_role("columnheader", name="Straight")
    wait_until_calm(page)  # the test before has moved a slider
    given = rows_of(table)
    cannot = [row for row in given if row[3] == "no"]
    assert 0 < len(cannot) < len(given)
    for sort in ("ascending", "descending"):
        head.get_by_role("button").click()
        assert head.get_attribute("aria-sort") == sort
        lengths, unsorted = ([float(row[4]) for row in rows if row[3] != "no"] for rows in (rows_of(table), given))
        assert lengths == sorted(lengths, reverse=sort == "descending") != unsorted
        assert rows_of(table)[-len(cannot) :] == cannot  # what has no length is last both ways
    table.get_by_role("row").nth(2).get_by_text(rows_of(table)[1][0]).click()
    picked = table.get_by_role("radio", checked=True)
    for key in ("ArrowDown", "ArrowUp"):
        before = rows_of(table)
        at = picked.evaluate("radio => radio.closest('tr').sectionRowIndex")
        assert picked.evaluate("radio => radio === document.activeElement")
        die, inner, *_ = before[at]
        page.wait_for_function(VERDICT_SAYS, arg=[f"{die}, ", f" {inner} deg"])
        assert picked.get_attribute("aria-label").startswith(f"{die}, Inner {inner}, Outer ")
        page.keyboard.press(key)
    head.get_by_role("button").click()
    assert head.get_attribute("aria-sort") == "none"
    assert [row[:4] for row in rows_of(table)][: len(given)] == [row[:4] for row in given]


def test_the_lessons_open_beside_the_page_and_nothing_typed_is_lost(first):
    page = first
    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Lessons").click()
    lessons = opened.value
    lessons.wait_for_function(f"() => ({SHOWN})()?.startsWith('notebooks/course/00')")
    assert lessons.get_by_text("get notified").count() == 0
    lessons.close()
    assert page.locator(".barmath-panel .noUi-handle").first.is_visible()


def test_a_sheet_that_is_written_opens_from_its_page(first):
    page = first
    earlier = len(page.problems)  # JupyterLab, opened beside it by the test before, complains of the window's name here
    name = page.get_by_label("Name", exact=True).first
    name.fill("opens from its page")  # another test may have written the usual one
    name.press("Tab")
    page.get_by_role("button", name="Write the bench sheet").click()
    link = page.get_by_role("link", name="Open it to print")
    link.wait_for(timeout=START_S * 1000)
    begins = "async link => (await (await fetch(link.href)).text()).slice(0, 5)"
    assert link.evaluate(begins) == "%PDF-"
    assert page.problems[earlier:] == []


def test_a_page_that_is_left_ends_its_kernel(browser, lab):
    before = lab.kernels()
    page = open_page(browser, lab, "start")
    (kernel,) = lab.kernels() - before
    page.get_by_role("link", name="Check", exact=True).click()
    page.wait_for_url("**/07_check_the_finished_bar.ipynb")
    page.wait_for_selector(".barmath-panel", timeout=START_S * 1000)
    assert kernel not in lab.kernels()
    assert page.problems == []
    page.context.close()


@pytest.mark.parametrize("page", [(FIRST, 820, WIDTHS[820])], **SHARED)
def test_on_a_tablet_the_verdict_is_above_the_boxes_and_forced_colours_leave_every_control_its_edge(page):
    box = page.get_by_label("Room for controls").first
    box.focus()
    verdict = page.locator(".barmath-shown > .barmath-verdict").first.bounding_box()
    assert 0 <= verdict["y"] < verdict["y"] + verdict["height"] < box.bounding_box()["y"]
    assert "Can be made" in page.locator(".barmath-shown > .barmath-verdict").first.inner_text()
    page.emulate_media(forced_colors="active")
    assert page.evaluate(WITHOUT_EDGE) == []


@pytest.mark.parametrize("page", [(FIRST, width, WIDTHS[width]) for width in (1280, 820)], **SHARED)
def test_what_one_sets_at_the_bench_is_read_first_and_without_scrolling(page):
    page.evaluate("() => scrollTo(0, 0)")
    numbers = page.get_by_role("list", name="To set at the bench")
    box, picture = numbers.bounding_box(), page.locator(".barmath-film canvas").first.bounding_box()
    assert 0 < box["y"] < box["y"] + box["height"] < picture["y"]
    assert picture["y"] + picture["height"] < WIDTHS[page.viewport_size["width"]]
    assert page.locator(".barmath-first strong").first.evaluate("one => getComputedStyle(one).fontSize") == "20px"
    assert all(words in numbers.inner_text() for words in ("Inner marks:", "Outer marks:", "Stop", "Clamp reading"))


@pytest.mark.parametrize("page", [(FIRST, 320, WIDTHS[320])], **SHARED)
def test_on_the_narrowest_page_the_bar_fills_its_picture(page):
    picture = page.locator(".barmath-space canvas").first
    seen = np.asarray(Image.open(io.BytesIO(picture.screenshot())).convert("RGB"), int)
    orange = (seen[..., 0] > 120) & (seen[..., 2] < 0.4 * seen[..., 0])  # its bends
    (across,) = np.nonzero(orange.any(axis=0))
    assert across[-1] - across[0] > 0.35 * seen.shape[1]


LOOKED_AT = [(name, width) for name in PAGES for width in WIDTHS if ONE_WIDTH.get(name, width) == width]


@pytest.mark.parametrize("page", [(name, width, WIDTHS[width]) for name, width in LOOKED_AT], **SHARED)
def test_a_page_fits_names_everything_and_asks_nobody_outside(page):
    assert page.evaluate(SIDEWAYS) <= 0
    assert page.evaluate(REACHES_ITS_END)
    assert page.evaluate(CUT_OFF) == []
    assert page.evaluate(WORDS_CUT) == []
    assert page.evaluate(ON_EACH_OTHER_IN_SPACE) == []
    assert page.evaluate(SMALL) == []
    assert page.evaluate(THIN) == []
    assert page.evaluate(BEYOND) == []
    assert [words for words in BROKEN if page.get_by_text(words).count()] == []
    found = Axe().run(page, options={"runOnly": WCAG_22_AA, "selectors": False}).response
    assert [(rule["id"], node["html"][:200]) for rule in found["violations"] for node in rule["nodes"]] == []
    assert page.problems == []
    assert page.left == []


def test_at_twice_the_size_and_on_the_narrowest_page_every_link_is_in_sight(browser, lab):
    page = open_page(browser, lab, "", width=640, height=450)  # a window of 1280 x 900, zoomed to 200 %
    for width, height in ((640, 450), (320, 640)):
        page.set_viewport_size({"width": width, "height": height})
        links = [link.bounding_box() for link in page.locator("nav a").all()]
        assert len(links) > 8
        assert all(0 <= box["x"] < box["x"] + box["width"] <= width and box["height"] >= 24 for box in links)
        assert max(box["y"] + box["height"] for box in links) <= 0.2 * height  # the page itself has the rest
        assert page.evaluate(SIDEWAYS) <= 0
    page.context.close()
