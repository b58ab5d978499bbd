"""The page at the bench: which screen it shows, what was typed, and what it says. Pure functions, and its file."""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass, field, replace
from functools import lru_cache
from html import escape
from pathlib import Path
from typing import Any

import numpy as np

from barmath.bending.plans import PLANS, USUAL
from barmath.bending.steps import Step, bench_steps, marks_of_steps
from barmath.checking.bench_readings import BY_KEY, Reading
from barmath.checking.inspection import inspect
from barmath.checking.tweak_words import after_words
from barmath.checking.tweaks import LEAVE, WITHIN, advice
from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.lengths import angle_deg, length_mm, length_text
from barmath.panels.bench_page_agree import agree_words
from barmath.panels.ordered_bar_state import BY_HAND, OrderedBar
from barmath.refusal import BendError, checked_single
from barmath.saving import alone, save_bytes
from barmath.shop.shop_file import Shop
from barmath.shop.tooling import Springback, springback_from_tube

CHOOSE, CUT, BENDS, CHECK, DONE = 0, 1, (2, 3, 4, 5), 6, 7
TITLES = {CHOOSE: "Which bar?", CUT: "Cut and mark", CHECK: "Check the bar", DONE: "Next time"}
"""The screens, first to last: choose the bar, cut and mark, four bends, check, and what to set next time."""

READ = ("backsweep_left", "backsweep_right", "rise_left", "rise_right")
"""What is read on the finished bar here; the page *Check* takes more."""

WORK = ("kept", "typed", "entry", "bends", "piece")
"""What the state holds of one piece of tube."""

PAGE_FILE = "at_the_bench.json"
"""Beside the record: where the page is, so that it goes on after a reload or a dead battery."""

LARGEST_FILE = 200_000

MOST_OFF_DEG = 15.0
"""By how much a bend may be too large before the reading is taken for a slip of the pen; as for sweeps."""


@dataclass(frozen=True)
class BenchPageState:
    """What is set on the page. Lengths in mm, angles in degrees.

    `at` is the screen. `kept` holds what was typed of each bend, in the sequence of the steps. `typed` is what was read
    on the bar, by `READ`. `entry` is the bar's number in the record. `bends` are those of what was read of its bends, 0
    before they are kept there. `number` is the order's in the book, 0 for a bar that is set by hand; `plan` the
    sequence of its bends. `piece` marks the one piece of tube that is bent, empty before the start. `aside` holds what
    was read of the bars of other orders, by their numbers. `turn` counts the changes, so that a second page sees that
    it is behind.
    """

    name: str = BY_HAND
    bar: OrderedBar = field(default_factory=OrderedBar)
    unit: str = "mm"
    at: int = CHOOSE
    kept: tuple[str, ...] = ("",) * len(BENDS)
    typed: tuple[str, ...] = ("",) * len(READ)
    entry: int = 0
    turn: int = 0
    number: int = 0
    plan: str = USUAL
    bends: tuple[int, ...] = (0,) * len(BENDS)
    piece: str = ""
    aside: dict[str, dict[str, Any]] = field(default_factory=dict)

    def recipe(self, shop: Shop) -> Recipe:
        """The bar; raises BendError if there is none."""
        return self.bar.recipe(shop)


@dataclass(frozen=True)
class Line:
    """One large figure and what it is for."""

    figure: str
    unit: str
    words: str


@dataclass(frozen=True)
class BenchPage:
    """One screen: its head, three figures, a sentence; `step` where it is a bend.

    `said` is a verdict or advice, `watch` what to look at before one goes on.
    """

    title: str
    place: str
    lines: tuple[Line, ...] = ()
    note: str = ""
    said: tuple[str, ...] = ()
    step: Step | None = None
    watch: tuple[str, ...] = ()


def bench_page(shop: Shop, state: BenchPageState) -> BenchPage:
    """The screen that `state` is at; raises BendError where the bar cannot be made or a box cannot be read."""
    if state.at == CHOOSE:
        _ = state.bar.tools(shop)  # refused where the shop lacks them
        opened = (f"Order {state.number} is open. Press Start to bend it.",) if state.number else ()
        return BenchPage(TITLES[CHOOSE], "Choose, then start", said=opened)
    recipe = state.recipe(shop)
    if state.at == CUT:
        return _cut(recipe, steps_of(shop, state), state)
    steps = steps_of(shop, state)
    if state.at in BENDS:
        return _bend(steps[state.at - BENDS[0]], steps, shop, state)
    if state.at == CHECK:
        return _check(recipe, shop, state)
    return BenchPage(
        TITLES[DONE], f"Entry {state.entry}" if state.entry else "Not kept yet", said=next_time(shop, state)
    )


