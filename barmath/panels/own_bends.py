"""The panel for the reader's own test bends: type them, and see what they say of the stop."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from barmath.panels.entry import choice_row, text_row
from barmath.panels.markup import paragraph
from barmath.panels.own_bends_state import MOST_BENDS, bend_from_text, own_bends_html
from barmath.panels.shell import Shell, heard, kept
from barmath.records.bent_bar import TestBend
from barmath.shop.cautions import BENDING
from barmath.shop.shop_file import Shop, shop_from_file
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die

HOW = (
    "One line for each bend: what the stop was set to, what the tube kept, and the shift in mm if you measured it. "
    "Put semicolons between, such as 30; 28.6; 1.4. Nothing is kept here: the record of lesson 09 keeps test bends."
)


class OwnBendsPanel(Shell):
    """Test bends of the reader, and what they change.

    Attributes
    ----------
    bends : tuple of TestBend
        Those that are typed.
    """

    cautions = BENDING
    fits, refused = "Worked out", "Not taken"

    def __init__(self, shop: Shop) -> None:
        super().__init__()
        self.shop = shop
        tubes, dies = [one.name for one in shop.tubes], [one.name for one in shop.dies]
        self.tube, tube_row = choice_row("Tube", tubes, tubes[0], self._anew)
        self.die, die_row = choice_row("Die", dies, dies[0], self._anew)
        typed = [text_row(f"Test bend {place + 1}", "", self._anew, self._bend) for place in range(MOST_BENDS)]
        self.typed = [text for text, _ in typed]
        self.words = widgets.HTML()
        self.bends: tuple[TestBend, ...] = ()
        self.box.layout.max_width = "860px"
        rows = [row for _, row in typed]
        self.fill(widgets.HTML(paragraph(HOW)), tube_row, die_row, *rows, self.message, self.words)
        self._show()

    def _tools(self) -> tuple[Tube, Die]:
        return self.shop.tube(self.tube.value), self.shop.die(self.die.value)

    def _bend(self, text: str) -> TestBend | None:
        return bend_from_text(text, *self._tools())

    @heard
    def _anew(self, _: dict) -> None:
        self._show()

    def _show(self) -> None:
        self.say()
        if self.refused_entries():
            return
        typed = (self._bend(text.value) for text in self.typed)
        self.bends = tuple(bend for bend in typed if bend is not None)
        self.words.value = own_bends_html(*self._tools(), self.bends)


def own_bends_panel(shop_file: str | Path) -> widgets.VBox:
    """The panel for the reader's own test bends, made once.

    Parameters
    ----------
    shop_file : path
        The shop's TOML file.
    """
    return kept(OwnBendsPanel, shop_file, lambda: OwnBendsPanel(shop_from_file(shop_file)))
