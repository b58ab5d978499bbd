"""What one looks at is beside what one sets, words can be read in the dark, and lines and tables are not too long."""

import io

import numpy as np
import pytest
from browser.driver import SHARED, open_lab, open_page
from browser.in_the_dark import DARK_ARROWS, DIM_WORDS
from browser.out_of_line import LEFT_EDGES, RIGHT_EDGES, out_of_line
from PIL import Image

WITH_A_BAR = ("01_order_to_bench", "07_check_the_finished_bar", "08_fit_the_crossbar", "12_two_bars_compared")
WINDOW_PX = 1000

SEEN = """part => {
    const {top, bottom} = part.getBoundingClientRect();
    const page = document.querySelector('#rendered_cells').getBoundingClientRect();
    return Math.max(0, Math.min(bottom, page.bottom) - Math.max(top, page.top)) / (bottom - top);
}"""
"""The share of a part's height that is in the window."""


@pytest.mark.parametrize("page", [(name, width, WINDOW_PX) for name in WITH_A_BAR for width in (820, 1280)], **SHARED)
def test_the_bar_is_in_view_beside_the_first_sliders(page):
    bar = page.locator(".barmath-film canvas").first
    for slider in page.locator(".barmath-controls .noUi-handle").all()[:3]:
        slider.evaluate("handle => handle.scrollIntoView({block: 'end'})")
        assert bar.evaluate(SEEN) > 0.9, f"the bar is out of sight where {slider.get_attribute('aria-label')} is set"


@pytest.mark.parametrize("page", [("07_check_the_finished_bar", 1280, WINDOW_PX)], **SHARED)
def test_the_pictures_go_along_with_the_readings_beside_them(page):
    last = page.get_by_label("Rocking within").and_(page.locator("input")).first
    last.evaluate("box => box.scrollIntoView({block: 'end'})")
    assert page.locator(".barmath-shown .js-plotly-plot").first.evaluate(SEEN) > 0.9


@pytest.mark.parametrize("page", [("01_order_to_bench", 1280, WINDOW_PX)], **SHARED)
def test_pictures_higher_than_the_window_go_along_with_their_lower_end(page):
    shown = page.locator(".barmath-shown").first
    assert shown.evaluate("part => part.offsetHeight") > WINDOW_PX, "this page shows nothing of the kind"
    end = "part => part.getBoundingClientRect().bottom"
    below = page.locator(".barmath-below").first
    below.evaluate("part => part.scrollIntoView({block: 'end'})")
    window = page.locator("#rendered_cells").evaluate(end)
    assert shown.evaluate(end) == pytest.approx(min(window, below.evaluate(end)), abs=40)


ONE_LEFT_EDGE = ("start", "07_check_the_finished_bar", "09_keep_the_record", "the_week")


@pytest.mark.parametrize("page", [(name, 1280, 900) for name in dict.fromkeys((*ONE_LEFT_EDGE, *WITH_A_BAR))], **SHARED)
def test_the_parts_of_a_page_begin_and_end_at_one_place_and_no_words_of_a_chart_collide(page):
    assert page.evaluate(RIGHT_EDGES) == []
    if page.name in ONE_LEFT_EDGE:
        assert len(page.evaluate(LEFT_EDGES)) == 1
    assert out_of_line(page) == []


def shares_of_background(picture: bytes) -> list[float]:
    """How much of the left and of the right edge of a picture has the colour of its upper left corner."""
    pixels = np.asarray(Image.open(io.BytesIO(picture)).convert("RGB"))
    return [float((pixels[:, side] == pixels[0, 0]).all(-1).mean()) for side in (slice(0, 3), slice(-3, None))]


@pytest.mark.parametrize("width", [820, 1280])
def test_no_word_and_no_part_of_the_bar_of_the_first_lesson_is_cut(open_notebook, width):
    notebook = open_notebook("00_start_here", width=width)
    notebook.run_all()
    notebook.show_every_answer()
    scene = notebook.page.locator(".js-plotly-plot:has(.gl-container)").first
    scene.scroll_into_view_if_needed()
    notebook.page.wait_for_timeout(3000)
    assert shares_of_background(scene.screenshot()) == [1.0, 1.0]


def test_tab_goes_down_a_narrow_page_as_its_parts_are_shown(browser, lab):
    page = open_page(browser, lab, "01_order_to_bench", width=820)
    page.wait_for_timeout(1500)  # chromium takes up the order of the grid a moment after all is drawn
    page.get_by_label("Names of the parts").first.focus()
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.getAttribute('aria-label')") == "Rise"
    numbers = page.get_by_label("To set at the bench").bounding_box()
    assert numbers["y"] < page.locator(".barmath-controls").first.bounding_box()["y"]
    page.context.close()


