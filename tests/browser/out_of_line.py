"""What is out of line on a page: words of a chart on each other or cut, views of two sizes, edges beside each other."""

from browser.calm import CHARTS, wait_until_calm

WIDTHS = (820, 1280)
SETTLED_MS = 1200

ON_EACH_OTHER = (
    f"() => {CHARTS}.flatMap("
    + """plot => {
    const words = [...plot.querySelectorAll('.xtick text, .ytick text, .gtitle, .xtitle, .ytitle, .annotation-text,' +
        '.legendtext')].map(part => [part.textContent.trim(), part.getBoundingClientRect()])
        .filter(([words, box]) => words && box.width && box.height);
    const by = (one, other, low, high) => Math.min(one[high], other[high]) - Math.max(one[low], other[low]);
    const edge = plot.getBoundingClientRect();
    return [...words.flatMap(([one, a], place) => words.slice(place + 1)
        .filter(([, b]) => by(a, b, 'left', 'right') > 1 && by(a, b, 'top', 'bottom') > 2.5)
        .map(([other]) => `${one} | ${other}`)),
        ...words.filter(([, a]) => a.left < edge.left - 1 || a.right > edge.right + 1 || a.top < edge.top - 1)
        .map(([one]) => `${one} | the edge`)];
})"""
)
"""Words of charts on each other or beyond the edge. The box of a line of words is some pixels higher than its ink."""

LINES_ON_WORDS = (
    f"() => {CHARTS}.flatMap("
    + """plot => {
    const words = [...plot.querySelectorAll('.bartext, .textpoint text')].filter(
        part => part.textContent.trim() && part.checkVisibility());
    const lines = [...plot.querySelectorAll('.scatterlayer .js-line, .layer-above .shapelayer path')].filter(
        line => parseFloat(line.style.strokeWidth) && line.getTotalLength()).map(line => {
            const long = line.getTotalLength(), to = line.getScreenCTM();
            const places = Array.from({length: Math.ceil(long / 2)}, (_, i) => line.getPointAtLength(2 * i));
            return [line, places.map(place => place.matrixTransform(to))];
        });
    return words.flatMap(part => {
        const {left, right, top, bottom} = part.getBoundingClientRect();
        const on = ({x, y}) => x > left + 1 && x < right - 1 && y > top + 3 && y < bottom - 3;
        return lines.filter(([line, places]) => places.some(on) && (getComputedStyle(part).paintOrder !== 'stroke' ||
            part.compareDocumentPosition(line) & Node.DOCUMENT_POSITION_FOLLOWING)).map(() => part.textContent);
    }).map(words => `${words} | a line`);
})"""
)
"""Words that a line is drawn over. A line may pass behind words that have an edge of paper round their letters."""

ON_EACH_OTHER_IN_SPACE = """() => (globalThis.__k3dWidgets?.plots ?? []).map(one => one.K3DInstance.getWorld()).filter(
    ({targetDOMNode}) => targetDOMNode.checkVisibility()).flatMap(({targetDOMNode, overlayDOMNode}) => {
    const frame = targetDOMNode.querySelector('canvas').getBoundingClientRect();
    const over = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
    const words = [...overlayDOMNode.children].filter(word => word.innerText && word.checkVisibility()).map(
        word => [word.innerText, (word.firstElementChild ?? word).getBoundingClientRect()]);
    return [...words.flatMap(([one, a], place) =>
        words.slice(place + 1).filter(([, b]) => over(a, b)).map(([other]) => `${one} | ${other}`)),
        ...words.filter(([, a]) => targetDOMNode.closest('.barmath-space') && (a.left < frame.left ||
            a.right > frame.right || a.top < frame.top || a.bottom > frame.bottom)).map(
            ([one]) => `${one} | the edge`)];
})"""
"""Words of a picture in space on each other, or beyond the edge of one whose eye keeps the bar in it."""

TWO_SIZES = (
    f"() => {CHARTS}.flatMap("
    + """plot => {
    const across = Object.entries(plot._fullLayout).filter(([name, axis]) => /^xaxis/.test(name) && axis._length &&
        Object.entries(plot._fullLayout).some(([other, up]) => /^yaxis/.test(other) && up.scaleanchor === axis._id));
    const sizes = {};
    for (const [, axis] of across) (sizes[axis._input.range ?? axis.range] ??= []).push(axis._length);
    return Object.entries(sizes).filter(([, own]) => Math.max(...own) - Math.min(...own) > 2);
})"""
)
"""Views of a chart with the same millimetres across, and one scale both ways, that are drawn in two sizes."""

RIGHT_EDGES = """() => [...document.querySelectorAll('.barmath-panel .widget-vbox')].flatMap(box => {
    const ends = [...box.children].filter(row => row.matches('.barmath-row') && row.checkVisibility()).map(row =>
        [...row.children].filter(part => part.matches('.widget-text, .widget-dropdown') ||
            part.textContent.trim()).at(-1))
        .filter(part => part?.matches('.widget-dropdown, .widget-text'));
    const rights = ends.map(part => Math.round(part.getBoundingClientRect().right));
    return Math.max(...rights) - Math.min(...rights) > 1 ? [rights] : [];
})"""
"""Boxes of rows below each other that end at several places."""

LEFT_EDGES = """() => [...new Set([...document.querySelectorAll('.jp-MarkdownOutput h1, .barmath-panel > * > h4,' +
    '.barmath-panel > .widget-html :is(h4, p):not(.barmath-cautions *), .barmath-panel > .jupyter-button,' +
    '.barmath-doors section:first-child, .barmath-panel > .widget-html .barmath-cautions')]
    .filter(part => part.checkVisibility()).map(part => {
        if (!part.matches('h1, h4, p')) return Math.round(part.getBoundingClientRect().left);
        const words = document.createRange();
        words.selectNodeContents(part);
        return Math.round(words.getBoundingClientRect().left);
    }))]"""
"""Where headings, words, buttons and frames of a page begin, those inside the box of the cautions left out."""


SCRIPTS = (ON_EACH_OTHER, LINES_ON_WORDS, ON_EACH_OTHER_IN_SPACE, TWO_SIZES)


def faults(page):
    return [one for script in SCRIPTS for one in page.evaluate(script)]


def out_of_line(page):
    """What is wrong with a page's charts and pictures in space on tablet and laptop, and is so a while later too."""
    found = []
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        wait_until_calm(page)
        if faults(page):
            page.wait_for_timeout(SETTLED_MS)
            found += [(width, one) for one in faults(page)]
    return found
