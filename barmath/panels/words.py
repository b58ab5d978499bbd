"""The glossary on the screen, and its pages for the wall."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import Shell
from barmath.paper.glossary_sheet import glossary_pages, glossary_pdf
from barmath.pictures.sketch import glossary_html

PAGES = (("A4", "A4"), ("A3", "A3"), ("US Letter", "Letter"))


def words_panel() -> widgets.VBox:
    """Every term of the trade with its sketch and its meaning."""
    shell = Shell()
    shell.fill(widgets.HTML(glossary_html()))
    return shell.box


def words_writer(sheets_folder: str | Path = "sheets") -> widgets.VBox:
    """Writes the words of the trade as pages for the wall."""
    return SheetWriter(sheets_folder, _made, "the words of the trade", "words of the trade", PAGES, to_scale=False).box


def _made(_: str, size: str) -> tuple[bytes, bytes]:
    return glossary_pdf(size), glossary_pages(size)[0].png(60.0)
