"""The glossary on the screen, and its pages for the wall."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from barmath.panels.sheet import WALL_SIZES, SheetWriter
from barmath.panels.shell import Shell, kept
from barmath.pictures.sketch import glossary_html
from barmath.saving import real_path


def words_panel() -> widgets.VBox:
    """Every term of the trade with its sketch and its meaning."""
    shell = Shell()
    shell.fill(widgets.HTML(glossary_html()))
    return shell.box


def words_writer(sheets_folder: str | Path = "sheets") -> widgets.VBox:
    """Writes the words of the trade as pages for the wall."""
    name = "words of the trade"
    return kept(
        SheetWriter,
        (name, real_path(sheets_folder)),
        lambda: SheetWriter(sheets_folder, _made, f"the {name}", name, WALL_SIZES, to_scale=False, named=False),
    )


def _made(_: str, size: str) -> tuple[bytes, bytes]:
    from barmath.paper.glossary_sheet import glossary_pages, glossary_pdf  # Matplotlib, only when a sheet is made

    return glossary_pdf(size), glossary_pages(size)[0].png(60.0)
