"""Every notebook opens in a real browser, runs again, and neither the page nor axe-core complains."""

import time
from itertools import product

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.calm import ALL_DRAWN
from browser.driver import CELLS
from browser.in_the_dark import the_words_of_its_drawings_can_be_read_in_the_dark
from browser.out_of_line import out_of_line
from conftest import NOTEBOOKS
from outputs import bare

from barmath.panels.shell import FAULT

NAMES = [path.stem for path in NOTEBOOKS]
BROKEN = [FAULT, "np.float64(", "WebGL is not supported", "Error displaying widget", "Click to show javascript error"]

CUT_OFF = """() => [...document.querySelectorAll('.barmath-panel td, .barmath-panel th')].filter(cell => {
    const right = cell.getBoundingClientRect().right;
    for (let box = cell.parentElement; right && !box.matches('.barmath-panel'); box = box.parentElement)
        if (box.tabIndex === 0 && getComputedStyle(box).overflowX === 'auto') return false;
        else if (box.getClientRects().length && right > box.getBoundingClientRect().right + 1) return true;
    return false;
}).concat([...document.querySelectorAll('.barmath-bet button')].filter(one => one.scrollWidth > one.clientWidth + 1))
    .map(part => part.innerText)"""
"""Cells of tables that reach beyond a box around them, and buttons of bets too narrow for their words.

A box that scrolls, by keys too, cuts nothing off; a part that only passes its contents on (display: contents) has none.
"""

SQUEEZED = """() => [...document.querySelectorAll('table.barmath td:first-child:not(.number)')].filter(cell => {
    const words = document.createRange();
    words.selectNodeContents(cell);
    const {lineHeight} = getComputedStyle(cell);
    return words.getBoundingClientRect().height > 2.5 * parseFloat(lineHeight);
}).map(cell => cell.innerText)"""
"""The names of rows that take three lines or more, because the numbers beside them take the room."""

MARK_CONTROLS = """panel => {
    window.barmathReached ??= (document.addEventListener('focusin', event =>
        window.barmathReached.add(event.target.dataset.place)), new Set());
    document.activeElement.blur(); // a control that has the focus already would not be heard of
    window.barmathReached.clear();
    const entered = {};
    for (const radio of panel.querySelectorAll('input[type=radio]'))
        if (radio.checked || !entered[radio.name]) entered[radio.name] = radio;
    return [...panel.querySelectorAll('input, select, button, .noUi-handle, summary')].filter(part =>
        part.checkVisibility({visibilityProperty: true}) && !part.disabled && !part.closest('[disabled]') &&
        part.type !== 'file' && !part.closest('.js-plotly-plot') &&
        (part.type !== 'radio' || part === entered[part.name])
    ).map((part, place) => { part.dataset.place = place; return part.outerHTML.slice(0, 100); });
}"""
"""Numbers the controls of a panel, and from then on remembers which of them had the focus.

The Tab key enters a group of round buttons at the pressed one, or at its first; other keys go on from there.
"""

REACHED = "() => [...window.barmathReached]"


def missed_by_tab(page):
    """The controls of every panel that the Tab key does not come to from the first one."""
    missed = []
    for panel in page.locator(".barmath-panel").all():
        controls = panel.evaluate(MARK_CONTROLS)
        if not controls:
            continue
        panel.locator("[data-place='0']").first.focus()
        left = controls
        for presses in (len(controls) - 1, len(controls) + 4):  # a list of choices may take two
            for _ in range(presses if left else 0):
                page.keyboard.press("Tab")
            reached = page.evaluate(REACHED)
            left = [control for place, control in enumerate(controls) if str(place) not in reached]
        missed += left
    return missed


UNREADABLE = """plot => [...plot.querySelectorAll('.annotation-text')].some(
    words => words.textContent.trim() && !words.getBoundingClientRect().width
) || Math.abs(plot._fullLayout.width - plot.getBoundingClientRect().width) > 1"""
"""Whether a figure in view was drawn while it was out of sight: words of no size, or another width than its place."""

DRAWN_S, SEEN_S, SETTLED_MS = 0.3, 5, 500


