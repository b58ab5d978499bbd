"""From what is set in the panel of the crossbar to what it shows: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import dataclass

from barmath.closed_forms.records import Recipe
from barmath.crossbars.crossbar import Crossbar, crossbar, level_and_square
from barmath.lengths import in_unit, length_text
from barmath.panels.markup import bullets, heading, table
from barmath.panels.ordered_bar_state import OrderedBar
from barmath.refusal import BendError
from barmath.shop.order_seven import CROSSBAR
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube

AT_MARKS, AT_HEIGHT = "at the outer marks", "at a height"


@dataclass(frozen=True)
class CrossbarState:
    """Everything that can be set in the panel. Lengths in mm, angles in degrees."""

    bar: OrderedBar = OrderedBar()
    place: str = AT_MARKS
    height_mm: float = 50.0
    branch_diameter_mm: float = float(CROSSBAR.outside_diameter_mm)
    branch_wall_mm: float = float(CROSSBAR.wall_mm)
    allowance_mm: float = 1.0
    unit: str = "mm"


@dataclass(frozen=True)
class CrossbarReadout:
    """The bar and its crossbar, or why there is none."""

    recipe: Recipe | None
    bar: Crossbar | None
    refusal: str


def crossbar_readout(shop: Shop, state: CrossbarState) -> CrossbarReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    recipe = None
    try:
        recipe = state.bar.recipe(shop)
        height = None if state.place == AT_MARKS else state.height_mm
        branch = Tube(state.branch_diameter_mm, state.branch_wall_mm)
        bar = crossbar(recipe, state.bar.diameter_mm(shop), branch, height, state.allowance_mm)
    except BendError as refusal:
        return CrossbarReadout(recipe, None, str(refusal))
    return CrossbarReadout(recipe, bar, "")


def crossbar_html(readout: CrossbarReadout, state: CrossbarState) -> str:
    """The crossbar's numbers, and how to check it."""
    bar = readout.bar
    if bar is None:
        return ""

    def mm(length: float) -> str:
        return length_text(float(length), state.unit)

    rows = [
        ("Cut length, tip to tip", mm(bar.cut_length_mm)),
        ("of which to file, each end", mm(bar.allowance_mm)),
        ("Between the tubes, along its axis", mm(bar.between_mm)),
        ("From riser axis to riser axis", mm(bar.axis_length_mm)),
        ("Height of its axis over the clamp axis", mm(bar.height_mm)),
        ("Angle at the joint", f"{bar.angle_deg:.1f} deg, {'on a bend' if bar.on_bend else 'on the straight'}"),
        ("Pencil line, with the risers upright", bar.pencil_line()),
        *((f"Saw cut {number}", f"{abs(cut.angle_deg):.0f} deg off square, {bar.longer_side(cut)}")
          for number, cut in enumerate(bar.saw_cuts, 1)),
        ("Inner edge filed back by up to", mm(bar.file_back_mm)),
        ("Adds", f"{bar.mass_g:.0f} g"),
    ]  # fmt: skip
    return "".join(
        (
            heading("The crossbar"), table(rows, caption="The crossbar"),
            heading("Level and square"), bullets(in_unit(words, state.unit) for words in level_and_square(bar)),
        )
    )  # fmt: skip
