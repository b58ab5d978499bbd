"""The rows of the record's panel in which bars are taken over from a sheet of the shop's own."""

from __future__ import annotations

from collections.abc import Callable

import ipywidgets as widgets

from barmath.panels.entry import button, choice_row
from barmath.panels.record_state import RecordState, preview_html, usual_of
from barmath.panels.shell import put_instead
from barmath.records.record import Record
from barmath.records.record_sheet import HEADINGS, SheetRead, bars_from_sheet, guessed_columns, headings_of_sheet
from barmath.refusal import counted
from barmath.shop.shop_file import Shop

NO_COLUMN = "in no column"


class OwnSheet:
    """A sheet, which of its columns is what, and the bars that are read from it.

    Parameters
    ----------
    uploaded, mapped : functions of a change
        Called where a sheet is there, and where a column is chosen.
    take : function of a button
    """

    def __init__(
        self, uploaded: Callable[[dict], None], mapped: Callable[[dict], None], take: Callable[[object], None]
    ) -> None:
        self._sheet, self._mapped = b"", mapped
        self._read: SheetRead | None = None
        self.choosers: dict[str, widgets.Dropdown] = {}
        self.upload = widgets.FileUpload(
            accept=".csv,.txt", description="A sheet of your own", layout=widgets.Layout(width="auto")
        )
        self.upload.observe(uploaded, "value")
        self.columns, self.preview = widgets.VBox(), widgets.HTML()
        self.take = button("Take these bars into the record", take)
        self.take.disabled = True
        shown = widgets.VBox([self.upload, self.columns, self.preview, self.take])
        self.box = widgets.Accordion([shown], titles=["Bars from a sheet"], selected_index=None)

    def open(self, sheet: bytes) -> None:
        """Offer the columns of a sheet, each with the field that its heading looks like."""
        self._sheet = sheet
        headings = headings_of_sheet(sheet)
        guessed = guessed_columns(headings)
        rows, self.choosers = [], {}
        options = [(NO_COLUMN, ""), *((heading, heading) for heading in dict.fromkeys(headings) if heading)]
        for field, words in HEADINGS.items():
            self.choosers[field], row = choice_row(words, options, guessed.get(field, ""), self._mapped)
            rows.append(row)
        put_instead(self.columns, rows)

    def show(self, shop: Shop, state: RecordState) -> None:
        """Read the bars of the sheet, and show them before they are taken."""
        self.take.disabled = True
        self._read = None
        columns = {field: chooser.value for field, chooser in self.choosers.items() if chooser.value}
        self._read = bars_from_sheet(self._sheet, columns, usual_of(shop, state), state.unit)
        self.preview.value = preview_html(self._read, state.unit)
        self.take.disabled = not self._read.bars

    def put_into(self, record: Record) -> str:
        """Put the bars into the record; what was done, in words, empty where there is nothing to put."""
        if self._read is None:
            return ""
        done = record.import_all(self._read.bars, self._read.origins)
        self._read, self.take.disabled = None, True
        known = f". It had {counted(done.known, 'bar')} already, and nothing was added twice" if done.known else ""
        return f"the record has {counted(done.added, 'bar')} more now{known}"
