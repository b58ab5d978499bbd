"""From what is set in the order panel to what it shows: pure functions, no widgets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from html import escape

import numpy as np

from barmath.bending.plans import PLANS, USUAL
from barmath.bending.recipe_text import line_of_bar
from barmath.bending.steps import HABITS, Step, bench_steps, marks_of_steps
from barmath.bending.unsure import Unsure, unsure, unsure_rows, unsure_words
from barmath.closed_forms.forward import grips_level, risers_upright, shape_from_recipe
from barmath.closed_forms.marks import marks_from_recipe
from barmath.closed_forms.records import Order, Recipe, Shape
from barmath.lengths import in_unit, length_text
from barmath.panels.chosen_way import none_makes, way_words, why_not
from barmath.panels.markup import bullets, heading, numbered, paragraph, table
from barmath.panels.ordered_bar_state import ONE_STOP, Ordered, OrderedBar
from barmath.panels.ways_list import bends_words, lanes_from_ways, listed_rows
from barmath.planning.rules import SAME_BEND_DEG
from barmath.planning.ways import ORDERED, UPRIGHT, Ways, every_way
from barmath.planning.window_lanes import WindowLanes
from barmath.refusal import BendError, remedy_first
from barmath.shop.clamping import clamping_warnings, stem_fits, stem_roll_way
from barmath.shop.shop_file import Shop
from barmath.shop.stock import Tube
from barmath.shop.tooling import Die, springback_from_tube
from barmath.space.drawing import Drawing, drawing_from_recipe

ONE_OR_TWO, ONE = "one or two", "one"
STOPS_WORDS = {ONE_OR_TWO: "one or two, as it suits the order", ONE: ONE_STOP}
"""How many stop settings a bar may need."""


@dataclass(frozen=True)
class OrderState(Ordered):
    """Everything that can be set in the panel. Lengths in mm, angles in degrees.

    `die`, `bend_deg` (of the inner bends) and `outer_bend_deg` are None where the best is wanted. `stops` is a key of
    `STOPS_WORDS`. `plan` is one of `PLANS`: the sequence of the bends and what is in the hook. `number` is that of the
    order in the book, 0 for a bar that is set by hand. `bent` is its bar once it is bent, which keeps its numbers.
    """

    tube: str = ""
    die: str | None = None
    bend_deg: float | None = None
    outer_bend_deg: float | None = None
    stops: str = ONE_OR_TWO
    unit: str = "mm"
    plan: str = USUAL
    number: int = 0
    bent: OrderedBar | None = None

    def with_bar(self, bar: OrderedBar) -> OrderState:
        """The state with that bar's order, tube, die and bends."""
        ordered = {part.name: getattr(bar, part.name) for part in fields(Ordered)}
        outer = bar.bend_deg if bar.outer_bend_deg is None else bar.outer_bend_deg
        return replace(self, **ordered, tube=bar.tube, die=bar.die, bend_deg=bar.bend_deg, outer_bend_deg=outer)

    def order(self) -> Order:
        """The order; how it is clamped may settle its upsweep. Raises BendError where a value is out of range."""
        order = super().order()
        return order if self.upsweep == ORDERED else replace(order, upsweep_deg=None)


def with_any_way(state: OrderState) -> OrderState:
    """The same order in the usual sequence, with its die and its bends left to the table of ways."""
    return replace(state, die=None, bend_deg=None, outer_bend_deg=None, plan=USUAL)


@dataclass(frozen=True)
class Bar:
    """The bar that is shown: everything a sheet needs as well."""

    order: Order
    recipe: Recipe
    shape: Shape
    tube: Tube
    die: Die
    steps: tuple[Step, ...]
    stock_left_mm: float
    warnings: tuple[str, ...]
    unsure: Unsure

    @property
    def watch(self) -> tuple[str, ...]:
        """What to watch: where the angle finder is not set to the backsweep, and the warnings."""
        return (*dict.fromkeys(step.habit for step in self.steps if step.habit), *self.warnings)

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


@dataclass(frozen=True)
class PickedWay:
    """The table of ways, the row that is picked, and its recipe; or why there is none."""

    ways: Ways | None = None
    row: int | None = None
    recipe: Recipe | None = None
    refusal: str = ""

    def drawing(self) -> Drawing | None:
        """The bar to draw, or None if there is none."""
        if self.ways is None or self.recipe is None:
            return None
        return drawing_from_recipe(self.recipe, float(self.ways.tube.outside_diameter_mm))

    def dimensions(self, unit: str) -> dict[str, str]:
        """Texts of the dimensions in the picture."""
        if self.recipe is None:
            return {}
        shape = shape_from_recipe(self.recipe)
        return {
            "rise": f"rise {length_text(shape.rise_mm, unit)}",
            "width": f"width {length_text(shape.width_mm, unit)}",
            "upsweep": f"upsweep {shape.upsweep_deg:.1f} deg",
            "setback": f"setback {length_text(shape.setback_mm, unit)}",
            "backsweep": f"backsweep {shape.backsweep_deg:.1f} deg",
        }