def unreadable(page):
    """Which figures, counted from 0, are not drawn as they should be some seconds after they are scrolled to."""
    wrong = []
    for place, plot in enumerate(page.locator(".js-plotly-plot").all()):
        if not plot.is_visible():
            continue
        plot.evaluate("plot => plot.scrollIntoView({block: 'center'})")
        give_up = time.monotonic() + SEEN_S
        while plot.evaluate(UNREADABLE) and time.monotonic() < give_up:
            page.wait_for_timeout(100)
        if plot.evaluate(UNREADABLE):
            wrong.append(place)
    return wrong


DRAWN = """panel => { const pixels = page => {
    const copy = document.createElement('canvas');
    [copy.width, copy.height] = [page.naturalWidth, page.naturalHeight];
    copy.getContext('2d').drawImage(page, 0, 0);
    return copy.toDataURL();
}; return JSON.stringify([
    ...[...panel.querySelectorAll('.js-plotly-plot')].map(plot => (plot._fullData ?? []).map(
        trace => [trace.x, trace.y, trace.z].map(values => values && Array.from(values)))),
    ...[...panel.querySelectorAll('.barmath-film canvas')].map(picture => picture.toDataURL()),
    ...[...panel.querySelectorAll('img.widget-image')].filter(page => page.checkVisibility()).map(pixels),
])}"""
"""What a panel draws: the traces of its figures, its pictures in space, and its printed pages."""


def drawings(page):
    """What each panel draws that has a slider and a drawing, once all is there and no longer changes."""
    page.wait_for_function(ALL_DRAWN, timeout=60_000)
    figures = page.locator(
        ".barmath-panel:has(.noUi-handle):has(.js-plotly-plot, .barmath-film canvas, img.widget-image)"
    )
    before = None
    while True:
        panels = figures.all()
        drawn = [panel.evaluate(DRAWN) for panel in panels]
        if drawn == before:
            return list(zip(panels, drawn, strict=True))
        before = drawn
        page.wait_for_timeout(SETTLED_MS)


def changes(panel, drawn, within_s):
    """Whether what the panel draws becomes another drawing within some seconds."""
    give_up = time.monotonic() + within_s
    while panel.evaluate(DRAWN) == drawn:
        if time.monotonic() > give_up:
            return False
        panel.page.wait_for_timeout(50)
    return True


def follows(panel, drawn, notebook):
    """Whether what the panel draws follows its sliders or, where it depends on none of them, its choices.

    The first control mostly does; the others are tried together. Each round of keys is given until the kernel has done
    what it asked for: a slow machine may take seconds for it.
    """
    kinds = ((".noUi-handle", "ArrowRight", "ArrowLeft"), ("select", "ArrowDown", "ArrowUp", "ArrowUp", "ArrowDown"))
    for within_s, (controls, *keys) in product((DRAWN_S, SEEN_S), kinds):
        there = panel.locator(f"{controls}:visible").all()
        for tried, key in product(filter(None, (there[:1], there[1:])), keys):
            for control in tried:
                control.press(key)
            notebook.wait_until_idle()
            if changes(panel, drawn, within_s):
                return True
    return False


OURS = {"include": [".jp-OutputArea-output", ".jp-MarkdownOutput"]}
"""What barmath puts into the page; JupyterLab's own cells, menus and editors are its makers' matter."""

WCAG_22_AA = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
"""axe-core's names for the rules of WCAG 2.2, levels A and AA: https://www.w3.org/TR/WCAG22/."""


ALL_IN_VIEW = ".jp-Cell { content-visibility: visible !important } body { min-height: 100vh }"
"""JupyterLab leaves out what is scrolled away and makes the page's body 0 high: axe-core would look at nothing."""
TO_THE_TOP = """() => document.querySelectorAll('.jp-WindowedPanel-outer, .barmath-pick').forEach(
    scrolled => { scrolled.scrollTop = 0; })"""
"""A round button that is cut by the edge of its table while that is scrolled is not a small one."""


def accessibility(page):
    """What axe-core finds wrong, and of how many pieces of the page it could tell that their contrast is enough."""
    style = page.add_style_tag(content=ALL_IN_VIEW)
    page.evaluate(TO_THE_TOP)
    page.set_viewport_size({"width": 1280, "height": 9000})
    found = Axe().run(page, context=OURS, options={"runOnly": WCAG_22_AA, "selectors": False}).response
    style.evaluate("tag => tag.remove()")
    wrong = [(rule["id"], node["html"][:200]) for rule in found["violations"] for node in rule["nodes"]]
    return wrong, sum(len(rule["nodes"]) for rule in found["passes"] if rule["id"] == "color-contrast")


