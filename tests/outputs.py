"""What the cells of a notebook show, as Jupyter keeps it."""

from barmath.panels.saved import TO_START

WIDGET = "application/vnd.jupyter.widget-view+json"
"""Jupyter's name of an output that is a widget: https://github.com/jupyter-widgets/ipywidgets, its message protocol."""


def bare(cells):
    """The first words of each widget that has no words for a saved page before it, of the outputs of each cell."""
    found = []
    for outputs in cells:
        words = ["".join(output.get("data", {}).get("text/plain", "")) for output in outputs]
        shows = [WIDGET in output.get("data", {}) for output in outputs]
        found += [words[at][:80] for at, one in enumerate(shows) if one and TO_START not in words[max(at - 1, 0)]]
    return found
