"""From two bars chosen in the panel to where they put the hands: pure functions, no widgets."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from barmath.closed_forms.forward import shape_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.lengths import length_text
from barmath.panels.markup import heading, paragraph, table
from barmath.panels.ordered_bar_state import Ordered
from barmath.records.bent_bar import BentBar
from barmath.records.record import Record
from barmath.refusal import BendError
from barmath.rider.hands import HAND_FROM_END_MM, Hand, Stem, hand_from_recipe, wrist_turn
from barmath.rider.mounted import ROLLS_DEG, Mounted
from barmath.rider.other_bars import recipe_from_figures, recipe_from_record
from barmath.rider.shop_hands import ShopHands, same_hands_of_shop
from barmath.shop.order_seven import BEND_DEG, ORDER
from barmath.shop.shop_file import Shop
from barmath.shop.tooling import springback_from_tube
from barmath.space.drawing import drawing_from_recipe

FIGURES, RECIPE, RECORD = "an order, or figures", "its bends and straights", "a bar of the record"
FALLS_OUT, GIVEN = "not ordered", "as given below"
MOST_TABLE_ROWS = 6
STILL_MM, STILL_DEG = 0.05, 0.05
"""Below it a change shows as 0.0."""


@dataclass(frozen=True)
class BarChoice:
    """One bar and its stem, as chosen. Lengths in mm, angles in degrees; `rolled_deg` from its own position."""

    source: str = FIGURES
    rise_mm: float = float(ORDER.rise_mm)
    backsweep_deg: float = float(ORDER.backsweep_deg)
    width_mm: float = float(ORDER.width_mm)
    bend_deg: float = BEND_DEG
    upsweep: str = FALLS_OUT
    upsweep_deg: float = 5.0
    recipe: Recipe | None = None
    entry: int | None = None
    rolled_deg: float = 0.0
    stem_length_mm: float = 50.0
    stem_angle_deg: float = 0.0
    outer_bend_deg: float | None = None


@dataclass(frozen=True)
class TwoBarsState:
    """Everything that can be set in the panel."""

    a: BarChoice = field(default_factory=BarChoice)
    b: BarChoice = field(default_factory=lambda: BarChoice(backsweep_deg=float(ORDER.backsweep_deg) + 2.0))
    head_angle_deg: float = 65.0
    from_end_mm: float = HAND_FROM_END_MM
    more_sweep_deg: float = 2.0
    unit: str = "mm"


@dataclass(frozen=True)
class BarReadout:
    """One bar as it sits in its stem, or why there is none."""

    recipe: Recipe | None
    stem: Stem | None
    hand: Hand | None
    mounted: Mounted | None
    refusal: str


@dataclass(frozen=True)
class TwoBarsReadout:
    """Both bars, and the bars that keep the old bar's hands with more sweep, or why there are none."""

    a: BarReadout
    b: BarReadout
    keeping: tuple[ShopHands, ...]
    not_keeping: str


def two_bars_readout(shop: Shop, record: Record | None, state: TwoBarsState) -> TwoBarsReadout:
    """Work out what the panel shows. A refusal is part of the readout, never raised."""
    return with_same_hands(shop, state, bars_readout(shop, record, state))


def bars_readout(shop: Shop, record: Record | None, state: TwoBarsState) -> TwoBarsReadout:
    """Both bars alone: all that a picture needs."""
    a, b = (_bar(shop, record, choice, state) for choice in (state.a, state.b))
    return TwoBarsReadout(a, b, (), "")


def with_same_hands(shop: Shop, state: TwoBarsState, bars: TwoBarsReadout) -> TwoBarsReadout:
    """The same with the bars that keep the old bar's hands, which takes ten times as long."""
    a = bars.a
    keeping: tuple[ShopHands, ...] = ()
    not_keeping = ""
    if a.recipe is not None and a.stem is not None and a.hand is not None:
        try:
            stem = Stem(state.b.stem_length_mm, state.b.stem_angle_deg, state.head_angle_deg)
            keeping = same_hands_of_shop(
                shop, shop.tubes[0], a.recipe, a.stem, float(a.hand.backsweep_deg) + state.more_sweep_deg,
                Ordered().controls_mm, new_stem=stem, from_end_mm=state.from_end_mm,
            )  # fmt: skip
        except BendError as refusal:
            not_keeping = str(refusal)
    return replace(bars, keeping=keeping, not_keeping=not_keeping)


