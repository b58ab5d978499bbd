"""What a saved page shows where a panel was: how to start. JupyterLab saves no panel, and says "model not found"."""

from __future__ import annotations

from collections.abc import Mapping

from IPython.display import display

from barmath.panels.markup import paragraph

TO_START = "Choose Run All Cells in the menu Run to start. This page was saved, and its panels need Python."

LOADS_S = 4
"""Until then a panel may still come: the words would only flicker."""

_STYLE = f"""<style>
@keyframes barmath-wait {{ from {{ max-height: 0; padding: 0; visibility: hidden; }} }}
.barmath-saved {{ animation: barmath-wait {LOADS_S}s step-end; overflow: hidden; }}
body[data-voila] .barmath-saved, .jp-OutputArea:has(.barmath-panel) .jp-OutputArea-child:has(.barmath-saved),
.jp-Notebook:has(.barmath-saved) .jp-OutputArea-output.lm-Panel:not(:has(> *)) {{ display: none; }}
</style>"""
"""The last selector finds what JupyterLab writes in place of a widget that it does not have: words and no element."""


def display_panel(bundle: Mapping[str, object]) -> None:
    """Show a panel, after words that only a saved page shows, where its widget is not.

    Parameters
    ----------
    bundle : mapping
        What ipywidgets publishes of the panel, by kind of content.
    """
    words = f'<div class="barmath-saved">{paragraph(TO_START)}</div>{_STYLE}'
    display({"text/plain": TO_START, "text/html": words}, raw=True)
    display({**bundle, "text/plain": ""}, raw=True)
