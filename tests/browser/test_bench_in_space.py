"""The bench in space of lesson 05 in a real browser: it fits, moves with its bar, its keys and its eyes, and plays."""

import io
import re
from base64 import b64decode

import numpy as np
import pytest
from browser.driver import BE_BUSY, BUSY, CHANGE_S, KERNEL, START_S, STARTED, NotebookPage
from PIL import Image

LESSON = "05_why_the_sequence_of_bends_matters"
WAIT_MS = 4 * CHANGE_S * 1000
PICTURE = "place => document.querySelectorAll('.barmath-film canvas')[place].toDataURL()"
SCRUB = """(bar, time) => { bar.value = time; bar.dispatchEvent(new Event('input', {bubbles: true})); }"""
COUNT = """() => {
    const {K3DInstance} = globalThis.__k3dWidgets.plots[0];
    window.drawn = 0;
    window.listening ??= K3DInstance.on(K3DInstance.events.RENDERED, () => { window.drawn += 1; });
}"""
"""Begins to count the pictures that k3d draws in the first panel."""

ONLY_THE_TUBE = """only => {
    const world = globalThis.__k3dWidgets.plots[0].K3DInstance.getWorld();
    for (const one of Object.values(world.ObjectsListJson))
        if (one.visible && one.name !== 'tube') world.ObjectsById[one.id].visible = !only;
}"""

FADES = """words => {
    words.scrollTop = words.scrollHeight;
    const last = [...words.children].filter(part => part.getClientRects().length).at(-1).getBoundingClientRect();
    const clear = words.getBoundingClientRect().bottom - last.bottom;
    words.scrollTop = 0;
    return getComputedStyle(words).maskImage.includes('24px') && clear >= 20;
}"""
"""Whether words that go on below their box fade there, no line is cut in half, and their end is clear of it."""

PLAYED_S, SHARE = 3.0, 0.2
"""How long the film is played, and the least share of the pictures of a bare tube that the whole bench must reach."""


LETTERS_SEEN = """() => {
    const film = [...document.querySelectorAll('.barmath-film')].find(one => one.checkVisibility());
    const {left, right, top, bottom} = film.querySelector('canvas').getBoundingClientRect();
    const letters = [...film.querySelectorAll('*')].filter(one => !one.children.length && /^[LR]$/.test(one.innerText));
    return letters.length === 2 && letters.map(one => one.getBoundingClientRect()).every(
        box => box.left > left && box.right < right && box.top > top && box.bottom < bottom);
}"""
"""Whether the letters of both ends of the tube are in the picture."""


@pytest.fixture(scope="module")
def bench(lab_page, lab):
    """Lesson 05 with its cells run; its first panel is the bench."""
    notebook = NotebookPage(lab_page, lab, LESSON)
    notebook.run_all()
    notebook.panel = notebook.page.locator(".barmath-panel:has(.barmath-bench)").first
    notebook.panel.locator("canvas").wait_for(timeout=WAIT_MS)
    notebook.panel.locator(".barmath-film").scroll_into_view_if_needed()
    notebook.bar = notebook.panel.locator(".barmath-filmbar input")
    drawn(notebook.page)
    yield notebook
    notebook.close()


def drawn(page, place=0):
    """The picture of the panel at `place` once something is drawn and no longer changes."""
    before, anything = "", f"place => new Set(({PICTURE})(place).slice(2000, 60000)).size > 20"
    page.wait_for_function(anything, arg=place, timeout=WAIT_MS)
    while (now := page.evaluate(PICTURE, place)) != before:
        before = now
        page.wait_for_timeout(500)
    return now


def changed(page, before, place=0):
    """The picture as soon as it is another one."""
    another = f"([before, place]) => ({PICTURE})(place) !== before"
    page.wait_for_function(another, arg=[before, place], timeout=WAIT_MS)
    return drawn(page, place)


