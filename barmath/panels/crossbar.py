"""The panel of the crossbar: where it sits, what it measures, and its sheets."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from barmath.closed_forms.forward import risers_upright
from barmath.lengths import length_text
from barmath.panels.bar_view import BarView, choice
from barmath.panels.crossbar_state import AT_HEIGHT, AT_MARKS, CrossbarState, crossbar_html, crossbar_readout
from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.live import LiveFigure
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.sheet import SheetWriter
from barmath.panels.shell import beside, column, kept, responsive
from barmath.paper.sizes import LONG
from barmath.pictures.crossbar import crossbar_figure, update_crossbar
from barmath.pictures.crossbar_in_space import CrossbarPicture
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.cautions import BRAZING, SAWING
from barmath.shop.shop_file import Shop, shop_from_file
from barmath.space.drawing import drawing_from_recipe

TITLE = "In space: bends orange, marks red, crossbar blue, the bar before grey"


class CrossbarPanel(FormPanel):
    """A crossbar between the risers of a bar, with its wrap template and the full-size drawing of the bar.

    Attributes
    ----------
    state : CrossbarState
    readout : CrossbarReadout
    """

    cautions = (*SAWING, *BRAZING)

    fits = "Fits"
    refused = "Cannot be fitted"

    state: CrossbarState

    def __init__(self, shop: Shop, state: CrossbarState | None = None, sheets_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.shop, self.state = shop, state or CrossbarState()
        self.picture, self.lifted = CrossbarPicture(), choice("Lift the crossbar out, to see its copes")
        self.lifted.observe(lambda change: self.picture.lift(change["new"]), "value")
        self.view = BarView(self.picture, TITLE, self.lifted)
        self.figure = LiveFigure(crossbar_figure())
        self.wrap = SheetWriter(sheets_folder, self.cope_wrap, "the wrap templates", "order 7 cope")
        pages = (("A4, tiled", "A4"), ("US Letter, tiled", "Letter"), ("one long sheet for a plotter", LONG))
        self.full_size = SheetWriter(
            sheets_folder, self.full_size_drawing, "the full-size drawing", "order 7 full size", pages
        )
        s = self.state
        self.ordered = OrderedBarRows(shop, s.bar)
        self.place, place_row = choice_row("Crossbar", [AT_MARKS, AT_HEIGHT], s.place)
        self.height = NumberRow("Height", s.height_mm, 5.0, 170.0, 1.0)
        self.diameter = NumberRow("Crossbar diameter", s.branch_diameter_mm, 5.0, 30.0, 0.5)
        self.wall = NumberRow("Crossbar wall", s.branch_wall_mm, 0.5, 3.0, 0.1)
        self.allowance = NumberRow("To file", s.allowance_mm, 0.0, 5.0, 0.5)
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], s.unit)
        self.rows = (self.height, self.diameter, self.wall, self.allowance)
        self.bind(
            bar=self.ordered, place=self.place, height_mm=self.height, branch_diameter_mm=self.diameter,
            branch_wall_mm=self.wall, allowance_mm=self.allowance, unit=self.unit,
        )  # fmt: skip
        self.said = widgets.HTML()
        controls = column(
            "The bar", *self.ordered.widgets, "Its crossbar", place_row, *(row.widget for row in self.rows), unit_row,
        )  # fmt: skip
        shown = responsive(self.figure)
        shown.children = (self.view.box, self.message, *shown.children, self.wrap.box, self.full_size.box)
        self.fill(beside(controls, shown, self.said))
        self.refresh()

    def cope_wrap(self, name: str, page: str) -> tuple[bytes, bytes]:
        """PDF and preview of the wrap templates; raises BendError if there is no crossbar."""
        from barmath.paper.cope_wrap import (  # Matplotlib, only when a sheet is made
            CopeWrap,
            cope_wrap_pdf,
            cope_wrap_png,
        )

        if self.readout.bar is None:
            raise BendError(self.readout.refusal)
        wrap = CopeWrap(name, self.readout.bar, self.state.unit)
        return cope_wrap_pdf(wrap, page), cope_wrap_png(wrap, page, 140)

    def full_size_drawing(self, name: str, page: str) -> tuple[bytes, bytes]:
        """PDF and a small preview of the full-size drawing; raises BendError if there is no bar."""
        from barmath.paper.full_size import FullSize, full_size_pdf, long_page  # Matplotlib, only when a sheet is made

        if self.readout.recipe is None:
            raise BendError(self.readout.refusal)
        diameter = self.state.bar.diameter_mm(self.shop)
        drawing = FullSize(name, self.readout.recipe, diameter, self.state.unit, self.readout.bar)
        return full_size_pdf(drawing, page), long_page(drawing).png(34)

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = crossbar_readout(self.shop, self.state)
        self.height.set_enabled(self.state.place == AT_HEIGHT)
        drawing, good, words = None, "", {}
        if readout.recipe is not None:
            drawing = drawing_from_recipe(risers_upright(readout.recipe), self.state.bar.diameter_mm(self.shop))
        if readout.bar is not None:
            cut, angle = length_text(readout.bar.cut_length_mm, self.state.unit), f"{readout.bar.angle_deg:.1f} deg"
            good = f"cut {cut}, joint angle {angle}, {readout.bar.mass_g:.0f} g"
            words = {"cut": f"cut {cut}", "joint": f"joint {angle}"}
        self.picture.fitted = readout.bar
        self.view.show(drawing, words)
        with self.figure.batch_update():
            update_crossbar(self.figure, drawing, readout.bar)
        self.figure.lengths_in(self.state.unit)
        self.said.value = crossbar_html(readout, self.state)
        watch = readout.bar.warnings() if readout.bar else ()
        self.say(good, watch, readout.refusal)


def crossbar_panel(shop_file: str | Path) -> widgets.VBox:
    """The panel of the crossbar for a notebook; running its cell again shows the same one."""
    return kept(CrossbarPanel, real_path(shop_file), lambda: CrossbarPanel(shop_from_file(shop_file)))
