"""The panel of a teacher: a class sheet of one kind of exercise, looked at and written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets as widgets

from barmath.panels.entry import choice_row, text_row
from barmath.panels.sheet import SheetWriter, page_picture
from barmath.panels.shell import Shell, beside, column, guarded, kept, wide
from barmath.practice.course import KINDS, seed_from_text
from barmath.practice.scene import LEVELS
from barmath.saving import real_path

if TYPE_CHECKING:
    from barmath.paper.class_sheet import ClassSheet


class ClassSheetPanel(Shell):
    """A kind, a level, a seed and a number of apprentices; the teacher's page beside them."""

    refused = "No sheet"

    def __init__(self, sheets_folder: str | Path) -> None:
        from barmath.paper.class_sheet import MOST_APPRENTICES  # Matplotlib, only when the panel is made

        super().__init__()
        names = [(f"{kind.lesson}: {kind.words}", kind.name) for kind in KINDS]
        self.kind, kind_row = choice_row("Exercise", names, KINDS[0].name, self._changed)
        self.level, level_row = choice_row("Level", list(LEVELS), LEVELS[0], self._changed)
        counts = list(range(1, MOST_APPRENTICES + 1))
        self.count, count_row = choice_row("Apprentices", counts, 12, self._changed)
        self.seed, seed_row = text_row("Seed", "31", self._changed, seed_from_text)
        self.writer = SheetWriter(
            sheets_folder, self._made, "the class sheet", "class marks", to_scale=False, named=False
        )
        self.preview = page_picture(max_width="640px")
        controls = column(kind_row, level_row, count_row, seed_row, self.message, self.writer.box)
        self.fill(beside(controls, wide(self.preview)))
        self.refresh()

    def sheet(self) -> ClassSheet:
        """The sheet as it is set; raises BendError where the seed is none."""
        from barmath.paper.class_sheet import ClassSheet

        return ClassSheet(self.kind.value, seed_from_text(self.seed.value), self.level.value, self.count.value)

    def refresh(self) -> None:
        """Draw the teacher's page again."""
        from barmath.paper.class_sheet import class_sheet_png

        self.preview.value = class_sheet_png(self.sheet())
        self.message.value = ""

    def _made(self, _: str, size: str) -> tuple[bytes, bytes]:
        from barmath.paper.class_sheet import class_sheet_pdf, class_sheet_png

        sheet = self.sheet()
        return class_sheet_pdf(sheet, size), class_sheet_png(sheet, size, 60.0)

    @guarded
    def _changed(self, change: dict) -> None:
        if change["owner"] is self.kind:
            self.writer.name.value = f"class {self.kind.value}"
        if self.refused_entries():
            self.say()
        else:
            self.refresh()


def class_sheet_panel(sheets_folder: str | Path = "sheets") -> widgets.VBox:
    """The panel of class sheets for a notebook; running its cell again shows the same one."""
    return kept(ClassSheetPanel, real_path(sheets_folder), lambda: ClassSheetPanel(sheets_folder))
