"""The steps at the bench for the usual order of bends: both inner bends, then both outer ones.

The hook always holds a riser: for an inner bend the riser lies outboard of it, for an outer bend inboard, so that the
straight between the bends is the only one the tooling must hold, and the two marks a side are the two ends of the
riser. The bender bends in a level plane. `barmath.lying` works out how the bar lies in it; a test holds every reading
and every word here against that geometry.
"""

from __future__ import annotations

from dataclasses import dataclass

from barmath.bar import Recipe, check_single
from barmath.bender import Bender
from barmath.lengths import MM_PER_INCH, length_text
from barmath.lying import Pose, poses_from_recipe
from barmath.marks import marks_from_recipe
from barmath.refusal import BendError
from barmath.shape import clamp_reading_deg, grips_level, shape_from_recipe
from barmath.tooling import Die, Springback

HABITS = (
    "Write R and L on the tube's ends: right and left riser, arm and end are the tube's own; to the left and to the "
    "right are seen along it from the hook.",
    "Mark with a fine line: a thick one hides a millimetre.",
    "Zero the angle finder on the bed of the bender. Take up the slack in the hook before reading mark and finder.",
)

CAUTIONS = (
    "Eyes and hands: glasses on; fingers clear of die, hook and follower, which pinch. A tube that slips lets the "
    "handle go.",
    "The bar swings as it bends: clear the space it sweeps and the floor under it.",
    "Brazing and welding are hot work with fumes: ventilation, gloves, fire watch, the filler's data sheet.",
    "A bar carries a rider: this screens geometry and approves nothing. Have bars tested to ISO 4210 before they are "
    "ridden. Local rules and licensed practice come first.",
)

LEVEL_DEG = 0.05
"""Readings below it show as 0.0 on an angle finder."""

STRAIGHT_BACK = 0.02
"""Sideways lead, mm per mm, below which an eye along the tube sees no side."""


@dataclass(frozen=True)
class Step:
    """One bend at the bench.

    `mark_mm` is the line that goes to the die's edge, along the straight tube from its middle, to `side`;
    `mark_from_end_mm` the same line from the tube's end on that side. `held` is the side of the bend that lies in the
    hook. `bend_deg` is what stays, `stop_deg` what the stop is set to. `reading_deg` is what the angle finder must show
    on `read_on` (None: nothing to read), positive where that flat climbs toward the bender.

    `hold`, `lie`, `turns` and `measure` say in a few words what the hook holds, how the tube lies when the reading is
    right, to which side the free end comes round, and what to measure then; `do` and `check` say all of it in
    sentences. Right and left riser, arm and end are the tube's own; "to the left" and "to the right" are seen along the
    tube from the hook. `pose` is the tube in the bender.
    """

    number: int
    side: str
    bend: str
    held: str
    mark_mm: float
    mark_from_end_mm: float
    bend_deg: float
    stop_deg: float
    reading_deg: float | None
    read_on: str
    hold: str
    lie: str
    turns: str
    measure: str
    do: tuple[str, ...]
    check: tuple[str, ...]
    pose: Pose

    @property
    def title(self) -> str:
        """For example "1. Right inner bend"."""
        return f"{self.number}. {self.side.capitalize()} {self.bend} bend"

    @property
    def mark_name(self) -> str:
        """For example "right inner mark"."""
        return f"{self.side} {self.bend} mark"


def usual_steps(
    recipe: Recipe, springback: Springback, die: Die, bender: Bender = Bender(), unit: str = "mm"
) -> tuple[Step, ...]:
    """The four bends of one `recipe` (no arrays) in the usual order.

    Parameters
    ----------
    recipe : Recipe
        Finished angles and radius.
    springback : Springback
        Of the tube on the die, for the angles on the stop.
    die : Die
        For its line-up offset.
    bender : Bender
        To which side the free end comes round; it decides the sign of the clamp reading.
    unit : "mm" or "in"
        In which the words tell lengths.

    Returns
    -------
    tuple of four Step

    Raises
    ------
    BendError
        Where the stop would have to be set beyond the die's largest bend.
    """
    check_single(recipe, springback, die)
    poses = poses_from_recipe(recipe, bender)
    return tuple(_step(number, pose, recipe, springback, die, bender, unit) for number, pose in enumerate(poses, 1))


