"""From what is set in the order panel to what it shows: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barmath.bending.plans import PLANS, USUAL
from barmath.bending.steps import HABITS, Step, bench_steps
from barmath.bending.unsure import Unsure, unsure, unsure_rows, unsure_words
from barmath.closed_forms.forward import grips_level, risers_upright, shape_from_recipe
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Order, Recipe, Shape
from barmath.lengths import in_unit, length_text
from barmath.panels.markup import bullets, heading, numbered, paragraph, table
from barmath.panels.ordered_bar_state import Ordered
from barmath.planning.rules import IN_SHORT
from barmath.planning.ways import ORDERED, UPRIGHT, Ways, every_way
from barmath.planning.window_lanes import WindowLanes
from barmath.refusal import BendError
from barmath.shop.clamping import clamping_warnings, stem_fits, stem_roll_way
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, Springback, springback_from_tube
from barmath.space.drawing import Drawing, drawing_from_recipe


@dataclass(frozen=True)
class OrderState(Ordered):
    """Everything that can be set in the panel. Lengths in mm, angles in degrees.

    `die` and `bend_deg` are None where the best is wanted. `plan` is one of `PLANS`: the order of the bends and what
    lies in the hook.
    """

    tube: str = ""
    die: str | None = None
    bend_deg: float | None = None
    unit: str = "mm"
    plan: str = USUAL

    def order(self) -> Order:
        """The order, without an upsweep where the stance settles it; raises BendError where a value is out of range."""
        order = super().order()
        return order if self.upsweep == ORDERED else replace(order, upsweep_deg=None)


@dataclass(frozen=True)
class Bar:
    """The bar that is shown: everything a sheet needs as well."""

    order: Order
    recipe: Recipe
    shape: Shape
    tube: Tube
    die: Die
    springback: Springback
    steps: tuple[Step, ...]
    stock_left_mm: float
    warnings: tuple[str, ...]
    unsure: Unsure

    def springback_words(self, unit: str) -> str:
        """Where the springback comes from, and how sure rise and backsweep are by it."""
        return unsure_words(self.unsure, unit)


@dataclass(frozen=True)
class OrderReadout:
    """What the panel shows: the table of ways, the picked one, its bar or why there is none."""

    ways: Ways | None
    row: int | None
    bar: Bar | None
    refusal: str
    good: str


def refused_readout(refusal: str) -> OrderReadout:
    """The readout where nothing can be shown, and why."""
    return OrderReadout(None, None, None, refusal, "")


def readout_from_state(shop: Shop, state: OrderState) -> OrderReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    try:
        ways = _ways(shop, state, state.plan)
    except BendError as refusal:
        return refused_readout(in_unit(str(refusal), state.unit))
    row = _picked_row(ways, state)
    if row is None:
        return OrderReadout(ways, None, None, "that die and stop are not in the shop's file: choose again", "")
    if not ways.feasible[row]:
        return OrderReadout(ways, row, None, in_unit(_why_not(shop, state, ways, row), state.unit), "")
    try:
        return _made_readout(shop, state, ways, row)
    except BendError as refusal:  # what only the steps meet, such as no flat for the angle finder
        return OrderReadout(ways, row, None, in_unit(str(refusal), state.unit), "")


def _made_readout(shop: Shop, state: OrderState, ways: Ways, row: int) -> OrderReadout:
    recipe, die = ways.recipe(row), shop.die_for(ways.tube, ways.die(row).name)
    springback = springback_from_tube(ways.tube, die)
    watch = (
        *ways.warnings(row),
        *clamping_warnings(ways.tube, state.clamp_flat_mm, shop.stem_width_mm),
    )
    warnings = tuple(in_unit(words, state.unit) for words in watch)
    bar = Bar(
        order=ways.order,
        recipe=recipe,
        shape=shape_from_recipe(recipe),
        tube=ways.tube,
        die=die,
        springback=springback,
        steps=bench_steps(recipe, springback, die, shop.bender, state.unit, PLANS[state.plan]),
        stock_left_mm=shop.stock_length_mm - shape_from_recipe(recipe).cut_length_mm,
        warnings=warnings,
        unsure=unsure(recipe, ways.tube, die, shop.calibration(ways.tube, die)),
    )
    good = (
        f"{die.name}, four bends of {recipe.inner_bend_deg:.1f} deg, {ways.stance[row]}: "
        f"{length_text(ways.straight_to_spare_mm[row], state.unit)} of straight and "
        f"{length_text(ways.grip_to_spare_mm[row], state.unit)} of grip to spare"
    )
    return OrderReadout(ways, row, bar, "", good)


def drawing_from_readout(readout: OrderReadout) -> Drawing | None:
    """The bar to draw, or None where there is none."""
    if readout.bar is None:
        return None
    return drawing_from_recipe(readout.bar.recipe, float(readout.bar.tube.outside_diameter_mm))


def dimensions_from_readout(readout: OrderReadout, unit: str) -> dict[str, str]:
    """Texts of the dimensions in the picture."""
    if readout.bar is None:
        return {}
    shape = readout.bar.shape
    return {
        "rise": f"rise {length_text(shape.rise_mm, unit)}",
        "width": f"width {length_text(shape.width_mm, unit)}",
        "upsweep": f"upsweep {shape.upsweep_deg:.1f} deg",
        "setback": f"setback {length_text(shape.setback_mm, unit)}",
        "backsweep": f"backsweep {shape.backsweep_deg:.1f} deg",
    }


def lanes_from_readout(readout: OrderReadout) -> WindowLanes | None:
    """Rise windows of every die and stop, with the picked one marked."""
    ways = readout.ways
    if ways is None:
        return None
    made = np.isfinite(ways.lowest_rise_mm)
    picked = None if readout.row is None or not made[readout.row] else int(made[: readout.row].sum())
    return WindowLanes(
        die_names=[die.name for die in ways.dies],
        die_index=ways.die_index[made],
        bend_deg=ways.bend_deg[made],
        lowest_mm=ways.lowest_rise_mm[made],
        highest_mm=ways.highest_rise_mm[made],
        picked=picked,
        ordered_mm=float(ways.order.rise_mm),
    )


WAYS_HEAD = "die         bend  fits  straight and grip to spare"


def way_labels(ways: Ways, unit: str) -> list[str]:
    """One line a way, in the columns of `WAYS_HEAD`; where a way does not fit, why not in a few words."""
    labels = []
    for row in range(len(ways)):
        start = f"{ways.die(row).name[:10]:<10} {ways.bend_deg[row]:>5.1f}  "
        labels.append(start + (_fits(ways, row, unit) if ways.feasible[row] else f"no    {_short_reason(ways, row)}"))
    return [label.replace(" ", "\u00a0") for label in labels]


def recipe_html(readout: OrderReadout, unit: str) -> str:
    """The recipe as a table."""
    bar = readout.bar
    if bar is None:
        return paragraph("No recipe: see the message above.")
    recipe, shape, marks = bar.recipe, bar.shape, marks_from_recipe(bar.recipe)
    inner, outer = (
        next(step.mark_mm for step in bar.steps if (step.side, step.bend) == ("right", bend))
        for bend in ("inner", "outer")
    )
    upright, level = shape_from_recipe(risers_upright(recipe)), shape_from_recipe(grips_level(recipe))

    def mm(length: object) -> str:
        return length_text(float(length), unit)  # type: ignore[arg-type]

    rows = [
        ("Cut length", mm(shape.cut_length_mm)),
        ("Inner marks, from the middle", mm(inner)),
        ("Outer marks, from the middle", mm(outer)),
        ("From the tube's ends", f"{mm(marks.end_mm - inner)} and {mm(marks.end_mm - outer)}"),
        ("Straight between the arcs", mm(recipe.straight_mm)),
        ("Grip straight", mm(recipe.grip_mm)),
        ("Stop, all four bends", f"{bar.steps[0].stop_deg:.1f} deg ({recipe.inner_bend_deg:.1f} stays)"),
        _finder_row(bar.steps),
        ("Die radius over tube diameter", f"{bar.die.centerline_radius_mm / bar.tube.outside_diameter_mm:.1f}"),
        ("Left of the longest stock", mm(bar.stock_left_mm)),
        ("Finished radius", mm(recipe.radius_mm)),
        ("Rise, as ordered", mm(shape.rise_mm)),
        ("Rise, risers upright", mm(upright.rise_mm)),
        ("Rise, grips level", mm(level.rise_mm)),
        ("Backsweep, upsweep", f"{shape.backsweep_deg:.1f} and {shape.upsweep_deg:.1f} deg"),
        ("Setback of the bar ends", mm(shape.setback_mm)),
        ("Roll in the stem", _roll_words(recipe)),
        ("Mass, bare", f"{bar.tube.mass_g(shape.cut_length_mm):.0f} g"),
    ]
    source = bar.unsure.source
    sure = unsure_rows(bar.unsure, unit)
    return "".join(
        (
            heading("Recipe"), table(rows, caption="Recipe"), paragraph(f"{source[:1].upper()}{source[1:]}."),
            table(sure, ("Standard error", "rise", "backsweep"), caption="How sure this bar is, cause by cause"),
            heading("In the stem"), bullets(in_unit(fit.sentence, unit) for fit in stem_fits(bar.tube)),
        )
    )  # fmt: skip


def _roll_words(recipe: Recipe) -> str:
    way = stem_roll_way(float(recipe.stem_roll_deg))
    return f"{abs(recipe.stem_roll_deg):.1f} deg, tops of the risers {way}" if way else "0.0 deg, risers upright"


def _finder_row(steps: tuple[Step, ...]) -> tuple[str, str]:
    outer = [step for step in steps if step.bend == "outer"]
    if all(step.read_on == "clamp flat" for step in outer):
        return "Clamp reading, outer bends", f"{abs(outer[0].reading_deg or 0.0):.1f} deg"
    readings = ("none" if step.reading_deg is None else f"{abs(step.reading_deg):.1f}" for step in steps)
    return "Angle finder, bend by bend", f"{', '.join(readings)} deg"


def steps_html(readout: OrderReadout) -> str:
    """The steps at the bench as lists."""
    if readout.bar is None:
        return ""
    parts = [heading("At the bench, in this order"), paragraph(" ".join(HABITS))]
    for step in readout.bar.steps:
        parts += [heading(step.title), numbered(step.do), paragraph(" ".join(step.check), "Before going on:")]
    return "".join(parts)


def _ways(shop: Shop, state: OrderState, plan: str) -> Ways:
    order = state.order()
    tube = shop.tube(state.tube) if state.tube else shop.tubes[0]
    bends = sorted({*shop.stop_bends_deg, *([state.bend_deg] if state.bend_deg is not None else [])})
    stances = (state.upsweep,) if state.upsweep != ORDERED else (UPRIGHT,)
    return every_way(
        order, tube, shop.dies_for(tube), bends_deg=bends, stances=stances, stock_length_mm=shop.stock_length_mm,
        bender=shop.bender, holds=PLANS[plan],
    )  # fmt: skip


def _picked_row(ways: Ways, state: OrderState) -> int | None:
    suits = np.ones(len(ways), bool)
    if state.die is not None:
        names = np.array([die.name for die in ways.dies])
        suits &= names[ways.die_index] == state.die
    if state.bend_deg is not None:
        suits &= np.abs(ways.bend_deg - state.bend_deg) < 1e-9
    rows = np.flatnonzero(suits)
    return int(rows[0]) if rows.size else None


def _why_not(shop: Shop, state: OrderState, ways: Ways, row: int) -> str:
    reason = f"{ways.die(row).name} at {ways.bend_deg[row]:.1f} deg: {ways.reason(row)}"
    if ways.feasible[0]:
        return f"{reason}. {ways.die(0).name} at {ways.bend_deg[0]:.1f} deg would do"
    for plan in PLANS:
        other = None if plan == state.plan else _ways(shop, state, plan)
        if other is not None and other.feasible[0]:
            return (
                f'{reason}. Choose the order of bends "{plan}": '
                f"{other.die(0).name} at {other.bend_deg[0]:.1f} deg makes this bar"
            )
    return f"none of this shop's dies and stops makes this order. The nearest is {reason}"


def _fits(ways: Ways, row: int, unit: str) -> str:
    watch = " watch" if ways.warned[row] else ""
    straight, grip = (length_text(x[row], unit) for x in (ways.straight_to_spare_mm, ways.grip_to_spare_mm))
    return f"yes   {straight:>9} {grip:>9}{watch}"


def _short_reason(ways: Ways, row: int) -> str:
    for limit in ways.limits:
        if limit.refuses and limit.broken[row]:
            return IN_SHORT[limit.key]
    if ways.bender_fails[row]:
        return "not in this order of bends"
    return "no such bar"
