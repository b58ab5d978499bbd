"""The panel of the bender: any order of the four bends, stepped through with the tube in the machine."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets

from barmath.panels.bending_plan import NO_ROW, PlanRows
from barmath.panels.bending_questions import QuestionRows
from barmath.panels.bending_state import (
    LAST_PLACE,
    PLACES_A_BEND,
    BendingState,
    asked_again,
    bending_readout,
    flats_html,
    reason_html,
    sheet_from_readout,
    step_html,
)
from barmath.panels.entry import button, labelled_row
from barmath.panels.form import FormPanel
from barmath.panels.live import LiveFigure
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import beside, column, guarded, heard, kept, responsive
from barmath.pictures.bending import bending_figure, update_bending
from barmath.saving import real_path
from barmath.shop.cautions import BENDING
from barmath.shop.shop_file import Shop, shop_from_file


class BendingPanel(FormPanel):
    """Orders of the bends, ranked; one of them stepped through, with guesses asked before each bend where wanted.

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
        self.figure = LiveFigure(bending_figure())
        self.sheet = SheetWriter(sheets_folder, self.bench_sheet, "the bench sheet of this order", "order 7")
        self._build()
        self.state = self.read()
        self.refresh()

    def _build(self) -> None:
        s = self.state
        self.ordered = OrderedBarRows(self.shop, s.bar, controls=True)
        self.plan, self.questions = PlanRows(s.holds, self._picked), QuestionRows(s.asking, self._guessed)
        self.place = widgets.IntSlider(
            value=s.place, min=0, max=LAST_PLACE, readout=False, layout=widgets.Layout(flex="1 1 160px")
        )
        self.play = widgets.Play(min=0, max=LAST_PLACE, interval=250, show_repeat=False, description="Play")
        self.play.observe(self._played, "value")
        self.back = button("Bend before", lambda _: self._go(-1))
        self.forward = button("Next bend", lambda _: self._go(1))
        place_row = labelled_row("Through the bends", self.place)
        self.bind(bar=self.ordered, holds=self.plan.holds, place=self.place, asking=self.questions.asking)
        self.step, self.reason = widgets.HTML(), widgets.HTML()
        moving = widgets.HBox([self.back, self.play, self.forward], layout=widgets.Layout(width="100%", grid_gap="6px"))
        plan = ("Or a plan of your own", *self.plan.widgets)
        controls = column("The bar", *self.ordered.widgets, self.plan.orders_box, *plan)
        shown = responsive(self.figure)
        asked = self.questions.widgets
        shown.children = (place_row, moving, *asked, self.message, self.step, *shown.children)
        self.fill(beside(controls, shown), self.reason, self.sheet.box)

    def bench_sheet(self, name: str, page: str) -> tuple[bytes, bytes]:
        """PDF and preview of the sheet in the order that is shown; raises BendError where this bender cannot do it."""
        from barmath.paper.bench_sheet import bench_sheet_pdf, bench_sheet_png  # Matplotlib, only when a sheet is made

        sheet = sheet_from_readout(self.shop, self.state, self.readout, name)
        return bench_sheet_pdf(sheet, page), bench_sheet_png(sheet, page, dpi=180)

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = bending_readout(self.shop, self.state)
        shown = ""
        if readout.steps and not readout.hidden:
            reading = readout.steps[self.state.step].reading_deg
            shown = "" if reading is None else f"{abs(reading):.1f} deg"
        with self.figure.batch_update():
            update_bending(self.figure, readout.scene, shown, fits=readout.order is not None and readout.order.fits)
        self._show_controls()
        self.step.value = step_html(readout, self.state) + flats_html(readout, self.state)
        self.reason.value = reason_html(readout)
        order = readout.order
        good = order.reason() if order is not None and order.fits else ""
        failed = "" if order is None or order.fits else f"this bender cannot do this order: {order.reason()}"
        self.say(good=good, refusal=readout.refusal or failed)

    def _show_controls(self) -> None:
        with self.writing():
            self.plan.show(self.readout, self.state.holds)
            self.place.value = self.play.value = self.state.place
            self.questions.show(self.readout, self.state, judged=not self.refused_entries())

    @heard
    def _changed(self, _: dict) -> None:
        before, state = self.state, self.read()
        other_plan = (state.holds, state.asking) != (before.holds, before.asking)
        other_bar = state.asking and state.place == before.place
        self.become(asked_again(state) if other_plan or other_bar else state)

    @heard
    def _picked(self, change: dict) -> None:
        if change["new"] not in (None, NO_ROW):
            self.become(asked_again(replace(self.state, holds=self.readout.orders[change["new"]].holds)))

    @heard
    def _played(self, change: dict) -> None:
        if self.readout.hidden:  # it waits for the answers
            self.play.playing = False
        self.become(replace(self.state, place=change["new"]))

    @guarded
    def _go(self, bends: int) -> None:
        place = (self.state.step + bends) * PLACES_A_BEND
        self.become(replace(self.state, place=min(max(place, 0), LAST_PLACE)))

    @heard
    def _guessed(self, _: dict) -> None:
        guesses = list(self.state.guesses)
        guesses[self.state.step] = (self.questions.leads.value, self.questions.shows.value)
        self.become(replace(self.state, guesses=tuple(guesses)))


def bending_panel(shop_file: str | Path, state: BendingState | None = None) -> widgets.VBox:
    """The panel of the bender for a notebook; running its cell again shows the same one."""
    return kept(BendingPanel, (real_path(shop_file), state), lambda: BendingPanel(shop_from_file(shop_file), state))
