"""The panel of the strength check: one bar under the load cases of the standard. It never approves a bar."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from barmath.lengths import length_text
from barmath.panels.bar_view import BarView
from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.live import LiveFigure
from barmath.panels.markup import bullets, heading, paragraph
from barmath.panels.ordered_bar import OrderedBarRows
from barmath.panels.shell import beside, column, heard, kept, message_html, responsive
from barmath.panels.strength_state import WITH, WITHOUT, StrengthState, strength_readout, with_tube
from barmath.pictures.loaded_in_space import ABOVE, BELOW, IN_BAND, UNJUDGED, LoadedPicture
from barmath.pictures.strength import strength_figure, update_strength
from barmath.saving import real_path
from barmath.shop.cautions import RIDING
from barmath.shop.shop_file import Shop, shop_from_file
from barmath.space.drawing import drawing_from_recipe
from barmath.strength.load_cases import LOAD_CASES, MOST_SET_MM, MOUNTAIN_ONLY, SCREENED_ONLY
from barmath.strength.screen import LoadedBar
from barmath.strength.stressed_tube import stressed_tube

TITLE = "Checked on paper only: the largest elastic stress at each place along the tube"

ROUND = (("round, 0 %", 0.0), ("a little flat, 3 %", 0.03), ("the most of B31.1, 8 %", 0.08))


def strength_html(bar: LoadedBar, thinner: float, unit: str) -> str:
    """What the strength check says, where the load comes from, and what it leaves out.

    `thinner` is the share of its wall that the tube loses outside a bend.
    """
    times = f", {bar.case.cycles:,.0f} times".replace(",", " ") if bar.case.cycles > 1.0 else ""
    said = [*bar.words(), f"A bend stretches its outside: the wall is {100 * thinner:.0f} % thinner there."]
    load = (
        f"{bar.case.source}. In its lateral test the standard lets the bar remain bent by "
        f"{length_text(MOST_SET_MM, unit)}, without a crack. Nothing here works out how far it remains bent."
    )
    left_out = (
        "Thin bends flatten under the load. They give more, and their stress is higher than is shown here (von Karman; "
        "the piping codes have factors for it). Left out too: brazed joints, the pinch of the stem, dents, scratches, "
        "rust, crashes, wear, the metal's own history after bending and brazing."
    )
    return "".join(
        (
            heading(bar.case.name.capitalize() + times), bullets(said),
            heading("The load"), paragraph(load),
            heading("Left out"), paragraph(left_out),
        )
    )  # fmt: skip


def legend_html(bar: LoadedBar) -> str:
    """What the colours of the bar in space mean."""
    low, high = bar.material.yield_low_mpa, bar.material.yield_high_mpa
    steps: tuple = ((UNJUDGED, f"0 to {bar.elastic_mpa:.0f} MPa: not judged by yield"),)
    if bar.case.cycles == 1.0:
        steps = (
            (BELOW, f"0 to {low:.0f} MPa: below the yield band"),
            (IN_BAND, f"{low:.0f} to {high:.0f} MPa: in the yield band"),
            (ABOVE, f"more than {high:.0f} MPa: above it"),
        )
    shown = (
        f'<li><span style="background: linear-gradient(90deg, {a}, {b})"></span>{words}</li>' for (a, b), words in steps
    )
    return f'<ul class="barmath-legend">{"".join(shown)}</ul>'


class StrengthPanel(FormPanel):
    """A bar under a load case.

    Attributes
    ----------
    state : StrengthState
    readout : StrengthReadout
    """

    cautions = RIDING

    fits, refused = "Checked on paper only", "Cannot be checked"

    state: StrengthState

    def __init__(self, shop: Shop, state: StrengthState | None = None) -> None:
        super().__init__()
        self.shop, self.state = shop, state or with_tube(StrengthState(), shop)
        self.picture, self.legend = LoadedPicture(), widgets.HTML()
        self.view = BarView(self.picture, TITLE, self.legend)
        self.figure = LiveFigure(strength_figure())
        s = self.state
        self.ordered = OrderedBarRows(shop, s.bar)
        self.diameter = NumberRow("Tube diameter", s.tube_diameter_mm, 15.0, 36.0, 0.1)
        self.wall = NumberRow("Tube wall", s.wall_mm, 0.5, 4.0, 0.05)
        self.stem = NumberRow("Stem's width", s.stem_width_mm, 20.0, 60.0, 1.0)
        self.tilt = NumberRow("Load tilted", s.tilt_deg, -90.0, 90.0, 5.0, length=False)
        self.case, case_row = choice_row("Load", [case.name for case in LOAD_CASES], s.case)
        self.crossbar, crossbar_row = choice_row("Crossbar", [WITHOUT, WITH], s.crossbar)
        self.round, round_row = choice_row("Bends are", list(ROUND), s.out_of_round)
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], s.unit)
        self.bind(
            bar=self.ordered, tube_diameter_mm=self.diameter, wall_mm=self.wall, stem_width_mm=self.stem,
            tilt_deg=self.tilt, out_of_round=self.round, case=self.case, crossbar=self.crossbar, unit=self.unit,
        )  # fmt: skip
        self.state = self.read()  # with the tube and the die that the boxes chose
        self.ordered.tube.observe(self._other_tube, "value")
        self.said = widgets.HTML()
        controls = column(
            "The bar", *self.ordered.widgets, "Its tube, or another in the same shape", self.diameter.widget,
            self.wall.widget, crossbar_row, round_row, "The test", case_row,
            self.stem.widget, self.tilt.widget, unit_row,
        )  # fmt: skip
        shown = responsive(self.figure)
        shown.children = (self.view.box, self.message, *shown.children)
        self.fill(
            widgets.HTML(f'<div class="barmath-message barmath-warn"><b>{SCREENED_ONLY}</b> {MOUNTAIN_ONLY}</div>'),
            beside(controls, shown, self.said),
        )  # fmt: skip
        self.refresh()

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = strength_readout(self.shop, self.state)
        said, grey = "", False  # nothing here is ever green: a check that finds no yield approves nothing
        self._show_bar()
        with self.figure.batch_update():
            update_strength(self.figure, readout.bar)
        self.figure.lengths_in(self.state.unit)
        thinner = 1.0 - readout.least_wall_mm / self.state.wall_mm
        self.said.value = strength_html(readout.bar, thinner, self.state.unit) if readout.bar is not None else ""
        if readout.bar is not None:
            said = readout.bar.words()[2]
            grey = readout.bar.elastic_holds or self._is_fatigue
        self.say("", [said] if said and not grey else [], readout.refusal)
        if grey:
            lead = "Not judged" if self._is_fatigue else self.fits
            self.message.value += f'<div role="status">{message_html(said, "unjudged", lead)}</div>'

    def _show_bar(self) -> None:
        bar, recipe, diameter = self.readout.bar, self.readout.recipe, self.state.tube_diameter_mm
        self.legend.value = legend_html(bar) if bar is not None else ""
        if bar is None or recipe is None:
            self.view.show(None, {})
            return
        self.picture.load(bar, stressed_tube(recipe, diameter, bar))
        self.view.show(drawing_from_recipe(recipe, diameter), {}, says=f"Checked on paper only. {bar.words()[0]}")

    @property
    def _is_fatigue(self) -> bool:
        return self.readout.bar is not None and self.readout.bar.case.cycles > 1.0

    @heard
    def _other_tube(self, _: dict) -> None:
        self.show(with_tube(self.read(), self.shop))


def strength_panel(shop_file: str | Path) -> widgets.VBox:
    """The panel of the strength check for a notebook; running its cell again shows the same one."""
    return kept(StrengthPanel, real_path(shop_file), lambda: StrengthPanel(shop_from_file(shop_file)))
