"""From what is set in the panel of the strength check to the loaded bar: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import nan

from barmath.closed_forms.records import Recipe
from barmath.crossbars.crossbar import crossbar
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.refusal import BendError
from barmath.shop.order_seven import CROSSBAR, TUBE
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.strength.bent_section import bent_section
from barmath.strength.load_cases import LOAD_CASES
from barmath.strength.screen import STEM_WIDTH_MM, LoadedBar, loaded_bar

WITHOUT, WITH = "without one", f"{CROSSBAR.name} in, at the outer marks"


@dataclass(frozen=True)
class StrengthState:
    """Everything that can be set in the panel. Lengths in mm, angles in degrees.

    The bar is bent of its own tube; `tube_diameter_mm` and `wall_mm` are those that are loaded, so that another tube
    can be tried in the same shape.
    """

    bar: OrderedBar = OrderedBar()
    tube_diameter_mm: float = float(TUBE.outside_diameter_mm)
    wall_mm: float = float(TUBE.wall_mm)
    stem_width_mm: float = STEM_WIDTH_MM
    tilt_deg: float = 0.0
    out_of_round: float = 0.08
    case: str = LOAD_CASES[0].name
    crossbar: str = WITHOUT
    unit: str = "mm"


@dataclass(frozen=True)
class StrengthReadout:
    """The loaded bar with its recipe and the wall outside its bends, or why there is none."""

    bar: LoadedBar | None
    refusal: str
    recipe: Recipe | None = None
    least_wall_mm: float = nan


def with_tube(state: StrengthState, shop: Shop) -> StrengthState:
    """The state with the diameter and the wall of the bar's own tube; raises BendError if the shop lacks it."""
    tube = state.bar.tube_of(shop)
    return replace(state, tube_diameter_mm=float(tube.outside_diameter_mm), wall_mm=float(tube.wall_mm))


def strength_readout(shop: Shop, state: StrengthState) -> StrengthReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    try:
        tube = Tube(state.tube_diameter_mm, state.wall_mm, state.bar.tube_of(shop).material)
        recipe = state.bar.recipe(shop)
        fitted = crossbar(recipe, state.tube_diameter_mm, CROSSBAR) if state.crossbar == WITH else None
        case = next(case for case in LOAD_CASES if case.name == state.case)
        bar = loaded_bar(recipe, tube, case, fitted, state.stem_width_mm, state.tilt_deg, state.out_of_round)
    except BendError as refusal:
        return StrengthReadout(None, str(refusal))
    bend = bent_section(tube, float(recipe.radius_mm), state.out_of_round)
    return StrengthReadout(bar, "", recipe, bend.least_wall_mm)
