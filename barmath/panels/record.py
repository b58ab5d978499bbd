"""The panel of the record: enter a bar, look up bars bent before, chart them, and calibrate from them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets

from barmath.panels.bar_entry import BarEntry
from barmath.panels.calibration_rows import CalibrationRows
from barmath.panels.doubts import doubts, known_already
from barmath.panels.entry import button, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.live import LiveFigure
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.record_sheets import RecordSheets
from barmath.panels.record_state import (
    ALL_BATCHES,
    RecordState,
    bar_from_state,
    chart,
    corrected_number,
    entries_of,
    gone_words,
    lookup_html,
    state_from_entry,
    typed_from_model,
)
from barmath.panels.shell import beside, column, guarded, kept, responsive, settled
from barmath.pictures.record import record_figure, update_record
from barmath.records.record import Record
from barmath.records.record_entry import WITHDRAWAL, Entry
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.cautions import CHECKING
from barmath.shop.shop_calibration import take_last_out_of_file
from barmath.shop.shop_file import shop_from_file


class RecordPanel(FormPanel):
    """The record of one shop.

    Attributes
    ----------
    record : Record
    state : RecordState
    """

    state: RecordState

    cautions = CHECKING

    refused, fits = "Not done", "Done"

    def __init__(self, shop_file: str | Path, record: Record, state: RecordState | None = None) -> None:
        super().__init__()
        self.shop_file, self.record = Path(shop_file), record
        self.shop = shop_from_file(shop_file)
        self.state = state or RecordState()
        self.figure = LiveFigure(record_figure())
        self._build()
        self.refresh()

    def _build(self) -> None:
        s = self.state
        self.ordered = OrderedBarRows(self.shop, s.bar, controls=True)
        self.batch, batch_row = choice_row("Batch", [ALL_BATCHES], ALL_BATCHES)
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], s.unit)
        self.entry = BarEntry(s, lambda: self.unit.value, self._fill, self._fetch, self._withdraw)
        self.bind(
            bar=self.ordered, batch=self.batch, unit=self.unit, typed=self.entry.typed, corrects=self.entry.number
        )
        self.add = button("Put this bar into the record", self._add)
        self.anyway = button("Put it in unchanged", self._anyway)
        self.anyway.layout.display = "none"
        self.added = widgets.HTML()
        self.sheets = RecordSheets(self.record, lambda: (self.shop, self.state), self.refresh)
        self.found = widgets.HTML()
        self.calibration = CalibrationRows(self._use, self._use_anyway, self._undo)
        left = column(
            "The order looked up", *self.ordered.widgets, batch_row, unit_row, self.entry.box,
            self.add, self.added, self.anyway, self.sheets.box,
        )  # fmt: skip
        right = responsive(self.figure)
        right.children = (self.message, *right.children, self.found)  # no table that grows moves the chart
        self.fill(beside(left, right, self.calibration.box))

    def refresh(self) -> None:
        """Look everything up again from `state` and show it."""
        self._offer_batches()
        self.added.value = ""
        self.found.value = lookup_html(self.record, self.shop, self.state)
        bars, bends, unreadable = entries_of(self.record, self.shop, self.state)
        theory, found = self.calibration.show(self.shop, self.state, bars, bends)
        shown = chart(bars, theory, found)
        with self.figure.batch_update():
            update_record(
                self.figure, shown.read, shown.theory, shown.calibrated, shown.days, shown.missed_rise,
                shown.missed_sweep, shown.names, self.state.unit,
            )  # fmt: skip
        self.figure.lengths_in(self.state.unit)
        count = self.record.count()
        self.say(f"{count} {'entry' if count == 1 else 'entries'} in {self.record.path.name}", unreadable)

    def _offer_batches(self) -> None:
        with self.writing():
            options = [ALL_BATCHES, *self.record.batches()]
            if tuple(options) != tuple(self.batch.options):
                self.batch.options = options
            self.batch.value = self.state.batch if self.state.batch in options else ALL_BATCHES

    @settled
    def _add(self, _: object) -> None:
        self._answer(self.added, lambda: self._put(sure=False))

    @settled
    def _anyway(self, _: object) -> None:
        self._answer(self.added, lambda: self._put(sure=True))

    def _put(self, *, sure: bool) -> None:
        self.state = self.read()
        bar = bar_from_state(self.shop, self.state)
        corrects = corrected_number(self.state)
        asked = doubts(bar, self.state.unit) + ([] if corrects else known_already(self.record, bar))
        self.anyway.layout.display = "" if asked and not sure else "none"
        if asked and not sure:
            self.say(warnings=asked)
            return
        number = self.record.add(bar, corrects)
        kept = {key: self.state.typed[key] for key in ("date", "batch")}  # the rest is another bar's
        state = replace(self.state, typed=kept, corrects="", fetched=None)
        self.report(f"{bar.name} is in the record as entry {number}", lambda: self.show(state))
        self.entered()

    @guarded
    def _fill(self, _: object) -> None:
        self.state = self.read()
        self.show(replace(self.state, typed=self.state.typed | typed_from_model(self.shop, self.state)))
        self.say("the settings of the formulas are filled in: change what was set otherwise")

    @guarded
    def _fetch(self, _: object) -> None:
        self.state = self.read()
        number = corrected_number(self.state)
        if number is None:
            raise BendError("entry to correct must be given by its number, got an empty box: type it, for example 12")
        earlier = self._earlier(number)
        state = state_from_entry(self.shop, self.state, earlier, number)
        self.show(state)
        gone = gone_words(self.shop, state.fetched.bar) if state.fetched else []
        self.say(f"entry {earlier.number} is filled in: correct it, and put it into the record", gone)

    @settled
    def _withdraw(self, _: object) -> None:
        self.state = self.read()
        number = corrected_number(self.state)
        if number is None:
            raise BendError("entry to withdraw must be given by its number, got an empty box: type it, for example 12")
        gone = self.record.withdraw(number)
        state = replace(self.state, corrects="", fetched=None)
        words = f"entry {number} is withdrawn. To bring it back, fetch entry {gone}, and put it into the record"
        self.report(words, lambda: self.show(state))
        self.entered()

    def brought_back(self) -> None:
        """The rows were set to a draft: a correction is again one of its entry."""
        state = self.read()
        try:
            number = corrected_number(state)
            if number is not None:
                earlier = self._earlier(number)
                state = replace(state, fetched=state_from_entry(self.shop, state, earlier, number).fetched)
        except BendError:  # an unknown number is refused when the bar is put in
            pass
        self.become(state)

    def _earlier(self, number: int) -> Entry:
        entry = self.record.entry(number)
        return self.record.entry(entry.corrects) if entry.kind == WITHDRAWAL and entry.corrects else entry

    @settled
    def _use(self, _: object) -> None:
        self._answer(self.calibration.answer, lambda: self._calibrate(ask=True))

    @settled
    def _use_anyway(self, _: object) -> None:
        self._answer(self.calibration.answer, lambda: self._calibrate(ask=False))

    def _calibrate(self, *, ask: bool) -> None:
        self.shop, said = self.calibration.write(self.shop_file, self.shop, self.state, ask=ask)
        words = f"written at the end of {self.shop_file.name}: {said}. Now open each other page again"
        self.report(words, self.refresh)

    @settled
    def _undo(self, _: object) -> None:
        self._answer(self.calibration.answer, self._take_out)

    def _answer(self, place: widgets.HTML, work: Callable[[], None]) -> None:
        # the message is said beside the button too: from there it may be out of sight
        try:
            work()
        except BendError as refusal:
            self.say(refusal=str(refusal))
        place.value = self.message.value.replace(' role="status"', "")  # and read out once

    def _take_out(self) -> None:
        self.shop = take_last_out_of_file(self.shop_file)
        self.report(f"the last calibration was taken out of {self.shop_file.name} again", self.refresh)


def record_panel(shop_file: str | Path, record_file: str | Path) -> widgets.VBox:
    """The panel of the record for a notebook; running its cell again shows the same one."""
    return kept(
        RecordPanel,
        (real_path(shop_file), real_path(record_file)),
        lambda: RecordPanel(shop_file, Record(record_file)),
    )
