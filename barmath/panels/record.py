"""The panel of the record: enter a bar, look up bars bent before, chart them, and calibrate from them."""

from __future__ import annotations

import datetime
from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets

from barmath.checking.bench_readings import KINDS
from barmath.panels.calibration_state import calibration_html, calibrations, changes, measured_in_file
from barmath.panels.doubts import doubts
from barmath.panels.entry import Entry, button, choice_row, labelled_row, text_row
from barmath.panels.live import LiveFigure
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.record_boxes import SETTINGS, TEXTS, check_typed, entry_number
from barmath.panels.record_state import (
    ALL_BATCHES,
    RecordState,
    bar_from_state,
    chart,
    corrected_number,
    entries_of,
    gone_words,
    lookup_html,
    preview_html,
    sheet_name,
    state_from_entry,
    tools,
    typed_from_model,
    usual_of,
)
from barmath.panels.shell import Shell, beside, column, guarded, kept, responsive, settled
from barmath.pictures.inches import axes_in
from barmath.pictures.record import record_figure, update_record
from barmath.records.record import Record
from barmath.records.record_entry import WITHDRAWAL
from barmath.records.record_sheet import (
    HEADINGS,
    SheetRead,
    bars_from_sheet,
    guessed_columns,
    headings_of_sheet,
    write_sheet,
)
from barmath.refusal import BendError
from barmath.saving import file_name, real_path
from barmath.shop.cautions import CHECKING
from barmath.shop.shop_calibration import put_into_file, take_last_out_of_file
from barmath.shop.shop_file import shop_from_file

NO_COLUMN = "in no column"


