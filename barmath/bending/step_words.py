"""What the builder reads at each bend, in words worked out from how the bar is in the bender.

Right and left riser, arm and end are the tube's own; "to the left" and "to the right" are seen along the tube from the
hook. A test holds every word here against that geometry.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barmath.bending.finder import Flat
from barmath.bending.holds import LEFT, RIGHT, STRAIGHTS, Hold, Made, Pose
from barmath.bending.stops import ALL_BENDS, differ, not_the_sweep
from barmath.closed_forms.forward import clamp_reading_deg, grips_level, shape_from_recipe
from barmath.closed_forms.records import Recipe
from barmath.lengths import MM_PER_INCH, length_text
from barmath.refusal import BendError
from barmath.shop.bender import Bender

LEVEL_DEG = 0.05
"""Readings below it show as 0.0 on an angle finder."""

STRAIGHT_BACK = 0.02
"""Sideways lead, mm per mm, below which an eye along the tube sees no side."""

CLAMP_FLAT = STRAIGHTS.index("clamp flat")

_OWN_INNER, _OTHER_INNER = {0: 1, 3: 2}, {1: 2, 2: 1}
# places along the tube: of each outer bend the inner one of its side, and of each inner bend the other one


@dataclass(frozen=True)
class Situation:
    """All that the words of one step are made from: which step of which plan, the tube in the bender and its numbers.

    `made` says which bends of the tube are made before; `flat` is the flat to read, None where the tube is straight;
    `before` is the step before it, None for the first.
    """

    number: int
    holds: tuple[Hold, ...]
    made: Made
    pose: Pose
    flat: Flat | None
    recipe: Recipe
    bender: Bender
    mark_mm: float
    stop_deg: float
    angle_deg: float
    unit: str
    before: Situation | None = None

    @property
    def hold(self) -> Hold:
        """The bend of this step and the end in the hook."""
        return self.holds[self.number - 1]

    @property
    def stop_for(self) -> str:
        """Which bends have this setting of the stop."""
        two = differ(float(self.recipe.inner_bend_deg), float(self.recipe.outer_bend_deg))
        return f"{self.pose.bend} bends" if two else ALL_BENDS

    @property
    def moves_stop(self) -> bool:
        """Whether the bend before had another setting of the stop."""
        return self.before is not None and self.before.stop_for != self.stop_for

    @property
    def free_side(self) -> str:
        """The tube's own end that is free."""
        return other(self.hold.hooked)

    @property
    def held(self) -> str:
        """The straight in the hook."""
        return STRAIGHTS[self.hold.number + (self.hold.hooked == RIGHT)]

    @property
    def levels_inner_bends(self) -> bool:
        """Whether this is the second inner bend and its flat is level, as in the usual sequence."""
        partner = _OTHER_INNER.get(self.hold.number)
        return partner is not None and bool(self.made[partner]) and self.flat is not None and self.level

    @property
    def sets_sweep(self) -> bool:
        """Whether this is an outer bend after its own inner bend, read on the clamp flat."""
        own = _OWN_INNER.get(self.hold.number)
        return own is not None and bool(self.made[own]) and self.flat is not None and self.flat_name == "clamp flat"

    @property
    def on_arm(self) -> bool:
        """Whether the flat is a riser with all that is straight beyond it."""
        return self.flat is not None and not self.flat.straight <= CLAMP_FLAT <= self.flat.last

    @property
    def flat_side(self) -> str:
        """On which side of the bend, along the tube, the flat is."""
        assert self.flat is not None
        return LEFT if self.flat.straight <= self.hold.number else RIGHT

    @property
    def flat_name(self) -> str:
        """The flat in words: one straight, or a bent arm of several that are in one line."""
        assert self.flat is not None
        if self.flat.straight <= CLAMP_FLAT <= self.flat.last:
            return "clamp flat"
        if self.flat.straight == self.flat.last:
            return STRAIGHTS[self.flat.straight]
        return f"bent {self.flat_side} arm"

    @property
    def where(self) -> str:
        """Whether the flat is behind the hook or ahead of the die."""
        return "behind the hook" if self.flat_side == self.hold.hooked else "ahead of the die"

    @property
    def straight_on(self) -> str:
        """The way of a flat that leads to neither side."""
        return "back" if self.where == "behind the hook" else "on"

    @property
    def lead(self) -> str:
        """To which side the flat leads off; empty where it leads straight on."""
        assert self.flat is not None
        sideways = self.pose.sideways(STRAIGHTS[self.flat.straight])
        return "" if abs(sideways) < STRAIGHT_BACK else LEFT if sideways > 0.0 else RIGHT

    @property
    def habit(self) -> str:
        """What to set the angle finder to where that is not the backsweep; empty elsewhere."""
        return not_the_sweep(self.recipe) if self.sets_sweep else ""

    @property
    def level(self) -> bool:
        """Whether the angle finder must show 0.0."""
        return self.flat is None or abs(self.flat.reading_deg) < LEVEL_DEG