def pixels(picture):
    return np.asarray(Image.open(io.BytesIO(b64decode(picture.partition(",")[2]))).convert("RGB"), int)


def red(picture):
    """How many pixels have the red of what fails, in light or in shade."""
    r, g, b = np.moveaxis(pixels(picture), -1, 0)
    return int(((r > 90) & (r > 2.2 * g) & (r > 2.2 * b)).sum())


def scrub(notebook, time_s):
    notebook.bar.evaluate(SCRUB, time_s)


@pytest.mark.parametrize(("width", "height"), [(820, 1180), (1920, 1080), (1280, 900)])
def test_nothing_of_the_bench_overlaps_or_is_cut(bench, width, height):
    bench.page.set_viewport_size({"width": width, "height": height})
    bench.page.wait_for_timeout(1500)
    panel = bench.panel
    assert panel.evaluate("panel => panel.scrollWidth - panel.clientWidth") <= 1
    film, words = (panel.locator(which).first.bounding_box() for which in (".barmath-film", ".barmath-words"))
    beside = words["x"] >= film["x"] + film["width"] - 1
    below = words["y"] >= film["y"] + film["height"] - 1
    assert beside or below
    bar, canvas = (panel.locator(which).first.bounding_box() for which in (".barmath-filmbar", "canvas"))
    assert bar["y"] >= canvas["y"] + canvas["height"] - 1
    assert bar["y"] + bar["height"] <= film["y"] + film["height"] + 1
    assert canvas["height"] >= 520
    assert panel.locator(".barmath-words").first.evaluate(FADES)
    assert canvas["width"] >= 0.6 * panel.bounding_box()["width"]


def test_the_picture_follows_its_bar_its_keys_and_the_buttons_of_the_eye(bench):
    page = bench.page
    picture = drawn(page)
    for time_s in (1.5, 4.5, 9.0):
        scrub(bench, time_s)
        picture = changed(page, picture)
    bench.bar.focus()
    page.keyboard.press("PageUp")
    picture = changed(page, picture)
    scrub(bench, 0.0)
    for where in ("From above", "Along the tube", "From behind the hook"):
        picture = drawn(page)
        bench.panel.get_by_role("button", name=where).click()
        changed(page, picture)
        if where != "Along the tube":  # there one end hides the other
            page.wait_for_function(LETTERS_SEEN, timeout=WAIT_MS)
    assert bench.problems == []


def test_a_played_film_draws_each_moment_once_and_makes_nothing_again(bench):
    page, made_anew, frames = bench.page, [], {}
    page.on("console", lambda said: made_anew.append(said.text) if "loaded in" in said.text else None)
    play = bench.panel.get_by_role("button", name="Play")
    for only_the_tube in (True, False):
        scrub(bench, 6.0)
        drawn(page)
        page.evaluate(ONLY_THE_TUBE, only_the_tube)
        page.evaluate(COUNT)
        play.click()
        page.wait_for_timeout(1000 * PLAYED_S)
        frames[only_the_tube] = page.evaluate("() => window.drawn")
        bench.panel.get_by_role("button", name="Pause").click()
        moved = float(bench.bar.input_value())
        assert moved > 6.0
    print(f"pictures in {PLAYED_S} s: whole bench {frames[False]}, bare tube {frames[True]}")
    assert frames[False] >= SHARE * frames[True]
    assert made_anew == []
    drawn(page)
    assert bench.panel.locator("canvas").evaluate("canvas => canvas.width - canvas.clientWidth") == 0  # sharp at rest