OUTPUTS = f"() => {CELLS}.map(cell => cell.outputs.toJSON())"
"""What each cell of code shows, as JupyterLab would save it."""
RUN_THRICE = {"01_order_to_bench"}
"""What a drawing may keep of more runs than one shows in the third: tried where there are charts and a bar in space."""

AT_MOST_SCREENS = {"02_where_the_formulas_come_from": 10.0}
"""How long a lesson may be as it opens and with every bet answered, in heights of a window of 1280 by 900."""


def screens(page):
    """How many heights of the window the notebook has."""
    style = page.add_style_tag(content=ALL_IN_VIEW)
    long = page.evaluate(
        "() => { const seen = document.querySelector('.jp-WindowedPanel-outer');"
        " return seen.scrollHeight / seen.clientHeight; }"
    )
    style.evaluate("tag => tag.remove()")
    return long


HEIGHTS = """() => [...document.querySelectorAll('.barmath-bet')].filter(bet => bet.querySelector('.barmath-drawn'))
    .flatMap(bet => [...bet.querySelectorAll('.barmath-row input[type=text]')].map(box => parseFloat(box.value)))"""


def a_line_is_drawn_with_the_pointer_and_moved_by_a_key(notebook):
    """Press on the chart at the first place, pull to the last one, and let go: each row has the height below it."""
    page = notebook.page
    chart = page.locator(".barmath-drawn svg").first
    chart.scroll_into_view_if_needed()
    page.wait_for_timeout(SETTLED_MS)
    assert page.locator(".barmath-drawn").first.evaluate("chart => getComputedStyle(chart).touchAction") == "none"
    box = chart.bounding_box()
    page.mouse.move(box["x"] + 0.2 * box["width"], box["y"] + 0.7 * box["height"])
    page.mouse.down()
    for share in (0.35, 0.5, 0.65, 0.8):
        page.mouse.move(
            box["x"] + share * box["width"], box["y"] + (0.7 - 0.5 * (share - 0.2)) * box["height"], steps=4
        )
    page.mouse.up()
    page.wait_for_function(f"() => ({HEIGHTS})().every(height => height > 10)")
    notebook.wait_until_idle()
    drawn = page.evaluate(HEIGHTS)
    assert drawn == sorted(drawn)
    assert len(set(drawn)) == len(drawn) == 5
    page.mouse.move(box["x"] + 0.5 * box["width"], box["y"] + 0.9 * box["height"])  # no button is pressed
    page.locator(".barmath-bet .barmath-row .noUi-handle").first.press("ArrowRight")
    page.wait_for_function(f"() => ({HEIGHTS})()[0] === {drawn[0] + 1.0}")
    assert page.evaluate(HEIGHTS)[1:] == drawn[1:]


CLICKED = (0.2, 0.7)
"""Where the map is clicked, in shares of its width and height."""

POINT = """panel => {
    const map = [...panel.querySelectorAll('.js-plotly-plot')].find(
        plot => plot._fullData.some(trace => trace.name === 'point'));
    const point = map._fullData.find(trace => trace.name === 'point'), {xaxis, yaxis} = map._fullLayout;
    const share = (at, axis) => (at - axis.range[0]) / (axis.range[1] - axis.range[0]);
    return [point.x[0], point.y[0], share(point.x[0], xaxis), 1 - share(point.y[0], yaxis)];
}"""
"""The point of a map: its place, and where it is in shares of the map's width and height."""


