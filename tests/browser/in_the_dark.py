"""What cannot be read or seen in the dark theme."""

import re
from contextlib import contextmanager

DIM = """() => {
    const numbers = colour => (colour.match(/[\\d.]+/g) ?? []).map(Number);
    const clear = colour => colour === 'none' || colour === 'transparent' || numbers(colour)[3] === 0;
    const light = colour => {
        const [r, g, b] = numbers(colour).slice(0, 3).map(one => one / 255)
            .map(one => one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4);
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const behind = part => {
        for (; part; part = part.parentElement) {
            const colour = getComputedStyle(part).backgroundColor;
            if (!clear(colour)) return colour;
        }
        return 'rgb(255, 255, 255)';
    };
    return [...document.querySelectorAll('.barmath-panel svg:not(.js-plotly-plot svg) text')].filter(words => {
        const [one, other] = [getComputedStyle(words).fill, behind(words)].map(light);
        return (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05) < 4.5;
    }).map(words => words.textContent);
}"""
"""Words of drawings with too little contrast to what is behind them, by WCAG 2.2: axe-core looks at none of these."""

OF_DRAWINGS = ".barmath-panel svg:not(.js-plotly-plot svg) text"
DIM_WORDS = (
    DIM.replace(OF_DRAWINGS, ".barmath-panel :is(.barmath-label, h1, h4, p, li, input)")
    .replace(".filter(words", ".filter(part => part.checkVisibility() && !part.disabled).filter(words")
    .replace(".fill", ".color")
)
"""The same for labels, headings, sentences and what is typed."""

DARK_ARROWS = """() => [...document.querySelectorAll('.barmath-panel select:not([size], [multiple])')].filter(part =>
    part.checkVisibility() && !getComputedStyle(part).backgroundImage.includes('e0e0e0')).length"""

DARKEN = """async () => {
    const sheet = Object.assign(document.createElement('link'), {rel: 'stylesheet', id: 'barmath-dark',
        href: '/lab/api/themes/@jupyterlab/theme-dark-extension/index.css'});
    await new Promise((loaded, failed) => {
        Object.assign(sheet, {onload: loaded, onerror: failed});
        document.body.append(sheet);
    });
    document.body.dataset.jpThemeLight = 'false';
    document.body.style.colorScheme = 'dark';
}"""
LIGHTEN = """() => {
    document.getElementById('barmath-dark').remove();
    document.body.dataset.jpThemeLight = 'true';
    document.body.style.colorScheme = 'light';
}"""
"""JupyterLab's own colours, put over the light ones: as it changes its theme itself, the page complains later."""


@contextmanager
def darkened(page):
    """A page that is open, in the dark theme's colours for a while."""
    page.evaluate(DARKEN)
    try:
        yield
    finally:
        page.evaluate(LIGHTEN)


def the_words_of_its_drawings_can_be_read_in_the_dark(notebook):
    """A lesson that draws with words: each has contrast enough, and its colour is known as three numbers."""
    with darkened(notebook.page):
        drawn = notebook.page.locator(OF_DRAWINGS)
        assert drawn.count() > 1, "this lesson draws nothing of the kind"
        assert notebook.page.evaluate(DIM) == []
        assert re.fullmatch(r"rgb\(\d+, \d+, \d+\)", drawn.first.evaluate("words => getComputedStyle(words).fill"))