def test_another_bar_is_drawn_with_few_pictures_and_what_fails_is_red(bench):
    page = bench.page
    bench.panel.get_by_label("Ask me before each bend").uncheck()  # else the film waits for an answer
    page.wait_for_timeout(1000)
    scrub(bench, float(bench.bar.get_attribute("max")) - 0.9)  # in the last pull
    picture = drawn(page)
    good = red(picture)
    page.evaluate(COUNT)
    box = bench.panel.locator(".barmath-row", has_text="Rise").first.locator("input[type=text]")
    box.fill("72")
    box.press("Enter")
    bench.panel.get_by_text("Cannot be done").first.wait_for(timeout=WAIT_MS)
    picture = changed(page, picture)
    bench.panel.get_by_text("the hook finds 61 mm of straight and needs 65 mm").wait_for(timeout=WAIT_MS)
    assert red(picture) > good + 150
    assert page.evaluate("() => window.drawn") < 12  # k3d alone would draw some sixty times
    bench.panel.get_by_label("Die", exact=True).first.select_option(label="die 152")
    changed(page, picture)
    assert bench.problems == []


WORDS_CUT = """() => [...document.querySelectorAll('.barmath-words')].flatMap(box => {
    if (!box.checkVisibility()) return [];
    const end = box.getBoundingClientRect().left + box.clientWidth + 1;
    return [...box.querySelectorAll('p, li, h4, td, th, .barmath-row')].filter(
        part => part.getBoundingClientRect().right > end).map(part => part.innerText);
})"""
"""Words beside a picture that reach beyond their box."""


@pytest.mark.parametrize("width", [820, 1280, 1920])
def test_no_words_beside_the_picture_are_cut_at_any_bend(bench, width):
    bench.page.set_viewport_size({"width": width, "height": 900})
    bench.panel.get_by_label("Ask me before each bend").uncheck()
    end = float(bench.bar.get_attribute("max"))
    cut = {}
    for share in (0.05, 0.4, 0.6, 0.95):
        scrub(bench, share * end)
        bench.page.wait_for_timeout(1500)
        cut[share] = bench.page.evaluate(WORDS_CUT)
    bench.page.set_viewport_size({"width": 1280, "height": 900})
    assert not any(cut.values()), cut


WORDS_COVERED = """film => {
    const frame = film.querySelector('canvas').getBoundingClientRect();
    const over = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
    const words = [...film.querySelectorAll('span[style*=font]')].filter(
        word => word.innerText && word.checkVisibility() && !word.closest('.barmath-filmbar')).map(
        word => [word.innerText, word.getBoundingClientRect()]).filter(([, box]) => over(box, frame));
    return [words.map(([one]) => one), words.flatMap(([one, a], place) =>
        words.slice(place + 1).filter(([, b]) => over(a, b)).map(([other]) => one + ' ' + other))];
}"""
"""The words in a picture, and which of them cover each other."""


@pytest.mark.parametrize("width", [820, 1280])
def test_no_name_letter_or_reading_covers_another(bench, width):
    page, covered, fewest, readings = bench.page, {}, 99, 0
    page.set_viewport_size({"width": width, "height": 1000})
    panels = page.locator(".barmath-panel:has(.barmath-bench)")
    bench.panel.get_by_label("Ask me before each bend").uncheck()  # else the film stops before any reading
    page.wait_for_timeout(1500)
    for number in range(panels.count()):
        panel = panels.nth(number)
        panel.locator(".barmath-film").scroll_into_view_if_needed()
        bar, names = panel.locator(".barmath-filmbar input"), panel.get_by_label("Names of the parts")
        end = float(bar.get_attribute("max"))
        names.check()
        for eye in ("From above", "Along the tube", "From behind the hook"):
            panel.get_by_role("button", name=eye).click()
            page.wait_for_timeout(1500)
            for share in (0.2, 0.6, 0.97):
                bar.evaluate(SCRUB, share * end)
                page.wait_for_timeout(350)
                words, over = panel.locator(".barmath-film").evaluate(WORDS_COVERED)
                fewest = min(fewest, len(words))
                readings += any("\u00b0" in word for word in words)
                if over:
                    covered[number, eye, share] = over
        names.uncheck()
    page.set_viewport_size({"width": 1280, "height": 900})
    assert panels.count() == 2
    assert fewest > 4
    assert readings
    assert covered == {}