def a_click_on_the_map_shows_the_bar_of_that_place_and_a_key_moves_the_point(notebook):
    """Click on the map with the pointer: point, rows, words and the bar in space are those of the place."""
    page = notebook.page
    panel = page.locator(".barmath-panel", has=page.get_by_text("The point: click the map")).first
    field = panel.locator("rect.nsewdrag[data-subplot='xy']").first
    drawn, start = panel.evaluate(DRAWN), panel.evaluate(POINT)
    field.scroll_into_view_if_needed()
    box = field.bounding_box()
    place = {"x": CLICKED[0] * box["width"], "y": CLICKED[1] * box["height"]}
    give_up = time.monotonic() + SEEN_S
    while panel.evaluate(POINT) == start and time.monotonic() < give_up:
        field.hover(position={"x": place["x"] - 3, "y": place["y"]})  # the library heeds a click where it saw a pointer
        field.hover(position=place)
        page.wait_for_timeout(150)
        field.click(position=place)
        page.wait_for_timeout(SETTLED_MS)
    x, y, *shares = panel.evaluate(POINT)
    assert shares == pytest.approx(CLICKED, abs=0.03)
    panel.get_by_text("Can be made:", exact=True).wait_for()
    page.get_by_role("img", name=f"The bar in space: rise {y:.1f} mm").wait_for()
    assert panel.evaluate(DRAWN) != drawn
    notebook.focus("Backsweep")
    notebook.press("ArrowRight")
    page.wait_for_function(f"panel => ({POINT})(panel)[0] === {x + 0.5}", arg=panel.element_handle())


PLACES = """panel => {
    const top = panel.getBoundingClientRect().top, verdict = panel.querySelector('.barmath-verdict');
    const pictures = [...panel.querySelectorAll('.barmath-charts > :first-child, .barmath-film canvas')];
    return [Math.round(verdict.getBoundingClientRect().height), verdict.innerText,
        pictures.filter(one => one.clientWidth).map(one => Math.round(one.getBoundingClientRect().top - top))];
}"""
"""The message of a panel, and how far below the panel's top each of its pictures is, in pixels."""


def a_message_moves_no_picture(notebook):
    """Set sliders to both ends, so that messages come and go: in each panel every picture keeps its place.

    This holds on a tablet too, where the parts of a panel are one below the other.
    """
    for width in (820, 1280):
        notebook.page.set_viewport_size({"width": width, "height": 900})
        notebook.page.wait_for_timeout(SETTLED_MS)
        no_picture_moves(notebook)


def no_picture_moves(notebook):
    panels = notebook.page.locator(".barmath-panel:has(.barmath-verdict *):has(.noUi-handle):has(.js-plotly-plot)")
    said = 0
    for panel in panels.all():
        found = [panel.evaluate(PLACES)]
        for slider in panel.locator(".noUi-handle:visible").all()[:4]:
            for key in ("End", "Home"):
                slider.press(key)
                notebook.wait_until_idle()
                found.append(panel.evaluate(PLACES))
        assert [places for _, _, places in found] == [found[0][2]] * len(found), found
        said += len({words for _, words, _ in found}) - 1
    assert said > 1


WATCH_THE_REST = """() => {
    const rest = [document.head, ...document.querySelectorAll('jp-toolbar')];
    window.barmathRest = [];
    const watched = new MutationObserver(changes => changes.forEach(
        ({target}) => window.barmathRest.push((target.parentElement ?? target).outerHTML.slice(0, 100))));
    rest.forEach(part => watched.observe(part, {subtree: true, childList: true, attributes: true}));
    return rest.length;
}"""
"""What changes in JupyterLab's toolbars and in the head of the page, from now on."""


def a_key_leaves_the_rest_of_the_page_alone(notebook):
    """While a slider moves, JupyterLab looks through no toolbar and fetches no other icon: the picture waits for both.

    Whether the kernel works is shown below the page.
    """
    assert notebook.page.evaluate(WATCH_THE_REST) > 1
    notebook.page.locator(".jp-Notebook-ExecutionIndicator").wait_for()
    notebook.focus("Rise")
    for key in ("ArrowRight", "ArrowLeft"):
        notebook.press(key)
        notebook.wait_until_idle()
    notebook.page.wait_for_timeout(SETTLED_MS)
    assert notebook.page.evaluate("() => window.barmathRest") == []


PRESS_AND_LOOK = """handle => {
    handle.dispatchEvent(new KeyboardEvent('keydown', {key: 'ArrowRight', bubbles: true, cancelable: true}));
    return window.barmathUnheard.size;
}"""
"""Press a key and say how many messages the kernel has then still to hear."""


def a_key_is_waited_for(notebook):
    """What waits until the kernel has heard a key knows of its message at once."""
    notebook.wait_until_idle()
    assert notebook.page.locator(".noUi-handle:visible").first.evaluate(PRESS_AND_LOOK) > 0
    notebook.wait_until_idle()
    assert notebook.page.evaluate("() => window.barmathUnheard.size") == 0


