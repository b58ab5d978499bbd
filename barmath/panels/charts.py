"""The panel of the wall charts: choose die, tube, assumptions and paper; look; write."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets as widgets

from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.sheet import WALL_SIZES, SheetWriter, page_picture
from barmath.panels.shell import beside, column, kept, wide
from barmath.planning.chart_data import Chart
from barmath.saving import real_path
from barmath.shop.shop_file import Shop, shop_from_file

if TYPE_CHECKING:
    from barmath.paper.page import Page

RISES, SETTINGS_MM, SETTINGS_IN = "rise and reading", "settings, mm", "settings, inches"


@dataclass(frozen=True)
class ChartsState:
    """Which chart, of which of the shop's dies and tubes, and what it takes for granted. mm and degrees."""

    die: str
    tube: str
    kind: str = RISES
    backsweep_deg: float = Chart.backsweep_deg
    width_mm: float = Chart.width_mm
    clamp_flat_mm: float = Chart.clamp_flat_mm
    controls_mm: float = Chart.controls_mm


class ChartsPanel(FormPanel):
    """Wall charts of a shop's dies: a preview that follows the controls, and a writer."""

    state: ChartsState

    def __init__(self, shop: Shop, charts_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.shop, self.state = shop, ChartsState(shop.dies[0].name, shop.tubes[0].name)
        s = self.state
        self.kind, kind_row = choice_row("Chart", [RISES, SETTINGS_MM, SETTINGS_IN], s.kind)
        self.die, die_row = choice_row("Die", [die.name for die in shop.dies], s.die)
        self.tube, tube_row = choice_row("Tube", [tube.name for tube in shop.tubes], s.tube)
        self.backsweep = NumberRow("Backsweep", s.backsweep_deg, 0.0, 20.0, 0.5, length=False)
        self.width = NumberRow("Width", s.width_mm, 350.0, 1000.0, 5.0)
        self.clamp_flat = NumberRow("Clamp flat", s.clamp_flat_mm, 20.0, 120.0, 1.0)
        self.controls = NumberRow("Room for controls", s.controls_mm, 0.0, 300.0, 5.0)
        rows = (self.backsweep, self.width, self.clamp_flat, self.controls)
        self.bind(
            kind=self.kind, die=self.die, tube=self.tube, backsweep_deg=self.backsweep, width_mm=self.width,
            clamp_flat_mm=self.clamp_flat, controls_mm=self.controls,
        )  # fmt: skip
        self.writer = SheetWriter(
            charts_folder, self._made, "the chart", f"{shop.dies[0].name} chart", WALL_SIZES, named=False
        )
        one_screen = {"max_width": "720px", "max_height": "calc(100vh - 150px)", "object_fit": "contain"}
        self.preview = page_picture(object_position="left top", **one_screen)
        controls = column(
            "The chart", kind_row, die_row, tube_row, "What it takes for granted",
            *(row.widget for row in rows), self.message, self.writer.box,
        )  # fmt: skip
        self.fill(beside(controls, wide(self.preview)))
        self.refresh()

    def chart(self) -> Chart:
        """The chart as it is set; raises BendError where it cannot be."""
        s, tube = self.state, self.shop.tube(self.state.tube)
        return Chart(
            tube, self.shop.die_for(tube, s.die), s.width_mm, s.clamp_flat_mm, s.controls_mm, s.backsweep_deg,
            stock_length_mm=self.shop.stock_length_mm,
        )  # fmt: skip

    def become(self, state: ChartsState) -> None:
        """Take `state`; another die or chart has another name for its file."""
        if (state.die, state.kind) != (self.state.die, self.state.kind):
            what = "chart" if state.kind == RISES else state.kind.replace(",", "")
            self.writer.name.value = f"{state.die} {what}"
        super().become(state)

    def refresh(self) -> None:
        """Draw the preview again."""
        self.preview.value = self._page("A4").png(90)
        self.say()

    def _page(self, size: str) -> Page:
        from barmath.paper.wall_chart import settings_sheet, wall_chart  # Matplotlib, only when a chart is made

        if self.state.kind == RISES:
            return wall_chart(self.chart(), size).page
        return settings_sheet(self.chart(), size, "in" if self.state.kind == SETTINGS_IN else "mm")

    def _made(self, name: str, size: str) -> tuple[bytes, bytes]:
        page = self._page(size)
        return page.pdf(name), page.png(60)


def charts_panel(shop_file: str | Path, charts_folder: str | Path = "sheets") -> widgets.VBox:
    """The charts panel for a notebook; running its cell again shows the same one."""
    key = real_path(shop_file), real_path(charts_folder)
    return kept(ChartsPanel, key, lambda: ChartsPanel(shop_from_file(shop_file), charts_folder))
