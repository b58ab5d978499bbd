"""When a page is calm: all is drawn, each chart for the width of its place, and nothing moves any more."""

import time

CALM_MS, CALM_S = 250, 60

CHARTS = "[...document.querySelectorAll('.js-plotly-plot')].filter(plot => plot.clientWidth)"

ALL_DRAWN = """() => [...document.querySelectorAll('.barmath-charts > div')].every(
    plot => !plot.clientWidth || plot._fullData
) && [...document.querySelectorAll('.barmath-film')].every(
    film => !film.clientWidth || film.querySelector('canvas')
)"""
"""Whether every chart and every picture in space that has a width on the page is there."""

AS_WIDE = f"""() => {CHARTS}.every(
    plot => plot._fullLayout && Math.abs(plot._fullLayout.width - plot.getBoundingClientRect().width) <= 1)"""
"""Whether each chart has the width of its place; one that is still to come has no chart of Plotly's yet."""

PLACES = """() => JSON.stringify([...document.querySelectorAll('.barmath-panel *, .js-plotly-plot text')].map(part => {
    const {x, y, width, height} = part.getBoundingClientRect();
    return [part.childElementCount || part.textContent, x, y, width, height];
}))"""
"""Where each part of the panels and each word of a chart is, how large, and what it says."""


def wait_until_calm(page):
    """Wait until all is drawn for its place, and no part of a panel moves or says something else."""
    before, give_up = None, time.monotonic() + CALM_S
    while True:
        page.evaluate("() => new Promise(requestAnimationFrame)")
        page.wait_for_function(f"() => ({ALL_DRAWN})() && ({AS_WIDE})()", timeout=CALM_S * 1000)
        if (places := page.evaluate(PLACES)) == before:
            return
        if time.monotonic() > give_up:
            raise TimeoutError(f"the page is not calm after {CALM_S} s")
        before = places
        page.wait_for_timeout(CALM_MS)
