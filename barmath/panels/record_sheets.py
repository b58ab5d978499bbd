"""The part of the record's panel that exchanges bars with sheets: the shop's own sheet in, the record out."""

from __future__ import annotations

from collections.abc import Callable

from barmath.panels.own_sheet import OwnSheet
from barmath.panels.record_export import RecordExport
from barmath.panels.record_state import RecordState
from barmath.panels.shell import Shell, guarded, settled
from barmath.records.record import Record
from barmath.shop.shop_file import Shop


class RecordSheets(Shell):
    """Sheets in and out, with a message of their own.

    Parameters
    ----------
    record : Record
    now : function that returns the shop and the state of the panel around
    taken : function that is called after bars were put into the record
    """

    cautions = ()  # the panel around has them

    refused, fits = "Not done", "Done"

    def __init__(
        self, record: Record, now: Callable[[], tuple[Shop, RecordState]], taken: Callable[[], object]
    ) -> None:
        super().__init__()
        self.record, self._now, self._taken = record, now, taken
        self.own = OwnSheet(self._uploaded, self._mapped, self._take)
        self.out = RecordExport(record, self._export, self._replace, self._renamed)
        self.fill(self.own.box, *self.out.widgets, self.message)

    @guarded
    def _uploaded(self, change: dict) -> None:
        if not change["new"]:
            return
        self.own.open(bytes(change["new"][0]["content"]))
        self.own.show(*self._now())

    @guarded
    def _mapped(self, _: dict) -> None:
        self.own.show(*self._now())

    @settled
    def _take(self, _: object) -> None:
        words = self.own.put_into(self.record)
        if words:
            self.report(words, self._taken)

    @settled
    def _export(self, _: object) -> None:
        self.say(self.out.write(overwrite=False))

    @settled
    def _replace(self, _: object) -> None:
        self.say(self.out.write(overwrite=True))

    @guarded
    def _renamed(self, _: dict) -> None:
        self.out.ask(asking=False)
