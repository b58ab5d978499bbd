"""The panel of the error budget: what each tool may be off before the two sides of a bar come out apart."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets

from barmath.panels.budget_state import BudgetState, budget_html, budget_readout, sensitivities_html
from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.live import LiveFigure
from barmath.panels.ordered_bar import OuterBend
from barmath.panels.shell import beside, column, kept, responsive
from barmath.pictures.budget import budget_figure, update_budget_figure
from barmath.saving import real_path
from barmath.shop.shop_file import Shop, shop_from_file


class BudgetPanel(FormPanel):
    """What stop, angle finder and marks set the two sides apart.

    Attributes
    ----------
    state : BudgetState
    readout : BudgetReadout
        What is shown now.
    """

    state: BudgetState

    def __init__(self, shop: Shop, state: BudgetState | None = None) -> None:
        super().__init__()
        self.shop, self.state = shop, state or BudgetState(die=shop.dies[0].name)
        self.figure = LiveFigure(budget_figure())
        s = self.state
        self.stop = NumberRow("Stop off by", s.stop_deg, 0.0, 2.0, 0.1, length=False)
        self.finder = NumberRow("Angle finder", s.finder_deg, 0.0, 2.0, 0.1, length=False)
        self.mark = NumberRow("Marks", s.mark_mm, 0.0, 5.0, 0.1)
        self.die, die_row = choice_row("Die", [(die.name, die.name) for die in shop.dies], s.die)
        self.bend = NumberRow("Inner bends", s.bend_deg, 10.0, 50.0, 0.5, length=False)
        self.outer_bend = OuterBend(s.outer_bend_deg, s.bend_deg)
        self.rise = NumberRow("Rise", s.rise_mm, 20.0, 160.0, 1.0)
        self.backsweep = NumberRow("Backsweep", s.backsweep_deg, 0.0, 30.0, 0.5, length=False)
        self.bind(
            die=self.die, bend_deg=self.bend, outer_bend_deg=self.outer_bend, rise_mm=self.rise,
            backsweep_deg=self.backsweep, stop_deg=self.stop, finder_deg=self.finder, mark_mm=self.mark,
        )  # fmt: skip
        self.slopes = widgets.HTML()
        self.most = widgets.HTML(layout=widgets.Layout(min_height="154px"))  # empty too: what is below does not move
        controls = column(
            "Off from bend to bend (standard deviation)", self.stop.widget, self.finder.widget, self.mark.widget,
            self.most, "The bar", die_row, self.bend.widget, *self.outer_bend.widgets, self.rise.widget,
            self.backsweep.widget,
        )  # fmt: skip
        pictures = responsive(self.figure)
        pictures.children = (self.message, *pictures.children, self.slopes)
        self.fill(beside(controls, pictures))
        self.refresh()

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = budget_readout(self.shop, self.state)
        within = self.shop.accepted.apart
        with self.figure.batch_update():
            update_budget_figure(self.figure, readout.budget, within)
        self.most.value, self.slopes.value = budget_html(readout.budget, within), sensitivities_html(readout.recipe)
        self.say(readout.good, readout.warnings, readout.refusal)


def budget_panel(shop_file: str | Path) -> widgets.VBox:
    """The panel of the error budget for a notebook; running its cell again shows the same one."""
    return kept(BudgetPanel, real_path(shop_file), lambda: BudgetPanel(shop_from_file(shop_file)))