def other(side: str) -> str:
    """Left for right, right for left."""
    return LEFT if side == RIGHT else RIGHT


def hold_words(at: Situation) -> str:
    """What the hook holds and which end is free, in a few words."""
    return f"{at.held} in the hook, {at.free_side} end free"


def do_words(at: Situation) -> tuple[str, ...]:
    """What to do, in sentences."""
    pose = at.pose
    from_middle = length_text(at.mark_mm, at.unit)
    lines = [
        f"Put the hook on the {at.held}. The {at.free_side} end is the free end, ahead of the die.",
        f"Bring the {pose.side} {pose.bend} mark, {from_middle} from the middle, to the die's edge.",
    ]
    if at.flat is None:
        lines.append("The tube is still straight: any roll will do.")
    else:
        lines += _set_roll(at)
    lines.append(
        f"Take up the slack in the hook, then look at the mark{' and the angle finder' * bool(at.flat)} again."
    )
    lines += _set_stop(at)
    lines.append(
        f"Bend to {at.stop_deg:.1f} deg on the stop; it springs back to {at.angle_deg:.1f} deg. "
        f"The free end comes round to the {at.bender.turns}."
    )
    return tuple(lines)


def _set_stop(at: Situation) -> list[str]:
    # with one setting for all bends there is nothing to say at each of them
    if at.stop_for == ALL_BENDS:
        return []
    if at.before is None:
        return [f"Set the stop to {at.stop_deg:.1f} deg: this is the stop for the {at.stop_for}."]
    if at.moves_stop:
        return [f"Move the stop to {at.stop_deg:.1f} deg: this is the stop for the {at.stop_for}."]
    return [f"Leave the stop at {at.stop_deg:.1f} deg, the stop for the {at.stop_for}."]


def lie_words(at: Situation) -> str:
    """How the tube is when the reading is right, in a few words."""
    if at.flat is None:
        return "any roll: the tube is still straight"
    lead = at.lead
    if at.level and at.on_arm and at.where == "ahead of the die":
        return f"{at.flat_name} level, {f'pointing to the {lead}' if lead else 'straight on'}"
    trail = (
        f"pointing to the {lead}" if lead else f"leading straight {'back' if at.where == 'behind the hook' else 'on'}"
    )
    if at.level:
        return f"{at.flat_name} level, {trail}"
    return f"{at.flat_name} {_slope(at)} away from the bender, {trail}; {_far_end(at)}"


def _set_roll(at: Situation) -> list[str]:
    return [_turn_until(at), *_slope_words(at), _lay_finder(at)]


def _turn_until(at: Situation) -> str:
    flat, lead, turns = at.flat_name, at.lead, at.bender.turns
    if not lead:
        return f"Turn the tube until the {flat}, {at.where}, leads straight {at.straight_on}, neither left nor right."
    same = lead == turns
    side = "the side the bend turns to" if same else "away from the side the bend turns to"
    return (
        f"Turn the tube until the {flat}, {at.where}, points to the {lead}, {side}. "
        f"If it points to the other side, {_if_flipped(at)}"
    )


def _if_flipped(at: Situation) -> str:
    if at.levels_inner_bends:
        return "one riser points up and the other one down."
    if at.sets_sweep:
        return _grip_with(at, np.copysign(180.0, at.recipe.roll_deg) - at.recipe.roll_deg, "upsweep")
    return "the same reading puts the bend into another plane: that is another bar."


def _slope_words(at: Situation) -> list[str]:
    if at.level:
        return []
    return [f"The {at.flat_name} runs {_slope(at)} away from the bender: {_far_end(at)}. {_if_turned_over(at)}"]


def _if_turned_over(at: Situation) -> str:
    # with the flat's slope turned over, the roll between the bend planes changes its sign
    if not at.sets_sweep:
        return "If it slopes the other way, the bend is in another plane: that is another bar."
    otherwise = _grip_with(at, -at.recipe.roll_deg, "backsweep")
    before = at.before
    if before is not None and before.sets_sweep and not before.level and _slope(before) != _slope(at):
        return f"It slopes the other way than for the bend before. If it slopes the same way, {otherwise}"
    return f"If it slopes the other way, {otherwise}"


