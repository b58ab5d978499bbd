"""The order panel: from a rider's order to a recipe, a picture, the ways this shop can make it, and the steps."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from barmath.bending.plans import PLANS
from barmath.panels.bar_view import BarView
from barmath.panels.entry import button, choice_row
from barmath.panels.form import FormPanel, chosen
from barmath.panels.live import LiveFigure
from barmath.panels.order_state import (
    STOPS_WORDS,
    OrderReadout,
    OrderState,
    PickedWay,
    bench_numbers_html,
    lanes_from_readout,
    readout_from_way,
    recipe_html,
    refused_readout,
    steps_html,
    way_from_state,
)
from barmath.panels.ordered_bar import OrderRows
from barmath.panels.pick_table import PickTable
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import beside, column, guarded, heard, kept, responsive
from barmath.panels.ways_list import WAYS_HEADS, listed_rows, way_rows
from barmath.paper.bench_data import BenchSheet
from barmath.pictures.bar import empty_figure, update_windows
from barmath.pictures.views import update_views
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.cautions import BENDING, PLUGS, SCREEN
from barmath.shop.shop_file import Shop, shop_from_file

BEST_DIE, BEST_STOP = "", 0.0
"""Values of the choosers that leave the choice to the table; a chooser shows nothing for None."""

EVERY_WAY = "List every way, not only the best of each die"

WAYS_TITLE = "How this shop can make it; straight and grip left over, in {unit}"

WAYS_HIGH_PX = 308


class OrderPanel(FormPanel):
    """The panel of the main job.

    Parameters
    ----------
    shop_file : str or Path
        The shop's own TOML file. Where it is broken the panel says in which line.
    state : OrderState, optional
        What is set at the start.
    sheets_folder : str or Path
        Where bench sheets are written.

    Nothing is lost by a broken file: what was read before remains in use until the file can be read again.

    Attributes
    ----------
    state : OrderState
    readout : OrderReadout
        What is shown now; `readout.bar` is the bar, or None.
    """

    state: OrderState
    cautions = (*BENDING, SCREEN, PLUGS)

    def __init__(
        self, shop_file: str | Path, state: OrderState | None = None, sheets_folder: str | Path = "sheets"
    ) -> None:
        super().__init__()
        self.shop_file = Path(shop_file)
        self.state = state or OrderState()
        self.shop: Shop | None = None
        self.shop_refusal = ""
        self._read_shop()
        self.view = BarView()
        self.figure = LiveFigure(empty_figure())
        self.sheet = SheetWriter(sheets_folder, self.bench_sheet, "the bench sheet", "order 7")
        self._build()
        self.refresh()

    def _build(self) -> None:
        s = self.state
        self.ordered = OrderRows(s)
        self.tube, tube_row = choice_row("Tube", [], None)
        self.die, die_row = choice_row("Die", [], None)
        self.stops, stops_row = choice_row(
            "Stop settings", [(words, key) for key, words in STOPS_WORDS.items()], s.stops
        )
        self.stop, stop_row = choice_row("Inner bends", [], None)
        self.outer_stop, outer_stop_row = choice_row("Outer bends", [], None)
        plans = [(name, name) for name in PLANS]
        self.plan, plan_row = choice_row("Sequence of bends", plans, s.plan)
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], s.unit)
        self.reread = button("Read the shop's file again", self._reread)
        self.ways = PickTable(WAYS_HEADS, "the best first", high_px=WAYS_HIGH_PX)
        self.ways.observe(self._picked, "value")
        self.every_way = widgets.Checkbox(
            value=False, description=EVERY_WAY, indent=False, layout=widgets.Layout(width="100%")
        )
        self.every_way.observe(self._more_or_fewer, "value")
        self.numbers, self.recipe, self.steps = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self.numbers.add_class("barmath-first")
        self._offer_shop()
        self.bind(
            **self.ordered.parts, tube=chosen(self.tube, "", None), die=chosen(self.die, None, BEST_DIE),
            bend_deg=chosen(self.stop, None, BEST_STOP), outer_bend_deg=chosen(self.outer_stop, None, BEST_STOP),
            stops=self.stops, unit=self.unit, plan=self.plan,
        )  # fmt: skip
        controls = column(
            "The order", *self.ordered.widgets, "This shop", tube_row, die_row, stops_row, stop_row,
            outer_stop_row, plan_row, unit_row, self.reread, self.ways, self.every_way,
        )  # fmt: skip
        pictures = responsive(self.figure)
        pictures.children = (self.numbers, self.view.box, self.message, *pictures.children)  # no message moves the bar
        bench = widgets.VBox([self.sheet.box, self.steps])
        self.fill(beside(controls, pictures, self.recipe, bench))

    def bench_sheet(self, name: str, page: str) -> tuple[bytes, bytes]:
        """PDF and preview of the sheet of the bar that is shown; raises BendError if there is none."""
        from barmath.paper.bench_sheet import bench_sheet_pdf, bench_sheet_png  # Matplotlib, only when a sheet is made

        bar = self.readout.bar
        if bar is None or self.shop is None:
            raise BendError("a sheet must have a bar on it, got none: choose an order and a way that can be made")
        order = self.booked()
        sheet = BenchSheet(
            name,
            bar.order,
            bar.recipe,
            bar.tube,
            bar.die,
            self.shop.bender,
            bar.warnings,
            self.state.unit,
            PLANS[self.state.plan],
            bar.springback_words(self.state.unit),
            self.shop.accepted,
            self.state.number,
            order.rider if order else "",
            order.wanted if order else None,
        )
        return bench_sheet_pdf(sheet, page), bench_sheet_png(sheet, page, dpi=180)

    def refresh(self) -> OrderReadout:
        """Work everything out again from `state` and show it, the bar in space first: that is what a hand waits for."""
        unit = self.state.unit
        picked = way_from_state(self.shop, self.state) if self.shop else PickedWay(refusal=self.shop_refusal)
        drawing, words = picked.drawing(), picked.dimensions(unit)
        self.view.show(drawing, words)
        self.readout = readout_from_way(self.shop, self.state, picked) if self.shop else refused_readout(picked.refusal)
        bar = self.readout.bar
        if drawing is not None and bar is None:  # the steps at the bench refuse it
            drawing, words = None, {}
            self.view.show(None, {})
        with self.figure.batch_update():
            update_views(self.figure, drawing, words)
            lanes = lanes_from_readout(self.readout)
            if lanes is not None:
                update_windows(self.figure, lanes)
        self.figure.lengths_in(unit)
        self._show_ways()
        self.numbers.value = bench_numbers_html(self.readout, unit)
        self.recipe.value = recipe_html(self.readout, unit, self.state.number)
        self.steps.value = steps_html(self.readout)
        kept = (f"{self.shop_refusal}. What was read before remains in use",) if self.shop_refusal and self.shop else ()
        self.say(self.readout.good, (*kept, *(bar.watch if bar else ())), self.readout.refusal)
        return self.readout

    @heard
    def _picked(self, change: dict) -> None:
        if change["new"] is None or self.readout.ways is None:
            return
        ways, row = self.readout.ways, change["new"]
        with self.writing():
            self.die.value, self.stop.value = ways.die(row).name, float(ways.inner_bend_deg[row])
            self.outer_stop.value = float(ways.outer_bend_deg[row])
        self.become(self.read())

    @heard
    def _more_or_fewer(self, _: dict) -> None:
        self._show_ways()

    @guarded
    def _reread(self, _: object) -> None:
        self._read_shop()
        self._offer_shop()
        self.become(self.read())

    def _read_shop(self) -> None:
        try:
            self.shop, self.shop_refusal = shop_from_file(self.shop_file), ""
        except BendError as refusal:
            self.shop_refusal = str(refusal)

    def _offer_shop(self) -> None:
        # the shop's tubes, dies and stops as choices; what was chosen remains where it still is there
        if self.shop is None:
            return
        with self.writing():
            _offer(self.tube, [(tube.name, tube.name) for tube in self.shop.tubes], self.state.tube)
            dies = [(die.name, die.name) for die in self.shop.dies]
            _offer(self.die, [("the best", BEST_DIE), *dies], self.state.die)
            stops = [(f"{bend:.1f} deg", float(bend)) for bend in self.shop.stop_bends_deg]
            _offer(self.stop, [("the best", BEST_STOP), *stops], self.state.bend_deg)
            _offer(self.outer_stop, [("the best", BEST_STOP), *stops], self.state.outer_bend_deg)

    def _show_ways(self) -> None:
        unit, ways, row = self.state.unit, self.readout.ways, self.readout.row
        rows = listed_rows(ways, row, every=self.every_way.value) if ways is not None else []
        with self.writing():
            self.ways.title = WAYS_TITLE.format(unit={"in": "inches"}.get(unit, unit))
            self.ways.show(way_rows(ways, rows, unit) if ways is not None else [], row)


def _offer(chooser: widgets.Dropdown, options: list, wanted: object) -> None:
    values = [value for _, value in options]
    chooser.options = options
    chooser.value = wanted if wanted in values else values[0]


def order_panel(shop_file: str | Path, state: OrderState | None = None) -> widgets.VBox:
    """The order panel for a notebook; running its cell again shows the same one, for a figure costs the page dearly."""
    return kept(OrderPanel, (real_path(shop_file), state), lambda: OrderPanel(shop_file, state))
