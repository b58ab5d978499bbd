"""The panel of the wall charts: choose die, tube, assumptions and paper; look; write."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING

import ipywidgets as widgets

from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.sheet import WALL_SIZES, SheetWriter, page_drawn, page_picture
from barmath.panels.shell import beside, column, kept, wide
from barmath.planning.chart_data import CHART_BENDS_DEG, Chart
from barmath.planning.pair_chart import DIES_A_SHEET
from barmath.saving import real_path
from barmath.shop.shop_file import Shop, shop_from_file

if TYPE_CHECKING:
    from barmath.paper.page import Page

RISES, SETTINGS_MM, SETTINGS_IN = "rise and marks, one stop", "settings, one stop, mm", "settings, one stop, inches"
PAIRS_MM, PAIRS_IN, DIES = "best pairs, two stops, mm", "best pairs, two stops, inches", "which die, two stops"
KINDS = (RISES, SETTINGS_MM, SETTINGS_IN, PAIRS_MM, PAIRS_IN, DIES)
OF_PAIRS = (PAIRS_MM, PAIRS_IN, DIES)
PREVIEW_DPI = 90


@dataclass(frozen=True)
class ChartsState:
    """Which chart, of which of the shop's dies and tubes, and what it assumes. mm and degrees."""

    die: str
    tube: str
    kind: str = RISES
    backsweep_deg: float = Chart.backsweep_deg
    width_mm: float = Chart.width_mm
    clamp_flat_mm: float = Chart.clamp_flat_mm
    controls_mm: float = Chart.controls_mm


def nearest_stops_deg(stops_deg: Sequence[float]) -> tuple[float, ...]:
    """For each bend that a chart usually has, the shop's own stop that is nearest to it: no line is for another bend.

    Examples
    --------
    >>> from barmath.panels.charts import nearest_stops_deg
    >>> nearest_stops_deg([12, 15, 18, 21, 24, 27, 30, 33, 36, 39, 42])
    (15, 21, 24, 30, 36, 39)
    """
    return tuple(sorted({min(stops_deg, key=lambda stop: (abs(stop - bend), stop)) for bend in CHART_BENDS_DEG}))


class ChartsPanel(FormPanel):
    """Wall charts of a shop's dies: a preview that follows the controls, and a writer."""

    state: ChartsState

    def __init__(self, shop: Shop, charts_folder: str | Path = "sheets") -> None:
        super().__init__()
        self.shop, self.state = shop, ChartsState(shop.dies[0].name, shop.tubes[0].name)
        s = self.state
        self.kind, kind_row = choice_row("Chart", list(KINDS), s.kind)
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
        one_screen = {"max_width": "min(720px, 100% - 2px)", "max_height": "calc(100vh - 150px)", "width": "auto"}
        self.preview = page_picture(align_self="flex-start", **one_screen)
        controls = column(
            "The chart", kind_row, die_row, tube_row, "What it assumes",
            *(row.widget for row in rows), self.message, self.writer.box,
        )  # fmt: skip
        self.fill(beside(controls, wide(self.preview)))
        self.refresh()

    def chart(self, die: str | None = None) -> Chart:
        """The chart that is set, of its die or of another one; raises BendError where it cannot be."""
        s, tube = self.state, self.shop.tube(self.state.tube)
        chart = Chart(
            tube, self.shop.die_for(tube, die or s.die), s.width_mm, s.clamp_flat_mm, s.controls_mm, s.backsweep_deg,
            stock_length_mm=self.shop.stock_length_mm,
        )  # fmt: skip
        own = self.shop.stop_bends_deg
        return replace(chart, bends_deg=own if s.kind in OF_PAIRS else nearest_stops_deg(own))

    def become(self, state: ChartsState) -> None:
        """Take `state`; another die or chart has another name for its file."""
        if (state.die, state.kind) != (self.state.die, self.state.kind):
            what = "chart" if state.kind == RISES else state.kind.replace(",", "")
            self.writer.name.value = what if state.kind == DIES else f"{state.die} {what}"
        super().become(state)

    def refresh(self) -> None:
        """Draw the preview again: the first sheet, or the one that shows the chosen die."""
        place = self.die.index // DIES_A_SHEET if self.state.kind == DIES else 0
        with page_drawn():
            self.preview.value = next(islice(self._pages("A4"), place, None)).png(PREVIEW_DPI)
        self.say()

    def _pages(self, size: str) -> Iterator[Page]:
        from barmath.paper.wall_chart import wall_chart  # Matplotlib, only when a chart is made
        from barmath.paper.wall_pairs import die_sheets, pair_sheet
        from barmath.paper.wall_settings import settings_sheet

        kind = self.state.kind
        if kind == DIES:
            yield from die_sheets([self.chart(die.name) for die in self.shop.dies], size)
        elif kind == RISES:
            yield wall_chart(self.chart(), size).page
        else:
            sheet = pair_sheet if kind in OF_PAIRS else settings_sheet
            yield sheet(self.chart(), size, "in" if kind in (SETTINGS_IN, PAIRS_IN) else "mm")

    def _made(self, name: str, size: str) -> tuple[bytes, bytes]:
        from barmath.paper.page import pages_pdf

        pages = list(self._pages(size))
        return pages_pdf(pages, name), pages[0].png(60)


def charts_panel(shop_file: str | Path, charts_folder: str | Path = "sheets") -> widgets.VBox:
    """The charts panel for a notebook; running its cell again shows the same one."""
    key = real_path(shop_file), real_path(charts_folder)
    return kept(ChartsPanel, key, lambda: ChartsPanel(shop_from_file(shop_file), charts_folder))
