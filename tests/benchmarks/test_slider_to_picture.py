"""From a key on a slider to the picture that has followed, and how fast a film plays, in a real browser."""

import statistics

import pytest
from browser.driver import Lab, NotebookPage, find_chromium, open_lab
from playwright.sync_api import sync_playwright

SLIDERS = {
    "01_order_to_bench": "Rise",
    "04_what_this_shop_can_make": "Rise",
    "05_why_the_sequence_of_bends_matters": "Through the bends",
    "07_check_the_finished_bar": "Rise",
    "12_two_bars_compared": "Rise",
    "13_will_it_hold": "Rise",
}
PRESSES, AGAIN = 18, 6
"""Keys in all, and after how many the bar is as it was, so that its ghost goes and comes again."""

WATCH = """label => {
    if (!window.barmathFrames) { // whether what runs now is part of a frame, with all that follows it at once
        window.barmathFrames = {within: false};
        const over = new MessageChannel(), ask = requestAnimationFrame.bind(window);
        over.port1.onmessage = () => { barmathFrames.within = false; };
        window.requestAnimationFrame = done => ask(time => {
            if (!barmathFrames.within) over.port2.postMessage(null);
            barmathFrames.within = true;
            done(time);
        });
    }
    const panel = [...document.querySelectorAll('.barmath-panel')].find(
        panel => panel.querySelector(`[aria-label="${label}"]`));
    const seen = window.barmathSeen = {};
    let pressed = 0;
    document.addEventListener('keydown', () => { pressed = performance.now(); }, {once: true, capture: true});
    const drawn = name => { // seen when the next frame begins after the one that it was drawn in
        if (!pressed) return;
        const note = () => { seen[name] = performance.now() - pressed; };
        requestAnimationFrame(barmathFrames.within ? note : () => requestAnimationFrame(note));
    };
    const {K3DInstance} = (globalThis.__k3dWidgets?.plots ?? []).find(
        one => panel.contains(one.K3DInstance.getWorld().targetDOMNode));
    const heard = K3DInstance.on(K3DInstance.events.RENDERED, () => {
        if (!pressed) return;
        K3DInstance.off(K3DInstance.events.RENDERED, heard);
        drawn('space');
    });
    const lines = plot => plot.clientWidth && plot._fullData.every(trace => trace.type === 'scatter');
    window.barmathWatched?.disconnect();
    window.barmathWatched = new MutationObserver(() => drawn('charts')); // the last change counts
    const charts = [...panel.querySelectorAll('.js-plotly-plot')].filter(lines).slice(0, 2);
    charts.forEach(plot => barmathWatched.observe(
        plot, {subtree: true, attributes: true, childList: true, characterData: true}));
    window.barmathAwaited = charts.length ? ['space', 'charts'] : ['space'];
}"""
"""Milliseconds from the next key to the frame after the one that shows the pictures of that panel drawn again."""

HELD_MS, REST_MS = 90, 400
"""How long a finger holds a key, and how long it rests after it has seen what came of it."""

BENCH, PLAYED_S = "05_why_the_sequence_of_bends_matters", 3

RATE = """async ([how, seconds]) => {
    const film = [...document.querySelectorAll('.barmath-film')].find(one => one.checkVisibility());
    const {K3DInstance} = globalThis.__k3dWidgets.plots.find(
        one => film.contains(one.K3DInstance.getWorld().targetDOMNode));
    const play = film.querySelector('[data-do=play]'), start = performance.now();
    film.scrollIntoView({block: 'center'}); // what is out of sight is not painted
    await new Promise(requestAnimationFrame);
    let drawn = 0;
    const heard = K3DInstance.on(K3DInstance.events.RENDERED, () => { drawn += 1; });
    const over = () => performance.now() - start > 1000 * seconds;
    if (how === 'film') play.click();
    while (!over()) {
        if (how === 'bare') await K3DInstance.render();
        await new Promise(requestAnimationFrame);
    }
    if (play.textContent === 'Pause') play.click();
    K3DInstance.off(K3DInstance.events.RENDERED, heard);
    return 1000 * drawn / (performance.now() - start);
}"""
"""Pictures a second while a film plays, or while its picture at rest is drawn again and again."""


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
    page.show_every_answer()  # a panel may open after its bet
    page.focus(SLIDERS[name])
    waits: dict[str, list[float]] = {}
    for press in range(PRESSES):
        page.page.evaluate(WATCH, SLIDERS[name])
        page.page.keyboard.press("ArrowRight" if press % AGAIN < AGAIN / 2 else "ArrowLeft", delay=HELD_MS)
        page.page.wait_for_function("() => window.barmathAwaited.every(one => one in window.barmathSeen)")
        page.page.wait_for_timeout(REST_MS)
        for kind, waited in page.page.evaluate("() => window.barmathSeen").items():
            waits.setdefault(kind, []).append(waited)
    page.close()
    for kind, ms in waits.items():
        print(f"\n{name}, {kind}: key to picture {statistics.median(ms):.0f} ms, longest {max(ms):.0f} ms")
        assert len(ms) == PRESSES
        assert statistics.median(ms) < 20 * min(ms)
        assert statistics.median(ms[::AGAIN]) < 1.8 * statistics.median(ms)  # with the first key the ghost comes


def test_a_film_plays_as_fast_as_its_picture_can_be_drawn(opened):
    page = opened(BENCH)
    page.run_all()
    page.page.wait_for_function("() => globalThis.__k3dWidgets?.plots?.length")
    page.page.wait_for_timeout(1000)
    rates = {how: [] for how in ("bare", "film")}
    for how in ("bare", "film") * 3:
        rates[how].append(page.page.evaluate(RATE, [how, PLAYED_S]))
    page.close()
    bare, film = (statistics.median(rates[how]) for how in ("bare", "film"))
    print(f"\n{BENCH}: the film {film:.1f}, its picture at rest {bare:.1f} pictures a second, ratio {film / bare:.2f}")
    assert film > 0.6 * bare