LONG = """() => [...document.querySelectorAll('.jp-RenderedMarkdown > p, .jp-RenderedMarkdown > ul > li,' +
    '.barmath-panel > .widget-html table.barmath')].filter(part => part.clientWidth > 870).map(part => part.innerText)
"""
FAR = """() => [...document.querySelectorAll('.barmath-panel > .widget-html table.barmath tr')].filter(row =>
    row.children.length === 2 && row.lastChild.matches('.number') && row.clientWidth > 440).map(row => row.innerText)"""
"""Lines of a lesson that are too long to read, and names of a table with their number far away."""


def test_lines_and_tables_of_a_lesson_are_as_long_as_one_reads_on_a_wide_screen(open_notebook):
    notebook = open_notebook("03_rise_against_die", width=1920)
    notebook.run_all()
    notebook.show_every_answer()
    assert notebook.page.evaluate(LONG) == []
    assert notebook.page.evaluate(FAR) == []


TYPE = """() => [...new Set([...document.querySelectorAll('.jp-RenderedMarkdown > p,' +
    '.barmath-bet :is(p, .barmath-message)')].map(part => getComputedStyle(part).fontSize))]"""
SPACING = """() => [...new Set([...document.querySelectorAll('.barmath-bet :is(p, .barmath-message)')].map(
    part => getComputedStyle(part).lineHeight))]"""
BEGINS = """() => [...new Set([...document.querySelectorAll(
    '.jp-RenderedMarkdown > :is(p, h2), .barmath-bet p.barmath')].filter(
    part => part.checkVisibility()).map(part => Math.round(part.getBoundingClientRect().left)))]"""


def test_the_words_of_a_lesson_have_one_size_and_those_of_a_bet_one_spacing(open_notebook):
    notebook = open_notebook("13_will_it_hold")
    notebook.run_all()
    notebook.show_every_answer()
    assert len(notebook.page.evaluate(TYPE)) == 1
    assert len(notebook.page.evaluate(SPACING)) == 1
    assert len(notebook.page.evaluate(BEGINS)) == 1, "prose and panels begin at different places"


THEME = "theme => jupyterapp.commands.execute('apputils:change-theme', {theme}).then(() => null)"


@pytest.fixture
def dark(browser, lab):
    """A page of its own in the dark theme: a page that changes its theme complains a moment later."""
    page = open_lab(browser, lab)
    for theme, light in (("Dark", "false"), ("Light", "true")):
        page.evaluate(THEME, f"JupyterLab {theme}")
        page.wait_for_function(f"() => document.body.dataset.jpThemeLight === '{light}'")
        if theme == "Dark":
            yield page


@pytest.mark.parametrize(
    ("name", "is_dark"), [("at_the_bench", False), ("the_week", True), ("01_order_to_bench", True)]
)
def test_labels_words_and_arrows_of_a_bench_page_can_be_seen_in_the_dark_theme(open_notebook, dark, name, is_dark):
    notebook = open_notebook(name, page=dark)
    notebook.run_all()
    assert dark.locator(".barmath-panel .barmath-label").count() > 3
    assert dark.evaluate(DIM_WORDS) == []
    if is_dark:  # the page at the bench has white paper in either theme
        assert dark.evaluate(DARK_ARROWS) == 0


def test_the_buttons_at_the_bench_hide_what_is_below_them_in_forced_colours_too(browser, lab):
    page = open_page(browser, lab, "at_the_bench")
    page.emulate_media(forced_colors="active")
    bar, seen = (page.locator(part).first.bounding_box() for part in (".barmath-bench-bar", "#rendered_cells"))
    assert bar["y"] + bar["height"] >= seen["y"] + seen["height"] - 1
    page.context.close()


CARDS_OF_A_ROW = """() => {
    const grid = document.querySelector('.barmath-panel div[style*="grid"], .jp-OutputArea div[style*="grid"]');
    const cards = [...grid.children].map(card => card.getBoundingClientRect());
    const row = cards.filter(card => Math.abs(card.top - cards[0].top) < 1);
    const room = grid.getBoundingClientRect();
    return [row.length, Math.round(row[0].left - room.left), Math.round(room.right - row.at(-1).right)];
}"""


def test_the_cards_of_the_words_are_together_as_wide_as_the_page(open_notebook):
    notebook = open_notebook("14_words_of_the_trade")
    notebook.run_all()
    for width, count in ((820, 2), (1280, 3)):
        notebook.page.set_viewport_size({"width": width, "height": 900})
        notebook.page.wait_for_function(f"() => ({CARDS_OF_A_ROW})()[0] === {count}")
        assert notebook.page.evaluate(CARDS_OF_A_ROW) == [count, 0, 0]
