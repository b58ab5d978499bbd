"""The panel of the screen: one bar under the load cases of the standard. It never approves a bar."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import ipywidgets as widgets

from barmath.closed_forms.inverse import recipe_from_order
from barmath.crossbars.crossbar import crossbar
from barmath.lengths import length_text
from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.live import LiveFigure
from barmath.panels.markup import bullets, heading, paragraph
from barmath.panels.ordered_bar import OuterBend
from barmath.panels.shell import beside, column, kept, message_html, responsive
from barmath.pictures.inches import axes_in
from barmath.pictures.strength import strength_figure, update_strength
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.cautions import RIDING
from barmath.shop.order_seven import BEND_DEG, CROSSBAR, ORDER, TUBE
from barmath.shop.shop_file import Shop, shop_from_file
from barmath.shop.stock import Material, Tube
from barmath.shop.tooling import springback_from_tube
from barmath.strength.load_cases import LOAD_CASES, MOST_SET_MM, MOUNTAIN_ONLY, SCREENED_ONLY
from barmath.strength.screen import STEM_WIDTH_MM, LoadedBar, loaded_bar

WITHOUT, WITH = "without one", f"{CROSSBAR.name} in, at the outer marks"
ROUND = (("round, 0 %", 0.0), ("a little flat, 3 %", 0.03), ("the most of B31.1, 8 %", 0.08))


@dataclass(frozen=True)
class StrengthState:
    """Everything that can be set in the panel. Lengths in mm, angles in degrees."""

    rise_mm: float = float(ORDER.rise_mm)
    backsweep_deg: float = float(ORDER.backsweep_deg)
    width_mm: float = float(ORDER.width_mm)
    bend_deg: float = BEND_DEG
    die: str = ""
    tube_diameter_mm: float = float(TUBE.outside_diameter_mm)
    wall_mm: float = float(TUBE.wall_mm)
    stem_width_mm: float = STEM_WIDTH_MM
    tilt_deg: float = 0.0
    out_of_round: float = 0.08
    case: str = LOAD_CASES[0].name
    crossbar: str = WITHOUT
    unit: str = "mm"
    outer_bend_deg: float | None = None


@dataclass(frozen=True)
class StrengthReadout:
    """The loaded bar, or why there is none."""

    bar: LoadedBar | None
    refusal: str


def strength_readout(shop: Shop, state: StrengthState) -> StrengthReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    try:
        tube = Tube(state.tube_diameter_mm, state.wall_mm, _material(shop))
        own = shop.tubes[0]
        radius = springback_from_tube(own, shop.die_for(own, state.die or shop.dies[0].name)).finished_radius_mm
        order = replace(ORDER, rise_mm=state.rise_mm, backsweep_deg=state.backsweep_deg, width_mm=state.width_mm)
        recipe = recipe_from_order(order, radius, state.bend_deg, state.outer_bend_deg)
        fitted = crossbar(recipe, state.tube_diameter_mm, CROSSBAR) if state.crossbar == WITH else None
        case = next(case for case in LOAD_CASES if case.name == state.case)
        bar = loaded_bar(recipe, tube, case, fitted, state.stem_width_mm, state.tilt_deg, state.out_of_round)
    except BendError as refusal:
        return StrengthReadout(None, str(refusal))
    return StrengthReadout(bar, "")


def strength_html(bar: LoadedBar, unit: str) -> str:
    """What the screen says, where the load comes from, and what it leaves out."""
    times = f", {bar.case.cycles:,.0f} times".replace(",", " ") if bar.case.cycles > 1.0 else ""
    said = list(bar.words())
    load = (
        f"{bar.case.source}. The standard allows a set of {length_text(MOST_SET_MM, unit)} and no crack in its lateral "
        "test; nothing here works out a set."
    )
    left_out = (
        "Thin bends flatten under the load, give more and are stressed more than is shown here (von Karman; the piping "
        "codes have factors for it). Left out too: brazed joints, the stem's bite, dents, scratches, rust, crashes, "
        "wear, the metal's own history after bending and brazing."
    )
    return "".join(
        (
            heading(bar.case.name.capitalize() + times), bullets(said),
            heading("The load"), paragraph(load),
            heading("Left out"), paragraph(left_out),
        )
    )  # fmt: skip


def _material(shop: Shop) -> Material:
    return shop.tubes[0].material


class StrengthPanel(FormPanel):
    """A bar under a load case.

    Attributes
    ----------
    state : StrengthState
    readout : StrengthReadout
    """

    cautions = RIDING

    fits, refused = "Screened only", "Cannot be screened"

    state: StrengthState

    def __init__(self, shop: Shop, state: StrengthState | None = None) -> None:
        super().__init__()
        self.shop, self.state = shop, state or StrengthState(die=shop.dies[0].name)
        self.figure = LiveFigure(strength_figure())
        s = self.state
        self.rise = NumberRow("Rise", s.rise_mm, 20.0, 180.0, 1.0)
        self.backsweep = NumberRow("Backsweep", s.backsweep_deg, 0.0, 30.0, 0.5, length=False)
        self.width = NumberRow("Width", s.width_mm, 350.0, 1000.0, 5.0)
        self.bend = NumberRow("Bends of", s.bend_deg, 10.0, 60.0, 0.5, length=False)
        self.outer_bend = OuterBend(s.outer_bend_deg, s.bend_deg)
        dies = [die.name for die in shop.dies]
        self.die, die_row = choice_row("Die", dies, s.die or dies[0])
        self.diameter = NumberRow("Tube diameter", s.tube_diameter_mm, 15.0, 36.0, 0.1)
        self.wall = NumberRow("Tube wall", s.wall_mm, 0.5, 4.0, 0.05)
        self.stem = NumberRow("Stem's width", s.stem_width_mm, 20.0, 60.0, 1.0)
        self.tilt = NumberRow("Load tilted", s.tilt_deg, -90.0, 90.0, 5.0, length=False)
        self.case, case_row = choice_row("Load", [case.name for case in LOAD_CASES], s.case)
        self.crossbar, crossbar_row = choice_row("Crossbar", [WITHOUT, WITH], s.crossbar)
        self.round, round_row = choice_row("Bends are", list(ROUND), s.out_of_round)
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], s.unit)
        self.rows = (self.rise, self.backsweep, self.width, self.bend, self.diameter, self.wall, self.stem, self.tilt)
        self.bind(
            rise_mm=self.rise, backsweep_deg=self.backsweep, width_mm=self.width, bend_deg=self.bend, die=self.die,
            outer_bend_deg=self.outer_bend,
            tube_diameter_mm=self.diameter, wall_mm=self.wall, stem_width_mm=self.stem, tilt_deg=self.tilt,
            out_of_round=self.round, case=self.case, crossbar=self.crossbar, unit=self.unit,
        )  # fmt: skip
        self.said = widgets.HTML()
        controls = column(
            "The bar", *(row.widget for row in self.rows[:4]), *self.outer_bend.widgets,
            *(row.widget for row in self.rows[4:6]), die_row, crossbar_row, round_row, "The test", case_row,
            self.stem.widget, self.tilt.widget, unit_row,
        )  # fmt: skip
        shown = responsive(self.figure)
        shown.children = (self.message, *shown.children)
        self.fill(
            widgets.HTML(f'<div class="barmath-message barmath-warn"><b>{SCREENED_ONLY}</b> {MOUNTAIN_ONLY}</div>'),
            beside(controls, shown, self.said),
        )  # fmt: skip
        self.refresh()

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = strength_readout(self.shop, self.state)
        good, watch, valid, judged = "", "", "", True
        self.said.value = ""
        if readout.bar is not None:
            with self.figure.batch_update():
                update_strength(self.figure, readout.bar)
            axes_in(self.figure, self.state.unit)
            self.said.value = strength_html(readout.bar, self.state.unit)
            valid = readout.bar.words()[2]
            judged = readout.bar.case.cycles <= 1.0
            good, watch = (valid, "") if readout.bar.elastic_holds else ("", valid)
        if not judged:
            good, watch = "", ""
        self.say(good, [watch] if watch else [], readout.refusal)
        if not judged:
            self.message.value += f'<div role="status">{message_html(valid, "unjudged", "Not judged")}</div>'


def strength_panel(shop_file: str | Path) -> widgets.VBox:
    """The panel of the screen for a notebook; running its cell again shows the same one."""
    return kept(StrengthPanel, real_path(shop_file), lambda: StrengthPanel(shop_from_file(shop_file)))