class RecordPanel(Shell):
    """The record of one shop.

    Attributes
    ----------
    record : Record
    state : RecordState
    """

    cautions = CHECKING

    refused, fits = "Not done", "Done"

    def __init__(self, shop_file: str | Path, record: Record, state: RecordState | None = None) -> None:
        super().__init__()
        self.shop_file, self.record = Path(shop_file), record
        self.shop = shop_from_file(shop_file)
        self.state = state or RecordState()
        self.figure = LiveFigure(record_figure())
        self._busy = False
        self._calibrated_from: tuple | None = None
        self.sheet = b""
        self.taken: SheetRead | None = None
        self.choosers: dict[str, widgets.Dropdown] = {}
        self._build()
        self.refresh()

    def _build(self) -> None:
        s = self.state
        self.ordered = OrderedBarRows(self.shop, s.bar, self._changed, controls=True)
        self.batch, batch_row = choice_row("Batch", [ALL_BATCHES], ALL_BATCHES, self._changed)
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], s.unit, self._changed)
        self.boxes: dict[str, widgets.Text] = {}
        today = {"date": datetime.date.today().isoformat()}
        self.filled = button("Fill in the settings of the formulas", self._fill)
        readings = ((f"read {kind.key}", f"Read: {kind.name.lower()}") for kind in KINDS)
        fields = [*TEXTS[:3], *SETTINGS, *readings, *TEXTS[3:]]  # as a bar comes about
        entry_rows = [self._box(key, words, s.typed.get(key, today.get(key, ""))) for key, words in fields]
        entry_rows.insert(3, self.filled)
        self.corrects = widgets.Text(s.corrects, continuous_update=False, layout=widgets.Layout(width="96px"))
        self.fetched = button("Fetch it", self._fetch)
        self.withdrawn = button("Withdraw it", self._withdraw)
        row = labelled_row("Corrects entry no.", self.corrects, self.fetched, self.withdrawn, label_width="150px")
        self._watch(Entry("Corrects entry no.", row, self.corrects, entry_number))
        entry_rows.append(row)
        self.add = button("Put this bar into the record", self._add)
        self.anyway = button("Put it in as it is", self._anyway)
        self.anyway.layout.display = "none"
        self.sheet_name, sheet_row = text_row("Sheet's name", sheet_name(self.record.path), self._renamed)
        self.export = button("Write the record as a sheet (CSV)", self._export)
        self.replace = button("Replace the sheet of that name", self._replace)
        self.replace.layout.display = "none"
        entry = widgets.Accordion([widgets.VBox(entry_rows)], titles=["Enter a bar"], selected_index=None)
        self.found, self.calibrated = widgets.HTML(), widgets.HTML()
        self.use = button("Write this calibration into the shop's file", self._use)
        self.use_anyway = button("Yes, let this calibration count instead", self._use_anyway)
        self.undo = button("Take the last calibration out again", self._undo)
        self.upload = widgets.FileUpload(
            accept=".csv,.txt", description="A sheet of your own", layout=widgets.Layout(width="auto")
        )
        self.upload.observe(self._uploaded, "value")
        self.columns, self.preview = widgets.VBox(), widgets.HTML()
        self.take = button("Take these bars into the record", self._take)
        self.take.disabled = True
        own = widgets.Accordion(
            [widgets.VBox([self.upload, self.columns, self.preview, self.take])], titles=["Bars from a sheet"],
            selected_index=None,
        )  # fmt: skip
        left = column(
            "The order looked up", *self.ordered.widgets, batch_row, unit_row, entry,
            self.add, self.anyway, own, sheet_row, self.export, self.replace,
        )  # fmt: skip
        right = responsive(self.figure)
        right.children = (self.message, self.found, *right.children)
        self.fill(beside(left, right, widgets.VBox([self.calibrated, self.use, self.use_anyway, self.undo])))

    def _box(self, key: str, words: str, text: str) -> widgets.HBox:
        box = widgets.Text(text, continuous_update=False, layout=widgets.Layout(flex="1 1 96px", min_width="80px"))
        self.boxes[key] = box
        row = labelled_row(words, box, label_width="150px")
        self._watch(Entry(words, row, box, lambda text: check_typed(key, text, self.unit.value)))
        return row

    def _watch(self, entry: Entry) -> None:
        entry.observe(self._changed, "refused")

    def refresh(self) -> None:
        """Look everything up again from `state` and show it."""
        self._offer_batches()
        self.found.value = lookup_html(self.record, self.shop, self.state)
        bars, bends, unreadable = entries_of(self.record, self.shop, self.state)
        asked = (*tools(self.shop, self.state), bars, bends)
        if asked != self._calibrated_from:  # the order, which changes more often, is not asked
            self._calibrated_from, self._calibrations = asked, calibrations(self.shop, self.state, bars, bends)
        theory, found = self._calibrations
        self.found_values = found
        self.calibrated.value = calibration_html(found, self.shop, self.state)
        self.use_anyway.layout.display = "none"
        shown = chart(bars, theory, found)
        with self.figure.batch_update():
            update_record(
                self.figure, shown.read, shown.theory, shown.calibrated, shown.days, shown.missed_rise,
                shown.missed_sweep, shown.names, self.state.unit,
            )  # fmt: skip
        axes_in(self.figure, self.state.unit)
        count = self.record.count()
        self.say(f"{count} entries in {self.record.path.name}", [*self.ordered.refused(), *unreadable])

    def _offer_batches(self) -> None:
        self._busy = True
        try:
            options = [ALL_BATCHES, *self.record.batches()]
            if tuple(options) != tuple(self.batch.options):
                self.batch.options = options
            self.batch.value = self.state.batch if self.state.batch in options else ALL_BATCHES
        finally:
            self._busy = False

    def _read(self) -> RecordState:
        return replace(
            self.state,
            bar=self.ordered.read(self.unit.value),
            batch=self.batch.value,
            typed={key: box.value for key, box in self.boxes.items()},
            corrects=self.corrects.value,
            unit=self.unit.value,
        )

    @guarded
    def _changed(self, _: dict) -> None:
        if self._busy:
            return
        self.state = self._read()
        self.refresh()

    @settled
    def _add(self, _: object) -> None:
        self._put(sure=False)

    @settled
    def _anyway(self, _: object) -> None:
        self._put(sure=True)

    def _put(self, *, sure: bool) -> None:
        self.state = self._read()
        bar = bar_from_state(self.shop, self.state)
        asked = doubts(bar, self.state.unit)
        self.anyway.layout.display = "" if asked and not sure else "none"
        if asked and not sure:
            self.say(warnings=asked)
            return
        number = self.record.add(bar, corrected_number(self.state))
        kept = {key: self.state.typed[key] for key in ("date", "batch")}  # the rest is another bar's
        state = replace(self.state, typed=kept, corrects="", fetched=None)
        self.report(f"{bar.name} is in the record as entry {number}", lambda: self._show(state))

    @guarded
    def _fill(self, _: object) -> None:
        self.state = self._read()
        self._show(replace(self.state, typed=self.state.typed | typed_from_model(self.shop, self.state)))
        self.say("the settings of the formulas are filled in: change what was set otherwise")

    @guarded
    def _fetch(self, _: object) -> None:
        self.state = self._read()
        number = corrected_number(self.state)
        if number is None:
            raise BendError("entry to correct must be given by its number, got an empty box: such as 12")
        entry = self.record.entry(number)
        earlier = self.record.entry(entry.corrects) if entry.kind == WITHDRAWAL and entry.corrects else entry
        state = state_from_entry(self.shop, self.state, earlier, number)
        self._show(state)
        gone = gone_words(self.shop, state.fetched.bar) if state.fetched else []
        self.say(f"entry {earlier.number} is filled in: correct it, and put it into the record", gone)

    @settled
    def _withdraw(self, _: object) -> None:
        self.state = self._read()
        number = corrected_number(self.state)
        if number is None:
            raise BendError("entry to withdraw must be given by its number, got an empty box: such as 12")
        gone = self.record.withdraw(number)
        state = replace(self.state, corrects="", fetched=None)
        words = f"entry {number} is withdrawn. To bring it back, fetch entry {gone}, and put it into the record"
        self.report(words, lambda: self._show(state))

    def _show(self, state: RecordState) -> None:
        """Set every control to `state`, and look everything up from it."""
        self._busy = True
        try:
            self.ordered.show(state.bar)
            for key, box in self.boxes.items():
                box.value = state.typed.get(key, "")
            self.corrects.value = state.corrects
        finally:
            self._busy = False
        self.state = state
        self.refresh()

    @settled
    def _use(self, _: object) -> None:
        self._calibrate(ask=True)

    @settled
    def _use_anyway(self, _: object) -> None:
        self._calibrate(ask=False)

    def _calibrate(self, *, ask: bool) -> None:
        tube, die = tools(self.shop, self.state)
        batch = "" if self.state.batch == ALL_BATCHES else self.state.batch
        today = datetime.date.today().isoformat()
        calibration = self.found_values.for_shop(die.name, tube.name, today, batch)
        said, measured = changes(self.shop, self.state, calibration), measured_in_file(self.shop, self.state)
        if ask and measured:
            self.use_anyway.layout.display = ""
            raise BendError(f"{self.shop_file.name} has {' and '.join(measured)}. If this is to count instead, say so "
                            f"below. It changes {said}")  # fmt: skip
        self.shop = put_into_file(self.shop_file, calibration)
        words = (
            f"written at the end of {self.shop_file.name}: {said}. Read the shop's file again in the other notebooks"
        )
        self.report(words, self.refresh)

    @settled
    def _undo(self, _: object) -> None:
        self.shop = take_last_out_of_file(self.shop_file)
        self.report(f"the last calibration is out of {self.shop_file.name} again", self.refresh)

    @guarded
    def _uploaded(self, change: dict) -> None:
        if not change["new"]:
            return
        self.sheet = bytes(change["new"][0]["content"])
        headings = headings_of_sheet(self.sheet)
        guessed = guessed_columns(headings)
        rows, self.choosers = [], {}
        for field, words in HEADINGS.items():
            chooser, row = choice_row(words, [(NO_COLUMN, ""), *((h, h) for h in dict.fromkeys(headings) if h)],
                                      guessed.get(field, ""), self._mapped)  # fmt: skip
            self.choosers[field] = chooser
            rows.append(row)
        self.columns.children = rows
        self._preview()

    @guarded
    def _mapped(self, _: dict) -> None:
        self._preview()

    def _preview(self) -> None:
        self.take.disabled = True
        self.taken = None
        columns = {field: chooser.value for field, chooser in self.choosers.items() if chooser.value}
        self.taken = bars_from_sheet(self.sheet, columns, usual_of(self.shop, self.state), self.state.unit)
        self.preview.value = preview_html(self.taken, self.state.unit)
        self.take.disabled = not self.taken.bars

    @settled
    def _take(self, _: object) -> None:
        if self.taken is None:
            return
        done = self.record.import_all(self.taken.bars, self.taken.origins)
        self.taken, self.take.disabled = None, True
        known = f". {done.known} were in it already, and nothing was added twice" if done.known else ""
        self.report(f"{done.added} bars are put into the record{known}", self.refresh)

    @settled
    def _export(self, _: object) -> None:
        self._write(overwrite=False)

    @settled
    def _replace(self, _: object) -> None:
        self._write(overwrite=True)

    @guarded
    def _renamed(self, _: dict) -> None:
        self.replace.layout.display = "none"

    def _write(self, *, overwrite: bool) -> None:
        target = self.record.path.with_name(file_name(self.sheet_name.value, ".csv"))
        self.record.refuse_own(target)
        self.replace.layout.display = "" if target.exists() and not overwrite else "none"
        saved = write_sheet(self.record, target, overwrite=overwrite)
        self.say(f"written to {saved.name}, beside the record")


def record_panel(shop_file: str | Path, record_file: str | Path) -> widgets.VBox:
    """The panel of the record for a notebook; running its cell again shows the same one."""
    return kept(
        RecordPanel,
        (real_path(shop_file), real_path(record_file)),
        lambda: RecordPanel(shop_file, Record(record_file)),
    )
