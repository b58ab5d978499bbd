"""The panel of a teacher: a class sheet of one kind of exercise, looked at and written."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets as widgets

from barmath.panels.entry import choice_row, text_row
from barmath.panels.form import FormPanel
from barmath.panels.sheet import SheetWriter, page_drawn, page_picture
from barmath.panels.shell import beside, column, kept, wide
from barmath.practice.course import KINDS, seed_from_text
from barmath.practice.scene import LEVELS
from barmath.saving import real_path

if TYPE_CHECKING:
    from barmath.paper.class_sheet import ClassSheet


@dataclass(frozen=True)
class ClassSheetState:
    """Which exercise at which level, drawn by which seed, and for how many apprentices."""

    kind: str = KINDS[0].name
    level: int = LEVELS[0]
    count: int = 12
    seed: str = "31"


class ClassSheetPanel(FormPanel):
    """A kind, a level, a seed and a number of apprentices; the teacher's page beside them."""

    refused = "No sheet"

    state: ClassSheetState

    def __init__(self, sheets_folder: str | Path) -> None:
        from barmath.paper.class_sheet import MOST_APPRENTICES  # Matplotlib, only when the panel is made

        super().__init__()
        self.state = s = ClassSheetState()
        names = [(f"{kind.lesson}: {kind.words}", kind.name) for kind in KINDS]
        self.kind, kind_row = choice_row("Exercise", names, s.kind)
        self.level, level_row = choice_row("Level", list(LEVELS), s.level)
        counts = list(range(1, MOST_APPRENTICES + 1))
        self.count, count_row = choice_row("Apprentices", counts, s.count)
        self.seed, seed_row = text_row("Seed", s.seed, check=seed_from_text)
        self.bind(kind=self.kind, level=self.level, count=self.count, seed=self.seed)
        self.writer = SheetWriter(
            sheets_folder, self._made, "the class sheet", "class marks", to_scale=False, named=False
        )
        self.writer.box.layout.max_width = "none"  # as wide as the rows above
        self.preview = page_picture(max_width="640px")
        controls = column(kind_row, level_row, count_row, seed_row, self.message, self.writer.box)
        self.fill(beside(controls, wide(self.preview)))
        self.refresh()

    def sheet(self) -> ClassSheet:
        """The sheet as it is set; raises BendError where the seed is none."""
        from barmath.paper.class_sheet import ClassSheet

        s = self.state
        return ClassSheet(s.kind, seed_from_text(s.seed), s.level, s.count)

    def refresh(self) -> None:
        """Draw the teacher's page again."""
        from barmath.paper.class_sheet import class_sheet_png

        if not self.refused_entries():
            with page_drawn():
                self.preview.value = class_sheet_png(self.sheet())
        self.say()

    def become(self, state: ClassSheetState) -> None:
        """Take `state`; another exercise has another name for its file."""
        if state.kind != self.state.kind:
            self.writer.name.value = f"class {state.kind}"
        super().become(state)

    def _made(self, _: str, size: str) -> tuple[bytes, bytes]:
        from barmath.paper.class_sheet import class_sheet_pdf, class_sheet_png

        sheet = self.sheet()
        return class_sheet_pdf(sheet, size), class_sheet_png(sheet, size, 60.0)


def class_sheet_panel(sheets_folder: str | Path = "sheets") -> widgets.VBox:
    """The panel of class sheets for a notebook; running its cell again shows the same one."""
    return kept(ClassSheetPanel, real_path(sheets_folder), lambda: ClassSheetPanel(sheets_folder))
