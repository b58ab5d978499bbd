"""What the page at the bench needs from the browser: large type and targets, and the keys that go on and back."""

from __future__ import annotations

import anywidget
import traitlets


class BenchPageCare(anywidget.AnyWidget):
    """A widget of no size that gives the page its looks and its keys.

    Arrow right, Page Down and Enter go on; arrow left and Page Up go back; not while something is typed or chosen.
    A figure is 15 mm high on a tablet: 80 CSS pixels of type, of which a digit is 0.73.
    """

    _esm = """
    const ON = ['ArrowRight', 'PageDown'], BACK = ['ArrowLeft', 'PageUp'];
    function render({ model, el }) {
        el.classList.add('barmath-care');
        const said = () => {
            const canvas = el.closest('.barmath-bench-page')?.querySelector('canvas');
            canvas?.setAttribute('role', 'img');
            canvas?.setAttribute('aria-label', model.get('says'));
            return canvas;
        };
        const looking = setInterval(() => { if (said()) clearInterval(looking); }, 300);
        model.on('change:says', said);
        const press = event => {
            const page = el.closest('.barmath-bench-page');
            if (!page || !page.isConnected || event.altKey || event.ctrlKey || event.metaKey) return;
            if (event.target.closest('input, select, textarea, .noUi-handle')) return;
            const where = ON.includes(event.key) ? 'next' : BACK.includes(event.key) ? 'back' : '';
            if (!where) return;
            event.preventDefault();
            page.querySelector(`.barmath-bench-${where}`).click();
        };
        document.addEventListener('keydown', press);
        return () => {
            clearInterval(looking);
            model.off('change:says', said);
            document.removeEventListener('keydown', press);
        };
    }
    export default { render };
    """
    says = traitlets.Unicode("").tag(sync=True)

    _css = """
    .barmath-bench-page.barmath-panel { container-type: normal; }
    .barmath-bench-page { max-width: 900px; margin: 0 auto; background: #fff; color: #15202b; overflow: visible;
        font-family: system-ui, "Segoe UI", "DejaVu Sans", sans-serif; color-scheme: light;
        --jp-ui-font-color0: #000; --jp-ui-font-color1: #15202b; --jp-layout-color0: #fff; --jp-layout-color3: #bdbdbd;
        --jp-widgets-color: #15202b; --jp-widgets-label-color: #15202b; --jp-widgets-readout-color: #15202b;
        --jp-widgets-input-color: #15202b; --jp-widgets-input-background-color: #fff;
        --jp-widgets-input-border-color: #8a96a1; }
    .barmath-bench-page :is(input, select)::placeholder { color: #5b6770; }
    .barmath-bench-page .widget-html, .barmath-bench-page .widget-html-content { width: 100%; margin: 0; height: auto;
        overflow: visible; font-size: 20px; line-height: 1.3; }
    .barmath-bench-head .widget-html-content { display: flex; flex-wrap: wrap; align-items: baseline; gap: 0 16px;
        padding: 8px 0;
        border-bottom: 2px solid #15202b; }
    .barmath-bench-head h1 { font-size: 28px; margin: 0 !important; line-height: 1.2; }
    .barmath-bench-name { font-weight: 700; font-size: 20px; }
    .barmath-bench-place { margin-left: auto; font-size: 20px; }
    .barmath-bench-picture { width: 100%; overflow: hidden; }
    .barmath-bench-picture canvas { touch-action: pan-y !important; }
    .barmath-bench-line { display: flex; align-items: center; gap: 20px; border-bottom: 1px solid #d5dae0; padding:
        2px 0; }
    .barmath-bench-line p { margin: 0; }
    .barmath-bench-figure { flex: 0 0 330px; font-size: 82px; font-weight: 700; line-height: 1.16; white-space: nowrap;
        font-variant-numeric: tabular-nums; }
    .barmath-bench-figure small { font-size: 26px; font-weight: 600; margin-left: -14px; }
    .barmath-bench-note { margin: 10px 0 4px !important; padding: 8px 16px; border-left: 8px solid #0b5a94;
        background: #e6f0f7; }
    .barmath-bench-page .barmath-message { font-size: 20px; }
    .barmath-bench-page .barmath-row { min-height: 52px; height: auto; }
    .barmath-bench-page .barmath-row input, .barmath-bench-page .barmath-row select { height: 48px !important;
        font-size: 18px; }
    .barmath-bench-page .barmath-bench-read input, .barmath-bench-page .barmath-bench-check input { height: 56px
        !important; width: 150px !important;
        font-size: 26px !important; }
    .barmath-bench-read, .barmath-bench-check .barmath-row { min-height: 64px !important; align-items: center; gap:
        14px; }
    .barmath-bench-read .widget-html, .barmath-bench-check .widget-html { width: auto; }
    .barmath-bench-page .widget-text, .barmath-bench-page .widget-dropdown { width: auto; height: auto;
        overflow: visible; }
    .barmath-bench-choose .barmath-row > .widget-html:first-child { width: 166px !important; flex: none; }
    .barmath-bench-choose .barmath-row .widget-slider ~ .widget-text { flex: 0 0 124px; min-width: 124px; }
    .barmath-bench-bar { position: sticky; bottom: -24px; z-index: 5; background: #fff; padding: 10px 0 36px; gap: 14px;
        width: 100%; overflow: visible; }
    .barmath-bench-bar button { flex: 1 1 0; height: 84px; margin: 0; border-radius: 10px; font-size: 26px;
        white-space: normal; line-height: 1.15; border: 2px solid #0b5a94; background: #fff; color: #0b5a94; }
    .barmath-bench-bar button.barmath-bench-next { flex: 2 1 0; background: #0b5a94; color: #fff; }
    .barmath-bench-bar button.barmath-bench-scrap { flex: 0 0 auto; width: auto; padding: 0 12px; font-size: 20px; }
    .barmath-bench-bar button:disabled { opacity: 1; color: #5b6770; border-color: #c9d1d9; }
    @media (min-width: 1000px) and (max-height: 1100px) {
        .barmath-bench-page { max-width: 1240px; }
        .barmath-bench-page:has(> .barmath-bench-picture:not([style*="none"])) { display: grid; column-gap: 24px;
            grid-template-columns: minmax(0, 2fr) minmax(0, 3fr); }
        .barmath-bench-page > * { grid-column: 1 / -1; grid-row: 6; }
        .barmath-bench-page > .barmath-bench-head { grid-row: 1; }
        .barmath-bench-page > .barmath-bench-picture { grid-area: 2 / 1 / span 3; }
        .barmath-bench-page > .barmath-bench-bar { grid-row: 5; }
        .barmath-bench-picture:not([style*="none"]) ~ .barmath-bench-figures { grid-area: 2 / 2; }
        .barmath-bench-picture:not([style*="none"]) ~ .barmath-verdict { grid-area: 3 / 2; }
        .barmath-bench-picture:not([style*="none"]) ~ .barmath-bench-read { grid-area: 4 / 2; }
    }
    @media (max-width: 600px) {
        .barmath-bench-page .widget-html, .barmath-bench-page .widget-html-content, .barmath-bench-page
        .barmath-message { font-size: 15px; line-height: 1.25; }
        .barmath-bench-picture .k3d-plot > div { height: 180px !important; }
        .barmath-bench-choose .barmath-row { flex-wrap: wrap; }
        .barmath-bench-choose .barmath-row > .widget-html:first-child { width: 100% !important; }
        .barmath-bench-head h1 { font-size: 20px; }
        .barmath-bench-name, .barmath-bench-place { font-size: 15px; }
        .barmath-bench-line { gap: 10px; }
        .barmath-bench-line p:last-child { font-size: 14px; line-height: 1.2; }
        .barmath-bench-figure { flex: 0 0 136px; font-size: 40px; letter-spacing: -1px; line-height: 1.2; }
        .barmath-bench-figure small { font-size: 15px; margin-left: -8px; }
        .barmath-bench-note { padding: 6px 10px; }
        .barmath-bench-page .barmath-bench-read input, .barmath-bench-page .barmath-bench-check input { height: 48px
        !important; width: 120px !important;
        font-size: 20px !important; }
        .barmath-bench-read { min-height: 52px !important; }
        .barmath-bench-bar { bottom: -16px; padding: 6px 0 24px; gap: 8px; }
        .barmath-bench-bar button, .barmath-bench-bar button.barmath-bench-next { flex: 1 1 auto; width: auto;
            min-width: 62px; height: 64px; font-size: 19px; padding: 0 4px; }
        .barmath-bench-bar button.barmath-bench-scrap { flex: none; font-size: 17px; padding: 0 8px; }
    }
    """