def way_from_state(shop: Shop, state: OrderState) -> PickedWay:
    """The way that is picked: all that a picture needs. A refusal is part of it, never raised."""
    try:
        ways = _ways(shop, state, state.plan)
    except BendError as refusal:
        return PickedWay(refusal=in_unit(str(refusal), state.unit))
    ways.can_be_made(listed_rows(ways, None))  # the bender is asked of all that is shown at once
    row = _picked_row(ways, state)
    if row is None:
        return PickedWay(ways, refusal="Choose again: that die and those stops are not in the shop's file")
    if not ways.can_be_made(row).item():
        return PickedWay(ways, row, refusal=in_unit(_why_not(shop, state, ways, row), state.unit))
    return PickedWay(ways, row, ways.recipe(row))


def readout_from_state(shop: Shop, state: OrderState) -> OrderReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    return readout_from_way(shop, state, way_from_state(shop, state))


def readout_from_way(shop: Shop, state: OrderState, picked: PickedWay) -> OrderReadout:
    """The same, from the way that is picked."""
    if picked.ways is None or picked.row is None or picked.recipe is None:
        return OrderReadout(picked.ways, picked.row, None, picked.refusal, "")
    try:
        return _made_readout(shop, state, picked.ways, picked.row, picked.recipe)
    except BendError as refusal:  # what only the steps meet, such as no flat for the angle finder
        return OrderReadout(picked.ways, picked.row, None, in_unit(str(refusal), state.unit), "")


def _made_readout(shop: Shop, state: OrderState, ways: Ways, row: int, recipe: Recipe) -> OrderReadout:
    die = next(die for die in _dies(shop, state, ways.tube) if die.name == ways.die(row).name)
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
        steps=bench_steps(recipe, springback, die, shop.bender, state.unit, PLANS[state.plan]),
        stock_left_mm=shop.stock_length_mm - shape_from_recipe(recipe).cut_length_mm,
        warnings=warnings,
        unsure=unsure(recipe, ways.tube, die, shop.calibration(ways.tube, die)),
    )
    good = (
        f"{die.name}, {bends_words(ways, row)}, {ways.clamped[row]}: "
        f"straight {length_text(ways.straight_left_mm[row], state.unit)} and "
        f"grip {length_text(ways.grip_left_mm[row], state.unit)} longer than needed"
    )
    return OrderReadout(ways, row, bar, "", good)


def lanes_from_readout(readout: OrderReadout) -> WindowLanes | None:
    """Rise windows of every die, with the picked one marked."""
    return None if readout.ways is None else lanes_from_ways(readout.ways, readout.row)


def recipe_html(readout: OrderReadout, unit: str, number: int = 0) -> str:
    """The recipe as a table, and as the line that can be typed back in; `number` is that of its order."""
    bar = readout.bar
    if bar is None:
        return paragraph("No recipe: see the message above.")
    recipe, shape, marks = bar.recipe, bar.shape, marks_from_recipe(bar.recipe)
    inner, outer = marks_of_steps(bar.steps)
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
        *_stop_rows(bar),
        _finder_row(bar.steps),
        ("Die radius divided by tube diameter", f"{bar.die.centerline_radius_mm / bar.tube.outside_diameter_mm:.1f}"),
        ("Left over of the longest tube", mm(bar.stock_left_mm)),
        ("Finished radius", mm(recipe.radius_mm)),
        ("Rise, as ordered", mm(shape.rise_mm)),
        ("Rise, risers upright", mm(upright.rise_mm)),
        ("Rise, grips level", mm(level.rise_mm)),
        ("Backsweep, upsweep", f"{shape.backsweep_deg:.1f} and {round(float(shape.upsweep_deg), 1) + 0.0:.1f} deg"),
        ("Setback of the bar ends", mm(shape.setback_mm)),
        ("Stem roll", _roll_words(recipe)),
        ("Mass, bare", f"{bar.tube.mass_g(shape.cut_length_mm):.0f} g"),
    ]
    source = bar.unsure.source
    sure = unsure_rows(bar.unsure, unit)
    return "".join(
        (
            heading("Recipe"), table(rows, caption="Recipe"), paragraph(f"{source[:1].upper()}{source[1:]}."),
            table(sure, ("Standard error", "rise", "backsweep"), caption="How sure this bar is, cause by cause"),
            paragraph(line_of_bar(number, bar.tube, bar.die, recipe), "The recipe as a line:"),
            heading("In the stem"), bullets(in_unit(fit.sentence, unit) for fit in stem_fits(bar.tube)),
        )
    )  # fmt: skip


