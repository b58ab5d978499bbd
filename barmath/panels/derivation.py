"""The steps of lesson 02: a picture with its lines of algebra, the same with numbers, and SymPy's part on demand.

SymPy is only loaded when a step is shown, and derives and proves only when its button is pressed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from html import escape

import ipywidgets as widgets
import numpy as np
import plotly.graph_objects as go

from barmath.closed_forms.forward import clamp_reading_deg, shape_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.panels.bet import after_bet, bet_box, bet_then, shown
from barmath.panels.entry import button
from barmath.panels.shell import PanelBox, Shell, guarded, kept, still
from barmath.pictures.derivation import curves
from barmath.pictures.steps import step_svg
from barmath.practice.bets.lesson_02 import set_to_sweep_recipe, upswept_recipe
from barmath.shop.order_seven import order_seven_recipe, two_stop_recipe

__all__ = [
    "after_bet", "bar_we_follow", "beside_the_way", "bet_box", "bet_then", "habit_figure", "step_card", "sweeps_figure",
    "two_lengths",
]  # fmt: skip

BARS: dict[str, Callable[[], Recipe]] = {
    "order 7": order_seven_recipe,
    "two stops": two_stop_recipe,
    "with upsweep": upswept_recipe,
    "set to the sweep": set_to_sweep_recipe,
}
"""The bars of the lesson, by name."""

ASK = "Let SymPy work it out"


class SympyPart(Shell):
    """A button, and below it what SymPy derives and proves of a step once it is pressed. A step may have a table."""

    cautions = ()  # the lesson around it has its own

    def __init__(self, step: str, says: str = ASK, table: Callable[[], widgets.Widget] | None = None) -> None:
        super().__init__()
        self.step, self.table = step, table
        self.ask = button(says, self._work)
        self.fill(self.ask, self.message)

    @guarded
    def _work(self, _: object) -> None:
        from barmath.derivation.worked_out import derived, letters, proofs

        parts = [f"<p>{escape(one.says)}</p>$${one.latex}$$" for one in derived(self.step)]
        meant = "; ".join(f"${one.latex}$ {escape(one.meaning)} ({one.unit})" for one in letters(self.step))
        parts.append(f"<p>The letters: {meant}.</p>" if meant else "")
        found = {True: "proven. Left less right is zero for every bar.", False: "not proven."}
        verdicts = [f"<li>{escape(says)}: {found[right]}</li>" for says, right in proofs(self.step).items()]
        parts.append(f'<ul class="barmath">{"".join(verdicts)}</ul>' if verdicts else "")
        tables = [self.table()] if self.table is not None else []
        self.fill(self.message, widgets.HTMLMath("".join(parts)), *tables)


class StepCard(Shell):
    """A step: its picture, its lines in letters and in numbers, and SymPy's part."""

    cautions = ()

    def __init__(self, step: str, bar: str) -> None:
        super().__init__()
        from barmath.derivation.by_hand import hand_lines

        recipe = BARS[bar]()
        lines = "".join(
            f'<div style="margin: 0 0 5px">{escape(line.says)}: <span>${line.letters}$</span>'
            f"{f' <span>${{}} = {line.numbers}$</span>' if line.numbers else ''}</div>"
            for line in hand_lines(step, recipe)
        )
        words = widgets.VBox([widgets.HTMLMath(lines), SympyPart(step).box], layout=_PART)
        self.fill(_beside(widgets.HTML(step_svg(step, recipe)), words))


_PART = widgets.Layout(flex="1 1 420px", min_width="0", overflow="visible")


def _beside(picture: widgets.Widget, words: widgets.Widget) -> widgets.Box:
    row = widgets.Layout(display="flex", flex_flow="row wrap", grid_gap="0 18px", width="100%", overflow="visible")
    return widgets.Box([picture, words], layout=row)


def step_card(step: str, bar: str = "order 7") -> widgets.VBox:
    """A step of the derivation for one bar, made once.

    Parameters
    ----------
    step : str
        A name of `barmath.derivation.lines.LINES`.
    bar : str
        A name of `BARS`.
    """
    return kept(StepCard, (step, bar), lambda: StepCard(step, bar))


def bar_we_follow() -> PanelBox:
    """Half of order 7 from the front with the letters of its parts, and beside it what each letter is."""
    from barmath.derivation.by_hand import letter_rows

    rows = letter_rows(order_seven_recipe())
    letters = "".join(
        f'<tr><td style="min-width: 0">${one.letter}$</td><td>{escape(one.what)}</td>'
        f'<td class="number">{escape(one.number)}</td>'
        f'<td>${two.letter}$</td><td>{escape(two.what)}</td><td class="number">{escape(two.number)}</td></tr>'
        for one, two in zip(rows[:5], rows[5:], strict=True)
    )
    table = f'<table class="barmath" aria-label="The letters of the lesson, for order 7">{letters}</table>'
    return still(_beside(widgets.HTML(step_svg("bar", order_seven_recipe())), widgets.HTMLMath(table, layout=_PART)))