READING_PX = """film => [...film.querySelectorAll('span[style*=font]')].filter(
    word => word.innerText.includes('\u00b0') && word.checkVisibility()).map(word => [
        word.innerText, parseFloat(getComputedStyle(word).fontSize), word.getBoundingClientRect().height])"""
"""What the angle finder shows, the size of its type and how high it is on the screen, in pixels."""


def test_the_picked_sequence_is_in_sight_in_its_table(bench):
    table = bench.panel.locator(".barmath-pick").first
    table.scroll_into_view_if_needed()
    seen, row = table.bounding_box(), table.locator("tr:has(:checked)").bounding_box()
    assert seen["y"] < row["y"] < row["y"] + row["height"] <= seen["y"] + seen["height"] + 1
    foot = table.evaluate("table => table.querySelector('th button').getBoundingClientRect().bottom")
    tops = table.locator("tbody tr").evaluate_all("rows => rows.map(row => row.getBoundingClientRect().top)")
    assert min(abs(top - foot) for top in tops) <= 3, "the head of the table cuts a row"


@pytest.mark.parametrize("width", [820, 1280])
def test_the_reading_of_the_finder_is_written_large_enough(bench, width):
    bench.page.set_viewport_size({"width": width, "height": 900})
    bench.panel.get_by_label("Ask me before each bend").uncheck()
    scrub(bench, 0.97 * float(bench.bar.get_attribute("max")))
    film = bench.panel.locator(".barmath-film")
    film.locator("span", has_text="\u00b0").first.wait_for(timeout=WAIT_MS)
    ((reading, type_px, high_px),) = film.evaluate(READING_PX)
    bench.page.set_viewport_size({"width": 1280, "height": 900})
    assert re.fullmatch(r"\d+\.\d\u00b0", reading)
    assert min(type_px, high_px) >= 16


def test_after_a_restart_of_the_kernel_the_bench_is_cut_off_until_all_cells_run_again(bench):
    page = bench.page
    page.evaluate(f"() => {KERNEL}.restart().then(() => null)")
    page.get_by_text("Cut off.").first.wait_for(timeout=60_000)
    page.wait_for_function(f"() => {KERNEL}?.status === 'idle'", timeout=60_000)
    bench.run_all()
    page.get_by_text("Cut off.").first.wait_for(state="detached", timeout=WAIT_MS)
    picture = drawn(page)
    bench.panel.get_by_label("Die", exact=True).first.select_option(label="die 152")
    changed(page, picture)
    assert bench.errors() == []


def test_the_film_is_played_and_scrubbed_while_python_is_busy_and_without_it(bench):
    page, caption = bench.page, bench.panel.locator(".barmath-caption")
    bench.panel.get_by_label("Ask me before each bend").uncheck()
    bench.wait_until_idle()
    end = float(bench.bar.get_attribute("max"))
    scrub(bench, 0.4 * end)
    picture, before = drawn(page), float(bench.bar.input_value())
    page.evaluate(BE_BUSY, 20)  # it is shut down before that
    bench.panel.get_by_role("button", name="Play", exact=True).click()
    page.wait_for_function("([bar, before]) => bar.value > before + 1", arg=[bench.bar.element_handle(), before])
    bench.panel.get_by_role("button", name="Pause", exact=True).click()
    bench.bar.press("Home")
    page.wait_for_function("bar => bar.value == 0", arg=bench.bar.element_handle())
    assert page.evaluate(PICTURE, 0) != picture
    assert page.evaluate(BUSY)
    page.evaluate(f"() => {KERNEL}.shutdown().then(() => null)")
    page.get_by_text("Cut off.").first.wait_for(timeout=60_000)
    picture, said = drawn(page), {caption.inner_text()}
    for share in (0.3, 0.6, 0.9):
        scrub(bench, share * end)
        picture = changed(page, picture)
        said.add(caption.inner_text())
    assert len(said) == 4


