"""The part of a panel that prints: a name, a paper size, and a sheet written where one can find it."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from pathlib import Path

import ipywidgets as widgets

from barmath.panels.entry import choice_row
from barmath.panels.shell import Shell, guarded
from barmath.paper.bench_sheet import BenchSheet, bench_sheet_pdf, bench_sheet_png
from barmath.refusal import BendError
from barmath.saving import file_name, save_bytes


class SheetWriter(Shell):
    """Writes the bench sheet of the bar that is shown.

    Parameters
    ----------
    folder : str or Path
        Where sheets go; made when the first one is written.
    sheet_of : function of a name
        The sheet of the bar that is shown, or None where there is none.

    Notes
    -----
    A sheet of the same name is never overwritten without asking: the second button appears and does it.
    """

    def __init__(self, folder: str | Path, sheet_of: Callable[[str], BenchSheet | None]) -> None:
        super().__init__()
        self.folder, self.sheet_of = Path(folder), sheet_of
        self.name = widgets.Text("order 7", continuous_update=False, layout=widgets.Layout(flex="1 1 120px"))
        label = widgets.HTML('<span class="barmath-label">Name</span>', layout=widgets.Layout(width="112px"))
        named = widgets.HBox([label, self.name], layout=widgets.Layout(width="100%"))
        named.add_class("barmath-row")
        self.page, paper = choice_row("Paper", [("A4", "A4"), ("US Letter", "Letter")], "A4", lambda _: None)
        self.write = widgets.Button(description="Write the bench sheet", layout=widgets.Layout(width="auto"))
        hidden = widgets.Layout(width="auto", display="none")
        self.replace = widgets.Button(description="Replace the sheet of that name", layout=hidden)
        self.write.on_click(self._write)
        self.replace.on_click(self._replace)
        self.name.observe(self._renamed, "value")
        self.preview = widgets.Image(format="png", layout=widgets.Layout(display="none"))
        title = widgets.HTML("<h4>Print the bench sheet</h4>")
        self.box.layout.max_width = "620px"
        self.fill(title, named, paper, self.write, self.replace, self.message, self.preview)

    @guarded
    def _write(self, _: object) -> None:
        self._save(overwrite=False)

    @guarded
    def _replace(self, _: object) -> None:
        self._save(overwrite=True)

    @guarded
    def _renamed(self, _: dict) -> None:
        self.replace.layout.display = "none"
        self.message.value = ""

    def _save(self, overwrite: bool) -> None:
        sheet = self.sheet_of(self.name.value.strip() or "bench sheet")
        if sheet is None:
            raise BendError("a sheet must have a bar on it, got none: choose an order and a way that can be made")
        data = bench_sheet_pdf(sheet, self.page.value)
        target = self.folder / file_name(sheet.name, ".pdf")
        if target.exists() and not overwrite:
            self.replace.layout.display = ""
        _made(self.folder)
        saved = save_bytes(target, data, overwrite=overwrite)
        self.replace.layout.display = "none"
        self.preview.value = bench_sheet_png(sheet, self.page.value, dpi=90)
        self.preview.layout.display = ""
        place = escape(str(Path(self.folder.name) / saved.name))
        self.say_done(f"Written to {place}. Print it at actual size and measure the 100 mm line.")

    def say_done(self, words: str) -> None:
        """Say what was written."""
        self.message.value = (
            f'<div role="status"><div class="barmath-message barmath-good"><b>Done.</b> {words}</div></div>'
        )


def _made(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        raise BendError(
            f"{folder.name} must be a folder for sheets, and it could not be made ({fault.strerror}): choose another"
        ) from None