def _grip_with(at: Situation, roll_deg: float, angle: str) -> str:
    # what becomes of this side's grip with another roll between its two bend planes
    try:
        wrong = shape_from_recipe(replace(at.recipe, roll_deg=roll_deg))
    except BendError:  # folded back over the riser
        return "this grip points inward."
    got, meant = (getattr(shape, f"{angle}_deg") + 0.0 for shape in (wrong, shape_from_recipe(at.recipe)))
    return f"this grip gets {round(got, 1) + 0.0:.1f} deg of {angle} instead of {round(meant, 1) + 0.0:.1f} deg."


def _lay_finder(at: Situation) -> str:
    assert at.flat is not None
    must = "0.0 deg, level" if at.level else f"{abs(at.flat.reading_deg):.1f} deg"
    lay = f"Lay the angle finder on the {at.flat_name}: it must show {must}."
    return f"{lay} {at.habit[:1].upper()}{at.habit[1:]}." if at.habit else lay


def _slope(at: Situation) -> str:
    assert at.flat is not None
    return "downhill" if at.flat.reading_deg > 0.0 else "uphill"


def _far_end(at: Situation) -> str:
    side = at.flat_side
    height = at.pose.end_height_mm(side)
    hangs, where = ("is low", "below") if height < 0.0 else ("is high", "above")
    about = f"{abs(height):.0f} mm" if at.unit == "mm" else f"{abs(height) / MM_PER_INCH:.0f} in"
    return f"the {side} arm {hangs}, its end about {about} {where} the tube in the hook"


def check_words(at: Situation) -> tuple[str, ...]:
    """What to check once the bend is made, in sentences."""
    pose, recipe = at.pose, at.recipe
    if at.number == len(at.holds):
        return (_between(at), _on_the_table(recipe, at.unit))
    if _inner_pair_done(at):
        return (
            f"Each riser is {recipe.inner_bend_deg:.1f} deg off the clamp flat.",
            "Lay the bar on a flat table: both risers and the clamp flat touch at once, and the bar does not rock. If "
            "it rocks, correct it before the outer bends.",
        )
    if at.flat is not None and at.sets_sweep:
        return (
            f"The {pose.side} grip is {recipe.outer_bend_deg:.1f} deg off the riser.",
            f"Before you open the hook, the clamp flat still shows {abs(at.flat.reading_deg):.1f} deg: "
            "the tube has not rolled.",
        )
    return (_between(at),)


def _between(at: Situation) -> str:
    if at.pose.bend == "outer":
        return f"The {at.pose.side} grip is {at.recipe.outer_bend_deg:.1f} deg off the riser."
    if at.made.any():
        return f"The {at.pose.side} riser is {at.recipe.inner_bend_deg:.1f} deg off the clamp flat."
    return f"The {at.pose.side} riser is {at.recipe.inner_bend_deg:.1f} deg off the rest of the tube."


def measure_words(at: Situation) -> str:
    """What to measure once the bend is made, in a few words."""
    recipe = at.recipe
    inner, outer = f"{recipe.inner_bend_deg:.1f} deg", f"{recipe.outer_bend_deg:.1f} deg"
    own = f"grip {outer} off the riser" if at.pose.bend == "outer" else f"riser {inner} off the clamp flat"
    if at.number == len(at.holds):
        gap = _gap_on_the_table_mm(recipe)
        return f"{own}; " + (
            "both grips in one line"
            if gap is None
            else f"grips flat on a table, a gap of {length_text(gap, at.unit)} under the clamp flat"
        )
    if _inner_pair_done(at):
        return f"risers {inner} off the clamp flat; on a flat table the bar does not rock"
    if at.flat is not None and at.sets_sweep:
        return f"{own}; clamp flat still {abs(float(clamp_reading_deg(recipe))):.1f} deg"
    return own if at.made.any() or at.pose.bend == "outer" else f"riser to the rest of the tube: {inner}"


def _inner_pair_done(at: Situation) -> bool:
    # both inner bends and nothing else: the bar lies flat on a table
    partner = _OTHER_INNER.get(at.hold.number)
    return partner is not None and bool(at.made[partner]) and not at.made[[0, 3]].any()


def _on_the_table(recipe: Recipe, unit: str) -> str:
    gap = _gap_on_the_table_mm(recipe)
    if gap is None:
        return "Look along both grips: they are in one line."
    return (
        "Hold both grips down on a flat table: they touch along their whole length. The gap under the clamp flat is "
        f"{length_text(gap, unit)} from end to end. That is the rise with grips level."
    )


def _gap_on_the_table_mm(recipe: Recipe) -> float | None:
    # the tube's radius is under the grips and under the clamp flat alike, so the gap is the rise itself; grips in
    # one line are on a table whichever way the bar leans
    level = shape_from_recipe(grips_level(recipe))
    return None if abs(level.backsweep_deg) < LEVEL_DEG else abs(level.rise_mm)
