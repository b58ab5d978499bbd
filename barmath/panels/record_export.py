"""The rows of the record's panel that write the record as a sheet."""

from __future__ import annotations

from collections.abc import Callable

from barmath.panels.entry import button, text_row
from barmath.panels.record_state import sheet_name
from barmath.records.record import Record
from barmath.records.record_sheet import write_sheet
from barmath.saving import file_name

Pressed = Callable[[object], None]


class RecordExport:
    """The sheet's name, the button that writes it, and the one that replaces a sheet of that name."""

    def __init__(self, record: Record, export: Pressed, replace: Pressed, renamed: Callable[[dict], None]) -> None:
        self._record = record
        self.name, row = text_row("Sheet's name", sheet_name(record.path), renamed)
        self.export = button("Write the record as a sheet (CSV)", export)
        self.replace = button("Replace the sheet of that name", replace)
        self.widgets = (row, self.export, self.replace)
        self.ask(asking=False)

    def ask(self, *, asking: bool) -> None:
        """Offer to replace a sheet, or not."""
        self.replace.layout.display = "" if asking else "none"

    def write(self, *, overwrite: bool) -> str:
        """Write the sheet beside the record; what was done, in words."""
        target = self._record.path.with_name(file_name(self.name.value, ".csv"))
        self._record.refuse_own(target)
        self.ask(asking=target.exists() and not overwrite)
        saved = write_sheet(self._record, target, overwrite=overwrite)
        return f"written to {saved.name}, beside the record"