def radius_of_shop(shop: Shop) -> float:
    """Finished radius of the shop's first tube on its first die, mm."""
    tube = shop.tubes[0]
    return float(springback_from_tube(tube, shop.dies_for(tube)[0]).finished_radius_mm)


def chosen_recipe(shop: Shop, record: Record | None, choice: BarChoice) -> Recipe:
    """The bar of a choice with its stem roll; raises BendError if there is none."""
    radius = radius_of_shop(shop)
    if choice.source == RECIPE:
        if choice.recipe is None:
            raise BendError("a bar's bends and straights must be given, got none: type them")
        recipe = choice.recipe
    elif choice.source == RECORD:
        recipe = recipe_from_record(_recorded(record, choice.entry), radius, choice.bend_deg)
    else:
        upsweep = choice.upsweep_deg if choice.upsweep == GIVEN else None
        order = replace(
            ORDER,
            rise_mm=choice.rise_mm,
            backsweep_deg=choice.backsweep_deg,
            width_mm=choice.width_mm,
            upsweep_deg=upsweep,
        )
        recipe = recipe_from_figures(order, radius, choice.bend_deg, choice.outer_bend_deg)
    return replace(recipe, stem_roll_deg=float(recipe.stem_roll_deg) + choice.rolled_deg)


def _recorded(record: Record | None, entry: int | None) -> BentBar:
    if record is None or entry is None:
        raise BendError("a bar of the record must be chosen, got none: keep a bar first (lesson 09)")
    holds = record.entry(entry).holds
    if not isinstance(holds, BentBar):
        raise BendError(f"entry {entry} of the record must be a bar, got a test bend: choose another one")
    return holds


def _bar(shop: Shop, record: Record | None, choice: BarChoice, state: TwoBarsState) -> BarReadout:
    recipe, stem, hand = None, None, None
    try:
        recipe = chosen_recipe(shop, record, choice)
        stem = Stem(choice.stem_length_mm, choice.stem_angle_deg, state.head_angle_deg)
        hand = hand_from_recipe(recipe, stem, state.from_end_mm)
        drawing = drawing_from_recipe(recipe, float(shop.tubes[0].outside_diameter_mm))
        rolls = np.clip(float(recipe.stem_roll_deg) + ROLLS_DEG, -180.0, 180.0)
        rolled = shape_from_recipe(replace(recipe, stem_roll_deg=rolls))
    except BendError as refusal:
        return BarReadout(recipe, stem, hand, None, str(refusal))
    forward, up = (float(part) for part in stem.clamp_mm())
    mounted = Mounted(drawing, (forward, up), hand, rolled.backsweep_deg, rolled.upsweep_deg, state.head_angle_deg)
    return BarReadout(recipe, stem, hand, mounted, "")


def moved_words(readout: TwoBarsReadout, state: TwoBarsState) -> str:
    """How each hand moves from the old bar to the new one, in a sentence; empty where one of them is missing."""
    old, new = readout.a.hand, readout.b.hand
    if old is None or new is None:
        return ""
    moves = (
        (new.forward_mm - old.forward_mm, "forward", "back"), (new.up_mm - old.up_mm, "up", "down"),
        (new.out_mm - old.out_mm, "out", "in"),
    )  # fmt: skip
    said = [
        f"{length_text(abs(float(by)), state.unit)} {plus if by > 0.0 else minus}"
        for by, plus, minus in moves if abs(float(by)) >= STILL_MM
    ]  # fmt: skip
    turn = float(wrist_turn(old, new).whole_deg)
    wrists = f"the wrists turn by {turn:.1f} deg" if turn >= STILL_DEG else "the wrists do not turn"
    if not said:
        return f"with the new bar each hand is where it was, and {wrists}"
    return f"with the new bar each hand moves {', '.join(said)}, and {wrists}"


