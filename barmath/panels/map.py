"""The map panel: what a die of this shop can make, and the bar at the point that is clicked or set."""

from __future__ import annotations

from pathlib import Path

import ipywidgets as widgets
from plotly.callbacks import InputDeviceState, Points

from barmath.panels.bar_view import IN_COLOURS, BarView
from barmath.panels.entry import NumberRow, choice_row
from barmath.panels.form import FormPanel
from barmath.panels.live import LiveFigure
from barmath.panels.map_axes import AXES, QUANTITIES
from barmath.panels.map_bar import dimensions, recipe_html
from barmath.panels.map_state import (
    BEST_PAIR,
    CHOSEN_BENDS,
    NO_LINES,
    OWN_DIE,
    MapState,
    map_readout,
)
from barmath.panels.markup import paragraph
from barmath.panels.shell import column, guarded, in_a_row, kept, responsive, wide
from barmath.pictures.design_map import BARS, map_figure, update_map, update_point
from barmath.pictures.pair_map import pair_map_figure, update_pair_map, update_point_of_pairs
from barmath.pictures.views import update_views, views_figure
from barmath.planning.map_picture import LINES
from barmath.planning.ways import LEVEL, UPRIGHT
from barmath.saving import real_path
from barmath.shop.shop_file import Shop, shop_from_file


class MapPanel(FormPanel):
    """The design space of a die as a map, and one bar of it.

    Attributes
    ----------
    state : MapState
    readout : MapReadout
        What is shown now.
    """

    state: MapState

    def __init__(self, shop: Shop, state: MapState | None = None) -> None:
        super().__init__()
        self.shop, self.state = shop, state or MapState(die=shop.dies[0].name)
        self.figure, self.pairs = LiveFigure(map_figure()), LiveFigure(pair_map_figure())
        self.view, self.flat = BarView(title=f"The bar at the point: {IN_COLOURS}"), LiveFigure(views_figure())
        self._drawn: object = None
        self._drawn_pairs: object = None
        self._build()
        for trace in self.figure.select_traces(lambda trace: trace.name in BARS):
            trace.on_click(self._clicked)
        self.pairs.data[0].on_click(self._clicked)
        self.refresh()

    def _build(self) -> None:
        s, shop = self.state, self.shop
        dies = [(name, name) for name in (*(die.name for die in shop.dies), OWN_DIE)]
        stops = [(words, key) for key, words in CHOSEN_BENDS.items()]
        stops += [(f"{bend:g} deg", bend) for bend in shop.stop_bends_deg]
        self.die, die_row = choice_row("Die", dies, s.die)
        self.radius = NumberRow("Die radius", s.radius_mm, 8.0, 250.0, 1.0)
        self.bend, bend_row = choice_row("Bend", stops, s.bend_deg)
        self.axes, axes_row = choice_row("Map of", [(name, name) for name in AXES], s.axes)
        self.clamped, clamped_row = choice_row(
            "Clamped with", [(name, name) for name in (UPRIGHT, LEVEL)], s.clamped, self._changed
        )
        self.lines, lines_row = choice_row(
            "Lines of equal", [(name, name) for name in (*LINES, NO_LINES)], s.lines, self._changed
        )
        self.quantities = {
            quantity.name: NumberRow(
                quantity.name.capitalize(), getattr(s, quantity.field), quantity.row_low, quantity.row_high,
                quantity.row_step, length=quantity.unit == "mm",
            )
            for quantity in QUANTITIES.values()
        }  # fmt: skip
        self.controls = NumberRow("Room for controls", s.controls_mm, 0.0, 300.0, 5.0)
        self.bind(
            die=self.die, radius_mm=self.radius, bend_deg=self.bend, axes=self.axes, clamped=self.clamped,
            lines=self.lines, controls_mm=self.controls,
            **{quantity.field: self.quantities[name] for name, quantity in QUANTITIES.items()},
        )  # fmt: skip
        self.about, self.recipe = widgets.HTML(), widgets.HTML()
        self.second = responsive(self.pairs)
        maps = in_a_row(responsive(self.figure), self.second, wide(self.view.box, self.flat), least_px=480)
        maps.children[-1].layout.flex = "3 1 530px"
        above = in_a_row(
            column("The map", die_row, self.radius.widget, bend_row, axes_row, clamped_row, lines_row, self.about),
            column(
                "The point: click the map, or set it here", *(row.widget for row in self.quantities.values()),
                self.controls.widget,
            ),
            column(self.message, self.recipe),
        )  # fmt: skip
        above.children[-1].add_class("barmath-answer")
        self.fill(above, maps)

    def refresh(self) -> None:
        """Work everything out again from `state` and show it."""
        self.readout = readout = map_readout(self.shop, self.state)
        bar, words = readout.bar, dimensions(readout.bar)
        drawing = bar.drawing if bar else None
        self.view.show(drawing, words)
        with self.figure.batch_update():
            if self._drawn is not readout.picture or readout.picture is None:
                update_map(self.figure, readout.picture, readout.refusal)
                self._drawn = readout.picture
            update_point(self.figure, readout.point)
        with self.flat.batch_update():
            update_views(self.flat, drawing, words)
        self._show_pairs()
        for name, row in self.quantities.items():
            row.set_enabled(self.state.uses(name))
        self.radius.set_enabled(self.state.die == OWN_DIE)
        self.clamped.disabled = self.state.how_clamped != self.state.clamped
        self.recipe.value = recipe_html(bar)
        self.about.value = paragraph(f"Of this map: {'; '.join(readout.sentences)}.") if readout.sentences else ""
        self.say(readout.good, readout.warnings, readout.refusal)

    def _show_pairs(self) -> None:
        # how far inner and outer bends differ, where they may
        picture = self.readout.picture if self.state.bend_deg == BEST_PAIR else None
        self.second.layout.display = "none" if picture is None else ""
        if picture is None:
            return
        with self.pairs.batch_update():
            if self._drawn_pairs is not picture:
                update_pair_map(self.pairs, picture)
                self._drawn_pairs = picture
            update_point_of_pairs(self.pairs, self.readout.point)

    @guarded
    def _clicked(self, _: object, points: Points, __: InputDeviceState) -> None:
        if not points.xs:
            return
        with self.writing():
            for quantity, value in ((self.state.across, points.xs[0]), (self.state.up, points.ys[0])):
                self.quantities[quantity.name].value = round(float(value), 3)
        self.become(self.read())


def map_panel(shop_file: str | Path) -> widgets.VBox:
    """The map panel for a notebook; running its cell again shows the same one."""
    return kept(MapPanel, real_path(shop_file), lambda: MapPanel(shop_from_file(shop_file)))
