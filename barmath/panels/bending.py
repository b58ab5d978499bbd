"""The panel of the bender: any order of the four bends, stepped through with the tube in the machine."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ipywidgets as widgets

from barmath.bending.holds import BENDS, LEFT, RIGHT, Hold, bend_name
from barmath.panels.bending_state import (
    LAST_PLACE,
    NO_ANSWER,
    ORDER_HEAD,
    ORDER_KEY,
    PLACES_A_BEND,
    BendingState,
    asked_again,
    bending_readout,
    flats_html,
    order_label,
    question,
    reason_html,
    sheet_from_readout,
    step_html,
)
from barmath.panels.entry import button, choice_row, labelled_row
from barmath.panels.live import LiveFigure
from barmath.panels.markup import paragraph
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import Shell, beside, column, guarded, kept, message_html, responsive
from barmath.paper.bench_sheet import bench_sheet_pdf, bench_sheet_png
from barmath.pictures.bending import bending_figure, update_bending
from barmath.saving import real_path
from barmath.shop.cautions import BENDING
from barmath.shop.shop_file import Shop, shop_from_file

_NO_ROW = -1


class BendingPanel(Shell):
    """Orders of the bends, ranked; one of them stepped through, with guesses asked before each bend where wanted.

    Attributes
    ----------
    state : BendingState
    readout : BendingReadout
    """

    cautions = BENDING

    refused, fits = "Cannot be done", "Can be done"

    def __init__(self, shop: Shop, state: BendingState | None = None, sheets_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.shop = shop
        self.state = state or BendingState()
        self.figure = LiveFigure(bending_figure())
        self.sheet = SheetWriter(sheets_folder, self.bench_sheet, "the bench sheet of this order", "order 7")
        self._busy = False
        self._build()
        self.state = replace(self.state, bar=self.ordered.read())
        self.refresh()

    def _build(self) -> None:
        s = self.state
        self.ordered = OrderedBarRows(self.shop, s.bar, self._changed, controls=True)
        self.orders = widgets.Select(options=[], rows=7, layout=widgets.Layout(width="100%"))
        self.orders.observe(self._picked, "value")
        title = '<h4><span class="barmath-label">All orders, the best first</span></h4>'
        head = widgets.HTML(f'{title}<p>{ORDER_KEY}</p><pre class="barmath-head">{ORDER_HEAD}</pre>')
        orders_box = widgets.VBox([head, self.orders])
        for mark in ("barmath-ways", "barmath-row"):
            orders_box.add_class(mark)
        self.bends, self.hooks, plan_rows = [], [], []
        names = [(bend_name(number), number) for number in range(len(BENDS))]
        for step, hold in enumerate(s.holds, 1):
            chooser, row = choice_row(f"Bend {step}", names, hold.number, self._planned)
            hook = widgets.Dropdown(
                options=[("left in hook", LEFT), ("right in hook", RIGHT)],
                value=hold.hooked,
                layout=widgets.Layout(flex="1 1 120px", min_width="100px"),
            )
            hook.observe(self._planned, "value")
            row.children = (*row.children, hook)
            self.bends.append(chooser)
            self.hooks.append(hook)
            plan_rows.append(row)
        self.place = widgets.IntSlider(
            value=s.place, min=0, max=LAST_PLACE, readout=False, layout=widgets.Layout(flex="1 1 160px")
        )
        self.place.observe(self._placed, "value")
        self.play = widgets.Play(min=0, max=LAST_PLACE, interval=250, show_repeat=False, description="Play")
        self.play.observe(self._played, "value")
        self.back = button("Bend before", lambda _: self._go(-1))
        self.forward = button("Next bend", lambda _: self._go(1))
        place_row = labelled_row("Through the bends", self.place)
        self.asking = widgets.Checkbox(s.asking, description="Ask me before each bend", indent=False)
        self.asking.observe(self._asked, "value")
        self.question = widgets.HTML()
        self.leads, self.leads_row = choice_row(
            "It leads to the", [("choose", NO_ANSWER), ("left", LEFT), ("right", RIGHT)], NO_ANSWER, self._guessed
        )
        self.shows, self.shows_row = choice_row("It shows", [("choose", NO_ANSWER)], NO_ANSWER, self._guessed)
        self.marked, self.step, self.reason = widgets.HTML(), widgets.HTML(), widgets.HTML()
        moving = widgets.HBox([self.back, self.play, self.forward], layout=widgets.Layout(width="100%", grid_gap="6px"))
        controls = column(
            "The bar", *self.ordered.widgets, orders_box, "Or a plan of your own", *plan_rows,
        )  # fmt: skip
        shown = responsive(self.figure)
        asked = (self.asking, self.question, self.leads_row, self.shows_row, self.marked)
        shown.children = (place_row, moving, *asked, self.message, self.step, *shown.children)
        self.fill(beside(controls, shown), self.reason, self.sheet.box)

    def bench_sheet(self, name: str, page: str) -> tuple[bytes, bytes]:
        """PDF and preview of the sheet in the order that is shown; raises BendError where this bender cannot do it."""
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
        refused = self.ordered.refused()
        order = readout.order
        good = order.reason() if order is not None and order.fits else ""
        failed = "" if order is None or order.fits else f"this bender cannot do this order: {order.reason()}"
        self.say(good=good, warnings=refused, refusal=readout.refusal or failed)

    def _show_controls(self) -> None:
        self._busy = True
        try:
            readout, state = self.readout, self.state
            options = [("none of them", _NO_ROW)] + [(order_label(order), k) for k, order in enumerate(readout.orders)]
            if tuple(options) != tuple(self.orders.options):
                self.orders.options = options
            picked = [k for k, order in enumerate(readout.orders) if order.holds == state.holds]
            self.orders.value = picked[0] if picked else _NO_ROW
            for hold, bend, hook in zip(state.holds, self.bends, self.hooks, strict=True):
                bend.value, hook.value = hold.number, hold.hooked
            self.place.value = self.play.value = state.place
            asked = bool(readout.choices)
            for row in (self.leads_row, self.shows_row):
                row.layout.display = None if asked else "none"
            self.question.value = paragraph(question(readout.steps[state.step])) if asked else ""
            leads, shows = state.guesses[state.step]
            choices = [("choose", NO_ANSWER), *((f"{choice} deg", choice) for choice in readout.choices)]
            if tuple(choices) != tuple(self.shows.options):
                self.shows.options = choices
            self.leads.value = leads
            self.shows.value = shows if shows in dict((value, 0) for _, value in choices) else NO_ANSWER
            self.marked.value = "" if self.refused_entries() else self._marked_html()
        finally:
            self._busy = False

    def _marked_html(self) -> str:
        said = [
            message_html(verdict.words, "good" if verdict.right else "warn", "Right" if verdict.right else "Not so")
            for verdict in self.readout.verdicts
        ]
        right, given = self.readout.score
        if self.state.asking and given:
            said.append(paragraph(f"So far {right} of {given} right."))
        return f'<div role="status">{"".join(said)}</div>'

    @guarded
    def _changed(self, _: dict) -> None:
        if self._busy:
            return
        self.state = replace(
            self.state,
            bar=self.ordered.read(),
        )
        self.state = asked_again(self.state) if self.state.asking else self.state
        self.refresh()

    @guarded
    def _picked(self, change: dict) -> None:
        if self._busy or change["new"] in (None, _NO_ROW):
            return
        self._plan(self.readout.orders[change["new"]].holds)

    @guarded
    def _planned(self, _: dict) -> None:
        if self._busy:
            return
        self._plan(tuple(Hold(bend.value, hook.value) for bend, hook in zip(self.bends, self.hooks, strict=True)))

    def _plan(self, holds: tuple[Hold, ...]) -> None:
        self.state = asked_again(replace(self.state, holds=holds))
        self.refresh()

    @guarded
    def _placed(self, change: dict) -> None:
        if not self._busy:
            self.state = replace(self.state, place=change["new"])
            self.refresh()

    @guarded
    def _played(self, change: dict) -> None:
        if not self._busy:
            if self.readout.hidden:  # it waits for the answers
                self.play.playing = False
            self.state = replace(self.state, place=change["new"])
            self.refresh()

    @guarded
    def _go(self, bends: int) -> None:
        place = (self.state.step + bends) * PLACES_A_BEND
        self.state = replace(self.state, place=min(max(place, 0), LAST_PLACE))
        self.refresh()

    @guarded
    def _asked(self, change: dict) -> None:
        self.state = asked_again(replace(self.state, asking=change["new"]))
        self.refresh()

    @guarded
    def _guessed(self, _: dict) -> None:
        if self._busy:
            return
        guesses = list(self.state.guesses)
        guesses[self.state.step] = (self.leads.value, self.shows.value)
        self.state = replace(self.state, guesses=tuple(guesses))
        self.refresh()


def bending_panel(shop_file: str | Path, state: BendingState | None = None) -> widgets.VBox:
    """The panel of the bender for a notebook; running its cell again shows the same one."""
    return kept(BendingPanel, (real_path(shop_file), state), lambda: BendingPanel(shop_from_file(shop_file), state))