def hands_html(readout: TwoBarsReadout, state: TwoBarsState) -> str:
    """What the new bar changes for the rider's hands, and what to order: the change first, then new and old."""
    old, new = readout.a, readout.b
    if old.hand is None or new.hand is None or old.recipe is None or new.recipe is None:
        return ""

    def line(what: str, before: float, after: float, ways: tuple[str, str], angle: bool = False) -> tuple[str, ...]:
        def shown(value: float) -> str:
            return f"{value:.1f} deg" if angle else length_text(float(value), state.unit)

        by = float(after) - float(before)
        change = f"{shown(abs(by))} {ways[by < 0.0]}" if abs(by) >= (STILL_DEG if angle else STILL_MM) else "no change"
        return what, change, shown(after), shown(before)

    shapes = shape_from_recipe(old.recipe), shape_from_recipe(new.recipe)
    more = ("more", "less")
    felt = [
        line("Reach, ahead of the steering axis", old.hand.forward_mm, new.hand.forward_mm, ("forward", "back")),
        line("Height", old.hand.up_mm, new.hand.up_mm, ("up", "down")),
        line("From the middle, each hand", old.hand.out_mm, new.hand.out_mm, ("out", "in")),
        line("Hand turned back", old.hand.backsweep_deg, new.hand.backsweep_deg, more, True),
        line("Hand turned up", old.hand.upsweep_deg, new.hand.upsweep_deg, more, True),
    ]
    ordered = [
        line("Rise as clamped", shapes[0].rise_mm, shapes[1].rise_mm, more),
        line("Backsweep as clamped", shapes[0].backsweep_deg, shapes[1].backsweep_deg, more, True),
        line("Width", shapes[0].width_mm, shapes[1].width_mm, more),
        line("Stem roll", old.recipe.stem_roll_deg, new.recipe.stem_roll_deg, ("rearward", "forward"), True),
    ]
    head = ("change", "new bar", "old bar")
    return (
        heading("What the rider feels")
        + table(felt, ("The hand", *head), caption="What the rider feels")
        + heading("What to order")
        + table(ordered, ("The bar", *head), caption="What to order")
    )


def keeping_html(readout: TwoBarsReadout, state: TwoBarsState) -> str:
    """The bars that keep the old bar's hands with more sweep, most upright first, or why there are none."""
    change = state.more_sweep_deg
    more = f"{abs(change):.1f} deg {'more' if change >= 0.0 else 'less'}"
    title = heading(f"Same hands as on the old bar, {more} backsweep, in the stem of the new bar")
    if readout.not_keeping:
        return title + paragraph(readout.not_keeping)
    if not readout.keeping:
        return ""
    rows = [
        (_each(one.bar.recipe.inner_bend_deg, one.bar.recipe.outer_bend_deg), one.die.name, _stops(one),
         length_text(one.bar.rise_mm, state.unit), f"{one.bar.backsweep_deg:.1f}",
         length_text(one.bar.width_mm, state.unit), f"{one.bar.stem_roll_deg:+z.1f}",
         f"{one.bar.wrist.front_deg:+z.1f}")
        for one in readout.keeping[:MOST_TABLE_ROWS]
    ]  # fmt: skip
    head = ("Bends, inner and outer, deg", "die", "stops, deg", "rise", "backsweep, deg", "width", "stem roll, deg",
            "upsweep changes, deg")  # fmt: skip
    note = (
        "Order this rise, backsweep and width, with the risers upright. With its stem roll the bar then has the wanted "
        "backsweep. Plus: the tops of the risers go rearward."
    )
    return title + table(rows, head, caption="Bars with the same hands") + paragraph(note)


def _stops(one: ShopHands) -> str:
    inner, outer = (one.inner_stop_deg, one.outer_stop_deg) if one.two_stops else (one.stop_deg, one.stop_deg)
    return _each(inner, outer)


def _each(inner_deg: float, outer_deg: float) -> str:
    """Two angles, or the one that they have in common."""
    if inner_deg == outer_deg:
        return f"{inner_deg:.1f} for all"
    return f"{inner_deg:.1f} and {outer_deg:.1f}"
