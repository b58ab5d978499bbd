"""A link that opens a written sheet where it can be printed, on a tablet too: nobody has to look for its file."""

from __future__ import annotations

import anywidget
import traitlets


class OpenSheet(anywidget.AnyWidget):
    """A link to the PDF that is in `pdf`, which opens in a tab of its own; nothing while there is none."""

    _esm = """
    function render({ model, el }) {
        const link = document.createElement('a');
        link.textContent = 'Open it to print';
        link.target = '_blank';
        el.classList.add('barmath-open-sheet');
        function draw() {
            URL.revokeObjectURL(link.href);
            const pdf = model.get('pdf');
            el.replaceChildren(...(pdf.byteLength ? [link] : []));
            link.href = URL.createObjectURL(new Blob([pdf], { type: 'application/pdf' }));
        }
        model.on('change:pdf', draw);
        draw();
        return () => URL.revokeObjectURL(link.href);
    }
    export default { render };
    """
    _css = """
    .barmath-open-sheet a { display: inline-block; padding: 5px 0; min-height: 24px; color: #0b5a94;
        text-decoration: underline; }
    .barmath-open-sheet a:focus-visible { outline: 3px solid #0072b2; outline-offset: 2px; }
    .theme-dark .barmath-open-sheet a, [data-jp-theme-light="false"] .barmath-open-sheet a { color: #8cc8f0; }
    """

    pdf = traitlets.Bytes(b"").tag(sync=True)
