"""The panel of mistakes: choose one and the bend it is made at, and see the bar that comes of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import ipywidgets as widgets

from barmath.bending.holds import USUAL_HOLDS, bend_name
from barmath.bending.mistakes import MISTAKES, Outcome, outcome_of_mistake
from barmath.closed_forms.records import Recipe
from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.live import LiveFigure
from barmath.panels.markup import bullets, paragraph, table
from barmath.panels.shell import beside, column, kept, responsive
from barmath.pictures.mistakes import mistake_figure, update_mistake
from barmath.refusal import BendError
from barmath.saving import real_path
from barmath.shop.cautions import CHECKING
from barmath.shop.order_seven import BEND_DEG, order_seven_recipe
from barmath.shop.setup import setup_from_tube
from barmath.shop.shop_file import Shop, shop_from_file
from barmath.space.centerline import bends_from_recipe
from barmath.space.drawing import drawing_from_bends, drawing_from_recipe

_SEVEN = order_seven_recipe()
TITLES = {mistake.title: mistake for mistake in MISTAKES}


@dataclass(frozen=True)
class MistakeState:
    """Which mistake, at which bend of the usual sequence (from 0), of which bar. mm and degrees."""

    title: str = MISTAKES[0].title
    step: int = 1
    inner_bend_deg: float = BEND_DEG
    outer_bend_deg: float = BEND_DEG
    roll_deg: float = round(float(_SEVEN.roll_deg), 1)
    straight_mm: float = round(float(_SEVEN.straight_mm), 1)
    slack_deg: float = 3.0


@dataclass(frozen=True)
class MistakeReadout:
    """The outcome, or why there is none."""

    recipe: Recipe | None
    outcome: Outcome | None
    refusal: str


def mistake_readout(shop: Shop, state: MistakeState) -> MistakeReadout:
    """Work out what comes of the mistake. A refusal is part of the readout, never raised."""
    try:
        tube = shop.tubes[0]
        die = shop.dies_for(tube)[0]
        setup = setup_from_tube(tube, die, shop.bender)
        recipe = Recipe(
            _SEVEN.clamp_flat_mm, state.inner_bend_deg, state.straight_mm, state.roll_deg, state.outer_bend_deg,
            _SEVEN.grip_mm, setup.springback.finished_radius_mm,
        )  # fmt: skip
        outcome = outcome_of_mistake(
            TITLES[state.title], state.step, bends_from_recipe(recipe), USUAL_HOLDS, setup,
            slack_deg=state.slack_deg,
        )  # fmt: skip
    except BendError as refusal:
        return MistakeReadout(None, None, str(refusal))
    return MistakeReadout(recipe, outcome, "")


def mistake_html(readout: MistakeReadout, state: MistakeState) -> str:
    """What went wrong, how it shows and whether the bar can be saved."""
    if readout.outcome is None:
        return ""
    outcome, mistake = readout.outcome, TITLES[state.title]
    left, right = ([sides[side] for sides in _measures(outcome)] for side in (0, 1))
    names = ("Rise, mm", "Backsweep, deg", "Upsweep, deg", "Half width, mm")
    rows = [(name, f"{one:.1f}", f"{other:.1f}") for name, one, other in zip(names, left, right, strict=True)]
    return "".join(
        (
            paragraph(f"{mistake.what}.", "What was done:"),
            table(rows, ("The bar", "left", "right"), caption="The two sides of the bar"),
            paragraph("", "How it shows on the bench:"),
            bullets(outcome.shows or ("nothing that you can see",)),
            paragraph(f"{'Yes' if outcome.saved else 'No'}: {outcome.how}.", "Can it be saved?"),
        )
    )


def _measures(outcome: Outcome) -> tuple:
    sides = outcome.sides
    return sides.rise_mm, sides.backsweep_deg, sides.upsweep_deg, sides.half_width_mm


class MistakePanel(FormPanel):
    """One mistake at a time."""

    cautions = CHECKING

    refused = "Nothing to go wrong here"

    state: MistakeState

    def __init__(self, shop: Shop, state: MistakeState | None = None) -> None:
        super().__init__()
        self.shop, self.state = shop, state or MistakeState()
        self.figure = LiveFigure(mistake_figure())
        s = self.state
        self.title, title_row = choice_row("Mistake", list(TITLES), s.title)
        steps = [(f"{step + 1}. {bend_name(hold.number)}", step) for step, hold in enumerate(USUAL_HOLDS)]
        self.step, self.step_row = choice_row("Made at", steps, s.step)
        self.inner = NumberRow("Inner bends", s.inner_bend_deg, 10.0, 60.0, 0.5, length=False)
        self.outer = NumberRow("Outer bends", s.outer_bend_deg, 10.0, 60.0, 0.5, length=False)
        self.roll = NumberRow("Roll", s.roll_deg, -80.0, 80.0, 0.5, length=False)
        self.straight = NumberRow("Riser straight", s.straight_mm, 40.0, 200.0, 1.0)
        self.slack = NumberRow("Slack", s.slack_deg, 0.0, 15.0, 0.5, length=False)
        self.rows = (self.inner, self.outer, self.roll, self.straight, self.slack)
        self.bind(
            title=self.title, step=self.step, inner_bend_deg=self.inner, outer_bend_deg=self.outer,
            roll_deg=self.roll, straight_mm=self.straight, slack_deg=self.slack,
        )  # fmt: skip
        self.said = widgets.HTML()
        controls = column(title_row, self.step_row, *(row.widget for row in self.rows), self.message)
        self.fill(beside(controls, responsive(self.figure), self.said))
        self.refresh()

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = mistake_readout(self.shop, self.state)
        diameter = float(self.shop.tubes[0].outside_diameter_mm)
        meant = came_out = None
        if readout.outcome is not None and readout.recipe is not None:
            meant = drawing_from_recipe(readout.recipe, diameter)
            came_out = drawing_from_bends(readout.outcome.bends, diameter)
        with self.figure.batch_update():
            update_mistake(self.figure, meant, came_out)
        self.said.value = mistake_html(readout, self.state)
        self.step_row.layout.display = "none" if TITLES[self.state.title].whole else ""
        self.say(refusal=readout.refusal)


def mistake_panel(shop_file: str | Path) -> widgets.VBox:
    """The panel of mistakes for a notebook; running its cell again shows the same one."""
    return kept(MistakePanel, real_path(shop_file), lambda: MistakePanel(shop_from_file(shop_file)))
