"""What a panel needs from the page: width, keys and names that JupyterLab's widgets do not give by themselves."""

from __future__ import annotations

import anywidget
import traitlets

PANEL_CLASS = "barmath-panel"
ROW_CLASS = "barmath-row"


class PageCare(anywidget.AnyWidget):
    """A widget of no height inside a panel that looks after seven things in the page.

    A figure follows the width of its panel, also if it was hidden while it was drawn. Its cell is laid out also where
    it is scrolled out of sight. Plotly measures words as it draws them, and remembers what it measured. While something
    in the panel has the focus, JupyterLab's one-letter keys do not act on the notebook. The handles of sliders carry
    the name of their row for screen readers. Buttons that show a sign alone, and pictures of pages, carry words for it.
    And a picture has a minute to load: anywidget gives every widget two seconds, and k3d's three megabytes need more
    on a slow machine. A figure that comes too late is not shown, or does not move with the sliders. Make it before the
    figure.

    On a page without code the pictures go along while one scrolls past the controls beside them. Where they are higher
    than the window, their lower end does.

    Run All jumps to the end of the notebook: when its panels show, one is back where one had scrolled to by hand, or
    at the top.

    And it says when the panel is cut off. After a restart of the kernel its widgets look alive, and nothing answers
    them: the panel turns grey, takes no click, and says what to do. After each click or key it asks Python whether it
    is there. The answer comes after what was clicked has been done; where that takes long, the panel says so meanwhile.
    """

    _esm = """
    const ASK_MS = 200, ANSWER_MS = 1500, LOOK_MS = 150, NARROW = 340; // as wide as the last rule of the style below
    const timeout = AbortSignal.timeout;
    if (!timeout.patient) {
        AbortSignal.timeout = ms => timeout.call(AbortSignal, ms === 2000 ? 60000 : ms);
        AbortSignal.timeout.patient = true;
    }
    function name(row) {
        const label = row && row.querySelector('.barmath-label');
        return label ? label.textContent.trim() : '';
    }
    function care(panel, el) {
        const focus = event => event.target.setAttribute('data-lm-suppress-shortcuts', 'true');
        panel.addEventListener('focusin', focus);
        const call = (part, words) => {
            if (!part.getAttribute('aria-label')) part.setAttribute('aria-label', words);
        };
        const label = () => {
            panel.querySelectorAll('.barmath-row').forEach(row =>
                row.querySelectorAll('.noUi-handle, input, select').forEach(part => call(part, name(row))));
            panel.querySelectorAll('.widget-play button').forEach(part =>
                call(part, part.querySelector('.fa-stop') ? 'Stop, back to the start' : 'Play or pause'));
            panel.querySelectorAll('img.widget-image').forEach(part => { part.alt = 'The page as it is printed'; });
            panel.querySelectorAll('.js-plotly-plot').forEach(plot => appeared.observe(plot));
            if (page) panel.querySelectorAll('.barmath-shown').forEach(part => rest.observe(part));
        };
        let width = 0;
        const reach = () => panel.querySelectorAll('.widget-html, .barmath-charts').forEach(box =>
            box.scrollWidth > box.clientWidth + 1 ? box.tabIndex = 0 : box.removeAttribute('tabindex'));
        const widths = new WeakMap();
        const appeared = new ResizeObserver(plots => {
            const hidden = plots.filter(({target}) => widths.get(target) === 0);
            plots.forEach(({target, contentRect}) => widths.set(target, contentRect.width));
            if (hidden.some(({target}) => widths.get(target))) window.dispatchEvent(new Event('resize'));
        });
        const page = panel.closest('#rendered_cells');
        const rest = new ResizeObserver(() => panel.querySelectorAll('.barmath-shown').forEach(part =>
            part.style.setProperty('--barmath-top', `${Math.min(0, page.clientHeight - part.offsetHeight)}px`)));
        if (page) rest.observe(page);
        let looking = 0;
        const look = () => { looking = 0; label(); if (width <= NARROW) reach(); };
        const seen = new MutationObserver(() => { looking ||= setTimeout(look, LOOK_MS); });
        seen.observe(panel, {childList: true, subtree: true});
        label();
        const refused = new MutationObserver(() => panel.querySelectorAll('.barmath-row input').forEach(part =>
            part.setAttribute('aria-invalid', Boolean(part.closest('.barmath-refused')))));
        refused.observe(panel, {attributeFilter: ['class'], subtree: true});
        const sized = new ResizeObserver(() => {
            if (Math.abs(panel.clientWidth - width) > 1) {
                width = panel.clientWidth;
                window.dispatchEvent(new Event('resize'));
                reach();
            }
        });
        sized.observe(panel);
        return () => { panel.removeEventListener('focusin', focus);
            clearTimeout(looking);
            [seen, refused, sized, appeared, rest].forEach(one => one.disconnect()); };
    }
    function watch(panel, el, model) {
        if (panel.parentElement.closest('.barmath-panel')) return () => {};
        const kernel = model.widget_manager.kernel;
        let gone = '', asked = 0, asking = 0, late = 0;
        const say = (kind, lead, words) => {
            if (el.dataset.said === lead) return;
            el.dataset.said = lead;
            const note = document.createElement('div');
            note.className = `barmath-message barmath-${kind}`;
            note.setAttribute('role', kind === 'bad' ? 'alert' : 'status');
            note.innerHTML = `<b>${lead}.</b> ${words}`;
            el.replaceChildren(...(lead ? [note] : []));
        };
        const show = () => {
            const state = gone || (kernel && kernel.connectionStatus !== 'connected' ? 'lost' : late ? 'late' : '');
            for (const part of panel.children) if (part !== el) part.inert = state === 'gone' || state === 'lost';
            if (state === 'gone') say('bad', 'Cut off', (document.body.dataset.voila ? 'Load this page again ' +
                'to go on. ' : 'Run this cell again to go on: choose Run All Cells in the menu Run. ') +
                'Python has stopped or was started again. This panel is old, and nothing in it works.');
            else if (state === 'lost') say('bad', 'No connection', 'Wait, or start JupyterLab again. The page does ' +
                'not reach Python now. What you set last may not be done.');
            else if (state === 'late') say('warn', 'Python is busy', 'Wait until this line goes. What you set or ' +
                'pressed last is not done yet.');
            else say('', '', '');
        };
        const turned = (_, status) => {
            if (['restarting', 'autorestarting', 'terminating', 'dead'].includes(status)) gone = 'gone';
            show();
        };
        const ended = () => { gone = 'gone'; show(); };
        const heard = () => { clearTimeout(asked); asked = late = 0; show(); };
        const ask = () => {
            if (asked || gone) return;
            asked = setTimeout(() => { late = 1; show(); }, ANSWER_MS);
            asking = setTimeout(send, ASK_MS); // what was set is shown first
        };
        const send = () => {
            try { model.send({ask: 'are you there'}); } catch (fault) { late = 1; show(); }
        };
        model.on('msg:custom', heard);
        const used = ['click', 'change', 'keyup', 'pointerup'];
        used.forEach(event => panel.addEventListener(event, ask));
        kernel?.statusChanged.connect(turned);
        kernel?.connectionStatusChanged.connect(show);
        kernel?.disposed.connect(ended);
        if (kernel?.isDisposed) ended();
        return () => {
            clearTimeout(asked);
            clearTimeout(asking);
            used.forEach(event => panel.removeEventListener(event, ask));
            kernel?.statusChanged.disconnect(turned);
            kernel?.connectionStatusChanged.disconnect(show);
            kernel?.disposed.disconnect(ended);
        };
    }
    function keepPlace(el) {
        const page = el.closest('.jp-WindowedPanel-outer');
        if (!page) return;
        if (!page.barmathPlace) {
            const place = page.barmathPlace = {top: 0, until: 0};
            const moved = () => { place.until = performance.now() + 400; place.top = page.scrollTop; };
            ['wheel', 'touchmove', 'pointerdown', 'keydown'].forEach(event =>
                page.addEventListener(event, moved, {capture: true, passive: true}));
            page.addEventListener('scroll', () => {
                if (performance.now() < place.until) place.top = page.scrollTop;
            });
        }
        page.scrollTop = page.barmathPlace.top;
    }
    function render({ model, el }) {
        el.classList.add('barmath-care');
        let end = () => {}, alive = true;
        const find = () => {
            const panel = el.closest('.barmath-panel');
            if (panel) {
                keepPlace(panel);
                const ends = [care(panel, el), watch(panel, el, model)];
                end = () => ends.forEach(one => one());
            }
            else if (alive) requestAnimationFrame(find);
        };
        find();
        return () => { alive = false; end(); };
    }
    export default { render };
    """
    _css = """
    .jp-Cell:has(.barmath-panel) { content-visibility: visible !important; }
    .barmath-panel.jupyter-widgets-disconnected::before, .barmath-panel .jupyter-widgets-disconnected::before {
        content: none !important; }
    .barmath-care:empty { height: 0; }
    .barmath-panel > [inert] { filter: grayscale(1); opacity: 0.45; }
    .barmath-panel { color: var(--jp-ui-font-color1, #111); container-type: inline-size; width: 100%; }
    .barmath-panel .barmath-beside { display: grid; gap: 0 20px; width: 100%; overflow: visible;
        grid-template: auto 1fr auto / minmax(300px, min(36%, 460px)) minmax(0, 1fr); }
    .barmath-panel .barmath-beside > * { min-width: 0; }
    .barmath-panel .barmath-controls { grid-area: 1 / 1; }
    .barmath-panel .barmath-shown { grid-area: 1 / 2 / span 2; }
    .barmath-panel .barmath-below { grid-area: 2 / 1; }
    .barmath-panel .barmath-third { grid-area: 3 / 1 / auto / span 2; }
    .barmath-panel :where(.barmath-shown:has(.barmath-charts)) > .barmath-verdict { min-height: 96px; }
    .barmath-panel .barmath-first { min-height: 98px; }
    @container ((min-width: 1180px) and (max-width: 1499px)) or ((min-width: 700px) and (max-width: 860px)) {
        .barmath-panel .barmath-first { min-height: 68px; } }
    .barmath-panel .barmath-hands { min-height: 324px; }
    .barmath-panel .barmath-answer { min-height: 364px; } /* room for the longest message: it moves no picture */
    @container (min-width: 620px) and (max-width: 939px) { .barmath-panel .barmath-answer { min-height: 250px; } }
    [data-voila] .barmath-panel, [data-voila] .widget-box:has(> .barmath-panel) { overflow: visible; }
    [data-voila] .barmath-panel .barmath-shown { align-self: start; position: sticky; top: var(--barmath-top, 0); }
    @container (min-width: 1500px) {
        .barmath-panel .barmath-beside:has(> .barmath-third) {
            grid-template: auto 1fr / minmax(300px, 440px) minmax(0, 2fr) minmax(420px, 1fr); }
        .barmath-panel .barmath-third { grid-area: 1 / 3 / span 2; }
    }
    @container (max-width: 480px) { .barmath-panel .barmath-first { min-height: 188px; } }
    @container (max-width: 860px) {
        .barmath-panel .barmath-beside { grid-template: none / minmax(0, 1fr); reading-flow: grid-order; }
        .barmath-panel .barmath-beside > *, .barmath-panel .barmath-beside > .barmath-shown > * { grid-area: auto; }
        .barmath-panel .barmath-beside > .barmath-shown { display: contents; }
        .barmath-panel .barmath-shown > :is(.barmath-film, .barmath-first) { order: -1; }
        .barmath-panel .barmath-shown > .jupyter-button { justify-self: start; }
        .barmath-panel .barmath-shown > .barmath-verdict { order: -1; position: sticky; top: 0; z-index: 6;
            min-height: 118px; max-height: 30vh; overflow: auto; background: var(--jp-layout-color0, #fff); }
        .barmath-panel .barmath-shown > .barmath-verdict:not(:has(.barmath-message)) { min-height: 0; }
        .barmath-panel .barmath-row :is(input, select, .noUi-handle) { scroll-margin-top: 32vh; }
        .barmath-panel .barmath-below { order: 1; }
        .barmath-panel .barmath-third { order: 2; }
    }
    .barmath-panel .barmath-bench { display: grid; gap: 0 18px; width: 100%; overflow: visible;
        grid-template: 660px / minmax(0, 65fr) minmax(260px, 35fr); }
    .barmath-panel .barmath-bench > * { min-width: 0; min-height: 0; overflow: auto; }
    .barmath-panel .barmath-film { overflow: hidden; }
    .barmath-panel .barmath-film canvas { touch-action: pan-y !important; }
    .barmath-panel .barmath-words { padding: 0 6px 24px 0;
        mask-image: linear-gradient(#000 calc(100% - 24px), transparent); }
    .barmath-panel .barmath-words > * { flex-shrink: 0; }
    .barmath-panel ul.barmath-figures { list-style: none; margin: 2px 0 8px; padding: 0; font-size: 16px;
        font-weight: 600; line-height: 1.5; }
    .barmath-panel ul.barmath-across { display: flex; flex-wrap: wrap; gap: 0 26px; margin-top: 0; font-size: 14px;
        font-weight: 400; }
    .barmath-panel ul.barmath-across strong { font-size: 20px; }
    @container (max-width: 860px) {
        .barmath-panel .barmath-bench { grid-template: auto auto / minmax(0, 1fr); }
        .barmath-panel .barmath-words { max-height: 340px; }
    }
    .barmath-panel .barmath-row { align-items: center; }
    .barmath-panel .barmath-draft { margin-left: 8px; }
    [data-jp-theme-light="false"] .barmath-panel:not(.barmath-bench-page) select {
        --jp-widgets-dropdown-arrow: url("data:image/svg+xml,%3Csvg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 20 \
20'%3E%3Cpath d='M6 8l4 4 4-4' fill='none' stroke='%23e0e0e0' stroke-width='2'/%3E%3C/svg%3E"); }
    @media (forced-colors: active) {
        .barmath-panel .widget-slider .noUi-target, .barmath-panel .jupyter-button { border: 1px solid ButtonText; }
        .barmath-panel .jupyter-button:disabled { border-color: GrayText; }
    }
    .barmath-panel .barmath-ways { align-items: stretch; }
    .barmath-panel .widget-slider .noUi-handle { width: 24px; height: 24px; border-radius: 50%; }
    .barmath-panel .widget-slider .noUi-horizontal .noUi-handle { top: -11px; right: -12px; }
    .barmath-panel .barmath-refused input { border-color: #b3261e !important; outline: 1px solid #b3261e; }
    .barmath-panel .barmath-ways select { font-family: var(--jp-code-font-family, monospace); font-size: 12px; }
    .barmath-panel :focus-visible { outline: 2px solid #0072b2; outline-offset: 1px; }
    .barmath-panel table.barmath { border-collapse: collapse; font-size: 13px; width: 100%; }
    .barmath-panel table.barmath td, .barmath-panel table.barmath th {
        padding: 2px 8px 2px 0; text-align: left; vertical-align: top; line-height: 1.35;
        border-bottom: 1px solid var(--jp-border-color2, #ddd); }
    .barmath-panel table.barmath td.number, .barmath-panel table.barmath th.number { text-align: right;
        font-variant-numeric: tabular-nums; white-space: nowrap; padding-right: 14px; }
    .barmath-panel table.barmath th.number { white-space: normal; }
    .barmath-panel table.barmath td:first-child:not(.number) { min-width: min(98px, 28cqw); }
    .barmath-panel .lm-Collapse-header, .barmath-panel .jupyter-widget-Collapse-header { color: inherit !important; }
    .jp-Notebook .jp-MarkdownOutput.jp-RenderedHTMLCommon { padding-left: 1px; }  /* begins where a panel does */
    .jp-RenderedMarkdown.jp-RenderedHTMLCommon a:any-link { text-decoration: underline; }
    .jp-RenderedMarkdown.jp-RenderedHTMLCommon > :is(p, ul, ol, blockquote) { max-width: 860px; }
    .barmath-panel > .widget-html table.barmath { max-width: 860px; }
    .barmath-panel > .widget-html table.barmath:not(:has(tr > :nth-child(3))):has(td.number) { max-width: 430px; }
    .barmath-bet :is(.widget-html-content, .widget-htmlmath-content, .barmath-message) {
        font-size: var(--jp-content-font-size1, 14px); }
    :is(.barmath-bet, .barmath-panel > .widget-hbox > .widget-html) p.barmath { margin: 4px 0; }
    .barmath-panel h4 { margin: 10px 0 4px; font-size: 14px; }
    .barmath-panel .barmath-cautions { max-width: 75ch; border-left: 4px solid #b45309; }
    .barmath-panel .barmath-cautions { padding: 2px 12px; margin-top: 12px; }
    .barmath-panel .barmath-message { padding: 6px 10px; border-left: 4px solid; margin: 4px 0; line-height: 1.4; }
    .barmath-panel .barmath-good { border-color: #00704f; background: #e9f5f0; color: #10241d; }
    .barmath-panel .barmath-unjudged { border-color: #6b6b6b; background: #efefef; color: #222; }
    .barmath-panel .barmath-warn { border-color: #9a6700; background: #fff6df; color: #2d2103; }
    .barmath-panel .barmath-bad { border-color: #b3261e; background: #fdecea; color: #350b08; }
    .barmath-panel ol.barmath, .barmath-panel ul.barmath { margin: 2px 0 8px 0; padding-left: 20px; line-height: 1.45;
        font-size: 13px; }
    .barmath-panel :is(.widget-html-content, .widget-htmlmath-content) { line-height: 1.4; }
    @container (max-width: 480px) {
        .barmath-panel .widget-html { overflow-x: auto; }
        .barmath-panel table.barmath td:not(.number, :first-child) { min-width: 130px; }
    }
    @container (max-width: 340px) {
        .barmath-panel .barmath-row { flex-wrap: wrap; height: auto; }
        .barmath-panel .barmath-row > .widget-html:first-child { width: 100% !important; }
        .barmath-panel .barmath-row .widget-html-content { overflow-x: auto; }
        .barmath-panel table.barmath td.number:nth-child(2):last-child { white-space: normal; }
        .barmath-panel .barmath-charts { overflow-x: auto; }
        .barmath-panel .barmath-charts > * { min-width: 580px; }
        .barmath-panel .barmath-ways { flex-wrap: nowrap; overflow-x: auto; }
        .barmath-panel .barmath-ways > :has(select) { min-width: 420px; }
    }
    """

    quiet = traitlets.Bool(True).tag(sync=True)

    def __init__(self) -> None:
        super().__init__()
        self.on_msg(lambda _, content, buffers: self.send({"here": True}))