WORDS_OF_NO_THING = """() => (globalThis.__k3dWidgets?.plots ?? []).map(one => one.K3DInstance.getWorld()).filter(
    ({targetDOMNode}) => targetDOMNode.checkVisibility() // out of sight nothing is drawn
).flatMap(
    ({overlayDOMNode, ObjectsById}) => {
        const ours = Object.values(ObjectsById).flatMap(one => one.domElements ?? []);
        return [...overlayDOMNode.children].filter(one => !ours.includes(one)).map(one => one.textContent);
    })"""
"""Words over the pictures in space that belong to no thing in them: k3d places each of them before every picture."""

PLACES_OF_DOORS = "() => [...document.querySelectorAll('.barmath-doors a')].map(link => new URL(link.href).pathname)"


def each_door_leads_back_to_a_page_or_to_a_lesson(notebook):
    """Doors from JupyterLab: a bench page opens as a page without code, and all that they lead to is there."""
    places = notebook.page.evaluate(PLACES_OF_DOORS)
    assert "/voila/render/notebooks/bench/01_order_to_bench.ipynb" in places
    ways = [place.partition("/notebooks/") for place in places]
    assert {how for how, _, _ in ways} == {"/voila/render", "/lab/tree"}
    assert [path for _, _, path in ways if not (NOTEBOOKS[0].parents[1] / path).is_file()] == []


TRIED_TOO = {"03_rise_against_die": a_line_is_drawn_with_the_pointer_and_moved_by_a_key}
"""What else is tried on the page of a notebook while it is open, before its bets are answered."""

TRIED_LATER = {
    "04_what_this_shop_can_make": (
        a_click_on_the_map_shows_the_bar_of_that_place_and_a_key_moves_the_point, a_message_moves_no_picture,
    ),
    "00_start_here": (each_door_leads_back_to_a_page_or_to_a_lesson,),
    **dict.fromkeys(("01_order_to_bench", "07_check_the_finished_bar"), (a_message_moves_no_picture,)),
    "12_two_bars_compared": (a_key_is_waited_for, a_message_moves_no_picture, a_key_leaves_the_rest_of_the_page_alone),
}  # fmt: skip
"""The same, once its bets are answered and its cells have run again."""

DRAWN_LESSONS = ("02_where_the_formulas_come_from", "03_rise_against_die", "11_practice", "14_words_of_the_trade")
"""Lessons that draw with words of their own, not with a chart."""


@pytest.mark.parametrize("name", NAMES)
def test_a_notebook_runs_again_in_the_browser_without_an_error_and_its_drawings_follow(open_notebook, name):
    notebook = open_notebook(name)
    notebook.run_all()
    if name in AT_MOST_SCREENS:
        assert screens(notebook.page) <= AT_MOST_SCREENS[name]
    TRIED_TOO.get(name, lambda _: None)(notebook)
    notebook.show_every_answer()
    if name in AT_MOST_SCREENS:
        assert screens(notebook.page) <= AT_MOST_SCREENS[name]
    before = [drawn for _, drawn in drawings(notebook.page)]
    for run in ("second", "third") if name in RUN_THRICE else ("second",):
        notebook.run_all()
        again = drawings(notebook.page)
        assert [drawn for _, drawn in again] == before, f"{run} run: another drawing"
    assert all(follows(panel, drawn, notebook) for panel, drawn in again), "a drawing is frozen"
    for tried in TRIED_LATER.get(name, ()):
        tried(notebook)
    assert notebook.errors() == []
    assert [words for words in BROKEN if notebook.shows(words)] == []
    assert notebook.problems == []
    assert bare(notebook.page.evaluate(OUTPUTS)) == []
    assert notebook.page.evaluate(CUT_OFF) == []
    assert notebook.page.evaluate(SQUEEZED) == []
    assert unreadable(notebook.page) == []
    assert notebook.page.evaluate(WORDS_OF_NO_THING) == []
    assert out_of_line(notebook.page) == []
    if name in DRAWN_LESSONS:
        the_words_of_its_drawings_can_be_read_in_the_dark(notebook)
    assert missed_by_tab(notebook.page) == []
    wrong, enough_contrast = accessibility(notebook.page)
    assert wrong == []
    assert enough_contrast > 15