@pytest.fixture(scope="module")
def by_touch(browser, lab):
    """Lesson 05 on a tablet that is touched, by somebody who wants less motion."""
    context = browser.new_context(has_touch=True, reduced_motion="reduce")
    page = context.new_page()
    page.goto(lab.url("lab"))
    page.wait_for_function(STARTED, timeout=START_S * 1000)
    notebook = NotebookPage(page, lab, LESSON, width=820, height=1180)
    notebook.run_all()
    notebook.panels = page.locator(".barmath-panel:has(.barmath-bench)")
    yield notebook
    context.close()


def drag(page, start, end):
    """Move a finger from one point of the page to another."""
    fingers = page.context.new_cdp_session(page)
    ways = [("touchStart", 0.0), *[("touchMove", share / 8) for share in range(1, 9)], ("touchEnd", None)]
    for what, share in ways:
        at = [] if share is None else [{"x": start[0] + share * (end[0] - start[0]), "y": start[1]}]
        fingers.send("Input.dispatchTouchEvent", {"type": what, "touchPoints": at})
        page.wait_for_timeout(30)
    fingers.detach()


def test_a_finger_plays_the_film_and_less_motion_shows_only_the_end_of_each(by_touch):
    page, panel = by_touch.page, by_touch.panels.first
    panel.locator("canvas").wait_for(timeout=WAIT_MS)
    bar = panel.locator(".barmath-filmbar input")
    panel.get_by_text("Ask me before each bend").tap()  # else the film waits for an answer
    by_touch.wait_until_idle()
    panel.get_by_role("button", name="Play", exact=True).tap()
    times = set()
    for _ in range(40):
        times.add(float(bar.input_value()))
        page.wait_for_timeout(80)
    panel.get_by_role("button", name="Pause", exact=True).tap()
    assert 2 <= len(times) <= 6  # a played film shows some thirty
    before = float(bar.input_value())
    bar.scroll_into_view_if_needed()
    box = bar.bounding_box()
    page.touchscreen.tap(box["x"] + 0.75 * box["width"], box["y"] + box["height"] / 2)
    page.wait_for_function("bar => bar[0].value > bar[1]", arg=[bar.element_handle(), before + 1.0])
    assert by_touch.problems == []


def test_a_finger_slides_the_tube_to_a_mark_pulls_and_undoes_the_pull(by_touch):
    page, panel = by_touch.page, by_touch.panels.nth(1)
    panel.locator(".barmath-film").scroll_into_view_if_needed()
    picture = drawn(page, 1)
    row = panel.locator(".barmath-row", has_text="Line at the die")
    box, marks, undo = row.locator("input"), panel.get_by_label("Marks"), panel.get_by_text("Undo one pull")
    assert undo.is_disabled()
    before = box.input_value()
    row.scroll_into_view_if_needed()
    handle = row.locator(".noUi-handle").bounding_box()
    x, y = handle["x"] + handle["width"] / 2, handle["y"] + handle["height"] / 2
    drag(page, (x, y), (x - 20.0, y))
    page.wait_for_function("([box, before]) => box.value !== before", arg=[box.element_handle(), before])
    assert float(box.input_value().split()[0]) < float(before.split()[0])
    picture = changed(page, picture, 1)
    assert marks.evaluate("list => list.selectedIndex") == 0  # any line
    marks.select_option(index=1)
    picture = changed(page, picture, 1)
    panel.get_by_role("button", name="Pull", exact=True).tap()
    panel.get_by_text("pull 1 is made").wait_for(timeout=WAIT_MS)
    bent = changed(page, picture, 1)
    undo.tap()
    page.wait_for_function("undo => undo.disabled", arg=undo.element_handle(), timeout=WAIT_MS)
    assert changed(page, bent, 1) == picture
    assert by_touch.problems == []
