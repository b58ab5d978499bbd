"""The panel of the finished bar: type what was read, and see what is off and what to do."""

from __future__ import annotations

from html import escape
from pathlib import Path

import ipywidgets as widgets

from barmath.checking.bench_readings import KINDS, Kind
from barmath.checking.tweaks import WITHIN
from barmath.lengths import MM_PER_INCH, in_unit
from barmath.panels.bar_view import StageView
from barmath.panels.entry import Entry, NumberRow, button, choice_row, labelled_row
from barmath.panels.form import FormPanel, Joined
from barmath.panels.inspection_state import (
    InspectionState,
    drawings,
    first_state,
    fit_html,
    inspection_readout,
    says_in_space,
    shown,
    verdict_words,
)
from barmath.panels.live import LiveFigure
from barmath.panels.markup import paragraph
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import beside, column, guarded, kept, message_html, responsive
from barmath.pictures.checked_in_space import CheckedPicture
from barmath.pictures.mistakes import mistake_figure, update_mistake
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.cautions import CHECKING
from barmath.shop.shop_file import Shop, shop_from_file

TITLE = "In space, as the rider sees it: the bar as ordered, and red the bar as measured"
NOTHING_YET = "Type at least four: begin with both backsweeps and both rises."


class InspectionPanel(FormPanel):
    """Readings of a finished bar, the angles they point to, and the advice.

    Attributes
    ----------
    state : InspectionState
    readout : InspectionReadout
    """

    cautions = CHECKING

    refused, fits = "No advice yet", "Advice"

    state: InspectionState

    def __init__(self, shop: Shop, state: InspectionState | None = None, sheets_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.shop, self.state = shop, state or first_state(shop)
        self.picture, self.figure = CheckedPicture(), LiveFigure(mistake_figure())
        self.view = StageView(self.picture, TITLE)
        self.sheet = SheetWriter(sheets_folder, self.check_sheet, "the check sheet", "order 7 check")
        self._build()
        self.refresh()

    def _build(self) -> None:
        s = self.state
        self.ordered = OrderedBarRows(self.shop, s.bar)
        self.sweep_tolerance = NumberRow("Sweeps within", s.sweep_tolerance_deg, 0.1, 5.0, 0.1, length=False)
        self.rise_tolerance = NumberRow("Rise within", s.rise_tolerance_mm, 0.5, 15.0, 0.5)
        self.rock_tolerance = NumberRow("Rocking within", s.rock_tolerance_mm, 0.5, 15.0, 0.5)
        self.tolerances = (self.sweep_tolerance, self.rise_tolerance, self.rock_tolerance)
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], s.unit)
        self.readings, self.wanted, self.how, rows = [], [], [], []
        for kind, text in zip(KINDS, s.typed, strict=True):
            reading, wanted, how, row = _reading_row(kind, text)
            self.readings.append(reading)
            self.wanted.append(wanted)
            self.how.append(how)
            rows.append(row)
        self.bind(
            bar=self.ordered, sweep_tolerance_deg=self.sweep_tolerance, rise_tolerance_mm=self.rise_tolerance,
            rock_tolerance_mm=self.rock_tolerance, typed=Joined([reading.box for reading in self.readings]),
            unit=self.unit,
        )  # fmt: skip
        self.clear = button("Clear all readings", self._cleared)
        self.fit = widgets.HTML()
        leave_out = (
            "Leave a box empty if you did not take its reading. If you took it twice, type both values: 77.5; 77.9. "
            "Give its uncertainty if you know it: 77.5 ± 0.3."
        )
        left = column(
            "The bar that was ordered", *self.ordered.widgets, unit_row,
            "What was read", widgets.HTML(paragraph(leave_out)), *rows, self.clear,
            "What you accept", *(row.widget for row in self.tolerances),
        )  # fmt: skip
        right = responsive(self.figure)
        right.children = (self.view.box, self.message, *right.children, self.fit)
        self.fill(beside(left, right), self.sheet.box)

    def box_of(self, key: str) -> widgets.Text:
        """The box of the reading with that key."""
        return next(one.box for kind, one in zip(KINDS, self.readings, strict=True) if kind.key == key)

    def check_sheet(self, name: str, page: str) -> tuple[bytes, bytes]:
        """PDF and preview of the check sheet of the ordered bar; raises BendError if there is none."""
        from barmath.paper.check_sheet import (  # Matplotlib, only when a sheet is made
            CheckSheet,
            check_sheet_pdf,
            check_sheet_png,
        )

        recipe = self.readout.recipe
        if recipe is None:
            raise BendError(self.readout.refusal)
        s = self.state
        sheet = CheckSheet(name, recipe, s.bar.diameter_mm(self.shop), s.tolerance(self.shop), s.unit)
        return check_sheet_pdf(sheet, page), check_sheet_png(sheet, page, 160)

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = inspection_readout(self.shop, self.state)
        bars = drawings(readout, self.state.bar.diameter_mm(self.shop))
        with self.view.together.one_message():
            self.view.tell(says_in_space(readout, self.state.unit), self.picture.show(*bars))
        with self.figure.batch_update():
            update_mistake(self.figure, *bars)
        self.figure.lengths_in(self.state.unit)
        for kind, reading, wanted, how in zip(KINDS, self.readings, self.wanted, self.how, strict=True):
            how.value = _how(kind, self.state.unit)
            value = readout.wanted.get(kind.key)
            wanted.value = "" if value is None else f"<span>wanted {shown(kind, value, self.state.unit)}</span>"
            reading.refused = readout.refused.get(kind.key, "")
        self.fit.value = "" if self.refused_entries() else fit_html(readout, self.state)
        if (
            readout.recipe is not None
            and not self.refused_entries()
            and not any(text.strip() for text in self.state.typed)
        ):
            self.message.value = f'<div role="status">{message_html(NOTHING_YET, "warn", "No readings yet")}</div>'
            return
        words, got = verdict_words(readout), readout.advice
        outside = got is not None and got.verdict not in WITHIN and not self.refused_entries()
        watch = [words] if outside else []
        self.say("" if outside else words, [*watch, *readout.refused.values()], readout.refusal)

    @guarded
    def _cleared(self, _: object) -> None:
        for reading in self.readings:
            reading.box.value = ""


def _reading_row(kind: Kind, text: str) -> tuple[Entry, widgets.HTML, widgets.HTML, widgets.VBox]:
    box = widgets.Text(value=text, continuous_update=False, layout=widgets.Layout(width="96px"))
    wanted = widgets.HTML(layout=widgets.Layout(flex="1 1 90px"))
    row = labelled_row(kind.name, box, wanted, label_width="160px")
    how = widgets.HTML()
    return Entry(kind.name, row, box), wanted, how, widgets.VBox([row, how])


def _how(kind: Kind, unit: str) -> str:
    # how to take a reading and how good it usually is: to the hundredth of an inch, because a 32nd is too coarse
    error = f"{kind.error} {kind.unit}" if kind.unit != "mm" or unit == "mm" else f"{kind.error / MM_PER_INCH:.2f} in"
    return f"<details><summary>how</summary>{escape(in_unit(kind.how, unit))} Usually good to ± {error}.</details>"


def inspection_panel(shop_file: str | Path, state: InspectionState | None = None) -> widgets.VBox:
    """The panel of the finished bar for a notebook; running its cell again shows the same one."""
    return kept(
        InspectionPanel,
        (real_path(shop_file), state),
        lambda: InspectionPanel(shop_from_file(shop_file), state),
    )
