"""The panel of two bars compared, each in its own stem, and of another bar for the same hands."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from barmath.closed_forms.records import Recipe
from barmath.panels.bar_view import StageView
from barmath.panels.entry import NumberRow, button, choice_row
from barmath.panels.form import Form, FormPanel, chosen
from barmath.panels.live import LiveFigure
from barmath.panels.markup import heading
from barmath.panels.ordered_bar import OuterBend
from barmath.panels.shell import beside, column, kept, responsive, settled
from barmath.panels.two_bars_state import (
    FALLS_OUT,
    FIGURES,
    GIVEN,
    RECIPE,
    RECORD,
    BarChoice,
    TwoBarsState,
    bars_readout,
    chosen_recipe,
    hands_html,
    keeping_html,
    moved_words,
    with_same_hands,
)
from barmath.pictures.two_bars import NAMES, two_bars_figure, update_two_bars
from barmath.pictures.two_bars_in_space import TwoBarsPicture
from barmath.records.record import Record
from barmath.records.record_entry import BAR
from barmath.rider.mounted import Mounted
from barmath.saving import real_path
from barmath.shop.cautions import RIDING
from barmath.shop.shop_file import Shop, shop_from_file

TITLE = "In space, as the rider sees it: the old bar blue, a collar in the middle of each hand"

MOST_OFFERED = 400
NO_ENTRY = 0
"""Means no bar of the record: a chooser shows nothing for None."""

RECIPE_ROWS = (
    ("clamp_flat_mm", "Clamp flat", 20.0, 120.0, 1.0, True),
    ("inner_bend_deg", "Inner bends", 5.0, 80.0, 0.5, False),
    ("straight_mm", "Riser straight", 0.0, 300.0, 1.0, True),
    ("roll_deg", "Roll of the tube", -90.0, 90.0, 0.5, False),
    ("outer_bend_deg", "Outer bends", 5.0, 80.0, 0.5, False),
    ("grip_mm", "Grip", 70.0, 400.0, 1.0, True),
    ("radius_mm", "Radius", 40.0, 250.0, 1.0, True),
)


class RecipeRows(Form):
    """A recipe by its bends and straights, without any stem roll."""

    state = Recipe

    def __init__(self, recipe: Recipe) -> None:
        self.rows = {
            name: NumberRow(words, _within(recipe, name, low, high), low, high, step, length=length)
            for name, words, low, high, step, length in RECIPE_ROWS
        }
        super().__init__(**self.rows)

    def show(self, recipe: Recipe | None) -> None:
        """Put a recipe into the rows, each number drawn into the range of its row; a bar without one leaves them."""
        if recipe is None:
            return
        for name, row in self.rows.items():
            row.value = _within(recipe, name, row.low, row.high)


class BarRows(Form):
    """The controls of one bar and its stem: the form of a `BarChoice`."""

    state = BarChoice

    def __init__(self, title: str, choice: BarChoice, recipe: Recipe) -> None:
        self.source, source_row = choice_row("Known from", [FIGURES, RECIPE, RECORD], choice.source)
        self.figures = {
            "rise_mm": NumberRow("Rise", choice.rise_mm, 5.0, 200.0, 1.0),
            "backsweep_deg": NumberRow("Backsweep", choice.backsweep_deg, 0.0, 40.0, 0.5, length=False),
            "width_mm": NumberRow("Width", choice.width_mm, 350.0, 1000.0, 5.0),
            "bend_deg": NumberRow("Inner bends", choice.bend_deg, 10.0, 60.0, 0.5, length=False),
            "upsweep_deg": NumberRow("Upsweep given", choice.upsweep_deg, -10.0, 15.0, 0.5, length=False),
        }
        self.outer_bend = OuterBend(choice.outer_bend_deg, choice.bend_deg)
        self.upsweep, self.upsweep_row = choice_row("Upsweep", [FALLS_OUT, GIVEN], choice.upsweep)
        self.recipe = RecipeRows(recipe)
        self.entry, self.entry_row = choice_row("Bar", [("none kept yet", NO_ENTRY)], NO_ENTRY)
        self.mounting = {
            "rolled_deg": NumberRow("Stem roll", choice.rolled_deg, -30.0, 30.0, 0.5, length=False),
            "stem_length_mm": NumberRow("Length", choice.stem_length_mm, 0.0, 150.0, 1.0),
            "stem_angle_deg": NumberRow("Angle", choice.stem_angle_deg, -40.0, 40.0, 1.0, length=False),
        }
        super().__init__(
            source=self.source, upsweep=self.upsweep, recipe=self.recipe, entry=chosen(self.entry, None, NO_ENTRY),
            outer_bend_deg=self.outer_bend,
            **self.figures, **self.mounting,
        )  # fmt: skip
        figures = [row.widget for name, row in self.figures.items() if name != "upsweep_deg"]
        self.given = self.figures["upsweep_deg"].widget
        self.groups = {
            FIGURES: widgets.VBox([*figures, *self.outer_bend.widgets, self.upsweep_row, self.given]),
            RECIPE: widgets.VBox([row.widget for row in self.recipe.rows.values()]),
            RECORD: widgets.VBox([self.entry_row]),
        }
        self.box = widgets.VBox(
            [widgets.HTML(heading(title)), source_row, *self.groups.values(), self.mounting["rolled_deg"].widget]
        )
        self.stem = widgets.VBox([self.mounting[name].widget for name in ("stem_length_mm", "stem_angle_deg")])
        for chooser in (self.source, self.upsweep):  # the reader chooses, or the order book, or a draft
            chooser.observe(self.show_group, "value")
        self.show_group()

    @property
    def rows(self) -> tuple[NumberRow, ...]:
        """Every row that takes a number."""
        return (*self.figures.values(), self.outer_bend.number, *self.recipe.rows.values(), *self.mounting.values())

    def values(self) -> dict[str, Any]:
        """What is set; the bends and straights only if the bar is given by them, because they must make a bar."""
        read = {name: part for name, part in self.parts.items() if part is not self.recipe}
        recipe = self.recipe.value if self.source.value == RECIPE else None
        return {name: part.value for name, part in read.items()} | {"recipe": recipe}

    def show_group(self, _: dict | None = None) -> None:
        """Show only the controls of the source that is chosen."""
        for source, group in self.groups.items():
            group.layout.display = "" if source == self.source.value else "none"
        self.given.layout.display = "" if self.upsweep.value == GIVEN else "none"
        for rows, source in ((self.figures, FIGURES), (self.recipe.rows, RECIPE)):
            for row in rows.values() if source != self.source.value else ():
                row.forget()  # out of sight it does not count
        if self.source.value != FIGURES:
            self.outer_bend.number.forget()
        if self.upsweep.value != GIVEN:
            self.figures["upsweep_deg"].forget()

    def show_recipe(self, recipe: Recipe, rolled_deg: float) -> None:
        """Put a recipe into the rows, and choose it."""
        self.recipe.show(recipe)
        self.mounting["rolled_deg"].value = rolled_deg
        self.source.value = RECIPE

    def offer(self, bars: list[tuple[str, int]]) -> None:
        """Offer the bars of the record."""
        if tuple(self.entry.options) != tuple(bars):
            self.entry.options = bars


class TwoBarsPanel(FormPanel):
    """Two bars compared.

    Attributes
    ----------
    state : TwoBarsState
    readout : TwoBarsReadout
    """

    state: TwoBarsState

    cautions = RIDING

    fits, refused = "Compared", "Cannot be compared"

    record: Record | None

    def __init__(
        self,
        shop: Shop,
        record_file: str | Path | None = None,
        state: TwoBarsState | None = None,
    ) -> None:
        super().__init__()
        self.shop, self.state = shop, state or TwoBarsState()
        self.record_file, self.record = record_file, None
        self.picture, self.figure = TwoBarsPicture(), LiveFigure(two_bars_figure())
        self.view = StageView(self.picture, TITLE)
        s = self.state
        recipe = chosen_recipe(shop, self.record, replace(s.a, source=FIGURES, rolled_deg=0.0))
        self.bars = BarRows("Old bar", s.a, recipe), BarRows("New bar", s.b, recipe)
        self.head = NumberRow("Head angle", s.head_angle_deg, 60.0, 75.0, 0.5, length=False)
        self.from_end = NumberRow("Hand from end", s.from_end_mm, 0.0, 150.0, 1.0)
        self.more = NumberRow("More sweep", s.more_sweep_deg, -15.0, 15.0, 0.5, length=False)
        self.unit, unit_row = choice_row("Shown in", [("mm", "mm"), ("inches", "in")], s.unit)
        self.bind(
            a=self.bars[0], b=self.bars[1], head_angle_deg=self.head, from_end_mm=self.from_end,
            more_sweep_deg=self.more, unit=self.unit,
        )  # fmt: skip
        self.take = button("Make the new bar the first of these", self._take)
        self.hands, self.keeping = widgets.HTML(), widgets.HTML()
        controls = column(
            *(bar.box for bar in self.bars), "Same hands, other sweep", self.more.widget,
            "The rider's hand", self.from_end.widget, unit_row,
            "Stem of the old bar", self.bars[0].stem, "Stem of the new bar", self.bars[1].stem,
            "The bicycle", self.head.widget,
        )  # fmt: skip
        shown = responsive(self.figure)
        self.hands.add_class("barmath-hands")
        # what gets longer or shorter is below the charts, which keep their place
        shown.children = (self.view.box, self.message, self.hands, *shown.children, self.keeping, self.take)
        self.fill(beside(controls, shown))
        self.refresh()

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        if RECORD in (self.state.a.source, self.state.b.source):
            self._offer_bars()
        readout = bars_readout(self.shop, self.record, self.state)
        bars, moved = (readout.a.mounted, readout.b.mounted), moved_words(readout, self.state)
        with self.view.together.one_message():
            points = self.picture.show(bars)
            self.view.tell(f"Both bars in space: {moved}" if moved else _shown_words(bars), points)
        with self.figure.batch_update():
            update_two_bars(self.figure, bars)
        self.figure.lengths_in(self.state.unit)
        self.readout = readout = with_same_hands(self.shop, self.state, readout)
        self.hands.value = hands_html(readout, self.state)
        self.keeping.value = keeping_html(readout, self.state)
        self.take.disabled = not readout.keeping
        rows = (*self.bars[0].rows, *self.bars[1].rows, self.head, self.from_end, self.more)
        refusal = " ".join(
            f"{name} bar: {one.refusal}." for name, one in (("Old", readout.a), ("New", readout.b)) if one.refusal
        )
        self.say("" if refusal else moved, [row.refused for row in rows if row.refused], refusal)

    def _offer_bars(self) -> None:
        # the record may have been begun, or written to, since the panel was opened
        if self.record_file is None or not Path(self.record_file).exists():
            return
        self.record = self.record or Record(self.record_file)
        kept = self.record.listed(BAR, MOST_OFFERED)
        named = [(f"{one.number}: {one.name}, {one.date}", one.number) for one in kept]
        for bar in self.bars:
            bar.offer(named or [("none kept yet", NO_ENTRY)])

    @settled
    def _take(self, _: object) -> None:
        first = self.readout.keeping[0].bar
        with self.writing():
            self.bars[1].show_recipe(first.recipe, first.stem_roll_deg)
        self.become(self.read())


def _shown_words(bars: tuple[Mounted | None, Mounted | None]) -> str:
    shown = [name for name, bar in zip(NAMES, bars, strict=True) if bar is not None]
    return f"The {shown[0]} in space" if shown else "No bar: neither can be made"


def _within(recipe: Recipe, name: str, low: float, high: float) -> float:
    return min(max(float(getattr(recipe, name)), low), high)


def two_bars_panel(shop_file: str | Path, record_file: str | Path | None = None) -> widgets.VBox:
    """The panel of two bars for a notebook; running its cell again shows the same one."""
    record = None if record_file is None else real_path(record_file)
    return kept(
        TwoBarsPanel, (real_path(shop_file), record), lambda: TwoBarsPanel(shop_from_file(shop_file), record_file)
    )