def figures_html(page: BenchPage) -> str:
    """The three large figures of a screen, each with its words, and the sentence below them."""
    rows = [
        f'<div class="barmath-bench-line"><p class="barmath-bench-figure">{escape(line.figure)}'
        f"{f' <small>{escape(line.unit)}</small>' if line.unit else ''}</p><p>{escape(line.words)}</p></div>"
        for line in page.lines
    ]
    note = f'<p class="barmath-bench-note">{escape(page.note)}</p>' if page.note else ""
    return "".join(rows) + note


def steps_of(shop: Shop, state: BenchPageState) -> tuple[Step, ...]:
    """The four bends, first to last."""
    return _steps(shop, state.bar, state.unit, state.plan)


@lru_cache(maxsize=8)
def _steps(shop: Shop, bar: OrderedBar, unit: str, plan: str) -> tuple[Step, ...]:
    # kept, because each screen asks for them again
    tube, die = bar.tools_as_bent(shop)
    return bench_steps(bar.recipe(shop), springback_from_tube(tube, die), die, shop.bender, unit, PLANS[plan])


def _cut(recipe: Recipe, steps: tuple[Step, ...], state: BenchPageState) -> BenchPage:
    shape, (inner, outer) = shape_from_recipe(recipe), marks_of_steps(steps)
    lines = (
        _length(float(shape.cut_length_mm), state.unit, "Cut the tube to this length. File both ends round."),
        _length(inner, state.unit, "Inner marks, to both sides of the middle."),
        _length(outer, state.unit, "Outer marks, to both sides of the middle."),
    )
    return BenchPage(TITLES[CUT], "Before you bend", lines, "Write L and R on the ends of the tube.")


def _bend(step: Step, steps: tuple[Step, ...], shop: Shop, state: BenchPageState) -> BenchPage:
    reading = Line("–", "", f"Nothing to read: {step.lie}.")
    if step.reading_deg is not None:
        reading = Line(f"{abs(step.reading_deg):.1f}°", "", f"On the angle finder: {step.lie}.{_not_the_sweep(step)}")
    after = f"On the stop. It springs back to {step.bend_deg:.1f}°. The free end comes to the {shop.bender.turns}."
    lines = (
        _length(
            step.mark_mm, state.unit, f"{step.mark_name.capitalize()} to the die's edge. {step.hold.capitalize()}."
        ),
        reading,
        Line(f"{step.stop_deg:.1f}°", "", after),
    )
    read = [kept_deg(state, number) for number in range(1, len(BENDS) + 1)]
    kept, apart = read[step.number - 1], agree_words(steps, read, step.number, shop.accepted.sweep_deg)
    # from a reading that must be read again nothing follows for the next bar
    said = () if kept is None or apart else (again_words(step, kept, state.bar.springback(shop)),)
    return BenchPage(
        step.title, f"Bend {step.number} of {len(BENDS)}", lines, step.check[0] if step.check else "", said, step, apart
    )


def _not_the_sweep(step: Step) -> str:
    return f" {step.habit[:1].upper()}{step.habit[1:]}." if step.habit else ""


def bar_words(state: BenchPageState) -> str:
    """What is ordered and with what it is bent, in a sentence."""
    bar = state.bar
    rise, width = (length_text(length, state.unit) for length in (bar.rise_mm, bar.width_mm))
    ordered = f"Rise {rise}, backsweep {bar.backsweep_deg:.1f} deg, width {width}"
    return f"{ordered}. Bend it from tube {bar.tube} on {bar.die}."


def _length(mm: float, unit: str, words: str) -> Line:
    figure, _, shown = length_text(mm, unit).rpartition(" ")
    return Line(figure, shown, words)


def kept_deg(state: BenchPageState, number: int) -> float | None:
    """What was read of the bend with that number, counted from 1; None where nothing is typed."""
    text, name = state.kept[number - 1].strip(), f"angle of bend {number}"
    if not text:
        return None
    wanted = max(state.bar.named_bends_deg.values())
    return checked_single(name, angle_deg(text, name=name), "deg", above=0.0, most=wanted + MOST_OFF_DEG)


def next_stop_deg(stop_deg: float, wanted_deg: float, kept: float, springback: Springback) -> float:
    """The stop that keeps `wanted_deg`, where `stop_deg` kept `kept`: what is missing, with its own springback."""
    return stop_deg + (wanted_deg - kept) / (1.0 - float(springback.ratio))


def again_words(step: Step, kept: float, springback: Springback) -> str:
    """What the reading of one bend says, for this bend and for the next bar."""
    off = kept - step.bend_deg
    if abs(off) < 0.05:
        return f"{kept:.1f}° is right. Leave the stop where it is."
    stop = next_stop_deg(step.stop_deg, step.bend_deg, kept, springback)
    much = f"{abs(off):.1f}° too {'much' if off > 0 else 'little'}"
    return f"You read {kept:.1f}°, {much}. Next time set {stop:.1f}° on the stop."


