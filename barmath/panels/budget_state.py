"""From what is set in the panel of the error budget to what it shows: pure functions, no widgets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from barmath.bending.error_budget import KEPT_SHARE, ErrorBudget, error_budget
from barmath.checking.bench_errors import FINDER, MARK, STOP, TOOLS, BenchErrors
from barmath.closed_forms.inverse import recipe_from_order
from barmath.closed_forms.records import Order, Recipe
from barmath.closed_forms.sensitivity import ANGLE_SLIPS, LENGTH_SLIPS, sensitivities_from_recipe
from barmath.panels.markup import paragraph, table
from barmath.planning.recipe_limits import limits_from_recipe, refuse_unmakeable
from barmath.refusal import BendError
from barmath.shop.order_seven import BEND_DEG, ORDER
from barmath.shop.shop_file import Shop
from barmath.shop.tooling import springback_from_tube

UNITS = {STOP: "deg", FINDER: "deg", MARK: "mm"}


@dataclass(frozen=True)
class BudgetState:
    """The bar, risers upright, and what each tool may be off; lengths in mm, angles in degrees.

    `bend_deg` is that of the inner bends, and of the outer ones where `outer_bend_deg` is None.
    """

    die: str = ""
    bend_deg: float = BEND_DEG
    outer_bend_deg: float | None = None
    rise_mm: float = float(ORDER.rise_mm)
    backsweep_deg: float = float(ORDER.backsweep_deg)
    width_mm: float = float(ORDER.width_mm)
    controls_mm: float = float(ORDER.controls_mm)
    clamp_flat_mm: float = float(ORDER.clamp_flat_mm)
    stop_deg: float = 0.3
    finder_deg: float = 0.2
    mark_mm: float = 0.5


@dataclass(frozen=True)
class BudgetReadout:
    """The bar and its budget, or why there is none."""

    recipe: Recipe | None
    budget: ErrorBudget | None
    good: str
    warnings: tuple[str, ...]
    refusal: str


def budget_readout(shop: Shop, state: BudgetState) -> BudgetReadout:
    """Work out the panel; a refusal is part of the readout, never raised."""
    tube = shop.tubes[0]
    try:
        die = shop.die_for(shop.tubes[0], state.die or shop.dies[0].name)
        order = Order(
            state.rise_mm, state.backsweep_deg, state.width_mm, None, state.clamp_flat_mm, state.controls_mm
        )  # fmt: skip
        recipe = recipe_from_order(order, springback_from_tube(tube, die).finished_radius_mm, *_bends_deg(state))
        refuse_unmakeable(limits_from_recipe(recipe, order, tube, die, shop.stock_length_mm))
        budget = error_budget(recipe, BenchErrors(state.stop_deg, state.finder_deg, state.mark_mm))
    except BendError as refusal:
        return BudgetReadout(None, None, "", (), str(refusal))
    within = shop.accepted.apart
    words = _words(budget, within)
    good, warnings = (words, ()) if budget.keeps(within) else ("", (words,))
    return BudgetReadout(recipe, budget, good, warnings, "")


def _bends_deg(state: BudgetState) -> tuple[float, float | None]:
    return state.bend_deg, None if state.outer_bend_deg == state.bend_deg else state.outer_bend_deg


def budget_html(budget: ErrorBudget | None, within: Mapping[str, float]) -> str:
    """What each tool may be at most so that the sides stay `within`, as a table."""
    if budget is None:
        return paragraph("No bar, no budget: see the message.")
    rows = []
    for tool in TOOLS:
        most = budget.most(tool, within)
        words = "any" if np.isinf(most) else "not enough" if most == 0.0 else f"{most:.2f} {UNITS[tool]}"
        rows.append((tool, f"{budget.errors.of(tool):.2f} {UNITS[tool]}", words))
    head = ("Off by", "now", "at most, if the others do not change")
    return table(rows, head, caption="What each tool may be off by") + paragraph(
        f"Each number is one standard deviation: two bends in three are off by less. At most means that "
        f"{100 * KEPT_SHARE:.0f} of 100 bars keep the goal. “Not enough” means that the other tools alone are "
        "too coarse."
    )


def sensitivities_html(recipe: Recipe | None) -> str:
    """What a degree or a mm of each slip does to the side that slips, as a table."""
    if recipe is None:
        return ""
    slopes = sensitivities_from_recipe(recipe)
    rows = []
    for slip in (*ANGLE_SLIPS, *LENGTH_SLIPS):
        unit, slope = "deg" if slip in ANGLE_SLIPS else "mm", slopes[slip]
        numbers = (slope.rise_mm, slope.setback_mm, slope.half_width_mm, slope.backsweep_deg, slope.upsweep_deg)
        rows.append((f"{slip}, per {unit}", *(f"{number:+z.2f}" if number else "0" for number in numbers)))
    head = ("The side that slips", "rise, mm", "setback, mm", "half width, mm", "backsweep, deg", "upsweep, deg")
    return table(rows, head, caption="What each slip does to the side that slips")


def _words(budget: ErrorBudget, within: Mapping[str, float]) -> str:
    total = budget.total
    worst = max(within, key=lambda measure: getattr(total, measure) / within[measure])
    greatest = budget.greatest(worst)
    measure = worst.rsplit("_", 1)[0]
    goal = f"at most {within['backsweep_deg']:g} deg of sweep and {within['rise_mm']:g} mm of rise"
    return (
        f"{int(100 * budget.share(within))} of 100 bars have sides that differ by {goal}. One standard "
        f"deviation of the difference is {total.backsweep_deg:.2f} deg of backsweep, {total.upsweep_deg:.2f} deg of "
        f"upsweep and {total.rise_mm:.1f} mm of rise. "
        f"The {measure} is nearest its bound; most of that comes from {greatest.name} ({greatest.tool})"
    )