def bench_marks_mm(recipe: Recipe, die: Die) -> tuple[float, float]:
    """Inner and outer mark of one side, mm from the middle, moved by the die's line-up offset.

    The tangent point lies `line_up_offset_mm` ahead of the die's edge, toward the free end: inward for the inner bend,
    outward for the outer one.
    """
    marks = marks_from_recipe(recipe)
    return marks.inner_end_mm + die.line_up_offset_mm, marks.outer_start_mm - die.line_up_offset_mm


def _step(number: int, pose: Pose, recipe: Recipe, springback: Springback, die: Die, bender: Bender, unit: str) -> Step:
    inner, outer = bench_marks_mm(recipe, die)
    mark = inner if pose.bend == "inner" else outer
    angle = recipe.inner_bend_deg if pose.bend == "inner" else recipe.outer_bend_deg
    stop = springback.die_bend_deg(angle)
    if stop > die.largest_bend_deg:
        raise BendError(
            f"bend on the die must be at most {die.largest_bend_deg:.1f} deg, the furthest stop, got {stop:.1f} deg: "
            "choose a smaller bend"
        )
    reading, read_on = _reading(number, pose.side, recipe, bender)
    return Step(
        number=number,
        side=pose.side,
        bend=pose.bend,
        held="outboard" if pose.bend == "inner" else "inboard",
        mark_mm=mark,
        mark_from_end_mm=marks_from_recipe(recipe).end_mm - mark,
        bend_deg=angle,
        stop_deg=stop,
        reading_deg=reading,
        read_on=read_on,
        hold=f"{pose.side} riser in the hook, {_free_side(pose)} end free",
        lie=_lie(number, pose, reading, bender, unit),
        turns=f"the free end comes round to the {bender.turns}",
        measure=_measure(number, recipe, unit),
        do=_do(number, pose, mark, stop, angle, reading, bender, unit),
        check=_check(number, pose, recipe, unit),
        pose=pose,
    )


def _reading(number: int, side: str, recipe: Recipe, bender: Bender) -> tuple[float | None, str]:
    if number == 1:
        return None, ""
    if number == 2:
        return 0.0, "bent arm"
    reading = clamp_reading_deg(recipe)
    return (reading if (side == "right") == (bender.turns == "left") else -reading), "clamp flat"


def _do(
    number: int, pose: Pose, mark: float, stop: float, angle: float, reading: float | None, bender: Bender, unit: str
) -> tuple[str, ...]:
    lines = [
        f"Hook on the {pose.side} riser. The {_free_side(pose)} end is the free end, ahead of the die.",
        f"Bring the {pose.side} {pose.bend} mark, {length_text(mark, unit)} from the middle, to the die's edge.",
    ]
    if number == 1:
        lines.append("The tube is still straight: it may lie at any roll.")
    elif number == 2:
        lines += _set_bent_arm(pose, bender)
    else:
        lines += _set_clamp_flat(number, pose, reading or 0.0, bender, unit)
    lines.append(f"Take up the slack in the hook, then look at the mark{' and the angle finder' * (number > 1)} again.")
    lines.append(
        f"Bend to {stop:.1f} deg on the stop; {angle:.1f} deg will stay. "
        f"The free end comes round to the {bender.turns}."
    )
    return tuple(lines)


def _set_bent_arm(pose: Pose, bender: Bender) -> list[str]:
    other = _other(pose.side)
    return [
        f"Turn the tube until the bent {other} arm, ahead of the die, points to the {bender.turns}, the side the bend "
        "turns to. Pointing to the other side, one arm would stand up and one hang down: an S-shaped bar.",
        f"Lay the angle finder on the bent {other} arm: it must show 0.0 deg, level.",
    ]


def _set_clamp_flat(number: int, pose: Pose, reading: float, bender: Bender, unit: str) -> list[str]:
    lead = _lead(pose)
    if not lead:
        words = "Turn the tube until the clamp flat, behind the hook, leads straight back, neither left nor right."
    elif lead != bender.turns:
        words = (
            f"Turn the tube until the clamp flat, behind the hook, trails off to the {lead}, away from the side the "
            "bend turns to. Trailing off to the other side, the grip would turn up instead of out."
        )
    else:
        words = (
            f"Turn the tube until the clamp flat, behind the hook, trails off to the {lead}, the side the bend turns "
            "to. Trailing off to the other side, the grip would turn out instead of up."
        )
    if abs(reading) < LEVEL_DEG:
        return [words, "Lay the angle finder on the clamp flat: it must show 0.0 deg, level."]
    return [
        words,
        f"The clamp flat runs {_slope(reading)} away from the bender: {_arm(pose, unit)}. {_other_way_up(number)}",
        f"Lay the angle finder on the clamp flat: it must show {abs(reading):.1f} deg.",
    ]