def bench_numbers_html(readout: OrderReadout, unit: str) -> str:
    """Marks, stops and what the angle finder must read: what one sets at the bench, in large letters."""
    bar = readout.bar
    if bar is None:
        return ""
    inner, outer = (length_text(mark, unit) for mark in marks_of_steps(bar.steps))
    stops = [f"{label}: {words.partition(' (')[0]}" for label, words in _stop_rows(bar)]
    numbers = (f"Inner marks: {inner}", f"Outer marks: {outer}", *stops, ": ".join(_finder_row(bar.steps)))
    parts = (escape(words).partition(": ") for words in numbers)
    listed = "".join(f"<li>{label}: <strong>{number}</strong></li>" for label, _, number in parts)
    return f'<ul class="barmath-figures barmath-across" aria-label="To set at the bench">{listed}</ul>'


def _stop_rows(bar: Bar) -> list[tuple[str, str]]:
    stops, kept = (
        [next(getattr(one, name) for one in bar.steps if one.bend == bend) for bend in ("inner", "outer")]
        for name in ("stop_deg", "bend_deg")
    )
    if abs(kept[0] - kept[1]) <= SAME_BEND_DEG:
        return [("Stop, all four bends", f"{stops[0]:.1f} deg (springs back to {kept[0]:.1f})")]
    return [
        (f"Stop, {bend} bends", f"{stop:.1f} deg (springs back to {back:.1f})")
        for bend, stop, back in zip(("inner", "outer"), stops, kept, strict=True)
    ]


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
    parts = [heading("At the bench, in this sequence"), paragraph(" ".join(HABITS))]
    for step in readout.bar.steps:
        parts += [heading(step.title), numbered(step.do), paragraph(" ".join(step.check), "Before going on:")]
    return "".join(parts)


def _ways(shop: Shop, state: OrderState, plan: str) -> Ways:
    order = state.order()
    tube = shop.tube(state.tube) if state.tube else shop.tubes[0]
    asked = (bend for bend in (state.bend_deg, state.outer_bend_deg) if bend is not None)
    clamped = (state.upsweep,) if state.upsweep != ORDERED else (UPRIGHT,)
    return every_way(
        order, tube, _dies(shop, state, tube), bends_deg=sorted({*shop.stop_bends_deg, *asked}), clamped=clamped,
        stock_length_mm=shop.stock_length_mm, bender=shop.bender, holds=PLANS[plan], equal_only=state.stops == ONE,
    )  # fmt: skip


def _dies(shop: Shop, state: OrderState, tube: Tube) -> tuple[Die, ...]:
    # the die of a bar that is bent does as it did then, until the bar is changed
    bent = state.bent if state.bent and state.with_bar(state.bent) == state else None
    return tuple(bent.tools_as_bent(shop)[1] if bent and die.name == bent.die else die for die in shop.dies_for(tube))


def _picked_row(ways: Ways, state: OrderState) -> int | None:
    # of the rows that suit what was chosen the first that can be made, else the nearest miss
    suits = np.ones(len(ways), bool)
    if state.die is not None:
        names = np.array([die.name for die in ways.dies])
        suits &= names[ways.die_index] == state.die
    for wanted, bends in ((state.bend_deg, ways.inner_bend_deg), (state.outer_bend_deg, ways.outer_bend_deg)):
        if wanted is not None:
            suits &= np.abs(bends - wanted) < SAME_BEND_DEG
    rows = np.flatnonzero(suits)
    return next(ways.made_in_rank(rows), int(rows[0])) if rows.size else None


def _why_not(shop: Shop, state: OrderState, ways: Ways, row: int) -> str:
    chosen = way_words(ways, row)
    if ways.best is not None:
        lacks = remedy_first(ways.reason(row))
        cannot = f"With {chosen} it cannot be made. {lacks[:1].upper()}{lacks[1:]}"
        return f"Choose {way_words(ways, ways.best)}, which makes this bar. {cannot}"
    for words, other in _other_choices(state):
        found = _ways(shop, other, other.plan)
        if found.best is not None:
            now = f"Now, with {chosen}, {why_not(ways, row)}"
            return f"Choose {words}. Then {way_words(found, found.best)} makes this bar. {now}"
    return none_makes(ways, row, lambda rise: _ways(shop, replace(state, rise_mm=rise), state.plan))


def _other_choices(state: OrderState) -> Iterator[tuple[str, OrderState]]:
    # what could be chosen instead without another order
    if state.stops == ONE:
        yield f'the stop settings "{STOPS_WORDS[ONE_OR_TWO]}"', replace(state, stops=ONE_OR_TWO)
    for plan in PLANS:
        if plan != state.plan:
            yield f'the sequence of bends "{plan}"', replace(state, plan=plan)
