"""The panel of the bender: any sequence of the four bends, every motion shown with the tube in the machine."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets

from barmath.bending.bench_film import LIFT, PUSH, Film
from barmath.panels.bench_view import BenchView
from barmath.panels.bending_asked_state import NO_ANSWER, SHOWN
from barmath.panels.bending_plan import NO_ROW, PlanRows
from barmath.panels.bending_questions import QuestionRows
from barmath.panels.bending_state import (
    BendingState,
    asked_again,
    bending_readout,
    flats_html,
    reason_html,
    sheet_from_readout,
    step_html,
)
from barmath.panels.form import FormPanel
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import beside, column, guarded, heard, kept, settled, wide
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.cautions import BENDING
from barmath.shop.shop_file import Shop, shop_from_file


class BendingPanel(FormPanel):
    """Sequences of the bends, ranked; one of them shown as a film, with questions asked before each bend where wanted.

    Attributes
    ----------
    state : BendingState
    readout : BendingReadout
    """

    state: BendingState

    cautions = BENDING

    refused, fits = "Cannot be done", "Can be done"

    def __init__(self, shop: Shop, state: BendingState | None = None, sheets_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.shop = shop
        self.state = state or BendingState()
        self.view = BenchView()
        self.sheet = SheetWriter(sheets_folder, self.bench_sheet, "the bench sheet of this sequence", "order 7")
        self._shown: Film | None = None
        self._build()
        self.state = self.read()
        self.refresh()

    def _build(self) -> None:
        s = self.state
        self.ordered = OrderedBarRows(self.shop, s.bar, controls=True)
        self.plan = PlanRows(s.holds, self._picked)
        self.questions = QuestionRows(s.asking, self._answered, self._show_right)
        self.bind(bar=self.ordered, holds=self.plan.holds, asking=self.questions.asking)
        self.view.bar.observe(self._stepped, "step")
        self.step, self.reason = widgets.HTML(), widgets.HTML()
        words = (*self.questions.widgets, self.message, self.step)
        plan = wide(self.plan.sequences_box, *column("Or a plan of your own", *self.plan.widgets).children, self.reason)
        below = beside(column("The bar", *self.ordered.widgets), plan)
        self.fill(self.view.beside(*words), below, self.sheet.box)

    def bench_sheet(self, name: str, page: str) -> tuple[bytes, bytes]:
        """PDF and preview of the sheet of the shown sequence; raises BendError where this bender cannot do it."""
        from barmath.paper.bench_sheet import bench_sheet_pdf, bench_sheet_png  # Matplotlib, only when a sheet is made

        sheet, order = sheet_from_readout(self.shop, self.state, self.readout, name), self.booked()
        if order is not None:
            sheet = replace(sheet, number=order.number, rider=order.rider, wanted=order.wanted)
        return bench_sheet_pdf(sheet, page), bench_sheet_png(sheet, page, dpi=180)

    def read(self) -> BendingState:
        """The state that is set in the rows. Questions begin again for another plan, or another bar."""
        before, state = self.state, super().read()
        other_plan = (state.holds, state.asking) != (before.holds, before.asking)
        again = other_plan or (state.asking and state.bar != before.bar)
        return asked_again(state) if again else state

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = bending_readout(self.shop, self.state)
        wrong = None if readout.asked is None else readout.asked.wrong
        film = wrong or readout.film
        if film is not self._shown:
            before, self._shown = self._shown, film
            titles = [step.title for step in readout.steps]
            self.view.show(self.state.bar.setup(self.shop) if film else None, film, readout.failing, titles)
            if film is None or before is None or film.chapters != before.chapters:
                self._go_to(film, play=wrong is not None)
        self.view.bar.until = self._until(readout.film) if readout.open_question and wrong is None else 1e6
        self._show_controls()
        self.step.value = step_html(readout, self.state) + flats_html(readout, self.state)
        self.view.bar.says = self._in_words()
        self.reason.value = reason_html(readout)
        shown = readout.sequence
        good = shown.reason() if shown is not None and shown.fits else ""
        failed = "" if shown is None or shown.fits else f"this bender cannot do this sequence: {shown.reason()}"
        self.say(good=good, refusal=readout.refusal or failed)

    def _until(self, film: Film | None) -> float:
        # to the tube at its mark, as it waits to be rolled
        return 1e6 if film is None else film.end_of(self.state.step, PUSH) - 0.01

    def _go_to(self, film: Film | None, *, play: bool) -> None:
        if film is not None:
            self.view.bar.go(film.start_of(self.state.step, LIFT), film.end_of(self.state.step) - 0.01 if play else 0.0)

    def _in_words(self) -> str:
        if not self.readout.steps:
            return "Nothing to draw: this plan is not possible"
        step = self.readout.steps[self.state.step]
        if self.readout.open_question:
            return f"The bender and the tube. {step.title}: the tube is at its mark"
        failing = self.readout.failing.get(self.state.step)
        held = f"{step.title}: {step.hold}; {step.lie}; {step.turns}"
        return f"The bender and the tube. {held}. " + (f"Red: {failing.words}" if failing else "")

    def _show_controls(self) -> None:
        with self.writing():
            self.plan.show(self.readout, self.state.holds)
            self.questions.show(self.readout, self.state, judged=not self.refused_entries())

    @heard
    def _picked(self, change: dict) -> None:
        if change["new"] not in (None, NO_ROW):
            self.become(asked_again(replace(self.state, holds=self.readout.sequences[change["new"]].holds)))

    @heard
    def _stepped(self, change: dict) -> None:
        self.become(replace(self.state, step=change["new"]))

    @settled
    def _answered(self, _: object) -> None:
        if NO_ANSWER in self.questions.answer:
            raise BendError("choose a side and a reading first: both questions need an answer")
        self._try(self.questions.answer)

    @guarded
    def _show_right(self, _: object) -> None:
        self._try(SHOWN)

    def _try(self, answer: tuple[str, str]) -> None:
        tries, step = list(self.state.tries), self.state.step
        tries[step] = (*tries[step], answer)
        self.become(replace(self.state, tries=tuple(tries)))
        film = self.readout.film
        if not self.readout.open_question and film is not None:
            self.view.bar.go(film.end_of(step, PUSH), film.end_of(step) - 0.01)


def bending_panel(shop_file: str | Path, state: BendingState | None = None) -> widgets.VBox:
    """The panel of the bender for a notebook; running its cell again shows the same one."""
    return kept(BendingPanel, (real_path(shop_file), state), lambda: BendingPanel(shop_from_file(shop_file), state))