def _lie(number: int, pose: Pose, reading: float | None, bender: Bender, unit: str) -> str:
    if number == 1:
        return "any roll: the tube is still straight"
    if number == 2:
        return f"bent {_other(pose.side)} arm level, pointing to the {bender.turns}"
    lead = _lead(pose)
    trail = f"trailing to the {lead}" if lead else "leading straight back"
    if abs(reading or 0.0) < LEVEL_DEG:
        return f"clamp flat level, {trail}"
    return f"clamp flat {_slope(reading or 0.0)} away from the bender, {trail}; {_arm(pose, unit)}"


def _slope(reading: float) -> str:
    return "downhill" if reading > 0.0 else "uphill"


def _arm(pose: Pose, unit: str) -> str:
    other = _other(pose.side)
    height = pose.end_height_mm(other)
    hangs, where = ("hangs low", "below") if height < 0.0 else ("stands high", "above")
    about = f"{abs(height):.0f} mm" if unit == "mm" else f"{abs(height) / MM_PER_INCH:.0f} in"
    return f"the {other} arm {hangs}, its end about {about} {where} the tube in the hook"


def _other_way_up(number: int) -> str:
    if number == 3:
        # with the flat's slope turned over, the roll between the bend planes changes its sign, and with it the sweep
        return "The other way up the grip would sweep to the wrong side."
    return "It slopes the other way than for the bend before: sloping alike, the two grips would make an S-shaped bar."


def _lead(pose: Pose) -> str:
    sideways = pose.sideways("clamp flat")
    return "" if abs(sideways) < STRAIGHT_BACK else "left" if sideways > 0.0 else "right"


def _other(side: str) -> str:
    return "left" if side == "right" else "right"


def _free_side(pose: Pose) -> str:
    return _other(pose.side) if pose.bend == "inner" else pose.side


def _check(number: int, pose: Pose, recipe: Recipe, unit: str) -> tuple[str, ...]:
    if number == 1:
        return (f"Between the {pose.side} riser and the rest of the tube: {recipe.inner_bend_deg:.1f} deg.",)
    if number == 2:
        return (
            f"Each riser stands {recipe.inner_bend_deg:.1f} deg off the clamp flat.",
            "Laid on a flat table, both risers and the clamp flat touch at once and nothing rocks: the inner bends are "
            "in phase. Put that right before the outer bends.",
        )
    if number == 3:
        return (
            f"The {pose.side} grip stands {recipe.outer_bend_deg:.1f} deg off the riser.",
            f"Before the hook is opened the clamp flat still shows {abs(clamp_reading_deg(recipe)):.1f} deg: "
            "the tube has not rolled.",
        )
    return (f"The {pose.side} grip stands {recipe.outer_bend_deg:.1f} deg off the riser.", _on_the_table(recipe, unit))


def _measure(number: int, recipe: Recipe, unit: str) -> str:
    inner, outer = f"{recipe.inner_bend_deg:.1f} deg", f"{recipe.outer_bend_deg:.1f} deg"
    if number == 1:
        return f"riser to the rest of the tube: {inner}"
    if number == 2:
        return f"risers {inner} off the clamp flat; flat on a table nothing rocks"
    if number == 3:
        return f"grip {outer} off the riser; clamp flat still {abs(clamp_reading_deg(recipe)):.1f} deg"
    gap = _gap_on_the_table_mm(recipe)
    return f"grip {outer} off the riser; " + (
        "both grips in one line"
        if gap is None
        else f"grips flat on a table, a gap of {length_text(gap, unit)} under the clamp flat"
    )


def _on_the_table(recipe: Recipe, unit: str) -> str:
    gap = _gap_on_the_table_mm(recipe)
    if gap is None:
        return "Sighted along their length, both grips lie in one line."
    return (
        "Hold both grips down on a flat table: they touch along their whole length, and the gap under the clamp flat "
        f"is {length_text(gap, unit)} from end to end, the rise with grips level."
    )


def _gap_on_the_table_mm(recipe: Recipe) -> float | None:
    # the tube's radius lies under the grips and under the clamp flat alike, so the gap is the rise itself; grips in
    # one line lie on a table whichever way the bar leans
    level = shape_from_recipe(grips_level(recipe))
    return None if abs(level.backsweep_deg) < LEVEL_DEG else abs(level.rise_mm)
