"""The panel of the wall charts: choose die, tube, assumptions and paper; look; write."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets as widgets

from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.sheet import WALL_SIZES, SheetWriter, page_picture
from barmath.panels.shell import Shell, beside, column, guarded, kept, wide
from barmath.planning.chart_data import Chart
from barmath.saving import real_path
from barmath.shop.shop_file import Shop, shop_from_file

if TYPE_CHECKING:
    from barmath.paper.page import Page

RISES, SETTINGS_MM, SETTINGS_IN = "rise and reading", "settings, mm", "settings, inches"


class ChartsPanel(Shell):
    """Wall charts of a shop's dies: a preview that follows the controls, and a writer."""

    def __init__(self, shop: Shop, charts_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.shop = shop
        self.kind, kind_row = choice_row("Chart", [RISES, SETTINGS_MM, SETTINGS_IN], RISES, self._changed)
        self.die, die_row = choice_row("Die", [die.name for die in shop.dies], shop.dies[0].name, self._changed)
        self.tube, tube_row = choice_row("Tube", [tube.name for tube in shop.tubes], shop.tubes[0].name, self._changed)
        self.backsweep = NumberRow("Backsweep", Chart.backsweep_deg, 0.0, 20.0, 0.5, length=False)
        self.width = NumberRow("Width", Chart.width_mm, 350.0, 1000.0, 5.0)
        self.clamp_flat = NumberRow("Clamp flat", Chart.clamp_flat_mm, 20.0, 120.0, 1.0)
        self.controls = NumberRow("Room for controls", Chart.controls_mm, 0.0, 300.0, 5.0)
        self.rows = (self.backsweep, self.width, self.clamp_flat, self.controls)
        for row in self.rows:
            row.observe(self._changed, ["value", "refused"])
        self.writer = SheetWriter(
            charts_folder, self._made, "the chart", f"{shop.dies[0].name} chart", WALL_SIZES, named=False
        )
        one_screen = {"max_width": "720px", "max_height": "calc(100vh - 150px)", "object_fit": "contain"}
        self.preview = page_picture(object_position="left top", **one_screen)
        controls = column(
            "The chart", kind_row, die_row, tube_row, "What it takes for granted",
            *(row.widget for row in self.rows), self.message, self.writer.box,
        )  # fmt: skip
        self.fill(beside(controls, wide(self.preview)))
        self.refresh()

    def chart(self) -> Chart:
        """The chart as it is set; raises BendError where it cannot be."""
        return Chart(
            tube=self.shop.tube(self.tube.value),
            die=self.shop.die_for(self.shop.tube(self.tube.value), self.die.value),
            stock_length_mm=self.shop.stock_length_mm,
            width_mm=self.width.value,
            clamp_flat_mm=self.clamp_flat.value,
            controls_mm=self.controls.value,
            backsweep_deg=self.backsweep.value,
        )

    def refresh(self) -> None:
        """Draw the preview again."""
        self.preview.value = self._page("A4").png(90)
        self.say()

    def _page(self, size: str) -> Page:
        from barmath.paper.wall_chart import settings_sheet, wall_chart  # Matplotlib, only when a chart is made

        if self.kind.value == RISES:
            return wall_chart(self.chart(), size).page
        return settings_sheet(self.chart(), size, "in" if self.kind.value == SETTINGS_IN else "mm")

    def _made(self, name: str, size: str) -> tuple[bytes, bytes]:
        page = self._page(size)
        return page.pdf(name), page.png(60)

    @guarded
    def _changed(self, change: dict) -> None:
        if change.get("owner") in (self.die, self.kind):
            what = "chart" if self.kind.value == RISES else self.kind.value.replace(",", "")
            self.writer.name.value = f"{self.die.value} {what}"
        self.refresh()


def charts_panel(shop_file: str | Path, charts_folder: str | Path = "sheets") -> widgets.VBox:
    """The charts panel for a notebook; running its cell again shows the same one."""
    key = real_path(shop_file), real_path(charts_folder)
    return kept(ChartsPanel, key, lambda: ChartsPanel(shop_from_file(shop_file), charts_folder))