def beside_the_way() -> PanelBox:
    """Two steps that the lesson does not need, each on demand: the offset bend, and any inner bend."""
    offset = SympyPart("offset", "Let SymPy work out the offset bend", _offset_table)
    inner = SympyPart("inner bend", "Let SymPy work out any inner bend")
    return still(offset.box, inner.box)


def _offset_table() -> widgets.Widget:
    """The multipliers of offset bends as printed in trade tables, to one decimal, beside 1/sin a."""
    printed = {15.0: 3.9, 22.5: 2.6, 30.0: 2.0, 45.0: 1.4, 60.0: 1.2}  # common trade tables for conduit
    rows = [
        (f"{bend:g}°", f"{multiplier}", f"{1.0 / np.sin(np.radians(bend)):.3f}") for bend, multiplier in printed.items()
    ]
    return shown(rows, head=("bend", "trade table", "one over the sine"), caption="Multipliers of offset bends.")


def two_lengths() -> PanelBox:
    """The card of the two lengths for the two-stop bar, and both bars checked."""
    rows = shown(_check_rows(), head=CHECK_HEAD, caption="Both bars. The small steps use no formula of this lesson.")
    return still(step_card("lengths", "two stops"), rows)


def _check_rows() -> list[tuple[str, ...]]:
    """What was worked out by hand, beside what the tool and small steps say, for two bars.

    One row each for roll, angle finder, straight, grip, rise, half width and backsweep, to lay below `CHECK_HEAD`.
    """
    one, two = _checked("order 7"), _checked("two stops")
    return [(name, *one[name], *two[name]) for name in one]


CHECK_HEAD = ("", "order 7 by hand", "the tool", "small steps", "two stops by hand", "the tool", "small steps")


def _checked(bar: str) -> dict[str, tuple[str, ...]]:
    from barmath.derivation.by_hand import hand_results, small_steps

    recipe = BARS[bar]()
    hand: dict[str, float] = {}
    for step in ("finder", "solve", "lengths", "legs", "grip"):
        hand |= hand_results(step, recipe)
    shape, (end, heading) = shape_from_recipe(recipe), small_steps(recipe)
    sweep = float(np.degrees(np.arctan2(heading[1], heading[0])))
    found = {
        "roll, deg": (hand["phi"], recipe.roll_deg, None),
        "angle finder, deg": (hand["kappa"], clamp_reading_deg(recipe), None),
        "straight, mm": (hand["s"], recipe.straight_mm, None),
        "grip, mm": (hand["g"], recipe.grip_mm, None),
        "rise, mm": (hand["rise"], shape.rise_mm, end[2]),
        "half width, mm": (hand["half_width"], shape.width_mm / 2, end[0]),
        "backsweep, deg": (hand["beta"], shape.backsweep_deg, sweep),
    }
    return {name: tuple("" if one is None else f"{one:.2f}" for one in row) for name, row in found.items()}


def sweeps_figure() -> go.Figure:
    """Backsweep and upsweep of order 7's bends over the roll, from 0 to 180 degrees."""
    rolls = np.linspace(0.0, 180.0, 361)
    shape = shape_from_recipe(replace(order_seven_recipe(), roll_deg=rolls))
    named = {"backsweep": shape.backsweep_deg, "upsweep": shape.upsweep_deg}
    return _low(curves(rolls, named, "roll, deg", "sweep of the grip, deg"))


def habit_figure() -> go.Figure:
    """Backsweep less reading over the reading, for equal bends of four sizes."""
    readings, recipe = np.linspace(0.0, 28.0, 281), order_seven_recipe()
    off = {}
    for bend in (20.0, 25.0, 30.0, 35.0):
        with np.errstate(invalid="ignore"):
            rolls = np.degrees(np.arcsin(np.sin(np.radians(readings)) / np.sin(np.radians(bend))))
        made = readings < bend
        bar = replace(recipe, inner_bend_deg=bend, outer_bend_deg=bend, roll_deg=rolls[made])
        off[f"bends of {bend:.0f}°"] = np.full(readings.shape, np.nan)
        off[f"bends of {bend:.0f}°"][made] = np.asarray(shape_from_recipe(bar).backsweep_deg) - readings[made]
    return _low(curves(readings, off, "angle finder reads, deg", "backsweep less reading, deg"))


def _low(figure: go.Figure) -> go.Figure:
    return figure.update_layout(height=300)
