"""The part of a panel that prints: a name, a paper size, and a sheet written where one can find it."""

from __future__ import annotations

import gc
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from html import escape
from pathlib import Path

import ipywidgets as widgets

from barmath.panels.entry import button, choice_row, text_row
from barmath.panels.markup import heading
from barmath.panels.open_sheet import OpenSheet
from barmath.panels.ordered_bar_state import BY_HAND
from barmath.panels.shell import Shell, guarded, message_html, settled
from barmath.saving import file_name, make_folder, save_bytes

_ORDER = re.compile(rf"\b(order \d+|{BY_HAND})\b", re.ASCII)

WALL_SIZES = (("A4", "A4"), ("A3", "A3"), ("US Letter", "Letter"))
"""The papers offered for what hangs on a wall."""

PAGE_EDGE = "1px solid var(--jp-border-color1, #bbb)"
"""A page is white on a white ground: without an edge one sees a hole where nothing is printed."""


class SheetWriter(Shell):
    """Writes what a panel shows as a PDF, and shows the page.

    Parameters
    ----------
    folder : str or Path
        Where sheets go; made when the first one is written.
    make : function of a name and a page size
        Gives the bytes of the PDF and of a PNG preview; raises BendError where there is nothing to print.
    title, name : str
        Heading, and the name offered.
    pages : sequence of (words, page size)
    to_scale : bool
        Whether the sheet has a line of 100 mm to measure its print by.
    named : bool
        Whether the name is written on the sheet, and not only in the name of its file.
    picture : bool
        Whether the preview is saved as well, as a PNG beside the PDF.
    rows : sequence of widgets
        What is chosen for the sheet alone: between the heading and the name.

    Notes
    -----
    A sheet of the same name is never overwritten without asking: the second button appears and does it.
    """

    cautions = ()

    refused = "Not written"

    def __init__(
        self,
        folder: str | Path,
        make: Callable[[str, str], tuple[bytes, bytes]],
        title: str,
        name: str,
        pages: Sequence[tuple[str, str]] = (("A4", "A4"), ("US Letter", "Letter")),
        *,
        to_scale: bool = True,
        named: bool = True,
        picture: bool = False,
        rows: Sequence[widgets.Widget] = (),
    ) -> None:
        super().__init__()
        self.folder, self.make, self.to_scale = Path(folder), make, to_scale
        self.named, self.picture = named, picture
        self.name, name_row = text_row("Name", name, self._renamed)
        self.page, paper = choice_row("Paper", list(pages), pages[0][1], lambda _: None)
        self.write = button(f"Write {title}", self._write)
        self.replace = button("Replace the sheet of that name", self._replace)
        self.replace.layout.display = "none"
        self.link, self.preview = OpenSheet(), page_picture(display="none")
        self.box.layout.max_width = "620px"
        head = widgets.HTML(heading(f"Print {title}"))
        self.fill(head, *rows, name_row, paper, self.write, self.replace, self.message, self.link, self.preview)

    def name_order(self, number: int) -> None:
        """Offer the name of that order, or of a bar of none where it is 0: "order 8 cope" for "order 7 cope"."""
        self.name.value = _ORDER.sub(f"order {number}" if number else BY_HAND, self.name.value)

    @settled
    def _write(self, _: object) -> None:
        self._save(overwrite=False)

    @settled
    def _replace(self, _: object) -> None:
        self._save(overwrite=True)

    @guarded
    def _renamed(self, _: dict) -> None:
        self.replace.layout.display = "none"
        self.message.value, self.link.pdf = "", b""

    def _save(self, overwrite: bool) -> None:
        from barmath.paper.letters import unprinted, unprinted_words  # Matplotlib, only when a sheet is made

        name = self.name.value.strip() or "sheet"
        pdf, preview = self.make(name, self.page.value)
        target = self.folder / file_name(name, ".pdf")
        if target.exists() and not overwrite:
            self.replace.layout.display = ""
        make_folder(self.folder)
        saved = save_bytes(target, pdf, overwrite=overwrite)
        if self.picture:
            save_bytes(target.with_suffix(".png"), preview, overwrite=True)
        self.replace.layout.display = "none"
        self.link.pdf, self.preview.value, self.preview.layout.display = pdf, preview, ""
        place = escape(f"{self.folder.name}/{saved.name}")
        words = f"Written to {place}{', and as a picture beside it' if self.picture else ''}."
        if self.to_scale:
            words += " Print it at actual size and measure the check line on it."
        good = f'<div class="barmath-message barmath-good">{words}</div>'
        missing = unprinted_words(unprinted(name)) if self.named else ""
        watch = message_html(missing, "warn", "Watch") if missing else ""
        self.message.value = f'<div role="status">{good}{watch}</div>'


@contextmanager
def page_drawn() -> Iterator[None]:
    """While this runs a page is drawn. Its thousands of parts hold each other, and are swept away in 3 ms at its end.

    Python would sweep those of ten pages at once, in 150 ms while a hand waits.
    """
    gc.disable()  # else they would be old by then, and the old are only swept with everything
    try:
        yield
    finally:
        gc.enable()
        gc.collect(0)


def page_picture(**layout: str) -> widgets.Image:
    """A picture of a printed page with its edge, as wide as its room."""
    return widgets.Image(
        format="png", layout=widgets.Layout(**({"width": "calc(100% - 2px)", "border": PAGE_EDGE} | layout))
    )