def readings_of(state: BenchPageState) -> list[Reading]:
    """What was read on the bar, without the boxes that are empty; raises BendError where one cannot be read."""
    found = []
    for key, text in zip(READ, state.typed, strict=True):
        kind = BY_KEY[key]
        if text.strip() and kind.unit == "deg":
            found.append(Reading(key, angle_deg(text, name=kind.name.lower())))
        elif text.strip():
            found.append(Reading(key, length_mm(text, name=kind.name.lower(), default_unit=state.unit)))
    return found


def _check(recipe: Recipe, shop: Shop, state: BenchPageState) -> BenchPage:
    # leave it, tweak it or scrap it, in a sentence; what to type where too little was read
    page, readings = BenchPage(TITLES[CHECK], "Type what you read"), readings_of(state)
    if len(readings) < len(READ):
        return replace(page, said=("Type both backsweeps and both rises. Leave nothing out.",))
    got = advice(inspect(recipe, readings), state.bar.order(), shop.accepted)
    what = ": " + ", then ".join(tweak.words for tweak in got.tweaks) if got.tweaks else ""
    sure = f" {after_words(got.chance_after)}." if got.tweaks or got.verdict == LEAVE else ""
    said = f"{got.verdict[:1].upper()}{got.verdict[1:]}{what} ({got.why}).{sure}"
    words = (f"{got.before} {said}".strip(),)
    return replace(page, said=words) if got.verdict in WITHIN else replace(page, watch=words)


def next_time(shop: Shop, state: BenchPageState) -> tuple[str, ...]:
    """What to set for the next bar like this one, from what was read of its inner and outer bends."""
    springback, found = state.bar.springback(shop), []
    for bend in ("inner", "outer"):
        read = [(step, kept_deg(state, step.number)) for step in steps_of(shop, state) if step.bend == bend]
        stops = [next_stop_deg(s.stop_deg, s.bend_deg, k, springback) for s, k in read if k is not None]
        if stops:
            found.append(
                f"Next time set {np.mean(stops):.1f}° for the {bend} bends. It was {read[0][0].stop_deg:.1f}°."
            )
    return tuple(found) or ("No bend was read. Leave the stops where they are.",)


def state_from_file(path: str | Path) -> BenchPageState | None:
    """What the page's file holds, None if there is none; raises BendError where it cannot be understood."""
    path = Path(path)
    try:
        if not path.is_file():
            return None
        if path.stat().st_size > LARGEST_FILE:
            raise ValueError("too large")
        return _state(json.loads(path.read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError, KeyError, RecursionError, AttributeError):
        raise BendError(
            f"{path.name} must be a file of the page at the bench, got something else: move it away, "
            "then open the page again"
        ) from None


def _state(said: dict[str, Any]) -> BenchPageState:
    usual, bar = OrderedBar(), OrderedBar(**dict(said).pop("bar"))
    for one in said.get("aside", {}).values():
        _ = _state({"bar": asdict(usual)} | {name: one[name] for name in WORK})
    for name, value in asdict(bar).items():
        text = isinstance(getattr(usual, name), str)
        if text != isinstance(value, str) or not (text or value is None or math.isfinite(value)):
            raise ValueError(name)
    rest: dict[str, Any] = {name: tuple(v) if isinstance(v, list) else v for name, v in said.items() if name != "bar"}
    state = BenchPageState(bar=bar, **rest)
    whole = all(type(number) is int for number in (state.at, state.entry, state.turn, state.number, *state.bends))
    texts = [state.name, state.piece, *state.kept, *state.typed]
    sizes = (len(state.kept), len(state.typed), len(state.bends)) == (len(BENDS), len(READ), len(BENDS))
    if not (whole and sizes and CHOOSE <= state.at <= DONE and all(isinstance(text, str) for text in texts)):
        raise ValueError("no state")
    if state.unit not in ("mm", "in") or state.plan not in PLANS:
        raise ValueError("no state")
    return state


def keep_state(path: str | Path, state: BenchPageState) -> BenchPageState:
    """Write what is set into the page's file, one turn on; gives what it holds now.

    Raises BendError where another page has gone on meanwhile: nothing is written then.
    """
    with alone(path):
        there = state_from_file(path)
        if there is not None and there.turn != state.turn:
            raise BendError("go on from here: another page has changed this bar, and you see its changes now")
        new = replace(state, turn=state.turn + 1)
        save_bytes(path, json.dumps(asdict(new), indent=1).encode(), overwrite=True)
    return new
